"""A long campaign of spoilt files, command lines and folders: tried, refused, crashed, hung.

    python -m tests.campaign [TRIES] [SEED]

Not part of the tests that run on every change. It exits with 1 if anything crashed or hung.
"""

from __future__ import annotations

import collections
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from random import Random

from tests.experiments import mangling
from tests.experiments.mangling import CRASHED, HUNG, REFUSED, TAKEN, outcome

# Command lines that are taken rehearse in the game, so they are tried less often.
SHARES = {"files": 0.6, "command lines": 0.1, "folders": 0.3}


def campaign(tries: int, seed: int, say: Callable[[str], None] = print) -> int:
    """Try so many of everything, print a table, and return how many crashed or hung."""
    bad = 0
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        whole = mangling.whole_study(folder / "whole")
        say(f"{'':14}{'tried':>8}{'taken':>8}{'refused':>9}{'crashed':>9}{'hung':>6}")
        for what, share in SHARES.items():
            count: collections.Counter[str] = collections.Counter()
            for number in range(round(share * tries)):
                random = Random(f"{seed} {what} {number}")
                if what == "files":
                    thing: object = (text := mangling.mangled_text(random))
                    found, error = outcome(
                        lambda text=text: mangling.use_text(text, folder, play=True)
                    )
                elif what == "folders":
                    spoilt = mangling.mangled_folder(random, whole, folder / "spoilt")
                    thing = sorted(str(p.relative_to(spoilt)) for p in spoilt.rglob("*"))
                    found, error = outcome(lambda spoilt=spoilt: mangling.use_folder(spoilt))
                else:
                    thing = (line := mangling.mangled_line(random, folder))
                    found, error = outcome(lambda line=line: mangling.use_line(line))
                count[found] += 1
                if error is not None:
                    bad += 1
                    say(f"{what} {number}: {found}: {type(error).__name__}: {str(error)[:300]}")
                    say(f"    {str(thing)[:300] if what != 'files' else ''}")
            numbers = (count[each] for each in (TAKEN, REFUSED, CRASHED, HUNG))
            taken, refused, crashed, hung = numbers
            tried = count.total()
            say(f"{what:14}{tried:8}{taken:8}{refused:9}{crashed:9}{hung:6}")
    return bad


if __name__ == "__main__":
    asked = [int(word) for word in sys.argv[1:]]
    sys.exit(1 if campaign(*[*asked, *(5000, 1)[len(asked) :]]) else 0)
