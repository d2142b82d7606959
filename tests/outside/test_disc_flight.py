"""Disc flight against published figures; which are quoted from memory is said beside each."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.flight import (
    COEFFICIENTS,
    HUMMEL,
    POTTS_CROWTHER,
    Disc,
    coefficients,
    duration,
    load_table,
    reach,
)
from sim.flight.release import Release
from sim.flight.rigidbody import fly
from sim.flight.shapes import BACKHAND, FLAT, FOREHAND, ThrowSettings


def landing_places(release: Release, set_name: str, **wind: float) -> tuple[np.ndarray, ...]:
    """Where (aside, along) and when discs of a release come to the ground."""
    flight = fly(release, Disc(), coefficients(set_name), wobble=False, tolerance=1e-4, **wind)
    time = flight.landing()
    assert np.isfinite(time).all()
    aside, along, _ = flight.at(time)
    return aside, along, time


def test_both_published_sets_can_be_had_by_name():
    """Hummel 2003; Potts & Crowther 2002. Plain memory of who published what."""
    assert set(COEFFICIENTS) == {"hummel", "potts-crowther"}
    assert coefficients("hummel") is HUMMEL
    with pytest.raises(ValueError, match="potts-crowther"):
        coefficients("sphere")


@pytest.mark.parametrize(
    ("degrees", "lift", "drag", "speed"),
    [
        (0, 0.3331, 0.1977, 12.12),
        (5, 0.5000, 0.2237, 9.89),
        (10, 0.6669, 0.2602, 8.56),
        (15, 0.8338, 0.3071, 7.66),
    ],
)
def test_hummel_lift_drag_and_the_speed_at_which_lift_carries_the_weight(
    degrees, lift, drag, speed
):
    """Worked by hand from Hummel 2003, MSc thesis, UC Davis (memory); last digit allowed to slip.

    The speeds were worked with m 0.175 kg, A 0.057 m2, air 1.23 kg/m3.
    """
    angle = math.radians(degrees)
    assert HUMMEL.lift(angle) == pytest.approx(lift, abs=2e-4)
    assert HUMMEL.drag(angle) == pytest.approx(drag, abs=2e-4)
    assert HUMMEL.level_speed(angle) == pytest.approx(speed, abs=0.02)


def test_trim_and_zero_lift_angles():
    """Hummel 2003 (memory): trim at 10.84 deg, no lift at -9.98. Potts & Crowther 2002 (memory):
    trim near 9 deg, the formulas held up to a stall near 45."""
    assert math.degrees(HUMMEL.trim_angle) == pytest.approx(10.84, abs=0.02)
    assert math.degrees(HUMMEL.zero_lift_angle) == pytest.approx(-9.98, abs=0.02)
    assert HUMMEL.moment(HUMMEL.trim_angle) == pytest.approx(0.0, abs=1e-12)
    assert math.degrees(POTTS_CROWTHER.trim_angle) == pytest.approx(9.0, abs=0.5)
    assert POTTS_CROWTHER.lift(POTTS_CROWTHER.zero_lift_angle) == pytest.approx(0.0, abs=1e-12)
    assert math.degrees(POTTS_CROWTHER.stall) == pytest.approx(45.0, abs=5.0)
    rising = np.radians(np.arange(0, 46, 5.0))
    assert (np.diff(POTTS_CROWTHER.lift(rising)) > 0).all()
    assert POTTS_CROWTHER.lift(math.radians(60)) < POTTS_CROWTHER.lift(math.radians(45))


@pytest.mark.parametrize("speed", [14.0, 20.0, 25.0])
def test_longest_range_near_ten_degrees_and_longest_duration_near_twenty(speed):
    """Crowther & Potts, "Simulation of a spin-stabilised sports disc", abstract (published).

    With the Potts & Crowther set, the disc thrown along its own plane, at each pitch with the bank
    that is best for it; 4 rad of spin a metre of speed. "Near" is taken as within 4 deg for the
    range and 6 for the duration, which has a flat top.
    """
    pitch, bank = np.radians(np.meshgrid(np.arange(0, 41, 2.5), np.arange(-50, 11, 5.0)))
    aside, along, time = landing_places(
        Release(speed, pitch.ravel(), bank.ravel(), spin=-4.0 * speed), "potts-crowther"
    )
    furthest, longest = np.argmax(np.hypot(aside, along)), np.argmax(time)
    assert math.degrees(pitch.ravel()[furthest]) == pytest.approx(10.0, abs=4.0)
    assert math.degrees(pitch.ravel()[longest]) == pytest.approx(20.0, abs=6.0)


def test_a_skilled_forehand_goes_about_fifty_metres_an_unskilled_one_about_thirty():
    """Sasakawa & Sakurai 2008 as summarised: about 50 and 30 m, at the same release speed.

    All leave at 20 m/s and 10 deg of pitch, aimed alike. The skilled disc spins as ThrowSettings
    say, is banked for its turning over and leaves along its own plane; the unskilled ones have
    half the spin, no bank, and the nose 0 to 15 deg up. That these faults are the difference is
    our reading of it; either of the first two alone gives 35 to 40 m.
    """
    spin = ThrowSettings().spin(FOREHAND, 20.0) * np.array([1, 0.5, 0.5, 0.5, 0.5])
    bank = np.radians([20.0, 0.0, 0.0, 0.0, 0.0])
    nose = np.radians([0.0, 0.0, 5.0, 10.0, 15.0])
    release = Release(20.0, math.radians(10.0), bank, spin=spin, nose=nose)
    _, along, _ = landing_places(release, "potts-crowther")
    assert along[0] == pytest.approx(50.0, abs=5.0)
    assert along[1:] == pytest.approx(30.0, abs=5.0)


def test_releases_are_within_the_working_range():
    """Speeds of 10-25 m/s and spin of 50-100 rad/s (memory), for throws of 8 m and more that are
    not floated; the backhand spins more than the forehand (Winograd & Engsberg, published)."""
    settings, distance = ThrowSettings(), np.linspace(8, 70, 30)
    speed = settings.speed(distance)
    assert speed.min() >= 10.0
    assert speed.max() <= 25.0
    for throw in (BACKHAND, FOREHAND):
        spin = np.abs(settings.spin(throw, speed))
        assert spin.min() >= 50.0
        assert spin.max() <= 100.0
    fast = np.array([16.0, 20.0, 25.0])
    assert (np.abs(settings.spin(BACKHAND, fast)) > np.abs(settings.spin(FOREHAND, fast))).all()


def test_a_right_handers_throws_turn_to_their_known_sides():
    """Common practice: thrown hard and level, a right-hander's backhand turns over to the right and
    the forehand to the left."""
    for spin, side in ((-80.0, 1.0), (80.0, -1.0)):
        flight = fly(Release(20.0, math.radians(5.0), spin=spin), Disc(), POTTS_CROWTHER)
        assert side * flight.states[25, 6, 0] > 0.05


@pytest.mark.parametrize("spin", [-80.0, 80.0])
def test_the_late_fade_begins_at_the_trim_angle_and_a_flat_throw_lands_before_it(spin):
    """Both published sets have a moment that changes sign at an angle of attack, near 9 and 11 deg
    (memory), so a disc turns over below it and back above it. Level flight reaches it by slowing to
    8.6 m/s (the speed at which lift carries the weight there).

    Players say every throw fades at the end. The model does not: a hard flat throw comes to the
    ground before it has slowed that far, tilted as much as ever; one thrown up turns back for a
    second and more before it lands, by some degrees, and its path still curves to the side it
    turned over to. Nothing in the two sources says otherwise, and samples after the landing, which
    an earlier version of this test counted, are no evidence.
    """
    c, side = POTTS_CROWTHER, -np.sign(spin)
    assert c.level_speed(c.trim_angle) == pytest.approx(8.6, abs=0.2)
    flat = fly(Release(20.0, math.radians(5.0), spin=spin), Disc(), c)
    rows = int(flat.landing()[0] / 0.02)
    tilt = side * flat.states[: rows + 1, 6, 0]
    assert tilt[-1] > 0.97 * tilt.max()
    assert np.linalg.norm(flat.states[rows, 3:6, 0]) > c.level_speed(c.trim_angle)
    high = Release(20.0, math.radians(10.0), -side * math.radians(15.0), spin=spin)
    hung = fly(high, Disc(), c)
    rows = int(hung.landing()[0] / 0.02)
    states = hung.states[: rows + 1, :, 0]
    tilt = np.degrees(np.arcsin(side * states[:, 6]))
    most = int(np.argmax(tilt))
    assert (rows - most) * 0.02 > 1.0
    assert tilt[-1] < tilt[most] - 3.0
    fall = np.sum(states[:, 3:6] * states[:, 6:9], axis=1)
    angle = np.degrees(-np.arcsin(fall / np.linalg.norm(states[:, 3:6], axis=1)))
    crossing = int(np.argmax((angle > math.degrees(c.trim_angle)) & (np.arange(rows + 1) > 10)))
    assert abs(crossing - most) * 0.02 < 0.2


def test_a_flat_ten_metre_pass_takes_about_a_second():
    """Common practice: 0.6-0.9 s thrown firmly; with touch a little more."""
    for throw in (BACKHAND, FOREHAND):
        assert 0.6 <= duration(load_table(), throw, FLAT, 10.0, 0.0, 0.0) <= 1.0


def test_short_passes_are_soft():
    """Judgement: 3-8 m at 6-10 m/s, so 0.5 to 0.9 s."""
    for throw in (BACKHAND, FOREHAND):
        for distance in (3.0, 5.0, 8.0):
            seconds = duration(load_table(), throw, FLAT, distance, 0.0, 0.0)
            assert 0.5 <= seconds <= 0.95
            assert 4.5 <= distance / seconds <= 10.0


def test_wind_in_the_face_shortens_the_reach_and_wind_from_behind_lengthens_it():
    """Common practice, direction only."""
    table = load_table()
    against, calm, behind = (reach(table, BACKHAND, FLAT, w, 0.0) for w in (-8.0, 0.0, 8.0))
    assert against < 0.75 * calm
    assert behind > calm


def test_backhand_and_forehand_fly_alike_though_they_spin_differently():
    """Equal in speed, the backhand spinning more (Winograd & Engsberg, published).

    The release speeds are equal by assumption; what can fail is that with its lower spin the
    forehand still takes as long over the distance, to 5 %, and reaches nearly as far, no farther.
    """
    table = load_table()
    for distance in (10.0, 25.0, 40.0):
        back, fore = (duration(table, t, FLAT, distance, 0.0, 0.0) for t in (BACKHAND, FOREHAND))
        assert fore == pytest.approx(back, rel=0.05)
    assert back != fore
    back, fore = (reach(table, throw, FLAT, 0.0, 0.0) for throw in (BACKHAND, FOREHAND))
    assert 0.85 * back < fore <= back


def test_dampings_are_against_the_turning_and_of_the_published_size():
    """Hummel 2003 (memory): CRp -0.0125, CMq -0.0144, CRr 0.00171; the other set borrows the
    dampings. The sign of CNr is unsure in the source; spin dies down, so it is negative here."""
    for c in COEFFICIENTS.values():
        assert c.roll_damping == pytest.approx(-0.0125, rel=0.1)
        assert c.pitch_damping == pytest.approx(-0.0144, rel=0.1)
        assert c.spin_damping == pytest.approx(-3.4e-5, rel=0.1)
    assert HUMMEL.roll_by_spin == pytest.approx(0.00171, rel=0.1)
