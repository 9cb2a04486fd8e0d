"""Water tests made short: day 0 is the first of May, values in the usual unit of each quantity."""

from __future__ import annotations

from collections.abc import Iterable

from tankwright.husbandry.facts import water_tested
from tankwright.husbandry.records import Draft, Event, Observed
from tankwright.husbandry.register import Place
from tankwright.husbandry.water_causes import causes_of
from tankwright.husbandry.water_limits import WaterLimit, all_limits
from tankwright.husbandry.water_readings import WaterReading, WaterSeries, reads_of, water_series
from tankwright.husbandry.water_verdicts import Setting, WaterVerdict, water_verdicts
from tankwright.systems.water_life_model import TankNitrogen

from .happenings import FIRST, as_events, day

UNITS = {"ph": "", "kh": "°dH", "gh": "°dH", "temperature": "°C"}


def noted(
    quantity: str, values: Iterable[tuple[float, float]], place: str = "p", method: str = ""
) -> list[Draft]:
    """A test on each (day, value)."""
    unit = UNITS.get(quantity, "mg/L")
    return [
        water_tested(
            place, day(number), (Observed(quantity=quantity, value=value, unit=unit, method=method),)
        )
        for number, value in values
    ]


def series_of(*drafts: list[Draft]) -> tuple[WaterSeries, ...]:
    """The series some tests make; none of them is left out."""
    found, wrong = water_series(reads_of(as_events(one for some in drafts for one in some)))
    assert wrong == ()
    return found


def readings(quantity: str, values: Iterable[tuple[float, float]]) -> tuple[WaterReading, ...]:
    """The readings of one quantity."""
    return series_of(noted(quantity, values))[0].readings


def verdicts(
    now: float,
    *drafts: list[Draft],
    limits: tuple[WaterLimit, ...] | None = None,
    design: TankNitrogen | None = None,
) -> dict[str, WaterVerdict]:
    """The verdicts on tank A1 on a day, by quantity; its limits are those of a tank without a zone unless given."""
    events: tuple[Event, ...] = as_events(one for some in drafts for one in some)
    found, _ = water_series(reads_of(events))
    place = Place(id="p", label="A1", kind="tank", opened=FIRST)
    setting = Setting(
        now=day(now), limits={"A1": limits} if limits is not None else all_limits(None, ("A1",)),
        causes=causes_of(events), design={"A1": design} if design is not None else None,
    )  # fmt: skip
    return {one.quantity.key: one for one in water_verdicts((place,), found, setting)}
