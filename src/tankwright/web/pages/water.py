"""The water: what one has, what each zone wants of it, what to mix, how cold a change is, and whom it suits."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final, Literal

from markupsafe import Markup

from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.drawing.want_bar import draw_want
from tankwright.finding import Severity
from tankwright.origin import Known
from tankwright.physics.dissolved_gas import GAS_LIMIT
from tankwright.room.model import Room
from tankwright.systems.water_cold import DROP_LIMIT, SEASONS
from tankwright.systems.water_model import (
    Change,
    ColdFill,
    Fit,
    Gas,
    SourceWater,
    WaterResult,
    Wish,
    ZoneBlend,
)
from tankwright.web.page import Page, View
from tankwright.web.pages.air import MOST_ROWS
from tankwright.web.pages.water_life import water_life_page
from tankwright.web.plan_values import FieldGroup, water_fields

QUANTITIES: Final = {
    "ph": ("pH", "ph"), "general_hardness": ("general hardness", "hardness"),
    "carbonate_hardness": ("carbonate hardness", "hardness"), "conductivity": ("conductivity", "conductivity"),
    "nitrate": ("nitrate", "concentration"), "temperature": ("temperature", "temperature"),
    "hardness": ("general hardness", "hardness"),
}  # fmt: skip
TABLE: Final = (
    ("winter", "temperature"), ("summer", "temperature"), ("ph", "ph"), ("general_hardness", "hardness"),
    ("carbonate_hardness", "hardness"), ("conductivity", "conductivity"), ("nitrate", "concentration"),
    ("chlorine", "concentration"),
)  # fmt: skip
Verdict = Literal["met", "not met", "not sure", "not known"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """A value of a table: what it is, and the working behind it."""

    known: Known | None
    dimension: str
    working: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterRow:
    """One water with its values in the order of `TABLE`."""

    water: SourceWater
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WantRow:
    """One thing a zone wants of one water. `severity` is None where it is met."""

    zone: str
    water: str
    tanks: tuple[str, ...]
    wish: Wish
    name: str
    dimension: str
    verdict: Verdict
    severity: Severity | None
    working: str
    bar: Markup


@dataclass(frozen=True, slots=True, kw_only=True)
class ColdRow:
    """Tanks that cool alike. `cells` are the drip and the batches, winter then summer for each."""

    tanks: tuple[str, ...]
    fill: ColdFill
    cells: tuple[tuple[Change | None, str, bool], ...]
    quarter: Change | None
    worst: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FitRow:
    """One species against one thing of the water of some tanks."""

    fit: Fit
    name: str
    dimension: str
    verdict: Verdict
    severity: Severity | None


def show(view: View) -> Mapping[str, object]:
    """Every table of the page, the worst of each first."""
    room, study = view.room, view.study
    if room is None or study is None or study.water is None or not room.tanks:
        return {"water": None, "groups": ()}
    water = study.water
    climate = room.climate
    fits = sorted(_fits(water), key=lambda row: (_ORDER[row.verdict], row.fit.species, row.fit.quantity))
    return {
        "water": water,
        "waters": tuple(_waters(room, water)),
        "wants": sorted(_wants(water), key=lambda row: (_ORDER[row.verdict], row.zone)),
        "blends": sorted(water.blends, key=lambda blend: (blend.reached, not blend.needed)),
        "blend_names": {blend.zone: _names(blend) for blend in water.blends},
        "colds": _colds(view, water),
        "gases": sorted(water.gases, key=lambda gas: -gas.ratio),
        "gas_limit": GAS_LIMIT,
        "drop_limit": DROP_LIMIT,
        "unfit": tuple(row for row in fits if row.severity is not None),
        "fits": tuple(row for row in fits if row.severity is None),
        "rows": water.rows,
        **(water_life_page(view, room, water.life) if water.life is not None else {"life_page": False}),
        "currency": climate.currency if climate is not None else "",
        "groups": tuple(_groups(view, room)),
        "gas_over": _gas_over,
        "names": QUANTITIES,
        "most_rows": MOST_ROWS,
    }  # fmt: skip


_ORDER: Final[dict[Verdict, int]] = {"not met": 0, "not sure": 1, "not known": 2, "met": 3}
_SEVERITY: Final[dict[Verdict, Severity | None]] = {
    "not met": Severity.WARNING, "not sure": Severity.NOTE, "not known": Severity.NOT_COMPUTED, "met": None,
}  # fmt: skip


def _waters(room: Room, water: WaterResult) -> Iterator[WaterRow]:
    mixed = {place.id for place in room.waters if place.mix}
    for one in water.sources:
        yield WaterRow(water=one, cells=tuple(
            Cell(known=getattr(one, name), dimension=dimension,
                 working=f"water.{one.name}.{name}" if one.name in mixed else "")
            for name, dimension in TABLE
        ))  # fmt: skip


def _wants(water: WaterResult) -> Iterator[WantRow]:
    for zone in water.zones:
        for wish in zone.wishes:
            name, dimension = QUANTITIES[wish.quantity]
            verdict: Verdict = _verdict(wish.by, sure=wish.sure)
            bar = Markup()
            if wish.value is not None:
                low = wish.low if wish.low is not None else 0.0
                drawn = draw_want(name, low=low, high=wish.high, value=wish.value.value, band=wish.value.band)
                bar = Markup(to_screen_svg(drawn, hidden=True))
            yield WantRow(
                zone=zone.zone, water=zone.water, tanks=zone.tanks, wish=wish, name=name, dimension=dimension,
                verdict=verdict, severity=_SEVERITY[verdict], working=f"zone.{zone.zone}.{zone.water}.{wish.quantity}",
                bar=bar,
            )  # fmt: skip


def _verdict(by: float | None, *, sure: bool) -> Verdict:
    if by is None:
        return "not known"
    if not sure:
        return "not sure"
    return "not met" if by > 0.0 else "met"


def _names(blend: ZoneBlend) -> tuple[tuple[str, float, float, str], ...]:
    """Water, share, volume a day and the working of each part of a blend."""
    return tuple(
        (name, share, share * blend.volume_a_day, f"zone.{blend.zone}.blend.{name}")
        for name, share in blend.shares
    )


def _colds(view: View, water: WaterResult) -> tuple[ColdRow, ...]:
    """Tanks whose figures read alike are one row; the coldest drip first."""
    alike: dict[tuple[str, ...], list[ColdFill]] = {}
    for fill in water.cold_fills:
        said = tuple(view.words(change.in_an_hour, "temperature_difference") for change in fill.changes)
        alike.setdefault((fill.water, view.words(fill.before.value, "temperature"), *said), []).append(fill)
    rows = []
    for fills in alike.values():
        first = fills[0]
        found = {(_kind(change), change.season): change for change in first.changes}
        cells = tuple(
            (change, f"{first.tank}.water.{kind}_{season}", change is not None and change.in_an_hour > DROP_LIMIT)
            for kind in ("drip", "batch10", "batch25", "batch50") for season in SEASONS
            for change in (found.get((kind, season)),)
        )  # fmt: skip
        drips = [change.in_an_hour for change in first.changes if change.kind == "drip"]
        batches = [change.in_an_hour / 100.0 for change in first.changes]
        rows.append(ColdRow(
            tanks=tuple(fill.tank for fill in fills), fill=first, cells=cells,
            quarter=found.get(("batch25", "winter")), worst=max((*drips, *batches), default=0.0),
        ))  # fmt: skip
    return tuple(sorted(rows, key=lambda row: -row.worst))


def _kind(change: Change) -> str:
    return "drip" if change.kind == "drip" else f"batch{change.share * 100.0:.0f}"


def _gas_over(gas: Gas) -> bool:
    return gas.ratio > GAS_LIMIT


def _fits(water: WaterResult) -> Iterator[FitRow]:
    for fit in water.fits:
        name, dimension = QUANTITIES[fit.quantity]
        verdict = _verdict(fit.by, sure=fit.sure)
        yield FitRow(fit=fit, name=name, dimension=dimension, verdict=verdict, severity=_SEVERITY[verdict])


def _groups(view: View, room: Room) -> Iterator[FieldGroup]:
    for place in room.waters:
        yield water_fields(view, place)


PAGE = Page(
    name="water",
    path="/water",
    title="Water",
    template="water.html",
    show=show,
    group="system",
    layer="water",
)
