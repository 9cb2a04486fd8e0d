"""Cold new water: how far each tank cools by a drip or a batch, how long until it is warm, and the gas it brings."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from tankwright.origin import Known
from tankwright.physics.dissolved_gas import GAS_LIMIT, gas_supersaturation
from tankwright.physics.mixing import WATER_HEAT_CAPACITY
from tankwright.physics.ranges import OutsideValidRange
from tankwright.physics.water_arrays import Array, approached, time_to_approach
from tankwright.room.model import Room, Tank
from tankwright.room.model_water import TankLife
from tankwright.systems.water_model import Change, ColdFill, Gas, TankWater
from tankwright.units import Dimensionless, Kelvin, Second, Watt, WattPerKelvin

DROP_LIMIT: Final[Kelvin] = 2.0
"""The most a tank should cool within an hour. Source: common practice, no source."""

BATCHES: Final = (0.10, 0.25, 0.50)
SEASONS: Final = ("winter", "summer")
WARM_AGAIN: Final = 0.1
"""Share of the fall that is left when a tank counts as warm again; heat alone never brings back the whole."""

HOUR: Final[Second] = 3600.0
MONTH: Final[Second] = 30 * 86_400.0


def cold_fills(room: Room, tanks: Sequence[TankWater]) -> tuple[ColdFill, ...]:
    """The cooling of every tank whose water and temperature are known; a tank fed from a warm one has none.

    Source: heat balance of a stirred tank, closed form (`physics.mixing.drip_temperature_drop`). Before the change the
    tank is in balance with its room; a heater adds what it has to spare beyond that balance.
    """
    lives = {life.tank: life for life in room.lives}
    places = {tank.id: tank for tank in room.tanks}
    cold = [(row, rests) for row in tanks if (rests := _seasons(row)) is not None]
    cold = [(row, rests) for row, rests in cold if row.tank in lives and places[row.tank].water_volume > 0.0]
    if not cold or room.laws is None:
        return ()
    rows, both = [row for row, _ in cold], [rests for _, rests in cold]
    heat = [_heat(room, places[row.tank], lives[row.tank], room.laws.wall_coat.value) for row in rows]
    loss, spare, volume, wanted = (np.array(one) for one in zip(*heat, strict=True))
    slow, gain = loss / (WATER_HEAT_CAPACITY * volume), -spare / (WATER_HEAT_CAPACITY * volume)
    made = [
        _season(season, rows, [rests[number] for rests in both], wanted, volume, slow, gain)
        for number, season in enumerate(SEASONS)
    ]
    return tuple(
        ColdFill(
            tank=row.tank, water=row.water.name if row.water else "", before=lives[row.tank].wanted_temperature,
            rests=both[place], changes=tuple(change for season in made for change in season[place]),
            most_share=tuple((season[place][0].season, _most(season[place][0], wanted[place])) for season in made),
        )
        for place, row in enumerate(rows)
    )  # fmt: skip


def _seasons(row: TankWater) -> tuple[Known, Known] | None:
    """Temperatures of the water in winter and summer; None for a tank fed from another, whose water is warm."""
    if row.water is None or row.through or row.water.winter is None or row.water.summer is None:
        return None
    return row.water.winter, row.water.summer


def _heat(room: Room, tank: Tank, life: TankLife, coat: float) -> tuple[WattPerKelvin, Watt, float, Kelvin]:
    """Loss through the panes below the water, heat to spare, volume of water and temperature of one tank.

    What the surface loses is left out, so the tank is warm again a little sooner than told. A heater has to spare
    what its balance with a room of known temperature leaves, nothing where the room's is not known.
    """
    wet = max(tank.level - tank.floor_inside, 0.0)
    loss = coat * 2.0 * (tank.length + tank.depth) * wet
    wanted = life.wanted_temperature.value
    space = room.climate.space(tank.room) if room.climate is not None else None
    spare = 0.0
    if life.heater is not None and space is not None and space.heat_to is not None:
        power = life.heater.power.value * life.heater.count
        spare = max(power - loss * max(wanted - space.heat_to.value, 0.0), 0.0)
    return loss, spare, tank.water_volume, wanted


def _season(
    season: str, rows: Sequence[TankWater], knowns: Sequence[Known], wanted: Array, volume: Array, slow: Array,
    gain: Array,
) -> list[tuple[Change, ...]]:  # fmt: skip
    """Every change of every tank in one season, worked out for the water as said and at both ends of its band."""
    cold = np.array([[known.value, *(known.band or (known.value, known.value))] for known in knowns]).T
    fall = wanted - cold
    inflow = np.array([row.inflow for row in rows])
    taking = np.array([row.longest_run for row in rows])
    ways = [
        ("batch", np.full(len(rows), share), np.zeros(len(rows)), share * fall, share * fall)
        for share in BATCHES
    ]
    dripped = np.where(inflow * taking > 0.0, inflow * taking / volume, 0.0)
    whole, hourly = (
        _drip(fall, inflow / volume, slow, gain, time) for time in (taking, np.minimum(taking, HOUR))
    )
    ways.insert(0, ("drip", dripped, taking, whole, hourly))
    found: list[list[Change]] = [[] for _ in rows]
    for kind, share, time, drop, most in ways:
        warm = time_to_approach(drop[0], gain, slow, WARM_AGAIN * drop[0])
        for place in range(len(rows)):
            if share[place] > 0.0:
                ends = sorted((float(most[1, place]), float(most[2, place])))
                found[place].append(Change(
                    kind=kind, season=season, share=float(share[place]), taking=float(time[place]),
                    water=float(cold[0, place]), after=float(wanted[place] - drop[0, place]),
                    drop=float(drop[0, place]), in_an_hour=float(most[0, place]), band=(ends[0], ends[1]),
                    warm_after=float(warm[place]) if 0.0 <= warm[place] <= MONTH else None,
                ))  # fmt: skip
    return [tuple(changes) for changes in found]


def _drip(fall: Array, renewal: Array, slow: Array, gain: Array, time: Array) -> Array:
    """The fall after a time of dripping; a heater that has more to spare than the drip takes holds the tank."""
    fallen = approached(0.0, renewal * fall + gain, renewal + slow, time)
    return np.where(
        fall > 0.0, np.maximum(fallen, 0.0), approached(0.0, renewal * fall, renewal + slow, time)
    )


def _most(change: Change, wanted: Kelvin) -> Dimensionless:
    fall = float(wanted) - change.water
    return min(DROP_LIMIT / fall, 1.0) if fall > 0.0 else 1.0


def gases(fills: Sequence[ColdFill]) -> tuple[tuple[Gas, ...], tuple[tuple[str, str], ...]]:
    """Gas of every cold water in tanks of every temperature; tanks alike are one row.

    Source: `physics.dissolved_gas`. Gas and heat both add up by shares, so a tank of which a share is changed holds,
    warm again, that share of the excess.
    """
    alike: dict[tuple[str, int, float], list[ColdFill]] = {}
    for fill in fills:
        for number in range(len(SEASONS)):
            alike.setdefault((fill.water, number, fill.before.value), []).append(fill)
    found: list[Gas] = []
    missing: list[tuple[str, str]] = []
    for (water, number, warm), group in alike.items():
        cold = group[0].rests[number]
        try:
            ratio = gas_supersaturation(cold_temperature=cold.value, warm_temperature=warm)
        except OutsideValidRange as outside:
            missing.append((f"gas of water {water} in {SEASONS[number]}", f"{outside}"))
            continue
        excess = ratio - 1.0
        found.append(Gas(
            tanks=tuple(fill.tank for fill in group), water=water, season=SEASONS[number], cold=cold, warm=warm,
            ratio=ratio, most_share=min((GAS_LIMIT - 1.0) / excess, 1.0) if excess > 0.0 else 1.0,
        ))  # fmt: skip
    return tuple(found), tuple(missing)
