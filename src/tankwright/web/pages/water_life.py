"""What the water becomes, for the page of the water: chlorine by the clock, feed to nitrate, first weeks."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

from markupsafe import Markup

from tankwright.checks.water_chlorine import DAY
from tankwright.drawing.chart import ON_PAGE, ChartTable, chart_table, draw_chart
from tankwright.drawing.chart_table import to_read
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.drawing.water_life_charts import water_life_charts
from tankwright.room.model import Room
from tankwright.systems.water_life_model import (
    ChlorineCase,
    NitrateWant,
    Span,
    TankChlorine,
    TankNitrogen,
    WaterLife,
)
from tankwright.web.page import View
from tankwright.workspace.opened import Opened

Row = TypeVar("Row")
MOST_ALIKE = 40
"""Rows of tanks alike on the page; in a hall the rest is in the report."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartShown:
    """A chart with its title and the same as a table."""

    title: str
    drawn: Markup
    table: ChartTable


@dataclass(frozen=True, slots=True, kw_only=True)
class ChlorineRow:
    """Tanks whose chlorine reads alike. `over` says whether it passes the limit as it is now, "may" by its band."""

    tanks: tuple[str, ...]
    one: TankChlorine
    over: str
    clock: float
    day: int


@dataclass(frozen=True, slots=True, kw_only=True)
class NitrogenRow:
    """Tanks whose nitrogen reads alike; what is `over` its limit by name."""

    tanks: tuple[str, ...]
    one: TankNitrogen
    want: NitrateWant | None
    over: frozenset[str]


def water_life_page(view: View, room: Room, life: WaterLife) -> Mapping[str, object]:
    """What `water_life.html` needs; `life_page` is true where there is something to show."""
    return {
        "life": life,
        "life_page": bool(life.chlorine or life.nitrogen or life.doses or life.carbons),
        "life_charts": view.made_once.keep(view.snapshot, ("water life", view.display), _charts(room, life))
        or {},
        "chlorine_rows": _chlorine_rows(view, life),
        "nitrogen_rows": _nitrogen_rows(view, life),
        "carbon_of": {carbon.run: carbon for carbon in life.carbons},
        "most_alike": MOST_ALIKE,
    }


def _charts(room: Room, life: WaterLife) -> Callable[[Opened], dict[str, ChartShown]]:
    def make(_: Opened) -> dict[str, ChartShown]:
        return {
            name: ChartShown(
                title=chart.title,
                drawn=Markup(
                    to_screen_svg(draw_chart(chart, *ON_PAGE), name=f"life-{name}", classes=("chart",))
                ),
                table=to_read(chart_table(chart)),
            )
            for name, chart in water_life_charts(room, life)
        }

    return make


def _chlorine_rows(view: View, life: WaterLife) -> tuple[ChlorineRow, ...]:
    def said(case: ChlorineCase | None) -> tuple[str, ...]:
        if case is None:
            return ()
        peak, harm = case.peak, case.harm
        return (
            *(view.words(value, "concentration") for value in (peak.low, peak.value, peak.high)),
            view.words(harm.value, "duration"), view.words(harm.low, "duration"),
        )  # fmt: skip

    rows = []
    for tanks in _alike(life.chlorine, lambda one: (one.feeds, said(one.fresh), said(one.bare))):
        first = tanks[0]
        after = first.bare.harm.value
        reached = after < 1e12
        at = first.begins + after if reached else 0.0
        rows.append(ChlorineRow(
            tanks=tuple(one.tank for one in tanks), one=first, over=_over(first.now.peak, life.limit),
            clock=at % DAY, day=int(at // DAY) + 1,
        ))  # fmt: skip
    return tuple(
        sorted(
            rows, key=lambda row: (-row.one.now.peak.value, row.one.bare.harm.value, row.one.bare.harm.low)
        )
    )


def _over(span: Span, limit: float) -> str:
    if span.value > limit:
        return "over"
    return "may" if span.high > limit else ""


def _nitrogen_rows(view: View, life: WaterLife) -> tuple[NitrogenRow, ...]:
    wants = {want.tank: want for want in life.wants}

    def said(one: TankNitrogen) -> tuple[str, ...]:
        want = wants.get(one.tank)
        return (
            view.words(one.feed.value, "mass_per_time"), view.words(one.capacity.value, "mass_per_time"),
            view.words(one.ammonia.value, "concentration"), view.words(one.ammonia.high, "concentration"),
            view.words(one.inflow, "flow"),
            view.words(one.hardness.value, "hardness") if one.hardness else "",
            view.words(one.nitrate.value, "concentration") if one.nitrate else "",
            view.words(want.weekly.value, "volume") if want else "",
            view.words(want.wanted.value, "concentration") if want else "",
        )  # fmt: skip

    rows = []
    for tanks in _alike(life.nitrogen, said):
        first = tanks[0]
        want = wants.get(first.tank)
        over = {
            name
            for name, true in (
                ("filter", first.load.value >= first.capacity.value),
                ("ammonia", first.chronic is not None and first.ammonia.value > first.chronic),
                ("hardness", first.hardness is not None and first.hardness.value <= 0.0),
                (
                    "nitrate",
                    first.nitrate is not None
                    and want is not None
                    and first.nitrate.value > want.wanted.value,
                ),
            )
            if true
        }
        rows.append(
            NitrogenRow(tanks=tuple(one.tank for one in tanks), one=first, want=want, over=frozenset(over))
        )
    return tuple(sorted(rows, key=lambda row: (-len(row.over), -row.one.load.value / row.one.volume)))


def _alike(rows: Sequence[Row], said: Callable[[Row], object]) -> list[list[Row]]:
    groups: dict[object, list[Row]] = {}
    for one in rows:
        groups.setdefault(said(one), []).append(one)
    return list(groups.values())
