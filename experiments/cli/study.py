"""The decorator of the study commands: common options, running, printing, keeping."""

from __future__ import annotations

import contextlib
import functools
import inspect
from collections.abc import Callable
from dataclasses import dataclass
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
    "size": (options.Size, "page"),
    "sideways": (options.Sideways, False),
}
UNITS = {"units": (options.Units, "m")}
RUNNING = ("n", "seed", "within", "jobs", "cluster", "out")


@dataclass(frozen=True)
class Asked:
    """What every study is asked.

    Attributes
    ----------
    situation : with what --set did to it.
    command : its name. given : its options by name.
    opened : closes what is opened for the command.
    """

    situation: Situation
    command: str
    given: dict[str, Any]
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
        n, seed, within, jobs, cluster, out = map(self.given.get, RUNNING)
        if jobs is not None and cluster is not None:
            raise StallwiseError("found --jobs and --cluster; allowed: one of the two")
        if out is not None:
            options.ready_folder(out)
        if machine_code.is_first():
            complain(FIRST_COMPILING)
        told = {k: v for k, v in self.given.items() if v is not None and k not in APART}
        if each and n is None and within is None:
            told["n"] = each  # What is usual may change; the folder says how many there were.
        situation = self.situation.to_dict()
        settings = {"command": self.command, "options": told, "situation": situation}
        known = situations is not None and within is None
        expected = (situations or 0) * (n or each) if known else MANY
        engine = Engine(options.processes(jobs, expected), folder=out, settings=settings)
        if cluster is not None:
            executor = self.opened.enter_context(cluster_executor(cluster))
            engine = Engine(executor=executor, folder=out, settings=settings)
        return {"n": n, "seed": seed, "within": within, "engine": engine}


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
            situation = options.with_settings(load(given["situation"]), given["settings"])
            own_options = {each.name: given[each.name] for each in own}
            with contextlib.ExitStack() as opened:
                found = ask(Asked(situation, name, given, opened), **own_options)
            shown = given.get("units", "m")
            style = {"units": shown, "size": given["size"], "upright": not given["sideways"]}
            written = [] if given["out"] is None else keep(found, given["out"], **style)
            if given["json"]:
                print_json(found.as_dict())
                return
            print_lines(found.told(shown))
            print_end(found.made, found.per_second, written, reached=found.reached)

        keyword = functools.partial(inspect.Parameter, kind=inspect.Parameter.KEYWORD_ONLY)
        parameters = [
            keyword("situation", annotation=options.SituationName),
            *(each.replace(kind=inspect.Parameter.KEYWORD_ONLY) for each in own),
            *(
                keyword(key, annotation=kind, default=usual)
                for key, (kind, usual) in common.items()
            ),
        ]
        command.__signature__ = inspect.Signature(parameters)  # type: ignore[attr-defined]
        command.__annotations__ = {each.name: each.annotation for each in parameters}
        return command

    return decorate
