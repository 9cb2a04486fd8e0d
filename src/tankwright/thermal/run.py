"""A room over time: a year, a day that repeats itself, the steady end of all days, the hours of a power cut.

>>> from tankwright.thermal.model import Air, Drive, HeatRoom, Mass, Vessel
>>> room = HeatRoom(
...     air=Air(dry_mass=60.0, capacity=61e3, to_outside=8.4),
...     mass=Mass(capacity=3.5e6, to_air=185.0, to_beyond=24.3),
...     vessels=(Vessel(id="A", count=40, capacity=250e3, to_air=6.0, set_point=299.15, heater_power=100.0),),
... )
>>> cold = Drive(interval=3600.0, outside_temperature=np.full(24, 273.15))
>>> day = run_until_periodic(room, cold)
>>> day.status.value, float(day.water[-1, 0].round(2)), float(day.vessel_heating[-1, 0].round(1))
('settled', 299.15, 17.3)
>>> run_room(room, cold, start=day.end).status.value
'settled'
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from tankwright.thermal import engine
from tankwright.thermal.balance import imbalances
from tankwright.thermal.laws import MASS_RATIO, vapour_pressure
from tankwright.thermal.model import Drive, HeatRoom, Numbers, RoomState, even_start, room_mistakes
from tankwright.thermal.step import DRIVE_STRIDE
from tankwright.units import Kelvin, Kilogram, Second, Watt

Coefficient = Callable[[Numbers, Numbers, Numbers], Numbers]
"""Evaporation, kg/(s m2 Pa), from the temperatures of the water and of the air at it, K, and the vapour
pressure of that air, Pa. Gets and gives whole arrays (intervals times vessels)."""

CALM = 1e-3
"""Evaporation has settled when passes differ by less than this share."""

AT_ONCE = 16_384
"""So many coefficients are asked for at once: what stays in the processor's cache is worked out faster."""

STEADY = 1e12
"""An interval so long, s, that everything has come to rest."""


class RunStatus(StrEnum):
    """How a run ended. Only `SETTLED` is an answer to rely on."""

    SETTLED = "settled"
    NOT_SETTLED = "not settled"
    NOT_PERIODIC = "not periodic"
    INVALID = "invalid"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RoomRun:
    """A room over time. Arrays have one entry a step, that of its end; vessels are columns.

    `plant_heat` is what the room's heater gives (positive) or the cooler takes (negative), W.
    `vessel_heating` is W for a single vessel, not its `count`. `drying` (dehumidifier), `fog` (what fell out
    of saturated air) and `evaporation` (all vessels) are kg/s. `vessel_evaporated` is kg from a single vessel
    over the whole time. `heat_imbalance` (W) and `moisture_imbalance` (kg/s) are the largest that a step
    leaves unaccounted for. `iterations` are rounds of Newton's method in all, `unsettled_steps` those steps
    that did not end; `passes` how often the evaporation was worked out, or the days repeated.
    """

    status: RunStatus
    step: Second = 0.0
    passes: int = 0
    iterations: int = 0
    unsettled_steps: int = 0
    air: Numbers
    mass: Numbers
    slab: Numbers
    humidity: Numbers
    water: Numbers
    plant_heat: Numbers
    vessel_heating: Numbers
    drying: Numbers
    fog: Numbers
    evaporation: Numbers
    vessel_evaporated: Numbers
    evaporation_coefficient: Numbers
    end: RoomState
    heat_imbalance: Watt = 0.0
    moisture_imbalance: float = 0.0
    mistakes: tuple[str, ...] = ()

    @property
    def evaporated(self) -> Kilogram:
        """Water that all vessels lost."""
        return float(self.evaporation.sum() * self.step)


def run_room(
    room: HeatRoom,
    drive: Drive,
    *,
    start: RoomState,
    substeps: int = 1,
    coefficient: Coefficient | None = None,
    compiled: bool | None = None,
    most_passes: int = 12,
) -> RoomRun:
    """Run once through the drive from a start. Each interval is cut into `substeps` steps.

    With `coefficient`, evaporation follows the state it makes: worked out anew in passes over the whole time
    until the water evaporated changes by less than a thousandth.
    """
    mistakes = _mistakes(room, drive, start)
    if mistakes:
        return _invalid(start, mistakes)
    table = _evaporation(room, drive, start, coefficient)
    shrinking = _Shrinking()
    for number in range(1, most_passes + 1):
        done = _pass(room, drive, start, substeps, table, compiled)
        calm = coefficient is None or shrinking.calm(done.evaporated)
        if calm or done.status is not RunStatus.SETTLED:
            return _finished(room, drive, start, done, number)
        assert coefficient is not None
        table = table + _ease(number) * (_follow(room, done, substeps, coefficient) - table)
    return _finished(room, drive, start, replace(done, status=RunStatus.NOT_SETTLED), number)


def run_until_periodic(
    room: HeatRoom,
    drive: Drive,
    *,
    start: RoomState | None = None,
    substeps: int = 1,
    coefficient: Coefficient | None = None,
    compiled: bool | None = None,
    within: Kelvin = 0.005,
    most_passes: int = 300,
) -> RoomRun:
    """Repeat the drive until it ends as it began: temperatures within so much, humidity within 1e-6.

    Without a `start` it begins at the mean outside temperature, vessels at their set points.
    """
    if start is None:
        start = even_start(room, float(np.mean(np.asarray(drive.outside_temperature))))
        start = replace(start, water=tuple(max(v.set_point, start.air) for v in room.vessels))
    mistakes = _mistakes(room, drive, start)
    if mistakes:
        return _invalid(start, mistakes)
    table = _evaporation(room, drive, start, coefficient)
    shrinking = _Shrinking()
    for number in range(1, most_passes + 1):
        begun = start
        done = _pass(room, drive, begun, substeps, table, compiled)
        calm = shrinking.calm(done.evaporated) or coefficient is None
        if done.status is not RunStatus.SETTLED or (calm and _alike(begun, done.end, within)):
            return _finished(room, drive, begun, done, number)
        start = done.end
        if coefficient is not None:
            table = table + _ease(number) * (_follow(room, done, substeps, coefficient) - table)
    return _finished(room, drive, begun, replace(done, status=RunStatus.NOT_PERIODIC), number)


def steady_room(
    room: HeatRoom, drive: Drive, *, coefficient: Coefficient | None = None, start: RoomState | None = None
) -> RoomRun:
    """The room at rest: each interval of the drive as if held for ever.

    >>> from tankwright.thermal.model import Air
    >>> hut = HeatRoom(air=Air(dry_mass=60.0, to_outside=10.0))
    >>> drive = Drive(interval=3600.0, outside_temperature=np.array([280.0]), air_gain=100.0, ventilation=0.01)
    >>> round(steady_room(hut, drive).end.air, 6)
    290.0
    """
    # a day at a time first: one leap from far away would leave the straight line of the vapour pressure
    near = run_until_periodic(
        room,
        replace(drive, interval=86400.0),
        coefficient=coefficient,
        start=start,
        within=1.0,
        most_passes=60,
    )
    if near.status in {RunStatus.INVALID, RunStatus.NOT_SETTLED}:
        return near
    return run_until_periodic(
        room, replace(drive, interval=STEADY), coefficient=coefficient, start=near.end, within=1e-6
    )


@dataclass(slots=True)
class _Shrinking:
    """Whether the evaporation of pass after pass has come to its end.

    What is still to come is told from how fast the last two changes shrank, so no pass is spent on confirming.
    """

    last: float = np.inf
    change: float = np.inf

    def calm(self, evaporated: Kilogram) -> bool:
        change = abs(evaporated - self.last)
        rate = min(1.0, change / self.change) if 0.0 < self.change < np.inf else 1.0
        self.last, self.change = evaporated, change
        return rate * change <= CALM * abs(evaporated) + 1e-12


def _ease(number: int) -> float:
    """How much of a new coefficient to take: all, and less and less in passes that do not end.

    Formulas with a jump in them would otherwise throw the water to and fro across it for ever.
    """
    return min(1.0, 6.0 / number)


def _finished(room: HeatRoom, drive: Drive, start: RoomState, done: RoomRun, passes: int) -> RoomRun:
    heat, moisture = imbalances(room, drive, start, done)
    return replace(done, passes=passes, heat_imbalance=heat, moisture_imbalance=moisture)


def _alike(one: RoomState, other: RoomState, within: Kelvin) -> bool:
    here = np.array([one.air, one.mass, one.slab, *one.water])
    there = np.array([other.air, other.mass, other.slab, *other.water])
    return bool(np.abs(here - there).max() <= within and abs(one.humidity - other.humidity) <= 1e-6)


def _mistakes(room: HeatRoom, drive: Drive, start: RoomState) -> tuple[str, ...]:
    found = list(room_mistakes(room))
    intervals, vessels = len(drive.outside_temperature), len(room.vessels)
    if not drive.interval > 0.0 or not intervals:
        found.append("there is no time")
    if len(start.water) != vessels:
        found.append(f"the start knows {len(start.water)} vessels, the room {vessels}")
    for name in Drive.__dataclass_fields__:
        value = getattr(drive, name)
        if value is None or name == "interval":
            continue
        shapes: tuple[tuple[int, ...], ...] = ((), (intervals,))
        if name in {"vessel_gain", "inflow_temperature", "evaporation_coefficient"}:
            shapes = ((), (intervals, 1), (intervals, vessels), (vessels,))
        if np.shape(value) not in shapes or not np.isfinite(value).all():
            found.append(f"{name} is no number or does not fit the {intervals} intervals")
    return tuple(found)


def _evaporation(room: HeatRoom, drive: Drive, start: RoomState, coefficient: Coefficient | None) -> Numbers:
    """The coefficients to begin with, intervals times vessels."""
    shape = (len(drive.outside_temperature), len(room.vessels))
    if coefficient is None or not room.vessels:
        return np.array(np.broadcast_to(drive.evaporation_coefficient, shape), dtype=np.float64)
    water = np.array([start.water])
    air = start.air + np.array([[v.air_offset for v in room.vessels]])
    vapour = np.full_like(air, vapour_pressure(start.humidity, room.air.pressure))
    return np.broadcast_to(coefficient(water, air, vapour), shape)


def _follow(room: HeatRoom, done: RoomRun, substeps: int, coefficient: Coefficient) -> Numbers:
    """The coefficients as they belong to the end of each interval of a run."""
    last = slice(substeps - 1, None, substeps)
    water, humidity = done.water[last], done.humidity[last, None]
    air = done.air[last, None] + np.array([v.air_offset for v in room.vessels])
    vapour = np.broadcast_to(room.air.pressure * humidity / (MASS_RATIO + humidity), air.shape)
    table: Numbers = np.empty_like(air)
    rows = max(1, AT_ONCE // max(1, len(room.vessels)))
    for first in range(0, len(table), rows):
        here = slice(first, first + rows)
        table[here] = coefficient(water[here], air[here], vapour[here])
    return table


def _pass(
    room: HeatRoom,
    drive: Drive,
    start: RoomState,
    substeps: int,
    table: Numbers,
    compiled: bool | None,
) -> RoomRun:
    """Once through the drive with given evaporation coefficients."""
    intervals, vessels = len(drive.outside_temperature), len(room.vessels)
    steps, step = intervals * substeps, drive.interval / substeps
    on = start.vessel_heaters_on or (False,) * vessels
    state = np.array(
        [start.air, start.mass, start.slab, start.humidity, start.heater_on, start.cooler_on], dtype=float
    )
    water_state, heater_on = np.array(start.water, dtype=float), np.array(on, dtype=float)
    outputs = [np.zeros(steps) for _ in range(8)]
    water, heating = np.zeros(steps * vessels), np.zeros(steps * vessels)
    lost, report = np.zeros(vessels), np.zeros(2)
    arriving = np.array([v.flow for v in room.vessels]) * drive.inflow_temperature
    gain = np.broadcast_to(drive.vessel_gain, (intervals, vessels)) + arriving
    arguments = (
        *(intervals, substeps, step, vessels, _room_numbers(room), _vessel_numbers(room)),
        *(_drive_numbers(drive), np.array(gain, dtype=float).ravel(), np.array(table, dtype=float).ravel()),
        *(state, water_state, heater_on, *(np.zeros(vessels) for _ in range(5))),
        *(*outputs, water, heating, lost, report),
    )
    worth = engine.compiled_is_worth_it(steps * max(vessels, 1)) if compiled is None else compiled
    engine.run_loop(arguments, compiled=worth)
    air, mass, slab, humidity, plant, drying, fog, evaporation = outputs
    return RoomRun(
        status=RunStatus.NOT_SETTLED if report[1] or not np.isfinite(state).all() else RunStatus.SETTLED,
        step=step,
        passes=1,
        iterations=int(report[0]),
        unsettled_steps=int(report[1]),
        air=air,
        mass=mass,
        slab=slab,
        humidity=humidity,
        water=water.reshape(steps, vessels),
        plant_heat=plant,
        vessel_heating=heating.reshape(steps, vessels),
        drying=drying,
        fog=fog,
        evaporation=evaporation,
        vessel_evaporated=lost,
        evaporation_coefficient=table,
        end=RoomState(
            air=float(state[0]),
            mass=float(state[1]),
            slab=float(state[2]),
            humidity=float(state[3]),
            water=tuple(map(float, water_state)),
            heater_on=bool(state[4]),
            cooler_on=bool(state[5]),
            vessel_heaters_on=tuple(map(bool, heater_on)),
        ),
    )


def _room_numbers(room: HeatRoom) -> Numbers:
    """The numbers of the room as `step.run_steps` takes them; a dead band below zero is none."""
    air, mass, slab, plant = room.air, room.mass, room.slab, room.plant
    bands = [-1.0 if band is None else band for band in (plant.room_hysteresis, plant.vessel_hysteresis)]
    return np.array([
        *(air.capacity, air.to_outside, air.pressure, air.dry_mass),
        *(mass.capacity, mass.to_air, mass.to_beyond, slab.capacity, slab.to_air, slab.to_beyond),
        *(plant.heating_power, plant.cooling_power, plant.drying_rate, plant.drying_energy),
        *(*bands, room.latent_heat),
    ])  # fmt: skip


def _vessel_numbers(room: HeatRoom) -> Numbers:
    rows = [
        (v.capacity, v.to_air, v.open_surface, v.air_offset, v.set_point, v.heater_power, v.count, v.flow)
        for v in room.vessels
    ]
    return np.array(rows, dtype=float).ravel()


def _drive_numbers(drive: Drive) -> Numbers:
    beyond = drive.mass_beyond_temperature
    columns = [
        drive.outside_temperature,
        drive.outside_temperature if beyond is None else beyond,
        *(drive.ground_temperature, drive.outside_humidity),
        *(drive.ventilation, drive.ventilation_conductance),
        *(drive.air_gain, drive.mass_gain, drive.slab_gain, drive.moisture_gain),
        *(drive.heating_set_point, drive.cooling_set_point, drive.humidity_limit, drive.power),
    ]
    table = np.empty((len(drive.outside_temperature), DRIVE_STRIDE))
    for number, column in enumerate(columns):
        table[:, number] = column
    return table.ravel()


def _invalid(start: RoomState, mistakes: tuple[str, ...]) -> RoomRun:
    none, wide = np.zeros(0), np.zeros((0, len(start.water)))
    return RoomRun(
        status=RunStatus.INVALID,
        mistakes=mistakes,
        air=none,
        mass=none,
        slab=none,
        humidity=none,
        water=wide,
        plant_heat=none,
        vessel_heating=wide,
        drying=none,
        fog=none,
        evaporation=none,
        vessel_evaporated=np.zeros(len(start.water)),
        evaporation_coefficient=wide,
        end=start,
    )
