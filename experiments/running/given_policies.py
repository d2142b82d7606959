"""Rehearse with policies given as Python objects instead of by name."""

from __future__ import annotations

import pickle
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from experiments.errors import RunError, StallwiseError
from experiments.running.batch import rehearse_rows
from experiments.running.engine import Engine
from experiments.situations.situation import Situation
from policies.check.words import in_words
from policies.cuts import Cut
from sim.rulebook import rule_text


@dataclass(frozen=True)
class GivenRows:
    """Rehearses a situation with an offence or a defence of one's own; None leaves the named one.

    Attributes
    ----------
    offence, defence : objects with a function ``decide(me, s)`` that returns a `sim.intent.Intent`.
    """

    offence: Any = None
    defence: Any = None

    def __post_init__(self) -> None:
        for side in ("offence", "defence"):
            if (policy := getattr(self, side)) is not None:
                _check(side, policy)

    def __call__(
        self, situation: Mapping[str, Any], ids: npt.NDArray[np.int64], seed: int
    ) -> pd.DataFrame:
        """One row a rehearsal; see `experiments.running.tasks.Rows`."""
        try:
            played = Situation.from_dict(situation)
            return rehearse_rows(played, ids, seed, offence=self.offence, defence=self.defence)
        except StallwiseError:
            raise
        except Exception as error:  # anything may go wrong in a user's code
            raise RunError(
                f"{_in_words(error)}; policies.check_policy says what is wrong with a policy"
            ) from error

    def check_run(self, engine: Engine) -> None:
        """Check that an engine can run these objects.

        Raises
        ------
        RunError : it has a folder, or worker processes cannot be sent the objects.
        """
        if engine.folder is not None:
            raise RunError(
                "a study's folder keeps a situation file, so that the study can go on later, and a "
                "policy given as a Python object cannot be written to it. Leave out `folder`, or let "
                "a package offer the policy by an entry point and name it in the situation"
            )
        if engine.executor is None and engine.processes > 1:
            self._check_processes()

    def _check_processes(self) -> None:
        try:
            packed = pickle.dumps(self)
        except Exception as error:  # pickle raises errors of many kinds
            raise RunError(
                f"worker processes cannot be given these policies ({error}): use processes=1, or put "
                "their classes at the top of a module"
            ) from error
        import __main__

        if b"__main__" in packed and not hasattr(__main__, "__file__"):
            raise RunError(
                "worker processes cannot find policies that were written in a notebook or at a "
                "prompt: use processes=1, or put their classes into a module and import it"
            )


def _check(side: str, policy: Any) -> None:
    if isinstance(policy, type):
        raise RunError(
            f"{side} is the class {policy.__name__}; give an object: {policy.__name__}()"
        )
    name = type(policy).__name__
    if isinstance(policy, Cut):
        raise RunError(
            f"{side} is a {name}, which is a cut: give a plan that uses it, "
            f"such as Looks(looks=(Look('left', {name}(), 4.0, 9.5),))"
        )
    if not callable(getattr(policy, "decide", None)):
        raise RunError(
            f"{side} is a {name}, which has no function decide(me, s); give an object with one, "
            f"or name a policy in the situation"
        )
    try:
        rule_text(type(policy))
    except TypeError as error:
        raise RunError(f"{side}: {error}") from None


def _in_words(error: Exception) -> str:
    """What went wrong in a rule, and in which of its lines."""
    trace = error.__traceback__
    while trace is not None and str(trace.tb_frame.f_globals["__name__"]).startswith("experiments"):
        trace = trace.tb_next
    return in_words(error.with_traceback(trace))
