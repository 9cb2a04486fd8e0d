"""Ammonia of every tank through a fault: what fish go on giving off when the filter does less.

Before the fault filter and drip are taken to keep up, so the tank was where the study settles it: what its filter then
turned over is what was left of the load. From there the filter's work goes with its air (a share of it goes on
without), with its warmth and with the ammonia it finds (Monod's law). The pH stays as it was; feeding goes on.
The band is that of the feed, its protein and the share left without air.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tankwright.faults.model import Array
from tankwright.faults.pieces import Pieces
from tankwright.origin import Known
from tankwright.physics.disinfectants import NITROGEN_OF_CHLORAMINE
from tankwright.physics.water_arrays import acute_ammonia, mean_decay, media_capacity, unionised_share
from tankwright.study import Study
from tankwright.systems.feed_time import WEEK
from tankwright.systems.water_life_model import GivenWater, TankNitrogen, span_of
from tankwright.systems.water_nitrogen import HALF_SATURATION

LEAST_PH: Final = 6.5
MOST_PH: Final = 9.0
"""Where the limits are published; below the first ammonia harms less, so its value there is careful."""

WARMEST_LIMIT: Final = 303.15
"""Over this the hour's limit is not published; it is held, and the gas itself goes on being counted."""


CLEARLY: Final = 0.1
"""A tenth less air, or more or less new water, is no fault of a filter. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AmmoniaCourse:
    """Total ammonia nitrogen (3 x times x tanks: most kindly end, value, least kindly), with the law of each piece as
    it was followed. `unionised` is the gas as nitrogen and `limit` the total that harms within the time of a fault, the
    hour's limit of the EPA (times x tanks). `already` are tanks that were over what is good for them day after day
    before anything broke, `moved` those the fault reaches."""

    total: Array
    gain: Array
    rate: Array
    unionised: Array
    limit: Array
    already: NDArray[np.bool_]
    moved: NDArray[np.bool_]


def ammonia_course(
    study: Study,
    pieces: Pieces,
    air_left: Array,
    without_air: Known,
    waters: Mapping[str, GivenWater | None],
    chloramine: frozenset[str],
    *,
    start: Array | None = None,
) -> AmmoniaCourse:
    """Ammonia with the share of its healthy air each tank has left.

    `waters` are what each feed brings ("" by hand), `chloramine` those whose chlorine now is chloramine.
    """
    rows = _rows(study, pieces.tanks)
    settled = _column(rows, lambda one: one.ammonia.value)
    settled = np.where(np.isfinite(settled), settled, np.nan)
    load = np.array([
        _column(rows, lambda one: one.from_feed.low), _column(rows, lambda one: one.from_feed.value),
        _column(rows, lambda one: one.from_feed.high),
    ])  # fmt: skip
    usual = load + _column(rows, lambda one: one.from_chloramine.value + one.from_source.value)
    inflow = _column(rows, lambda one: one.inflow)
    turned = np.maximum(usual - inflow * settled, 0.0)
    half = HALF_SATURATION.value
    most = turned * (half + settled) / np.where(settled > 0.0, settled, 1.0)
    left = span_of(without_air)
    share = np.stack([one + (1.0 - one) * air_left for one in (left.high, left.value, left.low)])
    brought = _brought(pieces, waters, chloramine)
    warmth = media_capacity(1.0, 1.0, pieces.mean_warmth) / media_capacity(1.0, 1.0, pieces.warmth[0])
    now = np.broadcast_to(settled, load.shape) if start is None else start
    total = np.empty((3, len(pieces.times), len(pieces.tanks)))
    gains, rates = np.empty((2, 3, len(pieces.lengths), len(pieces.tanks)))
    total[:, 0] = now
    drip = pieces.inflow
    for number, length in enumerate(pieces.lengths):
        volume, works = pieces.mean_volume[number], most * share * warmth[number]
        gain = (load + brought[number]) / volume
        rate = (drip[number] + works / (half + now)) / volume
        middle = now * np.exp(-rate * length / 2.0) + gain * length / 2.0 * mean_decay(rate * length / 2.0)
        rate = (drip[number] + works / (half + middle)) / volume
        now = now * np.exp(-rate * length) + gain * length * mean_decay(rate * length)
        total[:, number + 1], gains[:, number], rates[:, number] = now, gain, rate
    ph = _column(rows, lambda one: math.nan if one.ph is None else one.ph.value)
    return AmmoniaCourse(
        total=total, gain=gains, rate=rates, unionised=unionised_share(ph, pieces.warmth) * total[1],
        limit=_hour_limit(ph, pieces.warmth), already=settled >= _lasting_limit(rows),
        moved=_moved(pieces, air_left, inflow) | bool(chloramine),
    )  # fmt: skip


def _hour_limit(ph: Array, warmth: Array) -> Array:
    """The total that an hour's mean should not pass; NaN where none is published for so high a pH."""
    careful = np.maximum(ph, LEAST_PH)
    return np.where(careful <= MOST_PH, acute_ammonia(careful, np.minimum(warmth, WARMEST_LIMIT)), np.nan)


def _lasting_limit(rows: list[TankNitrogen | None]) -> Array:
    """What a tank should stay under day after day, as the checks have it; NaN where no pH is known."""
    return _column(
        rows,
        lambda one: min((limit for limit in (one.chronic, one.harm) if limit is not None), default=math.nan),
    )


def _moved(pieces: Pieces, air_left: Array, usual: Array) -> NDArray[np.bool_]:
    """The tanks that lost air, or got clearly more or less new water than a usual time with its week's programs."""
    ran = (pieces.inflow * pieces.lengths[:, None]).sum(axis=0)
    whole = usual * float(pieces.times[-1])
    return np.asarray((air_left < 1.0 - CLEARLY) | (np.abs(ran - whole) > CLEARLY * whole + usual * WEEK))


def _brought(pieces: Pieces, waters: Mapping[str, GivenWater | None], chloramine: frozenset[str]) -> Array:
    """Ammonia nitrogen the new water brings, that of chloramine with it, kg/s (pieces x tanks)."""
    whole = np.zeros((len(pieces.lengths), len(pieces.tanks)))
    for name, flow in (*pieces.by_feed.items(), ("", pieces.hand)):
        water = waters.get(name)
        if water is None:
            continue
        holds = water.ammonia.value if water.ammonia is not None else 0.0
        if (name in chloramine or water.disinfectant == "chloramine") and water.chlorine is not None:
            holds += NITROGEN_OF_CHLORAMINE * water.chlorine.value
        if holds > 0.0:
            whole += flow * holds
    return whole


def _rows(study: Study, names: tuple[str, ...]) -> list[TankNitrogen | None]:
    life = study.water.life if study.water is not None else None
    known = {one.tank: one for one in life.nitrogen} if life is not None else {}
    return [known.get(name) for name in names]


def _column(rows: list[TankNitrogen | None], what: Callable[[TankNitrogen], float]) -> Array:
    return np.array([math.nan if row is None else what(row) for row in rows])
