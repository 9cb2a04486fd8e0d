"""What a run leaves unaccounted for, worked out from its answer alone, apart from the loop that made it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from tankwright.thermal.model import Drive, HeatRoom, Numbers, RoomState
from tankwright.units import KilogramPerSecond, Watt

if TYPE_CHECKING:
    from tankwright.thermal.run import RoomRun


def imbalances(
    room: HeatRoom, drive: Drive, start: RoomState, run: RoomRun
) -> tuple[Watt, KilogramPerSecond]:
    """The largest heat and moisture that a step of the whole room does not account for."""
    per = len(run.air) // len(drive.outside_temperature)
    counts = np.array([v.count for v in room.vessels], dtype=float)
    return (
        _largest(stored_heat(room, start, run) - _net_heat(room, drive, run, per, counts)),
        _largest(_stored_vapour(room, start, run) - _net_vapour(drive, run, per)),
    )


def stored_heat(room: HeatRoom, start: RoomState, run: RoomRun) -> Numbers:
    """Heat that goes into the stores in each step, W."""
    rate: Numbers = room.air.capacity * np.diff(run.air, prepend=start.air)
    rate += room.mass.capacity * np.diff(run.mass, prepend=start.mass)
    rate += room.slab.capacity * np.diff(run.slab, prepend=start.slab)
    if room.vessels:
        water = np.diff(run.water, axis=0, prepend=np.array([start.water]))
        rate += water @ np.array([v.count * v.capacity for v in room.vessels])
    return rate / run.step


def _net_heat(room: HeatRoom, drive: Drive, run: RoomRun, per: int, counts: Numbers) -> Numbers:
    intervals = len(drive.outside_temperature)

    def each(value: Numbers | float) -> Numbers:
        return np.repeat(np.broadcast_to(value, intervals), per)

    outside = each(drive.outside_temperature)
    beyond = outside if drive.mass_beyond_temperature is None else each(drive.mass_beyond_temperature)
    wide = (intervals, len(room.vessels))
    gain = np.broadcast_to(drive.vessel_gain, wide) @ counts
    flow = np.array([v.flow for v in room.vessels]) * counts
    arriving = np.repeat(np.broadcast_to(drive.inflow_temperature, wide), per, axis=0)
    net = (room.air.to_outside + each(drive.ventilation_conductance)) * (outside - run.air)
    net += each(drive.air_gain) + each(gain) + run.plant_heat + run.vessel_heating @ counts
    if room.mass.to_air:
        net += room.mass.to_beyond * (beyond - run.mass) + each(drive.mass_gain)
    if room.slab.to_air:
        net += room.slab.to_beyond * (each(drive.ground_temperature) - run.slab) + each(drive.slab_gain)
    net += (arriving - run.water) @ flow
    net += room.latent_heat * (run.drying + run.fog - run.evaporation)
    return net + room.plant.drying_energy * run.drying


def _stored_vapour(room: HeatRoom, start: RoomState, run: RoomRun) -> Numbers:
    rate: Numbers = np.diff(run.humidity, prepend=start.humidity) * room.air.dry_mass / run.step
    return rate


def _net_vapour(drive: Drive, run: RoomRun, per: int) -> Numbers:
    intervals = len(drive.outside_temperature)
    exchanged, outside, gain = (
        np.repeat(np.broadcast_to(value, intervals), per)
        for value in (drive.ventilation, drive.outside_humidity, drive.moisture_gain)
    )
    net: Numbers = exchanged * (outside - run.humidity) + gain + run.evaporation - run.drying - run.fog
    return net


def _largest(rest: Numbers) -> float:
    return float(np.abs(rest).max(initial=0.0))
