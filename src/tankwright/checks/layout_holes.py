"""Drilled holes, their panes and the water level they set: the part of the layout checks that is about glass.

Screening only: no standard covers drilled, annealed tanks. A tank maker's own limits stand before these.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from tankwright.checks.grouping import count, length, listed, rests_of_all, verb
from tankwright.finding import Finding, Severity
from tankwright.physics.hole_stress import least_hole_to_hole
from tankwright.room.model import Room, Tank
from tankwright.room.places import HoleFit
from tankwright.systems.layout import LayoutResult

PRACTICE: Final = "common practice, no source"
EN_LIMITS: Final = (
    "makers' guides quoting EN 12150-1 for toughened glass; a manufacturing limit, not a strength"
)

FLANGE_ROOM: Final = 0.015  # past the hole's edge for a flange nobody measured; common practice, no source
FITTING_ROOM: Final = (
    0.050  # behind a drilled pane for nut, elbow and hose; builders leave 5 to 10 cm (practice)
)
ROUNDING: Final = 1e-6  # m, so that what was laid out at a limit is not judged short of it
LEAST_FREEBOARD: Final = 0.015  # below it a sway or a full strainer wets the rim; common practice, no source


def no_hole_is_behind_an_upright(room: Room, result: LayoutResult) -> Iterator[Finding]:
    """LAYOUT-14: the bulkhead and its flange clear the rack's uprights."""
    behind = [
        hole for hole in result.holes if hole.upright_clearance is not None and hole.upright_clearance < 0
    ]
    if behind:
        worst = min(behind, key=lambda hole: hole.upright_clearance or 0.0)
        yield _holes(
            room, "LAYOUT-14", Severity.PROBLEM, behind, worst,
            ("has a hole or flange behind an upright", "have holes or flanges behind uprights"),
            ", by {by} at the most ({worst})", by=-(worst.upright_clearance or 0.0), limit=0.0,
            reason="the nut, the elbow and the hose cannot be put there",
            remedy="move the hole, the tank or the upright before anything is drilled",
            source="geometry of the plan",
        )  # fmt: skip
    near = [
        hole for hole in result.holes
        if not hole.flange_known and hole.upright_clearance is not None
        and 0 <= hole.upright_clearance < FLANGE_ROOM
    ]  # fmt: skip
    if near:
        worst = min(near, key=lambda hole: hole.upright_clearance or 0.0)
        yield _holes(
            room, "LAYOUT-14", Severity.WARNING, near, worst,
            ("has a hole close to an upright", "have holes close to uprights"),
            ", {by} clear at the least ({worst}), and its flange is not known",
            by=worst.upright_clearance or 0.0, limit=FLANGE_ROOM,
            reason="a flange is wider than its hole", remedy="measure the flange and write it in the plan",
            source=PRACTICE,
        )  # fmt: skip


def holes_keep_off_the_edges(room: Room, result: LayoutResult) -> Iterator[Finding]:
    """LAYOUT-15: between a hole and the nearest edge stands as much glass as the hole is wide."""
    close = [
        hole for hole in result.holes if hole.least_edge is not None and hole.least_edge < hole.diameter.value
    ]
    thin = [hole for hole in close if (hole.least_edge or 0.0) < 2 * hole.thickness.value]
    others = [hole for hole in close if hole not in thin]
    if thin:
        worst = min(thin, key=lambda hole: hole.least_edge or 0.0)
        off = (worst.least_edge or 0.0) < 0
        yield _holes(
            room, "LAYOUT-15", Severity.PROBLEM, thin, worst,
            ("has its hole too near an edge", "have their holes too near an edge"),
            f": {_which(worst)} runs off its pane at the {worst.least_edge_name}" if off else
            f": {{by}} of glass is left at the {worst.least_edge_name} of {_which(worst)}, and two thicknesses"
            " are {limit}",
            by=worst.least_edge or 0.0, limit=2 * worst.thickness.value,
            reason="the pane breaks there while it is drilled, or later",
            remedy="move the hole until one diameter of glass stands round it", source=EN_LIMITS,
        )  # fmt: skip
    if others:
        worst = min(others, key=lambda hole: (hole.least_edge or 0.0) - hole.diameter.value)
        yield _holes(
            room, "LAYOUT-15", Severity.WARNING, others, worst,
            ("has less glass than one hole's diameter", "have less glass than one hole's diameter"),
            f" between hole and edge: {{by}} at the {worst.least_edge_name} of {_which(worst)}, of {{limit}}",
            by=worst.least_edge or 0.0, limit=worst.diameter.value,
            reason="annealed glass drilled by hand wants more than a factory's limit",
            remedy="move the hole, or take a smaller fitting", source=PRACTICE,
        )  # fmt: skip


def holes_are_not_smaller_than_the_glass_is_thick(room: Room, result: LayoutResult) -> Iterator[Finding]:
    """LAYOUT-16: a hole is at least as wide as its pane is thick."""
    small = [hole for hole in result.holes if hole.diameter.value < hole.thickness.value]
    if small:
        worst = min(small, key=lambda hole: hole.diameter.value)
        yield _holes(
            room, "LAYOUT-16", Severity.WARNING, small, worst,
            ("has a hole", "have holes"), " narrower than the glass is thick: {by} in {limit} ({worst})",
            by=worst.diameter.value, limit=worst.thickness.value,
            reason="such a hole chips as the drill comes through", remedy="measure both again",
            source=EN_LIMITS,
        )  # fmt: skip


def no_toughened_pane_is_drilled(room: Room, result: LayoutResult) -> Iterator[Finding]:
    """LAYOUT-17: toughened glass is never drilled."""
    hard = [hole for hole in result.holes if hole.toughened]
    if hard:
        yield _holes(
            room, "LAYOUT-17", Severity.PROBLEM, hard, hard[0],
            ("has its hole in a toughened pane", "have their holes in toughened panes"), "",
            by=None, limit=None, reason="toughened glass shatters when it is drilled",
            remedy="drill another pane, or buy the tank drilled before toughening", source=EN_LIMITS,
        )  # fmt: skip


def the_temper_of_a_drilled_pane_is_known(room: Room, result: LayoutResult) -> Iterator[Finding]:
    """LAYOUT-18: somebody made sure that a drilled pane is annealed."""
    unsure = [hole for hole in result.holes if not hole.temper_known and not hole.toughened]
    if unsure:
        yield _holes(
            room, "LAYOUT-18", Severity.WARNING, unsure, unsure[0],
            ("is to be drilled and nobody has said", "are to be drilled and nobody has said"),
            " that the pane is annealed", by=None, limit=None,
            reason="bottoms are often toughened, sides sometimes, and such a pane shatters under the drill",
            remedy='look for the maker\'s mark, or ask; then write temper = "annealed" in the plan',
            source=PRACTICE,
        )  # fmt: skip


def water_stays_below_the_rim(room: Room, _result: LayoutResult) -> Iterator[Finding]:
    """LAYOUT-19: the lip keeps the water below the rim, with some freeboard, and above the tank's floor."""
    over = [tank for tank in room.tanks if tank.freeboard <= 0]
    if over:
        worst = min(over, key=lambda tank: tank.freeboard)
        yield _levels(
            over, worst, Severity.PROBLEM,
            "to its rim or over it: the lip stands {by} above the rim ({worst})",
            by=-worst.freeboard, limit=0.0, reason="it spills before it overflows",
            remedy="turn the elbow down, shorten it, or set the hole lower",
        )  # fmt: skip
    little = [tank for tank in room.tanks if 0 < tank.freeboard < LEAST_FREEBOARD - ROUNDING]
    if little:
        worst = min(little, key=lambda tank: tank.freeboard)
        yield _levels(
            little, worst, Severity.WARNING, "to within {by} of its rim ({worst})",
            by=worst.freeboard, limit=LEAST_FREEBOARD,
            reason="the head over the lip, a bubbling sponge or a part-blocked strainer takes that much",
            remedy="turn the elbow down a little",
        )  # fmt: skip
    dry = [tank for tank in room.tanks if tank.level <= tank.floor_inside]
    if dry:
        yield _levels(
            dry, dry[0], Severity.PROBLEM,
            "not at all: its lip stands at or below the floor inside ({worst})",
            by=0.0, limit=None, reason="everything runs out",
            remedy="check the hole's and the elbow's measures",
        )  # fmt: skip


def tanks_on_a_drain_are_drilled(room: Room, _result: LayoutResult) -> Iterator[Finding]:
    """LAYOUT-20: where a drain serves a rack, its tanks are drilled."""
    drained = {tank.rack for tank in room.tanks if tank.hose is not None}
    bare = [tank.id for tank in room.tanks if tank.hole is None and tank.rack in drained]
    if bare:
        yield Finding(
            code="LAYOUT-20", severity=Severity.NOTE, subject=listed(bare),
            text=f"{verb(bare, 'is', 'are')} not drilled though a drain serves the rack",
            numbers=(("number", count(len(bare))),), reason="water is changed there by hand, with a hose",
            remedy="drill before the fish move in, or leave it so", source="the plan",
            line=room.tank(bare[0]).line, places=tuple(bare),
        )  # fmt: skip


def fittings_have_room_outside_the_pane(room: Room, result: LayoutResult) -> Iterator[Finding]:
    """LAYOUT-23: outside a drilled pane there is room for nut, elbow and hose."""
    tight = [
        hole
        for hole in result.holes
        if hole.room_at_hole is not None and hole.room_at_hole < FITTING_ROOM - ROUNDING
    ]
    if tight:
        worst = min(tight, key=lambda hole: hole.room_at_hole or 0.0)
        yield _holes(
            room, "LAYOUT-23", Severity.WARNING, tight, worst,
            ("has little room outside its hole", "have little room outside their holes"),
            ": {by} at the least ({worst}), {limit} is usual", by=worst.room_at_hole or 0.0,
            limit=FITTING_ROOM,
            reason="nut, elbow and hose stand out behind the pane, and a hand must get to them",
            remedy="set the tank forward, the rack off the wall, or the neighbour aside", source=PRACTICE,
        )  # fmt: skip


def holes_keep_off_each_other(room: Room, result: LayoutResult) -> Iterator[Finding]:
    """LAYOUT-26: between two holes of a pane stands enough glass, and their flanges do not meet.

    Holes that run into each other are told where they are laid out.
    """
    pairs = [hole for hole in result.holes if hole.to_next is not None and hole.to_next > 0]
    thin = [hole for hole in pairs if (hole.to_next or 0.0) < _two_thicknesses(hole) - ROUNDING]
    if thin:
        worst = min(thin, key=lambda hole: hole.to_next or 0.0)
        yield _holes(
            room, "LAYOUT-26", Severity.PROBLEM, thin, worst,
            ("has two holes too near each other", "have two holes too near each other"),
            f": {{by}} of glass is left between {_pair(worst)}, and two thicknesses are {{limit}}",
            by=worst.to_next, limit=_two_thicknesses(worst),
            reason="the glass between them breaks while the second is drilled, or later",
            remedy="drill them further apart, a diameter at least", source=EN_LIMITS,
        )  # fmt: skip
    meet = [hole for hole in pairs if (hole.flanges_apart or 0.0) < -ROUNDING]
    if meet:
        worst = min(meet, key=lambda hole: hole.flanges_apart or 0.0)
        yield _holes(
            room, "LAYOUT-26", Severity.PROBLEM, meet, worst,
            ("has two fittings that do not go in beside each other",) * 2,
            f": the flanges at {_pair(worst)} run {{by}} into each other",
            by=-(worst.flanges_apart or 0.0), limit=0.0, reason="neither seals on flat glass",
            remedy="drill them further apart", source="geometry of the plan",
        )  # fmt: skip
    near = [
        hole for hole in pairs
        if hole not in meet and hole.flanges_unknown
        and (hole.flanges_apart or 0.0) < FLANGE_ROOM * hole.flanges_unknown - ROUNDING
    ]  # fmt: skip
    if near:
        worst = min(near, key=lambda hole: hole.flanges_apart or 0.0)
        yield _holes(
            room, "LAYOUT-26", Severity.WARNING, near, worst,
            ("may have no room for two flanges beside each other",) * 2,
            f": {{by}} are left for them between {_pair(worst)}, and a flange is not known",
            by=worst.flanges_apart, limit=FLANGE_ROOM * worst.flanges_unknown,
            reason="a flange is wider than its hole", remedy="measure the flanges and write them in the plan",
            source=PRACTICE,
        )  # fmt: skip
    others = [hole for hole in pairs if hole not in thin and (hole.to_next or 0.0) < _wider(hole) - ROUNDING]
    if others:
        worst = min(others, key=lambda hole: (hole.to_next or 0.0) - _wider(hole))
        yield _holes(
            room, "LAYOUT-26", Severity.WARNING, others, worst,
            ("has less glass than one hole's diameter", "have less glass than one hole's diameter"),
            f" between two holes: {{by}} between {_pair(worst)}, of {{limit}}",
            by=worst.to_next, limit=_wider(worst),
            reason="the quick screening of the glass takes each hole as if it were alone",
            remedy="drill them further apart, or run the full check (tankwright glass PLAN), which sees both",
            source=PRACTICE,
        )  # fmt: skip


HOLE_CHECKS: Final[tuple[Callable[[Room, LayoutResult], Iterator[Finding]], ...]] = (
    no_hole_is_behind_an_upright, holes_keep_off_the_edges, holes_are_not_smaller_than_the_glass_is_thick,
    no_toughened_pane_is_drilled, the_temper_of_a_drilled_pane_is_known, water_stays_below_the_rim,
    tanks_on_a_drain_are_drilled, fittings_have_room_outside_the_pane, holes_keep_off_each_other,
)  # fmt: skip


def _two_thicknesses(hole: HoleFit) -> float:
    # glass of a thickness that is none is told where it is read
    return least_hole_to_hole(thickness=min(max(hole.thickness.value, 5e-4), 0.2))


def _wider(hole: HoleFit) -> float:
    return max(hole.diameter.value, hole.next_diameter.value if hole.next_diameter else 0.0)


def _which(hole: HoleFit) -> str:
    """The tank, and which of its holes where it is a further one."""
    return hole.tank if hole.number == 1 else f"{hole.tank}, hole {hole.number}"


def _pair(hole: HoleFit) -> str:
    first, second = sorted((hole.number, hole.next_number or 0))
    return f"holes {first} and {second} of {hole.tank}"


def _holes(  # noqa: PLR0913 - the fields of one finding
    room: Room, code: str, severity: Severity, holes: list[HoleFit], worst: HoleFit, verbs: tuple[str, str],
    text: str, *, by: float | None, limit: float | None, reason: str, remedy: str, source: str,
) -> Finding:  # fmt: skip
    ids = list(dict.fromkeys(hole.tank for hole in holes))
    value = length(by) if by is not None else None
    bound = length(limit) if limit is not None else None
    tanks = {tank.id: tank for tank in room.tanks}
    numbers = {(hole.tank, hole.number) for hole in holes}
    drilled = [hole for name in ids for hole in tanks[name].holes if (name, hole.number) in numbers]
    return Finding(
        code=code, severity=severity, subject=listed(ids),
        text=verb(ids, *verbs) + text.replace("{worst}", _which(worst)),
        numbers=tuple((name, one) for name, one in (("by", value), ("limit", bound)) if one is not None),
        value=value, limit=bound, reason=reason, remedy=remedy, source=source,
        line=next((hole.line for hole in drilled if hole.line is not None), tanks[worst.tank].line),
        places=tuple(ids),
        rests_on=rests_of_all(known for hole in holes for known in (hole.diameter, hole.thickness))
        if code in ("LAYOUT-14", "LAYOUT-15", "LAYOUT-16", "LAYOUT-26") else (),
    )  # fmt: skip


def _levels(
    tanks: list[Tank], worst: Tank, severity: Severity, text: str, *, by: float, limit: float | None,
    reason: str, remedy: str,
) -> Finding:  # fmt: skip
    ids = [tank.id for tank in tanks]
    return Finding(
        code="LAYOUT-19", severity=severity, subject=listed(ids),
        text=f"{verb(ids, 'fills', 'fill')} {text.replace('{worst}', worst.id)}",
        numbers=(("by", length(by)),), value=length(by), limit=length(limit) if limit is not None else None,
        reason=reason, remedy=remedy, source="geometry of the plan", line=worst.line, places=tuple(ids),
        rests_on=rests_of_all(tank.level_known for tank in tanks),
    )  # fmt: skip
