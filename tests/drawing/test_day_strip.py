"""The strip of a day: bars where something runs, marks where somebody looks, nothing off the page."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.drawing.bar import WIDTH as BAR_WIDTH
from tankwright.drawing.bar import draw_bar
from tankwright.drawing.day_strip import WIDTH, DayRow, draw_day
from tankwright.drawing.model import Drawing, Group, Rectangle, Text, bounds, walk

HOUR = (WIDTH - 5.0) / 24


def bars(drawing: Drawing) -> list[Rectangle]:
    groups = [one for one in walk(drawing.parts) if isinstance(one, Group) and "runs" in one.classes]
    return [part for group in groups for part in group.parts if isinstance(part, Rectangle)]


def said(drawing: Drawing) -> list[str]:
    return [one.text for one in walk(drawing.parts) if isinstance(one, Text)]


def test_a_bar_stands_at_its_hour_and_is_as_long_as_it_runs() -> None:
    (bar,) = bars(draw_day((DayRow(start=2 * 3600, duration=5400, words="night"),), (), title="d"))
    assert bar.x == pytest.approx(2.5 + 2 * HOUR)
    assert bar.width == pytest.approx(1.5 * HOUR)


def test_what_runs_over_midnight_goes_on_in_the_morning() -> None:
    first, second = bars(draw_day((DayRow(start=23 * 3600, duration=7200, words="late"),), (), title="d"))
    assert first.x + first.width == pytest.approx(WIDTH - 2.5)
    assert (second.x, second.width) == (pytest.approx(2.5), pytest.approx(HOUR))


def test_what_does_not_run_every_day_is_only_outlined() -> None:
    rows = (DayRow(start=0, duration=3600, words="a"), DayRow(start=0, duration=3600, words="b", daily=False))
    daily, weekly = bars(draw_day(rows, (), title="d"))
    assert daily.look.dash == ()
    assert weekly.look.dash != ()


def test_looks_are_named_unless_they_stand_too_close() -> None:
    drawing = draw_day((DayRow(start=0, duration=60, words="a"),), (24300.0, 66600.0), title="d")
    assert {"look 06:45", "look 18:30"} <= set(said(drawing))
    close = draw_day((DayRow(start=0, duration=60, words="a"),), (24300.0, 24360.0), title="d")
    assert sum(text.startswith("look") for text in said(close)) == 1
    assert sum(isinstance(one, Group) and "look" in one.classes for one in walk(close.parts)) == 2


@given(
    st.lists(st.tuples(st.floats(0, 86399), st.floats(1, 86400), st.booleans()), max_size=6),
    st.lists(st.floats(0, 86399), max_size=6),
)
def test_nothing_lies_off_the_page(rows: list[tuple[float, float, bool]], looks: list[float]) -> None:
    drawing = draw_day(
        [DayRow(start=start, duration=long, words="03:15, 60 min, every second day", daily=daily)
         for start, long, daily in rows], looks, title="d",
    )  # fmt: skip
    for part in drawing.parts:
        left, top, right, bottom = bounds(part)
        assert left >= -0.5
        assert right <= drawing.width + 0.5
        assert top >= -0.5
        assert bottom <= drawing.height + 0.5


@pytest.mark.parametrize(("share", "wide"), [(0.25, 0.25), (1.7, 1.0), (-0.3, 0.0)])
def test_a_bar_reaches_as_far_as_its_share_and_never_beyond_its_cell(share: float, wide: float) -> None:
    (bar,) = (one for one in draw_bar(share).parts if isinstance(one, Rectangle))
    assert bar.width == pytest.approx(wide * BAR_WIDTH)


def test_what_is_not_known_has_no_bar() -> None:
    assert not any(isinstance(one, Rectangle) for one in draw_bar(float("nan")).parts)
