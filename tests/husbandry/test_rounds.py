"""What is due: days of the wall's clock, weekdays, litres, rotations, and what a number says of its range."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.finding import Finding
from tankwright.husbandry.kinds import shape_faults
from tankwright.husbandry.records import Draft
from tankwright.husbandry.register import DueTask, Task
from tankwright.husbandry.rounds import (
    DueItem,
    day_due,
    days_of,
    done,
    due_list,
    first_day,
    is_unusual,
    met_by,
    read_number,
    upcoming,
)

AT = datetime(2026, 8, 3, 20, tzinfo=UTC)  # a Monday


def by_date(moment: datetime) -> date:
    return moment.date()


def told(
    name: str = "t", *, days: float = 7, ago: float | None = None, now: datetime = AT, **more: object
) -> DueTask:
    task = Task(id=name, label=name, every_days=days, place=str(more.pop("place", name)), **more)  # type: ignore[arg-type]
    last = None if ago is None else now - timedelta(days=ago)
    due = now - timedelta(days=30) if last is None else last + timedelta(days=days)
    return DueTask(task=task, due=due, last=last)


def listed(*tasks: DueTask, now: datetime = AT, **more: object) -> tuple[DueItem, ...]:
    return due_list(tasks, now, day_of=by_date, **more)  # type: ignore[arg-type]


def test_work_done_late_in_the_evening_is_due_again_in_the_morning() -> None:
    one = told(days=1, ago=0)  # done at 20:00
    morning = AT + timedelta(hours=11)  # 07:00
    assert [item.state for item in listed(one, now=morning)] == ["due"]
    assert listed(one, now=AT + timedelta(hours=3)) == ()


def test_the_day_is_that_of_the_clock_on_the_wall_also_when_it_is_put_back() -> None:
    zone = ZoneInfo("Europe/Berlin")

    def wall(moment: datetime) -> date:
        return moment.astimezone(zone).date()

    done_at = datetime(
        2026, 10, 24, 22, 30, tzinfo=UTC
    )  # half past midnight on the 25th, the day it is put back
    one = DueTask(task=Task(id="t", label="t", every_days=1), due=done_at + timedelta(days=1), last=done_at)
    assert day_due(one, wall) == date(2026, 10, 26)
    before = datetime(2026, 10, 25, 22, 30, tzinfo=UTC)  # 23:30 on the 25th
    assert due_list([one], before, day_of=wall) == ()
    assert len(due_list([one], before + timedelta(hours=1), day_of=wall)) == 1


def test_work_is_late_when_its_window_is_over_and_says_by_how_much() -> None:
    (one,) = listed(told(days=7, ago=9, window_days=2))
    assert (one.state, one.days_late) == ("due", 0)
    (one,) = listed(told(days=7, ago=12, window_days=2))
    assert (one.state, one.days_late) == ("late", 3)


def test_late_work_comes_first_then_as_one_walks_and_the_room_before_its_tanks() -> None:
    some = (told("far", ago=7), told("near", ago=7), told("late", ago=20), told("room", ago=7, place=""))
    order = {"near": 1, "late": 2, "far": 3}
    assert [one.task.id for one in listed(*some, order=order)] == ["late", "room", "near", "far"]


@given(st.dates(date(2000, 1, 1), date(2100, 1, 1)), st.sets(st.integers(0, 6)))
def test_the_first_day_is_one_of_the_weekdays_and_within_a_week(day: date, weekdays: set[int]) -> None:
    found = first_day(day, weekdays)
    assert day <= found < day + timedelta(days=7)
    assert not weekdays or found.weekday() in weekdays
    assert weekdays or found == day


def test_work_of_saturdays_waits_for_the_next_one() -> None:
    assert day_due(told(days=1, ago=1, weekdays=(5,)), by_date) == date(2026, 8, 8)
    august = days_of(told(days=1, ago=1, weekdays=(5,)), by_date, date(2026, 8, 1), date(2026, 8, 31))
    assert [one.day for one in august] == [8, 15, 22, 29]


def test_twice_a_day_is_due_again_when_half_of_its_time_has_gone() -> None:
    assert listed(told(days=0.5, ago=0.1)) == ()
    assert len(listed(told(days=0.5, ago=0.3))) == 1
    assert len(listed(told(days=0.5))) == 1


def test_what_is_used_up_by_litres_is_due_by_whichever_comes_first() -> None:
    carbon = told(days=28, ago=10, litres=500.0, feed="drip")
    assert listed(carbon, litres_a_day={"drip": 20.0}) == ()
    (one,) = listed(carbon, litres_a_day={"drip": 50.0})
    assert (one.state, one.used_litres) == ("due", pytest.approx(500.0))
    assert listed(carbon) == (), "a feed the plan has no more leaves the days"


# --- rotations -------------------------------------------------------------------------------------------------------


def sponges(*agos: float | None, rest: float = 7) -> tuple[DueTask, ...]:
    return tuple(
        told(f"s{n}", days=28, ago=ago, rotation="sump", rest_days=rest) for n, ago in enumerate(agos)
    )


def test_of_a_rotation_one_is_due_and_the_others_wait_each_for_its_turn() -> None:
    some = sponges(30, 29, 40)
    items = listed(*some, rotating=some)
    assert [(one.task.id, one.state) for one in items] == [("s2", "late"), ("s0", "held"), ("s1", "held")]
    assert [one.held_until for one in items] == [None, date(2026, 8, 10), date(2026, 8, 17)]


def test_one_that_was_done_lately_holds_back_the_others_though_it_is_not_due() -> None:
    some = sponges(30, 2)
    (one,) = listed(some[0], rotating=some)
    assert (one.state, one.held_until) == ("held", date(2026, 8, 8))
    later = AT + timedelta(days=5)
    (one,) = listed(some[0], now=later, rotating=some)
    assert one.state in ("due", "late")


@given(st.lists(st.integers(0, 100), min_size=2, max_size=8), st.integers(1, 14))
def test_whatever_was_done_when_never_two_of_one_water_are_due_on_one_day(agos: list[int], rest: int) -> None:
    some = sponges(*agos, rest=rest)
    today = AT
    rinsed: list[date] = []
    for _ in range(60):
        items = due_list(some, today, day_of=by_date, rotating=some)
        can = [one for one in items if one.state in ("late", "due")]
        assert len(can) <= 1
        if can:
            rinsed.append(today.date())
            some = tuple(
                DueTask(task=one.task, due=today + timedelta(days=28), last=today)
                if one.task.id == can[0].task.id else one
                for one in some
            )  # fmt: skip
        today += timedelta(days=1)
    assert all((later - sooner).days >= rest for sooner, later in pairwise(rinsed))


# --- done ------------------------------------------------------------------------------------------------------------


def test_a_number_is_read_with_comma_or_point_and_its_unit_and_refused_with_what_is_wanted() -> None:
    warm = Task(id="t", label="Temperature", quantity="temperature", unit="°C", low=22.0, high=26.0)
    assert [read_number(warm, text) for text in ("25", "25,5", " 24.0 °C", "−1")] == [25.0, 25.5, 24.0, -1.0]
    for text in ("", "warm", "1e99", "nan", "inf", "2 5"):
        wrong = read_number(warm, text)
        assert isinstance(wrong, Finding)
        assert "22 °C" in wrong.wanted
    assert [is_unusual(warm, value) for value in (21.9, 22.0, 26.0, 26.1)] == [True, False, False, True]


def test_what_is_done_can_be_recorded() -> None:
    warm = Task(id="t", label="Temperature", place="p", quantity="temperature", unit="°C")
    for draft in (done(warm, AT, value=25.0), done(warm, AT, looked=True, sheet="7-77", row=3)):
        assert shape_faults(draft) == ()


def test_a_tap_that_all_was_well_does_the_look_of_that_tank_and_no_other() -> None:
    due = [told("a", place="p1", kind="look"), told("b", place="p2", kind="look"), told("c", place="p1", kind="feed"),
           told("d", place="p1", kind="look", days=7, ago=1)]  # fmt: skip
    met = met_by(Draft(kind="looked", happened=AT, place="p1"), due, by_date)
    assert [one.details["task"] for one in met] == ["a"]
    assert met_by(Draft(kind="noted", happened=AT, place="p1"), due, by_date) == ()


def test_alike_work_of_a_day_to_come_is_told_as_one_with_its_places_in_walking_order() -> None:
    some = [
        told("b", days=7, ago=0, place="p2", kind="look"),
        told("a", days=7, ago=0, place="p1", kind="look"),
    ]
    some = [DueTask(task=Task(**{**{f: getattr(one.task, f) for f in Task.__dataclass_fields__}, "label": "Look"}),
                    due=one.due, last=one.last) for one in some]  # fmt: skip
    found = upcoming(some, {"p1": "A1", "p2": "A2"}, by_date, date(2026, 8, 3), date(2026, 8, 31))
    assert [(one.day.day, one.places) for one in found] == [(day, ("A1", "A2")) for day in (10, 17, 24, 31)]
