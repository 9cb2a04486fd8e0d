"""What racks bring to the floor means: voids under feet, a limit someone gave, joists for an engineer to read."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from tankwright.checks.grouping import length, listed, rests, verb
from tankwright.checks.load import FLOOR_VALUES
from tankwright.checks.load import SCREENING as FLOOR_SCREENING
from tankwright.finding import Finding, Number, Severity
from tankwright.room.model import Room, Space
from tankwright.systems.racks_model import FloorStrength, RacksResult

Check = Callable[[Room, RacksResult], Iterator[Finding]]


def no_foot_stands_over_a_void(room: Room, result: RacksResult) -> Iterator[Finding]:
    """RACKS-11: feet over a hatch, a pit, a duct."""
    for floor in result.floors:
        over: dict[str, list[str]] = {}
        for foot in floor.feet:
            if foot.over:
                over.setdefault(foot.over, []).append(foot.rack)
        for name, racks in over.items():
            ids = list(dict.fromkeys(racks))
            force = max(foot.force for foot in floor.feet if foot.over == name)
            yield Finding(
                code="RACKS-11", severity=Severity.PROBLEM, subject=listed(ids, "rack"),
                text=f"{verb(ids, 'stands', 'stand')} with {{feet}} feet over {name}; the heaviest brings {{force}}",
                numbers=(("feet", Number(float(len(racks)), "number")), ("force", Number(force, "force"))),
                value=Number(force, "force"),
                reason="a lid, a grating or a board over a void is not built for the foot of a rack",
                remedy="move the rack, or its uprights, so that every foot stands on the floor itself",
                source="geometry of the plan", line=_rack_line(room, ids[0]), places=tuple(ids),
            )  # fmt: skip


def floors_keep_to_what_someone_said(room: Room, result: RacksResult) -> Iterator[Finding]:
    """RACKS-12: the room's average and its heaviest footprint beside the limit that someone licensed gave."""
    for floor in result.floors:
        if floor.limit is None:
            continue
        limit, worst = floor.limit.value, max(floor.average, floor.heaviest_footprint)
        severity = (
            Severity.PROBLEM
            if floor.average > limit
            else Severity.WARNING
            if worst > limit
            else Severity.NOTE
        )
        below = [one for one in FLOOR_VALUES if one.pressure <= limit]
        like = f"; that is what {below[-1].where} are designed for, or more" if below else ""
        yield Finding(
            code="RACKS-12", severity=severity, subject=f"room {floor.space}",
            text=f"carries {{average}} over its whole floor and {{footprint}} under rack {floor.heaviest_rack}; someone"
            " set {limit} as the limit",
            numbers=(("average", _pressure(floor.average)), ("footprint", _pressure(floor.heaviest_footprint)),
                     ("limit", _pressure(limit))),
            value=_pressure(floor.average if floor.average > limit else worst), limit=_pressure(limit),
            reason=f"a limit is of an even load, and feet press far harder{like}; {FLOOR_SCREENING}",
            remedy="ask whoever set the limit how it is meant: over the room, under a rack, under a foot",
            source=f"the plan; {below[-1].source}" if below else "the plan",
            line=floor.limit.line or _space(room, floor).line, places=(floor.heaviest_rack,),
            rests_on=rests(floor.limit, *(rack.mass for rack in room.racks if rack.room == floor.space)),
        )  # fmt: skip


def joists_are_shown_to_an_engineer(room: Room, result: RacksResult) -> Iterator[Finding]:
    """RACKS-13: what racks bring to joists. Never a verdict."""
    for floor in result.floors:
        if not floor.joists:
            continue
        worst = max(floor.joists, key=lambda one: one.moment)
        share = worst.moment / worst.design_moment if worst.design_moment > 0.0 else 0.0
        sag = (
            "; by its size and grade alone it would sag {sag} under that" if worst.sag_now is not None else ""
        )
        racks = tuple(dict.fromkeys(patch.tank for one in floor.joists for patch in one.patches))
        yield Finding(
            code="RACKS-13", severity=Severity.WARNING if share > 1.0 else Severity.NOTE, subject=f"room {floor.space}",
            text=f"has {{count}} joists under racks; the most loaded spans {{span}} and gets {{moment}} of bending from"
            f" the racks alone, {{share}} of what {{design}} over the whole floor would make{sag}",
            numbers=(
                ("count", Number(float(len(floor.joists)), "number")), ("span", length(worst.span)),
                ("moment", Number(worst.moment, "bending_moment")), ("share", Number(share, "share")),
                ("design", _pressure(floor.design.value)), ("sag", length(worst.sag_now or 0.0)),
            ),
            value=Number(worst.moment, "bending_moment"), limit=Number(worst.design_moment, "bending_moment"),
            reason="notches, trimmers, what else stands there and where a joist really lies are not in it;"
            f" {FLOOR_SCREENING}",
            remedy="show an engineer the load sheet and the plan of the feet before anything is filled",
            source="statics; " + ("the plan" if floor.limit else "what floors of dwellings are designed for, by code"),
            line=_space(room, floor).line, places=racks, rests_on=rests(floor.design),
        )  # fmt: skip


FLOOR_CHECKS: Final[tuple[Check, ...]] = (
    no_foot_stands_over_a_void, floors_keep_to_what_someone_said, joists_are_shown_to_an_engineer,
)  # fmt: skip


def _space(room: Room, floor: FloorStrength) -> Space:
    return next(one for one in room.spaces if one.id == floor.space)


def _rack_line(room: Room, name: str) -> int | None:
    return next(rack.line for rack in room.racks if rack.id == name)


def _pressure(value: float) -> Number:
    return Number(value, "floor_load")
