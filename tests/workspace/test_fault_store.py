"""What is worked out of a sweep is kept: killed at any moment, nothing is lost and nothing half-read."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import pytest

from tankwright.faults.listing import all_faults
from tankwright.faults.sweep import sweep
from tankwright.study import Study
from tankwright.workspace.fault_store import STATES, FaultStore, room_mark
from tankwright.workspace.opened import open_plan

# found by its bare name, by other processes too
sys.path.append(str(Path(__file__).parent.parent / "faults"))
from sweep_stand_ins import quick

EXAMPLES = Path(__file__).parent.parent.parent / "examples"
CHILD = Path(__file__).parent / "sweep_child.py"


@pytest.fixture(scope="module")
def study() -> Study:
    study = open_plan(EXAMPLES / "garage.toml").study
    assert study is not None
    return study


def store(folder: Path, mark: str = "a room") -> FaultStore:
    return FaultStore(mark, folder=folder)


def file_of(folder: Path) -> Path:
    (found,) = (folder / "faults").glob("*.jsonl")
    return found


def test_what_is_kept_is_read_as_it_was_to_the_last_digit(study: Study, tmp_path: Path) -> None:
    outcomes = [quick(study, one) for one in all_faults(study)[:20]]
    kept = store(tmp_path)
    assert kept.known() == {}
    for one in outcomes:
        kept.keep(one)
    assert store(tmp_path).known() == {one.fault: one for one in outcomes}
    assert store(tmp_path, "another room").known() == {}
    assert FaultStore("a room", "03:00", folder=tmp_path).known() == {}
    kept.forget()
    assert store(tmp_path).known() == {}


def test_a_line_that_was_cut_off_or_is_none_costs_one_fault_and_no_other(
    study: Study, tmp_path: Path
) -> None:
    outcomes = [quick(study, one) for one in all_faults(study)[:5]]
    for one in outcomes[:4]:
        store(tmp_path).keep(one)
    place = file_of(tmp_path)
    lines = place.read_bytes().splitlines(keepends=True)
    lines[1] = b'{"fault": "half a fault"}\n'
    place.write_bytes(b"".join(lines[:3]) + lines[3][:40])
    assert list(store(tmp_path).known()) == [outcomes[0].fault, outcomes[2].fault]
    store(tmp_path).keep(outcomes[4])
    assert list(store(tmp_path).known()) == [outcomes[0].fault, outcomes[2].fault, outcomes[4].fault]


def test_two_who_keep_at_once_lose_nothing_of_each_other(study: Study, tmp_path: Path) -> None:
    outcomes = [quick(study, one) for one in all_faults(study)[:10]]
    mine, yours = store(tmp_path), store(tmp_path)
    for index, one in enumerate(outcomes):
        (mine, yours)[index % 2].keep(one)
    assert len(store(tmp_path).known()) == 10


def test_a_cache_that_cannot_be_written_stops_nothing(study: Study, tmp_path: Path) -> None:
    (tmp_path / "faults").write_text("a file where the folder should be", "utf-8")
    kept = store(tmp_path)
    kept.keep(quick(study, all_faults(study)[0]))
    assert kept.known() == {}


def test_only_so_many_states_of_rooms_are_kept_and_the_oldest_goes(study: Study, tmp_path: Path) -> None:
    one = quick(study, all_faults(study)[0])
    for number in range(STATES + 3):
        store(tmp_path, f"room {number}").keep(one)
        for index, place in enumerate(sorted((tmp_path / "faults").glob("*.jsonl"), key=os.path.getmtime)):
            os.utime(place, (index, index))
    assert len(list((tmp_path / "faults").glob("*.jsonl"))) == STATES
    assert store(tmp_path, "room 0").known() == {}
    assert store(tmp_path, f"room {STATES + 2}").known()


def test_a_room_has_the_same_mark_wherever_it_stands_in_its_plan_and_another_when_it_is_another(
    study: Study, tmp_path: Path
) -> None:
    text = (EXAMPLES / "garage.toml").read_text("utf-8")
    moved = tmp_path / "moved.toml"
    moved.write_text(f"# a line more\n\n{text}", "utf-8")
    other = open_plan(moved).study
    assert other is not None
    mark = room_mark(study)
    assert room_mark(other) == mark
    tanks = study.room.tanks
    higher = (replace(tanks[0], level=tanks[0].level + 1e-9), *tanks[1:])
    assert room_mark(replace(study, room=replace(study.room, tanks=higher))) != mark


def test_a_sweep_killed_again_and_again_is_whole_at_its_end(study: Study, tmp_path: Path) -> None:
    every = all_faults(study)[:60]
    asked = tmp_path / "asked"
    kills = 0
    for wanted in (4, 30, 61):
        child = subprocess.Popen([sys.executable, str(CHILD), str(tmp_path), str(asked), str(len(every))])
        end = time.monotonic() + 60.0
        while child.poll() is None and len(store(tmp_path).known()) < wanted and time.monotonic() < end:
            time.sleep(0.01)
        if child.poll() is None:
            child.send_signal(signal.SIGKILL)
            kills += 1
        child.wait()
    assert kills == 2
    known = store(tmp_path).known()
    assert known == {one.name: quick(study, one) for one in every}
    assert sweep(study, every, quick, done=known) == sweep(study, every, quick)
    lines = file_of(tmp_path).read_text("utf-8").splitlines()
    assert len(lines) == len(every), "and none of them twice"
    again = len(asked.read_text("utf-8").splitlines()) - len(every)
    assert again <= 2 * 6, "only what was out with the two processes is worked out again"
