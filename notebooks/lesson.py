"""The README's lesson as one script: `python notebooks/lesson.py [folder] [n]`.

It runs the commands of the section "A lesson" as they stand there, and tells how long each took.
"""

from __future__ import annotations

import os
import re
import shlex
import sys
import time
from pathlib import Path

from experiments.cli import main

README = Path(__file__).parents[1] / "README.md"
SHOWING = ("handout", "draw")  # commands that rehearse nothing of their own


def commands() -> list[list[str]]:
    """The words of each command of the lesson."""
    text = README.read_text("utf-8")
    section = text.split("\n## A lesson\n")[1].split("\n## ")[0]
    lines = re.findall(r"^    \.venv/bin/stallwise ([^\n#]+)", section, re.MULTILINE)
    return [shlex.split(line) for line in lines]


def run(n: int | None = None) -> dict[str, float]:
    """Run the lesson in the current folder; the seconds of each command.

    Parameters
    ----------
    n : rehearsals, and the fewest paths of sturdiness; None leaves each command its usual number.

    Raises
    ------
    SystemExit : a command failed.
    """
    took: dict[str, float] = {}
    for words in commands():
        # So few need no processes of their own.
        size = [] if n is None or words[0] in SHOWING else ["-n", str(n), "--jobs", "1"]
        if n is not None and words[0] == "sturdiness":
            size += ["--paths", "2"]
        began = time.perf_counter()
        code = main([*words, *size])
        if code:
            raise SystemExit(code)
        took[" ".join(words[:2] + words[-1:])] = time.perf_counter() - began
    return took


if __name__ == "__main__":
    os.chdir(sys.argv[1] if len(sys.argv) > 1 else ".")
    seconds = run(int(sys.argv[2]) if len(sys.argv) > 2 else None)
    print()
    for command, each in seconds.items():
        print(f"{each:7.1f} s  {command}")
    print(f"{sum(seconds.values()):7.1f} s  the whole lesson")
