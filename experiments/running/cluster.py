"""Rehearse on a Dask cluster; needs the optional extra ``stallwise[cluster]``."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from concurrent.futures import Executor
from pathlib import Path
from typing import Any

from experiments.errors import RunError
from experiments.running import identity
from experiments.running.tasks import Rows, rehearse_dict


@contextlib.contextmanager
def cluster_executor(
    address: str, rows: Rows = rehearse_dict, timeout: float = 30.0
) -> Iterator[Executor]:
    """An executor for `Runner` that hands its chunks to the cluster at this address.

    Parameters
    ----------
    address : of the scheduler, such as ``tcp://host:8786``, or a scheduler's file.
    rows : what will be run; every worker must have the very same code of it.
    timeout : seconds to wait for the scheduler, and for a first worker.

    Raises
    ------
    RunError : if Dask is not installed, the cluster does not answer, or a worker has other
        versions or other code, so that its rehearsals might come out differently.
    """
    try:
        from distributed import Client
    except ImportError as error:
        raise RunError(
            "a cluster needs Dask, which is not installed: pip install 'stallwise[cluster]'"
        ) from error
    where: dict[str, Any] = {"address": address}
    if address.endswith(".json"):
        # Dask would wait for the file to appear, for ever.
        if not Path(address).is_file():
            raise RunError(f"no cluster answers at {address}: there is no such file")
        where = {"scheduler_file": address}
    try:
        client = Client(**where, timeout=timeout, set_as_default=False)
    except (OSError, ValueError, TimeoutError) as error:
        raise RunError(f"no cluster answers at {address}: {error}") from error
    with client:
        try:
            client.wait_for_workers(1, timeout=timeout)
        except TimeoutError as error:
            raise RunError(f"the cluster at {address} has no workers") from error
        for worker, theirs in sorted(client.run(_identity, rows).items()):
            for name, value in _identity(rows).items():
                if theirs[name] != value:
                    raise RunError(
                        f"worker {worker} has {name} {theirs[name]}, here it is {value}; rehearsals "
                        "would not come out the same, so give the workers what is installed here"
                    )
        yield client.get_executor()


def _identity(rows: Rows) -> dict[str, str]:
    found = identity.versions()
    told = {name: found[name] for name in identity.COMPUTING}
    return {**told, "code": identity.code_digest(rows)}
