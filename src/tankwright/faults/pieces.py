"""The time of a story cut into pieces within which nothing changes, and straight laws followed through them.

Within a piece everything obeys y' = gain - rate y with its own numbers. Where the water of a tank grows or shrinks
steadily its logarithmic mean stands for it: what goes with 1 / volume then comes out exactly, to the volume's end.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tankwright.faults.model import Array, WarmthCourse, WaterCourse
from tankwright.physics.water_arrays import mean_decay, time_to_approach

LONGEST: Final = 3600.0
WARMEST_STEP: Final = 0.25
"""A piece is no longer than an hour, and no tank's water warms or cools by more than this many kelvin in it."""

LEAST_VOLUME: Final = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pieces:
    """A row for each of `times`, or one less for what holds between two of them; a column for each of `tanks`.

    `mean_volume` is the logarithmic mean. `warmth` is NaN nowhere: a tank whose temperature is not followed keeps the
    one it is to have.
    """

    times: Array
    lengths: Array
    tanks: tuple[str, ...]
    volume: Array
    level: Array
    mean_volume: Array
    warmth: Array
    mean_warmth: Array
    by_feed: dict[str, Array]
    hand: Array

    @property
    def inflow(self) -> Array:
        """All new water, m3/s."""
        return np.asarray(sum(self.by_feed.values(), start=self.hand))


def pieces_of(
    tanks: Sequence[str],
    still: tuple[Array, Array, Array],
    water: WaterCourse,
    warmth: WarmthCourse | None,
) -> Pieces:
    """The courses of water and warmth on one row of times. `still` are the volumes, levels and temperatures of tanks a
    course does not follow."""
    times = _refined(water, warmth)
    middles = (times[:-1] + times[1:]) / 2.0
    volume = _at(times, water.times, water.tanks, water.volume, tanks, still[0])
    volume = np.maximum(volume, LEAST_VOLUME)
    level = _at(times, water.times, water.tanks, water.level, tanks, still[1])
    warm = np.broadcast_to(still[2], (len(times), len(tanks))).copy()
    if warmth is not None and len(warmth.times):
        warm = _at(times, warmth.times, warmth.tanks, warmth.water, tanks, still[2])
        warm = np.where(np.isfinite(warm), warm, still[2])
    row = np.clip(np.searchsorted(water.times, middles, side="right") - 1, 0, max(len(water.times) - 2, 0))
    columns = _columns(water.tanks, tanks)

    def between(flows: Array) -> Array:
        if not flows.size:
            return np.zeros((len(middles), len(tanks)))
        found = flows[row][:, np.maximum(columns, 0)]
        return np.asarray(np.where(columns >= 0, found, 0.0))

    first, last = volume[:-1], volume[1:]
    ratio = last / first
    level_off = np.abs(ratio - 1.0) < 1e-9
    mean = np.where(level_off, (first + last) / 2.0, (last - first) / np.log(np.where(level_off, 2.0, ratio)))
    return Pieces(
        times=times, lengths=np.diff(times), tanks=tuple(tanks), volume=volume, level=level, mean_volume=mean,
        warmth=warm, mean_warmth=(warm[:-1] + warm[1:]) / 2.0,
        by_feed={name: between(flows) for name, flows in water.by_feed.items()}, hand=between(water.hand),
    )  # fmt: skip


def _refined(water: WaterCourse, warmth: WarmthCourse | None) -> Array:
    times = np.unique(water.times)
    if warmth is not None and len(warmth.times):
        times = np.union1d(times, warmth.times[(warmth.times > times[0]) & (warmth.times < times[-1])])
    parts = np.ceil(np.diff(times) / LONGEST)
    if warmth is not None and len(warmth.times) and warmth.water.size:
        swings = np.zeros(len(times) - 1)
        for column in warmth.water.T:
            here = np.interp(times, warmth.times, column)
            swings = np.maximum(swings, np.abs(np.diff(here)))
        parts = np.maximum(parts, np.ceil(np.nan_to_num(swings) / WARMEST_STEP))
    whole = np.maximum(parts, 1.0).astype(int)
    if whole.max(initial=1) == 1:
        return times
    begun = np.repeat(times[:-1], whole)
    step = np.repeat(np.diff(times) / whole, whole)
    number = np.concatenate([np.arange(count) for count in whole])
    return np.append(begun + step * number, times[-1])


def _columns(have: Sequence[str], want: Sequence[str]) -> NDArray[np.int_]:
    where = {name: index for index, name in enumerate(have)}
    return np.array([where.get(name, -1) for name in want], dtype=int)


def _at(
    times: Array, known: Array, have: Sequence[str], values: Array, want: Sequence[str], still: Array
) -> Array:
    """Rows at other times, straight between those known."""
    columns = _columns(have, want)
    if not len(have):
        return np.tile(still, (len(times), 1))
    after = np.clip(np.searchsorted(known, times, side="left"), 1, max(len(known) - 1, 1))
    if len(known) == 1:
        found = np.repeat(values, len(times), axis=0)
    else:
        apart = known[after] - known[after - 1]
        share = (times - known[after - 1]) / np.where(apart > 0.0, apart, 1.0)
        share = np.clip(share, 0.0, 1.0)[:, None]
        found = values[after - 1] * (1.0 - share) + values[after] * share
    return np.asarray(np.where(columns >= 0, found[:, np.maximum(columns, 0)], still))


def followed(start: Array, gain: Array, rate: Array, lengths: Array) -> Array:
    """y' = gain - rate y from a start through all pieces, never below nought. `gain` and `rate` are (bands x pieces x
    tanks), what comes out has a row more."""
    exponent = rate * lengths[:, None]
    kept = np.exp(-exponent)
    added = gain * lengths[:, None] * mean_decay(exponent)
    rows = np.empty((start.shape[0], len(lengths) + 1, start.shape[1]))
    rows[:, 0] = now = start
    for number in range(len(lengths)):
        now = np.maximum(now * kept[:, number] + added[:, number], 0.0)
        rows[:, number + 1] = now
    return rows


def crossed(pieces: Pieces, course: Array, gain: Array, rate: Array, limit: Array, *, falling: bool) -> Array:
    """When each band of each tank first passes its limit (a row for each time), inside the piece exactly; infinite
    where it never does, 0 where it is past it at the start."""
    past = course <= limit if falling else course >= limit
    first = past.argmax(axis=1)
    reached = np.take_along_axis(past, first[:, None], axis=1)[:, 0]
    before = np.maximum(first - 1, 0)

    def then(values: Array) -> Array:
        return np.take_along_axis(values, before[:, None], axis=1)[:, 0]

    whole = np.broadcast_to((limit[:-1] + limit[1:]) / 2.0, gain.shape)
    length = pieces.lengths[before]
    within = time_to_approach(then(course[:, :-1]), then(gain), then(rate), then(whole))
    share = np.minimum(np.where(np.isfinite(within), within / length, 1.0), 1.0)
    ratio = then(np.broadcast_to(pieces.volume[1:] / pieces.volume[:-1], gain.shape))
    bent = np.abs(ratio - 1.0) > 1e-9
    share = np.where(bent, (ratio**share - 1.0) / np.where(bent, ratio - 1.0, 1.0), share)
    inside = pieces.times[before] + share * length
    return np.where(~reached, np.inf, np.where(first == 0, 0.0, inside))


def passed(times: Array, values: Array, limit: Array, *, falling: bool) -> Array:
    """When a course that runs straight between its rows first passes a limit; infinite where never."""
    past = values <= limit if falling else values >= limit
    first = past.argmax(axis=0)
    columns = np.arange(values.shape[1])
    reached = past[first, columns]
    before = np.maximum(first - 1, 0)
    low, high = values[before, columns], values[first, columns]
    apart = np.where(high != low, high - low, 1.0)
    share = np.clip(np.where(high != low, (limit - low) / apart, 0.0), 0.0, 1.0)
    inside = times[before] + share * (times[first] - times[before])
    return np.where(~reached, np.inf, np.where(first == 0, 0.0, inside))
