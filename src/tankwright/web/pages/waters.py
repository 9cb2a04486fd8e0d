"""Water tests: every tank and quantity, what matters most first, and one of them in full with its chart."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from markupsafe import Markup

from tankwright.drawing.chart import ON_PAGE, ChartTable, chart_table, draw_chart
from tankwright.drawing.chart_table import to_read
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.drawing.trend_charts import trend_chart
from tankwright.finding import Finding
from tankwright.husbandry.calendar_words import date_words
from tankwright.husbandry.register import Line
from tankwright.husbandry.water_limits import WaterLimit
from tankwright.husbandry.water_quantities import QUANTITIES
from tankwright.husbandry.water_sentences import CAUTION, findings_beside, verdict_finding
from tankwright.husbandry.water_verdicts import WaterVerdict
from tankwright.report.trends import TrendRow, trend_row
from tankwright.web.page import Page, View
from tankwright.workspace.log_waters import WaterTests, water_tests
from tankwright.workspace.opened import Opened

MOST: Final = 40
"""Rows of one page of the table."""

NEVER: Final = 24
"""Tanks that were never tested, named at once."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """One quantity of one tank in full: its sentence, what stands beside it, its chart and the chart's numbers."""

    one: WaterVerdict
    row: TrendRow
    sentence: Finding
    beside: tuple[Finding, ...]
    chart: Markup
    table: ChartTable
    title: str
    limits: tuple[tuple[str, WaterLimit], ...]
    since: str


def show(view: View) -> Mapping[str, object]:
    """The table, narrowed as the address says, and the verdict it chooses."""
    room = view.room
    book = view.log.kept
    if room is None or book is None:
        return {"waters": None}
    line = view.query.get("line", "")
    newest, minute = view.log_state
    known = ("waters", line, newest, minute // 60)  # ages are told in hours and days
    waters = view.made_once.keep(view.snapshot, known, _maker(view, line))
    if waters is None or not (waters.verdicts or waters.unread):
        return {"waters": None}
    tank, of = view.query.get("tank", ""), view.query.get("of", "")
    listed = tuple(one for one in waters.verdicts if tank in {"", one.tank} and of in {"", one.quantity.key})
    start = _start(view.query.get("from", ""), len(listed))
    chosen = _chosen(view, waters, listed)
    return {
        "waters": waters, "rows": tuple(trend_row(one) for one in listed[start : start + MOST]),
        "count": len(listed), "start": start, "most": MOST, "tank": tank, "of": of, "line": line,
        "tanks": tuple(dict.fromkeys(sorted(one.tank for one in waters.verdicts))),
        "quantities": tuple((key, one.name) for key, one in QUANTITIES.items()
                            if any(found.quantity.key == key for found in waters.verdicts)),
        "lines": _lines(book.lines()), "chosen": chosen, "never": waters.never[:NEVER],
        "more_never": max(len(waters.never) - NEVER, 0), "caution": CAUTION,
        "past": len({one.tank for one in waters.verdicts if one.judged.standing.startswith("past")}),
        "warned": len({one.tank for one in waters.verdicts if one.fall is not None and one.fall.warns}),
    }  # fmt: skip


def _maker(view: View, line: str) -> Callable[[Opened], WaterTests | None]:
    def make(opened: Opened) -> WaterTests | None:
        if opened.room is None:
            return None
        return water_tests(view.log, opened.room, opened.study, view.log.now(), line=line)

    return make


def _lines(lines: tuple[Line, ...]) -> tuple[tuple[str, str], ...]:
    return tuple((one.id, one.name) for one in lines)


def _start(asked: str, count: int) -> int:
    """The first row of a page of the table."""
    number = int(asked) if asked.isdecimal() and len(asked) < 7 else 1
    return (min(max(number, 1), max(count, 1)) - 1) // MOST * MOST


def _chosen(view: View, waters: WaterTests, listed: tuple[WaterVerdict, ...]) -> Chosen | None:
    """The verdict the address names, or the first of the table; with all its tests, not the last year's alone."""
    if not listed or view.room is None:
        return None
    first = listed[0]
    name, key = view.query.get("show", ""), view.query.get("what", "")
    wanted = next((one for one in listed if one.tank == name and key in {"", one.quantity.key}), first)
    whole = water_tests(view.log, view.room, view.study, view.log.now(), tank=wanted.tank)
    one = whole.of(wanted.tank, wanted.quantity.key) or wanted
    zone = view.log.now().astimezone().tzinfo
    assert zone is not None  # it was just made local
    chart = trend_chart(one, waters.causes.get(one.place, ()), view.display, zone)
    drawn = to_screen_svg(draw_chart(chart, *ON_PAGE), name="trend", classes=("chart",))
    return Chosen(
        one=one, row=trend_row(one), sentence=verdict_finding(one), beside=findings_beside(one), chart=Markup(drawn),
        table=to_read(chart_table(chart)), title=chart.title,
        limits=tuple((limit.kind, limit) for limit in one.limits),
        since="" if one.since is None else f"{one.since.says}, {date_words(one.since.at)}",
    )  # fmt: skip


PAGE = Page(
    name="waters", path="/waters", title="Water tests", template="waters.html", show=show, group="life"
)
