"""Heaters and coolers: large enough, able to hold what they are set to, and not deadly when one sticks."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from tankwright.checks.grouping import listed, verb
from tankwright.checks.heat_shared import (
    SPARE,
    all_rests,
    climate_of,
    difference,
    kelvin,
    shell_rests,
    space_line,
    tank_rests,
    to_buy,
    watt,
)
from tankwright.finding import Finding, Number, Severity
from tankwright.room.model import Room
from tankwright.systems.heat_model import HeatResult, SpaceHeat, TankHeat

NEVER_ON: Final = 0.3
"""K by which a tank stays above its heater's setting through the coldest week. Common practice, no source."""

DEADLY: Final = "34 °C, or 4 K over the most its zone wants; common practice, no source"


def room_heaters_are_large_enough(room: Room, result: HeatResult) -> Iterator[Finding]:
    """HEAT-04: the heater of every room holds what it is set to in the design cold, with a quarter to spare."""
    for space in result.spaces:
        need = space.heat_need
        if need is None or space.heat_to is None or space.heat_has >= SPARE * need:
            continue
        low, high = space.need_band
        short = space.heat_has < need
        absent = space.heat_has <= 0.0
        reached = space.day("coldest").air
        yield Finding(
            code="HEAT-04", severity=Severity.PROBLEM if short else Severity.WARNING,
            subject=f"room {space.space}",
            text=("is to be held at {set}, and nothing is said that heats it: " if absent else
                  "has {has} to hold {set}; " if short else "has {has} to hold {set}, with little to spare: ")
            + "the design cold asks for {need}" + (", so its air falls to {air}" if short else ""),
            numbers=(
                ("has", watt(space.heat_has)), ("set", kelvin(space.heat_to.value)), ("need", watt(need)),
                ("air", kelvin(reached)), ("size", to_buy(SPARE * need)), ("low", watt(low)), ("high", watt(high)),
            ),
            value=watt(space.heat_has), limit=watt(need),
            reason="U times area from air to air, leaks, evaporation and new water, without sun, people and lights"
            + _undecided(space, low, high),
            remedy="a heater of {size}, or less loss: the list of losses on the page of warmth says where",
            source=f"heat balance at the design cold of {result.weather}", line=space.heat_to.line,
            places=(space.space,), rests_on=shell_rests(room, space.space),
        )  # fmt: skip


def _undecided(space: SpaceHeat, low: float, high: float) -> str:
    if low < space.heat_has < high:
        return "; what is assumed of walls and leaks lies between {low} and {high}, so the verdict waits for them"
    return ""


def tank_heaters_are_large_enough(room: Room, result: HeatResult) -> Iterator[Finding]:
    """HEAT-05 for each room: those short, then those with little to spare."""
    for space in result.spaces:
        weak = [
            row for row in result.tanks
            if row.space == space.space and row.has is not None and row.has < SPARE * row.need
        ]  # fmt: skip
        for short in (True, False):
            rows = [row for row in weak if ((row.has or 0.0) < row.need) == short]
            if rows:
                yield _weak(room, result, space, rows, short=short)


def _weak(room: Room, result: HeatResult, space: SpaceHeat, rows: list[TankHeat], *, short: bool) -> Finding:
    """HEAT-05: every heater in a tank gives what the tank loses in the design cold, with a quarter to spare."""
    worst = max(rows, key=lambda row: row.need - (row.has or 0.0))
    ids = [row.tank for row in rows]
    return Finding(
        code="HEAT-05", severity=Severity.PROBLEM if short else Severity.WARNING, subject=listed(ids),
        text=f"{verb(ids, 'has a heater', 'have heaters')} too small for the design cold: {{has}} where {{need}} are"
        f" lost ({worst.tank})" if short else
        f"{verb(ids, 'has a heater', 'have heaters')} with little to spare in the design cold: {{has}} where {{need}}"
        f" are lost ({worst.tank})",
        numbers=(
            ("has", watt(worst.has or 0.0)), ("need", watt(worst.need)),
            ("size", to_buy(max(row.size for row in rows))),
            ("air", kelvin(worst.room_air)),
        ),
        value=watt(worst.has or 0.0), limit=watt(worst.need),
        reason="panes, surface, evaporation and new water at the air about it, {air}",
        remedy="{size}, with margin and a warm-up of 3 K in a day, best as two of half that; a lid; or a warmer room",
        source=f"heat balance at the design cold of {result.weather}", line=space_line(room, space.space),
        places=tuple(ids), rests_on=all_rests(room, space.space),
    )  # fmt: skip


def a_stuck_heater_does_not_kill(room: Room, result: HeatResult) -> Iterator[Finding]:
    """HEAT-08: no tank ends above what fish bear if one of its heaters sticks on on the hottest day."""
    for space in result.spaces:
        deadly = [
            row for row in result.tanks
            if row.space == space.space and row.stuck is not None and row.stuck.to_limit is not None
        ]  # fmt: skip
        if not deadly:
            continue
        worst = max(deadly, key=lambda row: row.stuck.final if row.stuck is not None else 0.0)
        stuck = worst.stuck
        assert stuck is not None  # what is deadly has one
        enough = stuck.halved < stuck.limit
        ids = [row.tank for row in deadly]
        yield Finding(
            code="HEAT-08", severity=Severity.WARNING, subject=listed(ids),
            text=f"{verb(ids, 'has a heater that ends', 'have heaters that end')} above what fish bear if one sticks on"
            f" the hottest day: {{final}} ({worst.tank}, {{power}}), past {{limit}} "
            + ("after {time}" if stuck.to_limit else "as it is by then even without"),
            numbers=(
                ("final", kelvin(stuck.final)), ("power", watt(stuck.power)), ("limit", kelvin(stuck.limit)),
                ("time", Number(stuck.to_limit or 0.0, "duration")), ("half", kelvin(stuck.halved)),
            ),
            value=kelvin(stuck.final), limit=kelvin(stuck.limit),
            reason="a thermostat that welds shut is a common way for a heater to fail; half the power ends at {half}",
            remedy=("two heaters of half the power, one of which alone stays below, or " if enough else "")
            + "a second thermostat in its supply that cuts off",
            source=f"heat balance; {DEADLY}", line=space_line(room, space.space), places=tuple(ids),
            rests_on=tank_rests(room, space.space),
        )  # fmt: skip


def settings_can_be_held(room: Room, result: HeatResult) -> Iterator[Finding]:
    """HEAT-12: no heater is set below the coldest its tank ever gets."""
    for space in result.spaces:
        idle = [
            row for row in result.tanks
            if row.space == space.space and row.holds is not None and row.coldest > row.holds + NEVER_ON
        ]  # fmt: skip
        if not idle:
            continue
        worst = max(idle, key=lambda row: row.coldest - (row.holds or 0.0))
        ids = [row.tank for row in idle]
        yield Finding(
            code="HEAT-12", severity=Severity.WARNING, subject=listed(ids),
            text=f"{verb(ids, 'is set to', 'are set to')} {{set}}, but never {verb(ids, 'falls', 'fall')} below"
            f" {{least}} in the coldest week ({worst.tank})",
            numbers=(
                ("set", kelvin(worst.holds or 0.0)), ("least", kelvin(worst.coldest)),
                ("wanted", kelvin(max(row.wanted.value for row in idle))),
                ("gap", difference(worst.coldest - (worst.holds or 0.0))),
            ),
            value=kelvin(worst.holds or 0.0), limit=kelvin(worst.coldest),
            reason="a heater only warms: a setting below the coldest possible holds nothing",
            remedy="set it to what the tank is to have, {wanted}"
            if worst.low is not None and (worst.holds or 0.0) < worst.low
            else "heat the room {gap} less, move the tank to a lower shelf, or leave its heater out",
            source=f"heat balance through the coldest week of the weather ({result.weather})",
            line=space_line(room, space.space), places=tuple(ids), rests_on=all_rests(room, space.space),
        )  # fmt: skip


def machines_are_set(room: Room, result: HeatResult) -> Iterator[Finding]:
    """HEAT-23: every heater and cooler of a room has a temperature it is to hold."""
    for space in result.spaces:
        kept = climate_of(room, space)
        if kept is None:
            continue
        for machine, set_to, name, key in (
            (kept.heater, kept.heat_to, "heater", "heat_to"), (kept.cooler, kept.cool_to, "cooler", "cool_to"),
        ):  # fmt: skip
            if machine is None or set_to is not None:
                continue
            yield Finding(
                code="HEAT-23", severity=Severity.NOT_COMPUTED, subject=f"room {space.space}",
                text=f"has a {name} of {{power}} that counts as off: nothing says what temperature it is to hold",
                numbers=(("power", watt(machine.rating.value * machine.count)),
                         ("set", kelvin(297.15 if name == "heater" else space.cool_air))),
                reason="a temperature made up for it would look like yours",
                remedy=f"write {key}, such as {{set}}, under [climate.room.{space.space}]", line=machine.line,
            )  # fmt: skip


def heaters_are_told(room: Room, result: HeatResult) -> Iterator[Finding]:
    """HEAT-20: what heats and is plugged in is told by a table that says which air or water it warms."""
    if room.power is None or not result.spaces:
        return
    told = any(space.heat_has > 0.0 for space in result.spaces) or any(row.has for row in result.tanks)
    loads = [load for board in room.power.boards for load in board.loads if load.does == "heat"]
    if told or not loads:
        return
    power = sum(load.power.value * load.count for load in loads)
    yield Finding(
        code="HEAT-20", severity=Severity.NOTE, subject=listed([load.name for load in loads], "load"),
        text=f"{verb([load.name for load in loads], 'heats', 'heat')} by {{power}}, which is left out here",
        numbers=(("power", watt(power)),),
        reason="the power plan does not say whether air or a tank is warmed, nor to what",
        remedy="write heater and heat_to under [climate.room.NAME], or heater in the tanks' kind",
        line=loads[0].line,
    )  # fmt: skip


HEATER_CHECKS: Final[tuple[Callable[[Room, HeatResult], Iterator[Finding]], ...]] = (
    room_heaters_are_large_enough, tank_heaters_are_large_enough, a_stuck_heater_does_not_kill, settings_can_be_held,
    machines_are_set, heaters_are_told,
)  # fmt: skip
