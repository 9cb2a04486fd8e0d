"""A hole put elsewhere is written as its owner would have written it, both measures in one step, and nothing else."""

from __future__ import annotations

import math

import pytest

from tankwright.plan.changes import Change
from tankwright.plan.changes_glass import MoveHole
from tankwright.plan.reading import read_plan_text

PLAN = """\
[tank_kind.long]
outside = ["90 cm", "38 cm", "38 cm"]
hole = { pane = "back", from_left = "7.5 cm", below_rim = { value = "70 mm", measured = 2026-09-12 } } # by me
more_holes = [
    { pane = "back", from_left = "3 in", below_rim = "2 1/2 in" },
    { pane = "base", from_left = "10 cm", from_back = "8 cm" },
]
[tank_kind."two ends"]
outside = ["60 cm", "30 cm", "30 cm"]
[tank_kind."two ends".hole]
pane = "left"
[tank_kind.whole]
outside = ["60 cm", "30 cm", "30 cm"]
"""


def changed(change: Change, before: str = PLAN) -> list[str]:
    """The lines a change makes."""
    result = change.apply(before)
    assert result.findings == ()
    assert result.text is not None
    assert read_plan_text(result.text, "plan.toml").plan is not None
    old = before.splitlines()
    return [line for line in result.text.splitlines() if line not in old]


def test_a_hand_writes_the_owners_unit_to_the_millimetre_and_a_measured_place_is_given_after_that() -> None:
    moved = MoveHole("long", across=0.12345, down=0.0804)
    assert changed(moved) == ['hole = { pane = "back", from_left = "12.3 cm", below_rim = "80 mm" } # by me']
    assert moved.says(PLAN).startswith('tank kind long: hole.from_left "7.5 cm" -> "12.3 cm", ')
    assert len(moved.says(PLAN)) <= 120


def test_further_holes_are_counted_from_one_and_a_base_is_measured_from_the_back() -> None:
    assert 'from_left = "4 in", below_rim = "2 1/2 in"' in changed(MoveHole("long", 0.1016, 0.0635, 1))[0]
    assert 'from_left = "10 cm", from_back = "9.1 cm"' in changed(MoveHole("long", 0.1, 0.091, 2))[0]


def test_what_was_typed_is_taken_as_typed_and_a_bare_number_has_the_unit_of_the_one_before() -> None:
    assert 'from_left = "12 cm", below_rim = "3 in"' in changed(MoveHole("long", "12", "3 in"))[0]


def test_a_place_nobody_said_yet_is_written_in_millimetres() -> None:
    assert changed(MoveHole("two ends", 0.05, 0.06)) == ['from_left = "50 mm"', 'below_rim = "60 mm"']


def test_moved_by_less_than_a_drill_is_true_to_nothing_is_written() -> None:
    assert MoveHole("long", 0.0752, 0.0698).apply(PLAN).text == PLAN
    assert MoveHole("long", 0.0752, 0.0698).says(PLAN) == "nothing changed"


@pytest.mark.parametrize(
    ("change", "found"),
    [
        (MoveHole("lomg", 0.1, 0.1), '"lomg"'),
        (MoveHole("whole", 0.1, 0.1), "no hole"),
        (MoveHole("long", 0.1, 0.1, 3), "no hole"),
        (MoveHole("long", -0.01, 0.1), "-10 mm"),
        (MoveHole("long", 0.1, math.nan), "nan mm"),
        (MoveHole("long", 0.1, math.inf), "inf mm"),
        (MoveHole("long", "", "70 mm"), "nothing"),
        (MoveHole("long", "75 kg", "70 mm"), '"75 kg"'),
        (MoveHole("long", "far", "70 mm"), '"far"'),
    ],
)
def test_what_cannot_be_is_refused_with_what_was_found_and_what_is_wanted(change: Change, found: str) -> None:
    result = change.apply(PLAN)
    assert result.text is None
    (finding,) = result.findings
    assert finding.found == found
    assert finding.wanted
    assert change.says(PLAN) == "nothing changed"


def test_the_names_near_a_kind_that_is_none_are_told() -> None:
    (finding,) = MoveHole("lomg", 0.1, 0.1).apply(PLAN).findings
    assert "did you mean" in finding.text
    assert finding.attempt == "long"


def test_a_text_with_mistakes_is_not_changed() -> None:
    broken = PLAN + "\n[tank_kind.x\n"
    assert MoveHole("long", 0.1, 0.1).apply(broken).text is None


def test_the_hole_is_what_versions_are_compared_by() -> None:
    assert MoveHole("long", 0.1, 0.1).path == ("tank_kind", "long", "hole")
    assert MoveHole("long", 0.1, 0.1, 2).path == ("tank_kind", "long", "more_holes", 1)
