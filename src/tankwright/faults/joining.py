"""Two stretches of one course, put end to end."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from tankwright.faults.model import Array, Event, LifeCourse, WarmthCourse, WaterCourse
from tankwright.units import Second


def joined_water(first: WaterCourse, second: WaterCourse, begun: Second) -> WaterCourse:
    """Water first and then, from `begun` on; the sums of what came and went are carried on."""
    return replace(
        first,
        times=_times(first.times, second.times, begun),
        level=_rows(first.level, second.level),
        volume=_rows(first.volume, second.volume),
        by_feed={
            name: np.concatenate([first.by_feed[name], second.by_feed[name]])
            for name in first.by_feed
            if name in second.by_feed
        },
        hand=np.concatenate([first.hand, second.hand]),
        floor=_rows(first.floor, second.floor),
        spilled=_rows(first.spilled, second.spilled),
        gone=_rows(first.gone, second.gone),
        vats=_rows(first.vats, second.vats),
        drains=_rows(first.drains, second.drains),
        came=_rows(first.came, second.came),
        backwards=_rows(first.backwards, second.backwards),
        events=_events(first.events, second.events, begun),
        not_computed=tuple(dict.fromkeys((*first.not_computed, *second.not_computed))),
    )


def joined_warmth(
    first: WarmthCourse | None, second: WarmthCourse | None, begun: Second
) -> WarmthCourse | None:
    """Warmth first and then."""
    if first is None or second is None:
        return second if first is None else first
    return replace(
        first,
        times=_times(first.times, second.times, begun),
        water=_rows(first.water, second.water),
        air=_rows(first.air, second.air),
        walls=_rows(first.walls, second.walls),
        moisture=_rows(first.moisture, second.moisture),
        events=_events(first.events, second.events, begun),
        imbalance=max(first.imbalance, second.imbalance),
        not_computed=tuple(dict.fromkeys((*first.not_computed, *second.not_computed))),
    )


def joined_life(first: LifeCourse | None, second: LifeCourse | None, begun: Second) -> LifeCourse | None:
    """Life first and then; what harmed it first counts."""
    if first is None or second is None:
        return second if first is None else first
    told = {(one.kind, one.where): one.earliest for one in first.perhaps}
    later, perhaps = (
        tuple(
            replace(
                one,
                time=one.time + begun,
                earliest=min(one.earliest + begun, told.get((one.kind, one.where), np.inf)),
                latest=one.latest + begun,
            )
            for one in found
        )
        for found in (second.harms, second.perhaps)
    )
    certain = {(one.kind, one.where) for one in (*first.harms, *later)}
    either = {(one.kind, one.where): one for one in (*perhaps, *first.perhaps)}
    return replace(
        first,
        times=_times(first.times, second.times, begun),
        oxygen=np.concatenate([first.oxygen, second.oxygen[:, 1:]], axis=1),
        ammonia=_rows(first.ammonia, second.ammonia),
        chlorine=_rows(first.chlorine, second.chlorine),
        harms=(*first.harms, *later),
        perhaps=tuple(one for key, one in either.items() if key not in certain),
        held=second.held,
        not_computed=tuple(dict.fromkeys((*first.not_computed, *second.not_computed))),
    )


def _times(first: Array, second: Array, begun: Second) -> Array:
    return np.concatenate([first, second[1:] + begun])


def _rows(first: Array, second: Array) -> Array:
    """The second goes on from the last row of the first, so its own first row is that one again."""
    return np.concatenate([first, second[1:]])


def _events(first: Iterable[Event], second: Iterable[Event], begun: Second) -> tuple[Event, ...]:
    """What the second finds going on already when it begins was told in the first."""
    told = {(one.what, one.where, one.to) for one in first}
    later = (one for one in second if one.time > 0.0 or (one.what, one.where, one.to) not in told)
    return (*first, *(replace(one, time=one.time + begun) for one in later))
