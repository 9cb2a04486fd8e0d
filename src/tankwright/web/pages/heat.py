"""Warmth: what a room loses and what heats it, its cold faces, its rows through the worst weeks, and without power."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from markupsafe import Markup

from tankwright.checks.heat_shared import MONTHS
from tankwright.drawing.bar import draw_bar_about
from tankwright.drawing.chart import ON_PAGE, ChartTable, chart_table, draw_chart
from tankwright.drawing.chart_table import to_read
from tankwright.drawing.colour import step_for
from tankwright.drawing.heat_charts import cut_chart, week_chart
from tankwright.drawing.layer_heat import share_of, strays
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.physics.surfaces import CAUTION, MOULD_HUMIDITY
from tankwright.room.model_climate import SpaceClimate
from tankwright.systems.heat_model import HeatResult, SpaceHeat, TankHeat
from tankwright.web.page import Page, View
from tankwright.web.sheets import SheetField

EXAMPLE: Final = """[climate]

[climate.room.NAME]
heat_to = "24 °C"
heater = { power = "1500 W" }"""

MOST_NAMES: Final = 8
MOST_ROWS: Final = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class LossRow:
    """A way by which heat leaves (or comes, `gains`) in the design cold, and the same in the hottest day."""

    name: str
    cold: float
    hot: float
    gains: bool
    bar: Markup


@dataclass(frozen=True, slots=True, kw_only=True)
class TanksRow:
    """Tanks that are alike to heat; `one` stands for each of them. `verdict` is of its heater."""

    tanks: tuple[str, ...]
    more: int
    one: TankHeat
    step: str
    strays: float
    verdict: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A chart with the numbers under it."""

    id: str
    title: str
    chart: Markup
    table: ChartTable


def show(view: View) -> Mapping[str, object]:
    """All rooms in short, one of them in full."""
    room, study = view.room, view.study
    result = study.heat if study is not None else None
    if room is None or result is None or not result.spaces or room.climate is None:
        return {
            "heat": None, "missing": result.not_computed if result is not None else (), "example": EXAMPLE,
        }  # fmt: skip
    asked = view.query.get("room", "")
    space = result.space(asked) or next((one for one in result.spaces if any(one.tanks)), result.spaces[0])
    kept = room.climate.space(space.space)
    rows = tuple(_tanks(result, space))
    return {
        "heat": result, "space": space, "spaces": result.spaces, "rows": rows[:MOST_ROWS],
        "left_off": len(rows) - MOST_ROWS, "lost": asked if asked and asked != space.space else "",
        "losses": tuple(_losses(space)), "surfaces": space.surfaces, "mould": MOULD_HUMIDITY, "caution": CAUTION,
        "heaters": tuple(sorted(rows, key=_worst_heater))[:MOST_ROWS],
        "charts": tuple(_charts(view, result, space)), "months": MONTHS,
        "kept": kept, "fields": tuple(_fields(view, space, kept)), "surface_name": _surface_name(space),
    }  # fmt: skip


def _worst_heater(row: TanksRow) -> tuple[int, float]:
    """Too small first, then those that end hottest, then those without."""
    order = ("too small", "little to spare", "enough", "none, would need", "none")
    return order.index(row.verdict), -row.one.stuck.final if row.one.stuck is not None else -row.one.need


def _surface_name(space: SpaceHeat) -> Mapping[str, str]:
    return {face.id: face.id.removeprefix(f"{space.space} ") for face in space.surfaces}


def _losses(space: SpaceHeat) -> Iterator[LossRow]:
    """Ways out in the design cold, largest first, then what comes in."""
    cold, hot = space.day("coldest"), space.day("hottest")
    summer = {part.name: part.heat for part in hot.losses} | {part.name: -part.heat for part in hot.gains}
    winter = {part.name: part.heat for part in cold.losses} | {part.name: -part.heat for part in cold.gains}
    names = sorted({*summer, *winter}, key=lambda name: -winter.get(name, 0.0))
    ends = (min((0.0, *winter.values())), max((0.0, *winter.values())))
    for name in names:
        heat = winter.get(name, 0.0)
        drawn = draw_bar_about(heat, *ends)
        yield LossRow(
            name=name, cold=heat, hot=summer.get(name, 0.0), gains=heat < 0.0,
            bar=Markup(to_screen_svg(drawn, classes=("length",), hidden=True)),
        )  # fmt: skip


def _tanks(result: HeatResult, space: SpaceHeat) -> Iterator[TanksRow]:
    """Rows of alike tanks, those furthest from what is wanted first."""
    by_group: dict[tuple[object, ...], list[TankHeat]] = {}
    for row in result.tanks:
        if row.space == space.space:
            key = (row.group, row.low, row.high, row.wanted.value)
            by_group.setdefault(key, []).append(row)
    ordered = sorted(by_group.values(), key=lambda rows: -abs(strays(rows[0])))
    for rows in ordered:
        one = rows[0]
        names = tuple(row.tank for row in rows)
        yield TanksRow(
            tanks=names[:MOST_NAMES], more=max(len(names) - MOST_NAMES, 0), one=one,
            step=step_for(share_of(one)).fill.token, strays=strays(one), verdict=_verdict(one),
        )  # fmt: skip


def _verdict(row: TankHeat) -> str:
    if row.has is None:
        return "none" if row.need <= 0.0 else "none, would need"
    if row.has < row.need:
        return "too small"
    return "little to spare" if row.has < 1.25 * row.need else "enough"


def _charts(view: View, result: HeatResult, space: SpaceHeat) -> Iterator[Shown]:
    if not any(space.tanks):
        return
    made = (
        ("coldest", week_chart(result, space, "coldest", view.display)),
        ("hottest", week_chart(result, space, "hottest", view.display)),
        ("cut", cut_chart(result, space, view.display)),
    )
    for name, chart in made:
        drawn = to_screen_svg(draw_chart(chart, *ON_PAGE), name=f"heat-{name}", classes=("chart",))
        yield Shown(id=name, title=chart.title, chart=Markup(drawn), table=to_read(chart_table(chart)))


def _fields(
    view: View, space: SpaceHeat, kept: SpaceClimate | None
) -> Iterator[tuple[str, tuple[SheetField, ...]]]:
    if kept is None:
        return

    def assumed(value: object, dimension: str) -> str:
        known = getattr(value, "is_assumed", False)
        return view.words(value.value, dimension) if known else ""  # type: ignore[attr-defined] # what knows is a Known

    at = ("climate", "room", space.space)
    yield space.space, (
        SheetField(pointer=view.pointer(*at, "heat_to"), label="Heated to"),
        SheetField(pointer=view.pointer(*at, "heater", "power"), label="Its heater"),
        SheetField(pointer=view.pointer(*at, "cool_to"), label="Cooled to"),
        SheetField(pointer=view.pointer(*at, "cooler", "cooling"), label="Its cooler takes"),
        SheetField(pointer=view.pointer(*at, "indoors"), label="The house beyond inner walls",
                   assumed=assumed(kept.indoors, "temperature")),
        SheetField(pointer=view.pointer("room", space.space, "shell", "air_change"), label="Air that leaks in",
                   assumed=assumed(kept.air_change, "air_change")),
    )  # fmt: skip
    room = view.room
    climate = room.climate if room is not None else None
    if climate is None or room is None:
        return
    coat = room.laws.wall_coat if room.laws is not None else None
    yield "", (
        SheetField(pointer=view.pointer("climate", "weather"), label="Weather"),
        SheetField(pointer=view.pointer("assume", "climate.gradient"), label="Warmer air a metre higher",
                   assumed=assumed(kept.gradient, "temperature_difference")),
        SheetField(pointer=view.pointer("assume", "climate.covered"), label="Evaporation left under a lid",
                   assumed=assumed(climate.covered, "share")),
        SheetField(pointer=view.pointer("assume", "tank.wall_coat"), label="A tank's panes, U",
                   assumed=assumed(coat, "thermal_transmittance")),
    )  # fmt: skip


PAGE = Page(
    name="heat",
    path="/heat",
    title="Warmth",
    template="heat.html",
    show=show,
    group="system",
    layer="heat",
)
