"""The file of marks: each once, whole after a power cut, read by many."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import date
from pathlib import Path

from tankwright.building.marks import Mark
from tankwright.finding import Finding
from tankwright.workspace.build_marks import BuildMarks

from .rooms import Clock

DONE = Mark(task="rack.stand:A", done_on=date(2026, 12, 5), who="Ada", note="shims under two feet")


def book(folder: Path) -> BuildMarks:
    return BuildMarks(folder / "plan.toml", now=Clock())


def test_looking_makes_no_folder(tmp_path: Path) -> None:
    assert book(tmp_path).all() == ()
    assert list(tmp_path.iterdir()) == []


def test_a_mark_is_there_after_a_restart_and_taken_back_by_another(tmp_path: Path) -> None:
    of = book(tmp_path)
    assert of.add([DONE]) == (DONE,)
    assert book(tmp_path).standing() == {DONE.task: DONE}
    back = replace(DONE, undone=True)
    assert of.add([back]) == (back,)
    assert book(tmp_path).standing() == {}
    assert book(tmp_path).all() == (DONE, back)


def test_the_same_said_twice_and_a_mark_that_never_was_taken_back_are_not_stored(tmp_path: Path) -> None:
    of = book(tmp_path)
    assert of.add([replace(DONE, undone=True)]) == ()
    of.add([DONE])
    assert of.add([DONE, replace(DONE, note="")]) == ()
    other = replace(DONE, done_on=date(2026, 12, 6))
    assert of.add([other]) == (other,)


def test_many_at_once_are_all_kept_once(tmp_path: Path) -> None:
    marks = [replace(DONE, task=f"t{number % 8}") for number in range(32)]
    with ThreadPoolExecutor(8) as phones:
        list(phones.map(lambda mark: book(tmp_path).add([mark]), marks))
    assert sorted(one.task for one in book(tmp_path).all()) == sorted({mark.task for mark in marks})


def test_half_a_line_and_strange_lines_are_passed_over(tmp_path: Path) -> None:
    book(tmp_path).add([DONE])
    file = tmp_path / "plan.tankwright" / "build.jsonl"
    file.write_bytes(b'{"task": 3}\nnot json\n' + file.read_bytes() + b'{"task": "half')
    of = book(tmp_path)
    assert of.all() == (DONE,)
    second = replace(DONE, task="rack.stand:B")
    of.add([second])
    assert book(tmp_path).all() == (DONE, second)


def test_a_folder_that_will_not_take_it_is_told_and_nothing_is_kept(tmp_path: Path) -> None:
    (tmp_path / "plan.tankwright").write_text("a file where the folder should be", "utf-8")
    of = book(tmp_path)
    said = of.add([DONE])
    assert isinstance(said, Finding)
    assert said.code == "BUILD-11"
    assert of.all() == ()
