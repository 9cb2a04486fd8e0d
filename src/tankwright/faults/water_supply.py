"""All feeds of a broken room by the clock: what each brings while it runs, and in which stretches of time it does."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from tankwright.faults.model import Array, Setting, WaterCourse
from tankwright.faults.water_feeds import Bringing, ByGravity, bringing, by_gravity
from tankwright.faults.water_inflows import Emptied, Span, cut_at, running, shut_by_volume, vats_emptied
from tankwright.faults.water_laws import Law
from tankwright.faults.water_ways import Sink, Vessel
from tankwright.room.model import FeedRun, Room
from tankwright.study import Study
from tankwright.units import CubicMetre, Second


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Supply:
    """One feed. `tanks` and `floor` are m3/s by tank and by space while it runs, nothing for one out of a tank
    (`gravity`); `on` is 1 in each stretch in which it runs."""

    run: FeedRun
    tanks: Array
    floor: Array
    on: Array
    gravity: ByGravity | None = None

    @property
    def reaches(self) -> NDArray[np.bool_]:
        """Which tanks it can bring water to."""
        most = self.tanks if self.gravity is None else self.gravity.tanks.max(0)
        return np.asarray(most > 0.0)

    def shared(self, level: Array, volume: Array) -> tuple[Array, Array]:
        """What ran out of a tank between rows, by the tank and by the floor it ran to."""
        assert self.gravity is not None
        middle = 0.5 * (level[:-1] + level[1:])
        table = np.concatenate([self.gravity.tanks, self.gravity.floor], axis=1)
        flows = np.array([np.interp(middle, self.gravity.heights, column) for column in table.T]).T
        total = flows.sum(1, keepdims=True)
        even = np.where(table[-1].sum() > 0.0, table[-1] / max(table[-1].sum(), 1e-300), 0.0)
        shares = np.where(total > 0.0, flows / np.where(total > 0.0, total, 1.0), even)
        split = shares * volume[:, None]
        count = self.gravity.tanks.shape[1]
        return split[:, :count], split[:, count:]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Supplies:
    """Every feed of a room over the same edges of time. `stored` is what vats hold at the beginning, `order` the
    column of each tank."""

    edges: Array
    feeds: tuple[Supply, ...]
    stored: dict[str, CubicMetre]
    order: dict[str, int]
    emptied: tuple[Emptied, ...] = ()
    missing: list[tuple[str, str]] = field(default_factory=list)

    def fed(self) -> Array:
        """What all feeds bring into each tank in each stretch."""
        total = np.zeros((len(self.edges) - 1, len(self.order)))
        for one in self.feeds:
            total += one.on[:, None] * one.tanks[None, :]
        return total

    def feed(self, name: str) -> Supply:
        """The feed of a name."""
        return next(one for one in self.feeds if one.run.id == name)


def supplies_of(
    study: Study, room: Room, setting: Setting, start: WaterCourse | None, shut_from: Second = math.inf
) -> Supplies:
    """All feeds from the moment something breaks to the end. `shut_from` is when a leak sensor shuts those that have
    one."""
    horizon = setting.horizon
    order = {tank.id: index for index, tank in enumerate(room.tanks)}
    missing: list[tuple[str, str]] = []
    found: list[tuple[Bringing, tuple[Span, ...]]] = []
    tables: list[ByGravity | None] = []
    for run in room.feeds:
        table: ByGravity | None = None
        one: Bringing | str
        if run.source_kind == "tank" and run.source in order:
            tank = room.tanks[order[run.source]]
            known = by_gravity(study, run, room.broken, tank.floor_inside, tank.rim)
            one = known if isinstance(known, str) else _nothing(run, room)
            table = None if isinstance(known, str) else known
        else:
            one = bringing(study, run, room.broken)
        if isinstance(one, str):
            missing.append((f"feed {run.id}", one))
            continue
        if not run.programs:
            missing.append((f"feed {run.id}", "it has no program; it is taken to run without end"))
        when = shut_by_volume(one, running(room, run, setting.clock, 0.0, horizon))
        found.append((one, cut_at(when, shut_from) if run.shuts_on_floor_water else when))
        tables.append(table)
    stored = _stored(room, start)
    spans, emptied = vats_emptied(found, _usable(room, stored))
    marks = sorted(
        {0.0, horizon} | {min(max(edge, 0.0), horizon) for when in spans for one in when for edge in one}
    )
    edges = np.array(marks)
    feeds = tuple(
        Supply(run=one.run, tanks=one.tanks, floor=one.floor, on=_on(edges, when), gravity=table)
        for (one, _), when, table in zip(found, spans, tables, strict=True)
    )
    return Supplies(edges=edges, feeds=feeds, stored=stored, order=order, emptied=emptied, missing=missing)


def with_gravity(vessels: Sequence[Vessel], supplies: Supplies) -> tuple[Vessel, ...]:
    """Tanks that a feed runs out of have that as one more way out."""
    made = list(vessels)
    for one in supplies.feeds:
        if one.gravity is not None:
            at = supplies.order[one.run.source]
            flows = one.gravity.tanks.sum(1) + one.gravity.floor.sum(1)
            law = Law(heights=one.gravity.heights, flows=np.maximum.accumulate(flows))
            sink = Sink(to="feed", where=one.run.id, law=law)
            made[at] = replace(made[at], sinks=(*made[at].sinks, sink))
    return tuple(made)


def _nothing(run: FeedRun, room: Room) -> Bringing:
    return Bringing(run=run, tanks=np.zeros(len(room.tanks)), floor=np.zeros(len(room.spaces)))


def _on(edges: Array, when: Sequence[Span]) -> Array:
    middle = 0.5 * (edges[:-1] + edges[1:])
    on = np.zeros(len(middle))
    for begin, end in when:
        on[(middle > begin) & (middle < end)] = 1.0
    return on


def _stored(room: Room, start: WaterCourse | None) -> dict[str, CubicMetre]:
    stored = {
        run.source: run.vat_volume.value
        for run in room.feeds
        if run.source_kind == "vat" and run.vat_volume is not None
    }
    if start is not None:
        stored |= dict(zip(start.vats_named, (float(one) for one in start.vats[-1]), strict=True))
    return stored


def _usable(room: Room, stored: dict[str, CubicMetre]) -> dict[str, CubicMetre]:
    """What of a vat can be drawn: down to where its switch stops the pump."""
    kept = {
        run.source: run.low_level_cutoff.value
        for run in room.feeds
        if run.source_kind == "vat" and run.low_level_cutoff is not None
    }
    return {vat: max(volume - kept.get(vat, 0.0), 0.0) for vat, volume in stored.items()}
