"""A drill made of a study: its typical play, where the cones stand, when to start, what to count."""

from __future__ import annotations

from dataclasses import dataclass
from string import ascii_uppercase
from typing import Any

import numpy as np
import pandas as pd
from scipy import stats

from experiments.running.engine import Engine
from experiments.studies.rehearse import Study, rehearse
from experiments.tapes.landing import caught_points
from experiments.tapes.paths import Flight, first_part
from experiments.tapes.picking import pick_rehearsal
from experiments.words.wording import length, percent

# Enough to find one near the middle of when and how far it is thrown.
TRIED = 200
# A running step of a typical adult walking out a distance (common practice).
PACE_M = 0.75
# Below this speed a player is still standing or shuffling, m/s.
SETTING_OFF = 1.5
TURNS = 10
CATCH = "catch"


@dataclass(frozen=True)
class Typical:
    """One play to show: its path, from the places of the file, and its first look, "" for none."""

    tape: Any
    look: str

    def alike(self, table: pd.DataFrame) -> pd.DataFrame:
        """The rehearsals of a table in which the same was thrown first."""
        return table[table["look"].astype(str) == self.look]


def typical_play(study: Study) -> Typical:
    """A typical play of the look that a study threw most often.

    Rehearsals begin a little off the places of the file, each elsewhere, which is no help to
    whoever sets out cones. So some are played from the places themselves.
    """
    exact = study.situation.with_setting("spread", 0.0)
    given = {"offence": study.offence, "defence": study.defence}
    played = rehearse(exact, TRIED, study.seed, engine=Engine(progress=False), **given)
    thrown = played.table["look"].astype(str)
    look = study.looks[0].look if study.looks and (study.table["throws"] > 0).any() else ""
    rows = played.table[thrown == look]
    if rows.empty:
        rows = played.table
    number = pick_rehearsal(rows, "typical").rehearsal
    return Typical(played.tape(number), str(thrown.iloc[number]))


@dataclass(frozen=True)
class Cone:
    """One cone: its letter, what it is for, and its place seen from the thrower's cone.

    Attributes
    ----------
    right, downfield : metres from the thrower's cone; negative to the left and behind.
    """

    letter: str
    purpose: str
    right: float
    downfield: float

    def words(self, units: str = "m", pace: float = PACE_M) -> str:
        """Where it stands, as somebody walks it out; "" for the thrower's own."""
        return ", ".join(
            f"{length(metres, units)} ({paces(metres, pace)}) {way}"
            for metres, way in _ways(self.right, self.downfield)
        )


def _ways(right: float, downfield: float) -> list[tuple[float, str]]:
    """How far and which way, downfield first, as somebody walks it out; not what is next to nothing."""
    ways = (
        (downfield, "downfield" if downfield > 0 else "behind"),
        (right, "to the right" if right > 0 else "to the left"),
    )
    return [(abs(metres), way) for metres, way in ways if abs(metres) >= 0.25]


@dataclass(frozen=True)
class DrillCard:
    """What a coach needs on the field.

    Attributes
    ----------
    cones : the layout. cues : when to start and to throw. counts : what to count.
    origin : (2,) the thrower's cone on the field, metres.
    """

    cones: tuple[Cone, ...]
    cues: tuple[str, ...]
    counts: tuple[str, ...]
    origin: np.ndarray


def paces(metres: float, pace: float = PACE_M) -> str:
    """A length in whole paces."""
    number = max(1, round(metres / pace))
    return f"{number} pace{'s' if number > 1 else ''}"


def check_pace(pace: float) -> None:
    """Refuse a pace that no person has, not between 0.3 and 1.5 m, with a `ValueError`."""
    if not 0.3 <= pace <= 1.5:
        raise ValueError(f"a pace of {pace:g} m is not possible; allowed is 0.3 to 1.5 m")


def drill_card(study: Any, play: Typical, *, units: str = "m") -> DrillCard:
    """Make the drill card of a study from its typical play, which gives starts and cues."""
    tape, (_, thrown) = play.tape, first_part(play.tape)
    cones = _cones(study, play, thrown)
    cues, counts = _cues(tape, thrown, cones, units), _counts(study, cones)
    return DrillCard(cones, tuple(cues), tuple(counts), tape.positions[0, tape.holder[0]])


def _cones(study: Any, play: Typical, thrown: Flight | None) -> tuple[Cone, ...]:
    """Thrower, runner, their defenders, the other handlers, and where the first throw is caught."""
    tape, situation = play.tape, study.situation
    start, thrower = tape.positions[0], int(tape.holder[0])
    runner = thrown.receiver if thrown else -1
    first = [thrower, *([runner] if runner not in (-1, thrower) else [])]
    mark = int(tape.mark[0])  # in a zone not always the one who is said to guard the thrower
    guarded = first if mark < 0 else first[1:]
    names = [tape.names[p] for p in guarded]
    guards = [tape.names.index(d.name) for n in names for d in situation.defenders if d.guards == n]
    defenders = list(dict.fromkeys([mark, *guards] if mark >= 0 else guards))
    others = [
        player
        for player, team in enumerate(tape.teams)
        if team == "offence" and tape.roles[player] == "handler" and player not in first
    ]
    people = (*first, *defenders, *others)
    spots = [(_part(tape, player, thrower, runner), start[player]) for player in people]
    caught = caught_points(play.alike(study.table))
    if thrown and not more_throws(study) and len(caught):
        spots.append((f"{CATCH}, the middle of all of this look", np.median(caught, axis=0)))
    elif thrown:
        spots.append((f"{CATCH} of the first throw", tape.disc[thrown.arrival, :2]))
    return tuple(
        Cone(letter, purpose, *(spot - start[thrower]).tolist())
        for letter, (purpose, spot) in zip(ascii_uppercase, spots, strict=False)
    )


def _part(tape: Any, player: int, thrower: int, runner: int) -> str:
    """What a player is in the drill, and the name where that does not say it already."""
    name = str(tape.names[player])
    if tape.teams[player] != "offence":
        return "mark" if player == int(tape.mark[0]) else f"defender ({name})"
    part = {thrower: "thrower", runner: "runner"}.get(player, "handler")
    return f"{part} ({name})"


def more_throws(study: Any) -> bool:
    """Whether the study plays on after the first throw, so that its ends are not first catches."""
    return bool((study.table["throws"] > 1).mean() > 0.1)


def letter_of(cones: tuple[Cone, ...], purpose: str) -> str:
    """Letter of the first cone whose purpose starts so; empty when there is none."""
    return next((cone.letter for cone in cones if cone.purpose.startswith(purpose)), "")


def set_off(tape: Any, player: int, until: int) -> int | None:
    """Index of the instant from which a player runs without stopping until a given index."""
    running = np.hypot(*tape.velocities[: until + 1, player].T) > SETTING_OFF
    # One that stopped again set off later: a false step is not the start.
    starts = np.flatnonzero(running & ~np.append(False, running[:-1]))
    return int(starts[-1]) if len(starts) else None


def _cues(tape: Any, thrown: Flight | None, cones: tuple[Cone, ...], units: str) -> list[str]:
    times, count = tape.times, tape.count
    said = int(np.floor(count[0] + 1e-9))
    begin = f"The mark counts aloud from {said}." if said >= 1 else "The mark starts the count."
    if thrown is None:
        return [begin, "In the typical play nothing was thrown: ask for the plan's cue."]
    cues = [begin]
    runner, release = thrown.receiver, thrown.release
    name = "the runner"
    if runner >= 0:
        name = f"{letter_of(cones, 'runner')} ({tape.names[runner]})".removeprefix(" ")
        going = set_off(tape, runner, thrown.arrival)
        if going is None or going >= release:
            cues.append(f"{name} waits at the cone, and comes to the disc once it is thrown.")
        else:
            cues.append(f"{name} goes {_when(count[going], times[going])}.")
    cue = f"The throw leaves the hand {_when(count[release], times[release])}"
    if runner >= 0:
        cue += f", when {name} is {_where(tape, thrown, units)}"
    cues.append(f"{cue}.")
    seconds = times[thrown.arrival] - times[release]
    flight = f"The disc is about {seconds:.1f} s in the air"
    catch = letter_of(cones, CATCH)
    cues.append(f"{flight}; catch it at cone {catch}." if catch else f"{flight}.")
    return cues


def _when(count: float, time: float) -> str:
    said = int(np.floor(count + 1e-9))
    after = count - said
    if said < 1:
        return f"{time:.1f} s after the start"
    if after < 0.15:
        return f"as the mark says {said}"
    return f"{after:.1f} s after the mark says {said}"


def _where(tape: Any, thrown: Flight, units: str) -> str:
    """Where the runner is at the release, seen from the thrower."""
    there = tape.positions[thrown.release]
    right, downfield = there[thrown.receiver] - there[thrown.thrower]
    parts = [f"{length(metres, units)} {way}" for metres, way in _ways(right, downfield)]
    return " and ".join(parts) + " of the thrower" if parts else "beside the thrower"


def _counts(study: Any, cones: tuple[Cone, ...]) -> list[str]:
    """Measures for ten turns, with what the model would expect of them."""
    rate = float(study.completion.estimate)
    low, high = (int(stats.binom.ppf(q, TURNS, rate)) for q in (0.05, 0.95))
    expected = f"{low} to {high}" if low < high else f"{low}"
    kept = "Turns in which you keep the disc or score" if more_throws(study) else "Catches"
    catch = letter_of(cones, CATCH)
    return [
        f"{kept}, in {TURNS} turns. The model has {percent(rate)}; with that, nine sets of "
        f"{TURNS} in ten give {expected}.",
        *([f"Catches within three paces of cone {catch}."] if catch else []),
        "The number that the mark last said when the disc leaves the hand.",
    ]
