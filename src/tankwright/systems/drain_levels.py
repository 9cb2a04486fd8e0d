"""How high water stands along a shared drain: even flow where it runs open, friction where it runs full.

Steady flow only. An open segment has Manning's even depth, or a level pool where water stands back from
below; a drowned one has Manning's friction slope of the full pipe. Velocity heads, losses at tees and waves
are left out; the SWMM file of `verify` shows what they amount to.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from tankwright.physics.channels import (
    FULLEST_DEPTH_SHARE,
    critical_depth,
    full_bore_flow,
    part_full_area,
    part_full_depth,
    part_full_flow,
    part_full_flow_colebrook,
    part_full_width,
)
from tankwright.physics.constants import STANDARD_GRAVITY
from tankwright.physics.ranges import OutsideValidRange
from tankwright.room.model import DrainRun
from tankwright.systems.drain_model import SegmentState

CLEAN_PLASTIC_ROUGHNESS = 0.06e-3
"""m, wall of new plastic drain for the comparison by Colebrook and White. Source: upper end of 0.0015 to
0.06 mm for new plastic, from memory."""

STEEPEST = 0.5
"""Fall up to which the even-flow formulas are stated; a steeper segment is worked out as this steep, which
gives it too little capacity rather than too much."""

FLATTEST = 1e-6
"""Fall below which a segment counts as level: no even flow."""


TRICKLE = 1e-12
"""m3/s below which a pipe counts as dry: a drop in a minute."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sloped:
    """A run as the formulas see it, upper end first; one entry a segment in `lengths` and `slopes`."""

    bore: float
    manning_n: float
    nodes: tuple[str, ...]
    inverts: tuple[float, ...]
    lengths: tuple[float, ...]
    slopes: tuple[float, ...]
    full: tuple[float, ...]
    greatest: tuple[float, ...]
    friction: float
    outlet_level: float

    def drowned_slope(self, flow: float) -> float:
        """Friction slope of the full pipe, Manning's formula."""
        return self.friction * flow * flow

    def even_depth(self, segment: int, flow: float) -> float | None:
        """Manning's even depth, None when the segment rises or cannot carry the flow open."""
        if flow > self.greatest[segment]:
            return None
        if flow <= TRICKLE:
            return 0.0
        slope = min(self.slopes[segment], STEEPEST)
        return part_full_depth(flow=flow, inner_diameter=self.bore, slope=slope, manning_n=self.manning_n)


def sloped(run: DrainRun, outfall_height: float) -> Sloped:
    """A drain run made ready. Raises OutsideValidRange for a bore or roughness no formula takes.

    Nodes that lie on the same spot along the run are joined by a segment of no length; it is treated as a
    joint that costs nothing.
    """
    bore, rough = run.bore.value, run.manning_n.value
    inverts = tuple(node.place[2] for node in run.nodes)
    chainages = tuple(node.chainage for node in run.nodes)
    lengths = tuple(max(b - a, 0.0) for a, b in pairwise(chainages))
    slopes = tuple(
        (a - b) / length if length > 0.0 else math.copysign(STEEPEST, a - b)
        for (a, b), length in zip(pairwise(inverts), lengths, strict=True)
    )
    unit_full = full_bore_flow(inner_diameter=bore, slope=0.01, manning_n=rough) / 0.1
    unit_greatest = 10.0 * part_full_flow(
        inner_diameter=bore, slope=0.01, depth_share=FULLEST_DEPTH_SHARE, manning_n=rough
    )
    roots = tuple(math.sqrt(min(slope, STEEPEST)) if slope >= FLATTEST else 0.0 for slope in slopes)
    return Sloped(
        bore=bore,
        manning_n=rough,
        nodes=tuple(node.id for node in run.nodes),
        inverts=inverts,
        lengths=lengths,
        slopes=slopes,
        full=tuple(unit_full * one for one in roots),
        greatest=tuple(unit_greatest * one for one in roots),
        friction=1.0 / unit_full**2,
        outlet_level=outfall_height,
    )


def add_up(node_inflows: Sequence[float]) -> tuple[float, ...]:
    """Flow of each segment from what comes in at each node, upper end first; the last node feeds nothing.

    >>> add_up((1.0, 0.0, 2.0, 0.5))
    (1.0, 1.0, 3.0)
    """
    flows, total = [], 0.0
    for inflow in node_inflows[:-1]:
        total += inflow
        flows.append(total)
    return tuple(flows)


def water_levels(
    pipe: Sloped, flows: Sequence[float], depths: Sequence[float | None] | None = None
) -> tuple[float, ...]:
    """Height of water or pressure line at every node, worked from the outfall upwards.

    `depths` are the even depths; without them every open segment counts as brim-full, which is an upper
    bound and quick to find.
    """
    bore, last = pipe.bore, len(flows) - 1
    if last < 0:
        return (leaving_level(pipe, 0.0, 0.0),)
    level = leaving_level(pipe, flows[last], bore if depths is None else depths[last])
    levels = [level]
    for segment in range(last, -1, -1):
        level = level_above(pipe, segment, flows[segment], bore if depths is None else depths[segment], level)
        levels.append(level)
    return tuple(reversed(levels))


def leaving_level(pipe: Sloped, flow: float, depth: float | None) -> float:
    """Level at the outfall end of a run: where it drops free, the lesser of even and critical depth, or the
    full bore; no lower than the water of the outfall. `depth` is the even depth of the last segment."""
    leaving = 0.0
    if flow > 0.0:
        leaving = pipe.bore
        if depth is None or depth < pipe.bore:  # a depth of the full bore asks for no better than a bound
            known = [one for one in (_critical(flow, pipe.bore), depth) if one is not None]
            leaving = min(known, default=pipe.bore)
    return max(pipe.inverts[-1] + leaving, pipe.outlet_level)


def level_above(pipe: Sloped, segment: int, flow: float, depth: float | None, below: float) -> float:
    """Level at the upper end of a segment from the level at its lower end; without a step anywhere, so that
    flows and levels can be brought to agree."""
    bore = pipe.bore
    top, bottom = pipe.inverts[segment], pipe.inverts[segment + 1]
    lost = pipe.drowned_slope(flow) * pipe.lengths[segment]
    if pipe.slopes[segment] < FLATTEST:
        # Water must rise over the higher lower end; it stands back as far as that takes.
        return max(max(below, bottom) + lost, top)
    drowned = max(below, bottom + bore) + lost
    full, greatest = pipe.full[segment], pipe.greatest[segment]
    if depth is None or flow >= greatest:
        return drowned
    # Friction counts as far as the lower end is drowned: from nothing at even depth to all at the crown.
    shut = (below - bottom - depth) / (bore - depth) if depth < bore else float(below > bottom + bore)
    open_level = max(top + depth, below + min(max(shut, 0.0), 1.0) * lost)
    if flow <= full:
        return open_level
    # From what fills the pipe to the most it carries open, both states are possible: pass evenly between.
    share = (flow - full) / (greatest - full)
    return (1.0 - share) * open_level + share * drowned


def segment_states(pipe: Sloped, flows: Sequence[float]) -> tuple[SegmentState, ...]:
    """Every segment of a run under given flows."""
    depths = tuple(pipe.even_depth(i, flow) for i, flow in enumerate(flows))
    levels = water_levels(pipe, flows, depths)
    return tuple(_state(pipe, i, flow, depths[i], levels) for i, flow in enumerate(flows))


def _state(
    pipe: Sloped, segment: int, flow: float, even: float | None, levels: Sequence[float]
) -> SegmentState:
    bore, top = pipe.bore, pipe.inverts[segment]
    stands = levels[segment] - top
    surcharged = flow > pipe.greatest[segment] and pipe.slopes[segment] >= FLATTEST
    surcharged = surcharged or stands >= bore * (1.0 - 1e-9)
    depth = None if surcharged else max(stands, 0.0)
    share = velocity = froude = None
    if depth is not None:
        share = depth / bore
        velocity = froude = 0.0
        area = part_full_area(inner_diameter=bore, depth_share=share)
        if flow > 0.0 and area > 0.0:
            velocity = flow / area
            width = part_full_width(inner_diameter=bore, depth_share=share)
            froude = velocity / math.sqrt(STANDARD_GRAVITY * area / width)
    else:
        velocity = flow / part_full_area(inner_diameter=bore, depth_share=1.0)
    return SegmentState(
        start=pipe.nodes[segment],
        end=pipe.nodes[segment + 1],
        length=pipe.lengths[segment],
        slope=pipe.slopes[segment],
        invert_start=top,
        invert_end=pipe.inverts[segment + 1],
        flow=flow,
        full_flow=pipe.full[segment],
        greatest_flow=pipe.greatest[segment],
        even_depth=even,
        depth=depth,
        share=share,
        velocity=velocity,
        colebrook_depth=colebrook_depth(flow=flow, bore=bore, slope=pipe.slopes[segment]),
        critical_depth=_critical(flow, bore),
        froude=froude,
        level_start=levels[segment],
        level_end=levels[segment + 1],
        surcharged=surcharged,
    )


def colebrook_depth(
    *, flow: float, bore: float, slope: float, roughness: float = CLEAN_PLASTIC_ROUGHNESS
) -> float | None:
    """Even depth by Colebrook and White, None where the formula does not reach or the pipe is overfull.

    >>> depth = colebrook_depth(flow=0.4e-3, bore=0.040, slope=0.01)
    >>> round(depth * 1000, 1)  # mm; Manning with 0.009 says 22.7
    22.5
    """
    if flow <= 0.0 or slope < FLATTEST:
        return None
    slope = min(slope, STEEPEST)

    def carried(share: float) -> float | None:
        try:
            return part_full_flow_colebrook(
                inner_diameter=bore, slope=slope, depth_share=share, roughness=roughness
            )
        except OutsideValidRange:
            return None

    low, high = 0.0, 0.95
    most = carried(high)
    if most is None or most < flow:
        return None
    for _ in range(30):  # to 1e-9 of the bore
        middle = 0.5 * (low + high)
        there = carried(middle)
        if there is None or there < flow:
            low = middle
        else:
            high = middle
    found = carried(high)
    return high * bore if found is not None and abs(found - flow) < 1e-4 * flow else None


def _critical(flow: float, bore: float) -> float | None:
    try:
        return critical_depth(flow=flow, inner_diameter=bore)
    except OutsideValidRange:
        return None
