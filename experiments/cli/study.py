"""The decorator of the study commands: common options, running, printing, keeping."""

from __future__ import annotations

import contextlib
import functools
import inspect
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from experiments.cli import options
from experiments.cli.output import complain, keep, print_end, print_json, print_lines
from experiments.errors import StallwiseError
from experiments.running.cluster import cluster_executor
from experiments.running.engine import Engine
from experiments.situations.files import load
from experiments.situations.situation import Situation
from experiments.studies.rehearse import DEFAULT_SEED
from experiments.studies.result import Result
from sim import machine_code

MANY = 10 * options.WORTH_A_PROCESS  # rehearsals, where nobody knows how many
FIRST_COMPILING = "compiling the game for this machine, once: half a minute"
# Kept apart from the other options in the manifest of a study: the situation is kept whole, with what
# --set did to it, and the rest has no say in the results.
APART = ("situation", "settings", "jobs", "cluster", "out", "json", "size", "sideways")
COMMON: dict[str, tuple[Any, Any]] = {
    "n": (options.RehearsalsEach, None),
    "within": (options.Within, None),
    "seed": (options.Seed, DEFAULT_SEED),
    "jobs": (options.Jobs, None),
    "cluster": (options.Cluster, None),
    "settings": (options.Settings, None),
    "json": (options.Json, False),
    "out": (options.Out, None),
    "size": (options.Size, options.PictureSize.page),
    "sideways": (options.Sideways, False),
}
UNITS = {"units": (options.UnitsOption, options.Units.m)}


@dataclass(frozen=True)
class Asked:
    """What every study is asked.

    Attributes
    ----------
    situation : with what --set did to it.
    n, within, seed : how many rehearsals, or to which precision, and with which luck.
    jobs, cluster, out : where it is to be run and kept.
    told : what the command was told, for the manifest.
    opened : closes what is opened for the command.
    """

    situation: Situation
    n: int | None
    within: float | None
    seed: int
    jobs: int | None
    cluster: str | None
    out: Path | None
    told: dict[str, Any]
    opened: contextlib.ExitStack

    def run(self, situations: int | None, each: int = 0) -> dict[str, Any]:
        """How much to rehearse and how: what every study takes by keyword; `out` is made ready.

        Parameters
        ----------
        situations : how many are rehearsed, None if that is not known beforehand.
        each : rehearsals of each, if it was not told.

        Raises
        ------
        StallwiseError : `out` cannot be written to, or the cluster does not answer or will not do.
        """
        if self.jobs is not None and self.cluster is not None:
            raise StallwiseError("found --jobs and --cluster; allowed: one of the two")
        if self.out is not None:
            options.ready_folder(self.out)
        if machine_code.is_first():
            complain(FIRST_COMPILING)
        settings = {**self.told, "situation": self.situation.to_dict()}
        if each and self.n is None and self.within is None:
            # What is usual may change; the folder says how many there were.
            settings["options"] = {**self.told["options"], "n": each}
        known = situations is not None and self.within is None
        expected = (situations or 0) * (self.n or each) if known else MANY
        engine = Engine(options.processes(self.jobs, expected), None, self.out, settings=settings)
        if self.cluster is not None:
            executor = self.opened.enter_context(cluster_executor(self.cluster))
            engine = Engine(executor=executor, folder=self.out, settings=settings)
        return {"n": self.n, "seed": self.seed, "within": self.within, "engine": engine}


def study(
    name: str, *, units: bool = False, within: Any = options.Within
) -> Callable[[Callable[..., Result]], Callable[..., None]]:
    """Make a command of a function that is given what was `Asked` and its own options.

    Parameters
    ----------
    name : of the command.
    units : whether lengths may be shown in yards.
    within : the option of that name, where it is not about completion.
    """
    common = {**COMMON, "within": (within, None), **(UNITS if units else {})}

    def decorate(ask: Callable[..., Result]) -> Callable[..., None]:
        _, *own = inspect.signature(ask, eval_str=True).parameters.values()

        @functools.wraps(ask)
        def command(**given: Any) -> None:
            kept = {k: v for k, v in given.items() if v is not None and k not in APART}
            told = {"command": name, "options": kept}
            situation = options.with_settings(load(given["situation"]), given["settings"])
            own_options = {each.name: given[each.name] for each in own}
            shared = {k: given[k] for k in ("n", "within", "seed", "jobs", "cluster", "out")}
            with contextlib.ExitStack() as opened:
                found = ask(Asked(situation, **shared, told=told, opened=opened), **own_options)
            shown = given.get("units", options.Units.m)
            style = {"units": shown, "size": given["size"], "upright": not given["sideways"]}
            written = [] if given["out"] is None else keep(found, given["out"], **style)
            if given["json"]:
                print_json(found.as_dict())
                return
            print_lines(found.told(shown))
            print_end(found.made, found.per_second, written, reached=found.reached)

        parameters = [
            _keyword("situation", options.SituationName),
            *(each.replace(kind=inspect.Parameter.KEYWORD_ONLY) for each in own),
            *(_keyword(key, kind, default) for key, (kind, default) in common.items()),
        ]
        command.__signature__ = inspect.Signature(parameters)  # type: ignore[attr-defined]
        command.__annotations__ = {each.name: each.annotation for each in parameters}
        return command

    return decorate


def _keyword(name: str, kind: Any, default: Any = inspect.Parameter.empty) -> inspect.Parameter:
    return inspect.Parameter(name, inspect.Parameter.KEYWORD_ONLY, annotation=kind, default=default)
