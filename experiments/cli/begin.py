"""`stallwise begin`: write a new situation file from a few answers."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from experiments.cli.options import argument, number, option
from experiments.errors import StallwiseError
from experiments.running import disk
from experiments.situations.begin import SHAPES, begun, written
from policies.marks import FORCES

SHAPE = f"How they stand: {', '.join(SHAPES)}."
DISC = "Where the disc is, m; everybody moves with it."
FORCE = f"{', '.join(FORCES)}; home and away ask for --home."
HOME = "Where the defence has its bench, as attackers see it."
SAID, COUNT = "The number last said at the start.", number(float, 0, 20)
OURS = "Of the offence: elite, club, novice."
THEIRS = "Of the defence; that of the offence if left out."
LEFT = "The thrower is left-handed."


def command(
    file: Annotated[Path, argument("FILE.toml", "The file to be written.")],
    shape: Annotated[str, option("--shape", shown="NAME", told=SHAPE)] = "three-across",
    title: Annotated[str | None, option("--title", shown="TEXT", told="Its title.")] = None,
    disc: Annotated[str | None, option("--disc", shown="X,Y", told=DISC)] = None,
    force: Annotated[str | None, option("--force", shown="WORD", told=FORCE)] = None,
    home: Annotated[str | None, option("--home", shown="SIDE", told=HOME)] = None,
    count: Annotated[float | None, option("--count", shown="N", told=SAID, parse=COUNT)] = None,
    level: Annotated[str | None, option("--level", shown="WORD", told=OURS)] = None,
    against: Annotated[str | None, option("--against", shown="WORD", told=THEIRS)] = None,
    left_handed: Annotated[bool, option("--left-handed", told=LEFT)] = False,
) -> None:
    """Begin a situation of your own: write its file from a few answers, defenders filled in."""
    if file.exists():
        raise StallwiseError(f"{file}: is there already; allowed: the name of a new file")
    if file.suffix != ".toml":
        allowed = "a name such as mine.toml"
        raise StallwiseError(f"{file}: found no .toml at the end; allowed: {allowed}")
    situation = begun(
        shape,
        title or file.stem.replace("-", " ").capitalize(),
        disc=None if disc is None else _place(disc),
        force=force,
        home=home,
        count=count,
        offence=level,
        defence=against or level,
        left_handed=left_handed,
    )
    disk.put(file, written(situation, file, shape).encode())
    ours, theirs = len(situation.attackers), len(situation.defenders)
    print(f"wrote {file}: {ours} attackers, {theirs} defenders")
    print(f"plans {', '.join(situation.plans)}; defences {', '.join(situation.defences)}")
    print(f"see it with: stallwise draw {file}")


def _place(text: str) -> tuple[float, float]:
    try:
        x, y = (float(part) for part in text.split(","))
    except ValueError:
        allowed = "X,Y in metres, such as 0,30"
        raise StallwiseError(f"--disc: found {text!r}; allowed: {allowed}") from None
    return x, y
