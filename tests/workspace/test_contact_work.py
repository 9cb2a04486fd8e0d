"""Contacts of an open plan: water as each state of the plan had it, and what nobody can know said."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final

from tankwright.finding import Finding
from tankwright.husbandry.contacts import PlanTime
from tankwright.husbandry.facts import Tally, came, moved
from tankwright.husbandry.records import Draft
from tankwright.logbook.outcome import By
from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.room.model import Room
from tankwright.workspace.contact_work import EVER, Traced, plan_times, plan_times_of_file, traced
from tankwright.workspace.log import RoomLog
from tankwright.workspace.quarantine_work import shut_facts, shut_room
from tankwright.workspace.revisions import Revision

from ..husbandry.test_shared_water import LOOP, laid

NOW: Final = datetime(2026, 8, 20, 12, tzinfo=UTC)
PLAIN: Final = {
    "source": "sump", "fed": "A1..A4", "ends": "above", "gap": "3 cm", "ring": "2 m", "valves": "false",
}  # fmt: skip


def text(to: str) -> str:
    found = LOOP.replace("$to", to)
    for name, value in PLAIN.items():
        found = found.replace(f"${name}", value)
    return found


def day(number: float) -> datetime:
    return NOW + timedelta(days=number)


def revision(number: int, at: float) -> Revision:
    return Revision(
        number=number, at=day(at), kind="edit", who="", what="", key="", hash=str(number), over=None
    )


def certain(time: PlanTime) -> bool:
    return any(one.kind == "sump" for one in time.links)


def times(room: Room | None = None, *, since: float = -30) -> tuple[PlanTime, ...]:
    """A plan that drained into the sewer, into the sump from day -20 on, and into the sewer again since day -10."""
    texts = {1: text("sewer"), 2: text("sump"), 3: "what is this", 4: text("sewer")}
    known = [revision(4, -10), revision(3, -15), revision(2, -20), revision(1, -60)]
    return plan_times(known, texts.get, room, Path("plan.toml"), day(since))


def test_water_was_shared_while_the_plan_had_it_so() -> None:
    found = times()
    assert [(one.begin, one.end, certain(one)) for one in found] == [
        (EVER, day(-20), False), (day(-20), day(-10), True), (day(-10), None, False),
    ]  # fmt: skip


def test_states_that_ended_before_the_asked_day_are_not_laid_out() -> None:
    assert [one.begin for one in times(since=-12)] == [EVER, day(-10)]


def test_without_a_history_the_plan_counts_as_it_always_was() -> None:
    (only,) = plan_times((), {}.get, laid(to="sump"), Path("plan.toml"), day(-30))
    assert (only.begin, only.end, certain(only)) == (EVER, None, True)
    assert plan_times((), {}.get, None, Path("plan.toml"), day(-30)) == ()


def test_a_plan_that_was_never_open_has_its_water_and_gets_no_folder(tmp_path: Path) -> None:
    path = tmp_path / "plan.toml"
    path.write_text(text("sump"), "utf-8")
    (only,) = plan_times_of_file(path, laid(to="sump"), day(-30))
    assert certain(only)
    assert list(tmp_path.iterdir()) == [path]


def lived(folder: Path) -> RoomLog:
    """Fish of A1 since day -25, some moved to A2 on day -5."""
    path = folder / "plan.toml"
    path.write_text(text("sewer"), "utf-8")
    log = RoomLog(path, now=lambda: NOW, room=laid)
    place = {name: log.book.place_labelled(name) for name in ("A1", "A2")}
    assert place["A1"] is not None
    assert place["A2"] is not None
    log.book.record(
        [
            Draft(
                kind="stock_opened",
                happened=day(-25),
                stock="s",
                details={"label": "guppies", "kind": "group"},
            ),
            came("arrived", "s", place["A1"].id, Tally(number=9), day(-25)),
            moved("s", place["A1"].id, place["A2"].id, 3, day(-5)),
        ],
        By(who="AB"),
    )
    return log


def found_in(log: RoomLog, tank: str, since: float, **how: bool) -> Traced:
    found = traced(log, tank, times(), since=day(since), until=NOW, **how)
    assert isinstance(found, Traced)
    return found


def names(found: Traced) -> dict[str, bool]:
    return {found.called(one.place): one.certain for one in found.trace.reached}


def test_a_trace_goes_through_water_the_plan_shared_then(tmp_path: Path) -> None:
    log = lived(tmp_path)
    assert {name for name, sure in names(found_in(log, "A4", -18)).items() if sure} == {
        "A1",
        "A2",
        "A3",
        "sump",
    }
    late = {name for name, sure in names(found_in(log, "A4", -9)).items() if sure}
    assert late == set(), "the sump was gone by then"
    assert {name for name, sure in names(found_in(log, "A1", -9)).items() if sure} == {"A2"}
    assert names(found_in(log, "A2", -9, back=True))["A1"]


def test_a_tank_the_book_does_not_have_is_told(tmp_path: Path) -> None:
    found = traced(lived(tmp_path), "Z9", times(), since=day(-9), until=NOW)
    assert isinstance(found, Finding)
    assert found.code == "TRACE-01"
    nothing = traced(RoomLog(tmp_path / "other.toml"), "A1", (), since=day(-9), until=NOW)
    assert isinstance(nothing, Finding)


def test_what_was_before_the_book_is_said_to_be_unknown(tmp_path: Path) -> None:
    log = lived(tmp_path)
    assert "TRACE-02" in {one.code for one in found_in(log, "A1", -60).findings}
    assert "TRACE-02" not in {one.code for one in found_in(log, "A1", -9).findings}


def test_what_is_shut_off_is_known_by_the_names_of_the_plan(tmp_path: Path) -> None:
    log = lived(tmp_path)
    place = log.book.place_labelled("A1")
    assert place is not None
    opened = {"quarantine": "q", "places": (place.id,), "least_days": 30.0}
    log.book.record([Draft(kind="quarantine_opened", happened=day(-25), details=opened)], By(who="AB"))
    found = shut_room(log, laid(), times(), NOW)
    assert found is not None
    assert found.clocks[0].began == day(-20), "its water was joined with others on that day"
    assert "SHUT-08" in {one.code for one in found.findings}
    assert {place for one in found.findings for place in one.places} <= {"A1", "A2"}
    assert [one.place for one in found.order.stops] == ["A2", "A1"]
    facts = shut_facts(log, laid(to="sump"), NOW)
    assert facts.shut[0][1] == ("A1",)
    assert facts.joined == {"A2", "A3", "A4", "sump"}


def test_a_room_without_a_book_has_nothing_shut_off(tmp_path: Path) -> None:
    assert shut_room(RoomLog(tmp_path / "plan.toml"), laid(), (), NOW) is None
    assert shut_facts(RoomLog(tmp_path / "plan.toml"), laid(), NOW).shut == ()
    assert list(tmp_path.iterdir()) == []


def test_the_loop_of_these_tests_is_a_plan() -> None:
    read = read_plan_text(text("sump"), "plan.toml")
    assert read.plan is not None
    assert lay_out(read.plan).room is not None
