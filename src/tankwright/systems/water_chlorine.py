"""Chlorine in every dripped tank by the programs' clock: what builds up, when it harms, and how long carbon lasts.

Between its openings a drip brings nothing and the chlorine only fades, so each stretch of the day has one closed form
and the day that repeats itself follows without stepping. Where no program runs oftener than every second day or once a
week, two days or a week stand for the day; else one that does not run every day is taken as if it did: that is the
careful side. So is it that water out of another tank counts as if nothing of its chlorine had faded there.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tankwright.origin import Known, Origin
from tankwright.physics.disinfectants import AGENTS, CHLORINE_LIMIT, carbon_life
from tankwright.physics.water_arrays import approached, time_to_approach
from tankwright.room.model import FeedRun, ProgramRun, Room, Tank
from tankwright.room.model_water import LifeLaws
from tankwright.systems.feed_time import DAY, WEEK, seconds_a_week
from tankwright.systems.water_life_model import (
    ChlorineCase,
    ChlorineDose,
    GivenWater,
    RunCarbon,
    Span,
    TankChlorine,
    WaterLife,
    span_of,
    spans,
)

Array = NDArray[np.float64]
Inflows = Mapping[str, Mapping[str, float]]

_EVERY: Final = {3.5: 2.0 * DAY, 1.0: WEEK}
"""How far apart the runs of a program lie that runs so often a week; a day for all others, weekends too."""

BATCH: Final = 0.1
"""m3, the batch a dose is told for where no vat holds the water."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Day:
    """The stretches of a day from the first opening on: how long each is, and which feeds are open in it.

    `period` is after what it repeats itself: a day, two days or a week.
    """

    begins: float
    period: float
    lengths: Array
    opened: Array  # feeds x stretches, 1 or 0


def day_of(programs: Sequence[Sequence[ProgramRun]]) -> _Day | None:
    """The day's clock of some feeds, one row of programs each; None where none of them ever opens.

    >>> night = (ProgramRun(start=7200.0, duration=3600.0, runs_a_week=7.0),)
    >>> day_of((night,)).lengths.tolist()
    [3600.0, 82800.0]
    """
    runs = [[run for run in row if run.duration > 0.0 and run.runs_a_week > 0.0] for row in programs]
    starts = [run.start % DAY for row in runs for run in row]
    if not starts:
        return None
    begins = min(starts)
    period = min(_EVERY.get(run.runs_a_week, DAY) for row in runs for run in row)
    edges = {0.0, period}
    for run in (run for row in runs for run in row):
        first = (run.start - begins) % DAY
        edges |= {first, (first + run.duration) % period}
    marks = np.array(sorted(edges))
    middles = (marks[:-1] + marks[1:]) / 2.0
    opened = [
        [
            float(any((at - (run.start - begins) % DAY) % period < run.duration for run in row))
            for at in middles
        ]
        for row in runs
    ]
    return _Day(begins=begins, period=period, lengths=np.diff(marks), opened=np.array(opened))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Course:
    """Chlorine of some tanks (rows) over the stretches of a day: what each stretch makes of what it began with."""

    day: _Day
    gain: Array
    rate: Array
    kept: Array
    added: Array

    @property
    def settled(self) -> Array:
        """At the day's start and the end of each stretch, once every day is like the last."""
        first = self._through(np.zeros(len(self.gain)))[:, -1]
        kept = np.prod(self.kept, axis=1)
        return self._through(np.where(kept < 1.0, first / np.where(kept < 1.0, 1.0 - kept, 1.0), 0.0))

    def _through(self, start: Array) -> Array:
        found = [start]
        for kept, added in zip(self.kept.T, self.added.T, strict=True):
            found.append(found[-1] * kept + added)
        return np.stack(found, axis=1)

    def harm(self, limit: float) -> tuple[Array, Array]:
        """Time from a clean start until a limit, and how long the drip was open by then; infinite where never."""
        ends = self.settled
        whole = np.prod(self.kept, axis=1)
        lag = ends[:, :1] * np.cumprod(
            self.kept, axis=1
        )  # how far each stretch's end is behind on the first day
        above = ends[:, 1:] > limit
        with np.errstate(divide="ignore", invalid="ignore"):
            days = np.log((ends[:, 1:] - limit) / lag) / np.log(whole)[:, None]
        days = np.where(
            above, np.maximum(np.ceil(np.nan_to_num(days, nan=0.0, neginf=0.0) - 1e-9), 0.0), np.inf
        )
        day = days.min(axis=1)
        reached = np.isfinite(day)
        behind = np.where(reached, ends[:, 0] * whole ** np.where(reached, day, 0.0), 0.0)
        course = self._through(ends[:, 0] - behind)
        opened = self.day.opened.max(axis=0) * self.day.lengths
        after = np.full(len(day), np.inf)
        used = np.full(len(day), np.inf)
        begun = np.concatenate(([0.0], np.cumsum(self.day.lengths)))
        dripped = np.concatenate(([0.0], np.cumsum(opened)))
        for stretch in range(len(self.day.lengths)):
            here = reached & np.isinf(after) & (course[:, stretch + 1] >= limit * (1.0 - 1e-12))
            if not here.any():
                continue
            within = time_to_approach(course[:, stretch], self.gain[:, stretch], self.rate[:, stretch], limit)
            within = np.minimum(within, self.day.lengths[stretch])
            after = np.where(here, day * self.day.period + begun[stretch] + within, after)
            open_share = 1.0 if opened[stretch] > 0.0 else 0.0
            used = np.where(here, day * dripped[-1] + dripped[stretch] + open_share * within, used)
        return after, used


def course_of_tanks(day: _Day, turnovers: Array, chlorine: Array, decay: float) -> _Course:
    """The course of chlorine in tanks. `turnovers` (feeds x tanks) are inflow over volume when open, 1/s; `chlorine` is
    what each feed brings.

    Source: mass balance of a stirred tank; decay of the first order.
    """
    rate = turnovers.T @ day.opened
    gain = (turnovers * chlorine[:, None]).T @ day.opened
    faded = rate + decay
    return _Course(
        day=day, gain=gain, rate=faded, kept=np.exp(-faded * day.lengths),
        added=approached(0.0, gain, faded, day.lengths),
    )  # fmt: skip


# --- the room ----------------------------------------------------------------------------------------------


def passes_carbon(water: GivenWater, chloramine: Known) -> Span:
    """The share of the chlorine that comes through fresh carbon; all of it where the water passes none.

    What the supplier adds not being known, it may be chloramine.
    """
    if not water.carbon:
        return Span(low=1.0, value=1.0, high=1.0)
    poorly = span_of(chloramine)
    if water.disinfectant == "chloramine":
        return poorly
    return Span(low=0.0, value=0.0, high=poorly.high if water.disinfectant == "not known" else 0.0)


def solve_chlorine(
    room: Room, inflows: Inflows, waters: Mapping[str, GivenWater], missing: list[tuple[str, str]]
) -> tuple[TankChlorine, ...]:
    """Every tank with a drip whose chlorine is known; what is not goes to `missing`."""
    laws = room.laws
    if laws is None:
        return ()
    runs: dict[str, FeedRun] = {}
    for run in room.feeds:
        water = waters.get(run.id)
        if not inflows.get(run.id):
            continue
        if water is None or water.chlorine is None:
            missing.append(
                (f"feed {run.id}", "the chlorine of its water is not known, so no tank's chlorine is")
            )
        elif day_of((run.openings,)) is not None:
            runs[run.id] = run
    unknown = {
        name
        for run in room.feeds
        if run.id not in runs and day_of((run.openings,)) is not None
        for name in inflows.get(run.id, {})
    }
    groups: dict[tuple[str, ...], list[Tank]] = {}
    for tank in room.tanks:
        fed = tuple(name for name in runs if inflows[name].get(tank.id, 0.0) > 0.0)
        if fed and tank.id not in unknown and tank.water_volume > 0.0:
            groups.setdefault(fed, []).append(tank)
    found: dict[str, TankChlorine] = {}
    for fed, tanks in groups.items():
        turnovers = np.array(
            [[inflows[run].get(one.id, 0.0) / one.water_volume for one in tanks] for run in fed]
        )
        names = [tank.id for tank in tanks]
        rows = _group([runs[run] for run in fed], names, turnovers, waters, laws)
        found |= {row.tank: row for row in rows}
    return tuple(found[tank.id] for tank in room.tanks if tank.id in found)


def _group(
    runs: Sequence[FeedRun],
    tanks: Sequence[str],
    turnovers: Array,
    waters: Mapping[str, GivenWater],
    laws: LifeLaws,
) -> list[TankChlorine]:
    day = day_of([run.openings for run in runs])
    assert day is not None
    through = [passes_carbon(waters[run.id], laws.chloramine) for run in runs]
    plain = [Span(low=1.0, value=1.0, high=1.0)] * len(runs)
    brought = [_brought(waters[run.id]) for run in runs]

    def cases(shares: Sequence[Span]) -> list[ChlorineCase]:
        fade = span_of(laws.chlorine_decay)
        peaks, harms, used = [], [], []
        for end, fading in (("low", fade.high), ("value", fade.value), ("high", fade.low)):
            chlorine = np.array(
                [
                    getattr(water, end) * getattr(share, end)
                    for water, share in zip(brought, shares, strict=True)
                ]
            )
            course = course_of_tanks(day, turnovers, chlorine, fading)
            peaks.append(course.settled.max(axis=1))
            after, opened = course.harm(CHLORINE_LIMIT)
            harms.append(after)
            used.append(opened)
        return [
            ChlorineCase(peak=peak, harm=harm, opened=opened)
            for peak, harm, opened in zip(spans(peaks), spans(harms[::-1]), spans(used[::-1]), strict=True)
        ]

    carbon = any(waters[run.id].carbon for run in runs)
    bare = cases(plain)
    fresh: Sequence[ChlorineCase | None] = cases(through) if carbon else [None] * len(tanks)
    steady = all(run.runs_a_week * day.period >= WEEK for feed in runs for run in feed.openings)
    names = tuple(run.id for run in runs)
    return [
        TankChlorine(
            tank=name, feeds=names, turnovers=tuple(turned), begins=day.begins, every=day.period,
            steady=steady, fresh=new, bare=old,
        )
        for name, turned, new, old in zip(tanks, turnovers.T.tolist(), fresh, bare, strict=True)
    ]  # fmt: skip


Course = tuple[tuple[float, float, float, float], ...]
"""(seconds, low, value, high) of something over time."""

_STEP: Final = 1800.0


def chlorine_day(room: Room, life: WaterLife, one: TankChlorine, *, fresh: bool) -> Course:
    """Chlorine of a tank over a day on which its feeds run, from midnight on, with its carbon `fresh` or spent."""
    runs = [run for name in one.feeds for run in room.feeds if run.id == name]
    waters = [water for name in one.feeds if (water := life.water_of(name)) is not None]
    day, laws = day_of([run.openings for run in runs]), room.laws
    if day is None or laws is None or len(waters) < len(runs):
        return ()
    plain = Span(low=1.0, value=1.0, high=1.0)
    shares = [passes_carbon(water, laws.chloramine) if fresh else plain for water in waters]
    turnovers, fade = np.array(one.turnovers)[:, None], span_of(laws.chlorine_decay)
    ends = np.cumsum(day.lengths)
    midnight = (-day.begins) % DAY
    times = np.unique(np.concatenate((np.arange(0.0, DAY, _STEP), ends[ends <= DAY], [0.0, midnight])))
    levels = []
    for end, fading in (("low", fade.high), ("value", fade.value), ("high", fade.low)):
        brought = [
            getattr(_brought(water), end) * getattr(share, end)
            for water, share in zip(waters, shares, strict=True)
        ]
        course = course_of_tanks(day, turnovers, np.array(brought), fading)
        stretch = np.minimum(np.searchsorted(ends, times, side="right"), len(ends) - 1)
        within = times - (ends - day.lengths)[stretch]
        starts = course.settled[0]
        levels.append(
            approached(starts[stretch], course.gain[0, stretch], course.rate[0, stretch], within).tolist()
        )
    rows = [(time, *row) for time, *row in zip(((times + day.begins) % DAY).tolist(), *levels, strict=True)]
    points = sorted({round(row[0], 3): row for row in rows}.values())
    return tuple((time, low, value, high) for time, low, value, high in [*points, (DAY, *points[0][1:])])


def _brought(water: GivenWater) -> Span:
    assert water.chlorine is not None
    return span_of(water.chlorine)


def solve_carbons(room: Room, inflows: Inflows, waters: Mapping[str, GivenWater]) -> tuple[RunCarbon, ...]:
    """When the carbon of each feed is spent, by the litres it passes and the chlorine in them."""
    found = []
    for run in room.feeds:
        water = waters.get(run.id)
        carbon = tuple(one for one in run.filters if one.carbon)
        takes = [one.takes for one in carbon if one.takes is not None]
        flow = sum(inflows.get(run.id, {}).values())
        volume = flow * seconds_a_week(run.openings) / WEEK * DAY
        if (
            not takes
            or water is None
            or water.chlorine is None
            or volume <= 0.0
            or water.chlorine.value <= 0.0
        ):
            continue
        took = takes[0] if len(takes) == 1 else _sum(takes)
        taken, chlorine = span_of(took), span_of(water.chlorine)

        def lasts(mass: float, brought: float, each_day: float = volume) -> float:
            if brought < 1e-5:
                return math.inf
            return (
                DAY
                * carbon_life(carbon_volume=1.0, capacity=mass, chlorine=brought, used_share=1.0)
                / each_day
            )

        found.append(RunCarbon(
            run=run.id, filters=tuple(one.name for one in carbon), takes=took, chlorine=water.chlorine,
            disinfectant=water.disinfectant, volume_a_day=volume,
            lasts=Span(
                low=lasts(taken.low, chlorine.high), value=lasts(taken.value, chlorine.value),
                high=lasts(taken.high, chlorine.low),
            ),
            tanks=tuple(inflows[run.id]),
        ))  # fmt: skip
    return tuple(found)


def _sum(parts: Sequence[Known]) -> Known:
    spans = [span_of(part) for part in parts]
    assumed = next((part for part in parts if part.is_assumed), parts[0])
    band = (sum(one.low for one in spans), sum(one.high for one in spans))
    return Known(
        sum(one.value for one in spans), Origin.ASSUMED if assumed.is_assumed else Origin.DERIVED,
        key=assumed.key, band=band, reason="all fillings together",
    )  # fmt: skip


def solve_doses(room: Room, waters: Mapping[str, GivenWater]) -> tuple[ChlorineDose, ...]:
    """What takes the chlorine out of every vat, and out of a hundred litres of each other water."""
    found: dict[tuple[str, str], ChlorineDose] = {}
    vats = {run.id: run for run in room.feeds if run.source_kind == "vat" and run.vat_volume is not None}
    out_of_tanks = {run.id for run in room.feeds if run.source_kind == "tank"}
    for name, water in waters.items():
        if name in out_of_tanks or water.chlorine is None or water.chlorine.value <= 0.0:
            continue
        vat = vats.get(name)
        volume = vat.vat_volume.value if vat is not None and vat.vat_volume is not None else BATCH
        source = vat.source if vat is not None else ""
        brought = span_of(water.chlorine)
        found.setdefault((water.name, source), ChlorineDose(
            water=water.name, vat=source, volume=volume, chlorine=water.chlorine,
            disinfectant=water.disinfectant, thiosulfate=_dose("sodium thiosulfate", brought, volume),
            ascorbate=_dose("sodium ascorbate", brought, volume),
        ))  # fmt: skip
    held = {water for water, vat in found if vat}
    return tuple(dose for (water, vat), dose in found.items() if vat or water not in held)


def _dose(agent: str, chlorine: Span, volume: float) -> Span:
    """The mass of an agent, between the bounds of theory, for the chlorine as it is measured."""
    one = AGENTS[agent]
    whole = chlorine.value * volume
    return Span(low=whole * one.least, value=whole * one.field, high=whole * one.most)
