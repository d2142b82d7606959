"""Play a throw from the stored table: plain functions on numbers and array rows.

A node of the table is one solved throw: kind of throw, shape, wind along, wind across, distance.
It holds the flight and what errors of the release do to it, as polynomials of the share u of a
time that is long enough for every flight of the node, with errors, to come to the ground:

    (ahead, aside, height - release height) = sum of u^n C[n],    n = 1 .. ORDER
    C = sum over terms of weight * C of the term

The terms and their weights, each error in units of its STEP: 1; speed, pitch, roll, spin; their
squares; speed pitch, speed roll, pitch roll. An error e of spin counts as 1/(1 + e) - 1, since a
disc turns over in proportion to one over its spin. Coefficients are blended linearly in both winds
and the distance. What the blend then misses the aim by is taken off in
proportion to time, so a flight without errors is at its aim, at catching height, when `duration`
says.

Near the longest reach flights change quickly with distance, and the reach changes with the wind.
So each wind node is asked not for the flight over d but over d + (its reach - the reach here) x^2,
x being d as a share of the reach here: short throws are compared at one distance, the longest
ones at one share of the reach.

What is not here, so that the caller does it:

- a left-hander: the mirror image; give `across` and take `aside` with the other sign;
- an error of heading: turn the flight about the release point. That neglects that the wind does
  not turn with it: an error of 5 degrees in a wind of 6 m/s changes the cross wind by 0.5 m/s;
- winds beyond `table.winds[0]` to `table.winds[-1]`: refuse them; here they would be extrapolated;
- distances under the first node, `table.distances[0]` (1 m): hand the disc over; here the flight
  is extrapolated;
- distances beyond `reach`: the flight is the longest there is, and falls short of the aim.

Only + - * / and comparisons are used, so that the results are the same to the bit compiled or not.
Times are in seconds, lengths in metres, angles in radians.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from importlib import resources
from io import BytesIO
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim import machine_code
from sim.flight.shapes import SHAPES, THROWS
from sim.lowlevel import blank

Array = NDArray[np.float64]

FILE = "flights.npz"
QUANTUM = 1e-3  # m, of the stored coefficients

ORDER = 8
TERMS = 12
_NUMBERS = 3 * ORDER  # of one term: ahead, aside and height for each power

# Units of the errors in the table: relative speed, pitch (rad), roll (rad), relative 1 / spin.
SPEED_STEP = 0.1
PITCH_STEP = 0.06981317007977318
ROLL_STEP = 0.17453292519943295
SPIN_STEP = 0.2

# A flight that is still in the air at the end of the table's time goes on straight, falling at
# this speed (m/s) at least.
LEAST_FALL = 3.0

_SCAN = 32
_ROUNDS = 8


class Table(NamedTuple):
    """The stored flights of right-handers.

    Attributes
    ----------
    distances, winds : nodes, rising; the winds are the same along and across.
    reach : (throws, shapes, along, across) longest distance.
    times : (throws, shapes, along, across, distances, 2) seconds per metre of distance to the
        catch, and to the end of the time that the polynomials cover.
    cells : (throws, shapes, along, across, distances, TERMS, 3 ORDER) coefficients, for each power
        ahead, aside, height. Nodes beyond the reach hold the flight to the reach.
    release_height, catch_height : metres.
    """

    distances: Array
    winds: Array
    reach: Array
    times: Array
    cells: Array
    release_height: float
    catch_height: float


@lru_cache(maxsize=1)
def load_table() -> Table:
    """Return the table stored in the package."""
    with resources.files("sim.flight").joinpath(FILE).open("rb") as stream, np.load(stream) as kept:
        return made(kept)


@lru_cache(maxsize=1)
def table_record() -> Any:
    """The same table as one record, (1,), whose address is handed on in compiled code.

    It is unpacked once and then read from the folder of the machine code, where all processes share it.
    """
    kept = machine_code.folder(rules=False)
    if kept is None:
        return _record()

    def made() -> bytes:
        file = BytesIO()
        np.save(file, _record())
        return file.getvalue()

    machine_code.kept_bytes(kept / "flights.npy", made)
    return np.load(kept / "flights.npy", mmap_mode="r")


def _record() -> Any:
    table = {name: np.asarray(value) for name, value in load_table()._asdict().items()}
    fields = [(name, np.float64, value.shape) for name, value in table.items()]
    rows = np.zeros(1, np.dtype(fields, align=True))
    for name, value in table.items():
        rows[name][0] = value
    return rows


def made(kept: Mapping[str, Any]) -> Table:
    """Return the table made of what `sim.flight.build` found.

    Its coefficients are of u T_k(2u - 1); those of powers of u follow from the recurrence
    T_k+1(x) = 2 x T_k(x) - T_k-1(x), x = 2u - 1.
    """
    if list(kept["throws"]) != list(THROWS) or list(kept["shapes"]) != list(SHAPES):
        raise ValueError("the stored table of flights is of another version; rebuild it")
    powers = [[1.0], [-1.0, 2.0]]
    while len(powers) < ORDER:
        longer = [-2.0 * c for c in powers[-1]] + [0.0]
        for n, c in enumerate(powers[-1]):
            longer[n + 1] += 4.0 * c
        for n, c in enumerate(powers[-2]):
            longer[n] -= c
        powers.append(longer)
    stored = np.asarray(kept["cells"])
    cells = np.empty(stored.shape)
    # as many nodes at a time as a processor keeps at hand
    several = (len(THROWS) * len(SHAPES) * len(kept["winds"]), -1, ORDER, 3)
    for nodes, found in zip(stored.reshape(several), cells.reshape(several), strict=True):
        terms = nodes.transpose(1, 0, 2).astype(np.float64)
        for n in range(ORDER):
            found[:, n] = sum(powers[k][n] * QUANTUM * terms[k] for k in range(n, ORDER))
    distances, winds, reaches, times = (
        np.asarray(kept[name], np.float64) for name in ("distances", "winds", "reach", "times")
    )
    cells = cells.reshape(*stored.shape[:-2], 3 * ORDER)
    low, high = float(kept["release_height"]), float(kept["catch_height"])
    return Table(distances, winds, reaches, times, cells, low, high)


def place(nodes, value):
    """Index of the node below a value, and the share of the way to the next; ends extrapolate."""
    low = 0
    while low < len(nodes) - 2 and nodes[low + 1] < value:
        low += 1
    return low, (value - nodes[low]) / (nodes[low + 1] - nodes[low])


def place_distance(table, top, asked):
    """The same for a distance in a lane with reach `top`, whose last node lies at the reach."""
    if asked > top:
        asked = top
    low = 0
    while low < len(table.distances) - 2 and table.distances[low + 1] < asked:
        low += 1
    end = table.distances[low + 1]
    if end > top:
        end = top
    return low, (asked - table.distances[low]) / (end - table.distances[low])


def reach(table, throw, shape, along, across):
    """Longest distance (m) to which a throw (code) of a shape (code) gets in a wind (m/s).

    along, across : positive blowing away from the thrower, and to the right of the throw.
    """
    i, a = place(table.winds, along)
    j, b = place(table.winds, across)
    total = 0.0
    for corner in range(4):
        m = i + corner // 2
        n = j + corner % 2
        weight = (a if corner // 2 else 1.0 - a) * (b if corner % 2 else 1.0 - b)
        total += weight * table.reach[throw, shape, m, n]
    return total


def duration(table, throw, shape, distance, along, across):
    """Seconds from release until a throw without errors is at the catch point.

    Beyond `reach` it is the time of the longest flight.
    """
    return span(table, throw, shape, distance, along, across, 0)


def span(table, throw, shape, distance, along, across, which):
    """Blend one of the two columns of `table.times`, in seconds."""
    longest = reach(table, throw, shape, along, across)
    flown = distance if distance < longest else longest
    stretch = (flown / longest) * (flown / longest)
    i, a = place(table.winds, along)
    j, b = place(table.winds, across)
    total = 0.0
    for corner in range(4):
        m = i + corner // 2
        n = j + corner % 2
        weight = (a if corner // 2 else 1.0 - a) * (b if corner % 2 else 1.0 - b)
        top = table.reach[throw, shape, m, n]
        k, c = place_distance(table, top, flown + (top - longest) * stretch)
        low = table.times[throw, shape, m, n, k, which]
        high = table.times[throw, shape, m, n, k + 1, which]
        total += weight * ((1.0 - c) * low + c * high)
    return total * flown


def lay_out(
    table, throw, shape, distance, along, across, height, d_speed, d_pitch, d_roll, d_spin, knots
):
    """Fill knots (K, 3) with the path of a throw with errors; return the seconds between them.

    Parameters
    ----------
    throw, shape : codes, places in THROWS and SHAPES.
    distance : m, of the aim, where a throw without errors is at catching height.
    along, across : wind, m/s, as in `reach`.
    height : m, of the release. Other heights than the table's shift the start by the difference,
        which goes to nothing in proportion to time at the catch, and on from there. For 0.4 to
        2.0 m a throw solved for that height differs by 0.2 m in height and 0.12 s up to the aim
        (floated 0.5 m, 0.2 s), and where it lands by 5 m and 0.6 s.
    d_speed, d_spin : relative errors. d_pitch : rad, of the velocity, with the disc; up is
        positive. d_roll : rad, about the velocity, right edge low is positive.
    knots : (K, 3) ahead, aside (positive to the right), height above the ground, evenly spaced in
        time from the release to the ground; the last height is 0.
    """
    weights = blank(1, TERMS)[0]
    s = d_speed / SPEED_STEP
    p = d_pitch / PITCH_STEP
    r = d_roll / ROLL_STEP
    q = (1.0 / (1.0 + d_spin) - 1.0) / SPIN_STEP
    weights[0] = 1.0
    weights[1] = s
    weights[2] = p
    weights[3] = r
    weights[4] = q
    weights[5] = s * s
    weights[6] = p * p
    weights[7] = r * r
    weights[8] = q * q
    weights[9] = s * p
    weights[10] = s * r
    weights[11] = p * r
    longest = reach(table, throw, shape, along, across)
    flown = distance if distance < longest else longest
    stretch = (flown / longest) * (flown / longest)
    i, a = place(table.winds, along)
    j, b = place(table.winds, across)
    # Row 0: the flight without errors, row 1: what errors add.
    blend = blank(2, _NUMBERS)
    for row in range(2):
        for c in range(_NUMBERS):
            blend[row, c] = 0.0
    catch = 0.0
    whole = 0.0
    for corner in range(4):
        m = i + corner // 2
        n = j + corner % 2
        wind = (a if corner // 2 else 1.0 - a) * (b if corner % 2 else 1.0 - b)
        top = table.reach[throw, shape, m, n]
        k, part = place_distance(table, top, flown + (top - longest) * stretch)
        for side in range(2):
            share = wind * (part if side else 1.0 - part)
            catch += share * table.times[throw, shape, m, n, k + side, 0]
            whole += share * table.times[throw, shape, m, n, k + side, 1]
            for term in range(TERMS):
                weight = share * weights[term]
                if weight != 0.0:
                    row = 1 if term else 0
                    for c in range(3 * ORDER):
                        blend[row, c] += weight * table.cells[throw, shape, m, n, k + side, term, c]
    catch *= flown
    whole *= flown
    # Take off what the blend misses the aim by, and shift the height of the release.
    u = catch / whole
    blend[0, 0] += (flown - along_power(blend[0], 0, u)) / u
    blend[0, 1] += (0.0 - along_power(blend[0], 1, u)) / u
    blend[0, 2] += (table.catch_height - height - along_power(blend[0], 2, u)) / u
    for c in range(3 * ORDER):
        blend[0, c] += blend[1, c]
    landing = ground(blend[0], height, whole)
    last = len(knots) - 1
    for k in range(last + 1):
        u = landing * k / last
        v = u if u < 1.0 else 1.0
        knots[k, 0] = along_power(blend[0], 0, v)
        knots[k, 1] = along_power(blend[0], 1, v)
        knots[k, 2] = height + along_power(blend[0], 2, v)
        if u > 1.0:
            fall = fall_at_end(blend[0], whole)
            knots[k, 0] += (u - 1.0) * slope_at_end(blend[0], 0)
            knots[k, 1] += (u - 1.0) * slope_at_end(blend[0], 1)
            knots[k, 2] -= (u - 1.0) * fall
    knots[last, 2] = 0.0
    return landing * whole / last


def on_the_way(knots, step, age):
    """Where a disc is `age` s after its release: place and height of a way of `lay_out`, m."""
    last = len(knots) - 1
    at = min(max(age / step, 0.0), float(last))
    k = min(int(at), last - 1)
    part = at - k
    return (
        knots[k, 0] * (1.0 - part) + knots[k + 1, 0] * part,
        knots[k, 1] * (1.0 - part) + knots[k + 1, 1] * part,
        knots[k, 2] * (1.0 - part) + knots[k + 1, 2] * part,
    )


def along_power(row, axis, u):
    """The polynomial of one axis (0 ahead, 1 aside, 2 height) at u."""
    value = row[3 * (ORDER - 1) + axis]
    for n in range(ORDER - 2, -1, -1):
        value = value * u + row[3 * n + axis]
    return value * u


def slope_at_end(row, axis):
    """Its slope at u = 1, in metres per whole time."""
    value = 0.0
    for n in range(ORDER):
        value += (n + 1) * row[3 * n + axis]
    return value


def fall_at_end(row, whole):
    """Metres per whole time by which a flight falls after the end of the table's time."""
    fall = 0.0 - slope_at_end(row, 2)
    least = LEAST_FALL * whole
    return fall if fall > least else least


def ground(row, height, whole):
    """Share of the whole time at which a flight first comes to the ground; may exceed 1."""
    low = 0.0
    above = height
    for k in range(1, _SCAN + 1):
        high = k / _SCAN
        below = height + along_power(row, 2, high)
        if below <= 0.0:
            # Illinois variant of false position: the crossing lies between low and high.
            middle = high
            for _ in range(_ROUNDS):
                middle = (low * below - high * above) / (below - above)
                value = height + along_power(row, 2, middle)
                if value <= 0.0:
                    high = middle
                    below = value
                    above *= 0.5
                else:
                    low = middle
                    above = value
                    below *= 0.5
            return middle
        low = high
        above = below
    return 1.0 + above / fall_at_end(row, whole)
