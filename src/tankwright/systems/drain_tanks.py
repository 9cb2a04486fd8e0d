"""How water leaves one tank: over its lip, through its hose, and over its rim when that way is shut."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from tankwright.physics.constants import STANDARD_GRAVITY, WATER_DENSITY
from tankwright.physics.mixing import time_to_spill
from tankwright.physics.mouths import tilted_head, tilted_overflow
from tankwright.physics.numerics import integral
from tankwright.physics.pipes import hose_drain_flow, pipe_pressure_drop
from tankwright.physics.ranges import OutsideValidRange
from tankwright.physics.weirs import outlet_froude_number, self_venting_flow
from tankwright.room.model import ProgramRun, Room, Tank
from tankwright.systems.drain_model import Emptying, TankDrain
from tankwright.systems.drain_second import second_way

HOSE_LOSSES = 2.8
"""Velocity heads lost in a hose beside friction and exit: sharp entry 0.5, two tight bends of 0.9, barb 0.5.
Source: common practice, no source for the sum."""

WEEK = 604800.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """The way out of a tank that has an overflow and a hose."""

    tank: str
    drain: str
    node: str
    lip: float
    rim: float
    level: float
    bore: float
    angle: float
    open_share: float
    hose_bore: float
    hose_length: float
    hose_end: float
    mouth_flow: float
    inside_area: float
    low: float

    def hose_flow(self, surface: float, backed: float = -math.inf) -> float:
        """Flow of the full hose from a water surface to its end, or to the level that drowns its end."""
        head = surface - max(self.hose_end, backed)
        if head <= 0.0:
            return 0.0
        return _full_hose(head, self.hose_bore, self.hose_length)

    def hose_head(self, flow: float) -> float:
        """Fall a full hose needs for a flow, exit counted: the inverse of `hose_flow`."""
        lost = pipe_pressure_drop(
            flow=flow, inner_diameter=self.hose_bore, length=self.hose_length, minor_loss=HOSE_LOSSES + 1.0
        )
        return lost / (WATER_DENSITY * STANDARD_GRAVITY)

    def capacity(self, backed: float = -math.inf) -> float:
        """Most the overflow passes before water reaches the rim, with the drain standing at a level."""
        return min(self.mouth_flow, self.hose_flow(self.rim, backed))

    def emptying(self, backed: float = -math.inf) -> Emptying:
        """What happens when the standpipe or elbow is pulled: the tank runs down to its hole."""
        end = max(self.hose_end, backed)
        low = max(self.low, end)
        volume = max(self.level - low, 0.0) * self.inside_area
        peak = self.hose_flow(self.level, backed)
        seconds: float | None = None
        if self.low > end and volume > 0.0:
            seconds = self.inside_area * integral(
                lambda height: 1.0 / self.hose_flow(height, backed), self.low, self.level
            )
        return Emptying(tank=self.tank, peak=peak, volume=volume, seconds=seconds)


def hose_end(tank: Tank, crowns: Mapping[tuple[str, str], float]) -> float | None:
    """Height at which a tank's hose lets go: its end, but no lower than the top of the drain pipe it enters.

    `crowns` are the heights of the pipe's top by (drain, node).
    """
    hose = tank.hose
    if hose is None:
        return None
    return max(hose.end[2], crowns.get((hose.drain, hose.node), -math.inf))


def way_out(tank: Tank, end: float | None) -> Way | None:
    """The way out of a tank whose hose ends at a height, None without overflow or hose.

    Raises OutsideValidRange for an odd mouth.
    """
    overflow, hose = tank.overflow, tank.hose
    if overflow is None or hose is None or end is None:
        return None
    angle = min(max(overflow.angle, 0.0), math.pi / 2)
    freeboard = min(max(tank.rim - overflow.lip, 0.0), 2.0)
    mouth = tilted_overflow(
        head=freeboard, diameter=overflow.bore.value, angle=angle, open_share=overflow.open_share.value
    )
    return Way(
        tank=tank.id,
        drain=hose.drain,
        node=hose.node,
        lip=overflow.lip,
        rim=tank.rim,
        level=tank.level,
        bore=overflow.bore.value,
        angle=angle,
        open_share=overflow.open_share.value,
        hose_bore=hose.bore.value,
        hose_length=hose.length.value,
        hose_end=end,
        mouth_flow=mouth,
        inside_area=tank.inside_area,
        low=_hole_bottom(tank),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Filling:
    """What comes into a tank: the feed at full flow, between two looks, when its timer runs, and for how
    long nobody looks."""

    inflow: float
    between_looks: float
    programs: tuple[ProgramRun, ...]
    absence: float | None


def tank_drain(
    tank: Tank, way: Way | None, filling: Filling, *, head: float | None, end: float | None
) -> TankDrain:
    """Everything about one tank's overflow. `head` comes from `overflow_head`, `end` from `hose_end`."""
    inflow, programs = filling.inflow, filling.programs
    hose, fall, bulkhead_fall = tank.hose, None, None
    if hose is not None and end is not None:
        bulkhead_fall = hose.start[2] - end
        fall = tank.overflow.lip - end if tank.overflow is not None else None
    run, seconds = _spill_run(inflow, tank.freeboard_volume, programs)
    volumes = [inflow * program.duration for program in programs]
    second = second_way(tank)
    return TankDrain(
        tank=tank.id,
        drain=hose.drain if hose else None,
        node=hose.node if hose else None,
        inflow=inflow,
        freeboard=tank.freeboard,
        freeboard_volume=tank.freeboard_volume,
        head=head,
        mouth_flow=way.mouth_flow if way else None,
        hose_flow=way.hose_flow(way.rim) if way else None,
        capacity=way.capacity() if way else None,
        self_venting=self_venting_flow(way.hose_bore) if way else None,
        hose_froude=outlet_froude_number(flow=inflow, diameter=way.hose_bore) if way else None,
        fall=fall,
        bulkhead_fall=bulkhead_fall,
        seconds_to_spill=_blocked(tank, inflow),
        fill_between_looks=filling.between_looks,
        fill_in_absence=_in_absence(filling),
        volume_per_run=max(volumes) if volumes else None,
        spill_run=run,
        seconds_to_spill_by_program=seconds,
        second_flow=second.flow,
        second_holds=second.holds(inflow),
    )


def overflow_head(tank: Tank, inflow: float) -> float | None:
    """Water over the lip at an inflow, None without an overflow. Raises OutsideValidRange."""
    overflow = tank.overflow
    if overflow is None:
        return None
    angle = min(max(overflow.angle, 0.0), math.pi / 2)
    return _head(inflow, overflow.bore.value, angle, overflow.open_share.value)


@lru_cache(maxsize=8192)
def _full_hose(head: float, bore: float, length: float) -> float:
    """The searches of a drain ask for the same hose at the same level again and again."""
    return hose_drain_flow(head=head, inner_diameter=bore, length=length, minor_loss=HOSE_LOSSES)


@lru_cache(maxsize=2048)
def _head(flow: float, bore: float, angle: float, open_share: float) -> float:
    """Tanks of one kind share their mouth and mostly their inflow: each is worked out once."""
    return tilted_head(flow=flow, diameter=bore, angle=angle, open_share=open_share)


def programs_by_tank(room: Room) -> dict[str, tuple[ProgramRun, ...]]:
    """The timer runs that bring water to each tank, earliest in the day first; none for a feed that never
    stops."""
    found: dict[str, set[ProgramRun]] = {}
    for feed in room.feeds:
        for outlet in feed.outlets:
            found.setdefault(outlet.tank, set()).update(feed.openings)
    return {
        tank: tuple(sorted(programs, key=lambda program: (program.start, program.duration)))
        for tank, programs in found.items()
    }


def _hole_bottom(tank: Tank) -> float:
    if tank.hole is None or tank.hole.pane == "base":
        return tank.floor_inside
    return max(tank.hole.centre[2] - tank.hole.diameter.value / 2.0, tank.floor_inside)


def _blocked(tank: Tank, inflow: float) -> float | None:
    if inflow <= 0.0 or tank.freeboard_volume < 0.0:
        return None
    try:
        return time_to_spill(freeboard_volume=tank.freeboard_volume, inflow=inflow)
    except OutsideValidRange:
        return None


def _in_absence(filling: Filling) -> float | None:
    """Most that comes in during the longest absence: a run that may fall inside it is counted whole."""
    absence = filling.absence
    if absence is None:
        return None
    if not filling.programs:
        return filling.inflow * absence
    weeks = absence / WEEK
    runs = [(one.duration, math.ceil(weeks * one.runs_a_week - 1e-9)) for one in filling.programs]
    return filling.inflow * sum(min(duration * count, absence) for duration, count in runs)


def _spill_run(
    inflow: float, freeboard_volume: float, programs: Sequence[ProgramRun]
) -> tuple[int | None, float | None]:
    """Which run after a blockage spills, counted from 1, and the seconds from the first one's start.

    Several programs take turns by their hour; the turn repeats as often as the most frequent one does.
    """
    per_turn = inflow * sum(one.duration for one in programs)
    often = max((one.runs_a_week for one in programs), default=0.0)
    if per_turn <= 0.0 or often <= 0.0 or freeboard_volume < 0.0:
        return None, None
    turns = max(math.ceil(freeboard_volume / per_turn - 1e-9) - 1, 0)
    left = freeboard_volume - turns * per_turn
    for index, program in enumerate(programs):
        if left <= inflow * program.duration * (1.0 + 1e-9):
            wait = turns * WEEK / often + program.start - programs[0].start
            return turns * len(programs) + index + 1, wait + left / inflow
        left -= inflow * program.duration
    return (turns + 1) * len(programs), (turns + 1) * WEEK / often
