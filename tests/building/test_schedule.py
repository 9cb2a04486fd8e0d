"""The calendar: hands, evenings, waits, marks, what can be done tonight."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankwright.building.calendar import Week
from tankwright.building.crew import Crew
from tankwright.building.marks import Mark
from tankwright.building.model import After, Hours, Schedule, Task, Wait
from tankwright.building.paths import Cycle
from tankwright.building.schedule import schedule

from .build_rooms import EXAMPLES, GOOD_PLAN, SATURDAY, Site, example, site

HOUR = 3600.0
WEEK = Week(evening=2 * HOUR, weekend=5 * HOUR, evening_from=19 * HOUR, weekend_from=9 * HOUR)
CREW = Crew(week=WEEK, shortest=WEEK, longest=WEEK, hands=1)


def job(name: str, hours: float, *after: str, people: int = 1, wait: float = 0.0) -> Task:
    """A task of so many hours, waited for so many after it."""
    labour = Hours(value=hours * HOUR, low=hours * HOUR, high=hours * HOUR)
    long = Wait(value=wait * HOUR, least=wait * HOUR, most=wait * HOUR, why="cures" if wait else "")
    return Task(
        id=name, title=name, group="racks", labour=labour, how="-", people=people, wait=long,
        after=tuple(After(task=one) for one in after),
    )  # fmt: skip


def holds(made: Schedule, tasks: tuple[Task, ...], crew: Crew) -> None:
    """What is true of every calendar."""
    slots = {slot.task: slot for slot in made.slots}
    by_id = {task.id: task for task in tasks}
    assert set(slots) == set(by_id)
    busy: dict[datetime, int] = defaultdict(int)
    for slot in made.slots:
        task = by_id[slot.task]
        worked = sum((end - start).total_seconds() for start, end in slot.spans)
        assert worked == pytest.approx(
            task.labour.value / max(1, min(task.people, crew.hands)), abs=3.0 * len(slot.spans)
        )
        for link in task.after:
            before = slots[link.task]
            free = {"over": before.ready, "done": before.end, "set": before.end}[link.until]
            assert slot.start >= free - timedelta(seconds=1), (slot.task, link)
        for start, end in slot.spans:
            assert start.date() == (end - timedelta(seconds=1)).date()
            assert start.date() not in crew.not_on
            busy[start] += min(task.people, crew.hands)
            busy[end] -= min(task.people, crew.hands)
    at_work = 0
    for moment in sorted(busy):
        at_work += busy[moment]
        assert at_work <= crew.hands
    assert made.finish == max(slot.ready for slot in made.slots)
    if made.path_finish is not None:
        assert made.path_finish <= made.finish + timedelta(seconds=1)


@pytest.mark.parametrize("name", EXAMPLES)
def test_no_hand_is_in_two_places_and_nothing_begins_before_what_comes_before_it(name: str) -> None:
    of = example(name)
    made = of.schedule()
    holds(made, of.tasks, of.crew)
    assert made.earliest is not None
    assert made.latest is not None
    assert made.finish is not None
    assert made.earliest < made.finish < made.latest
    assert made.proved is not None
    assert made.proved < made.finish


@st.composite
def builds(draw: st.DrawFn) -> tuple[tuple[Task, ...], Crew]:
    tasks: list[Task] = []
    for number in range(draw(st.integers(1, 14))):
        after = draw(st.sets(st.sampled_from([one.id for one in tasks]), max_size=3)) if tasks else set()
        tasks.append(job(
            f"t{number}", draw(st.sampled_from((0.25, 1.0, 2.0, 7.5))), *sorted(after),
            people=draw(st.integers(0, 3)), wait=draw(st.sampled_from((0.0, 1.0, 30.0))),
        ))  # fmt: skip
    days_off = draw(st.sets(st.integers(0, 9), max_size=3))
    not_on = tuple(SATURDAY + timedelta(days=one) for one in days_off)
    return tuple(tasks), replace(CREW, hands=draw(st.integers(1, 3)), not_on=not_on)


@settings(max_examples=60)
@given(builds())
def test_any_build_keeps_to_hands_order_waits_and_days_off(made: tuple[tuple[Task, ...], Crew]) -> None:
    tasks, crew = made
    holds(schedule(tasks, crew, SATURDAY), tasks, crew)


@pytest.mark.parametrize("name", EXAMPLES[:3])
def test_the_same_plan_has_the_same_calendar(name: str) -> None:
    assert example(name).schedule() == example(name).schedule()


def test_a_wait_runs_through_nights_and_needs_no_hands() -> None:
    made = schedule((job("glue", 1, wait=24), job("other", 3), job("fill", 1, "glue")), CREW, SATURDAY)
    slots = {slot.task: slot for slot in made.slots}
    assert slots["glue"].ready == datetime(2026, 12, 6, 10)
    assert slots["other"].start == datetime(2026, 12, 5, 10)
    assert slots["fill"].start == datetime(2026, 12, 6, 10)
    assert slots["fill"].held_by == "glue"
    assert made.path == ("glue", "fill")


def test_work_that_takes_more_people_than_there_are_is_told_and_taken_as_helped() -> None:
    made = schedule((job("carry", 4, people=2),), CREW, SATURDAY)
    assert [one.code for one in made.findings] == ["BUILD-03"]
    assert made.slots[0].end == datetime(2026, 12, 5, 13)
    assert made.tonight == ()
    two = schedule((job("carry", 4, people=2),), replace(CREW, hands=2), SATURDAY)
    assert (two.findings, two.slots[0].end) == ((), datetime(2026, 12, 5, 11))


def test_nothing_is_begun_to_leave_a_crumb_for_the_next_day_but_what_no_evening_holds() -> None:
    monday = date(2026, 12, 7)
    made = schedule((job("first", 1.5), job("second", 0.6), job("third", 0.4)), CREW, monday)
    starts = {slot.task: slot.start for slot in made.slots}
    assert starts["second"] == datetime(2026, 12, 8, 19)
    assert starts["third"] == datetime(2026, 12, 7, 20, 30)
    longer = schedule((job("all evening", 2.1),), CREW, monday).slots[0]
    assert (longer.start, len(longer.spans)) == (datetime(2026, 12, 7, 19), 2)


def test_an_outside_person_takes_no_hand() -> None:
    made = schedule((job("electrician", 3, people=0), job("own", 3)), CREW, SATURDAY)
    assert {slot.start for slot in made.slots} == {datetime(2026, 12, 5, 9)}


def test_what_many_hands_would_do_sooner_is_told_apart_from_what_waits_hold() -> None:
    tasks = tuple(job(f"t{n}", 5) for n in range(4))
    one = schedule(tasks, CREW, SATURDAY)
    four = schedule(tasks, replace(CREW, hands=4), SATURDAY)
    assert one.path_finish == four.path_finish == four.finish
    assert one.finish is not None
    assert four.finish is not None
    assert one.finish > four.finish


def test_tonight_is_what_fits_the_evening_and_has_all_before_it_done() -> None:
    tasks = (
        job("short", 1),
        job("long", 9),
        job("later", 1, "short"),
        job("cures", 1, "glued"),
        job("glued", 1, wait=48),
    )
    friday = date(2026, 12, 4)
    made = schedule(tasks, CREW, friday, (Mark(task="glued", done_on=friday),))
    assert (made.tonight, made.begin_tonight) == (("short",), ("long",))
    done = schedule(tasks, CREW, friday, (Mark(task="short", done_on=friday),))
    assert set(done.tonight) == {"later", "glued"}
    assert schedule(tasks, replace(CREW, not_on=(friday,)), friday).tonight == ()


def test_a_mark_replans_from_today_and_a_wait_is_counted_from_the_evening_it_was_done() -> None:
    tasks = (job("glue", 1, wait=24), job("fill", 1, "glue"))
    monday = date(2026, 12, 7)
    made = schedule(tasks, CREW, monday, (Mark(task="glue", done_on=monday),))
    fill = made.slot("fill")
    assert fill.start == datetime(2026, 12, 9, 19)  # done by 21:00 on Monday, ready as Tuesday's evening ends
    assert made.slot("glue").done == monday
    assert made.slot("glue").spans == ()
    again = schedule(
        tasks,
        CREW,
        monday,
        (Mark(task="glue", done_on=monday), Mark(task="glue", done_on=monday, undone=True)),
    )
    assert again.slot("glue").done is None


def test_all_done_leaves_nothing_to_do() -> None:
    tasks = (job("a", 1), job("b", 1, "a"))
    made = schedule(tasks, CREW, SATURDAY, [Mark(task=one.id, done_on=SATURDAY) for one in tasks])
    assert (made.days, made.path, made.tonight, made.findings) == ((), (), (), ())
    assert all(slot.done for slot in made.slots)


def test_strange_marks_are_told_and_do_not_stop_the_rest() -> None:
    tasks = (job("a", 1), job("b", 1, "a"))
    marks = (
        Mark(task="gone", done_on=SATURDAY), Mark(task="a", done_on=date(2027, 1, 1)), Mark(task="b", done_on=SATURDAY),
    )  # fmt: skip
    made = schedule(tasks, CREW, SATURDAY, marks)
    assert [one.code for one in made.findings] == ["BUILD-07", "BUILD-08", "BUILD-09"]
    assert [(slot.task, slot.done) for slot in made.slots] == [("a", None), ("b", SATURDAY)]


def test_late_is_what_was_to_be_done_by_now() -> None:
    tasks = (job("a", 1), job("b", 50, "a"))
    crew = replace(CREW, begin=SATURDAY)
    assert schedule(tasks, crew, SATURDAY).late == ()
    assert schedule(tasks, crew, date(2026, 12, 8)).late == ("a",)
    assert schedule(tasks, crew, date(2026, 12, 8), (Mark(task="a", done_on=SATURDAY),)).late == ()


def test_no_day_with_time_is_told_and_never_searched_for() -> None:
    never = Week(evening=0.0, weekend=0.0, evening_from=0.0, weekend_from=0.0)
    made = schedule((job("a", 1),), replace(CREW, week=never, shortest=never, longest=never), SATURDAY)
    assert (made.slots, made.finish, [one.code for one in made.findings]) == ((), None, ["BUILD-01"])


def test_work_beyond_twenty_years_is_told() -> None:
    assert [one.code for one in schedule((job("a", 1e6),), CREW, SATURDAY).findings] == ["BUILD-06"]
    assert [
        one.code for one in schedule((job("a", 1, wait=1e6), job("b", 1, "a")), CREW, SATURDAY).findings
    ] == ["BUILD-06"]
    assert [
        one.code for one in schedule((job("a", 1),), replace(CREW, begin=date.max), SATURDAY).findings
    ] == ["BUILD-06"]


def test_a_ring_of_tasks_is_refused_as_a_fault_of_the_program() -> None:
    with pytest.raises(Cycle):
        schedule((job("a", 1, "b"), job("b", 1, "a")), CREW, SATURDAY)


def test_the_days_hold_each_span_once() -> None:
    of: Site = site(GOOD_PLAN)
    made = of.schedule()
    assert sum(day.hours for day in made.days) == pytest.approx(
        sum(task.labour.value for task in of.tasks if task.people == 1)
        + sum(
            task.labour.value * task.people / max(1, min(task.people, of.crew.hands))
            for task in of.tasks
            if task.people > 1
        ),
        abs=60.0,
    )
    assert [day.day for day in made.days] == sorted({day.day for day in made.days})


def test_a_plan_says_who_and_when_and_the_rest_is_assumed() -> None:
    said = site(
        build='begin = 2027-01-02\nevening = "0 h"\nweekend = "5 h"\nhands = 3\nnot_on = [2027-01-03]'
    ).crew
    assert (said.week.evening, said.week.weekend, said.hands) == (0.0, 5 * HOUR, 3)
    assert (said.begin, said.not_on) == (date(2027, 1, 2), (date(2027, 1, 3),))
    assert set(said.rests_on) == {"build.evening_from", "build.weekend_from"}
    assert "build.hands" in site().crew.rests_on
    assert site().crew.shortest.evening < site().crew.longest.evening
