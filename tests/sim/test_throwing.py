"""The throw: from the hand to the aim when nothing goes wrong, and errors of the stated size."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from sim.world import KNOTS, World

from sim.flight import SHAPES, load_table
from sim.intent import BACKHAND, FOREHAND
from sim.marking import MarkBody
from sim.scene import Scene, Wind
from sim.throwing import GUST, OFF_BALANCE, SHORTEST, release
from tests.sim.rig import StraightTable, fits, lay_out, player, spread_fits, sure, world_of

BODY = MarkBody()
N = 4000
HERE = (2.0, 20.0)
AIM = (-3.0, 35.0)


def scene_of(ability: Any = None, hand: int = 1, mark: Any = None, **more: Any) -> Scene:
    """A thrower, a receiver, and a marker at `mark` or far away."""
    ability = sure() if ability is None else ability
    marker = player("mark", mark or (-17.0, -17.0), role="defender", guards=0)
    attackers = [player("thrower", HERE, ability, hand=hand), player("receiver", AIM)]
    return lay_out(attackers, [marker], **more)


def thrown(
    scene: Scene,
    n: int = 1,
    *,
    aim: Any = AIM,
    kind: int = BACKHAND,
    shape: int = 0,
    over: bool = False,
    velocity: tuple[float, float] = (0.0, 0.0),
    table: Any = None,
    seed: int = 1,
) -> tuple[World, np.ndarray]:
    """The world after a release at 1 s, and where the mark's hand stopped it."""
    world = world_of(scene, n, seed)
    world.thrower[:], world.receiver[:] = 0, 1
    world.marker[:] = 2
    world.aim[:] = aim
    world.kind[:], world.shape[:], world.over[:] = kind, shape, over
    world.vel[:, 0] = velocity
    stopped = release(world, scene, table or StraightTable(), BODY, np.arange(n), 1.0)
    return world, stopped


def backhand_hand(aim: Any, pivot: float = 0.9) -> np.ndarray:
    """From a right-hander's chest to where a backhand is let go, worked out apart, (2,) m."""
    way = np.asarray(aim) - np.array(HERE)
    way = way / np.hypot(*way)
    return pivot * (0.5 * way + np.sqrt(0.75) * np.array([-way[1], way[0]]))


def errors(world: World, aim: Any = AIM) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Direction (deg, + right), elevation (deg) and length (share) a straight throw is off by."""
    start, end = world.knots[:, 0], world.knots[:, KNOTS - 1]
    to, flown = np.asarray(aim) - start[:, :2], end[:, :2] - start[:, :2]
    turn = np.degrees(np.arctan2(*flown.T) - np.arctan2(*to.T))
    meant = np.hypot(*to.T)
    length = (world.knot_step * (KNOTS - 1) - 1.0) * 10.0  # the table's own speed and fall
    second = world.knots[:, 2]
    ahead = np.hypot(*(second[:, :2] - start[:, :2]).T)
    loft = np.degrees(np.arctan2(second[:, 2] - start[:, 2], ahead))
    return turn, loft, length / meant - 1.0


# --- where it leaves the hand ------------------------------------------------------------------


@pytest.mark.parametrize(
    ("hand", "kind", "right"),
    [
        (1, FOREHAND, True),
        (1, BACKHAND, False),
        (-1, FOREHAND, False),
        (-1, BACKHAND, True),
    ],
)
def test_a_forehand_leaves_the_side_of_the_throwing_hand(hand, kind, right):
    """By hand: pivot 0.9 m, aim straight downfield: sqrt(0.75) of it aside, half of it forward."""
    world, _ = thrown(scene_of(hand=hand), aim=(HERE[0], HERE[1] + 20.0), kind=kind)
    aside = 0.9 * np.sqrt(0.75) * (1.0 if right else -1.0)
    assert world.knots[0, 0] == pytest.approx([HERE[0] + aside, HERE[1] + 0.45, 1.2])


# --- where it goes when nothing goes wrong -----------------------------------------------------


@pytest.mark.parametrize("wind", [Wind(), Wind(6.0, 0.7)], ids=["calm", "wind"])
@pytest.mark.parametrize("shape", range(len(SHAPES)), ids=SHAPES)
@pytest.mark.parametrize(("hand", "kind"), [(1, BACKHAND), (1, FOREHAND), (-1, FOREHAND)])
@pytest.mark.parametrize("aim", [(0.0, 26.0), (12.0, 31.0), (-14.0, 20.0), (5.0, 51.0), (8.0, 9.0)])
def test_a_throw_without_errors_comes_to_its_aim_at_catching_height(aim, hand, kind, shape, wind):
    """The disc flown by the world, between knots, against the table's own promise.

    25 straight pieces of a curved flight: within 12 cm of the aim across the ground and 12 cm of
    the catching height.
    """
    table = load_table()
    world, _ = thrown(scene_of(hand=hand, wind=wind), aim=aim, kind=kind, shape=shape, table=table)
    start = world.knots[0, 0, :2]
    meant = np.asarray(aim) - start
    far = np.hypot(*meant)
    way = meant / far
    along = np.dot(wind.vector, way)
    across = (wind.vector[0] * way[1] - wind.vector[1] * way[0]) * hand
    path = table.look_up(np.array([kind]), np.array([shape]), np.array([far]), along, across)
    assert path.reachable.all()
    there = world.flown(np.array([0]), path.duration)[0]
    assert there[:2] == pytest.approx(aim, abs=0.12)
    assert there[2] == pytest.approx(table.catch_height, abs=0.12)


def test_a_throw_beyond_the_throwers_range_comes_down_short():
    scene = scene_of(sure(range=25.0))
    world, _ = thrown(scene, aim=(2.0, 60.0))
    assert errors(world, (2.0, 60.0))[2] == pytest.approx(
        25.0 / np.hypot(0.9 * 0.75**0.5, 39.55) - 1
    )


def test_a_pass_shorter_than_a_handover_is_thrown_that_far():
    world, _ = thrown(scene_of(), aim=(2.0, 20.8))
    flown = (world.knot_step[0] * (KNOTS - 1) - 1.0) * 10.0
    assert flown == pytest.approx(SHORTEST)


# --- how far it errs ---------------------------------------------------------------------------


def test_errors_have_the_stated_spread_and_no_bias():
    """N 4000; false alarm below 1e-6 for each of the three. Landing spread, worked back."""
    ability = sure(aim_error=2.5, loft_error=1.5, pace_error=0.05)
    turn, loft, pace = errors(thrown(scene_of(ability), N)[0])
    assert spread_fits(turn, 2.5)
    assert spread_fits(loft, 1.5)
    assert spread_fits(pace, 0.05)
    worst = 6.0 / np.sqrt(N)  # a correlation of 0 within 6 sd: false alarm 2e-9
    for one, other in ((turn, loft), (turn, pace), (loft, pace)):
        assert abs(np.corrcoef(one, other)[0, 1]) < worst


@pytest.mark.parametrize(
    ("more", "of_throw", "times"),
    [
        ({"ability": {"weak_side": 1.6}}, {"kind": FOREHAND}, 1.6),
        ({"ability": {"weak_side": 1.6, "strong_side": "forehand"}}, {"kind": BACKHAND}, 1.6),
        ({"ability": {"weak_side": 1.6, "strong_side": "forehand"}}, {"kind": FOREHAND}, 1.0),
        ({"wind": Wind(8.0, 1.0)}, {}, 1.0 + 8.0 * GUST),
        ({}, {"velocity": (1.5, 2.0)}, 1.0 + 2.5 * OFF_BALANCE),
        ({"mark": "bothers"}, {}, 1.0 + BODY.hurry),
        ({"mark": "bothers"}, {"over": True}, (1.0 + BODY.hurry) * BODY.over_price),
    ],
    ids=["weak side", "weak backhand", "strong forehand", "wind", "moving", "mark", "over"],
)
def test_errors_grow_on_the_weak_side_in_wind_on_the_move_and_under_a_mark(more, of_throw, times):
    """The same luck met twice: each error is exactly so many times the plain one."""
    size = {"aim_error": 1.0, "loft_error": 0.5, "pace_error": 0.02}
    more = dict(more)
    changes = size | more.pop("ability", {})
    if more.pop("mark", None):
        # 1.2 m down the line and a little beside it: within reach whichever way the mark slides
        start = np.array([HERE[0], HERE[1]]) + backhand_hand(AIM)
        way = (np.array(AIM) - start) / np.hypot(*(np.array(AIM) - start))
        more["mark"] = tuple(start + 1.2 * way + 0.2 * np.array([way[1], -way[0]]))
    plain = thrown(scene_of(sure(**size)), 200)[0]
    grown = thrown(scene_of(sure(**changes), **more), 200, **of_throw)[0]
    sign = -1.0 if of_throw.get("kind") == FOREHAND else 1.0  # an error goes with the hand
    turn, loft, pace = errors(plain)
    turn_grown, loft_grown, pace_grown = errors(grown)
    assert turn_grown == pytest.approx(sign * times * turn, abs=1e-9)
    assert np.tan(np.radians(loft_grown)) == pytest.approx(
        np.tan(np.radians(times * loft)), abs=1e-9
    )
    assert pace_grown == pytest.approx(times * pace, abs=1e-9)


def test_the_lateral_miss_grows_with_distance():
    """An error of angle: three times as far, three times as wide, with the same luck."""
    ability = sure(aim_error=2.0)
    misses = []
    for far in (10.0, 30.0):
        aim = np.array(HERE) + np.array([0.0, far])
        start = np.array(HERE) + backhand_hand(aim)
        way = (aim - start) / np.hypot(*(aim - start))
        world, _ = thrown(scene_of(ability), 500, aim=aim)
        off = world.knots[:, -1, :2] - start
        past = off[:, 0] * way[0] + off[:, 1] * way[1]
        misses.append((off[:, 0] * way[1] - off[:, 1] * way[0]) / past * np.hypot(*(aim - start)))
    ratio = misses[1].std() / misses[0].std()
    assert ratio == pytest.approx(29.56 / 9.58, rel=0.01)  # from the hand, not from the chest


# --- the mark ----------------------------------------------------------------------------------


def test_a_mark_in_the_line_stops_it_as_often_as_its_body_says():
    """N 4000, false alarm below 1e-6. The hand is at the chest's own line: no sliding needed."""
    start = np.array(HERE) + backhand_hand(AIM)
    way = (np.array(AIM) - start) / np.hypot(*(np.array(AIM) - start))
    _, stopped = thrown(scene_of(mark=tuple(start + 0.8 * way)), N)
    assert fits(int(stopped.sum()), N, BODY.stop_at_body)


@pytest.mark.parametrize(
    "mark", [(HERE[0] + 1.0, HERE[1] - 0.5), (HERE[0], HERE[1] + 5.0)], ids=["aside", "beyond 3 m"]
)
def test_a_mark_off_the_line_or_beyond_3_m_stops_nothing_and_bothers_nobody(mark):
    ability = sure(aim_error=1.0)
    far, _ = thrown(scene_of(ability), 300)
    world, stopped = thrown(scene_of(ability, mark=mark), 300)
    assert not stopped.any()
    assert (world.knots == far.knots).all()


# --- mirror ------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", [BACKHAND, FOREHAND])
@pytest.mark.parametrize("shape", range(len(SHAPES)), ids=SHAPES)
def test_the_left_hander_on_the_mirrored_field_throws_the_mirror_image(kind, shape):
    """Bit for bit, with wind, a mark, and the same luck."""
    found = []
    for flip in (1, -1):
        mark = player("mark", (flip * (HERE[0] - 0.7), HERE[1] + 0.8), role="defender", guards=0)
        able = sure(aim_error=2.0, loft_error=1.0, pace_error=0.04)
        thrower = player("thrower", (flip * HERE[0], HERE[1]), able, hand=flip)
        receiver = player("receiver", (flip * AIM[0], AIM[1]))
        scene = lay_out([thrower, receiver], [mark], wind=Wind(5.0, flip * 0.8))
        world, stopped = thrown(
            scene, 50, aim=(flip * AIM[0], AIM[1]), kind=kind, shape=shape, table=load_table()
        )
        found.append((world.knots * [flip, 1.0, 1.0], world.knot_step, stopped))
    for one, other in zip(*found, strict=True):
        assert (one == other).all()
