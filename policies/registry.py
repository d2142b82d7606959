"""Policies found by their kind and the name that a situation file uses.

The built-in ones are listed in ``policies.BUILT_IN``. Another package offers its own
through an entry point in the group ``stallwise.policies.KIND``, for example::

    [project.entry-points."stallwise.policies.cut"]
    zigzag = "their_package.cuts:Zigzag"

A name that is built in cannot be taken over by another package.
"""

from __future__ import annotations

import difflib
import inspect
from functools import cache
from importlib.metadata import EntryPoint, entry_points

KINDS = ("offence", "defence", "cut", "cover", "mark")
GROUP = "stallwise.policies"


class UnknownPolicy(LookupError):
    """No policy of that kind and name can be had; the text says why and names the nearest."""


def names(kind: str) -> tuple[str, ...]:
    """All names of a kind, sorted, built in or offered by installed packages."""
    return tuple(sorted({*_built_in(kind), *_offered()[kind]}))


def find(kind: str, name: str) -> type:
    """Return the class of the policy of that kind and name.

    Raises
    ------
    UnknownPolicy : there is none, or the package that offers it cannot be imported.
    ValueError : `kind` is not one of `KINDS`.
    """
    built_in = _built_in(kind)
    if name in built_in:
        return built_in[name]
    offered = _offered()[kind]
    if name not in offered:
        known = names(kind)
        near = difflib.get_close_matches(name, known, n=1, cutoff=0.5)
        meant = f"; did you mean {near[0]!r}?" if near else "."
        raise UnknownPolicy(
            f"no {kind} policy is called {name!r}{meant} Known are: {', '.join(known) or 'none'}"
        )
    entry = offered[name]
    try:
        found = entry.load()
    except (Exception, SystemExit) as error:  # whatever goes wrong in somebody else's module
        told = f"it ends the program ({error})" if isinstance(error, SystemExit) else error
        raise UnknownPolicy(
            f"the {kind} policy {name!r} is offered as {entry.value}, "
            f"which cannot be imported: {told}"
        ) from error
    if not isinstance(found, type):
        raise UnknownPolicy(f"the {kind} policy {name!r}, {entry.value}, is not a class")
    return found


def one_line(kind: str, name: str) -> str:
    """Return the first line of the policy's docstring."""
    text = inspect.getdoc(find(kind, name)) or ""
    return text.partition("\n")[0]


def _built_in(kind: str) -> dict[str, type]:
    if kind not in KINDS:
        raise ValueError(f"no kind of policy is called {kind!r}; the kinds are {', '.join(KINDS)}")
    # Looked up late: the modules listed there may themselves look for other policies.
    from policies import BUILT_IN

    return BUILT_IN.get(kind, {})


@cache
def _offered() -> dict[str, dict[str, EntryPoint]]:
    everything = entry_points()  # read once, from a file of each package installed
    return {
        kind: {entry.name: entry for entry in everything.select(group=f"{GROUP}.{kind}")}
        for kind in KINDS
    }
