"""The options of commands, those of several declared once, and how their texts are read.

What cannot be read is a `StallwiseError` that says what was found and what is allowed.
"""

from __future__ import annotations

import dataclasses
import math
import os
import tempfile
import tomllib
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Annotated, Any, Literal

import typer

from experiments.errors import StallwiseError, one_of_text
from experiments.situations.setting_paths import spread_out
from experiments.situations.situation import Situation
from experiments.statistics.weights import Weights

MOST_REHEARSALS = 100_000_000  # days of computing; more is a typing mistake
MOST_JOBS = 1024
MOST_SEED = 2**64 - 1
MOST_SPOTS = 1000  # values of one setting in one question
# A worker process takes seconds to start; with fewer rehearsals than this it saves no time.
WORTH_A_PROCESS = 2000


def option(shown: str | None, told: str, *flags: str, parse: Any = None) -> Any:
    """An option of a command: what the help shows for its value, what it tells, its flags.

    Without flags it has that of the parameter's name; None shows the words it takes.
    """
    return typer.Option(*flags, metavar=shown, help=told, parser=parse)


def switch(flag: str, told: str) -> Any:
    """An option without a value: its flag, and what the help tells."""
    return typer.Option(flag, help=told)


def argument(shown: str, told: str) -> Any:
    """A word without a flag: what the help shows for it and what it tells."""
    return typer.Argument(metavar=shown, help=told)


def shortened(text: str, most: int = 60) -> str:
    """A text cut to a length that fits into a message."""
    return text if len(text) <= most else text[: most - 3] + "..."


def number(kind: type, low: float, high: float | None = None) -> Callable[[Any], Any]:
    """A parser of an option that says what was found and what is allowed.

    The library's own range check does not say what was found.
    """
    what, said = ("a whole number", "{:,}") if kind is int else ("a number", "{:g}")
    ends = [said.format(end) for end in (low, high) if end is not None]
    allowed = f"{what}, at least {ends[0]}" if high is None else f"{what} from {' to '.join(ends)}"

    def parse(text: Any) -> Any:
        try:
            value = kind(text)
        except ValueError:
            value = None
        if value is None or not low <= value <= (math.inf if high is None else high):
            raise typer.BadParameter(f"found {shortened(str(text))!r}; allowed: {allowed}")
        return value

    return parse


def _rehearsals(told: str) -> Any:
    return option("N", told, "-n", "--rehearsals", parse=number(int, 1, MOST_REHEARSALS))


def _within(what: str, shown: str) -> Any:
    told = f"Rehearse until {what} is known to plus or minus this much, instead of -n."
    return option(shown, told, parse=number(float, 0.0005, 0.5))


_SITUATION = "A shipped situation ('stallwise situations') or a TOML file."
SituationName = Annotated[str, argument("SITUATION", _SITUATION)]
Studies = Annotated[list[Path], argument("STUDY...", "Folders written by a command's --out.")]
Rehearsals = Annotated[int, _rehearsals("How many rehearsals.")]
RehearsalsEach = Annotated[int | None, _rehearsals("Rehearsals of each situation.")]
Within = Annotated[float | None, _within("completion", "SHARE")]
WithinValue = Annotated[float | None, _within("the measure", "HALF-WIDTH")]
_SEED = "Seed of the random draws: the same seed gives the same rehearsals."
Seed = Annotated[int, option("N", _SEED, parse=number(int, 0, MOST_SEED))]
_JOBS = "Worker processes; by default as many as save time."
Jobs = Annotated[int | None, option("N", _JOBS, parse=number(int, 1, MOST_JOBS))]
_CLUSTER = "Rehearse on the Dask cluster at this address, such as tcp://host:8786."
Cluster = Annotated[str | None, option("ADDRESS", _CLUSTER)]
_SETTINGS = "Change a setting by its path in the file, such as plan=dump; may be repeated."
Settings = Annotated[list[str] | None, option("PATH=VALUE", _SETTINGS, "--set")]
Json = Annotated[bool, switch("--json", "Print one JSON object and nothing else.")]
Out = Annotated[Path | None, option("DIR", "Folder for tables and charts.")]
Folder = Annotated[Path, option("DIR", "Folder for what is written.")]
Size = Annotated[Literal["page", "clinic"], option(None, "Pictures for a page or for the room.")]
_SIDEWAYS = "The attacked end zone at the right, not at the top."
Sideways = Annotated[bool, switch("--sideways", _SIDEWAYS)]
Units = Annotated[Literal["m", "yd"], option(None, "Units of lengths shown.")]
Plans = Annotated[str | None, option("A,B,...", "Names of plans; by default all in the file.")]
_MEASURE = (
    "What to measure: completed, goal, score, gain_m, off_centre_m, trapped ...; by default the one "
    "that the situation asks about."
)
Measure = Annotated[str | None, option("NAME", _MEASURE)]
_WEIGHTS = "Weights of the score: completed, gain, off_centre, trapped."
WeightsOption = Annotated[str | None, option("NAME=VALUE,...", _WEIGHTS)]
_MARGIN = (
    "A value worse than the best by no more than this counts as equally good, in the measure's own "
    "unit; by default 0.01 for shares and the score (one pass in a hundred), 0.5 m for gain_m and "
    "off_centre_m, 0.2 m for separation_m."
)
_LEAST = number(float, 0)
Margin = Annotated[float | None, option("VALUE", _MARGIN, parse=_LEAST)]


def processes(jobs: int | None, rehearsals: int) -> int:
    """How many processes to use: `jobs`, or as many of the cores as save time."""
    if jobs is not None:
        return jobs
    allowed = hasattr(os, "sched_getaffinity")
    cores = len(os.sched_getaffinity(0)) if allowed else os.cpu_count() or 1
    return max(1, min(cores, rehearsals // WORTH_A_PROCESS))


def ready_folder(out: Path) -> None:
    """Make the folder if it is missing and check that it can be written to, before any work is done."""
    try:
        out.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=out):
            pass
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise StallwiseError(
            f"--out {os.fspath(out)}: cannot be written to: {reason}; "
            "allowed: a folder that is there or can be made"
        ) from error


def listed(text: str | None) -> list[str] | None:
    """The names in a text with commas; None where the option was not given."""
    return None if text is None else [part.strip() for part in text.split(",") if part.strip()]


def weights_of(text: str | None) -> Weights:
    """Weights from ``NAME=VALUE,...``; the defaults where not named."""
    known = [field.name for field in dataclasses.fields(Weights)]
    given: dict[str, float] = {}
    for part in listed(text) or []:
        name, equals, value = (piece.strip() for piece in part.partition("="))
        if not equals or name not in known:
            allowed = one_of_text(name, known)
            raise StallwiseError(f"--weights: found {part!r}; allowed: NAME=VALUE with {allowed}")
        given[name] = number_in(f"--weights {name}", value)
    try:
        return Weights(**given)
    except ValueError as error:
        raise StallwiseError(f"--weights: {error}") from None


def number_in(what: str, text: str) -> float:
    """A finite number from a text; `what` names the option in the error."""
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise StallwiseError(f"{what}: found {text!r}; allowed: a number")
    return value


def spots_in(what: str, text: str) -> list[float]:
    """Values from ``LOW:HIGH:COUNT`` or ``V,V,...``."""
    parts = text.split(":")
    if len(parts) == 1:
        values = listed(text) or [""]
        if len(values) > MOST_SPOTS:
            raise StallwiseError(f"{what}: found {len(values):,} values; allowed: {MOST_SPOTS:,}")
        return [number_in(what, part) for part in values]
    digits = parts[2].strip() if len(parts) == 3 else ""
    if not (digits.isdigit() and len(digits) < 9 and 2 <= int(digits) <= MOST_SPOTS):
        raise StallwiseError(
            f"{what}: found {shortened(text)!r}; allowed: LOW:HIGH:COUNT with a count from 2 "
            f"to {MOST_SPOTS:,}, or V,V,..."
        )
    low, high, count = number_in(what, parts[0]), number_in(what, parts[1]), int(parts[2])
    steps = (low + (high - low) * k / (count - 1) for k in range(count))
    return [float(f"{step:.9g}") + 0.0 for step in steps]


def ends_in(what: str, text: str) -> tuple[float, float]:
    """The ends of ``LOW:HIGH``."""
    parts = text.split(":")
    if len(parts) != 2:
        raise StallwiseError(f"{what}: found {text!r}; allowed: LOW:HIGH")
    return number_in(what, parts[0]), number_in(what, parts[1])


def by_path(texts: Sequence[str], form: str, read: Callable[[str, str], Any]) -> dict[str, Any]:
    """The parsed value of each ``PATH=VALUE`` text, by its path."""
    found: dict[str, Any] = {}
    for text in texts:
        path, equals, said = (piece.strip() for piece in text.partition("="))
        if not equals or path in found:
            why = "twice the same path" if equals else f"{text!r}, without '='"
            raise StallwiseError(f"found {why}; allowed: PATH={form}")
        found[path] = read(path, said)
    return found


def with_settings(situation: Situation, settings: list[str] | None) -> Situation:
    """The situation with the settings of ``PATH=VALUE`` texts changed together, in any order."""
    values = changes(situation, settings)
    return situation.with_settings(values) if values else situation


def changes(
    situation: Situation, settings: list[str] | None, option: str = "--set "
) -> dict[str, Any]:
    """The values in ``PATH=VALUE`` texts, by the path of each setting; `x, y` is a place."""
    values: dict[str, Any] = {}
    for text in settings or []:
        path, equals, value = text.partition("=")
        if not equals:
            raise StallwiseError(f"{option}{shortened(text)}: found no '='; allowed: PATH=VALUE")
        path, given = path.strip(), _value(value.strip())
        if path.endswith(".at") and isinstance(given, str):
            given = _value(f"[{value}]")
        # Of one setting that is given twice, the later value counts.
        for one, part in spread_out({path: given}).items():
            values[situation.setting(one).path] = part
    return values


def _value(text: str) -> Any:
    """A number, true or false as in a situation file; anything else is a word."""
    try:
        return tomllib.loads(f"value = {text}")["value"]
    except (ValueError, RecursionError):
        return text
