"""Make the README's pictures and week.md anew: `python notebooks/make_pictures.py [folder] [n]`.

Every figure in them is measured here, over the three evenings of the practice week.
"""

from __future__ import annotations

import sys
from pathlib import Path

from experiments import compare, draw, engine, load, vary
from experiments.charts.differences import differences_of_measures
from experiments.handouts.answers import Answer, answer_of, headline, plan_table, sentences
from experiments.handouts.handout import studies_of
from experiments.studies.compare import Compared
from experiments.words.wording import title_of

WEEK = ("week-trapped-line", "week-end-zone-pair", "week-denied-reset")
LATE = [6.0, 6.5, 7.0, 7.25, 7.5, 7.75, 8.0]
SHOWN = ("completed", "gain_m", "off_centre_m", "trapped")
QUIET = engine(progress=False)


def make(folder: Path, n: int = 2000) -> list[Path]:
    """Write the pictures and ``week.md`` into a folder; `n` rehearsals of each plan."""
    folder.mkdir(parents=True, exist_ok=True)
    week = [compare(load(name), n=n, engine=QUIET) for name in WEEK]
    trapped, _, denied = week
    charts = {
        "play": draw(studies_of(trapped)[0], "play"),
        "timing": draw(vary(trapped.situation, {"stall": LATE}, n=n, engine=QUIET)),
        "plans": differences_of_measures(denied, measures=SHOWN),
    }
    written = []
    for name, ax in charts.items():
        path = folder / f"{name}.png"
        ax.get_figure(root=True).savefig(path, dpi=110)
        written.append(path)
    path = folder / "week.md"
    path.write_text("\n".join(line for each in week for line in evening(each)), "utf-8")
    return [*written, path]


def evening(compared: Compared) -> list[str]:
    """One situation of the week in Markdown: what was asked, what came of it, a row a plan."""
    found: Answer = answer_of({s.situation.plan: s for s in studies_of(compared)})
    table = plan_table(found)
    situation = compared.situation
    rows = [table.heads, ["---"] * len(table.heads), *table.rows]
    return [
        f"## {title_of(situation)}\n",
        f"*{situation.question}* (`{situation.name}`)\n",
        f"**{headline(found)}** {' '.join(sentences(found))}\n",
        *(f"| {' | '.join(row)} |" for row in rows),
        f"\n{table.note.replace('*', chr(92) + '*')}\n",
    ]


if __name__ == "__main__":
    target = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).with_name("pictures")
    for made in make(target, int(sys.argv[2]) if len(sys.argv) > 2 else 2000):
        print(f"wrote {made}")
