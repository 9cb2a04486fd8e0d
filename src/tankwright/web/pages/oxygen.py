"""Oxygen: which tanks to serve first when the air stops, how one of them falls, and what to measure."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from markupsafe import Markup

from tankwright.catalogue.assumptions import ASSUMPTIONS, Assumption
from tankwright.drawing.chart import ON_PAGE, chart_table, draw_chart
from tankwright.drawing.chart_table import to_read
from tankwright.drawing.colour import step_for
from tankwright.drawing.oxygen_charts import fall_chart
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.origin import Known
from tankwright.room.model_water import LifeLaws, StockPlace
from tankwright.systems.oxygen import drop_test
from tankwright.systems.oxygen_model import Banded, OxygenResult, TankOxygen
from tankwright.web.page import Page, View
from tankwright.web.pages.air import MOST_ROWS, first_row
from tankwright.web.plan_values import plan_of
from tankwright.web.pointer import to_pointer
from tankwright.web.sheets import SheetField
from tankwright.workspace.opened import Opened

Table = tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]

EXAMPLE: Final = '''[[stock]]
tanks = "A1..A4"
count = 20
each = "0.8 g"'''

_READINGS: Final = (3600.0, 2 * 3600.0, 3 * 3600.0, 4 * 3600.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A tank of the list. `step` is the colour of its time beside the gap between looks, "" where it has no time;
    `state` says why there is none: "no fish", "no air", or "" ."""

    one: TankOxygen
    step: str
    state: str
    held: Banded | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """The tank whose fall is shown, with its chart, the chart's numbers and what a drop test would read."""

    one: TankOxygen
    stock: StockPlace | None
    chart: Markup
    table: Table
    readings: tuple[tuple[float, tuple[float, ...]], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """A value that holds for every tank: its row, how it is known, and its band where it has one."""

    row: Assumption
    known: Known


def show(view: View) -> Mapping[str, object]:
    """Every tank, those first in trouble in front; one of them in full."""
    study = view.study
    result = study.oxygen if study is not None else None
    if result is None or result.laws is None or not result.tanks:
        return {
            "oxygen": None,
            "example": EXAMPLE,
            "missing": result.not_computed if result is not None else (),
        }
    rows = view.made_once.keep(view.snapshot, "oxygen rows", shown_rows) or ()
    asked = view.query.get("tank", "")
    one = result.tank(asked) or next((row.one for row in rows if row.state == ""), rows[0].one)
    return {
        "oxygen": result, "laws": result.laws, "rows": rows, "start": first_row(view.query.get("from", "")),
        "most_rows": MOST_ROWS, "chosen": _chosen(view, result, one),
        "lost": asked if asked and one.tank != asked else "",
        "left_out": tuple((subject, why) for subject, why in result.not_computed
                          if result.tank(subject.removeprefix("tank ")) is None),
        "taken": tuple(_taken(result.laws)), "reading_times": _READINGS, "endless": math.isinf,
        "fields": tuple(_fields(view, result, one)),
    }  # fmt: skip


def shown_rows(opened: Opened) -> tuple[Row, ...]:
    """The tanks of a worked-out plan in the order in which they are in trouble."""
    result = opened.study.oxygen if opened.study is not None else None
    return () if result is None else tuple(_row(result, one) for one in result.in_order)


def _row(result: OxygenResult, one: TankOxygen) -> Row:
    if one.trouble is None:
        state, step = "no fish", ""
    elif one.stirring == 0.0:
        state, step = "no air", ""
    else:
        state, step = "", step_for(one.trouble.value / result.gap).fill.token
    return Row(one=one, step=step, state=state, held=one.held("between looks"))


def _chosen(view: View, result: OxygenResult, one: TankOxygen) -> Chosen:
    chart = fall_chart(result, one, view.display)
    drawn = to_screen_svg(draw_chart(chart, *ON_PAGE), name="fall", classes=("chart",))
    lives = view.room.lives if view.room is not None else ()
    stock = next((life.stock for life in lives if life.tank == one.tank), None)
    return Chosen(
        one=one,
        stock=stock,
        chart=Markup(drawn),
        table=to_read(chart_table(chart)),
        readings=_readings(result, one),
    )


def _readings(result: OxygenResult, one: TankOxygen) -> tuple[tuple[float, tuple[float, ...]], ...]:
    """What the oxygen of a tank reads after hours without air, for still water from the least to the most."""
    if one.demand is None or result.laws is None or one.stirring == 0.0:
        return ()
    row = ASSUMPTIONS["oxygen.still"]
    velocities = (row.low, (row.low + row.value) / 2, row.value, (row.value + row.high) / 2, row.high)
    levels = drop_test(one, result.laws, velocities, _READINGS)
    return tuple(
        (velocity, tuple(float(level) for level in reading))
        for velocity, reading in zip(velocities, levels, strict=True)
    )


def _taken(laws: LifeLaws) -> Iterator[Taken]:
    for key, known in (
        ("oxygen.still", laws.still), ("oxygen.stirred", laws.stirred), ("oxygen.bubbles", laws.bubbles),
        ("oxygen.trouble", laws.trouble), ("oxygen.mulm", laws.mulm), ("stock.activity", laws.activity),
    ):  # fmt: skip
        yield Taken(row=ASSUMPTIONS[key], known=known)


def _fields(
    view: View, result: OxygenResult, one: TankOxygen
) -> Iterator[tuple[str, tuple[SheetField, ...]]]:
    """The measured values of the whole room, then the stock of the tank that is shown."""
    laws = result.laws
    if laws is None:
        return
    labels = {
        "oxygen.still": "Still water", "oxygen.stirred": "Stirred by air", "oxygen.trouble": "Trouble begins at",
        "oxygen.mulm": "Filter and mulm, kg for a kg of feed", "stock.activity": "Breathing over resting",
    }  # fmt: skip
    yield "", tuple(
        SheetField(
            pointer=view.pointer("assume", taken.row.key), label=labels[taken.row.key],
            assumed=view.words(taken.known.value, taken.row.dimension) if taken.known.is_assumed else "",
        )
        for taken in _taken(laws) if taken.row.key in labels
    )  # fmt: skip
    stock = next(
        (life.stock for life in (view.room.lives if view.room else ()) if life.tank == one.tank), None
    )
    plan = plan_of(view)
    if stock is None or plan is None:
        return
    number = next((index for index, row in enumerate(plan.stock) if row.line == stock.line), None)
    if number is not None:
        at = ("stock", number)
        each = view.words(stock.each.value, "mass") if stock.each.is_assumed else ""
        feed = (
            view.words(stock.feed.value, "mass_per_time")
            if stock.feed is not None and stock.feed.is_assumed
            else ""
        )
        yield plan.stock[number].tanks, (
            SheetField(pointer=to_pointer((*at, "count")), label="Fish in each tank"),
            SheetField(pointer=to_pointer((*at, "each")), label="Mass of one fish", assumed=each),
            SheetField(pointer=to_pointer((*at, "feed")), label="Dry feed for each tank", assumed=feed),
        )  # fmt: skip


PAGE = Page(
    name="oxygen",
    path="/oxygen",
    title="Oxygen",
    template="oxygen.html",
    show=show,
    group="system",
    layer="oxygen",
)
