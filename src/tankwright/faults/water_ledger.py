"""The account of a run of the water: what came, what is held where, what went, row by row."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from tankwright.faults.model import Array, Event, WaterCourse
from tankwright.faults.water_ways import Vessel
from tankwright.room.model import Room

HAND: str = "hose in hand"
"""Source of what a hose left in a tank brings."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """Names of everything an account has a column for: the same for every fault of a room."""

    tanks: tuple[str, ...]
    spaces: tuple[str, ...]
    outfalls: tuple[str, ...]
    vats: tuple[str, ...]
    drains: tuple[str, ...]
    sources: tuple[str, ...]


def columns_of(room: Room) -> Columns:
    """The columns of a room."""
    places = [one.id for one in room.outfalls]
    ends = dict.fromkeys([*places, *(run.outfall for run in room.drains)] or [""])
    vats = dict.fromkeys(
        one.source for one in room.feeds if one.source_kind == "vat" and one.vat_volume is not None
    )
    points = dict.fromkeys(one.source for one in room.feeds if one.source_kind == "water point" or (
        one.source_kind == "vat" and one.vat_volume is None
    ))  # fmt: skip
    return Columns(
        tanks=tuple(tank.id for tank in room.tanks),
        spaces=tuple(space.id for space in room.spaces) or ("",),
        outfalls=tuple(ends),
        vats=tuple(vats),
        drains=tuple(run.id for run in room.drains),
        sources=(*points, HAND),
    )


class Ledger:
    """Volumes between rows, each gathered where it belongs; `course` adds them up."""

    def __init__(self, columns: Columns, rows: Array, feeds: Sequence[str]) -> None:
        """An empty account."""
        gaps = len(rows) - 1
        self.columns, self.rows, self.gaps = columns, rows, np.diff(rows)
        self.level = np.zeros((len(rows), len(columns.tanks)))
        self.by_feed: dict[str, Array] = {feed: np.zeros((gaps, len(columns.tanks))) for feed in feeds}
        self.hand = np.zeros((gaps, len(columns.tanks)))
        self.spilled = np.zeros((gaps, len(columns.tanks)))
        self.floor = np.zeros((gaps, len(columns.spaces)))
        self.gone = np.zeros((gaps, len(columns.outfalls)))
        self.from_vats = np.zeros((gaps, len(columns.vats)))
        self.came = np.zeros((gaps, len(columns.sources)))
        self.backwards = np.zeros((gaps, len(columns.sources)))
        self.stored = np.zeros((len(rows), len(columns.drains)))

    def to_floor(self, space: str, volume: Array) -> None:
        """Water onto a floor."""
        names = self.columns.spaces
        self.floor[:, names.index(space) if space in names else 0] += volume

    def out_of(self, outfall: str, volume: Array) -> None:
        """Water gone by an outfall."""
        names = self.columns.outfalls
        self.gone[:, names.index(outfall) if outfall in names else 0] += volume

    def drawn(self, source: str, volume: Array) -> None:
        """Water taken from a water point or a vat."""
        if source in self.columns.vats:
            self.from_vats[:, self.columns.vats.index(source)] += volume
        else:
            self.came[:, self.columns.sources.index(source)] += volume

    def given_back(self, source: str, volume: Array) -> None:
        """Water run back into a water point or a vat."""
        if source in self.columns.vats:
            self.from_vats[:, self.columns.vats.index(source)] -= volume
        else:
            self.backwards[:, self.columns.sources.index(source)] += volume

    def course(
        self,
        vessels: Sequence[Vessel],
        vats: Mapping[str, float],
        takes: Mapping[str, tuple[float, str]],
        start: WaterCourse | None,
        events: Sequence[Event],
        missing: Sequence[tuple[str, str]],
    ) -> WaterCourse:
        """The course. `takes` is what a floor drain of a space takes back, m3/s, and the outfall it is."""
        area = np.array([one.area for one in vessels])
        bottom = np.array([one.bottom for one in vessels])
        begun = np.zeros(len(self.columns.spaces)) if start is None else start.floor[-1]
        floor = self._floors(begun, takes)
        gaps = self.gaps[:, None]
        return WaterCourse(
            times=self.rows,
            tanks=self.columns.tanks,
            spaces=self.columns.spaces,
            outfalls=self.columns.outfalls,
            vats_named=self.columns.vats,
            drains_named=self.columns.drains,
            sources=self.columns.sources,
            level=self.level,
            volume=(self.level - bottom) * area,
            by_feed={feed: volume / gaps for feed, volume in self.by_feed.items()},
            hand=self.hand / gaps,
            floor=floor,
            spilled=_summed(self.spilled, None if start is None else start.spilled),
            gone=_summed(self.gone, None if start is None else start.gone),
            vats=np.array([vats[one] for one in self.columns.vats]) - _summed(self.from_vats, None),
            drains=self.stored,
            came=_summed(self.came, None if start is None else start.came),
            backwards=_summed(self.backwards, None if start is None else start.backwards),
            events=tuple(sorted(events, key=lambda one: one.time)),
            not_computed=tuple(dict.fromkeys(missing)),
        )

    def _floors(self, begun: Array, takes: Mapping[str, tuple[float, str]]) -> Array:
        """Water on floors: what came less what a floor drain takes back, which is gone."""
        floors = np.empty((len(self.rows), len(begun)))
        for at, space in enumerate(self.columns.spaces):
            taking, outfall = takes.get(space, (0.0, ""))
            if taking <= 0.0:
                floors[:, at] = begun[at] + np.concatenate([[0.0], np.cumsum(self.floor[:, at])])
                continue
            water = [float(begun[at])]
            for came, gap in zip(self.floor[:, at].tolist(), self.gaps.tolist(), strict=True):
                water.append(max(water[-1] + came - taking * gap, 0.0))
            floors[:, at] = water
            self.out_of(outfall, self.floor[:, at] - np.diff(floors[:, at]))
        return floors


def _summed(volumes: Array, start: Array | None) -> Array:
    begun = np.zeros((1, volumes.shape[1])) if start is None else start[-1:]
    return np.concatenate([begun, begun + np.cumsum(volumes, axis=0)])
