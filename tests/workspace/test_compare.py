"""What changed between two revisions: lines, figures, findings, tanks."""

from __future__ import annotations

from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from tankwright.plan.changes import MoveRack, SetValue
from tankwright.workspace.compare import text_lines
from tankwright.workspace.live import LivePlan

from .rooms import ROOM, applied, live, put

EXAMPLES = Path(__file__).parents[2] / "examples"
LINES = st.lists(st.sampled_from(["a", "b", "c", ""]), max_size=12)


def cellar(folder: Path) -> LivePlan:
    return live(folder, (EXAMPLES / "cellar.toml").read_text("utf-8"))


def test_a_moved_rack_is_told_as_its_line_and_its_tanks(tmp_path: Path) -> None:
    plan = cellar(tmp_path)
    applied(plan.edit(MoveRack("A", along=0.2, off=None, at=None), base=1, key="", who=""))
    seen = plan.compare(1, 2)
    assert seen is not None
    assert [line for line in seen.text_lines if line[0] in "+-"] == [
        '-from_west = "15 cm"',
        '+from_west = "20 cm"',
    ]
    assert seen.comparable
    assert {move.tank[0] for move in seen.tanks_moved} == {"A"}
    for move in seen.tanks_moved:
        assert round(move.new[0] - move.old[0], 6) == 0.05
        assert (move.new[1:], move.new_rack) == (move.old[1:], move.old_rack)
    back = plan.compare(2, 1)
    assert back is not None
    assert (back.findings_gone, back.findings_come) == (seen.findings_come, seen.findings_gone)
    assert [(one.old, one.new) for one in back.figures] == [(one.new, one.old) for one in seen.figures]


def test_a_tank_less_changes_figures_and_findings(tmp_path: Path) -> None:
    plan = cellar(tmp_path)
    before = plan.snapshot.read
    text = plan.snapshot.text.replace('"A6..A9', '"A6..A8')  # on its shelf, and where its fish are said
    assert text != plan.snapshot.text
    applied(put(plan, text))
    seen = plan.compare(1, 2)
    assert seen is not None
    assert seen.tanks_removed == ("A9",)
    assert seen.tanks_added == ()
    assert any(one.layer == "load" and one.old != one.new for one in seen.figures)
    assert all(one.old != one.new for one in seen.figures)
    marks = [(one.code, one.subject) for one in before.findings]
    assert all((one.code, one.subject) in marks for one in seen.findings_gone)
    again = plan.compare(2, 1)
    assert again is not None
    assert again.tanks_added == ("A9",)


def test_the_same_revision_has_no_changes(tmp_path: Path) -> None:
    same = live(tmp_path).compare(1, 1)
    assert same is not None
    assert same.text_lines == ()
    assert (same.figures, same.findings_gone, same.findings_come, same.tanks_moved) == ((), (), (), ())


def test_a_finding_that_gets_worse_goes_and_comes(tmp_path: Path) -> None:
    plan = live(tmp_path)
    applied(put(plan, "title = \n" + ROOM))
    seen = plan.compare(1, 2)
    assert seen is not None
    assert not seen.comparable
    assert "PLAN-007" in {one.code for one in seen.findings_come}
    assert seen.figures == ()


def test_what_is_not_in_the_history_cannot_be_compared(tmp_path: Path) -> None:
    plan = live(tmp_path)
    assert plan.compare(1, 2) is None
    assert plan.compare(0, 1) is None


def test_a_value_of_a_plan_in_feet_is_compared_in_its_own_units(tmp_path: Path) -> None:
    plan = live(tmp_path, (EXAMPLES / "garage.toml").read_text("utf-8"))
    applied(plan.edit(SetValue(("room", "garage", "size", "length"), "21 ft"), base=1, key="", who=""))
    seen = plan.compare(1, 2)
    assert seen is not None
    assert seen.comparable
    told = " ".join(one.old + one.new for one in seen.figures)
    assert " cm" not in told


@given(LINES, LINES)
def test_the_lines_told_turn_the_old_text_into_the_new(old: list[str], new: list[str]) -> None:
    told = list(text_lines("".join(f"{line}\n" for line in old), "".join(f"{line}\n" for line in new)))
    gone = [line[1:] for line in told if line[0] == "-"]
    come = [line[1:] for line in told if line[0] == "+"]
    assert sorted(old + come) == sorted(new + gone)
    assert (told == []) == (old == new)
    assert len(gone) <= len(old)


def test_two_long_texts_with_nothing_in_common_are_told_at_once() -> None:
    old = "".join(f"a{number}\n" for number in range(30_000))
    new = "".join(f"b{number}\n" for number in range(30_000))
    told = list(text_lines("same\n" + old + "end\n", "same\n" + new + "end\n"))
    assert len(told) == 60_000
