"""The map of a hole: the worst pull of its pane with the hole at every place of a grid, and the best place it may have.

In three steps that can be spread: the places, the spots of any of them, the map of all spots. A pane is alike to its
left and right where only this hole is in it, so only half of it is tried. `plates` is loaded when it is first needed.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Final

from tankwright.systems.glass_full_model import HoleMap, HoleSpot, HoleSurroundings
from tankwright.systems.glass_model import PaneCase, PaneHole, Strengths
from tankwright.systems.glass_panes import on_pane
from tankwright.systems.glass_places import holds_the_level, kept_out, levels_at, nearest_and_farthest
from tankwright.systems.glass_plate import plate_for, thickness_factor, unplated, whole_holes
from tankwright.units import Metre, Pascal

Place = tuple[Metre, Metre]

STEP: Final = 0.030  # m between the lines of the grid, about
MOST_ACROSS, LEAST_ACROSS = 25, 5
MOST_UP, LEAST_UP = 13, 3
AS_GOOD: Final = (
    1.02  # times the best use: what two meshes differ by; such places are chosen by how near they are
)

NOT_MEASURED: Final = "the size of the hole is not said: measure your fitting"
NO_PLACE: Final = "a hole of that size leaves too little glass anywhere in the pane"


def map_places(case: PaneCase, around: HoleSurroundings, index: int = 0) -> tuple[Place, ...]:
    """The places to try for hole `index` of a pane, (x, y) in its frame: the grid, a row at the height of the present
    hole, and the present hole; half of it where left and right are alike. None where `why_no_map` has a reason."""
    if why_no_map(case, index):
        return ()
    across, up = grid_of(case, index)
    if _alike(case, index):
        across = across[: len(across) // 2 + 1]
    hole = case.holes[index]
    found = dict.fromkeys((x, y) for y in (*up, *_own_row(case, around, index)) for x in across)
    if on_pane(case, hole):
        found[hole.x, hole.y] = None
    return tuple(found)


def map_spots(
    case: PaneCase,
    strengths: Strengths,
    around: HoleSurroundings,
    places: Sequence[Place],
    index: int = 0,
    *,
    progress: Callable[[int, int], None] | None = None,
) -> tuple[HoleSpot, ...]:
    """The spots of some of the places; any cut of them may be worked out apart."""
    from tankwright.plates.places import (  # noqa: PLC0415 - the engine is heavy, and asked for seldom
        ANYWHERE,
        AT_RIM,
        TOP_EDGE,
        worst_over_places,
    )

    plate = plate_for(case, _others(case, index))
    diameter = case.holes[index].diameter.value
    factor = thickness_factor(case, diameter)
    rows = worst_over_places(plate, diameter, list(places), progress=progress)
    return tuple(
        _spot(
            case,
            around,
            place,
            index,
            _worst(strengths, float(row[ANYWHERE]), factor * float(row[AT_RIM]), float(row[TOP_EDGE]))
            if math.isfinite(row[ANYWHERE])
            else None,
        )
        for place, row in zip(places, rows, strict=True)
    )


def map_of(
    case: PaneCase,
    strengths: Strengths,
    around: HoleSurroundings,
    spots: Sequence[HoleSpot],
    index: int = 0,
) -> HoleMap:
    """The map of all its spots: mirrored where only half was tried, with the present and the best place."""
    why = why_no_map(case, index)
    if why:
        return _no_map(case, strengths, around, index, why)
    from tankwright.plates.solver import COARSE, solve_plate  # noqa: PLC0415 - the engine is heavy

    across, up = grid_of(case, index)
    known = {_key(spot.x, spot.y): spot for spot in spots}

    def at(x: Metre, y: Metre) -> HoleSpot:
        tried = known.get(_key(x, y))
        if tried is None and _alike(case, index):
            tried = known.get(_key(case.length - x, y))
        pulled = None if tried is None else (tried.worst, tried.hole, tried.use)
        return _spot(case, around, (x, y), index, pulled)

    grid = tuple(at(x, y) for y in up for x in across)
    row = tuple(at(x, y) for y in _own_row(case, around, index) for x in across)
    hole = case.holes[index]
    present = at(hole.x, hole.y) if on_pane(case, hole) else None
    candidates = [*grid, *row, *([present] if present is not None else [])]
    allowed = [spot for spot in candidates if spot.allowed]
    level = [spot for spot in allowed if holds_the_level(case, around, spot.y)]
    plain = solve_plate(plate_for(case, _others(case, index)), fineness=COARSE)
    return HoleMap(
        case=case,
        strengths=strengths,
        index=index,
        diameter=hole.diameter,
        around=around,
        across=across,
        up=up,
        spots=grid,
        plain=_worst(strengths, plain.worst, 0.0, max(plain.top_edge, plain.strip))[0]
        if plain.status == "solved"
        else 0.0,
        present=present,
        best=_best(level, hole),
        best_any_level=_best(allowed, hole),
        status="solved" if plain.status == "solved" else plain.reason or plain.status,
    )


def hole_map(
    case: PaneCase,
    strengths: Strengths,
    around: HoleSurroundings,
    index: int = 0,
    *,
    progress: Callable[[int, int], None] | None = None,
) -> HoleMap:
    """All three steps, one place after the other; what `progress` raises ends the work."""
    places = map_places(case, around, index)
    spots = map_spots(case, strengths, around, places, index, progress=progress) if places else ()
    return map_of(case, strengths, around, spots, index)


def why_no_map(case: PaneCase, index: int = 0) -> str:
    """Why there is no map of that hole; empty where there can be one."""
    if index >= len(case.holes):
        return "it has no such hole"
    hole = case.holes[index]
    if hole.diameter.is_assumed:
        return NOT_MEASURED
    why = unplated(case)
    if why:
        return why
    left, right, low, high = nearest_and_farthest(case, hole.diameter.value / 2.0)
    return NO_PLACE if left > right or low > high else ""


def grid_of(case: PaneCase, index: int = 0) -> tuple[tuple[Metre, ...], tuple[Metre, ...]]:
    """The lines of the grid, across and up: where one diameter of glass stands round the hole, evenly, alike from left
    and right."""
    left, right, low, high = nearest_and_farthest(case, case.holes[index].diameter.value / 2.0)
    columns = min(max(2 * round((right - left) / STEP / 2.0) + 1, LEAST_ACROSS), MOST_ACROSS)
    rows = min(max(round((high - low) / STEP) + 1, LEAST_UP), MOST_UP)
    return (
        tuple(left + (right - left) * n / (columns - 1) for n in range(columns)),
        tuple(low + (high - low) * n / (rows - 1) for n in range(rows)),
    )


def _own_row(case: PaneCase, around: HoleSurroundings, index: int) -> tuple[Metre, ...]:
    """The height of the present hole, besides the grid: from there the elbow holds what it holds today. Where it does
    not hold the wanted level, the height from which it would, its mouth half turned."""
    _, _, low, high = nearest_and_farthest(case, case.holes[index].diameter.value / 2.0)
    rows = [case.holes[index].y]
    if around.reach is not None and not holds_the_level(case, around, rows[0]):
        rows.append(around.level - around.reach / 2.0)
    return tuple(min(max(y, low), high) for y in rows)


def _alike(case: PaneCase, index: int) -> bool:
    """Whether a pane is the same from left and right but for this hole. Braces are spaced evenly, so they are."""
    return not _others(case, index)


def _others(case: PaneCase, index: int) -> tuple[PaneHole, ...]:
    this = case.holes[index]
    return tuple(hole for hole in whole_holes(case) if hole is not this)


def _worst(strengths: Strengths, anywhere: Pascal, rim: Pascal, top: Pascal) -> tuple[Pascal, Pascal, float]:
    """The pull that uses the most of its strength, that at the rim, and that share."""
    edge, surface = strengths.working_edge.value, strengths.working_surface.value
    use, worst = max((anywhere / surface, anywhere), (rim / edge, rim), (top / edge, top))
    return worst, rim, use


def _spot(
    case: PaneCase,
    around: HoleSurroundings,
    place: Place,
    index: int,
    pulled: tuple[Pascal | None, Pascal | None, float | None] | None,
) -> HoleSpot:
    x, y = place
    from_left, below_rim = case.as_drilled(x, y)
    reasons = kept_out(case, around, x, y, index)
    worst, rim, use = pulled or (None, None, None)
    if worst is None:
        reasons = (*reasons, "not worked out")
    return HoleSpot(
        x=x,
        y=y,
        from_left=from_left,
        below_rim=below_rim,
        worst=worst,
        hole=rim,
        use=use,
        kept_out=reasons,
        levels=levels_at(case, around, y),
    )


def _best(spots: list[HoleSpot], hole: PaneHole) -> HoleSpot | None:
    """The least use; among places as good as that one, the nearest to where the hole is now."""
    used = [(spot.use, spot) for spot in spots if spot.use is not None]
    if not used:
        return None
    least = min(use for use, _ in used)
    good = [spot for use, spot in used if use <= AS_GOOD * least]
    return min(good, key=lambda spot: (math.hypot(spot.x - hole.x, spot.y - hole.y), spot.x))


def _key(x: Metre, y: Metre) -> tuple[float, float]:
    return round(x, 6), round(y, 6)


def _no_map(case: PaneCase, strengths: Strengths, around: HoleSurroundings, index: int, why: str) -> HoleMap:
    hole = case.holes[index] if index < len(case.holes) else None
    return HoleMap(
        case=case,
        strengths=strengths,
        index=index,
        diameter=hole.diameter if hole else replace(case.thickness, value=0.0),
        around=around,
        across=(),
        up=(),
        spots=(),
        plain=0.0,
        present=None,
        best=None,
        best_any_level=None,
        status=why,
    )
