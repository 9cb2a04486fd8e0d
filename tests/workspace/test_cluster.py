"""The same sweep on a cluster: the pool's results, whoever of the workers dies; and clear words when there is none."""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Iterator
from functools import partial
from pathlib import Path

import pytest
from distributed import LocalCluster

from tankwright.faults.listing import all_faults
from tankwright.faults.model import Outcome
from tankwright.faults.simulate import outcome_of
from tankwright.faults.sweep import processes, sweep
from tankwright.study import Study
from tankwright.workspace import cluster as module
from tankwright.workspace.cluster import OTHER_PROGRAM, ClusterError, on_cluster
from tankwright.workspace.opened import open_plan

# found by its bare name, by other processes too
sys.path.append(str(Path(__file__).parent.parent / "faults"))
from sweep_stand_ins import noted, quick, weak

EXAMPLES = Path(__file__).parent.parent.parent / "examples"


@pytest.fixture(scope="module")
def study() -> Study:
    study = open_plan(EXAMPLES / "garage.toml").study
    assert study is not None
    return study


@pytest.fixture(scope="module")
def two() -> Iterator[LocalCluster]:
    """Two workers, each a process of its own."""
    with LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None, silence_logs=50
    ) as cluster:
        yield cluster


def test_a_cluster_finds_what_a_pool_finds_to_the_last_digit(study: Study, two: LocalCluster) -> None:
    some = all_faults(study)[:10]
    crew = on_cluster(two.scheduler_address)
    assert sweep(study, some, outcome_of, crew=crew) == sweep(study, some, outcome_of, crew=processes(2))


def test_a_fault_that_fails_on_a_cluster_is_told_and_stops_no_other(study: Study, two: LocalCluster) -> None:
    some = all_faults(study)[:10]
    run = partial(weak, at=some[4].name)
    assert sweep(study, some, run, crew=on_cluster(two.scheduler_address)) == sweep(study, some, run)


def test_a_machine_with_another_program_is_not_believed(
    study: Study, two: LocalCluster, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "program_mark", lambda: "a newer one")
    some = all_faults(study)[:3]
    swept = sweep(study, some, quick, crew=on_cluster(two.scheduler_address))
    assert swept.failed == tuple((one.name, OTHER_PROGRAM) for one in some)


def test_a_worker_killed_half_way_loses_nothing_and_nothing_comes_twice(
    study: Study, two: LocalCluster, tmp_path: Path
) -> None:
    some = all_faults(study)[:40]
    kept: list[Outcome] = []

    def kill(done: int, of: int) -> None:
        if done == 15:
            os.kill(two.workers[0].pid, signal.SIGKILL)

    run = partial(noted, into=str(tmp_path / "asked"), lasts=0.05)
    swept = sweep(study, some, run, crew=on_cluster(two.scheduler_address), keep=kept.append, progress=kill)
    assert swept == sweep(study, some, quick)
    assert sorted(one.fault for one in kept) == sorted(one.name for one in some)


def test_no_scheduler_and_no_dask_are_said_in_words(study: Study, monkeypatch: pytest.MonkeyPatch) -> None:
    some = all_faults(study)[:1]
    monkeypatch.setattr(module, "PATIENCE", "200 ms")
    with pytest.raises(ClusterError, match="no scheduler answers at tcp"):
        sweep(study, some, quick, crew=on_cluster("tcp://127.0.0.1:9"))
    monkeypatch.setitem(sys.modules, "dask.distributed", None)
    with pytest.raises(ClusterError, match=r"tankwright\[cluster\]"):
        sweep(study, some, quick, crew=on_cluster("tcp://127.0.0.1:9"))
