"""`stallwise compare`: which plan is better, on the same luck, and by how much."""

from __future__ import annotations

from typing import TYPE_CHECKING

from experiments.cli import asking, options
from experiments.cli.keeping import drawn, keep, tell_end
from experiments.cli.output import print_json, print_table
from experiments.situations.files import load
from experiments.statistics.comparison import MEASURES as COMPARED
from experiments.statistics.measures import MEASURES
from experiments.studies.compare import Compared, compare
from experiments.studies.rehearse import DEFAULT_N, DEFAULT_SEED
from experiments.words.looks import HEADS, look_lines
from experiments.words.measured import told, told_difference, words_of
from experiments.words.traps import traps
from experiments.words.wording import count, percent

if TYPE_CHECKING:
    pass


def compare_plans(
    situation: options.SituationName,
    plans: asking.Plans = None,
    n: asking.Size = None,
    within: options.Within = None,
    seed: options.Seed = DEFAULT_SEED,
    weights: asking.WeightsOption = None,
    jobs: options.Jobs = None,
    cluster: options.Cluster = None,
    settings: options.Settings = None,
    json: options.Json = False,
    out: options.Out = None,
    units: options.UnitsOption = options.Units.m,
) -> None:
    """Compare plans on the same luck: differences from the first, with their intervals."""
    chosen = options.with_settings(load(situation), settings)
    names = asking.listed(plans)
    expected = None if within else (n or DEFAULT_N) * len(names or chosen.plans)
    found = compare(
        chosen,
        names,
        n,
        seed,
        within=within,
        weights=asking.weights_of(weights),
        engine=asking.engine_for(chosen, jobs, expected, out, cluster),
    )
    written = keep(
        out,
        found.as_dict(),
        {
            "differences": found.table(),
            "estimates": found.estimates(),
            "looks": found.looks_table(),
        },
        {"differences": lambda: drawn(found, "differences", units)},
    )
    if json:
        print_json(found.as_dict())
        return
    _tell(found, units)
    done = found.rehearsed
    tell_end(done.run.rehearsed, done.run.per_second, written, reached=done.reached)


def _tell(found: Compared, units: str) -> None:
    c, s = found.comparison, found.situation
    heads = [words_of(MEASURES[name], s) for name in COMPARED]
    print(f"{s.title or s.name}: against {s.defence}, force {s.force}, seed {found.seed}")
    for plan, table in found.rehearsed.tables.items():
        for careful in traps(s.with_setting("plan", plan), table):
            print(careful)
    print(f"{count(found.n)} rehearsals of each plan, all with the same luck")
    print()
    rows = [
        (plan, *(_below(told(e, MEASURES[name], units)) for name, e in measures.items()))
        for plan, measures in c.estimates.items()
    ]
    print_table(("plan", *heads), rows)
    print()
    print(f"More or less than {c.baseline}; * where they surely differ:")
    plans = list(dict.fromkeys(d.plan for d in c.differences))
    rows = [
        (
            plan,
            *(
                _below(told_difference(d.difference, MEASURES[d.measure], units), star=d.clear)
                for d in c.differences
                if d.plan == plan
            ),
        )
        for plan in plans
    ]
    print_table(("plan", *heads), rows)
    print()
    print_table(
        ("plan", *HEADS),
        [
            (plan if k == 0 else "", *line)
            for plan, shares in found.looks.items()
            for k, line in enumerate(look_lines(shares))
        ],
        left=2,
    )
    print()
    print(
        f"Each interval holds {percent(c.differences[0].difference.level, 0)} of the time on its "
        f"own. The stars are judged together, all {len(c.differences)} of them (Holm)."
    )
    print(f"score: {c.weights}; 0 for a pass that is not completed")
    print("gain, distance off the middle and trapped: of the completed passes")


def _below(text: str, star: bool = False) -> str:
    """A figure with its interval on the line below."""
    first, _, rest = text.partition(" (")
    return f"{first}{' *' if star else ''}\n{rest.removesuffix(')')}"
