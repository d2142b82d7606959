"""Files, command lines and folders spoilt at random, and what came of using them.

Everything is drawn from a `random.Random`, so that hypothesis and the campaign draw from the same.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import json
import shutil
import signal
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random
from typing import Any

import numpy as np

from experiments.cli import main
from experiments.errors import StallwiseError
from experiments.running.batch import rehearse_rows
from experiments.running.engine import Engine
from experiments.running.runner import run
from experiments.running.store import load_study_rows
from experiments.situations.files import load, shipped, shipped_text
from experiments.situations.lineup import line_up
from experiments.situations.situation import Situation
from experiments.statistics.tables import data_frame
from tests.experiments import pretend

REFUSED, TAKEN, CRASHED, HUNG = "refused", "taken", "crashed", "hung"
# Long enough for the slowest answer on a busy machine, apart from compiling.
PATIENCE_S = 60
# Nothing that is refused needs more words.
MOST_LETTERS = 20_000

ODD = (
    *("", " ", "0", "-1", "1.5", "nan", "inf", "-inf", "1e400", "9" * 400, "9" * 5000, "true"),
    *('"no"', "[]", "[[]]", "[" * 3000, "{}", "{ a = 1 }", "'''", "=", "=1", ":::", "1:2", "a,b"),
    *(
        "\\",
        "%s",
        "{0}",
        "\N{SNOWMAN}",
        "\u202e",
        "1979-05-27",
        "0x10",
        "--",
        "-",
        "..",
        "x" * 3000,
    ),
)
STRANGE: tuple[Any, ...] = (
    *(None, True, 0, -1, 1, 400.5, 10**30, float("nan"), "", "no", "9" * 400),
    *([], [[]], {}, {"a": []}, [None], "\x00"),
)


class Hung(BaseException):
    """It took longer than anybody waits."""


@contextlib.contextmanager
def patience(seconds: int = PATIENCE_S) -> Iterator[None]:
    """Stop what takes too long, where the system has alarms."""
    if not hasattr(signal, "SIGALRM"):
        yield
        return

    def ring(*_: Any) -> None:
        raise Hung(f"no answer within {seconds} s")

    before = signal.signal(signal.SIGALRM, ring)
    signal.alarm(seconds)
    try:
        yield
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)


def outcome(use: Callable[[], str]) -> tuple[str, BaseException | None]:
    """What came of using something, and the error if it is one of the program's own."""
    try:
        with patience():
            return use(), None
    except StallwiseError as error:
        if len(str(error)) > MOST_LETTERS:
            return CRASHED, error
        return REFUSED, None
    except Hung as error:
        return HUNG, error
    except Exception as error:
        return CRASHED, error


# Files


def mangled_text(random: Random) -> str:
    """The file of a shipped situation with one to four things wrong, or none that matters."""
    lines = shipped_text(random.choice(shipped())).splitlines()
    for _ in range(random.randint(1, 4)):
        place = random.randrange(len(lines))
        line = lines[place]
        key, equals, _ = line.partition("=")
        kind = random.randrange(8)
        if kind == 0:
            del lines[place]
        elif kind == 1:
            lines.insert(place, line)
        elif kind == 2 and equals:
            lines[place] = f"{key}= {random.choice(ODD)}"
        elif kind == 3 and equals:
            lines[place] = f"{random.choice(ODD)} ={line.partition('=')[2]}"
        elif kind == 4 and line:
            at = random.randrange(len(line))
            lines[place] = line[:at] + chr(random.randrange(1, 0x2FFF)) + line[at + 1 :]
        elif kind == 5:
            digits = [i for i, letter in enumerate(line) if letter.isdigit()]
            if digits:
                at = random.choice(digits)
                lines[place] = line[:at] + random.choice(ODD) + line[at + 1 :]
        elif kind == 6:
            lines.append(random.choice(("[wind]", "[[attackers]]", "[a.b]", "x = 1", "[plans]")))
        else:
            other = random.randrange(len(lines))
            lines[place], lines[other] = lines[other], line
        if not lines:
            break
    return "\n".join(lines)


def use_text(text: str, folder: Path, play: bool = False) -> str:
    """Load a file, take what was taken to plain values and back, onto the field, and play it."""
    path = folder / "mine.toml"
    path.write_bytes(text.encode("utf-8", "surrogatepass"))
    situation = load(path)
    line_up(situation)
    assert Situation.from_dict(situation.to_dict()).digest() == situation.digest()
    if play:
        assert len(rehearse_rows(situation, np.arange(2), 1)) == 2
    return TAKEN


# Command lines

_OPTIONS = {
    "try": ("-n", "--seed", "--set", "--jobs", "--units"),
    "compare": ("-n", "--plans", "--weights", "--seed", "--set", "--jobs"),
    "vary": ("-n", "--measure", "--weights", "--margin", "--seed", "--set"),
    "map": ("-n", "--x", "--y", "--look", "--forces", "--seed"),
    "matchup": ("-n", "--plans", "--defences", "--measure", "--weights", "--seed"),
    "tune": ("-n", "--points", "--measure", "--margin", "--weights", "--seed"),
    "sturdiness": ("-n", "--plans", "--over", "--paths", "--spread", "--measure"),
    "again": ("--out", "--jobs"),
    "replay": ("--pick", "--out", "--seed"),
    "policies": (),
    "situations": (),
}
# Nothing among these takes long when it is allowed.
_SENSIBLE = {
    "-n": ("4", "7"),
    "--seed": ("0", "3"),
    "--jobs": ("1",),
    "--set": ("wind.speed=3", "plan=dump"),
    "--plans": ("strike,dump", "strike"),
    "--measure": ("score", "gain_m", "goal"),
    "--weights": ("gain=0.1",),
    "--points": ("2",),
    "--paths": ("2",),
    "--over": ("wind.speed",),
    "--units": ("yd",),
}
_ARGUMENTS = {
    "vary": ("wind.speed=0,6", "wind.speed=1:2:3", "plans.strike.looks.0.from=4,5"),
    "tune": ("plans.strike.looks.0.from=4:6", "wind.speed=0:3"),
    "map": ("--x=-6", "--y=40"),
    "sturdiness": ("--plans=strike,dump", "--over=wind.speed"),
}
# Without these a question is answered by thousands of rehearsals, or by processes of their own.
_ALONE = "--jobs=1"
_SMALL = {
    **dict.fromkeys(("compare", "vary", "matchup"), (_ALONE,)),
    "sturdiness": ("--paths=2", "--over=wind.speed", _ALONE),
    "map": ("--x=-6", "--y=40", _ALONE),
    "tune": ("--points=2", _ALONE),
    "replay": ("--rehearsals=8", _ALONE),
}


def mangled_line(random: Random, folder: Path) -> list[str]:
    """A command with options, some of them nonsense; what is allowed in it is small."""
    command = random.choice(tuple(_OPTIONS)) if random.random() < 0.95 else random.choice(ODD)
    line = [command]
    if random.random() < 0.95:
        line.append("middle-reset" if random.random() < 0.9 else random.choice(ODD))
    for argument in _ARGUMENTS.get(command, ()):
        fate = random.random()
        start = argument.partition("=")[0]
        if fate < 0.8:
            line.append(argument)
        elif fate < 0.95:
            line.append(f"{start}={random.choice(ODD)}")
    given = _OPTIONS.get(command, ())
    for option in random.sample(given, min(2, len(given))):
        # Odd words for a folder might be the name of one.
        if option == "--out":
            line.append(f"--out={folder / 'out'}")
            continue
        sensible = option in _SENSIBLE and random.random() < 0.7
        value = random.choice(_SENSIBLE[option] if sensible else ODD)
        line += [f"{option}={value}"] if option.startswith("--") else [option, value]
    words = " ".join(line)
    line += [small for small in _SMALL.get(command, ()) if small.partition("=")[0] not in words]
    if "-n" in given and "-n" not in line:
        line += ["-n", "8"]
    if "--jobs" in given and "--jobs" not in words:
        line.append("--jobs=1")
    return [word.replace("\x00", "") for word in line]


def use_line(line: list[str]) -> str:
    """Run a command line in this process; a long message counts as a crash."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = main(line)
    assert len(err.getvalue()) <= MOST_LETTERS, "a message that nobody reads"
    assert code in (0, 2), f"exit code {code}"
    return TAKEN if code == 0 else REFUSED


# Folders


def whole_study(folder: Path) -> Path:
    """A small finished study, to be copied and spoilt."""
    run([pretend.task(n=60)], Engine(rows=pretend.rows, folder=folder, chunk=20, progress=False))
    return folder


def mangled_folder(random: Random, whole: Path, folder: Path) -> Path:
    """A copy of a study with one to three things wrong."""
    shutil.rmtree(folder, ignore_errors=True)
    shutil.copytree(whole, folder)
    for _ in range(random.randint(1, 3)):
        random.choice(_SPOIL)(random, folder)
    return folder


def use_folder(folder: Path) -> str:
    """Go on with a study and read it; what is not refused must be what was rehearsed, to the bit."""
    expected = pretend.rows(pretend.BASE, np.arange(60), 7)
    engine = Engine(rows=pretend.rows, folder=folder, chunk=20, progress=False)
    found = run([pretend.task(n=60)], engine).tables["one"]
    assert pretend.same(found, expected), "other rehearsals than those asked for"
    assert pretend.same(data_frame(load_study_rows(folder)["one"]).iloc[:60], expected)
    return TAKEN


def _a_field(random: Random, folder: Path) -> None:
    path = folder / "manifest.json"
    with contextlib.suppress(ValueError, OSError):
        data = json.loads(path.read_bytes())
        place: Any = data
        while True:
            keys = list(place) if isinstance(place, dict) else list(range(len(place)))
            if not keys:
                return
            key = random.choice(keys)
            if isinstance(place[key], (dict, list)) and random.random() < 0.7:
                place = place[key]
                continue
            if random.random() < 0.2 and isinstance(place, dict):
                del place[key]
            else:
                place[key] = random.choice(STRANGE)
            break
        path.write_text(json.dumps(data))


def _some_bytes(random: Random, folder: Path) -> None:
    files = [p for p in sorted(folder.rglob("*")) if p.is_file()]
    if files:
        path = random.choice(files)
        data = bytearray(path.read_bytes())
        for _ in range(random.randint(1, 4)):
            if data:
                data[random.randrange(len(data))] = random.randrange(256)
        path.write_bytes(bytes(data)[: random.choice((None, 0, 1, 100))])


def _a_chunk(random: Random, folder: Path) -> None:
    """Another text under its own checksum."""
    chunks = sorted((folder / "rehearsals").glob("*.parquet"))
    if chunks and (path := random.choice(chunks)).is_file():
        data = random.choice((b"", b"PAR1", b"PAR1" + bytes(50) + b"PAR1", path.read_bytes()[:200]))
        path.unlink()
        span = path.name.rsplit("-", 1)[0]
        name = f"{span}-{hashlib.sha256(data).hexdigest()[:16]}.parquet"
        (folder / "rehearsals" / name).write_bytes(data)


def _a_name(random: Random, folder: Path) -> None:
    files = sorted(folder.rglob("*"))
    if files and (path := random.choice(files)).exists():
        kind = random.randrange(4)
        if kind == 0:
            shutil.rmtree(path) if path.is_dir() else path.unlink()
        elif kind == 1 and path.is_file():
            path.rename(path.with_name(path.name.replace("0000", "0001", 1)))
        elif kind == 2 and path.is_file():
            path.unlink()
            path.mkdir()
        else:
            (path if path.is_dir() else path.parent).joinpath(".stray.part").write_text("mine")


_SPOIL = (_a_field, _a_field, _some_bytes, _a_chunk, _a_name)
