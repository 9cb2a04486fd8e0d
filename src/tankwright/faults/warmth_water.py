"""What a fault makes of the water that matters to warmth: more or less of it running in, and tanks that run dry.

The healthy room's drip is warmed as a mean over the day, as everywhere in the heat of a room: its programs' hour makes
a tank no colder here. What a fault brings beyond its program runs when it runs; a drip that stays out is taken off the
mean of its day. So the water adds up, and a program that ran as it always does changes nothing. Where a fault brings
more than the programs themselves (a valve that does not shut), all water runs when it runs.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tankwright.faults.model import Array, WaterCourse
from tankwright.faults.water_inflows import spans
from tankwright.room.model import Room
from tankwright.study import Study
from tankwright.units import Metre, Second

Index = NDArray[np.int64]

DAY: Final = 86_400.0

MATTERS: Final = 0.02
"""Share of a tank's water that must run in beyond the routine, stay out of it, or be gone, to be followed."""

LIKE: Final = 0.05
"""Share of the largest inflow, or twice that of a tank's water, by which two stretches may differ and count as one."""

SHORTEST: Final[Second] = 60.0
MOST_STRETCHES: Final = 48

MOVING: Final = frozenset({
    "hand hose", "feed valve", "feed line", "feed outlet", "mains pressure", "mains off", "vat pump", "power",
    "board", "circuit", "device",
})  # fmt: skip
"""Faults after which other water may run into tanks than in the routine."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Waters:
    """Stretches of time in which each followed tank has one inflow and one volume.

    `edges` are their ends, one more than there are; `sudden` which of them begin with another inflow. `tanks` are
    columns of the course that are followed. `feed` and `hand` are m3/s, `volume` m3, `level` m: stretches x tanks.
    """

    edges: Array
    sudden: tuple[bool, ...]
    tanks: tuple[int, ...]
    feed: Array
    hand: Array
    volume: Array
    level: Array


def waters_of(study: Study, ill: Room, water: WaterCourse, clock: Second, horizon: Second) -> Waters:
    """The stretches of a course of water."""
    volumes = {tank.id: tank.water_volume for tank in study.room.tanks}
    usual = np.array([volumes[name] for name in water.tanks])
    edges = _edges(study.room, water, clock, horizon)
    middle = (edges[:-1] + edges[1:]) / 2.0
    lengths = np.diff(edges)
    level = _straight(edges, water.times, water.level)
    volume = _straight(edges, water.times, water.volume)
    mean = _means(study, water)
    feed = np.broadcast_to(mean, (len(middle), len(usual)))
    hand = np.zeros(feed.shape)
    moved = np.zeros(len(usual))
    if len(water.times) > 1 and any(one.kind in MOVING for one in ill.broken):
        row = np.clip(np.searchsorted(water.times, middle, side="right") - 1, 0, len(water.times) - 2)
        hand = water.hand[row]
        feed = _running_in(study, water, clock, middle, lengths, row, mean)
        moved = lengths @ np.abs(feed - mean) + lengths @ hand
    gone = (usual - volume).max(axis=0, initial=0.0)
    with np.errstate(invalid="ignore"):
        touched = (usual > 0.0) & (np.maximum(moved, gone) > MATTERS * usual)
    tanks = np.flatnonzero(touched)
    if not len(tanks):
        return Waters(
            edges=np.array([0.0, horizon]), sudden=(True,), tanks=(),
            feed=np.zeros((1, 0)), hand=np.zeros((1, 0)), volume=np.zeros((1, 0)), level=np.zeros((1, 0)),
        )  # fmt: skip
    feed, hand = feed[:, tanks], hand[:, tanks]
    found = _gathered(edges, feed, hand, volume[:, tanks], level[:, tanks], usual[tanks])
    return replace(found, tanks=tuple(int(one) for one in tanks))


def _edges(room: Room, water: WaterCourse, clock: Second, horizon: Second) -> Array:
    marks = [0.0, horizon, *np.arange(DAY, horizon, DAY)]
    for feed in room.feeds:
        for span in spans(feed.programs, clock, 0.0, horizon):
            marks += span
    found = np.unique(np.concatenate([np.array(marks), water.times]))
    return np.asarray(found[(found >= 0.0) & (found <= horizon)])


def _straight(times: Array, known: Array, values: Array) -> Array:
    if not values.shape[1]:
        return np.zeros((len(times), 0))
    return np.column_stack([np.interp(times, known, column) for column in values.T])


def _means(study: Study, water: WaterCourse) -> Array:
    """The drip of each tank as a mean over the day, m3/s."""
    drips = {one.tank: one.volume_a_day / DAY for one in study.feed.tanks} if study.feed is not None else {}
    return np.array([drips.get(name, 0.0) for name in water.tanks])


def _running_in(
    study: Study, water: WaterCourse, clock: Second, middle: Array, lengths: Array, row: Index, mean: Array
) -> Array:
    """What runs in by feeds: the mean of the day as far as it came, and what came beyond the programs."""
    column = {name: number for number, name in enumerate(water.tanks)}
    extra = np.zeros((len(middle), len(column)))
    kept, planned, whole = np.zeros(extra.shape), np.zeros(extra.shape), np.zeros(extra.shape)
    flows = {one.run: one for one in study.feed.runs} if study.feed is not None else {}
    for run in study.room.feeds:
        usual = np.zeros(len(column))
        for outlet in flows[run.id].outlets if run.id in flows else ():
            if outlet.tank in column:
                usual[column[outlet.tank]] += outlet.flow
        on = np.zeros(len(middle)) if run.programs else np.ones(len(middle))
        for begin, end in spans(run.programs, clock, 0.0, float(lengths.sum())):
            on[(middle > begin) & (middle < end)] = 1.0
        program = on[:, None] * usual
        came = water.by_feed[run.id][row] if run.id in water.by_feed else program
        extra += np.maximum(came - program, 0.0)
        kept += np.minimum(came, program)
        whole += came
        planned += program
    day = (middle // DAY).astype(int)
    share = np.ones(len(column))
    found = np.empty(extra.shape)
    for number in range(int(day[-1]) + 1):
        here = day == number
        wanted = lengths[here] @ planned[here]
        with np.errstate(invalid="ignore", divide="ignore"):
            share = np.where(wanted > 0.0, lengths[here] @ kept[here] / wanted, share)
        found[here] = mean * share + extra[here]
    return np.where(lengths @ extra > lengths @ planned, whole, found)


def _gathered(edges: Array, feed: Array, hand: Array, volume: Array, level: Array, usual: Array) -> Waters:
    """Neighbouring stretches that are alike made one."""
    likeness = LIKE
    while True:
        first = _beginnings(edges, np.hstack([feed, hand]), volume / usual, likeness)
        if len(first) <= MOST_STRETCHES:
            break
        likeness *= 2.0
    bounds = np.append(first, len(edges) - 1)
    ends = edges[bounds]
    spread = np.diff(ends)[:, None]

    def mean(flows: Array) -> Array:
        summed = np.vstack([np.zeros(flows.shape[1]), np.cumsum(flows * np.diff(edges)[:, None], axis=0)])
        return np.asarray(np.diff(summed[bounds], axis=0) / spread)

    def halfway(rows: Array) -> Array:
        return mean((rows[:-1] + rows[1:]) / 2.0)

    flows = np.hstack([mean(feed), mean(hand)])
    largest = np.maximum(flows.max(axis=0), 1e-12)
    steps = np.abs(np.diff(flows, axis=0)) > LIKE * largest
    return Waters(
        edges=ends, sudden=(True, *(bool(one) for one in steps.any(axis=1))),
        tanks=(), feed=mean(feed), hand=mean(hand), volume=halfway(volume), level=halfway(level),
    )  # fmt: skip


def _beginnings(edges: Array, flows: Array, filled: Array, likeness: float) -> list[int]:
    largest = np.maximum(flows.max(axis=0), 1e-12)
    shares = flows / largest
    first, since = [0], edges[0]
    for k in range(1, len(edges) - 1):
        if edges[k] - since < SHORTEST or edges[-1] - edges[k] < SHORTEST:
            continue
        other = np.abs(shares[k] - shares[first[-1]]).max(initial=0.0) > likeness
        if other or np.abs(filled[k + 1] - filled[first[-1]]).max(initial=0.0) > 2.0 * likeness:
            first.append(k)
            since = edges[k]
    return first


def falls_under(water: WaterCourse, column: int, height: Metre) -> Second | None:
    """When the level of a tank first falls under a height; None when it does not."""
    level = water.level[:, column]
    under = level < height
    if not under.any():
        return None
    k = int(under.argmax())
    if k == 0:
        return 0.0
    before, after = float(level[k - 1]), float(level[k])
    begin, end = float(water.times[k - 1]), float(water.times[k])
    return begin + (end - begin) * (before - height) / (before - after)
