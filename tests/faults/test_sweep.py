"""A sweep comes to the same whoever works it, loses nothing and counts nothing twice."""

from __future__ import annotations

import multiprocessing
import sys
from functools import partial
from pathlib import Path

import pytest

from tankwright.faults.listing import all_faults
from tankwright.faults.model import Fault, Outcome
from tankwright.faults.simulate import outcome_of
from tankwright.faults.sweep import DIED, FEW, one_core, processes, sweep
from tankwright.study import Study
from tankwright.workspace.opened import open_plan

from .broken_rooms import EXAMPLES, studied

# found by its bare name, by the processes of a crew too
sys.path.append(str(Path(__file__).parent))
from sweep_stand_ins import deadly, noted, quick, weak


@pytest.fixture(scope="module")
def study() -> Study:
    return studied("cellar")


@pytest.fixture(scope="module")
def faults(study: Study) -> tuple[Fault, ...]:
    return all_faults(study)[:40]


def names(outcomes: tuple[Outcome, ...]) -> list[str]:
    return [one.fault for one in outcomes]


def test_two_processes_find_what_one_core_finds_to_the_last_digit() -> None:
    study = open_plan(EXAMPLES / "cellar.toml").study
    assert study is not None
    every = all_faults(study)
    some = every[:: len(every) // FEW][:FEW]
    assert sweep(study, some, outcome_of, crew=processes(2)) == sweep(study, some, outcome_of)


def test_rows_stand_in_the_order_of_the_faults_however_many_work(
    study: Study, faults: tuple[Fault, ...]
) -> None:
    at = faults[17].name
    run = partial(weak, at=at)
    alone, crewed = sweep(study, faults, run), sweep(study, faults, run, crew=processes(3))
    assert crewed == alone
    assert names(alone.outcomes) == [one.name for one in faults if one.name != at]
    assert alone.failed == ((at, f"ValueError: no root for {at}"),), "and it stops no other"


def test_a_process_that_is_killed_half_way_loses_nothing_and_nothing_comes_twice(
    study: Study, faults: tuple[Fault, ...], tmp_path: Path
) -> None:
    kept: list[Outcome] = []
    run = partial(deadly, at=faults[11].name, once=str(tmp_path / "died"))
    swept = sweep(study, faults, run, crew=processes(2), keep=kept.append)
    assert swept == sweep(study, faults, quick)
    assert sorted(one.fault for one in kept) == sorted(one.name for one in faults)


def test_a_fault_that_always_ends_its_process_is_told_and_stops_no_other(
    study: Study, faults: tuple[Fault, ...]
) -> None:
    at = faults[3].name
    swept = sweep(study, faults, partial(deadly, at=at), crew=processes(2))
    assert swept.failed == ((at, DIED),)
    assert names(swept.outcomes) == [one.name for one in faults if one.name != at]


def test_what_is_done_is_not_worked_out_again(
    study: Study, faults: tuple[Fault, ...], tmp_path: Path
) -> None:
    place = tmp_path / "asked"
    done = {one.name: quick(study, one) for one in faults[::2]}
    swept = sweep(study, faults, partial(noted, into=str(place)), done=done)
    assert swept == sweep(study, faults, quick)
    assert place.read_text("utf-8").splitlines() == [one.name for one in faults[1::2]]
    assert sweep(study, faults, quick, done={one.fault: one for one in swept.outcomes}, crew=None) == swept


def test_progress_counts_up_from_what_is_done(study: Study, faults: tuple[Fault, ...]) -> None:
    told: list[tuple[int, int]] = []
    done = {one.name: quick(study, one) for one in faults[:10]}
    sweep(study, faults, quick, done=done, progress=lambda *now: told.append(now))
    assert told == [(count, 40) for count in range(10, 41)]


class StopError(Exception):
    pass


@pytest.mark.parametrize("crew", [one_core, processes(2)], ids=["one core", "two processes"])
def test_raising_out_of_progress_stops_it_and_leaves_no_process(
    crew: object, study: Study, faults: tuple[Fault, ...]
) -> None:
    kept: list[Outcome] = []

    def stop(done: int, of: int) -> None:
        if done == 5:
            raise StopError

    before = multiprocessing.active_children()
    with pytest.raises(StopError):
        sweep(study, faults, quick, crew=crew, keep=kept.append, progress=stop)  # type: ignore[arg-type]
    assert len(kept) == 5
    assert multiprocessing.active_children() == before


def test_what_another_process_cannot_load_ends_the_sweep_with_its_reason(
    study: Study, faults: tuple[Fault, ...]
) -> None:
    with pytest.raises(ModuleNotFoundError, match="not_there"):
        sweep(study, faults, Unloadable(), crew=processes(2))  # type: ignore[arg-type]


class Unloadable:
    def __reduce__(self) -> tuple[object, ...]:
        return (__import__, ("not_there",))


def test_nothing_to_do_is_done_at_once(study: Study) -> None:
    assert sweep(study, (), quick, crew=processes(2)).outcomes == ()
