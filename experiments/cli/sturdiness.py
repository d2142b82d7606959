"""`stallwise sturdiness`: would other assumptions overturn that one plan is better?"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from experiments.cli import asking, options
from experiments.cli.keeping import Draw, drawn, keep, tell_end
from experiments.cli.output import print_json, print_table
from experiments.errors import StallwiseError
from experiments.situations.asks import judged_by
from experiments.situations.files import load
from experiments.studies.rehearse import DEFAULT_SEED
from experiments.words.measured import number, span, unit_of
from experiments.words.wording import minus, percent

if TYPE_CHECKING:
    from experiments.studies.sturdiness.result import Sturdiness

TwoPlans = Annotated[str, typer.Option("--plans", metavar="A,B", help="The two plans.")]
Over = Annotated[
    list[str] | None,
    typer.Option(
        "--over",
        metavar="PATH[=LOW:HIGH]",
        help="An assumption, with its range if wanted; may be repeated. "
        "By default running, seeing, throwing, the mark, the cover and the wind.",
    ),
]
Spread = Annotated[
    float,
    typer.Option(
        "--spread",
        metavar="SHARE",
        parser=options.number(float, 0.01, 1.0),
        help="Width of a plausible range, as a share of the allowed one.",
    ),
]
Paths = Annotated[
    int,
    typer.Option(
        "--paths",
        metavar="N",
        parser=options.number(int, 2, 1000),
        help="How many paths through the assumptions; more take longer and tell more.",
    ),
]


def ask_sturdiness(
    situation: options.SituationName,
    plans: TwoPlans,
    over: Over = None,
    spread: Spread = 0.25,
    paths: Paths = 4,
    n: asking.Size = None,
    within: asking.WithinValue = None,
    measure: asking.Asked = None,
    weights: asking.WeightsOption = None,
    seed: options.Seed = DEFAULT_SEED,
    jobs: options.Jobs = None,
    cluster: options.Cluster = None,
    settings: options.Settings = None,
    json: options.Json = False,
    out: options.Out = None,
) -> None:
    """Ask which assumptions could overturn that one plan is better than another."""
    # What screens takes a second to import, and most commands do not.
    from experiments.studies.sturdiness.analysis import sturdiness

    chosen = options.with_settings(load(situation), settings)
    names = asking.listed(plans) or []
    if len(names) != 2:
        raise StallwiseError(
            f"--plans: found {plans!r}; allowed: two of {', '.join(chosen.plans)}, as A,B"
        )
    found = sturdiness(
        chosen,
        (names[0], names[1]),
        n,
        seed,
        within=within,
        over=_ranges(over),
        spread=spread,
        count=paths,
        measure=measure or judged_by(chosen.asks),
        weights=asking.weights_of(weights),
        engine=asking.engine_for(chosen, jobs, None, out, cluster),
    )
    charts: dict[str, Draw] = {"screening": lambda: drawn(found, "screening")}
    if found.turns:
        charts["turns"] = lambda: drawn(found, "turns")
    tables = {
        "assumptions": found.table(),
        "turns": found.turns_table(),
        "tried": found.tried_table(),
    }
    written = keep(out, found.as_dict(), tables, charts, found.statement())
    if json:
        print_json(found.as_dict())
        return
    _tell(found)
    tell_end(
        sum(run.rehearsed for run in found.runs), found.per_second, written, reached=found.reached
    )


def _ranges(over: list[str] | None) -> dict[str, tuple[float, float] | None] | None:
    if not over:
        return None
    plain = {text.strip(): None for text in over if "=" not in text}
    given = asking.by_path([text for text in over if "=" in text], "LOW:HIGH", asking.ends_in)
    return {**plain, **given}


def _tell(found: Sturdiness) -> None:
    s = found.situation
    print(f"{s.title or s.name}: {found.better} and {found.other} against {s.defence}")
    print(f"seed {found.seed}; {len(found.tried)} sets of assumptions, all with the same luck")
    if found.measure.name == "score":
        print(f"score: {found.weights}; 0 for a pass that is not completed")
    print()
    verdicts = {turn.range.path: turn.verdict for turn in found.turns}
    rows = [
        (
            e.range.path,
            number(e.range.now or 0.0),
            span((e.range.low, e.range.high), unit_of(e.range.setting)),
            minus(f"{e.mean.estimate:+.3f} ({e.mean.low:+.3f} to {e.mean.high:+.3f})"),
            f"{e.size:.3f}",
            f"{e.noise:.3f}",
            "yes" if e.matters else "no",
            verdicts.get(e.range.path, "not followed"),
        )
        for e in found.effects
    ]
    heads = (
        "assumption",
        "in use",
        "range",
        "average effect",
        "size",
        "luck alone",
        "beyond luck",
        "the advice",
    )
    print_table(heads, rows)
    print()
    print(
        "Effect: how much the difference changes as the assumption rises by two thirds of its "
        "range. Size: the same without sign, so that effects that cancel count."
    )
    sure = percent(found.advice.level, 0)
    print(
        f"With {sure} certainty nothing said here of other assumptions is luck: neither what is "
        "beyond luck, nor which plan is clearly better with them."
    )
    print()
    print(*found.statement(), sep="\n")
