"""What one could do about a room's energy and damp, each as a change of the laid-out room that can be worked out.

A measure that makes no sense for the room (lids where every tank has one) is not among them. What each saves is found
by working the year out again with it (`year`); nothing here knows a result.

What a measure is made of (5 cm of board, 2 K at night, 70 % recovered) is common practice, no source: a size that one
can buy, not the best one.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from tankwright.finding import Number
from tankwright.origin import Known, derived
from tankwright.room.model import Room
from tankwright.room.model_climate import MachinePlace, SpaceClimate
from tankwright.room.model_power import BoardPlace
from tankwright.room.model_water import HeaterPlace
from tankwright.room.shell_sizes import volume
from tankwright.systems.heat_measure import Measure, with_spaces
from tankwright.systems.heat_measures_shell import (
    lid_measures,
    pane_measures,
    shell_measures,
    window_measures,
)
from tankwright.units import Kelvin

LOWER: Final[Kelvin] = 2.0
ONE: Final[Kelvin] = 1.0
RECOVERY: Final = 0.7

ENOUGH: Final = 1e5
"""W, of a heater that is as large as it need be: what a change of heating saves must not hang on its size."""

FAN_CHANGES: Final = 1.0 / 3600.0
"""Volumes a second of the fan tried in the place of a dehumidifier: the air of the room once an hour."""

DRYER: Final = 20.0 / 86400.0
"""kg/s of the dehumidifier tried in the place of a fan."""

DRYER_RATIO: Final = 1.6 / 3.6e6
"""kg for a J. Source: the assumption climate.dryer_ratio says the same."""


def all_measures(room: Room, *, watered: bool) -> tuple[Measure, ...]:
    """What can be done in this room; `watered` says that fresh water runs into some tank by itself."""
    if room.climate is None:
        return ()
    found = (
        *shell_measures(room), *window_measures(room), *lid_measures(room), *pane_measures(room),
        *_heating(room), *_moving_air(room), *_drips(watered), *_lights(room),
    )  # fmt: skip
    return tuple(found)


# --- heating --------------------------------------------------------------------------------------------


def _heating(room: Room) -> Iterator[Measure]:
    spaces = room.climate.spaces if room.climate else ()
    heated = [one for one in spaces if one.heat_to is not None]
    with_heaters = [one for one in room.lives if one.heater is not None]
    if any(one.night_lower is None or one.night_lower.value < LOWER for one in heated):
        yield Measure(
            key="night",
            name="air cooler at night",
            words="{lower} lower from 22 to 6 h",
            numbers=(("lower", Number(LOWER, "temperature_difference")),),
            change=lambda room: with_spaces(
                room, lambda one: replace(one, night_lower=derived(LOWER)) if one.heat_to is not None else one
            ),
            habit=True,
        )
    if heated or with_heaters:
        yield Measure(
            key="lower",
            name="everything a degree cooler",
            words="air and tank heaters set {lower} lower",
            numbers=(("lower", Number(ONE, "temperature_difference")),),
            change=_cooler,
            habit=True,
        )
    if with_heaters:
        yield Measure(
            key="heat_room",
            name="heat the room instead of the tanks",
            words="air held at what the warmest tank of a room wants, tank heaters out",
            change=_heat_room,
            instead="heating",
        )
    if heated:
        yield Measure(
            key="heat_tanks",
            name="heat the tanks instead of the room",
            words="a heater in every tank, the room's heater off",
            change=_heat_tanks,
            instead="heating",
        )


def _less(known: Known, by: Kelvin) -> Known:
    return derived(known.value - by, "as it is tried")


def _cooler(room: Room) -> Room:
    def air(one: SpaceClimate) -> SpaceClimate:
        return one if one.heat_to is None else replace(one, heat_to=_less(one.heat_to, ONE))

    lives = tuple(
        one if one.heater is None else replace(one, heater=replace(one.heater, holds=_less(one.heater.holds, ONE)))
        for one in room.lives
    )  # fmt: skip
    return replace(with_spaces(room, air), lives=lives)


def _heat_room(room: Room) -> Room:
    warmest: dict[str, float] = {}
    place = {tank.id: tank.room for tank in room.tanks}
    for life in room.lives:
        if life.heater is not None:
            space = place[life.tank]
            warmest[space] = max(warmest.get(space, 0.0), life.heater.holds.value)

    def air(one: SpaceClimate) -> SpaceClimate:
        if one.space not in warmest:
            return one
        heater = one.heater or MachinePlace(rating=derived(ENOUGH), per_power=derived(1.0))
        wanted = max(warmest[one.space], one.heat_to.value if one.heat_to else 0.0)
        cool = one.cool_to
        if cool is not None and cool.value < wanted:
            cool = derived(wanted)
        return replace(
            one, heat_to=derived(wanted), cool_to=cool, heater=replace(heater, rating=derived(ENOUGH))
        )

    lives = tuple(replace(life, heater=None) for life in room.lives)
    return replace(with_spaces(room, air), lives=lives)


def _heat_tanks(room: Room) -> Room:
    """Heaters that are there hold what they held, and are as large as a cold room asks."""
    lives = tuple(
        replace(life, heater=replace(life.heater, power=derived(ENOUGH)) if life.heater is not None
                else HeaterPlace(power=derived(ENOUGH), count=1, holds=life.wanted_temperature))
        for life in room.lives
    )  # fmt: skip
    return replace(with_spaces(room, lambda one: replace(one, heat_to=None, heater=None)), lives=lives)


# --- air, water, light ----------------------------------------------------------------------------------


def _moving_air(room: Room) -> Iterator[Measure]:
    spaces = room.climate.spaces if room.climate else ()
    yield Measure(
        key="seal",
        name="seal the leaks",
        words="half the air change",
        change=lambda room: with_air_change(room, 0.5),
    )
    if any(one.ventilation and (one.ventilation.recovery is None or one.ventilation.recovery.value < RECOVERY)
           for one in spaces):  # fmt: skip
        yield Measure(
            key="recovery",
            name="recover heat from the fan's air",
            words="{share} of it",
            numbers=(("share", Number(RECOVERY, "share")),),
            change=lambda room: with_spaces(room, _recovering),
            instead="fan",
        )
    inside = {space.id: volume(space) for space in room.spaces}
    if any(one.dehumidifier for one in spaces):
        yield Measure(
            key="fan_for_dryer",
            name="a fan instead of the dehumidifier",
            words="the room's air once an hour, all year",
            change=lambda room: with_spaces(room, lambda one: _fanned(one, inside.get(one.space, 0.0))),
            instead="fan",
        )
    if any(one.ventilation for one in spaces):
        yield Measure(
            key="dryer_for_fan",
            name="a dehumidifier instead of the fan",
            words="{rate} kg a day, holding 60 %",
            numbers=(("rate", Number(DRYER * 86400.0, "number")),),
            change=lambda room: with_spaces(room, _dried),
            instead="fan",
        )


def with_air_change(room: Room, factor: float) -> Room:
    """The room with so many times the leakage of every space."""
    return with_spaces(room, lambda one: replace(one, air_change=derived(one.air_change.value * factor)))


def _recovering(one: SpaceClimate) -> SpaceClimate:
    fan = one.ventilation
    return one if fan is None else replace(one, ventilation=replace(fan, recovery=derived(RECOVERY)))


def _fanned(one: SpaceClimate, inside: float) -> SpaceClimate:
    if one.dehumidifier is None:
        return one
    fan = one.ventilation or MachinePlace(rating=derived(inside * FAN_CHANGES))
    return replace(one, dehumidifier=None, ventilation=fan)


def _dried(one: SpaceClimate) -> SpaceClimate:
    if one.ventilation is None:
        return one
    dryer = one.dehumidifier or MachinePlace(
        rating=derived(DRYER), per_power=derived(DRYER_RATIO), holds=derived(0.6)
    )
    return replace(one, ventilation=None, dehumidifier=dryer)


def _drips(watered: bool) -> Iterator[Measure]:
    if watered:
        yield Measure(
            key="half_drip",
            name="half the fresh water",
            words="as long as the water's nitrate allows it",
            inflow=0.5,
            habit=True,
        )


def _lights(room: Room) -> Iterator[Measure]:
    boards = room.power.boards if room.power else ()
    lights = [load for board in boards for load in board.loads if load.does == "light"]
    if not lights:
        return
    watts = sum(load.power.value * load.count for load in lights)

    def dimmed(board: BoardPlace) -> BoardPlace:
        loads = tuple(
            replace(load, power=derived(load.power.value / 2.0)) if load.does == "light" else load
            for load in board.loads
        )
        return replace(board, loads=loads)

    def change(room: Room) -> Room:
        power = room.power
        if power is None:
            return room
        return replace(room, power=replace(power, boards=tuple(dimmed(board) for board in power.boards)))

    yield Measure(
        key="lights",
        name="half the light",
        words="{watts} instead of {now}: lamps that give more for a watt, or fewer hours",
        numbers=(("watts", Number(watts / 2.0, "power")), ("now", Number(watts, "power"))),
        change=change,
    )
