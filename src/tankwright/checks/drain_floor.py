"""Where a drain run lies in the floor: a pipe that has to be let into it, or raised."""

from __future__ import annotations

from collections.abc import Iterator

from tankwright.checks.drain_tanks import keys_of
from tankwright.finding import Finding, Number, Severity
from tankwright.room.model import Room
from tankwright.systems.drain import DrainResult, DrainRunResult

DROP = 0.5
"""m of run before the outfall that may dip into it, as any last bend does. Common practice, no source."""

SKIN = 1e-3
"""m below the floor that nobody can lay or measure. Common practice, no source."""


def runs_lie_on_the_floor(room: Room, result: DrainResult) -> Iterator[Finding]:
    """DRAIN-37: apart from the last drop into the outfall, no drain lies lower than the floor."""
    runs = {run.id: run for run in room.drains}
    found: list[tuple[float, DrainRunResult]] = []
    for solved in result.runs:
        segments = solved.cases[0].segments
        sunk = sum(_sunk(one.length, one.invert_start, one.invert_end) for one in segments)
        if sunk > DROP:
            found.append((sunk, solved))
    if not found:
        return
    length, worst = max(found, key=lambda one: one[0])
    segments = worst.cases[0].segments
    several = len(found) > 1
    yield Finding(
        code="DRAIN-37",
        severity=Severity.NOTE,
        subject=", ".join(f"drain {solved.run}" for _, solved in found[:4])
        + (f" and {len(found) - 4} more" if len(found) > 4 else ""),
        text=("lie in the floor, " + f"{worst.run} the longest: " if several else "lies in the floor: ")
        + "{length} of its {whole}, its bottom {depth} deep at the lowest",
        numbers=(
            ("length", Number(length, "length")),
            ("whole", Number(sum(one.length for one in segments), "length")),
            ("depth", Number(-min(min(one.invert_start, one.invert_end) for one in segments), "length")),
        ),
        value=Number(length, "length"),
        limit=Number(DROP, "length"),
        reason="it falls evenly down to the height said for the outfall, and that is below the floor",
        remedy="a channel in the floor if there is one; else end the run above the floor (give the outfall "
        "that height) and let it drop from there",
        source="geometry of the plan",
        line=runs[worst.run].line,
        places=tuple(solved.run for _, solved in found),
        rests_on=keys_of(runs[worst.run].fall),
    )


def _sunk(length: float, start: float, end: float) -> float:
    """How much of a straight piece lies below the floor.

    >>> _sunk(2.0, 0.02, -0.02), _sunk(2.0, 0.03, 0.01), _sunk(2.0, -0.01, -0.03)
    (0.95, 0.0, 2.0)
    """
    high, low = max(start, end) + SKIN, min(start, end) + SKIN
    if low >= 0.0:
        return 0.0
    return length if high <= 0.0 else round(length * -low / (high - low), 9)
