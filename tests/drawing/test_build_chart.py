"""The timeline of a build: every task once, nothing off the page, no text over another."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from itertools import combinations
from pathlib import Path

import pytest

from tankwright.building.crew import crew_of
from tankwright.building.marks import Mark
from tankwright.building.model import Schedule, Task
from tankwright.building.schedule import schedule
from tankwright.building.tasks import tasks_of
from tankwright.drawing.build_chart import build_charts, hold_numbers
from tankwright.drawing.colour import FAINT, INK
from tankwright.drawing.model import Drawing, Group, Hatching, Polyline, Rectangle, Text, bounds, walk
from tankwright.drawing.svg import to_svg
from tankwright.workspace.opened import lay_plan

EXAMPLES = Path(__file__).parents[2] / "examples"
BEGIN = date(2026, 12, 5)


def built(
    name: str, today: date = BEGIN, *, done_until: date | None = None
) -> tuple[Schedule, tuple[Task, ...]]:
    laid = lay_plan(EXAMPLES / f"{name}.toml")
    assert laid.read.plan is not None
    assert laid.room is not None
    tasks, crew = tasks_of(laid.read.plan, laid.room), crew_of(laid.read.plan, laid.room)
    made = schedule(tasks, crew, BEGIN)
    if done_until is not None:
        marks = [
            Mark(task=one.task, done_on=one.end.date()) for one in made.slots if one.end.date() < done_until
        ]
        made = schedule(tasks, crew, today, marks)
    return made, tasks


def rows(pages: tuple[Drawing, ...]) -> dict[str, Group]:
    found = [
        one for page in pages for one in walk(page.parts) if isinstance(one, Group) and "task" in one.classes
    ]
    assert len({one.place for one in found}) == len(found)
    return {one.place: one for one in found}


@pytest.mark.parametrize("width", [180.0, 90.0])
@pytest.mark.parametrize("name", ["cellar_mended", "garage"])
def test_every_task_has_its_row_nothing_is_off_the_page_and_no_text_over_another(
    name: str, width: float
) -> None:
    late = date(2026, 12, 29)
    made, tasks = built(name, late, done_until=late)
    pages = build_charts(made, tasks, title="Build", width=width)
    assert set(rows(pages)) == {task.id for task in tasks}
    for page in pages:
        for part in page.parts:
            left, top, right, bottom = bounds(part)
            assert left >= -0.01
            assert top >= -0.01
            assert right <= page.width + 0.01
            assert bottom <= page.height + 0.01
        texts = sorted(
            (bounds(one) for one in walk(page.parts) if isinstance(one, Text)), key=lambda box: box[1]
        )
        for first, second in combinations(texts, 2):
            if second[1] - first[3] < 0:
                apart = (
                    first[2] <= second[0] + 0.01
                    or second[2] <= first[0] + 0.01
                    or first[3] <= second[1] + 0.3
                )
                assert apart, (first, second)


def test_what_is_critical_is_in_ink_what_is_done_grey_and_what_waits_hatched() -> None:
    made, tasks = built("cellar_mended", date(2026, 12, 29), done_until=date(2026, 12, 29))
    found = rows(build_charts(made, tasks, title="Build"))
    for slot in made.slots:
        bars = [
            one
            for one in found[slot.task].parts
            if isinstance(one, Rectangle) and one.height > 2.5 and one.width != 0
        ]
        fills = {one.look.fill for one in bars if one.height == pytest.approx(2.6)}
        if slot.done:
            assert fills == {FAINT}
        else:
            assert (INK in fills) == slot.critical
        waits = [one for one in found[slot.task].parts if isinstance(one, Hatching)]
        if slot.ready - slot.end > timedelta(days=2):
            assert waits, slot.task


def test_hold_points_are_numbered_as_they_are_reached() -> None:
    made, tasks = built("garage")
    numbers = hold_numbers(made, tasks)
    assert list(numbers.values()) == list(range(1, len(numbers) + 1))
    found = rows(build_charts(made, tasks, title="Build"))
    for name, number in numbers.items():
        told = [one.text for one in found[name].parts if isinstance(one, Text)]
        assert str(number) in told
        assert [one for one in found[name].parts if isinstance(one, Polyline) and one.closed]


def test_today_is_drawn_where_it_lies_and_pages_are_no_longer_than_asked() -> None:
    made, tasks = built("cellar_mended", date(2026, 12, 29), done_until=date(2026, 12, 29))
    pages = build_charts(made, tasks, title="Build", rows=20)
    assert len(pages) > 5
    for page in pages:
        assert page.height <= 8.0 + 20 * 4.6 + 10.0 + 0.01
    today = [one for one in walk(pages[0].parts) if isinstance(one, Group) and "today" in one.classes]
    assert [one.title for one in today] == ["today, 2026-12-29"]


def test_a_hall_and_no_calendar_at_all_are_drawn_too() -> None:
    made, tasks = built("hall")
    pages = build_charts(made, tasks, title="Build")
    assert set(rows(pages)) == {task.id for task in tasks}
    assert to_svg(pages[0]).startswith("<?xml")
    empty = build_charts(Schedule(today=BEGIN), tasks, title="Build")
    assert len(empty) == 1
    assert "no calendar" in empty[0].description


def test_a_build_of_one_day_is_drawn() -> None:
    made, tasks = built("cellar_mended")
    day = datetime(2026, 12, 5, 9)
    one = next(slot for slot in made.slots if slot.task == "survey:cellar")
    assert one.start.date() == day.date()
    page = build_charts(Schedule(today=BEGIN, slots=(one,)), tasks, title="Build")[0]
    assert page.height < 40.0
