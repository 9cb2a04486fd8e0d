"""What warmth and damp mean: is every tank as warm as wanted in the design cold and in the hottest week.

Limits of harm are common practice and named so. Weather is a typical year: a rarer winter is colder.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from tankwright.checks.grouping import listed, verb
from tankwright.checks.heat_damp import DAMP_CHECKS
from tankwright.checks.heat_heaters import HEATER_CHECKS
from tankwright.checks.heat_shared import (
    THERMOMETERS,
    all_rests,
    by_gradient,
    difference,
    kelvin,
    space_line,
    wanted_rests,
    watt,
)
from tankwright.finding import Finding, Number, Severity
from tankwright.physics.constants import ICE_POINT
from tankwright.room.model import Room
from tankwright.systems.heat_model import HeatResult, SpaceHeat, TankHeat

FAR: Final = 3.0
"""K outside what is wanted from which on it is a problem, not a warning. Common practice, no source."""

SLACK: Final = 0.25
"""K within which a temperature counts as kept. Common practice, no source."""

SOON: Final = 6 * 3600.0
"""Time to a fall without power below which it is a warning: shorter than a night. Common practice, no source."""

OVER_WANTED: Final = 4.0

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


def something_heats(room: Room, result: HeatResult) -> Iterator[Finding]:
    """HEAT-07: no tank wants more warmth than a room has that nothing heats."""
    for space in result.spaces:
        cold = _unheated(result, space)
        if not cold:
            continue
        worst = min(cold, key=lambda row: row.coldest)
        ways = space.ways
        each = max(row.size for row in cold)
        ids = [row.tank for row in cold]
        yield Finding(
            code="HEAT-07", severity=Severity.PROBLEM, subject=listed(ids),
            text=f"{verb(ids, 'stands', 'stand')} in room {space.space}, where nothing heats air or water: {{least}}"
            f" in the coldest week ({worst.tank}), {{wanted}} wanted",
            numbers=(
                ("least", kelvin(worst.coldest)), ("wanted", kelvin(worst.low or worst.wanted.value)),
                ("each", watt(each)), ("room", watt(ways.room_way if ways is not None else 0.0)),
            ),
            value=kelvin(worst.coldest), limit=kelvin(worst.low or worst.wanted.value),
            reason="the house around it does not keep it warm enough",
            remedy="say what heats it, or put heaters of up to {each} into the tanks, or {room} into the room's air",
            source=f"heat balance through the coldest week of the weather ({result.weather})",
            line=space_line(room, space.space), places=tuple(ids),
            rests_on=(*all_rests(room, space.space), *wanted_rests(cold)),
        )  # fmt: skip


def _unheated(result: HeatResult, space: SpaceHeat) -> list[TankHeat]:
    if space.heat_to is not None:
        return []
    rows = [row for row in result.tanks if row.space == space.space and row.has is None]
    return [row for row in rows if row.coldest < _least(row) - SLACK]


def _least(row: TankHeat) -> float:
    return row.low if row.low is not None else row.wanted.value - 2.0


def cold_rows_are_warm_enough(room: Room, result: HeatResult) -> Iterator[Finding]:
    """HEAT-06: no tank falls below what is wanted in the coldest week although something heats."""
    for space in result.spaces:
        silent = {row.tank for row in _unheated(result, space)}
        cold = [
            row
            for row in result.tanks
            if row.space == space.space and row.tank not in silent and row.coldest < _least(row) - SLACK
        ]
        if not cold:
            continue
        worst = min(cold, key=lambda row: row.coldest - _least(row))
        short = _least(worst) - worst.coldest
        middle = space.week("coldest").air.mean()
        low_down = worst.room_air < space.day("coldest").air
        ids = [row.tank for row in cold]
        yield Finding(
            code="HEAT-06", severity=Severity.PROBLEM if short > FAR else Severity.WARNING, subject=listed(ids),
            text=f"{verb(ids, 'falls', 'fall')} to {{least}} in the coldest week ({worst.tank}), {{short}} below"
            " what is wanted at least" + (", on a low shelf" if low_down else ""),
            numbers=(
                ("least", kelvin(worst.coldest)), ("short", difference(short)), ("air", kelvin(float(middle))),
                ("need", watt(worst.size)),
            ),
            value=kelvin(worst.coldest), limit=kelvin(_least(worst)),
            reason="air by the floor is cooler than in the middle of the room ({air}), and open water cools itself by"
            " evaporating" + (THERMOMETERS if by_gradient(room, space, worst, worst.coldest) >= _least(worst) else ""),
            remedy="a heater of {need} in such a tank, a fan that mixes the air, a lid, or {short} more for the room",
            source=f"heat balance through the coldest week of the weather ({result.weather})",
            line=space_line(room, space.space), places=tuple(ids),
            rests_on=(*all_rests(room, space.space), *wanted_rests(cold)),
        )  # fmt: skip


def nothing_freezes(room: Room, result: HeatResult) -> Iterator[Finding]:
    """HEAT-21: no tank freezes in the coldest week."""
    for space in result.spaces:
        frozen = [row for row in result.tanks if row.space == space.space and row.coldest < ICE_POINT]
        if not frozen:
            continue
        ids = [row.tank for row in frozen]
        yield Finding(
            code="HEAT-21", severity=Severity.PROBLEM, subject=listed(ids),
            text=f"{verb(ids, 'freezes', 'freeze')} in the coldest week of room {space.space}",
            reason="ice is not worked out here: what is told below {zero} only says that there is some, and it breaks"
            " glass",
            numbers=(("zero", kelvin(ICE_POINT)),),
            remedy="heat the room, or empty the tanks before winter", source=f"weather of {result.weather}",
            line=space_line(room, space.space), places=tuple(ids), rests_on=all_rests(room, space.space),
        )  # fmt: skip


def hot_rows_are_cool_enough(room: Room, result: HeatResult) -> Iterator[Finding]:
    """HEAT-09: no tank rises above what is wanted in the hottest week."""
    for space in result.spaces:
        hot = [row for row in result.tanks if row.space == space.space and row.hottest > _most(row) + SLACK]
        if not hot:
            continue
        worst = max(hot, key=lambda row: row.hottest - _most(row))
        over = worst.hottest - _most(worst)
        cooling = space.cooling
        ids = [row.tank for row in hot]
        size = cooling.sensible + cooling.latent
        yield Finding(
            code="HEAT-09", severity=Severity.PROBLEM if over > FAR else Severity.WARNING, subject=listed(ids),
            text=f"{verb(ids, 'rises', 'rise')} to {{most}} in the hottest week ({worst.tank}), {{over}} above"
            " what is wanted at most, for {hours} of it",
            numbers=(
                ("most", kelvin(worst.hottest)), ("over", difference(over)),
                ("hours", Number(worst.hot_hours * 3600.0, "duration")), ("size", watt(size)),
                ("air", kelvin(space.cool_air)),
            ),
            value=kelvin(worst.hottest), limit=kelvin(_most(worst)),
            reason="warm air collects under the ceiling, and warm water holds less oxygen while fish need more"
            + (THERMOMETERS if by_gradient(room, space, worst, worst.hottest) <= _most(worst) else ""),
            remedy=("set the cooler to {air}" if cooling.asked else "a cooler of about {size} that holds {air}")
            + ", shade for roof and windows, or cool air through the room at night",
            source=f"heat balance through the hottest week of the weather ({result.weather})",
            line=space_line(room, space.space), places=tuple(ids),
            rests_on=(*all_rests(room, space.space), *wanted_rests(hot)),
        )  # fmt: skip


def _most(row: TankHeat) -> float:
    return row.high if row.high is not None else row.wanted.value + OVER_WANTED


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
    all_of_it_is_worked_out, something_heats, *HEATER_CHECKS, nothing_freezes, cold_rows_are_warm_enough,
    hot_rows_are_cool_enough, *DAMP_CHECKS, a_power_cut_leaves_time, walls_are_said, ways_of_heating_are_compared,
    the_weather_is_named,
)  # fmt: skip
