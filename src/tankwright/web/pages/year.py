"""A year of the room: energy by month and use, its cost, top and bottom rows, damp, and what each measure would save.

It is worked out when someone asks for it, beside the edits, and known again after edits that warmth does not feel.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from markupsafe import Markup

from tankwright.checks.heat_year import check_year
from tankwright.display import sentence
from tankwright.drawing.chart import ON_PAGE, chart_table, draw_chart
from tankwright.drawing.ranked import draw_ranked
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.drawing.year_charts import energy_chart, ranked_savings, rows_chart
from tankwright.explain.model import Working
from tankwright.explain.year import workings_year
from tankwright.finding import Finding
from tankwright.report.year import money, side_effects, verdict_words
from tankwright.systems.heat_year import RowYear
from tankwright.systems.heat_year_model import INTERACTION, METHOD, Saving, YearResult
from tankwright.web.page import Page, View
from tankwright.web.pointer import to_pointer
from tankwright.web.sheets import SheetField
from tankwright.workspace.jobs import Job
from tankwright.workspace.years import known_year, mark_of
from tankwright.year import NO_CLIMATE

KIND: Final = "year"
EXAMPLE: Final = """\
[climate]
weather = "Greensboro"
currency = "EUR"
energy_price = 0.30

[climate.room.{room}]
heat_to = "24 °C"
heater = {{ power = "1500 W" }}"""
Table = tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasureRow:
    """A measure in words: what it is, what else it does, and what is to be said of it at once."""

    saving: Saving
    words: str
    effects: tuple[str, ...]
    verdict: str
    worth: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneShown:
    """The water of a zone through the year."""

    name: str
    space: str
    rows: tuple[RowYear, ...]
    chart: Markup
    table: Table


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """Everything the page shows of one year."""

    year: YearResult
    energy: Markup
    energy_table: Table
    ranked: Markup
    measures: tuple[MeasureRow, ...]
    several: tuple[MeasureRow, ...]
    zones: tuple[ZoneShown, ...]
    findings: tuple[Finding, ...]


def show(view: View) -> Mapping[str, object]:
    """The year as far as it is known, and the work that finds it."""
    year, job, of_number = _year(view)
    described = view.room is not None and view.room.climate is not None and bool(view.room.tanks)
    shown = None
    if year is not None and view.room is not None:
        room = view.room
        shown = view.made_once.keep(
            view.snapshot, ("year page", view.display, id(year)), lambda _: _shown(view, year, check_year(room, year))
        )  # fmt: skip
    room_name = view.room.spaces[0].id if view.room and view.room.spaces else "cellar"
    return {
        "described": described, "job": job, "kind": KIND, "stale": of_number is not None, "of_number": of_number,
        "shown": shown, "year": year, "method": METHOD, "interaction": INTERACTION, "money": money,
        "missing": NO_CLIMATE, "example": EXAMPLE.format(room=room_name),
        "fields": tuple(_fields()) if described else (),
    }  # fmt: skip


def _year(view: View) -> tuple[YearResult | None, Job | None, int | None]:
    """The year of this state of the plan and the newest work on one; or, where it is not known, the newest year there
    is and the number of the plan it is of."""
    jobs = [job for job in view.jobs.list() if job.kind == KIND] if view.jobs is not None else []
    mine = next((job for job in jobs if job.number == view.snapshot.good_number), None)
    mark = view.made_once.keep(view.snapshot, "year mark", mark_of)
    known = known_year(mark) if mark else None
    if known is not None:
        return known, mine, None
    for before in jobs:
        if isinstance(before.result, YearResult):
            return before.result, mine, before.number
    return None, mine or next(iter(jobs), None), None


def workings(view: View) -> Mapping[str, Working]:
    """The workings of the year that is shown, by name."""
    year, _, of_number = _year(view)
    if year is None or of_number is not None or view.room is None:
        return {}
    return {one.name: one for one in workings_year(view.room, year)}


def _shown(view: View, year: YearResult, findings: tuple[Finding, ...]) -> Shown:
    display = view.display
    energy = energy_chart(year, display)
    several = (year.pair, year.together)
    return Shown(
        year=year, energy=_svg(energy), energy_table=chart_table(energy),
        ranked=Markup(to_screen_svg(draw_ranked("Saved in a year", ranked_savings(year, display)), classes=("chart",))),
        measures=tuple(_measure(year, one, display) for one in year.savings),
        several=tuple(_measure(year, one, display) for one in several if one is not None),
        zones=tuple(_zones(year, display)), findings=findings,
    )  # fmt: skip


def _svg(chart: object) -> Markup:
    return Markup(to_screen_svg(draw_chart(chart, *ON_PAGE), classes=("chart",)))  # type: ignore[arg-type] # both kinds


def _measure(year: YearResult, one: Saving, display: str) -> MeasureRow:
    return MeasureRow(
        saving=one,
        words=sentence(one.measure.words, one.measure.numbers, display),
        effects=side_effects(one),
        verdict=verdict_words(year, one).removeprefix(", "),
        worth="" if one.worth is None else f"{money(one.worth)} {year.currency}".rstrip(),
    )


def _zones(year: YearResult, display: str) -> Iterator[ZoneShown]:
    for space in year.base.spaces if year.base is not None else ():
        for zone in dict.fromkeys(row.zone for row in space.rows):
            rows = tuple(row for row in space.rows if row.zone == zone)
            chart = rows_chart(rows, display)
            yield ZoneShown(
                name=zone, space=space.space, rows=rows, chart=_svg(chart), table=chart_table(chart)
            )


def _fields() -> Iterator[SheetField]:
    yield SheetField(pointer=to_pointer(("climate", "weather")), label="Weather",
                     help="a file beside the plan, or Greensboro, Sand Point, Miami")  # fmt: skip
    yield SheetField(pointer=to_pointer(("climate", "energy_price")), label="Price of a kWh")
    yield SheetField(pointer=to_pointer(("climate", "water_price")), label="Price of a cubic metre of water")
    yield SheetField(pointer=to_pointer(("climate", "currency")), label="Currency")


PAGE = Page(
    name="year",
    path="/year",
    title="Year",
    template="year.html",
    show=show,
    group="system",
    workings=workings,
)
