"""Whether a plate is one, and whether its holes lie in it."""

from __future__ import annotations

import math

from tankwright.plates.model import Plate, RoundHole

_SLACK = 1e-9


def check_plate(plate: Plate) -> None:
    """Raises ValueError where the plate has no size, stiffness or load that means anything."""
    for name in ("length", "height", "thickness", "stiffness"):
        _require(getattr(plate, name) > 0.0, name, "more than 0", getattr(plate, name))
    _require(0.0 <= plate.poisson < 0.5, "poisson", "from 0 to below 0.5", plate.poisson)
    _require(0.0 <= plate.head <= plate.height * (1.0 + _SLACK), "head", "from 0 to the height", plate.head)
    _require(plate.bed is None or plate.bed >= 0.0, "bed", "0 or more", plate.bed)
    for hold in plate.holds:
        inside = 0.0 <= hold.start <= hold.end <= plate.length * (1.0 + _SLACK)
        _require(inside, "holds", "within the length, start before end", (hold.start, hold.end))
    if plate.strip is not None:
        _require(plate.strip.width > 0.0, "strip.width", "more than 0", plate.strip.width)
        _require(plate.strip.thickness > 0.0, "strip.thickness", "more than 0", plate.strip.thickness)
    for hole in plate.holes:
        _require(hole.diameter > 0.0, "holes.diameter", "more than 0", hole.diameter)
    numbers = (plate.length, plate.height, plate.thickness, plate.stiffness, plate.pressure, plate.bed or 0.0)
    places = tuple(number for hole in plate.holes for number in (hole.x, hole.y, hole.diameter))
    _require(all(map(math.isfinite, (*numbers, *places))), "every number", "finite", plate)


def _require(holds: bool, name: str, wanted: str, found: object) -> None:
    if not holds:
        raise ValueError(f"a plate's {name} is {wanted}; found {found!r}")


def trouble_with_holes(plate: Plate) -> str:
    """Why the holes cannot be in the plate; empty where they can."""
    for number, hole in enumerate(plate.holes, start=1):
        edge = _edge_it_cuts(plate, hole)
        if edge:
            return f"hole {number} {edge}"
        for other, before in enumerate(plate.holes[: number - 1], start=1):
            apart = math.hypot(hole.x - before.x, hole.y - before.y)
            if apart <= (hole.diameter + before.diameter) / 2.0:
                return f"hole {other} and hole {number} overlap"
    return ""


def _edge_it_cuts(plate: Plate, hole: RoundHole) -> str:
    radius = hole.diameter / 2.0
    rooms = {
        "left": hole.x,
        "right": plate.length - hole.x,
        "lower": hole.y,
        "upper": plate.height - hole.y,
    }
    for edge, room in rooms.items():
        if room <= -radius:
            return f"lies outside the plate, past its {edge} edge"
        if room <= radius:
            return f"is cut by the {edge} edge of the plate"
    return ""
