"""Oxygen of every tank through a fault: what still or stirred water takes up, what fish and filter use.

The band is that of the transfer through still water: it counts for as much of the stirring as is gone, so a tank that
keeps its air has none. Fish use more or less as their water warms or cools (Q10 of `physics.respiration`), filter and
mulm go on as they did: the careful side. New water is taken to come with as much oxygen as the tank could hold.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tankwright.faults.model import Array
from tankwright.faults.pieces import Pieces, followed
from tankwright.origin import Known
from tankwright.physics.constants import ICE_POINT
from tankwright.physics.oxygen import BUBBLE_TEMPERATURE_FACTOR, bubble_transfer
from tankwright.physics.oxygen_course import saturation_of, steady_level
from tankwright.physics.respiration import respiration_when_warmed
from tankwright.study import Study

WARMTH_FACTOR: Final = 1.025
"""Rise of transfer through a surface for each kelvin. Source: see `physics.oxygen.reaeration_coefficient`."""

TWENTY: Final = ICE_POINT + 20.0
COLDEST, WARMEST = 273.15, 313.15
"""Where saturation and breathing are published."""

CLEARLY: Final = 0.01
CLEARLY_WARMER: Final = 0.5
"""A tank that loses less air or water than this share, and warms by less than this many K, is not the fault's."""

TENFOLD: Final = respiration_when_warmed(respiration=1.0, old_temperature=283.15, new_temperature=293.15)
"""Q10, times as much breathing for ten kelvin more."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OxygenCourse:
    """Levels (3 x times x tanks: low end of still water, value, high end) with the law of each piece; NaN where the
    demand of a tank is not known, and from when its water leaves the range of the formulas. `moved` are the tanks that
    lost air, water or the warmth they had."""

    level: Array
    gain: Array
    rate: Array
    moved: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Air:
    """How much of the stirring each tank has, 0 to 1, what of its usual stirring is gone (all, where it never had any)
    and what its bubbles bring at 20 °C."""

    stirring: Array
    gone: Array
    bubbles: Array


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Tanks:
    """Numbers of each tank: transfers through its surface at 20 °C (still: 3 x tanks), and oxygen used at the
    temperature it is to have, by fish and by all else."""

    still: Array
    stirred: Array
    fish: Array
    other: Array
    warmth: Array
    pressure: float


def oxygen_course(
    study: Study, pieces: Pieces, air: Mapping[str, float], *, start: Array | None = None
) -> OxygenCourse:
    """Oxygen with the `air` each tank gets from the fault on, m3/s. A tank with taps that is not named there has none
    that is known, so nothing of it is.

    Before the fault each was where its healthy air settles, unless `start` (3 x tanks) says otherwise.
    """
    one = _tanks_of(study, pieces.tanks)
    before, now = _air_of(study, pieces.tanks, None), _air_of(study, pieces.tanks, air)
    if start is None:
        start = _settled(one, before, pieces.warmth[0])
    at = np.clip(pieces.mean_warmth, COLDEST, WARMEST)
    taken_up = _transfer(one, now, at) + pieces.inflow
    demand = np.where(at == pieces.mean_warmth, _demand(one, at), np.nan)
    gain = (taken_up * saturation_of(at, pressure=one.pressure) - demand) / pieces.mean_volume
    rate = taken_up / pieces.mean_volume
    moved = (
        ~(now.stirring >= (1.0 - CLEARLY) * before.stirring)
        | (np.abs(pieces.warmth - pieces.warmth[0]).max(axis=0) > CLEARLY_WARMER)
        | (pieces.volume.min(axis=0) < (1.0 - CLEARLY) * pieces.volume[0])
    )
    return OxygenCourse(level=followed(start, gain, rate, pieces.lengths), gain=gain, rate=rate, moved=moved)


def _settled(one: _Tanks, air: _Air, warmth: Array) -> Array:
    """Where the healthy air holds the water."""
    at = np.clip(warmth, COLDEST, WARMEST)
    transfer = _transfer(one, air, at[None])[:, 0]
    demand = np.where(at == warmth, _demand(one, at), np.nan)
    level = steady_level(
        transfer=transfer, saturation=saturation_of(at, pressure=one.pressure), demand=demand
    )
    return np.where(np.isnan(demand), math.nan, level)


def _transfer(one: _Tanks, air: _Air, warmth: Array) -> Array:
    """Water brought to saturation a second (3 x pieces x tanks)."""
    over = warmth - TWENTY
    still, stirred = one.still[1], one.stirred
    moved = still + air.stirring * (stirred - still) + air.gone * (one.still - still)
    return np.asarray(moved[:, None] * WARMTH_FACTOR**over + air.bubbles * BUBBLE_TEMPERATURE_FACTOR**over)


def _demand(one: _Tanks, warmth: Array) -> Array:
    return np.asarray(one.fish * TENFOLD ** ((warmth - one.warmth) / 10.0) + one.other)


def _tanks_of(study: Study, names: Sequence[str]) -> _Tanks:
    result = study.oxygen
    assert result is not None
    assert result.laws is not None
    known = {one.tank: one for one in result.tanks}
    rows = [known.get(name) for name in names]
    surface = np.array([math.nan if row is None else row.surface for row in rows])
    demands = [None if row is None else row.demand for row in rows]
    return _Tanks(
        still=_ends(result.laws.still)[:, None] * surface,
        stirred=result.laws.stirred.value * surface,
        fish=np.array([math.nan if one is None else one.fish for one in demands]),
        other=np.array([math.nan if one is None else one.filter for one in demands]),
        warmth=np.array([TWENTY if row is None else row.temperature.value for row in rows]),
        pressure=result.pressure,
    )


def _ends(law: Known) -> Array:
    low, high = law.band if law.band is not None else (law.value, law.value)
    return np.array([low, law.value, high])


def _air_of(study: Study, names: Sequence[str], flows: Mapping[str, float] | None) -> _Air:
    """The air of `flows`, or that of the healthy room."""
    assert study.oxygen is not None
    assert study.oxygen.laws is not None
    efficiency = study.oxygen.laws.bubbles.value
    known = {one.tank: one for one in study.oxygen.tanks}
    wanted = {one.tank: one.wanted for one in study.air.tanks} if study.air is not None else {}
    stirring, gone, bubbles = np.zeros(len(names)), np.ones(len(names)), np.zeros(len(names))
    for number, name in enumerate(names):
        row = known.get(name)
        if row is None or row.depth is None:
            continue  # without a tap there is no air to lose
        flow = row.air_flow if flows is None else flows.get(name, math.nan)
        if math.isnan(flow):
            stirring[number] = math.nan
        if not flow > 0.0:
            continue
        least = wanted.get(name, 0.0)
        stirring[number] = min(1.0, flow / least) if least > 0.0 else 1.0
        usual = row.stirring
        gone[number] = 1.0 if usual <= 0.0 else max(1.0 - stirring[number] / usual, 0.0)
        bubbles[number] = bubble_transfer(
            air_flow=flow, depth=row.depth, water_temperature=TWENTY, efficiency_per_depth=efficiency
        )
    return _Air(stirring=stirring, gone=gone, bubbles=bubbles)
