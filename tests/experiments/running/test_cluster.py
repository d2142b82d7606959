"""Rehearsing on a Dask cluster: a real one on this machine, and every way it can fail."""

from __future__ import annotations

import builtins
import socket
from pathlib import Path

import pytest

from experiments.cli import main
from experiments.errors import RunError
from experiments.running import cluster, identity
from experiments.running.cluster import cluster_executor
from experiments.running.engine import Engine
from experiments.running.runner import run
from tests.experiments import pretend


@pytest.fixture(scope="module")
def address():
    """Of a cluster of two workers on this machine, started once for all tests."""
    distributed = pytest.importorskip("distributed")
    with distributed.LocalCluster(
        n_workers=2,
        threads_per_worker=1,
        processes=True,
        dashboard_address=":0",  # any free port: 8787 may be somebody else's
        host="127.0.0.1",
    ) as there:
        yield there.scheduler_address


@pytest.mark.slow
def test_a_real_cluster_gives_the_identical_table(address, tmp_path, monkeypatch):
    tasks = [pretend.task("one", 900), pretend.task("two", 500, rate=0.7)]
    here = run(tasks, Engine(rows=pretend.rows))
    with cluster_executor(address, pretend.rows) as executor:
        there = run(tasks, Engine(rows=pretend.rows, executor=executor, chunk=100, folder=tmp_path))
        bad = [pretend.task(fails_at=250)]
        with pytest.raises(RunError, match=r"rehearsals 200 to 299: ValueError"):
            run(bad, Engine(rows=pretend.rows, executor=executor, chunk=100))
    real = identity.code_digest
    monkeypatch.setattr(cluster.identity, "code_digest", lambda rows: real(rows) + "x")
    with (
        pytest.raises(RunError, match="would not come out the same"),
        cluster_executor(address, pretend.rows),
    ):
        pass
    for key, table in here.tables.items():
        assert pretend.same(there.tables[key], table)


@pytest.mark.slow
def test_a_command_gives_the_identical_answer_on_a_cluster(
    address: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = ["vary", "middle-reset", "wind.speed=0,6", "-n", "16", "--json"]
    assert main([*told, "--jobs", "1"]) == 0
    here = capsys.readouterr().out
    assert main([*told, "--cluster", address, "--out", str(tmp_path)]) == 0
    assert capsys.readouterr().out == here
    assert main([*told, "--cluster", "nowhere.json"]) == 2
    assert "no cluster answers at nowhere.json" in capsys.readouterr().err
    assert main([*told, "--cluster", "nowhere.json", "--jobs", "2"]) == 2
    assert "one of the two" in capsys.readouterr().err


def test_without_dask_it_says_what_to_install(monkeypatch):
    real = builtins.__import__

    def without(name, *rest, **options):
        if name.split(".")[0] == "distributed":
            raise ImportError(name)
        return real(name, *rest, **options)

    monkeypatch.setattr(builtins, "__import__", without)
    with (
        pytest.raises(RunError, match=r"pip install 'stallwise\[cluster\]'"),
        cluster_executor("tcp://127.0.0.1:1"),
    ):
        pass


@pytest.mark.slow
@pytest.mark.parametrize("address", ["tcp://127.0.0.1:{port}", "nonsense://here", "missing.json"])
def test_no_cluster_there_is_said_so(address):
    pytest.importorskip("distributed")
    with socket.socket() as taken:
        # Bound but not listening: nobody answers there, and nobody else takes it.
        taken.bind(("127.0.0.1", 0))
        where = address.format(port=taken.getsockname()[1])
        with pytest.raises(RunError, match="no cluster"), cluster_executor(where, timeout=2.0):
            pass
