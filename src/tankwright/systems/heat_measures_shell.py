"""Measures on what holds the warmth: walls, ceiling, floor and windows, lids and panes of tanks."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Final

from tankwright.catalogue.materials import find_material
from tankwright.catalogue.openings import find_opening_kind
from tankwright.finding import Number
from tankwright.origin import derived
from tankwright.room.model import Room
from tankwright.room.model_climate import Surface, SurfaceKind
from tankwright.systems.heat_measure import Measure, with_spaces
from tankwright.units import Dimensionless, Metre

BOARD: Final[Metre] = 0.05
"""Thickness of the foam board tried on walls, ceiling and floor."""

TANK_BOARD: Final[Metre] = 0.02
"""Thickness of the foam board tried on sides and backs of tanks."""

COATED: Final = "coated double pane"
TIGHT_LID: Final[Dimensionless] = 0.5
"""What a lid without gaps leaves of the evaporation the present lids leave. Source: common practice, no source."""


# --- the shell ------------------------------------------------------------------------------------------


def _with_surfaces(room: Room, change: Callable[[Surface], Surface]) -> Room:
    return with_spaces(room, lambda one: replace(one, surfaces=tuple(change(part) for part in one.surfaces)))


def _surfaces(room: Room) -> tuple[Surface, ...]:
    return tuple(part for one in room.climate.spaces for part in one.surfaces) if room.climate else ()


def _foam() -> float:
    known = find_material("expanded polystyrene")
    assert known is not None  # it is a row of our own table
    return known.conductivity.value


def shell_measures(room: Room) -> Iterator[Measure]:
    """Foam board on the outer walls, the ceiling and the floor."""
    places: tuple[tuple[SurfaceKind, str], ...] = (
        ("wall", "the outer walls"),
        ("roof", "the ceiling"),
        ("floor", "the floor"),
    )
    for kind, where in places:

        def lossy(part: Surface, kind: SurfaceKind = kind) -> bool:
            return part.kind == kind and part.faces != "indoors" and part.area > 0.0

        def insulated(part: Surface, lossy: Callable[[Surface], bool] = lossy) -> Surface:
            """The board's resistance in series; on the ground a little less than EN ISO 13370 would make of it."""
            if not lossy(part):
                return part
            value = 1.0 / (1.0 / part.transmittance.value + BOARD / _foam())
            return replace(part, transmittance=derived(value, "with the board that is tried"))

        parts = [part for part in _surfaces(room) if lossy(part)]
        area = sum(part.area for part in parts)
        if not parts:
            continue
        before = sum(part.area * part.transmittance.value for part in parts) / area
        after = sum(part.area * insulated(part).transmittance.value for part in parts) / area
        yield Measure(
            key=f"insulate_{kind}",
            name=f"insulate {where}",
            words="{board} of foam board on {area}: from {before} to {after}",
            numbers=(
                ("board", Number(BOARD, "length")),
                ("area", Number(area, "area")),
                ("before", Number(before, "thermal_transmittance")),
                ("after", Number(after, "thermal_transmittance")),
            ),
            change=lambda room, insulated=insulated: _with_surfaces(room, insulated),  # type: ignore[misc]
        )


def window_measures(room: Room) -> Iterator[Measure]:
    """Coated double panes in the place of worse ones."""
    kind = find_opening_kind(COATED)
    assert kind is not None  # it is a row of our own table
    better, lets_in = kind.transmittance.value, kind.sun_share.value
    worse = [p for p in _surfaces(room) if p.kind == "window" and p.transmittance.value > better + 0.3]
    if not worse:
        return

    def change(part: Surface) -> Surface:
        if part.kind != "window" or part.transmittance.value <= better + 0.3:
            return part
        sun = part.sun_share
        if sun is not None:
            sun = derived(min(sun.value, lets_in * part.unshaded), "with the pane that is tried")
        return replace(part, transmittance=derived(better, kind.name), sun_share=sun)

    area = sum(part.area for part in worse)
    before = sum(part.area * part.transmittance.value for part in worse) / area
    yield Measure(
        key="windows",
        name="coated double panes",
        words="in the {area} of window: from {before} to {after}",
        numbers=(
            ("area", Number(area, "area")),
            ("before", Number(before, "thermal_transmittance")),
            ("after", Number(better, "thermal_transmittance")),
        ),
        change=lambda room: _with_surfaces(room, change),
    )


# --- tanks ----------------------------------------------------------------------------------------------


def lid_measures(room: Room) -> Iterator[Measure]:
    """Lids where there are none, and better ones where there are."""
    bare = [tank for tank in room.tanks if tank.lid is None]
    if bare:
        yield Measure(
            key="lids",
            name="lids on all open tanks",
            words="on {count} tanks, {area} of water",
            numbers=(
                ("count", Number(float(len(bare)), "number")),
                ("area", Number(sum(tank.inside_area for tank in bare), "area")),
            ),
            change=lambda room: replace(
                room, tanks=tuple(one if one.lid is not None else replace(one, lid="tried") for one in room.tanks)
            ),
        )  # fmt: skip
    if room.climate is not None and len(bare) < len(room.tanks):
        covered = room.climate.covered.value
        yield Measure(
            key="tight_lids",
            name="lids that close better",
            words="no open corner: {after} of the evaporation left instead of {before}",
            numbers=(("after", Number(covered * TIGHT_LID, "share")), ("before", Number(covered, "share"))),
            change=lambda room: with_covered(room, TIGHT_LID),
        )


def with_covered(room: Room, factor: float) -> Room:
    """The room with so many times the evaporation left under its lids."""
    climate = room.climate
    if climate is None:
        return room
    return replace(room, climate=replace(climate, covered=derived(climate.covered.value * factor)))


def pane_measures(room: Room) -> Iterator[Measure]:
    """Foam board on backs and sides of the tanks."""
    if room.laws is None or not room.tanks:
        return
    coat = room.laws.wall_coat.value
    boarded = 1.0 / (1.0 / coat + TANK_BOARD / _foam())
    sides = bare = 0.0
    for tank in room.tanks:
        tall = max(tank.level - tank.box.z0, 0.0)
        sides += tall * (tank.length + 2.0 * tank.depth)
        bare += tall * tank.length + tank.length * tank.depth
    if sides <= 0.0:
        return
    after = (sides * boarded + bare * coat) / (sides + bare)

    def change(room: Room) -> Room:
        laws = room.laws
        return (
            room if laws is None else replace(room, laws=replace(laws, wall_coat=derived(after, "as tried")))
        )

    yield Measure(
        key="tank_boards",
        name="foam on backs and sides of the tanks",
        words="{board} of foam board on {area} of glass; fronts and bases stay bare",
        numbers=(("board", Number(TANK_BOARD, "length")), ("area", Number(sides, "area"))),
        change=change,
    )
