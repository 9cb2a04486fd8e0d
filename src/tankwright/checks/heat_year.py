"""What a year of a room says: rows too warm or too cold, damp air, and what the year could not tell.

The year is worked out when it is asked for, so these are not among the findings of every check of a plan.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.finding import Finding, Number, Severity
from tankwright.room.model import Room
from tankwright.systems.heat_year import RoomYear, RowYear, SpaceYear
from tankwright.systems.heat_year_model import MANY, YearResult
from tankwright.units import Dimensionless, Kelvin
from tankwright.weather.model import HOURS

DAMP: Final = 0.05 * HOURS
"""Hours of a year, 438, over 80 % in the air before it is said. Surfaces are colder than the air, so they are damper
than it; mould on wood and paper begins at 75 to 80 % lasting. Source: common practice, no source."""

FAR: Final[Dimensionless] = 0.05
"""Difference of the year's heating with switching thermostats that is worth saying."""

WIDE: Final[Dimensionless] = 0.05
"""Half the width of the year's band, over the year, from which on it says what to measure."""

SCREENING: Final = "a screening under a year of weather that has been, not a forecast"
_WARM: Final = ("climate.gradient", "tank.temperature", "tank.wall_coat", "shell.shaded")
_DAMP: Final = ("climate.covered", "climate.bubbling", "climate.air_change")

_LAYERS: Final = ASSUMPTIONS["climate.gradient"]

Check = Callable[[Room, YearResult, RoomYear], Iterator[Finding]]


def check_year(room: Room, year: YearResult) -> tuple[Finding, ...]:
    """Everything there is to say about a year, worst first.

    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> [one.code for one in check_year(empty, YearResult(not_computed=(("cost", "no price", "say one"),)))]
    ['HEAT-51']
    """
    found = [*all_of_the_year_is_worked_out(year)]
    if year.base is not None:
        found += [one for check in CHECKS for one in check(room, year, year.base)]
    order = list(Severity)
    return tuple(sorted(found, key=lambda one: order.index(one.severity)))


def all_of_the_year_is_worked_out(year: YearResult) -> Iterator[Finding]:
    """HEAT-50 to HEAT-53: the year, its cost, the cost of its water, and what lights and pumps take are worked out."""
    codes = {
        "year": "HEAT-50",
        "cost": "HEAT-51",
        "cost of water": "HEAT-52",
        "lights and pumps": "HEAT-53",
    }
    for subject, reason, remedy in year.not_computed:
        yield Finding(
            code=codes[subject],
            severity=Severity.NOT_COMPUTED,
            subject=subject,
            text=f"not computed: {reason}",
            reason="a number made up would look like a result",
            remedy=remedy,
        )


def rows_are_as_warm_as_wanted(room: Room, year: YearResult, base: RoomYear) -> Iterator[Finding]:
    """HEAT-54 and HEAT-55: the top and the bottom row of every zone stay within what it wants, but for 88 hours."""
    for row in (row for one in base.spaces for row in one.rows):
        if row.high is not None and (row.water.hours_above or 0.0) > MANY:
            yield _outside(room, year, row, "HEAT-54", above=True)
        if row.low is not None and (row.water.hours_below or 0.0) > MANY:
            yield _outside(room, year, row, "HEAT-55", above=False)


def _outside(room: Room, year: YearResult, row: RowYear, code: str, *, above: bool) -> Finding:
    water = row.water
    hours = (water.hours_above if above else water.hours_below) or 0.0
    wanted = (row.high if above else row.low) or 0.0
    worst: Kelvin = max(water.highest) if above else min(water.lowest)
    side = "above" if above else "below"
    remedy = (
        "cool the room's air by {off} more in its hottest hours, let less light and sun in, or keep there what"
        " bears the warmth"
        if above
        else "give the row's tanks heaters, or larger ones, that hold {off} more in the coldest hours"
    )
    if _holds_somewhere(year, row, above=above):
        remedy = f"first measure, for inside the band of what is assumed it would do: {_LAYERS.measure}; then {remedy}"
    return Finding(
        code=code,
        severity=Severity.WARNING,
        subject=f"{row.row} row of {row.zone}",
        text=f"is {side} the {{wanted}} its zone wants in {{hours}} hours of the year, by {{off}} at most",
        numbers=(
            ("wanted", Number(wanted, "temperature")),
            ("hours", Number(float(round(hours)), "number")),
            ("off", Number(abs(worst - wanted), "temperature_difference")),
        ),
        value=Number(worst, "temperature"),
        limit=Number(wanted, "temperature"),
        reason=f"fish bear a warm or cold hour, hardly a warm or cold season; {SCREENING}",
        remedy=remedy,
        source="the range the plan gives for the zone",
        places=row.tanks,
        rests_on=_used(room, _WARM),
    )


def _holds_somewhere(year: YearResult, row: RowYear, *, above: bool) -> bool:
    """Whether the row stays within what is wanted at one end of the assumed difference between top and bottom."""
    for one in year.layered:
        there = one.row(row.space, row.zone, row.row)
        if there is not None:
            hours = there.water.hours_above if above else there.water.hours_below
            if (hours or 0.0) <= MANY:
                return True
    return False


def air_is_not_damp_for_long(room: Room, _: YearResult, base: RoomYear) -> Iterator[Finding]:
    """HEAT-56: the air of no room with tanks is over 80 % humid for more than 438 hours of the year."""
    for one in base.spaces:
        if one.rows and one.damp.hours_over[1] > DAMP:
            yield _damp(room, one, "HEAT-56")


def _damp(room: Room, one: SpaceYear, code: str) -> Finding:
    damp = one.damp
    return Finding(
        code=code,
        severity=Severity.WARNING,
        subject=f"air of {one.space}",
        text="is over 80 % humid in {hours} hours of the year, {share} at most; {water} evaporate from its tanks",
        numbers=(
            ("hours", Number(float(round(damp.hours_over[1])), "number")),
            ("share", Number(damp.most, "share")),
            ("water", Number(sum(damp.evaporated), "mass")),
        ),
        value=Number(damp.hours_over[1], "number"),
        limit=Number(DAMP, "number"),
        reason=f"walls are colder than the air and so damper still; mould follows; {_dries(room, one)}{SCREENING}",
        remedy="lids first: they keep most of the water in; then a dehumidifier, or a fan in the cold season",
        source="mould on wood and paper from 75 to 80 % lasting; common practice, no source",
        places=tuple(tank for row in one.rows for tank in row.tanks),
        rests_on=_used(room, _DAMP),
    )


def _dries(room: Room, one: SpaceYear) -> str:
    kept = room.climate.space(one.space) if room.climate is not None else None
    cooled = kept is not None and kept.cooler is not None
    return "what its cooler dries by the way is not counted; " if cooled else ""


def switching_thermostats_give_the_same_year(_: Room, year: YearResult, base: RoomYear) -> Iterator[Finding]:
    """HEAT-57: a year with thermostats that switch on and off takes the same energy, within a twentieth."""
    fine = year.fine
    if fine is None or not base.total > 0.0:
        return
    off = fine.total - base.total
    if abs(off) > FAR * base.total or not fine.settled:
        yield Finding(
            code="HEAT-57",
            severity=Severity.NOTE,
            subject="year",
            text="takes {off} more or less where heaters and coolers run five minutes at a time, full on or off",
            numbers=(("off", Number(abs(off) / base.total, "share")),),
            reason="a large machine overshoots in a room whose air stores little; a heater and a cooler then fight",
            remedy="leave more between heat_to and cool_to, or take machines that can give a part of their power",
        )


def the_year_stands_on_little_that_is_assumed(_: Room, year: YearResult, base: RoomYear) -> Iterator[Finding]:
    """HEAT-58: the year's energy hardly moves inside the bands of what is assumed of evaporation and leaks."""
    band = year.band
    if band is None or not year.spreads or not base.total > 0.0:
        return
    if (band[1] - band[0]) / 2.0 > WIDE * base.total:
        worst = year.spreads[0]
        row = ASSUMPTIONS[worst.key]
        yield Finding(
            code="HEAT-58",
            severity=Severity.NOTE,
            subject="year",
            text=f"takes {{low}} to {{high}}, by what is assumed of {row.what}",
            numbers=(("low", Number(worst.low, "energy")), ("high", Number(worst.high, "energy"))),
            reason="published ways to tell evaporation alone differ by more than two to one",
            remedy=f"measure: {row.measure}",
            source=row.source,
            rests_on=tuple(one.key for one in year.spreads),
        )


def _used(room: Room, keys: tuple[str, ...]) -> tuple[str, ...]:
    used = {known.key for known in room.assumed}
    return tuple(key for key in keys if key in used)


CHECKS: Final[tuple[Check, ...]] = (
    rows_are_as_warm_as_wanted,
    air_is_not_damp_for_long,
    switching_thermostats_give_the_same_year,
    the_year_stands_on_little_that_is_assumed,
)
