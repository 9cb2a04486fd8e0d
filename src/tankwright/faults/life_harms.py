"""When fish come to harm: limits of every tank, and the first time each is passed.

A tank that was past a limit before anything broke is not harmed by the fault: the checks tell of it, and here it is
named as not counted. Where only an unkindly end of the band passes a limit, that is a `perhaps`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Final

import numpy as np

from tankwright.checks.grouping import listed
from tankwright.faults.model import Array, Harm, HarmKind
from tankwright.faults.pieces import Pieces, passed
from tankwright.room.assumed import assumed
from tankwright.room.model import Room, Tank
from tankwright.room.model_water import TankLife
from tankwright.systems.heat_tanks import LETHAL
from tankwright.systems.water_life_model import span_of

ALREADY: Final[dict[HarmKind, str]] = {
    "oxygen": "too little oxygen before anything breaks, so no time until it is counted",
    "ammonia": "too much ammonia before anything breaks, so no time until it is counted",
    "chlorine": "too much chlorine on usual days, so no time until it is counted",
    "cold": "too cold before anything breaks, so no time until it is counted",
    "hot": "too warm before anything breaks, so no time until it is counted",
    "dry": "too little water before anything breaks, so no time until it is counted",
}  # fmt: skip


def with_fish(lives: Iterable[TankLife]) -> frozenset[str]:
    """The tanks that hold fish, counted or not."""
    return frozenset(one.tank for one in lives if one.stock is not None and not one.stock.is_empty)


def without_word(room: Room) -> tuple[str, ...]:
    """The tanks of which the plan does not say whether any fish live there."""
    told = {one.tank for one in room.lives if one.stock is not None}
    return tuple(tank.id for tank in room.tanks if tank.id not in told)


def warmth_limits(room: Room) -> tuple[Array, Array]:
    """The coldest and the warmest each tank's fish bear, each as (3 x tanks): the margin's least, its value, its most.

    From what its zone wants (or what the tank is to have) a margin down and up, no higher than 34 °C; never inside
    what its species is said to live in.
    """
    under, over = span_of(assumed(room, "harm.cold_under")), span_of(assumed(room, "harm.hot_over"))
    zones = {zone.id: zone for zone in room.zones}
    lives = {one.tank: one for one in room.lives}
    cold, hot = np.full((2, 3, len(room.tanks)), np.nan)
    for number, tank in enumerate(room.tanks):
        life = lives.get(tank.id)
        if life is None:
            continue
        zone = zones.get(tank.zone)
        wants = zone.wants.temperature if zone is not None and zone.wants is not None else None
        usual = life.wanted_temperature.value
        low, high = (wants[0].value, wants[1].value) if wants is not None else (usual, usual)
        lives_in = (
            life.stock.facts.temperature if life.stock is not None and life.stock.facts is not None else None
        )
        coldest, warmest = (lives_in.low, lives_in.high) if lives_in is not None else (math.inf, -math.inf)
        cold[:, number] = [min(low - one, coldest) for one in (under.low, under.value, under.high)]
        hot[:, number] = [max(min(high + one, LETHAL), warmest) for one in (over.low, over.value, over.high)]
    return cold, hot


def least_levels(room: Room) -> Array:
    """Heights of the surface under which fish have no water to swim in (3 x tanks)."""
    depth = span_of(assumed(room, "harm.least_depth"))
    beds = np.array([_bed(tank) for tank in room.tanks])
    return np.stack([beds + one for one in (depth.low, depth.value, depth.high)])


def _bed(tank: Tank) -> float:
    return tank.floor_inside + tank.substrate_depth


def harms_of(
    kind: HarmKind, tanks: Sequence[str], times: Array, values: Sequence[float], fish: frozenset[str]
) -> tuple[list[Harm], list[Harm], list[str]]:
    """The harms, those that only an end of the band comes to, and the tanks that were past the limit all along.

    `times` are three rows, the value's in the middle; the outer two may lie either way.
    """
    harms, perhaps, already = [], [], []
    for name, value, ends in zip(tanks, values, times.T.tolist(), strict=True):
        if name not in fish or not math.isfinite(min(ends)):
            continue
        if ends[1] <= 0.0:
            already.append(name)
            continue
        harm = Harm(
            time=ends[1], kind=kind, where=name, earliest=min(ends), latest=max(ends), value=float(value)
        )
        if math.isfinite(ends[1]):
            harms.append(harm)
        elif min(ends) > 0.0:
            perhaps.append(harm)
    return harms, perhaps, already


def passings(pieces: Pieces, values: Array, limits: Array, *, falling: bool) -> Array:
    """When a course that runs straight between its rows passes each of three limits (3 x tanks)."""
    return np.stack([passed(pieces.times, values, limit, falling=falling) for limit in limits])


def told(names: Sequence[str], reason: str) -> tuple[tuple[str, str], ...]:
    """One row of what is not computed for all tanks of the same reason."""
    return ((listed(list(names)), reason),) if names else ()
