"""The round by the logbook's door: the order of work, washing before what is cleaner, done and taken back once."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from tankwright.drawing.layer_due import draw_due
from tankwright.husbandry.proposals import proposals, task_draft, tasks_of
from tankwright.husbandry.records import Draft
from tankwright.husbandry.register import Task
from tankwright.logbook.outcome import By, Recorded, Refused
from tankwright.workspace.log import RoomLog
from tankwright.workspace.opened import Opened, open_plan
from tankwright.workspace.round_work import (
    Asks,
    Due,
    do_tasks,
    due_facts,
    due_of,
    litres_a_day,
    take_back,
    upcoming_of,
)

EXAMPLES = Path(__file__).parent.parent.parent / "examples"
NOW = datetime(2026, 8, 3, 18, tzinfo=UTC)


def by_date(moment: datetime) -> date:
    return moment.date()


class House:
    """The mended cellar with the work its plan proposes, at an hour of our own."""

    def __init__(self, folder: Path, *kinds: str) -> None:
        path = folder / "plan.toml"
        path.write_text((EXAMPLES / "cellar_mended.toml").read_text("utf-8"), "utf-8")
        self.opened: Opened = open_plan(path)
        self.now = NOW
        self.log = RoomLog(path, now=lambda: self.now, room=lambda: self.opened.room)
        assert self.opened.study is not None
        self.places = {one.label: one.id for one in self.log.book.places()}
        for proposal in proposals(self.opened.study):
            if proposal.kind in kinds:
                ids = {number: f"{proposal.kind}-{one.place}" for number, one in enumerate(proposal.wanted)}
                self.record(*(task_draft(one, NOW) for one in tasks_of(proposal, self.places, ids)))

    def record(self, *drafts: Draft) -> None:
        assert isinstance(self.log.book.record(drafts, By(who="Ada")), Recorded)

    def due(self) -> Due:
        return due_of(self.log, self.now, by_date, study=self.opened.study)

    def do(self, *ids: str, key: str = "", typed: str = "", sure: bool = False) -> Recorded | Refused | Asks:
        return do_tasks(self.log, ids, By(who="Ada", key=key), happened=self.now, typed=typed, sure=sure)


@pytest.fixture
def house(tmp_path: Path) -> House:
    return House(tmp_path, "look", "temperature", "carbon")


def test_looking_at_a_room_without_a_book_makes_none(tmp_path: Path) -> None:
    log = RoomLog(tmp_path / "plan.toml")
    assert due_of(log, NOW, by_date).items == ()
    assert upcoming_of(log, by_date, NOW.date(), NOW.date()) == ()
    assert not log.is_there


def test_the_room_comes_first_and_the_quarantine_last(house: House) -> None:
    due = house.due()
    stops = [due.label(place) for place in due.stops()]
    assert stops[0] == ""
    assert {name[0] for name in stops[-4:]} == {"Q"}
    assert due.washes == frozenset()
    assert len(stops) == 29


def test_a_tank_that_is_shut_off_is_walked_after_all_that_is_not(house: House) -> None:
    first = next(place for place in house.due().stops() if place)
    house.record(Draft(kind="quarantine_opened", happened=NOW, place=first,
                       details={"quarantine": "q", "places": (first,), "least_days": 30}))  # fmt: skip
    due = house.due()
    stops = list(due.stops())
    clean = [one for one in stops if one and due.places[one].zone == "main" and one != first]
    assert stops.index(first) > max(stops.index(one) for one in clean)
    assert due.shut


def test_carbon_is_due_by_the_litres_of_the_feed_as_the_plan_is_now(house: House) -> None:
    house.do("carbon-")
    assert all(one.task.kind != "carbon" for one in house.due().items)
    rate = litres_a_day(house.opened.study)["drip"]
    task = next(one for one in house.log.book.tasks() if one.kind == "carbon")
    assert task.litres is not None
    house.now = NOW + timedelta(days=task.litres / rate - 1)
    assert all(one.task.kind != "carbon" for one in house.due().items)
    house.now = NOW + timedelta(days=task.litres / rate + 1)
    (one,) = (one for one in house.due().items if one.task.kind == "carbon")
    assert one.used_litres == pytest.approx(task.litres + rate, rel=0.01)


def test_work_is_done_once_under_its_key_and_taken_back_whole(house: House) -> None:
    before = len(house.due().open)
    for _ in range(2):
        came = house.do("look-A1", "look-A2", key="k")
        assert isinstance(came, Recorded)
    assert len(house.due().open) == before - 2
    assert isinstance(take_back(house.log, "k", By(who="Ada", key="u"), house.now), Recorded)
    assert len(house.due().open) == before
    again = take_back(house.log, "k", By(who="Ada", key="u2"), house.now)
    assert isinstance(again, Recorded)
    assert again.repeated
    assert isinstance(take_back(house.log, "nobody's", By(who="Ada"), house.now), Refused)


def test_an_unusual_number_asks_and_a_wrong_one_is_refused_with_nothing_kept(house: House) -> None:
    before = house.log.book.count_events()
    assert isinstance(house.do("temperature-A1", typed="31"), Asks)
    for ids, typed in ((("temperature-A1",), "warm"), (("look-A1",), "3"), (("gone",), ""), ((), "")):
        assert isinstance(house.do(*ids, typed=typed), Refused), (ids, typed)
    assert house.log.book.count_events() == before
    assert isinstance(house.do("temperature-A1", typed="31", sure=True), Recorded)
    (reading,) = house.log.book.readings(place=house.places["A1"], quantities=("temperature",))
    assert (reading.value, reading.unit) == (31.0, "°C")


def test_a_temperature_that_was_only_looked_at_leaves_no_reading(house: House) -> None:
    house.do("temperature-A1")
    assert house.log.book.readings(quantities=("temperature",)) == ()
    assert all(one.task.id != "temperature-A1" for one in house.due().items)


def test_a_stopped_task_is_due_no_more(house: House) -> None:
    house.record(
        Draft(kind="task_stopped", happened=NOW, place=house.places["A1"], details={"task": "look-A1"})
    )
    assert all(one.task.id != "look-A1" for one in house.due().items)
    assert isinstance(house.do("look-A1"), Refused)


def test_what_comes_is_told_by_day_and_kind(house: House) -> None:
    house.do(*(one.task.id for one in house.due().open if one.task.kind == "look"))
    coming = upcoming_of(house.log, by_date, NOW.date() + timedelta(days=1), NOW.date() + timedelta(days=3))
    looks = [one for one in coming if one.label == "Look"]
    assert [(one.day.day, len(one.places)) for one in looks] == [(4, 28), (5, 28), (6, 28)]


def test_the_layer_tells_what_is_due_what_is_late_and_where_nothing_comes_again(house: House) -> None:
    room = house.opened.room
    assert room is not None
    house.now = NOW + timedelta(days=4)
    drawn = {one.id: one for one in draw_due(room, due_facts(house.log, room, house.now)).tanks}
    assert (drawn["A1"].figure, drawn["A1"].detail) == ("2 due", "4 days late")
    wished = next(tank.id for tank in room.tanks if tank.state == "wished")
    assert drawn[wished].share is None
    house.do("look-A1", "temperature-A1")
    drawn = {one.id: one for one in draw_due(room, due_facts(house.log, room, house.now)).tanks}
    assert drawn["A1"].title == "nothing is due"


def test_of_a_rotation_in_the_book_one_is_due(tmp_path: Path) -> None:
    house = House(tmp_path)
    tasks = [Task(id=f"s{n}", label="Sponge", place=house.places["A1"], every_days=28, kind="sponge", rotation="a",
                  rest_days=7) for n in range(3)]  # fmt: skip
    house.record(*(task_draft(one, NOW) for one in tasks))
    assert [one.state for one in house.due().items] == ["due", "held", "held"]
    house.do("s0")
    assert {one.held_until for one in house.due().items} == {date(2026, 8, 10), date(2026, 8, 17)}
    house.now = NOW + timedelta(days=7)
    assert [one.task.id for one in house.due().open] == ["s1"]
