"""The glass of a kind of tank that is more than its panes: holes, and what braces its top."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from tankwright.finding import Severity
from tankwright.origin import Known
from tankwright.plan.models import Hole, TankKind
from tankwright.room.braces import brace_strips
from tankwright.room.defaults import Defaults
from tankwright.room.mistakes import (
    BRACE_NOT_AS_TOP,
    HOLE_OUTSIDE_PANE,
    HOLE_PLACE_NOT_SAID,
    HOLE_THROUGH_BRACE,
    HOLES_OVERLAP,
    OVERFLOW_WITHOUT_HOLE,
    Mistakes,
    metres,
)
from tankwright.room.model import Pane
from tankwright.room.model_structure import BracePlace, GlassLaws
from tankwright.units import Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleOfKind:
    """A hole of a kind: its centre from the left, from the back and above the underside of the tank. `number` 1 is the
    one that sets the level."""

    pane: Pane
    across: Metre
    from_back: Metre
    up: Metre
    diameter: Known
    edge_distances: tuple[tuple[str, Metre], ...]
    pane_thickness: Known
    flange: Known | None
    to_order: bool
    fitting: str | None
    line: int | None
    number: int = 1


def lay_glass_laws(defaults: Defaults) -> GlassLaws:
    """What every pane is worked out with."""
    return GlassLaws(
        stiffness=defaults.take("glass.stiffness"),
        poisson=defaults.take("glass.poisson"),
        working_surface=defaults.take("glass.working_surface"),
        working_edge=defaults.take("glass.working_edge"),
    )


def hole_of(
    name: str, table: TankKind, side: Known, base: Known, defaults: Defaults, mistakes: Mistakes
) -> HoleOfKind | None:
    """The hole its overflow stands in."""
    hole = table.hole
    if hole is None:
        if table.overflow is not None:
            mistakes.say(
                OVERFLOW_WITHOUT_HOLE,
                f"tank kind {name}",
                "has an overflow but no hole for it to stand in",
                line=table.overflow.line or table.line,
                reason="it is laid out as a tank that is not drilled",
                remedy="add hole = { ... }, or take the overflow out",
            )
        return None
    return _drilled(name, table, hole, (side, base), defaults, mistakes)


def _drilled(
    name: str,
    table: TankKind,
    hole: Hole,
    panes: tuple[Known, Known],
    defaults: Defaults,
    mistakes: Mistakes,
) -> HoleOfKind:
    side, base = panes
    length, depth, height = (one.value for one in table.outside)
    diameter = defaults.take("hole.diameter", hole.diameter)
    from_left = defaults.take("hole.from_left", hole.from_left).value
    radius = diameter.value / 2.0
    if hole.pane == "base":
        from_back = defaults.take("hole.from_back", hole.from_back).value
        edges = _edges(("left", from_left, length), ("back", from_back, depth), radius)
        across, back, up, thickness = from_left, from_back, 0.0, base
    else:
        below = defaults.take("hole.below_rim", hole.below_rim).value
        wide = length if hole.pane == "back" else depth
        near = "left" if hole.pane == "back" else "front"
        edges = _edges((near, from_left, wide), ("top", below, height), radius)
        up, thickness = height - below, side
        if hole.pane == "back":
            across, back = from_left, 0.0
        else:
            across, back = (0.0 if hole.pane == "left" else length), depth - from_left
    if min(distance for _, distance in edges) < 0.0:
        _say_outside_pane(name, hole, mistakes)
    return HoleOfKind(
        pane=hole.pane,
        across=across,
        from_back=back,
        up=up,
        diameter=diameter,
        edge_distances=edges,
        pane_thickness=thickness,
        flange=hole.flange,
        to_order=hole.drilled == "to order",
        fitting=hole.fitting,
        line=hole.line or table.line,
    )


_FAR = {"left": "right", "front": "back", "back": "front", "top": "bottom"}


def _edges(
    first: tuple[str, Metre, Metre], second: tuple[str, Metre, Metre], radius: Metre
) -> tuple[tuple[str, Metre], ...]:
    """Clear glass from a hole to the edges of its pane, from (edge, centre's distance, size of the pane)."""
    return tuple(
        pair
        for edge, distance, size in (first, second)
        for pair in ((edge, distance - radius), (_FAR[edge], size - distance - radius))
    )


def _say_outside_pane(name: str, hole: Hole, mistakes: Mistakes) -> None:
    mistakes.say(
        HOLE_OUTSIDE_PANE,
        f"tank kind {name}",
        f"has its hole over the edge of the {hole.pane} pane",
        line=hole.line,
        reason="no such hole can be drilled",
        remedy="check from_left, below_rim and from_back against the outside size",
    )


def more_holes_of(
    name: str, table: TankKind, side: Known, base: Known, defaults: Defaults, mistakes: Mistakes
) -> tuple[HoleOfKind, ...]:
    """Further holes. Where the first one may be assumed to be, a second cannot: its place has to be said."""
    found = []
    for number, hole in enumerate(table.more_holes, start=2):
        second = "from_back" if hole.pane == "base" else "below_rim"
        missing = [key for key in ("from_left", second) if getattr(hole, key) is None]
        if missing:
            mistakes.say(
                HOLE_PLACE_NOT_SAID,
                f"tank kind {name}",
                f"has a hole {number} whose place in the {hole.pane} pane is not said",
                line=hole.line or table.line,
                reason="it is laid out without it, so its glass is not to be trusted",
                remedy=f"measure {' and '.join(missing)} to the hole's centre and write it",
            )
            continue
        found.append(replace(_drilled(name, table, hole, (side, base), defaults, mistakes), number=number))
    return tuple(found)


def brace_of(name: str, table: TankKind, side: Known, mistakes: Mistakes) -> BracePlace | None:
    """What braces the top, where it is said; a strip is as thick as the sides until it is measured."""
    said = table.brace
    if said is None:
        return None
    if table.top != "braced":
        mistakes.say(
            BRACE_NOT_AS_TOP,
            f"tank kind {name}",
            f'has a brace, but top = "{table.top}"',
            severity=Severity.WARNING,
            line=said.line or table.line,
            reason="the brace is counted on when its glass is worked out",
            remedy='write top = "braced", or take the brace out',
        )
    thickness = said.thickness or (
        side if side.is_assumed else replace(side, reason="as thick as the sides; its own is not said")
    )
    count = said.count if said.kind == "cross" else 1
    return BracePlace(kind=said.kind, count=count, width=said.width, thickness=thickness)


def say_what_cannot_be_drilled(
    name: str, table: TankKind, holes: Sequence[HoleOfKind], brace: BracePlace | None, mistakes: Mistakes
) -> None:
    """Holes that run into each other, and holes that run into the brace."""
    for first, second in combinations(holes, 2):
        if first.pane != second.pane:
            continue
        apart = math.dist(
            (first.across, first.from_back, first.up), (second.across, second.from_back, second.up)
        )
        least = (first.diameter.value + second.diameter.value) / 2.0
        if apart < least:
            mistakes.say(
                HOLES_OVERLAP,
                f"tank kind {name}",
                f"has two holes in its {first.pane} pane that run into each other: {{apart}} from centre to"
                " centre, {least} with no glass between",
                line=second.line or table.line,
                numbers=(("apart", metres(apart)), ("least", metres(least))),
                reason="they would be one hole",
                remedy="check from_left, below_rim and from_back of both",
            )
    if brace is None:
        return
    length, _, height = (one.value for one in table.outside)
    under = height - brace.thickness.value
    strips = brace_strips(brace, length)
    for hole in holes:
        radius = hole.diameter.value / 2.0
        beside = hole.pane in ("left", "right") or not any(
            start - radius < hole.across < end + radius for start, end in strips
        )
        if hole.pane == "base" or hole.up + radius <= under or (brace.kind == "cross" and beside):
            continue
        mistakes.say(
            HOLE_THROUGH_BRACE,
            f"tank kind {name}",
            f"has a hole in its {hole.pane} pane that runs into its brace: it reaches to {{reach}} below the rim,"
            " and the brace is {thick} thick",
            line=hole.line,
            numbers=(("reach", metres(height - hole.up - radius)), ("thick", metres(brace.thickness.value))),
            reason="brace and fitting cannot both be there",
            remedy="drill lower, or leave the brace out over it",
        )
