"""Tests of water as series: from events to what was read of one quantity in one place, oldest first."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from itertools import pairwise
from typing import Final, Protocol

from tankwright.finding import Finding, Severity
from tankwright.husbandry.records import Event
from tankwright.husbandry.register import Holding, Stock
from tankwright.husbandry.water_quantities import (
    QUANTITIES,
    QuantityError,
    WaterQuantity,
    in_si,
    quantity_called,
    range_of,
)

DAY: Final = 86400.0
UNREADABLE: Final = "TREND-15"


class Read(Protocol):
    """One thing read, as the logbook has it."""

    @property
    def place(self) -> str:
        """Where."""

    @property
    def quantity(self) -> str:
        """What."""

    @property
    def happened(self) -> datetime:
        """When."""

    @property
    def value(self) -> float | None:
        """What was read off."""

    @property
    def low(self) -> float | None:
        """At least, where it was noted."""

    @property
    def high(self) -> float | None:
        """At most, where it was noted."""

    @property
    def unit(self) -> str:
        """In what."""

    @property
    def method(self) -> str:
        """How."""

    @property
    def event(self) -> str:
        """Where it stands."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Seen:
    """A thing read at an event."""

    place: str
    quantity: str
    happened: datetime
    value: float | None
    low: float | None
    high: float | None
    unit: str
    method: str
    event: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterReading:
    """One test, in SI: what was read, and between what the truth lies. `event` is where it stands in the logbook."""

    at: datetime
    value: float
    low: float
    high: float
    event: str = ""
    unit: str = ""
    method: str = ""

    @property
    def middle(self) -> float:
        """The middle of what it may be: what a chart and an average take."""
        return (self.low + self.high) / 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterSeries:
    """What was read of one quantity in one place, oldest first; `place` is an id of the register."""

    place: str
    quantity: WaterQuantity
    readings: tuple[WaterReading, ...]

    @property
    def last(self) -> WaterReading:
        """The newest."""
        return self.readings[-1]

    def days(self) -> tuple[float, ...]:
        """When each was made, in days after the first."""
        return days_after(self.readings)

    def since(self, moment: datetime | None) -> tuple[WaterReading, ...]:
        """Those made at a moment or later; all of them for None."""
        return self.readings if moment is None else tuple(one for one in self.readings if one.at >= moment)


def days_after(readings: Sequence[WaterReading]) -> tuple[float, ...]:
    """When each of some readings was made, in days after the first of them."""
    if not readings:
        return ()
    first = readings[0].at
    return tuple((one.at - first).total_seconds() / DAY for one in readings)


def reading_of(one: Read) -> tuple[WaterQuantity, WaterReading] | Finding | None:
    """What a thing read says of the water: a reading, why it cannot be read, or None when it is no test of water.

    Bounds that were noted with it count; otherwise they follow from how such tests are read.

    >>> from datetime import UTC
    >>> from tankwright.husbandry.records import Observed
    >>> warm = Observed(quantity="temperature", value=77.0, unit="°F")
    >>> event = Event(kind="tested", happened=datetime(2026, 8, 2, tzinfo=UTC), id="e", serial=1, who="Ada",
    ...               recorded=datetime(2026, 8, 2, tzinfo=UTC), place="p", observed=(warm,))
    >>> _, found = reading_of(reads_of((event,))[0])
    >>> round(found.value, 2), round(found.high - found.value, 2)
    (298.15, 0.5)
    """
    quantity = quantity_called(one.quantity)
    if quantity is None or (one.value is None and one.low is None and one.high is None):
        return None
    unit = one.unit.strip()
    try:
        return quantity, _reading(one, quantity, unit or quantity.unit)
    except QuantityError as error:
        return Finding(
            code=UNREADABLE, severity=Severity.NOT_COMPUTED, subject=quantity.name,
            text=f"a test is left out: {error.text}", found=error.found, wanted=error.wanted,
            reason="its unit is unknown, or it is beyond what can be", remedy="correct the entry",
        )  # fmt: skip


def _reading(one: Read, quantity: WaterQuantity, unit: str) -> WaterReading:
    value, low, high = _in_si(quantity.key, one.value, one.low, one.high, unit, one.method)
    return WaterReading(
        at=one.happened, value=value, low=low, high=high, event=one.event, unit=unit, method=one.method
    )


@lru_cache(maxsize=8192)  # kits have few steps: a room reads the same few hundred values for years
def _in_si(
    key: str, read: float | None, low: float | None, high: float | None, unit: str, method: str
) -> tuple[float, float, float]:
    """A reading and its ends in SI. Raises QuantityError."""
    quantity, value = QUANTITIES[key], read
    if value is None:
        value = high if low is None else low if high is None else (low + high) / 2.0
    assert value is not None  # one of the three is there
    if not all(math.isfinite(number) for number in (value, low or 0.0, high or 0.0)):
        raise _beyond(f"{value:g} {unit}".strip())
    between = range_of(quantity, value, unit, method)
    if low is None and read is None and quantity.dimension != "temperature":
        low = 0.0  # "less than so much" was all that was noted
    low = between[0] if low is None else min(low, value)
    high = between[1] if high is None else max(high, value)
    least, most = quantity.reach
    found, at_least, at_most = (in_si(number, unit, quantity.dimension) for number in (value, low, high))
    if not least <= found <= most:
        raise _beyond(f"{value:g} {unit}".strip())
    return found, at_least, at_most


def _beyond(told: str) -> QuantityError:
    return QuantityError(
        UNREADABLE, f"{told} is beyond what can be", found=told, wanted="a number that is read off"
    )


def water_series(reads: Iterable[Read]) -> tuple[tuple[WaterSeries, ...], tuple[Finding, ...]]:
    """Every series of tests by place and quantity, and what could not be read; they may come in any order.

    Tests of no place are of the room as a whole, under "". Of two tests of one quantity at one moment both count.

    >>> water_series(())
    ((), ())
    """
    found: dict[tuple[str, str], list[WaterReading]] = {}
    wrong: list[Finding] = []
    for one in reads:
        read = reading_of(one)
        if isinstance(read, Finding):
            wrong.append(read)
        elif read is not None:
            found.setdefault((one.place, read[0].key), []).append(read[1])
    order = {key: number for number, key in enumerate(QUANTITIES)}
    made = (
        WaterSeries(
            place=place, quantity=QUANTITIES[key],
            readings=tuple(sorted(rows, key=lambda row: (row.at, row.event, row.value))),
        )
        for (place, key), rows in found.items()
    )  # fmt: skip
    return tuple(sorted(made, key=lambda one: (one.place, order[one.quantity.key]))), tuple(wrong)


def reads_of(events: Iterable[Event]) -> tuple[Read, ...]:
    """What was read at some events, each thing by itself."""
    return tuple(
        _Seen(
            place=event.place, quantity=one.quantity, happened=event.happened, value=one.value, low=one.low,
            high=one.high, unit=one.unit, method=one.method, event=event.id,
        )
        for event in events
        for one in event.observed
    )  # fmt: skip


def places_of_line(line: str, stocks: Iterable[Stock], holdings: Iterable[Holding]) -> tuple[str, ...]:
    """Places where fish of a line are now, each once: its water is theirs.

    >>> places_of_line("guppy", (), ())
    ()
    """
    own = {stock.id for stock in stocks if stock.line == line}
    return tuple(dict.fromkeys(one.place for one in holdings if one.stock in own and one.held > 0))


def by_place(series: Iterable[WaterSeries]) -> Mapping[str, Mapping[str, WaterSeries]]:
    """Series by place and then by the key of their quantity."""
    found: dict[str, dict[str, WaterSeries]] = {}
    for one in series:
        found.setdefault(one.place, {})[one.quantity.key] = one
    return found


def usual_gap(readings: Sequence[WaterReading]) -> float | None:
    """Days from one test to the next, as is usual of late: the middle one of the last eight gaps. None for fewer than
    two tests; tests of one day count as one.

    >>> usual_gap(())
    """
    days = sorted({one.at.date() for one in readings})[-9:]
    gaps = sorted((later - earlier).days for earlier, later in pairwise(days))
    if not gaps:
        return None
    half = len(gaps) // 2
    return float(gaps[half] if len(gaps) % 2 else (gaps[half - 1] + gaps[half]) / 2.0)
