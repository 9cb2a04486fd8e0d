"""Chlorine of every tank through a fault: what untreated water brings in, diluted and fading.

The band is that of the chlorine in the water, of what passes carbon and of how fast it fades. A carbon that is not
spent when the fault begins stays so while it is followed. Water out of another tank counts as if nothing of its
chlorine had faded there, as in the study. A supplier who goes over to chloramine is taken to dose as much as before
(many dose more) and chloramine to fade as chlorine does.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from tankwright.faults.model import Array
from tankwright.faults.pieces import Pieces, followed
from tankwright.room.model import Room
from tankwright.room.model_broken import Broken
from tankwright.study import Study
from tankwright.systems.feed_time import DAY
from tankwright.systems.water_chlorine import chlorine_day, passes_carbon
from tankwright.systems.water_life_model import GivenWater, span_of
from tankwright.units import Second


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChlorineCourse:
    """Levels (3 x times x tanks: most kindly end, value, least kindly) with the law of each piece. NaN once water of
    which nothing is known runs into a tank."""

    level: Array
    gain: Array
    rate: Array


def broken_waters(
    study: Study, broken: tuple[Broken, ...]
) -> tuple[dict[str, GivenWater | None], frozenset[str]]:
    """What each feed of the room brings, "" a hose in hand, with its carbon spent or its supplier's way changed, and
    the feeds whose chlorine has become chloramine."""
    room, life = study.room, study.water.life if study.water is not None else None
    waters = {run.id: life.water_of(run.id) if life is not None else None for run in room.feeds}
    waters[""] = _out_of_a_hose(study)
    spent = _downstream(room, {one.what for one in broken if one.kind == "carbon"})
    for name in spent:
        water = waters.get(name)
        if water is not None:
            waters[name] = replace(water, carbon=False)
    changed = _holding(room, {one.what for one in broken if one.kind == "chloramine"})
    turned = {name for name, water in waters.items() if water is not None and water.name in changed}
    for name in turned:
        water = waters[name]
        assert water is not None
        waters[name] = replace(water, disinfectant="chloramine")
    return waters, frozenset(turned)


def _out_of_a_hose(study: Study) -> GivenWater | None:
    """The water of the tap, untreated; of several that with most chlorine. Where none comes from a tap, the one that is
    carried to tanks without a feed."""
    room, found = study.room, study.water
    if found is None or found.life is None:
        return None
    stored = {run.source for run in room.feeds if run.source_kind != "water point"} | {
        tank.id for tank in room.tanks
    }
    piped = {one.id for one in room.waters if not stored.issuperset(one.comes_from)}
    waters = [
        GivenWater(
            name=one.name, chlorine=one.chlorine, disinfectant=one.disinfectant, nitrate=one.nitrate,
            ammonia=one.ammonia, carbonate_hardness=one.carbonate_hardness,
        )
        for one in found.sources
        if one.name in piped
    ]  # fmt: skip
    if not waters:
        return found.life.water_of("")
    return max(waters, key=lambda one: math.inf if one.chlorine is None else one.chlorine.value)


def _downstream(room: Room, feeds: set[str]) -> set[str]:
    """These feeds, and those out of tanks they reach."""
    found = set(feeds)
    while True:
        tanks = {outlet.tank for run in room.feeds if run.id in found for outlet in run.outlets}
        more = {run.id for run in room.feeds if run.source_kind == "tank" and run.source in tanks} - found
        if not more:
            return found
        found |= more


def _holding(room: Room, waters: set[str]) -> set[str]:
    """These waters, and those mixed with some of them."""
    found = set(waters)
    while True:
        more = {one.id for one in room.waters if any(part in found for part, _ in one.mix)} - found
        if not more:
            return found
        found |= more


def chlorine_course(
    study: Study,
    pieces: Pieces,
    waters: Mapping[str, GivenWater | None],
    clock: Second,
    *,
    start: Array | None = None,
) -> ChlorineCourse:
    """Chlorine with the `waters` the feeds bring from the fault on; where the day's programs have it before that,
    unless `start` (3 x tanks) says otherwise."""
    laws = study.room.laws
    assert laws is not None
    fade = span_of(laws.chlorine_decay)
    fading = np.array([fade.high, fade.value, fade.low])[:, None, None]
    gain = np.zeros((3, len(pieces.lengths), len(pieces.tanks)))
    for name, flow in (*pieces.by_feed.items(), ("", pieces.hand)):
        if not flow.any():
            continue
        water = waters.get(name)
        if water is None or water.chlorine is None:
            gain += np.where(flow > 0.0, np.nan, 0.0)
            continue
        brings, through = span_of(water.chlorine), passes_carbon(water, laws.chloramine)
        ends = (brings.low * through.low, brings.value * through.value, brings.high * through.high)
        gain += np.array(ends)[:, None, None] * flow
    gain /= pieces.mean_volume
    rate = pieces.inflow / pieces.mean_volume + fading
    if start is None:
        start = np.tile(routine_chlorine(study, pieces.tanks, clock), (3, 1))
    return ChlorineCourse(level=followed(start, gain, rate, pieces.lengths), gain=gain, rate=rate)


@dataclass(slots=True)
class _Days:
    """The chlorine of a usual day of each tank of one study."""

    study: Study | None = None
    rows: dict[str, Array] = field(default_factory=dict)


_days = _Days()


def routine_chlorine(study: Study, tanks: tuple[str, ...], clock: Second) -> Array:
    """Chlorine at a time of the day with nothing broken, a number a tank; nought where none is known to come in."""
    if _days.study is not study:
        _days.study, _days.rows = study, _usual_days(study)
    rows, found = _days.rows, np.zeros(len(tanks))
    for number, name in enumerate(tanks):
        if name in rows:
            day = rows[name]
            found[number] = np.interp(clock % DAY, day[:, 0], day[:, 2])
    return found


def _usual_days(study: Study) -> dict[str, Array]:
    life = study.water.life if study.water is not None else None
    if life is None:
        return {}
    return {
        one.tank: np.array(day)
        for one in life.chlorine
        if one.now.peak.high > 0.0
        and (day := chlorine_day(study.room, life, one, fresh=one.fresh is not None))
    }


def routine_peaks(study: Study, tanks: tuple[str, ...]) -> Array:
    """The highest chlorine of a usual day in each tank."""
    life = study.water.life if study.water is not None else None
    peaks = {one.tank: one.now.peak.value for one in life.chlorine} if life is not None else {}
    return np.array([peaks.get(name, 0.0) for name in tanks])
