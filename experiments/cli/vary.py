"""`stallwise vary`: what changes as one or two settings change."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Annotated

import typer

from experiments.cli import asking, options
from experiments.cli.keeping import drawn, keep, tell_end
from experiments.cli.output import print_json, print_table
from experiments.situations.asks import judged_by
from experiments.situations.files import load
from experiments.statistics.measures import MEASURES
from experiments.statistics.subset_selection import MARGIN
from experiments.studies.rehearse import DEFAULT_SEED
from experiments.studies.vary import DEFAULT_N, Varied, vary
from experiments.words.measured import number, span, told, unit_of, words_of
from experiments.words.wording import count, percent

if TYPE_CHECKING:
    pass

Values = Annotated[
    list[str],
    typer.Argument(
        metavar="PATH=VALUES...",
        help="One or two settings by their path in the file, with LOW:HIGH:COUNT or V,V,...",
    ),
]


def vary_settings(
    situation: options.SituationName,
    values: Values,
    n: asking.Size = None,
    within: options.Within = None,
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
    """Vary one or two numeric settings: curves with bands, or a heat map."""
    chosen = options.with_settings(load(situation), settings)
    spots = asking.by_path(values, "LOW:HIGH:COUNT or PATH=V,V,...", asking.spots_in)
    points = math.prod(len(listed) for listed in spots.values())
    found = vary(
        chosen,
        spots,
        n,
        seed,
        within=within,
        measure=measure or judged_by(chosen.asks, "completed"),
        margin=margin,
        weights=asking.weights_of(weights),
        engine=asking.engine_for(
            chosen, jobs, None if within else points * (n or DEFAULT_N), out, cluster
        ),
    )
    written = keep(
        out, found.as_dict(), {"vary": found.table()}, {"vary": lambda: drawn(found, "vary")}
    )
    if json:
        print_json(found.as_dict())
        return
    _tell(found)
    done = found.rehearsed
    tell_end(done.run.rehearsed, done.run.per_second, written, reached=done.reached)


def _tell(found: Varied) -> None:
    s = found.situation
    print(f"{s.title or s.name}: plan {s.plan} against {s.defence}, force {s.force}")
    print(f"{count(found.rehearsed.n)} rehearsals of each, all with the luck of seed {found.seed}")
    for setting in found.settings:
        print(f"{setting.path} in use: {_in_use(setting.value)} {unit_of(setting)}".rstrip())
    print()
    shown = list(dict.fromkeys(("completed", found.measure.name, "gain_m", "off_centre_m")))
    heads = [setting.path.rsplit(".", 1)[-1] for setting in found.settings]
    judged = found.best is not None
    rows = [
        (
            *map(number, point.values),
            *(told(point.found[name], MEASURES[name]) for name in shown),
            percent(point.first_look.estimate),
            *(["best" if point.best else "as good" if point.as_good else ""] if judged else []),
        )
        for point in found.points
    ]
    words = [words_of(MEASURES[name], s) for name in shown]
    words.append("first look thrown")
    print_table(
        (*heads, *words, *([f"best {found.measure.words}"] if judged else [])), rows, left=0
    )
    print()
    if found.window is not None:
        unit = unit_of(found.settings[0])
        near = f"to within {found.margin:g}, as far as this can tell"
        print(f"As good as the best {near}: {span(found.window, unit)}")


def _in_use(value: object) -> str:
    return number(float(value)) if isinstance(value, (int, float)) else "nothing"
