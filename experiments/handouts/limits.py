"""When an answer stops being true, in a coach's words, from what studies say as `--json`."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from experiments.situations.situation import Situation
from experiments.statistics.measures import MEASURES, Measure
from experiments.statistics.subset_selection import stretch
from experiments.words.looks import HALF
from experiments.words.measured import label_of, listed, number, span, words_of
from experiments.words.wording import join, percent, percent_range

Found = Mapping[str, Any]
SAID = {
    "from": "called",
    "to": "given up",
    "release offset": "thrown after its moment",
    "stall": "count at the start",
}
BY = {
    "score": "the score, which weighs completion, ground and place together,",
    "completed": "how often the disc is kept,",
    "goal": "goals,",
}


def windows(found: Found, situation: Situation) -> list[str]:
    """From which to which value a setting may be, from a curve or a search; none of other studies.

    A window is told only where the look the plan begins with was itself thrown in half of the plays:
    elsewhere the figures are those of another look.
    """
    if "points" in found:
        return _of_curve(found, situation)
    return _of_search(found, situation) if "plateau" in found else []


def _of_curve(found: Found, situation: Situation) -> list[str]:
    settings, points = found["settings"], found["points"]
    if len(settings) != 1 or any(p["as_good"] is None for p in points):
        return []
    path, unit = settings[0]["path"], settings[0]["unit"]
    measure = MEASURES[found["measure"]]
    label, look = _label(path), first_cut(situation, path)
    points = sorted(points, key=lambda p: float(p["values"][0]))
    values = [float(p["values"][0]) for p in points]
    often = [p["first_look"]["estimate"] for p in points]
    least = float("-inf") * measure.more  # where nothing was measured
    estimates = [p[measure.name]["estimate"] for p in points]
    figures = [least if estimate is None else float(estimate) for estimate in estimates]
    tried = f"{span((values[0], values[-1]), unit)} in {len(values)} steps"
    if max(often) < HALF:
        return [
            f"{label}: from {tried}, the {look} was itself thrown in under half of the plays, so no "
            "window can be told for it."
        ]
    gained = [measure.more * figure for figure in figures]
    best, worst = gained.index(max(gained)), gained.index(min(gained))
    if often[best] < HALF:
        held = [value for value, share in zip(values, often, strict=True) if share >= HALF]
        return [
            f"{label}: no window, because the best figure (at {span((values[best],), unit)}) is not the "
            f"{look}'s, which was thrown in only {percent(often[best], 0)} of the plays there. The "
            f"{look} itself is what is thrown at {listed(held, unit)}."
        ]
    good = [p["as_good"] and share >= HALF for p, share in zip(points, often, strict=True)]
    low, high = stretch(good, best)
    shares = often[low : high + 1]
    told = f"{label}: as good from {span((values[low], values[high]), unit)}"
    if low == high:
        told = (
            f"{label}: of the values tried only {span((values[low],), unit)} is as good as the best"
        )
    return [
        f"{told} (in use {_in_use(settings[0])}; tried {tried}). The "
        f"{look} is what is thrown there, in {percent_range(min(shares), max(shares))} of the plays. At "
        f"the worst value tried, {span((values[worst],), unit)}: "
        f"{_figure(figures[worst], measure, situation)}, best "
        f"{_figure(figures[best], measure, situation)}."
    ]


def _of_search(found: Found, situation: Situation) -> list[str]:
    lines = []
    for entry in found["settings"]:
        path = entry["path"]
        look = first_cut(situation, path)
        often = sum(
            share["thrown"]["estimate"] for name, share in found["looks"].items()
            if name.split(" ")[0] == look
        )  # fmt: skip
        label = _label(path)
        if often < HALF:
            lines.append(
                f"{label}: no window, because at the best settings the {look} is thrown in only "
                f"{percent(often, 0)} of the plays."
            )
            continue
        low, high = found["plateau"][path]
        told = (
            f"as good from {span((low, high))}" if low < high else f"only {number(low)} is as good"
        )
        best, searched = number(found["best"][path]), span((entry["low"], entry["high"]))
        lines.append(
            f"{label}: {told} (best {best}, in use {_in_use(entry)}; searched {searched}). "
            f"The {look} is what is thrown at the best, in {percent(often, 0)} of the plays."
        )
    return lines


def overturns(found: Found, situation: Situation, most: int = 4) -> list[str]:
    """What would overturn that one plan is better than another, from a study of sturdiness."""
    if "sets_of_assumptions" not in found:
        return []
    better, other, sets = found["better"], found["other"], found["sets_of_assumptions"]
    advice = found["advice"]
    sure = advice["low"] is not None and advice["low"] > 0.0
    by = BY.get(found["measure"], MEASURES[found["measure"]].words)
    lines = [
        f"By {by} {better} {'is' if sure else 'looks, but is not surely,'} better than {other}. In "
        f"{sets['tried']} sets of other assumptions it stays clearly better in {sets['stays_better']}, "
        f"{other} is in {sets['other_better']}, and in {sets['unclear']} it cannot be told."
    ]
    turning, holding, open_ = [], [], []
    for entry in found["assumptions"]:
        if entry["verdict"] is None:
            continue
        label, unit = _label(entry["path"]), situation.setting(entry["path"]).unit
        in_use = f" (in use {_in_use(entry)})" if entry["in_use"] is not None else ""
        if entry["turned_at"]:
            at = listed(entry["turned_at"], unit)
            turning.append(f"{label} alone turns it: at {at} {other} is better{in_use}.")
        elif entry["unclear_at"] and entry["crosses_near"]:
            near = listed(entry["crosses_near"], unit)
            turning.append(f"{label} alone may turn it: they are level near {near}{in_use}.")
        elif entry["unclear_at"]:
            open_.append(label)
        else:
            holding.append(label)
    lines += turning[:most]
    if open_:
        lines.append(f"Not sure at every value tried of {join(open_)}, but never the other way.")
    if holding:
        lines.append(f"Alone, none of these turns it at the values tried: {join(holding)}.")
    return lines


def calls(found: Found, situation: Situation) -> list[str]:
    """Against which defence another plan is better, and how often to call which, from a matchup.

    Another plan is said to be better where even the low end of its interval is above the high end of
    that of the plan in use.
    """
    if "mixes" not in found:
        return []
    measure, plans = MEASURES[found["measure"]], found["plans"]
    lines = []
    for defence, column in zip(found["defences"], zip(*found["values"], strict=True), strict=True):
        if situation.plan not in plans:
            break
        mine = column[plans.index(situation.plan)]
        best = max(column, key=lambda value: value["estimate"])
        if best["low"] > mine["high"]:
            other = plans[column.index(best)]
            lines.append(
                f"Against {defence} {other} is better than {situation.plan}: "
                f"{_figure(best['estimate'], measure, situation)}, not "
                f"{_value(mine['estimate'], measure)}."
            )
    ours = found["mixes"]["offence"]
    told = [
        f"{plan} {percent(part['least'], 0).removesuffix(' %')} to {percent(part['most'], 0)}"
        if part["most"] - part["least"] > 0.01
        else f"{plan} {percent(part['part'], 0)}"
        for plan, part in sorted(ours.items(), key=lambda item: -item[1]["part"])
        if part["most"] > 0.005
    ]
    guessed = f"Against a defence that guesses well ({', '.join(found['defences'])}), call: "
    return [*lines, f"{guessed}{join(told)}."]


def first_cut(situation: Situation, path: str) -> str:
    """The cut of the look that a setting belongs to, or of the first look of the plan in use."""
    parts = path.split(".")
    plan, look = situation.plan, 0
    if parts[0] == "plans" and parts[1] in situation.plans:
        plan = parts[1]
        look = int(parts[3]) if parts[2:3] == ["looks"] else 0
    looks = situation.plans[plan].looks
    return looks[look].cut if looks else plan


def _label(path: str) -> str:
    """A setting in a player's words."""
    name, bracket, owners = label_of(path).partition(" (")
    return f"{SAID.get(name, name)}{bracket}{owners}"


def _in_use(entry: Found) -> str:
    return "none" if entry["in_use"] is None else number(float(entry["in_use"]))


def _figure(value: float, measure: Measure, situation: Situation) -> str:
    words = words_of(measure, situation)
    text = _value(value, measure)
    return f"{text} {words}" if measure.share else f"{words} {text}"


def _value(value: float, measure: Measure) -> str:
    return percent(value) if measure.share else number(float(f"{value:.3g}"))
