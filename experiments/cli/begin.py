"""`stallwise begin`: write a new situation file from a few answers."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from experiments.cli import options
from experiments.errors import StallwiseError
from experiments.running import disk
from experiments.situations.begin import SHAPES, begun, written
from policies.marks import FORCES

File = Annotated[Path, typer.Argument(metavar="FILE.toml", help="The file to be written.")]
Shape = Annotated[
    str, typer.Option("--shape", metavar="NAME", help=f"How they stand: {', '.join(SHAPES)}.")
]
Title = Annotated[str | None, typer.Option("--title", metavar="TEXT", help="Its title.")]
Disc = Annotated[
    str | None,
    typer.Option("--disc", metavar="X,Y", help="Where the disc is, m; everybody moves with it."),
]
Force = Annotated[
    str | None,
    typer.Option(
        "--force", metavar="WORD", help=f"{', '.join(FORCES)}; home and away ask for --home."
    ),
]
Home = Annotated[
    str | None,
    typer.Option(
        "--home", metavar="SIDE", help="Where the defence has its bench, as attackers see it."
    ),
]
Count = Annotated[
    float | None,
    typer.Option(
        "--count",
        metavar="N",
        parser=options.number(float, 0, 20),
        help="The number last said at the start.",
    ),
]
Level = Annotated[
    str | None, typer.Option("--level", metavar="WORD", help="Of the offence: elite, club, novice.")
]
Theirs = Annotated[
    str | None,
    typer.Option(
        "--against", metavar="WORD", help="Of the defence; that of the offence if left out."
    ),
]
Left = Annotated[bool, typer.Option("--left-handed", help="The thrower is left-handed.")]


def command(
    file: File,
    shape: Shape = "three-across",
    title: Title = None,
    disc: Disc = None,
    force: Force = None,
    home: Home = None,
    count: Count = None,
    level: Level = None,
    against: Theirs = None,
    left_handed: Left = False,
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
    print(
        f"wrote {file}: {len(situation.attackers)} attackers, {len(situation.defenders)} defenders"
    )
    print(f"plans {', '.join(situation.plans)}; defences {', '.join(situation.defences)}")
    print(f"see it with: stallwise draw {file}")


def _place(text: str) -> tuple[float, float]:
    parts = text.split(",")
    try:
        x, y = (float(part) for part in parts)
    except ValueError:
        raise StallwiseError(
            f"--disc: found {text!r}; allowed: X,Y in metres, such as 0,30"
        ) from None
    return x, y
