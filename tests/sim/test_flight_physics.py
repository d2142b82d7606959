"""The equations of a disc's flight against closed forms, conservation and symmetry."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

from sim.flight import COEFFICIENTS, HUMMEL, POTTS_CROWTHER, Disc
from sim.flight.coefficients import PLATE_DRAG
from sim.flight.release import Release
from sim.flight.rigidbody import fly

# Arithmetic alone, used only to build the stored flights; a test of the lookup goes that way as well.
pytestmark = pytest.mark.slow
DISC = Disc()
SETS = list(COEFFICIENTS.values())
NO_AIR = dataclasses.replace(
    POTTS_CROWTHER, lift_0=0.0, lift_slope=1e-12, drag_0=0.0, drag_slope=0.0,
    moment_0=0.0, moment_slope=0.0, roll_damping=0.0, pitch_damping=0.0, spin_damping=0.0,
    stall=1.5707,
)  # fmt: skip


def some_releases(count: int = 12, seed: int = 3) -> Release:
    """Releases of all kinds: hard, soft, both spins, banked, nose up and down, wobbling."""
    draw = np.random.default_rng(seed)
    return Release(
        speed=draw.uniform(8, 26, count),
        pitch=draw.uniform(-0.1, 0.5, count),
        bank=draw.uniform(-0.8, 0.8, count),
        heading=draw.uniform(-0.5, 0.5, count),
        spin=draw.choice([-1, 1], count) * draw.uniform(40, 110, count),
        nose=draw.uniform(-0.1, 0.3, count),
        wobble=draw.uniform(-10, 10, count),
        height=draw.uniform(0.5, 2.0, count),
    )


def energy(states: np.ndarray) -> np.ndarray:
    """Energy (J) of states (T, 12, N): of the fall, the flight, the spin and the wobble."""
    height, velocity = states[:, 2], states[:, 3:6]
    normal = states[:, 6:9] / np.sqrt((states[:, 6:9] ** 2).sum(axis=1, keepdims=True))
    along = (states[:, 9:] * normal).sum(axis=1)
    square = (states[:, 9:] ** 2).sum(axis=1) - along**2
    turning = along**2 / DISC.axial_inertia + square / DISC.diametral_inertia
    moving = DISC.mass * (velocity**2).sum(axis=1)
    return DISC.mass * DISC.gravity * height + 0.5 * (moving + turning)


def test_without_air_a_disc_flies_a_parabola_and_keeps_its_attitude():
    release = Release(15.0, math.radians(30), bank=0.3, heading=0.2, spin=70.0)
    flight = fly(release, DISC, NO_AIR, tolerance=1e-9)
    rise = 15.0 * math.sin(math.radians(30))
    time = (rise + math.sqrt(rise**2 + 2 * DISC.gravity)) / DISC.gravity
    assert flight.landing()[0] == pytest.approx(time, abs=1e-6)
    level = 15.0 * math.cos(math.radians(30)) * time
    place = flight.at(flight.landing())[:, 0]
    assert place == pytest.approx([level * math.sin(0.2), level * math.cos(0.2), 0.0], abs=1e-5)
    assert flight.states[-1, 6:, 0] == pytest.approx(flight.states[0, 6:, 0], abs=1e-5)


def test_without_air_a_wobbling_disc_wobbles_at_the_rate_of_eulers_equations():
    """An axisymmetric body left alone turns its axis about L at |L| / Id."""
    flight = fly(Release(15.0, 0.6, spin=60.0, wobble=6.0), DISC, NO_AIR, step=0.001)
    normal, axis = flight.states[:, 6:9, 0], flight.states[0, 9:, 0]
    rate = np.linalg.norm(axis) / DISC.diametral_inertia
    period = 2 * math.pi / rate
    turns = round(10 * period / 0.001)
    assert turns * 0.001 == pytest.approx(10 * period, abs=5e-4)
    once_around = normal[turns] - normal[0]
    half_around = normal[round(10.5 * period / 0.001)] - normal[0]
    assert np.linalg.norm(once_around) < 0.1 * np.linalg.norm(half_around)
    lean = normal @ (axis / np.linalg.norm(axis))
    assert lean == pytest.approx(lean[0], abs=1e-6)


def test_a_disc_dropped_broadside_falls_at_its_terminal_speed():
    """Square to the stream there is only the plate's drag: v = sqrt(2 m g / (rho A CD))."""
    release = Release(0.0, 0.0, spin=50.0, height=60.0)
    flight = fly(release, DISC, HUMMEL, longest=8.0)
    speed = math.sqrt(2 * DISC.mass * DISC.gravity / (DISC.air_density * DISC.area * PLATE_DRAG))
    assert -flight.states[-1, 5, 0] == pytest.approx(speed, rel=1e-3)
    assert flight.states[-1, 6:9, 0] == pytest.approx([0, 0, 1], abs=1e-6)


@pytest.mark.parametrize("spin", [-60.0, 90.0])
def test_precession_is_the_moment_over_the_spin(spin):
    """A pitching moment M rolls a disc at M / (Ia s): nose-down, clockwise from above, to the
    right. At a constant moment, without damping; the roll starts from rest, with a wobble that
    goes nowhere, so it is measured over whole wobbles."""
    only_moment = dataclasses.replace(NO_AIR, moment_0=-0.02)
    flight = fly(Release(15.0, 0.0, spin=spin), DISC, only_moment, step=0.0005, longest=0.4)
    wobble = 2 * math.pi * DISC.diametral_inertia / (DISC.axial_inertia * abs(spin))
    rows = round(3 * wobble / 0.0005)
    press = 0.5 * DISC.air_density * 15.0**2 * DISC.area * DISC.diameter
    rate = -0.02 * press / (DISC.axial_inertia * spin)
    rolled = math.asin(flight.states[rows, 6, 0])
    assert rolled == pytest.approx(rate * rows * 0.0005, rel=0.03)
    assert np.sign(rolled) == -np.sign(spin)


@pytest.mark.parametrize("coefficients", SETS, ids=lambda c: c.name)
def test_energy_never_grows_without_wind(coefficients):
    """Of the fall, the flight, the spin and the wobble together; 1e-6 J is the integrator's."""
    flight = fly(some_releases(16), DISC, coefficients, tolerance=1e-8)
    total = energy(flight.states)
    assert np.diff(total, axis=0).max() < 1e-6
    landing = flight.landing()
    assert (total[0] - total[(landing / 0.02).astype(int), np.arange(16)] > 0.5).all()


def test_wind_can_give_energy():
    """So the test above would see it: a disc dropped in a gale picks up speed."""
    flight = fly(Release(0.1, 0.0, spin=50.0), DISC, POTTS_CROWTHER, wind_along=15.0)
    assert np.diff(energy(flight.states), axis=0).max() > 1e-3


@pytest.mark.parametrize("coefficients", SETS, ids=lambda c: c.name)
@pytest.mark.parametrize("wobble", [True, False])
def test_the_mirrored_throw_is_the_exact_mirror_image(coefficients, wobble):
    """A backhand and a forehand of equal spin, or a right-hander and a left-hander: bit for bit.

    Positions, velocities and normals change the sign of x; angular momentum, which is an axial
    vector, that of y and z."""
    release, across = some_releases(6), np.linspace(-5.0, 7.0, 6)
    one = fly(release, DISC, coefficients, wind_across=across, wind_along=-2.0, wobble=wobble)
    other = fly(
        release.mirrored(), DISC, coefficients,
        wind_across=-across, wind_along=-2.0, wobble=wobble,
    )  # fmt: skip
    signs = np.array([-1, 1, 1] * 3 + ([1, -1, -1] if wobble else [-1]))
    assert np.array_equal(other.times, one.times)
    assert np.array_equal(other.states, one.states * signs[:, None])
    assert not np.array_equal(other.states, one.states)


def test_results_do_not_depend_on_steps_samples_or_company():
    """To 2 mm where caught: coarse and fine tolerance, samples 4 times closer, flown alone."""
    releases = some_releases(4, seed=5)

    def places(**how: float) -> np.ndarray:
        flight = fly(releases, DISC, POTTS_CROWTHER, wind_across=3.0, **how)
        return flight.at(flight.landing())

    fine = places(tolerance=1e-8)
    assert places(tolerance=1e-6) == pytest.approx(fine, abs=2e-3)
    assert places(tolerance=1e-8, step=0.005) == pytest.approx(fine, abs=2e-3)
    alone = dataclasses.replace(
        releases,
        **{f.name: getattr(releases, f.name)[3] for f in dataclasses.fields(releases)},
    )
    flight = fly(alone, DISC, POTTS_CROWTHER, wind_across=3.0, tolerance=1e-8)
    assert flight.at(flight.landing())[:, 0] == pytest.approx(fine[:, 3], abs=2e-3)


def test_flights_without_wobble_are_close_to_full_ones():
    """The stated error of the search's shortcut: 15 cm at 25 m for hands that do not wobble."""
    draw = np.random.default_rng(4)
    release = Release(
        draw.uniform(13, 25, 20), draw.uniform(0.0, 0.15, 20), draw.uniform(-0.4, 0.4, 20),
        spin=draw.choice([-1, 1], 20) * draw.uniform(55, 100, 20),
    )  # fmt: skip
    full = fly(release, DISC, POTTS_CROWTHER, far=25.0)
    quick = fly(release, DISC, POTTS_CROWTHER, far=25.0, wobble=False)
    there = quick.first(1, np.full(20, 25.0))
    reached = np.isfinite(there) & np.isfinite(full.first(1, 25.0))
    assert reached.sum() > 10
    gap = quick.at(there) - full.at(full.first(1, 25.0))
    assert np.abs(gap[:, reached]).max() < 0.15
    # both lose the same spin to the air: the angular momentum along the axis, and the spin itself
    k = 50
    along = (full.states[k, 9:12] * full.states[k, 6:9]).sum(axis=0) / DISC.axial_inertia
    assert along == pytest.approx(quick.states[k, 9], rel=2e-3)
    assert (np.abs(along) < 0.998 * np.abs(release.spin)).all()


def test_crossings_agree_with_the_integrators_own_events():
    """The same landing found by scipy's event search on the same equations."""
    from scipy.integrate import solve_ivp

    from sim.flight.dynamics import full

    release = Release(17.0, 0.1, -0.1, spin=-70.0)

    def rate(_: float, state: np.ndarray) -> np.ndarray:
        return full(state[:, None], (0.0, 0.0), DISC, POTTS_CROWTHER)[:, 0]

    def ground(_: float, state: np.ndarray) -> float:
        return float(state[2])

    ground.terminal, ground.direction = True, -1
    start = release.state(DISC)[:, 0]
    solved = solve_ivp(rate, (0, 9), start, rtol=1e-9, atol=1e-9, events=ground)
    flight = fly(release, DISC, POTTS_CROWTHER)
    assert flight.landing()[0] == pytest.approx(solved.t_events[0][0], abs=1e-4)
    assert flight.at(flight.landing())[:, 0] == pytest.approx(solved.y[:3, -1], abs=2e-3)
    assert 0 < flight.catching(1.2)[0] < flight.landing()[0]


@pytest.mark.parametrize(("along", "across"), [(6.0, 0.0), (-4.0, 0.0), (0.0, 5.0), (-3.0, -4.0)])
def test_wind_moves_the_air_only(along, across):
    """A disc thrown in a steady wind flies as one thrown in still air from a moving cart."""
    forward = 14.0
    carried = math.hypot(forward + along, across), math.atan2(across, forward + along)
    still = fly(Release(forward, 0.0, spin=-60.0), DISC, POTTS_CROWTHER, tolerance=1e-9)
    release = Release(carried[0], 0.0, heading=carried[1], spin=-60.0)
    blown = fly(release, DISC, POTTS_CROWTHER, wind_along=along, wind_across=across, tolerance=1e-9)
    rows = np.arange(0, 60)
    expected = still.states[rows, :3, 0] + np.array([across, along, 0]) * still.times[rows, None]
    assert blown.states[rows, :3, 0] == pytest.approx(expected, abs=1e-5)


def test_the_disc_is_one_that_the_rules_and_mechanics_allow():
    """175 g and 27.4 cm across, 3 mm more or less (WFDF rules; memory). The axial inertia lies between
    that of a plate and of a ring, m r2 / 2 and m r2; a flat body turns about a diameter with half of
    it (perpendicular axis theorem), a rim 3 cm deep with some per cent more."""
    assert DISC.mass == pytest.approx(0.175)
    assert DISC.diameter == pytest.approx(0.274, abs=0.006)
    square = 0.25 * DISC.mass * DISC.diameter**2
    assert 0.5 * square < DISC.axial_inertia < square
    assert 0.5 <= DISC.diametral_inertia / DISC.axial_inertia < 0.56


def test_a_plate_square_to_the_stream_has_the_published_drag():
    """1.1 to 1.2 of a round plate: Hoerner 1965, Fluid-Dynamic Drag (memory)."""
    for c in SETS:
        assert 1.05 <= c.drag(0.5 * math.pi) <= 1.2
        assert c.lift(0.5 * math.pi) == pytest.approx(0.0, abs=1e-12)


def test_a_speed_without_lift_is_refused():
    with pytest.raises(ValueError, match="no lift"):
        HUMMEL.level_speed(math.radians(-20))


@pytest.mark.parametrize("part", ["roll_damping", "pitch_damping"])
def test_damping_takes_energy_from_a_wobble(part):
    """Either damping alone, with nothing else that acts: the energy of wobble and spin falls all
    the way and by some per cent; with the sign wrong it would grow."""
    damped = dataclasses.replace(NO_AIR, **{part: -0.0125})
    release = Release(20.0, 0.3, spin=60.0, wobble=20.0)
    flight = fly(release, DISC, damped, tolerance=1e-9, step=0.005, longest=0.5)
    total = energy(flight.states)[:, 0]
    assert np.diff(total).max() < 1e-7
    wobble = 0.5 * DISC.diametral_inertia * 20.0**2
    assert 0.05 * wobble < total[0] - total[-1] < wobble


@pytest.mark.parametrize("part", ["roll_damping", "pitch_damping", "roll_by_spin"])
def test_without_wobble_the_spin_terms_are_those_of_the_full_equations(part):
    """Each term alone and 20 times as strong as published, beside a moment: the turning of the
    disc's normal by `steady` is that of the full equations once the wobble has died down."""
    others = {"pitch_damping": -0.3, "roll_damping": -0.3, "roll_by_spin": 0.0}
    strong = {"pitch_damping": -0.3, "roll_damping": -0.4, "roll_by_spin": 0.03}
    own = dataclasses.replace(NO_AIR, moment_0=-0.06, **{**others, part: strong[part]})
    release = Release(15.0, 0.0, spin=70.0)
    one = fly(release, DISC, own, tolerance=1e-9, longest=0.5)
    other = fly(release, DISC, own, tolerance=1e-9, longest=0.5, wobble=False)
    without = fly(release, DISC, dataclasses.replace(own, **{part: 0.0}), longest=0.5, wobble=False)
    turned, same = one.states[20, 6:9, 0], other.states[20, 6:9, 0]
    effect = np.abs(without.states[20, 6:9, 0] - same).max()
    assert effect > 0.02
    assert np.abs(turned - same).max() < 0.25 * effect
