"""A space of the heat engine with what a fault changes in it: tanks that are followed by themselves beside groups of
alike ones, heaters that stick or are dead, machines without power.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.faults.electric import (
    dead_heaters,
    dead_loads,
    dead_pumps,
    dead_room_coolers,
    dead_room_heaters,
    power_is_cut,
)
from tankwright.faults.model import Array, WaterCourse
from tankwright.faults.warmth_routine import Routine, loads_heat_through_the_day
from tankwright.faults.warmth_water import Waters, falls_under
from tankwright.physics.constants import WATER_DENSITY
from tankwright.room.model import Room, Tank
from tankwright.systems import heat_gains as gains
from tankwright.systems.heat_build import AIR_HEAT
from tankwright.systems.heat_groups import WATER_HEAT
from tankwright.thermal.model import Drive, HeatRoom, Plant, Vessel
from tankwright.units import Kelvin, Metre, Second, Watt

Flags = NDArray[np.bool_]

DRY: Final = 0.02
"""Share of its water under which a tank is dry: nothing evaporates, what comes in runs off over its glass, and the air
is at all of its panes."""

LEAST: Final = 0.02
"""Share of its heat store and link that a tank keeps however little water is left: its glass."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeaterState:
    """What a tank's heaters do: `gain` W whatever the thermostat says, `power` W held at `holds`."""

    gain: Watt
    power: Watt
    holds: Kelvin


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Part:
    """Tanks that are alike and stay so: one vessel. `columns` are theirs in the course, `group` is theirs in the
    healthy room.

    `flow` (W/K), `hand` (share of it that comes from a hose), `more` (J/K of water beyond the usual) and `link` (W/K)
    have one value a stretch of time, and so have `dry` and `heats` (the heater is under water); None: as healthy.
    """

    group: int
    columns: tuple[int, ...]
    heater: HeaterState
    surface: float
    flow: Array | None = None
    hand: Array | None = None
    more: Array | None = None
    link: Array | None = None
    dry: Flags | None = None
    heats: Flags | None = None

    def vessel(self, healthy: Vessel, number: int) -> Vessel:
        """The vessel of the engine in one stretch of time."""
        vessel = replace(
            healthy,
            count=len(self.columns),
            open_surface=healthy.open_surface * self.surface,
            set_point=self.heater.holds,
            heater_power=self.heater.power if self.is_heated(number) else 0.0,
        )
        if self.flow is None or self.more is None or self.link is None or self.dry is None:
            return vessel
        left = max(healthy.capacity + float(self.more[number]), LEAST * healthy.capacity)
        return replace(
            vessel,
            flow=float(self.flow[number]),
            capacity=left,
            to_air=float(self.link[number]),
            open_surface=0.0 if self.dry[number] else vessel.open_surface,
        )

    def gain(self, number: int) -> Watt:
        """Heat whatever a thermostat says, W into each tank."""
        return self.heater.gain if self.is_heated(number) else 0.0

    def is_heated(self, number: int) -> bool:
        """Whether its heater is under water."""
        return self.heats is None or bool(self.heats[number])


def heater_top(room: Room, tank: Tank) -> Metre:
    """Height of the upper end of a tank's heater in the frame of the room."""
    life = next((one for one in room.lives if one.tank == tank.id), None)
    top = life.heater.top if life is not None and life.heater is not None else None
    return tank.floor_inside + (top or ASSUMPTIONS["heater.top"].known()).value


def heater_states(routine: Routine, ill: Room) -> dict[str, HeaterState]:
    """What is not as it was with the heaters of tanks: one that sticks, one of several that is dead, or all of them.

    Of several heaters in a tank one breaks. One that sticks stops at `cuts_out_at` of its own, where it has that.
    """
    dead = dead_heaters(ill)
    lives = {life.tank: life for life in routine.built.room.lives}
    needs = routine.run.vessel_heating.max(axis=0, initial=0.0)
    found: dict[str, HeaterState] = {}
    for number, group in enumerate(routine.built.groups):
        for tank in group.tanks:
            heater = lives[tank].heater if tank in lives else None
            if heater is None:
                continue
            one, count, holds = heater.power.value, heater.count, heater.holds.value
            kinds = {broken.kind for broken in ill.broken if broken.what == tank}
            if tank in dead:
                found[tank] = HeaterState(gain=0.0, power=0.0, holds=holds)
            elif "heater on" in kinds:
                stops = heater.cuts_out_at
                if stops is not None and (count == 1 or one >= float(needs[number])):
                    found[tank] = HeaterState(gain=0.0, power=one, holds=max(stops.value, holds))
                else:
                    found[tank] = HeaterState(gain=one, power=one * (count - 1), holds=holds)
            elif "heater off" in kinds:
                found[tank] = HeaterState(gain=0.0, power=one * (count - 1), holds=holds)
    return found


def still_tanks(healthy: Room, ill: Room) -> frozenset[str]:
    """Tanks that bubble when all is well and do no more: every pump of their rings stands still."""
    dead = dead_pumps(ill)
    if not dead:
        return frozenset()
    reserve = {pump.id for pump in healthy.pumps if pump.reserve}
    still: set[str] = set()
    bubbling: set[str] = set()
    for run in healthy.airs:
        tanks = {tap.tank for tap in run.taps if tap.tank is not None and tap.open}
        running = [pump for pump in run.pumps if pump not in reserve]
        if running and dead.issuperset(running):
            still |= tanks
        else:
            bubbling |= tanks
    return frozenset(still - bubbling)


# --- tanks that stay alike ----------------------------------------------------------------------------------------


def parts_of(
    routine: Routine,
    ill: Room,
    water: WaterCourse,
    waters: Waters,
    warmth: Array,
    heaters: dict[str, HeaterState],
) -> tuple[Part, ...]:
    """The tanks of a space, those that are alike, do alike and stand alike warm as one. `warmth` is each tank's water
    to begin with, in the order of the course."""
    built = routine.built
    column = {name: number for number, name in enumerate(water.tanks)}
    followed = {tank: number for number, tank in enumerate(waters.tanks)}
    still = still_tanks(built.room, ill)
    less = built.room.climate.bubbling.value if built.room.climate is not None else 1.0
    coat = built.room.laws.wall_coat.value if built.room.laws is not None else 7.4
    alike: dict[tuple[object, ...], list[tuple[int, Part]]] = {}
    for number, group in enumerate(built.groups):
        vessel = group.vessel
        healthy = HeaterState(gain=0.0, power=vessel.heater_power, holds=vessel.set_point)
        for name in group.tanks:
            here = column[name]
            surface = 1.0 / less if group.bubbling and name in still and less > 0.0 else 1.0
            part = Part(group=number, columns=(here,), heater=heaters.get(name, healthy), surface=surface)
            key: tuple[object, ...] = (number, part.heater, surface, round(float(warmth[here]), 2))
            if here in followed:
                part = _with_water(part, built.room.tank(name), vessel, waters, followed[here], coat)
                part = replace(part, heats=_under_water(built.room, water, waters, here, part.heater))
                key += _profile(part, vessel)
            alike.setdefault(key, []).append((here, part))
    return tuple(_together([part for _, part in members]) for members in alike.values())


def _with_water(part: Part, tank: Tank, vessel: Vessel, waters: Waters, index: int, coat: float) -> Part:
    feed, hand = waters.feed[:, index], waters.hand[:, index]
    whole = feed + hand
    wet = 2.0 * (tank.length + tank.depth) * (waters.level[:, index] - tank.level)
    more = (waters.volume[:, index] - tank.water_volume) * WATER_DENSITY * WATER_HEAT
    dry = waters.volume[:, index] < DRY * tank.water_volume
    return replace(
        part,
        flow=np.where(dry, 0.0, whole * WATER_DENSITY * WATER_HEAT),
        hand=np.divide(hand, whole, out=np.zeros(len(whole)), where=whole > 0.0),
        more=more,
        link=np.where(dry, vessel.to_air, np.maximum(vessel.to_air + coat * wet, LEAST * vessel.to_air)),
        dry=dry,
    )


def _under_water(
    room: Room, water: WaterCourse, waters: Waters, column: int, heater: HeaterState
) -> Flags | None:
    """In which stretches a heater is under water; None: in all of them, or there is none."""
    if heater.power + heater.gain <= 0.0:
        return None
    top = heater_top(room, room.tank(water.tanks[column]))
    if falls_under(water, column, top) is None:
        return None
    index = waters.tanks.index(column)
    return np.asarray(waters.level[:, index] >= top)


def _profile(part: Part, vessel: Vessel) -> tuple[object, ...]:
    """What tanks of one group must share to be followed as one: inflow within some percent, water within some."""
    assert part.flow is not None
    assert part.hand is not None
    assert part.more is not None
    unit = max(0.05 * float(part.flow.max()), 0.02 * vessel.to_air)
    return (
        tuple(np.round(part.flow / unit).astype(int)),
        tuple(np.round(part.hand, 1)),
        tuple(np.round(part.more / (0.05 * vessel.capacity)).astype(int)),
        None if part.heats is None else tuple(part.heats),
    )


def _together(members: Sequence[Part]) -> Part:
    first = members[0]
    if first.flow is None:
        return replace(first, columns=tuple(one.columns[0] for one in members))

    def mean(values: Sequence[Array | None]) -> Array:
        return np.asarray(np.mean([one for one in values if one is not None], axis=0))

    return replace(
        first,
        columns=tuple(one.columns[0] for one in members),
        flow=mean([one.flow for one in members]),
        hand=mean([one.hand for one in members]),
        more=mean([one.more for one in members]),
        link=mean([one.link for one in members]),
    )


# --- the room's own -----------------------------------------------------------------------------------------------


def broken_plant(routine: Routine, ill: Room) -> Plant:
    """The machines of a space that still run."""
    plant, space = routine.built.heat_room.plant, routine.built.id
    return replace(
        plant,
        heating_power=0.0 if space in dead_room_heaters(ill) else plant.heating_power,
        cooling_power=0.0 if space in dead_room_coolers(ill) else plant.cooling_power,
        drying_rate=0.0 if power_is_cut(ill) else plant.drying_rate,
    )


def broken_drive(routine: Routine, ill: Room) -> Drive:
    """What acts on a space through the day with loads dead or stuck, and nobody there in a power cut."""
    built, drive = routine.built, routine.drive
    change = loads_heat_through_the_day(loaded(built.room, ill), built.id) - loads_heat_through_the_day(
        built.room, built.id
    )
    if not power_is_cut(ill):
        return replace(drive, air_gain=drive.air_gain + change) if change.any() else drive
    people = built.climate.people_hours.value / 24.0
    return replace(
        drive,
        air_gain=drive.air_gain + change - people * gains.PERSON_HEAT,
        moisture_gain=0.0,
        ventilation=built.leak,
        ventilation_conductance=built.leak * AIR_HEAT,
    )


def loaded(healthy: Room, ill: Room) -> Room:
    """The healthy room with the loads that a broken one still has, lights whose timer sticks on for the whole day."""
    if healthy.power is None:
        return healthy
    dead = {(board.id, load.name) for board, load in dead_loads(ill)}
    pumps = dead_pumps(ill)
    stuck = {one.what for one in ill.broken if one.kind == "lights"}
    if not dead and not pumps and not stuck:
        return healthy
    boards = tuple(
        replace(
            board,
            loads=tuple(
                replace(load, hours=24.0) if board.id in stuck and load.does == "light" else load
                for load in board.loads
                if (board.id, load.name) not in dead and load.pump not in pumps
            ),
        )
        for board in healthy.power.boards
    )
    return replace(healthy, power=replace(healthy.power, boards=boards))


def heat_room_of(routine: Routine, plant: Plant, parts: Sequence[Part], number: int) -> HeatRoom:
    """The room of the engine in one stretch of time."""
    healthy = routine.built.heat_room
    vessels = tuple(part.vessel(healthy.vessels[part.group], number) for part in parts)
    return replace(healthy, plant=plant, vessels=vessels)


def uncovered(room: Room, water: WaterCourse, names: Sequence[str]) -> tuple[tuple[Second, str], ...]:
    """When the heater of a tank first stands out of the water."""
    heated = {life.tank for life in room.lives if life.heater is not None}
    lowest = water.level.min(axis=0) if len(water.level) else np.zeros(0)
    found = []
    for column, name in enumerate(water.tanks):
        if name not in heated or name not in names:
            continue
        top = heater_top(room, room.tank(name))
        if lowest[column] < top <= water.level[0, column]:
            time = falls_under(water, column, top)
            if time is not None:
                found.append((time, name))
    return tuple(found)
