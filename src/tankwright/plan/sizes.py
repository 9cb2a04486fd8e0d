"""Slips of the pen in sizes, and pump curves that rise: numbers no room of this kind can have.

The bounds only catch a wrong unit or a lost decimal point ("90 m" for "90 cm"); what fits and what holds is
judged later, by the checks. Source of the bounds: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final

from tankwright.finding import Finding, Severity
from tankwright.plan.models import Plan
from tankwright.plan.positions import Positions
from tankwright.plan.shape import place_of
from tankwright.plan.values import Path
from tankwright.units import QuantityError, clip, parse_quantity

IMPOSSIBLE_SIZE: Final = "PLAN-036"
RISING_CURVE: Final = "PLAN-037"
THICKER_THAN_TANK: Final = "PLAN-038"

EACH: Final = -1
"""Stands for every place of a list."""

# part of the plan, keys below one of its tables, dimension, least, most, the bounds in words
_BOUNDS: Final[tuple[tuple[str, Path, str, float, float, str], ...]] = (
    ("room", ("size", "length"), "length", 0.5, 500.0, "0.5 m to 500 m"),
    ("room", ("size", "width"), "length", 0.5, 500.0, "0.5 m to 500 m"),
    ("room", ("size", "height"), "length", 0.5, 30.0, "0.5 m to 30 m"),
    ("tank_kind", ("outside", 0), "length", 0.05, 6.0, "5 cm to 6 m"),
    ("tank_kind", ("outside", 1), "length", 0.05, 6.0, "5 cm to 6 m"),
    ("tank_kind", ("outside", 2), "length", 0.05, 3.0, "5 cm to 3 m"),
    ("tank_kind", ("glass", "sides"), "length", 0.001, 0.06, "1 mm to 60 mm"),
    ("tank_kind", ("glass", "base"), "length", 0.001, 0.06, "1 mm to 60 mm"),
    ("tank_kind", ("hole", "diameter"), "length", 0.003, 0.3, "3 mm to 30 cm"),
    ("rack_kind", ("length",), "length", 0.1, 50.0, "10 cm to 50 m"),
    ("rack_kind", ("depth",), "length", 0.05, 10.0, "5 cm to 10 m"),
    ("rack_kind", ("shelves", EACH), "length", 0.0, 30.0, "no more than 30 m over the floor"),
    ("drain", ("fall",), "slope", 0.0, 0.5, "level to 50 %"),
    ("drain", ("bore",), "length", 0.003, 1.0, "3 mm to 1 m"),
    ("feed", ("bore",), "length", 0.0005, 0.5, "0.5 mm to 50 cm"),
    ("air", ("bore",), "length", 0.001, 0.5, "1 mm to 50 cm"),
    ("air", ("tap_every",), "length", 0.01, 20.0, "1 cm to 20 m"),
)


def size_mistakes(positions: Positions) -> list[Finding]:
    """Sizes that cannot be, glass thicker than its tank, pump curves that rise."""
    return [*_out_of_bounds(positions), *_thick_glass(positions), *_curves(positions)]


def _out_of_bounds(positions: Positions) -> Iterator[Finding]:
    for part, keys, dimension, least, most, words in _BOUNDS:
        for name, table in _tables(positions, part):
            for place in _places(table, keys):
                path: Path = (part, name, *place)
                value = _quantity(_inside(table, place), dimension)
                if value is not None and value > 0 and not least <= value <= most:
                    written = positions.source_of(path)
                    text = f"{_key(path)} {written} cannot be"
                    yield _finding(positions, path, IMPOSSIBLE_SIZE, text, wanted=words)


def _places(table: Mapping[str, Any], keys: Path) -> Iterator[Path]:
    """The path itself, or one for every place of the list it ends in."""
    if keys[-1] != EACH:
        yield keys
        return
    values = _inside(table, keys[:-1])
    yield from ((*keys[:-1], place) for place in range(len(values) if isinstance(values, list) else 0))


def _thick_glass(positions: Positions) -> Iterator[Finding]:
    for name, table in _tables(positions, "tank_kind"):
        outside = [_quantity(_inside(table, ("outside", place)), "length") for place in range(3)]
        sides = _quantity(_inside(table, ("glass", "sides")), "length")
        sizes = [one for one in outside[:2] if one is not None and one > 0]
        if sides is not None and sizes and 2 * sides >= min(sizes):
            path: Path = ("tank_kind", name, "glass", "sides")
            text = f"glass.sides {positions.source_of(path)} leaves no room for water between the panes"
            yield _finding(
                positions, path, THICKER_THAN_TANK, text, wanted="glass thinner than half the tank"
            )


def _curves(positions: Positions) -> Iterator[Finding]:
    """Along a pump's curve the pressure goes up and the flow goes down."""
    for name, table in _tables(positions, "pump"):
        points = table.get("curve")
        if not isinstance(points, list):
            continue
        here: Path = ("pump", name, "curve")
        before: tuple[float, float] | None = None
        for place, point in enumerate(points):
            pair = point if isinstance(point, list) and len(point) == 2 else (None, None)
            pressure, flow = _quantity(pair[0], "pressure"), _quantity(pair[1], "flow")
            if pressure is None or flow is None:
                before = None
                continue
            if before and (pressure <= before[0] or flow > before[1]):
                what = "flow rises with pressure" if pressure > before[0] else "pressures do not go up"
                text = f"curve cannot be used: its {what} at point {place + 1}"
                wanted = "points from free flow upwards: pressure rises, flow falls"
                yield _finding(positions, (*here, place), RISING_CURVE, text, wanted=wanted)
            before = (pressure, flow)
        if len(points) == 1:
            text = "curve has one point, and a curve needs two"
            yield _finding(
                positions, here, RISING_CURVE, text, wanted="at least free flow and one point under pressure"
            )


def _tables(positions: Positions, part: str) -> Iterator[tuple[str, Mapping[str, Any]]]:
    value = positions.data.get(part)
    if isinstance(value, Mapping):
        yield from ((name, one) for name, one in value.items() if isinstance(one, Mapping))


def _inside(value: Any, keys: Path) -> Any:
    for key in keys:
        if isinstance(key, int):
            value = value[key] if isinstance(value, list) and key < len(value) else None
        else:
            value = value.get(key) if isinstance(value, Mapping) else None
    return value


def _quantity(value: Any, dimension: str) -> float | None:
    """The SI number of a quantity as a plan writes it; None when there is none or the models refuse it."""
    text = value.get("value") if isinstance(value, Mapping) else value
    if not isinstance(text, str):
        return None
    try:
        return parse_quantity(text, dimension).value
    except QuantityError:
        return None


def _key(path: Path) -> str:
    return ".".join(str(step) for step in path[2:] if isinstance(step, str))


def _finding(positions: Positions, path: Path, code: str, text: str, *, wanted: str) -> Finding:
    keyed = path
    while not isinstance(keyed[-1], str):
        keyed = keyed[:-1]
    source = positions.source_of(path if code == RISING_CURVE else keyed)
    shown = clip(" ".join(source.split()), 80)
    return Finding(
        code=code,
        severity=Severity.PROBLEM,
        subject=place_of(keyed, Plan, positions.data).subject,
        text=clip(text, 160),
        line=positions.line_of(path),
        found=f"{keyed[-1]} = {shown}" if keyed == path or code != RISING_CURVE else shown,
        wanted=wanted,
    )
