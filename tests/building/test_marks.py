"""Marks as data and as lines of a file."""

from __future__ import annotations

import json
from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from tankwright.building.marks import LONGEST, Mark, mark_of, record_of, standing

DAY = date(2026, 12, 5)


@given(st.text(min_size=1, max_size=60).filter(str.strip), st.dates(), st.text(max_size=40), st.booleans())
def test_a_mark_comes_back_from_its_line_as_it_was(task: str, day: date, note: str, undone: bool) -> None:
    kept = mark_of(record_of(Mark(task=task, done_on=day, note=note, undone=undone)))
    assert kept is not None
    line = json.dumps(record_of(kept))
    assert mark_of(json.loads(line)) == kept
    assert (kept.done_on, kept.undone, kept.note) == (day, undone, note)


def test_what_is_no_mark_is_passed_over() -> None:
    good = record_of(Mark(task="a", done_on=DAY))
    for bad in (
        {},
        {"task": 3},
        good | {"task": " "},
        good | {"done_on": "soon"},
        good | {"done_on": 20261205},
    ):
        assert mark_of(bad) is None


def test_long_texts_are_cut_before_they_are_kept() -> None:
    record = record_of(Mark(task="t" * 999, done_on=DAY, who="w" * 999, note="n" * 9999))
    assert len(record["task"]) <= LONGEST["task"]
    assert len(record["note"]) == LONGEST["note"]


def test_the_newest_mark_of_a_task_counts() -> None:
    first, undone = Mark(task="a", done_on=DAY), Mark(task="a", done_on=DAY, undone=True)
    again = Mark(task="a", done_on=date(2026, 12, 9), who="Ada")
    assert standing((first, undone)) == {}
    assert standing((first, undone, again)) == {"a": again}
