"""What was found wrong with a policy, in words for its author."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True)
class Report:
    """What a check found.

    Attributes
    ----------
    policy : the name of the policy's class. side : "offence" or "defence", as it was checked.
    complaints : what is wrong; a policy with complaints must not be used.
    warnings : what works, but probably not as its author meant.
    decisions : how many decisions were looked at.
    """

    policy: str
    side: str
    complaints: tuple[str, ...]
    warnings: tuple[str, ...]
    decisions: int

    @property
    def ok(self) -> bool:
        """Whether nothing is wrong; there may still be warnings."""
        return not self.complaints

    def __str__(self) -> str:
        wrong = f"{len(self.complaints)} wrong" if self.complaints else "nothing wrong"
        head = f"{self.policy}, as {self.side}: {wrong} in {self.decisions:,} decisions"
        lines = [f"  wrong: {text}" for text in self.complaints]
        lines += [f"  warning: {text}" for text in self.warnings]
        return "\n".join([head, *lines])


@dataclass
class Findings:
    """Complaints and warnings as they come up; each is told once, with the place it came up."""

    complaints: dict[str, str] = field(default_factory=dict)
    warnings: dict[str, str] = field(default_factory=dict)
    decisions: int = 0

    def complain(self, text: str, where: str = "") -> None:
        """Note something wrong, found at the decision `where`."""
        self.complaints.setdefault(text, where)

    def warn(self, text: str, where: str = "") -> None:
        """Note something doubtful, found at the decision `where`."""
        self.warnings.setdefault(text, where)

    def report(self, policy: str, side: str) -> Report:
        """All of it."""
        complaints, warnings = (
            tuple(f"{text} (first for {where})" if where else text for text, where in found.items())
            for found in (self.complaints, self.warnings)
        )
        return Report(policy, side, complaints, warnings, self.decisions)
