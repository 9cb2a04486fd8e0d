"""The charts of a year: energy by month and use, the water of top and bottom rows, what each measure saves."""

from __future__ import annotations

from typing import Final

from tankwright.display import words
from tankwright.drawing.chart_model import Axis, Band, Bar, Bars, Chart, line_in_band
from tankwright.drawing.ranked import Ranked
from tankwright.drawing.svg import identifier
from tankwright.finding import Number
from tankwright.systems.heat_energy import Use
from tankwright.systems.heat_year import RowYear
from tankwright.systems.heat_year_model import YearResult

MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
PARTS: Final[tuple[tuple[str, tuple[Use, ...]], ...]] = (
    ("tank heating", (Use.TANKS,)),
    ("room heating", (Use.ROOM,)),
    ("cooling and drying", (Use.COOLING, Use.DRYING)),
    ("lights", (Use.LIGHTS,)),
    ("pumps and the rest", (Use.AIR, Use.PUMPS, Use.OTHER)),
)
"""Uses told together, so that the parts of a bar can be told apart."""


def notes(year: YearResult) -> tuple[str, ...]:
    """What the charts stand on, for under them."""
    return (
        f"Weather: {year.source}.",
        "Hour by hour, thermostats that give just what holds; walls by the five links of EN ISO 13790.",
    )


def energy_chart(year: YearResult, display: str = "metric") -> Bars:
    """Energy of each month, stacked by use; uses there are none of are left out."""
    base = year.base
    by_use = dict(base.uses) if base is not None else {}
    parts = [
        (name, tuple(map(sum, zip(*(by_use[use] for use in uses if use in by_use), strict=True))))
        for name, uses in PARTS
        if any(sum(by_use.get(use, ())) > 0.0 for use in uses)
    ]
    bars = tuple(
        Bar(name=month, value=sum(months[number] for _, months in parts),
            parts=tuple(months[number] for _, months in parts))
        for number, month in enumerate(MONTHS)
    )  # fmt: skip
    return Bars(
        title="Energy by month and use",
        x="month",
        y=Axis(label="energy", dimension="energy", display=display, least=0.0),
        bars=bars if parts else (),
        parts=tuple(name for name, _ in parts),
        empty="the year was not worked out",
    )


def rows_chart(rows: tuple[RowYear, ...], display: str = "metric") -> Chart:
    """The water of a zone's bottom and top row: monthly means, and from the coldest to the warmest hour."""
    lines = tuple(
        line_in_band(
            f"{one.row} row",
            zip(range(1, 13), one.water.lowest, one.water.mean, one.water.highest, strict=True),
        )
        for one in rows
    )
    wants = next(((one.low, one.high) for one in rows if one.low is not None and one.high is not None), None)
    zone = rows[0].zone if rows else ""
    return Chart(
        title=f"Water of {zone} through the year",
        x=Axis(label="month", dimension="number", display=display, names=MONTHS),
        y=Axis(label="water", dimension="temperature", display=display),
        lines=lines,
        bands=() if wants is None else (Band(name="wanted", low=wants[0], high=wants[1]),),
        empty="no tanks",
    )


def ranked_savings(year: YearResult, display: str = "metric") -> tuple[Ranked, ...]:
    """Every measure as a bar of what it saves, with its band."""
    return tuple(
        Ranked(
            name=one.measure.name, value=one.saved, low=one.low, high=one.high,
            told=words(Number(one.saved, "energy"), display), quiet=not year.is_worth_it(one),
        )
        for one in year.savings
    )  # fmt: skip


def year_charts(year: YearResult, display: str = "metric") -> dict[str, Bars | Chart]:
    """The charts of a year by the name of their file: energy, and the water of each zone; none without a year."""
    if year.base is None:
        return {}
    charts: dict[str, Bars | Chart] = {"year_energy": energy_chart(year, display)}
    for one in year.base.spaces:
        for zone in dict.fromkeys(row.zone for row in one.rows):
            rows = tuple(row for row in one.rows if row.zone == zone)
            charts[f"year_water_{identifier(one.space)}_{identifier(zone)}"] = rows_chart(rows, display)
    return charts
