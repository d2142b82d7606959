"""Morris screening: which of many parameters matter, by elementary effects.

Morris 1991, Technometrics 33:161-174; the mean of absolute effects, mu*, is of Campolongo, Cariboni
& Saltelli 2007, Environ. Model. Softw. 22:1509-1518. Design and measures are SALib's. An effect is
the change that was measured when a parameter went up by one step of the paths, two thirds of its
range: Morris's effect, which is a slope, times the step.

The outcome is an average over rehearsals, and all points have the same luck, so that the
precision of an effect follows from how it differs between rehearsals.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
from SALib.analyze import morris as analyse
from SALib.sample import morris as sample

from experiments.situations.grid import Range
from experiments.statistics.estimates import Estimate
from experiments.statistics.scores import PLAIN, worth_of_changes

Floats = npt.NDArray[np.float64]

LEVELS = 4
# The step of the paths, as a share of the range (Morris 1991).
STEP = LEVELS / (2.0 * (LEVELS - 1))
MORRIS = ("mu_star", "mu_star_conf", "sigma")


@dataclasses.dataclass(frozen=True)
class Effect:
    """The effect of one parameter on the outcome.

    Attributes
    ----------
    range : of the parameter.
    mean : the average change over a step, with an interval for the luck of the rehearsals that allows for
        the number of effects.
    size : the average change without sign, mu* times the step.
    size_spread : half-width of its 95 % interval over where in the ranges it is taken.
    varies : how much the change differs with the other parameters, sigma times the step.
    noise : what the size would be, on average, if the parameter did nothing at all.
    matters : whether some effect of it is clear beyond the luck of the rehearsals.
    """

    range: Range
    mean: Estimate
    size: float
    size_spread: float
    varies: float
    noise: float
    matters: bool


def paths(ranges: Sequence[Range], count: int, seed: int) -> Floats:
    """(count * (parameters + 1), parameters) the points of `count` paths through the ranges."""
    points = sample.sample(_problem(ranges), count, num_levels=LEVELS, seed=seed)
    low, high = (np.array([getattr(r, end) for r in ranges]) for end in ("low", "high"))
    # Rounding may give a value just outside, which the situation would refuse.
    return np.clip(points, low, high)


def screen(
    ranges: Sequence[Range],
    points: Floats,
    outcomes: Floats,
    changes: Floats,
    seed: int,
    level: float = 0.95,
) -> tuple[Effect, ...]:
    """The effect of every parameter, the largest mu* first.

    Parameters
    ----------
    outcomes : (points, R) of each rehearsal at each point, on the same luck.
    changes : (points, R) the passes in it that were completed, or goals; see
        `experiments.statistics.scores.worth_of_changes`.
    seed : of SALib's resampling.
    level : the chance at least that no parameter that does nothing at all is said to matter
        (Bonferroni over all effects and their averages).
    """
    averages = outcomes.mean(axis=1)
    found = analyse.analyze(
        _problem(ranges), points, averages, num_levels=LEVELS, num_resamples=400, seed=seed
    )
    count = len(points) // (len(ranges) + 1)
    each = 1.0 - (1.0 - level) / (len(ranges) * (count + 1))
    effects = []
    for index, r in enumerate(ranges):
        effect, net = (_elementary(points, of, index, len(ranges)) for of in (outcomes, changes))
        average = worth_of_changes(effect.mean(axis=0), net.mean(axis=0), each, PLAIN / len(effect))
        single = [worth_of_changes(*path, each) for path in zip(effect, net, strict=True)]
        # An average without sign of pure noise is sqrt(2/pi) of its standard error.
        errors = effect.std(axis=1) / math.sqrt(max(effect.shape[1] - 1, 1))
        noise = math.sqrt(2.0 / math.pi) * float(errors.mean())
        size, spread, varies = (STEP * float(np.ma.getdata(found[key])[index]) for key in MORRIS)
        matters = any(e.sign != 0 for e in (average, *single))
        effects.append(Effect(r, average, size, spread, varies, noise, matters))
    return tuple(sorted(effects, key=lambda effect: -effect.size))


def _problem(ranges: Sequence[Range]) -> dict[str, object]:
    return {
        "num_vars": len(ranges),
        "names": [r.path for r in ranges],
        "bounds": [[r.low, r.high] for r in ranges],
    }


def _elementary(points: Floats, outcomes: Floats, index: int, parameters: int) -> Floats:
    """(paths, R) the change as one parameter goes up a step on each path, in each rehearsal."""
    steps = np.diff(points[:, index])
    inside = (np.arange(len(steps)) + 1) % (parameters + 1) != 0
    here = np.flatnonzero((steps != 0.0) & inside)
    changes = outcomes[here + 1] - outcomes[here]
    return changes * np.sign(steps[here])[:, np.newaxis]
