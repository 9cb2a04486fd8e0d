"""What warmth and damp mean: is every tank as warm as wanted in the design cold and in the hottest week.

Limits of harm are common practice and named so. Weather is a typical year: a rarer winter is colder.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from tankwright.checks.heat_cold import COLD_CHECKS
from tankwright.checks.heat_damp import DAMP_CHECKS
from tankwright.checks.heat_heaters import HEATER_CHECKS
from tankwright.checks.heat_hot import HOT_CHECKS
from tankwright.checks.heat_shared import (
    all_rests,
    kelvin,
    space_line,
    watt,
)
from tankwright.finding import Finding, Number, Severity
from tankwright.room.model import Room
from tankwright.systems.heat_model import HeatResult

SOON: Final = 6 * 3600.0
"""Time to a fall without power below which it is a warning: shorter than a night. Common practice, no source."""

LEAST_TOPPED: Final = 0.2
MOST_TOPPED: Final = 3.0
"""Times the law's evaporation between which a measured top-up is believed. Common practice, no source."""

Check = Callable[[Room, HeatResult], Iterator[Finding]]

WHAT_TO_WRITE: Final = (
    "write [climate], then [climate.room.NAME] with heat_to and heater, and [room.NAME.shell] with its walls; one"
    " empty [climate] is enough to begin with"
)


def check_heat(room: Room, result: HeatResult) -> tuple[Finding, ...]:
    """Everything there is to say about warmth and damp.

    >>> from tankwright.systems.heat import solve_heat
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> check_heat(empty, solve_heat(empty, None, {}))
    ()
    """
    return tuple(finding for check in CHECKS for finding in check(room, result))


def all_of_it_is_worked_out(room: Room, result: HeatResult) -> Iterator[Finding]:
    """HEAT-01: warmth and damp are worked out for every room and tank."""
    if not room.tanks:
        return
    for subject, reason in dict.fromkeys(result.not_computed):
        yield Finding(
            code="HEAT-01", severity=Severity.NOT_COMPUTED, subject=subject, text="was not worked out",
            reason=reason,
            remedy=WHAT_TO_WRITE if room.climate is None else "correct what the reason names",
            line=room.climate.line if room.climate is not None else None,
        )  # fmt: skip


def the_weather_is_named(room: Room, result: HeatResult) -> Iterator[Finding]:
    """HEAT-02: (always told) which year of weather it rests on, and that it is not your town."""
    if not result.spaces:
        return
    chosen = "" if result.named else ", as the plan names none"
    yield Finding(
        code="HEAT-02", severity=Severity.NOTE, subject="weather",
        text=f"is a {result.weather_source or result.weather}{chosen}; design cold {{cold}}",
        numbers=(("cold", kelvin(result.winter_design)),),
        reason="a typical year has no rare winter in it: the design cold is the one that 99.6 % of its hours exceed",
        remedy='put the EPW or TMY3 file of the station nearest to you beside the plan and write weather = "its name"',
        source="the weather file", line=room.climate.weather_line if room.climate is not None else None,
    )  # fmt: skip


def walls_are_said(room: Room, result: HeatResult) -> Iterator[Finding]:
    """HEAT-03: no wall, window or door of a room with tanks is assumed."""
    for space in result.spaces:
        if not space.assumed_walls or not any(space.tanks):
            continue
        names = [name.removeprefix(f"{space.space} ") for name in space.assumed_walls]
        yield Finding(
            code="HEAT-03", severity=Severity.NOTE, subject=f"room {space.space}",
            text=f"has {len(names)} parts of its shell assumed: {', '.join(names)}" if len(names) > 1
            else f"has a part of its shell assumed: {names[0]}",
            reason="its warmth leaves through them, and a U-value can be three times another",
            remedy=f"say what they are made of under [room.{space.space}.shell]",
            line=space_line(room, space.space), rests_on=all_rests(room, space.space),
        )  # fmt: skip


def top_up_is_believable(_room: Room, result: HeatResult) -> Iterator[Finding]:
    """HEAT-22: what was topped up is between a fifth and three times what the law gives; it stands before it."""
    for space, measured, factor in result.topped_up:
        odd = not LEAST_TOPPED <= factor <= MOST_TOPPED
        yield Finding(
            code="HEAT-22", severity=Severity.WARNING if odd else Severity.NOTE, subject=f"room {space}",
            text="evaporates as the {litres} a day topped up say: {times} times what law and lids give"
            + (", which is hard to believe" if odd else ""),
            numbers=(("litres", Number(measured.value * 86400.0, "volume")), ("times", Number(factor, "number"))),
            value=Number(factor, "number"), limit=Number(MOST_TOPPED if factor > 1.0 else LEAST_TOPPED, "number"),
            reason="published laws differ by two and a half times and a lid by ten; a measurement stands before them",
            remedy="measure again over a week, the drip off and nothing splashed or taken out" if odd
            else "measure again when lids or air have changed",
            source="Shah (2002) by the law; common practice, no source, for what is believed",
            line=measured.line,
        )  # fmt: skip


def a_power_cut_leaves_time(room: Room, result: HeatResult) -> Iterator[Finding]:
    """HEAT-18: no tank cools to its limit within three coldest days without power; a warning within 6 h."""
    reached = [row for row in result.tanks if row.cut_time is not None]
    if not reached:
        return
    first = min(reached, key=lambda row: row.cut_time or 0.0)
    soon = (first.cut_time or 0.0) < SOON
    space = next(one for one in result.spaces if one.space == first.space)
    places = tuple(row.tank for row in reached if (row.cut_time or 0.0) <= 1.25 * (first.cut_time or 0.0))
    yield Finding(
        code="HEAT-18", severity=Severity.WARNING if soon else Severity.NOTE, subject=f"tank {first.tank}",
        text="is the first to cool when the power fails on the coldest day: to {limit} in {time}",
        numbers=(
            ("limit", kelvin(first.cut_limit)), ("time", Number(first.cut_time or 0.0, "duration")),
            ("room", Number(space.time_constant, "duration")),
        ),
        value=Number(first.cut_time or 0.0, "duration"), limit=Number(SOON, "duration"),
        reason="nothing heats and no fan runs; the room as a whole gives up two thirds of its warmth over outdoors in"
        " {room}",
        remedy="lids and blankets, a heater that burns outside the room's air, or power from elsewhere",
        source="heat balance hour by hour; the limit is the lowest the zone wants, or 4 K less",
        places=places, rests_on=all_rests(room, first.space),
    )  # fmt: skip


def ways_of_heating_are_compared(room: Room, result: HeatResult) -> Iterator[Finding]:
    """HEAT-19: heaters in the tanks alone would not take a quarter less in the design cold than a warm room."""
    for space in result.spaces:
        ways = space.ways
        if ways is None or space.heat_to is None or ways.tank_way > 0.75 * ways.room_way:
            continue
        yield Finding(
            code="HEAT-19", severity=Severity.NOTE, subject=f"room {space.space}",
            text="takes {room} in the design cold to warm every tank by its air alone; heaters in the tanks alone"
            " would take {tank}, in air of {air}",
            numbers=(
                ("room", watt(ways.room_way)), ("tank", watt(ways.tank_way)), ("air", kelvin(ways.tank_way_air)),
                ("hot", kelvin(ways.hottest_tank)),
            ),
            value=watt(ways.room_way), limit=watt(ways.tank_way),
            reason="a warm room loses more through its shell, and warms the top row to {hot} before the bottom row has"
            " enough; one heater that fails is then felt in every tank, a tank's own in one",
            remedy="warm the room to what the coolest tank wants and leave the rest to heaters in tanks",
            source="heat balance in the design cold", line=space_line(room, space.space),
            rests_on=all_rests(room, space.space),
        )  # fmt: skip


CHECKS: Final[tuple[Check, ...]] = (
    all_of_it_is_worked_out, *COLD_CHECKS, *HEATER_CHECKS, *HOT_CHECKS, *DAMP_CHECKS, a_power_cut_leaves_time,
    walls_are_said, top_up_is_believable, ways_of_heating_are_compared, the_weather_is_named,
)  # fmt: skip
