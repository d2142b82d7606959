"""`stallwise begin`: write a new situation file from a few answers."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from experiments.cli.options import argument, number, option, switch
from experiments.errors import StallwiseError
from experiments.running import disk
from experiments.situations.begin import SHAPES, begun, written
from policies.marks import FORCES

SHAPE = f"How they stand: {', '.join(SHAPES)}."
DISC = "Where the disc is, m; everybody moves with it."
FORCE = f"{', '.join(FORCES)}; home and away ask for --home."
HOME = "Where the defence has its bench, as attackers see it."
COUNT = number(float, 0, 20)
THEIRS = "Of the defence; that of the offence if left out."


def command(
    file: Annotated[Path, argument("FILE.toml", "The file to be written.")],
    shape: Annotated[str, option("NAME", SHAPE)] = "three-across",
    title: Annotated[str | None, option("TEXT", "Its title.")] = None,
    disc: Annotated[str | None, option("X,Y", DISC)] = None,
    force: Annotated[str | None, option("WORD", FORCE)] = None,
    home: Annotated[str | None, option("SIDE", HOME)] = None,
    count: Annotated[
        float | None, option("N", "The number last said at the start.", parse=COUNT)
    ] = None,
    level: Annotated[str | None, option("WORD", "Of the offence: elite, club, novice.")] = None,
    against: Annotated[str | None, option("WORD", THEIRS)] = None,
    left_handed: Annotated[bool, switch("--left-handed", "The thrower is left-handed.")] = False,
) -> None:
    """Begin a situation of your own: write its file from a few answers, defenders filled in."""
    if file.exists():
        raise StallwiseError(f"{file}: is there already; allowed: the name of a new file")
    if file.suffix != ".toml":
        raise StallwiseError(
            f"{file}: found no .toml at the end; allowed: a name such as mine.toml"
        )
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
        told = f"--disc: found {text!r}; allowed: X,Y in metres, such as 0,30"
        raise StallwiseError(told) from None
    return x, y
