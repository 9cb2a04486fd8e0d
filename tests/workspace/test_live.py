"""An open plan: what edits, undo, restore and a look at the disk do, and what stands on the disk afterwards."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

import pytest

from tankwright.plan.changes import MoveRack, SetText, SetValue
from tankwright.plan.editing import EditResult
from tankwright.plan.reading import LARGEST_FILE
from tankwright.workspace.live import LivePlan
from tankwright.workspace.opened import Opened
from tankwright.workspace.shelf import Shelf

from .rooms import ROOM, TITLED, Clock, applied, conflict, live, noticed, put, refused, titled

EXAMPLES = Path(__file__).parents[2] / "examples"


def records(plan: LivePlan) -> list[dict[str, object]]:
    lines = (plan.folder / "revisions.jsonl").read_text("utf-8").splitlines()
    return [record for record in map(json.loads, lines) if "number" in record]


def test_opening_a_plan_to_look_leaves_nothing_behind(tmp_path: Path) -> None:
    plan = live(tmp_path)
    assert (plan.snapshot.number, plan.snapshot.text, plan.snapshot.undo_steps) == (1, TITLED, 0)
    assert plan.snapshot.good is plan.snapshot.read
    plan.reread()
    assert plan.compare(1, 1) is not None
    refused(plan.undo(base=1, key="", who=""))
    conflict(plan.edit(titled("late"), base=7, key="", who=""))
    applied(plan.edit(titled("first"), base=1, key="", who=""))
    assert [place.name for place in tmp_path.iterdir()] == ["plan.toml"]


def test_an_edit_is_on_the_disk_with_comments_kept_when_it_is_confirmed(tmp_path: Path) -> None:
    plan = live(tmp_path)
    outcome = applied(plan.edit(titled("second"), base=1, key="k", who="Ada"))
    assert (outcome.number, outcome.repeated, outcome.snapshot.number) == (2, False, 2)
    assert plan.path.read_text("utf-8") == TITLED.replace("first", "second")
    assert (outcome.snapshot.who, outcome.snapshot.undo_steps) == ("Ada", 1)
    assert outcome.snapshot.what == 'the plan: title "first" -> "second"'
    assert [(one["number"], one["kind"], one["key"]) for one in records(plan)] == [
        (1, "begin", ""),
        (2, "edit", "k"),
    ]
    assert str(records(plan)[1]["at"]).endswith("Z")


def test_a_missing_file_is_number_0_and_can_be_begun_once(tmp_path: Path) -> None:
    plan = live(tmp_path, None)
    assert (plan.snapshot.number, plan.snapshot.text, plan.snapshot.trouble) == (0, "", None)
    assert plan.snapshot.good is None
    assert applied(plan.begin(TITLED, who="Ada", key="b")).number == 1
    assert applied(plan.begin(TITLED, who="Ada", key="b")).repeated
    assert refused(plan.begin(ROOM, who="Bo", key="c")).findings[0].code == "LIVE-05"
    assert plan.path.read_text("utf-8") == TITLED
    assert LivePlan(plan.path).snapshot.number == 1


def test_a_first_text_typed_where_no_file_is_begins_the_plan(tmp_path: Path) -> None:
    plan = live(tmp_path, None)
    assert applied(put(plan, TITLED)).number == 1
    assert plan.revisions()[0].kind == "begin"
    assert plan.snapshot.undo_steps == 0


def test_a_file_that_appears_from_outside_is_the_first_revision(tmp_path: Path) -> None:
    plan = live(tmp_path, None)
    plan.path.write_text(TITLED, "utf-8")
    assert noticed(plan)
    assert (plan.snapshot.number, plan.snapshot.text, plan.snapshot.undo_steps) == (1, TITLED, 0)


def test_an_edit_from_an_older_revision_shows_both_values_and_changes_nothing(tmp_path: Path) -> None:
    plan = live(tmp_path)
    applied(plan.edit(titled("theirs"), base=1, key="", who="Bo"))
    late = conflict(plan.edit(titled("mine"), base=1, key="", who="Ada"))
    assert (late.yours, late.theirs, late.snapshot.number) == ("mine", "theirs", 2)
    assert "theirs" in plan.path.read_text("utf-8")
    text = conflict(plan.edit(SetText("x = 1"), base=1, key="", who="Ada"))
    assert (text.yours, text.theirs) == ("x = 1", plan.snapshot.text)
    for step in (plan.undo, plan.redo):
        assert conflict(step(base=1, key="", who="Ada")).snapshot.number == 2
    conflict(plan.restore(1, base=1, key="", who="Ada"))


def test_two_people_who_move_one_rack_are_told_in_words(tmp_path: Path) -> None:
    plan = live(tmp_path, (EXAMPLES / "cellar.toml").read_text("utf-8"))
    applied(plan.edit(MoveRack("A", along=0.2, off=None, at=None), base=1, key="", who="Bo"))
    late = conflict(plan.edit(MoveRack("A", along=0.3, off=None, at=None), base=1, key="", who="Ada"))
    assert late.yours == 'rack A: from_west "20 cm" -> "30 cm"'
    assert late.theirs == 'rack A: from_west "15 cm" -> "20 cm"'


def test_the_same_key_is_never_done_twice_also_after_a_restart(tmp_path: Path) -> None:
    plan = live(tmp_path)
    applied(plan.edit(titled("a"), base=1, key="one", who="Ada"))
    applied(plan.edit(titled("b"), base=2, key="two", who="Ada"))
    for again in (plan, LivePlan(plan.path)):
        outcome = applied(again.edit(titled("a"), base=1, key="one", who="Ada"))
        assert (outcome.repeated, outcome.number, outcome.snapshot.number) == (True, 2, 3)
    applied(plan.undo(base=3, key="u", who="Ada"))
    assert applied(plan.undo(base=3, key="u", who="Ada")).repeated
    assert plan.snapshot.number == 4
    long = "x" * 5000
    applied(plan.edit(titled("c"), base=4, key=long, who="Ada"))
    assert applied(plan.edit(titled("c"), base=4, key=long, who="Ada")).repeated


def test_an_edit_that_changes_nothing_makes_no_revision(tmp_path: Path) -> None:
    plan = live(tmp_path)
    applied(plan.edit(titled("a"), base=1, key="", who=""))
    assert applied(plan.edit(titled("a"), base=2, key="n", who="")).number == 2
    applied(plan.edit(titled("b"), base=2, key="", who=""))
    assert applied(plan.edit(titled("a"), base=2, key="n", who="")).repeated


def test_a_value_with_a_new_mistake_is_refused_and_nothing_written(tmp_path: Path) -> None:
    plan = live(tmp_path)
    outcome = refused(plan.edit(SetValue(("room", "a", "size", "length"), "5 kg"), base=1, key="", who=""))
    assert "5 kg" in outcome.findings[0].text + outcome.findings[0].found
    assert plan.path.read_text("utf-8") == TITLED
    assert [place.name for place in tmp_path.iterdir()] == ["plan.toml"]


@dataclass(frozen=True)
class Cut:
    """A change of some values that leaves another text."""

    text: str
    path: tuple[str, ...] = ("room",)

    def says(self, before: str) -> str:
        return f"cut {len(before) - len(self.text)} letters"

    def apply(self, text: str) -> EditResult:
        return EditResult(text=self.text if text else "")


def test_a_change_of_values_may_not_take_the_room_away_but_the_whole_text_may(tmp_path: Path) -> None:
    plan = live(tmp_path)
    assert refused(plan.edit(Cut('title = "x"\n'), base=1, key="", who="")).findings[0].code == "LAYOUT-100"
    assert applied(put(plan, 'title = "x"\n')).snapshot.read.room is None
    assert applied(plan.edit(titled("y"), base=2, key="", who="")).number == 3  # it had no room before either


def test_one_of_several_mistakes_can_be_mended_alone(tmp_path: Path) -> None:
    plan = live(tmp_path, TITLED + 'colour = "red"\n[people]\nlooks = ["7"]\n')
    assert plan.snapshot.read.plan is None
    applied(plan.edit(titled("mended"), base=1, key="", who=""))
    assert plan.snapshot.text.startswith('title = "mended"')


def test_a_broken_text_is_stored_and_the_last_good_room_stays(tmp_path: Path) -> None:
    plan = live(tmp_path)
    good = plan.snapshot.good
    outcome = applied(put(plan, "title = \n" + ROOM))
    assert outcome.snapshot.read.mistakes[0].line == 1
    assert outcome.snapshot.good is good
    assert outcome.snapshot.good_number == 1
    again = LivePlan(plan.path).snapshot
    assert (again.number, again.good_number) == (2, 1)
    assert again.good is not None
    assert good is not None
    assert again.good.room == good.room
    applied(plan.undo(base=2, key="", who=""))
    assert plan.snapshot.good_number == 3


def test_undo_and_redo_walk_the_steps_and_an_edit_ends_redo(tmp_path: Path) -> None:
    plan = live(tmp_path)
    for title in ("a", "b", "c"):
        applied(plan.edit(titled(title), base=plan.snapshot.number, key="", who="Ada"))

    def walk(step: str) -> str:
        outcome = getattr(plan, step)(base=plan.snapshot.number, key="", who="Ada")
        return applied(outcome).snapshot.text.split('"')[1]

    assert [walk("undo"), walk("undo"), walk("redo"), walk("undo"), walk("undo")] == [
        "b",
        "a",
        "b",
        "a",
        "first",
    ]
    assert (plan.snapshot.undo_steps, plan.snapshot.redo_steps) == (0, 3)
    assert refused(plan.undo(base=plan.snapshot.number, key="", who="")).findings[0].code == "LIVE-03"
    plan = LivePlan(plan.path)
    assert (plan.snapshot.undo_steps, plan.snapshot.redo_steps) == (0, 3)
    assert walk("redo") == "a"
    assert plan.snapshot.what == 'redo: the plan: title "first" -> "a"'
    applied(plan.edit(titled("d"), base=plan.snapshot.number, key="", who="Ada"))
    assert (plan.snapshot.undo_steps, plan.snapshot.redo_steps) == (2, 0)
    assert (
        refused(plan.redo(base=plan.snapshot.number, key="", who="")).findings[0].text
        == "has nothing to redo"
    )


def test_fifty_steps_can_be_taken_back_and_every_text_is_kept(tmp_path: Path) -> None:
    plan = live(tmp_path, "a = 0\n")
    for number in range(1, 121):
        applied(put(plan, f"a = {number}\n"))
    assert plan.snapshot.undo_steps == 50
    plan = LivePlan(plan.path)
    assert [plan.text_at(number) for number in range(1, 122)] == [f"a = {number}\n" for number in range(121)]
    for _ in range(50):
        applied(plan.undo(base=plan.snapshot.number, key="", who=""))
    assert (plan.snapshot.text, plan.snapshot.undo_steps, plan.snapshot.redo_steps) == ("a = 70\n", 0, 50)
    whole = [one["number"] for one in records(plan) if "text" in one]
    assert whole == [1, 51, 101, 151]
    assert [one.number for one in plan.revisions(3, before=100)] == [99, 98, 97]
    assert plan.text_at(0) is None
    assert plan.text_at(999) is None


def test_an_old_revision_comes_back_as_a_new_one(tmp_path: Path) -> None:
    plan = live(tmp_path)
    applied(plan.edit(titled("a"), base=1, key="", who=""))
    outcome = applied(plan.restore(1, base=2, key="", who="Ada"))
    assert (outcome.snapshot.text, outcome.number, plan.revisions()[0].of) == (TITLED, 3, 1)
    assert outcome.snapshot.undo_steps == 2
    assert refused(plan.restore(9, base=3, key="", who="")).findings[0].code == "LIVE-04"
    assert applied(plan.restore(3, base=3, key="", who="")).number == 3


def test_a_change_by_another_program_is_a_revision_and_one_step_back(tmp_path: Path) -> None:
    plan = live(tmp_path)
    applied(plan.edit(titled("a"), base=1, key="", who="Ada"))
    plan.path.write_text(TITLED.replace("first", "by hand"), "utf-8")
    assert noticed(plan)
    assert not noticed(plan)
    assert (plan.snapshot.number, plan.snapshot.what, plan.snapshot.who) == (3, "changed outside", "")
    assert applied(plan.undo(base=3, key="", who="Ada")).snapshot.text == TITLED.replace("first", "a")
    assert plan.path.read_text("utf-8") == TITLED.replace("first", "a")
    assert applied(plan.redo(base=4, key="", who="Ada")).snapshot.text == TITLED.replace("first", "by hand")


def test_an_edit_never_writes_over_what_another_program_just_wrote(tmp_path: Path) -> None:
    plan = live(tmp_path)
    plan.path.write_text(TITLED.replace("first", "by hand"), "utf-8")
    late = conflict(plan.edit(titled("mine"), base=1, key="", who="Ada"))
    assert (late.yours, late.theirs, late.snapshot.number) == ("mine", "by hand", 2)
    assert "by hand" in plan.path.read_text("utf-8")


def test_an_edit_that_is_overtaken_between_looking_and_writing_is_a_conflict(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = live(tmp_path)
    applied(plan.edit(titled("a"), base=1, key="", who="Ada"))

    class Slow(SetValue):
        __slots__ = ()

        def apply(self, text: str) -> EditResult:
            plan.path.write_text(TITLED.replace("first", "by hand"), "utf-8")
            return super().apply(text)

    late = conflict(plan.edit(Slow(("title",), "mine"), base=2, key="k", who="Ada"))
    assert (late.yours, late.theirs) == ("mine", "by hand")
    assert [one["kind"] for one in records(plan)] == ["begin", "edit", "outside"]
    assert "by hand" in plan.snapshot.text
    assert not applied(plan.edit(titled("mine"), base=3, key="k", who="Ada")).repeated


def test_a_change_from_outside_before_the_first_edit_is_kept_by_that_edit(tmp_path: Path) -> None:
    plan = live(tmp_path)
    plan.path.write_text(TITLED.replace("first", "by hand"), "utf-8")
    assert noticed(plan)
    assert [place.name for place in tmp_path.iterdir()] == ["plan.toml"]
    applied(plan.edit(titled("mine"), base=2, key="", who="Ada"))
    again = LivePlan(plan.path)
    assert [again.text_at(number) for number in (1, 2)] == [TITLED, TITLED.replace("first", "by hand")]
    assert again.snapshot.undo_steps == 2


def test_a_text_caught_half_written_is_taken_in_at_the_second_look_only(tmp_path: Path) -> None:
    plan = live(tmp_path)
    plan.path.write_text("title = ", "utf-8")
    assert not plan.reread()
    assert plan.snapshot.number == 1
    plan.path.write_text(TITLED.replace("first", "whole"), "utf-8")
    assert plan.reread()
    assert (plan.snapshot.number, "whole" in plan.snapshot.text) == (2, True)


def test_a_file_that_went_away_is_said_and_comes_back_only_when_asked(tmp_path: Path) -> None:
    plan = live(tmp_path)
    applied(plan.edit(titled("a"), base=1, key="", who=""))
    told: list[int] = []
    plan.subscribe(told.append)
    plan.path.unlink()
    assert plan.reread()
    assert told == [2]
    assert plan.snapshot.trouble is not None
    assert plan.snapshot.trouble.code == "LIVE-01"
    assert (plan.snapshot.number, plan.snapshot.good_number) == (2, 2)
    assert refused(plan.edit(titled("b"), base=2, key="", who="")).findings[0].code == "LIVE-01"
    refused(plan.undo(base=2, key="", who=""))
    assert not plan.path.exists()
    assert LivePlan(plan.path).snapshot.trouble == plan.snapshot.trouble
    assert applied(plan.restore(2, base=2, key="", who="")).snapshot.trouble is None
    assert plan.path.read_text("utf-8") == TITLED.replace("first", "a")


def test_a_file_that_comes_back_by_itself_is_no_trouble_any_more(tmp_path: Path) -> None:
    plan = live(tmp_path)
    plan.path.unlink()
    assert plan.reread()
    plan.path.write_text(TITLED, "utf-8")
    assert plan.reread()
    assert (plan.snapshot.trouble, plan.snapshot.number) == (None, 1)


@pytest.mark.parametrize(
    ("raw", "code"),
    [(b"title = '\xe4'", "PLAN-005"), (b"a\x00b", "PLAN-004"), (b"#" * (LARGEST_FILE + 1), "PLAN-003")],
)
def test_a_file_that_holds_no_text_is_said_and_not_touched(raw: bytes, code: str, tmp_path: Path) -> None:
    plan = live(tmp_path)
    plan.path.write_bytes(raw)
    assert noticed(plan)
    assert plan.snapshot.trouble is not None
    assert plan.snapshot.trouble.code == code
    assert plan.snapshot.text == TITLED
    assert refused(put(plan, ROOM)).findings[0].code == code
    assert refused(plan.restore(1, base=1, key="", who="")).findings[0].code == code
    assert plan.path.read_bytes() == raw
    assert LivePlan(plan.path).snapshot.number == 0


def test_a_plan_that_is_a_folder_is_said(tmp_path: Path) -> None:
    place = tmp_path / "plan.toml"
    place.mkdir()
    plan = LivePlan(place)
    assert plan.snapshot.trouble is not None
    assert "folder" in plan.snapshot.trouble.text or "directory" in plan.snapshot.trouble.text
    refused(put(plan, ROOM))
    refused(plan.begin(ROOM, who="", key=""))


@pytest.mark.parametrize(
    ("text", "code"),
    [("#" * (LARGEST_FILE + 1), "PLAN-003"), ("é" * (LARGEST_FILE // 2 + 1), "PLAN-003"),
     ("a = '\x00'", "PLAN-004"), ("a = '\ud800'", "LIVE-06")],
    ids=["huge", "huge in bytes", "zero", "half a letter"],
)  # fmt: skip
def test_a_text_no_file_can_keep_is_refused_in_words(text: str, code: str, tmp_path: Path) -> None:
    plan = live(tmp_path)
    assert refused(put(plan, text)).findings[0].code == code
    empty = live(tmp_path, None, "other.toml")
    assert refused(empty.begin(text, who="", key="")).findings[0].code == code
    assert [place.name for place in tmp_path.iterdir()] == ["plan.toml"]


def test_line_ends_and_a_byte_order_mark_are_kept(tmp_path: Path) -> None:
    plan = live(tmp_path, "\ufeff" + TITLED.replace("\n", "\r\n"))
    applied(plan.edit(titled("a"), base=1, key="", who=""))
    assert plan.path.read_bytes().startswith(b'\xef\xbb\xbftitle = "a"')
    assert plan.path.read_bytes().count(b"\r\n") == TITLED.count("\n")


def test_who_and_what_are_made_short_and_printable(tmp_path: Path) -> None:
    plan = live(tmp_path)
    applied(plan.edit(SetText("x" * 900 + "\x1b"), base=1, key="", who="A\x1b[31m" + "b" * 500))
    assert len(plan.snapshot.who) <= 80
    assert 0 < len(plan.snapshot.what) <= 300
    assert plan.snapshot.who.isprintable()


def test_a_fault_of_the_program_is_a_finding_and_can_be_taken_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = live(tmp_path)

    def fail(laid: object) -> Opened:
        if getattr(laid, "laid", None) is not None:
            raise ZeroDivisionError("a fault")
        return Opened(path=plan.path, plan=None, mistakes=())

    with monkeypatch.context() as patch:
        patch.setattr("tankwright.workspace.shelf.work_out_laid", fail)
        outcome = applied(plan.edit(titled("a"), base=1, key="", who=""))
        assert [one.code for one in outcome.snapshot.read.findings] == ["LIVE-07"]
    assert applied(plan.undo(base=2, key="", who="")).snapshot.read.room is not None


def test_listeners_hear_every_number_until_they_leave(tmp_path: Path) -> None:
    plan = live(tmp_path)
    told: list[int] = []

    def fail(number: int) -> None:
        raise ValueError(number)

    plan.subscribe(fail)
    leave = plan.subscribe(told.append)
    applied(plan.edit(titled("a"), base=1, key="", who=""))
    leave()
    applied(plan.edit(titled("b"), base=2, key="", who=""))
    assert told == [2]


def test_undo_does_not_work_the_room_out_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    plan = live(tmp_path)
    first = plan.snapshot.read
    applied(plan.edit(titled("a"), base=1, key="", who=""))
    monkeypatch.setattr(Shelf, "lay", None)
    assert applied(plan.undo(base=2, key="", who="")).snapshot.read is first


def test_moments_are_utc_from_the_clock_given(tmp_path: Path) -> None:
    place = tmp_path / "plan.toml"
    place.write_text(TITLED, "utf-8")
    clock = Clock()
    plan = LivePlan(place, now=clock)
    applied(plan.edit(titled("a"), base=1, key="", who=""))
    assert plan.snapshot.at <= clock.at
    assert LivePlan(place).snapshot.at == plan.snapshot.at
    assert records(plan)[1]["at"] == plan.snapshot.at.isoformat(timespec="milliseconds").replace(
        "+00:00", "Z"
    )


def test_a_plan_is_one_whichever_way_one_comes_to_it(tmp_path: Path) -> None:
    plan = live(tmp_path)
    link = tmp_path / "elsewhere" / "link.toml"
    link.parent.mkdir()
    link.symlink_to(plan.path)
    other = LivePlan(link)
    applied(other.edit(titled("a"), base=1, key="", who=""))
    assert link.is_symlink()
    assert other.folder == plan.folder
    assert noticed(plan)
    assert plan.snapshot.number == 2
