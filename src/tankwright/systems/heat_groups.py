"""The tanks of a space as vessels of the heat engine: what they store, lose and take in, alike ones as one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Final

from tankwright.physics.constants import WATER_DENSITY
from tankwright.physics.tank_losses import water_surface_dry_loss
from tankwright.room.model import Room, Space, Tank
from tankwright.room.model_climate import ClimatePlace, SpaceClimate
from tankwright.room.model_water import TankLife
from tankwright.systems import heat_gains as gains
from tankwright.thermal.model import Vessel
from tankwright.units import JoulePerKelvin, Kelvin, KilogramPerSecond, WattPerKelvin

WATER_HEAT: Final = 4180.0
"""J/(kg K). Source: standard tables."""

GLASS_HEAT: Final = 720.0
"""J/(kg K). Source: EN 572-1, from memory."""

BED_HEAT: Final = 1600.0
"""J/(kg K), wet gravel: four parts of stone at 850, one and a half of water. Source: common practice, no source."""

DAY: Final = 86400.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TankGroup:
    """Tanks that are alike to heat: one vessel of the engine stands for them.

    `inflow` of new water is kg/s into each one, from `cold` in winter to `mild` in summer. `holds` is what it is
    warmed to: the heater's setting, or what the tank is to have. `height` is of the tank's middle.
    """

    tanks: tuple[str, ...]
    kind: str
    covered: bool
    bubbling: bool
    vessel: Vessel
    height: float
    inflow: KilogramPerSecond
    cold: Kelvin
    mild: Kelvin
    holds: Kelvin


@cache
def still_surface() -> float:
    """Dry heat from water to air 4 K cooler, W/(m2 K); a lid's layer of air is not counted."""
    return water_surface_dry_loss(water_temperature=298.15, air_temperature=294.15) / 4.0


def bubbling_tanks(room: Room) -> frozenset[str]:
    """Tanks with an open air tap."""
    return frozenset(tap.tank for run in room.airs for tap in run.taps if tap.tank is not None and tap.open)


def tank_capacity(tank: Tank) -> JoulePerKelvin:
    """Heat that warms a tank by a kelvin: water, bed and glass."""
    water = tank.water_volume * WATER_DENSITY * WATER_HEAT
    return water + tank.substrate_mass * BED_HEAT + tank.empty_mass.value * GLASS_HEAT


def tank_dry_loss(tank: Tank, coat: float) -> WattPerKelvin:
    """Panes wetted by water and the base at `coat`, and the still surface, W/K.

    Panes that stand close to a neighbour's count as if they stood free.
    """
    wet = max(tank.level - tank.box.z0, 0.0)
    panes = 2.0 * (tank.length + tank.depth) * wet + tank.length * tank.depth
    return coat * panes + still_surface() * tank.inside_area


def groups_of(
    room: Room,
    place: Space,
    kept: SpaceClimate,
    climate: ClimatePlace,
    daily_inflow: Mapping[str, float],
    lives: Mapping[str, TankLife],
) -> tuple[TankGroup, ...]:
    """The tanks of a space, alike ones together. `daily_inflow` is the new water of each tank, m3 a day."""
    bubbling = bubbling_tanks(room)
    sources = gains.source_temperatures(room)
    coat = room.laws.wall_coat.value if room.laws is not None else 7.4
    middle = place.box.middle[2]
    alike: dict[tuple[object, ...], list[tuple[Tank, TankGroup]]] = {}
    for tank in room.tanks:
        life = lives.get(tank.id)
        if tank.room != place.id or life is None or not tank.water_volume > 0.0:
            continue
        covered, bubbles = tank.lid is not None, tank.id in bubbling
        factor = (climate.covered.value if covered else 1.0) * (climate.bubbling.value if bubbles else 1.0)
        heater = life.heater
        holds = heater.holds.value if heater is not None else life.wanted_temperature.value
        high = min(max(tank.box.middle[2], place.box.z0), place.box.z1)  # no air is warmer than the ceiling's
        source = sources.get(tank.id)
        inflow = daily_inflow.get(tank.id, 0.0) * WATER_DENSITY / DAY if source is not None else 0.0
        vessel = Vessel(
            id=tank.id,
            capacity=tank_capacity(tank),
            to_air=tank_dry_loss(tank, coat),
            open_surface=tank.inside_area * factor * kept.evaporation,
            flow=inflow * WATER_HEAT,
            air_offset=kept.gradient.value * (high - middle),
            set_point=holds if heater is not None else 0.0,
            heater_power=heater.power.value * heater.count if heater is not None else 0.0,
        )
        group = TankGroup(
            tanks=(tank.id,), kind=tank.kind, covered=covered, bubbling=bubbles, vessel=vessel, height=high,
            inflow=inflow, holds=holds,
            cold=source[0].value if source is not None else holds,
            mild=source[1].value if source is not None else holds,
        )  # fmt: skip
        key = (
            tank.kind, covered, bubbles, round(high, 2), round(vessel.capacity, -3), round(vessel.to_air, 2),
            heater.power.value if heater is not None else None, heater.count if heater is not None else 0, holds,
            round(20.0 * vessel.flow), group.cold, group.mild,
        )  # fmt: skip
        alike.setdefault(key, []).append((tank, group))
    return tuple(_together([group for _, group in members]) for members in alike.values())


def _together(members: list[TankGroup]) -> TankGroup:
    first, count = members[0], len(members)
    vessel = first.vessel
    return TankGroup(
        tanks=tuple(member.tanks[0] for member in members),
        kind=first.kind, covered=first.covered, bubbling=first.bubbling, height=first.height,
        inflow=sum(member.inflow for member in members) / count,
        cold=first.cold, mild=first.mild, holds=first.holds,
        vessel=Vessel(
            id=vessel.id, count=count, set_point=vessel.set_point, heater_power=vessel.heater_power,
            air_offset=vessel.air_offset,
            capacity=sum(member.vessel.capacity for member in members) / count,
            to_air=sum(member.vessel.to_air for member in members) / count,
            open_surface=sum(member.vessel.open_surface for member in members) / count,
            flow=sum(member.vessel.flow for member in members) / count,
        ),
    )  # fmt: skip
