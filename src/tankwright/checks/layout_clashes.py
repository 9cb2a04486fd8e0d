"""Whether two things of the room stand in one place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from tankwright.checks.grouping import count, length
from tankwright.finding import Finding, Severity
from tankwright.room.model import Room
from tankwright.systems.layout import Clash, LayoutResult

GEOMETRY: Final = "geometry of the plan"
TOLD: Final = 40
"""Clashes told one by one, the deepest of each kind; of more nobody reads each."""

_WHY: Final = "two things cannot stand in one place"


def nothing_stands_in_anything(room: Room, result: LayoutResult) -> Iterator[Finding]:
    """LAYOUT-03 and LAYOUT-04: no rack or tank runs into another, or into an obstacle."""
    lines = {rack.id: rack.line for rack in room.racks} | {tank.id: tank.line for tank in room.tanks}
    for code, what, kinds in (
        ("LAYOUT-03", "rack", ("racks", "rack and obstacle")),
        ("LAYOUT-04", "tank", ("tanks", "tank and obstacle")),
    ):
        clashes = [clash for clash in result.clashes if clash.kind in kinds]
        deepest = sorted(clashes, key=lambda clash: -clash.depth)
        told = frozenset(deepest[:TOLD])
        for clash in clashes:
            if clash in told:
                yield _one(code, what, clash, lines.get(clash.first))
        if len(clashes) > len(told):
            yield _rest(code, what, [clash for clash in deepest if clash not in told])


def _one(code: str, what: str, clash: Clash, line: int | None) -> Finding:
    second = f"{what} {clash.second}" if clash.kind in ("racks", "tanks") else clash.second
    return Finding(
        code=code, severity=Severity.PROBLEM, subject=f"{what} {clash.first}",
        text=f"runs {{depth}} into {second}", numbers=(("depth", length(clash.depth)),),
        value=length(clash.depth), limit=length(0.0), reason=_WHY,
        remedy="move one of them, or measure again", source=GEOMETRY, line=line,
        places=(clash.first, clash.second),
    )  # fmt: skip


def _rest(code: str, what: str, rest: Sequence[Clash]) -> Finding:
    deepest = length(rest[0].depth)
    return Finding(
        code=code, severity=Severity.PROBLEM, subject=f"{what}s in one place",
        text="run into something in {more} places more at least, by {depth} at the most",
        numbers=(("more", count(len(rest))), ("depth", deepest)), value=deepest, limit=length(0.0), reason=_WHY,
        remedy="look whether the same place was written many times", source=GEOMETRY,
    )  # fmt: skip
