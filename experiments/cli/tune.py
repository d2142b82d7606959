"""`stallwise tune`: the best values of some settings, and all that are as good."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from experiments.cli import asking, options
from experiments.cli.keeping import drawn, keep, tell_end
from experiments.cli.output import print_json, print_table
from experiments.situations.asks import judged_by
from experiments.situations.files import load
from experiments.statistics.subset_selection import MARGIN
from experiments.studies.rehearse import DEFAULT_SEED
from experiments.studies.tuning.result import Tuned
from experiments.studies.tuning.search import DEFAULT_N, tune
from experiments.words.looks import hardly_thrown
from experiments.words.measured import (
    number,
    span,
    told,
    told_difference,
    unit_of,
    words_of,
)
from experiments.words.wording import count, join

if TYPE_CHECKING:
    pass

Ranges = Annotated[
    list[str],
    typer.Argument(
        metavar="PATH=LOW:HIGH...", help="One to four settings by their path, with their range."
    ),
]
Points = Annotated[
    int | None,
    typer.Option(
        "--points",
        metavar="N",
        parser=options.number(int, 2, 10_000),
        help="How many to try at first.",
    ),
]


def tune_settings(
    situation: options.SituationName,
    ranges: Ranges,
    n: asking.Size = None,
    within: asking.WithinValue = None,
    points: Points = None,
    measure: asking.Asked = None,
    weights: asking.WeightsOption = None,
    margin: asking.Margin = MARGIN,
    seed: options.Seed = DEFAULT_SEED,
    jobs: options.Jobs = None,
    cluster: options.Cluster = None,
    settings: options.Settings = None,
    json: options.Json = False,
    out: options.Out = None,
) -> None:
    """Tune a plan: search for the best timing, angle, depth ... and all that are as good."""
    chosen = options.with_settings(load(situation), settings)
    ends = asking.by_path(ranges, "LOW:HIGH", asking.ends_in)
    tried = points or 8 + 8 * len(ends)
    found = tune(
        chosen,
        ends,
        n,
        seed,
        within=within,
        points=points,
        measure=measure or judged_by(chosen.asks),
        margin=margin,
        weights=asking.weights_of(weights),
        engine=asking.engine_for(
            chosen, jobs, None if within else tried * (n or DEFAULT_N), out, cluster
        ),
    )
    findings = _findings(found)
    written = keep(
        out,
        found.as_dict(),
        {"tried": found.table()},
        {"tuning": lambda: drawn(found, "tuning")},
        findings,
    )
    if json:
        print_json(found.as_dict())
        return
    _tell(found, findings)
    tell_end(
        sum(run.rehearsed for run in found.runs), found.per_second, written, reached=found.reached
    )


def _findings(found: Tuned) -> list[str]:
    """In plain words, for the screen and for the handout."""
    measure = found.judge.measure
    words = words_of(measure, found.situation)
    units = {r.path: unit_of(r.setting) for r in found.ranges}
    best = join(
        [
            f"{r.path} {number(v)} {unit_of(r.setting)}".rstrip()
            for r, v in zip(found.ranges, found.best.values, strict=True)
        ]
    )
    plateau = join([f"{path} {span(e, units[path])}" for path, e in found.plateau_ranges.items()])
    lines = [
        f"Best of the {len(found.tried)} tried: {best}.",
        f"As good to within {found.judge.margin:g}, as far as this can tell: "
        f"{len(found.plateau)} of them, with {plateau}.",
        *([_unsure(found)] if any(e.unsure for e in found.plateau) else []),
        *(f"The best {path} is the end of its range: widen it." for path in found.at_an_end),
        f"With other luck, which had no say in the choice, {words} of the best is "
        f"{told(found.fresh, measure)}.",
    ]
    gain = found.fresh_gain
    if found.best.in_use:
        lines.append("The settings in use are the best that was tried.")
    elif gain is not None:
        sure = gain.low > 0.0 or gain.high < 0.0
        lines.append(
            f"Against the settings in use that is {told_difference(gain, measure)}"
            f"{'' if sure else ', which may be nothing'}."
        )
    careful = hardly_thrown(found.situation, found.situation.plan, found.fresh_looks)
    if careful:
        lines.insert(0, careful)
    if len(found.ranges) > 1:
        lines.append("Not every combination within those ranges need be as good.")
    return lines


def _unsure(found: Tuned) -> str:
    """How many of those as good may be worse all the same."""
    many = sum(entry.unsure for entry in found.plateau)
    fewest = min(entry.n for entry in found.plateau if entry.unsure)
    return (
        f"Of {many} of those it could not tell: with {count(fewest)} rehearsals they may be worse "
        "than the best by more than that."
    )


def _tell(found: Tuned, findings: list[str]) -> None:
    s, judge = found.situation, found.judge
    print(f"{s.title or s.name}: plan {s.plan} against {s.defence}, force {s.force}")
    print(f"seed {found.seed}; the same luck for everything tried")
    if judge.measure.name == "score":
        print(f"score: {judge.weights}; 0 for a pass that is not completed")
    print()
    ordered = sorted(found.plateau, key=lambda e: -judge.measure.more * e.found.estimate)
    rows = [
        (
            *map(number, entry.values),
            told(fresh, judge.measure) if (fresh := found.with_fresh_luck(entry)) else "",
            told(entry.found, judge.measure),
            told_difference(entry.behind, judge.measure),
            "could not tell" if entry.unsure else "best" if entry.best else "as good",
            count(entry.n),
        )
        for entry in ordered[:12]
    ]
    heads = [r.name for r in found.ranges]
    if len(set(heads)) < len(heads):
        heads = [r.path for r in found.ranges]
    words = words_of(judge.measure, s)
    told_of = (f"{words}, other luck", "in the search", "less the best", "", "rehearsals")
    print_table((*heads, *told_of), rows, left=0)
    if len(ordered) > 12:
        print(f"... and {len(ordered) - 12} more that are as good")
    print()
    print(*findings, sep="\n")
    for left_out in found.left_out:
        print(f"left out: {left_out}")
