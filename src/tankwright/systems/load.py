"""What the room weighs, from measured sizes: tank, shelf, rack, leg, and the pressure under each.

Screening figures for someone licensed to judge: nothing here says that a floor, a shelf or a rack holds.
Masses in kilograms, pressures in pascals. "Brim" is the fault case: every tank full to its rim.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.origin import Known, Origin
from tankwright.physics.constants import STANDARD_GRAVITY, WATER_DENSITY
from tankwright.room.boxes import along, behind_front
from tankwright.room.model import RackPlace, Room, Space, Tank
from tankwright.units import Dimensionless, Kilogram, Newton, Pascal, SquareMetre

PANES: Final = ("front", "back", "left", "right", "base")


@dataclass(frozen=True, slots=True, kw_only=True)
class TankLoad:
    """One tank. `panes` are the masses of front, back, left, right and base when the glass was worked out
    (empty when it was weighed); `glass` is what counts. `pressure` is on the tank's own footprint.
    """

    tank: str
    panes: tuple[Kilogram, ...]
    glass: Known
    water: Kilogram
    substrate: Kilogram
    fittings: Known
    total: Kilogram
    brim: Kilogram
    pressure: Pascal


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfLoad:
    """All tanks of one shelf, without the rack itself."""

    rack: str
    shelf: int
    tanks: int
    total: Kilogram
    brim: Kilogram


@dataclass(frozen=True, slots=True, kw_only=True)
class RackLoad:
    """One rack with its tanks.

    `leg` is the mean mass on a foot, `worst_leg` the most when the rack is stiff and its feet stand at its
    uprights, front and back (None when the uprights are not known). `ratio` is the height of its top loaded
    shelf over its depth. `pull` is the level force at that shelf that begins to tip it with only that shelf
    full.
    """

    rack: str
    own: Known
    tanks: Kilogram
    total: Kilogram
    brim: Kilogram
    footprint: SquareMetre
    pressure: Pascal
    brim_pressure: Pascal
    legs: Known
    leg: Kilogram
    worst_leg: Kilogram | None
    ratio: Dimensionless | None
    pull: Newton | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SpaceLoad:
    """All racks of a room spread over its whole floor."""

    space: str
    floor: str
    area: SquareMetre
    total: Kilogram
    brim: Kilogram
    pressure: Pascal
    brim_pressure: Pascal


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadResult:
    """The weights of the whole plan. `not_computed` holds (subject, reason)."""

    tanks: tuple[TankLoad, ...]
    shelves: tuple[ShelfLoad, ...]
    racks: tuple[RackLoad, ...]
    spaces: tuple[SpaceLoad, ...]
    glass_density: Known
    total: Kilogram
    brim: Kilogram
    not_computed: tuple[tuple[str, str], ...] = ()


def solve_load(room: Room) -> LoadResult:
    """The weight of every tank, shelf, rack and room.

    Source: geometry; glass 2500 kg/m3 by EN 572-1, from memory; water 998.2 kg/m3 at 20 °C.

    >>> solve_load(Room(title="", display="metric", spaces=(), racks=(), tanks=())).total
    0.0
    """
    density = room.glass_density or ASSUMPTIONS["glass.density"].known()
    loads = {tank.id: _tank_load(tank, density) for tank in room.tanks}
    standing: dict[str, list[Tank]] = {rack.id: [] for rack in room.racks}
    missing: list[tuple[str, str]] = []
    for tank in room.tanks:
        if tank.rack in standing:
            standing[tank.rack].append(tank)
        else:
            missing.append(
                (f"tank {tank.id}", "its rack is not in the room, so no rack or floor carries its weight")
            )
    racks = tuple(_rack_load(rack, standing[rack.id], loads, missing) for rack in room.racks)
    by_rack = {rack.rack: rack for rack in racks}
    return LoadResult(
        tanks=tuple(loads.values()),
        shelves=tuple(shelf for rack in room.racks for shelf in _shelves(rack, standing[rack.id], loads)),
        racks=racks,
        spaces=tuple(_space_load(space, [by_rack[rack.id] for rack in room.racks if rack.room == space.id])
                     for space in room.spaces),
        glass_density=density,
        total=sum((rack.total for rack in racks), 0.0),
        brim=sum((rack.brim for rack in racks), 0.0),
        not_computed=tuple(missing),
    )  # fmt: skip


def pane_masses(tank: Tank, glass_density: float) -> tuple[Kilogram, ...]:
    """Masses of front, back, left, right and base of an open box, as it is usually glued.

    The base lies under the sides and is as long and deep as the tank; front and back run its full length and
    the ends stand between them. With the base between the sides the sum is the same.

    Source: geometry.
    """
    sides, base = tank.glass_side.value, tank.glass_base.value
    tall = max(tank.height - base, 0.0)
    long_pane = tank.length * tall * sides * glass_density
    end = max(tank.depth - 2 * sides, 0.0) * tall * sides * glass_density
    bottom = tank.length * tank.depth * base * glass_density
    if tank.end_on:  # turned: its own front is an end of the rack's bay
        long_pane, end = (
            tank.depth * tall * sides * glass_density,
            max(tank.length - 2 * sides, 0.0) * tall * sides * glass_density,
        )
    return (long_pane, long_pane, end, end, bottom)


def _tank_load(tank: Tank, density: Known) -> TankLoad:
    panes: tuple[Kilogram, ...] = ()
    glass = tank.empty_mass
    if glass.origin not in (Origin.GIVEN, Origin.MEASURED):
        panes = pane_masses(tank, density.value)
        glass = Known(sum(panes), Origin.DERIVED, reason="the five panes")
    water_height = max(tank.level - tank.floor_inside - tank.substrate_depth, 0.0)
    water = tank.inside_area * water_height * WATER_DENSITY
    total = glass.value + water + tank.substrate_mass + tank.fittings_mass.value
    brim_height = max(tank.rim - tank.floor_inside - tank.substrate_depth, 0.0)
    footprint = tank.length * tank.depth
    return TankLoad(
        tank=tank.id, panes=panes, glass=glass, water=water, substrate=tank.substrate_mass,
        fittings=tank.fittings_mass, total=total,
        brim=total + tank.inside_area * max(brim_height - water_height, 0.0) * WATER_DENSITY,
        pressure=_pressure(total, footprint),
    )  # fmt: skip


def _shelves(rack: RackPlace, tanks: list[Tank], loads: dict[str, TankLoad]) -> list[ShelfLoad]:
    numbers = sorted({*range(1, len(rack.shelves) + 1), *(tank.shelf for tank in tanks)})
    found = []
    for number in numbers:
        on_it = [loads[tank.id] for tank in tanks if tank.shelf == number]
        found.append(ShelfLoad(
            rack=rack.id, shelf=number, tanks=len(on_it),
            total=sum((load.total for load in on_it), 0.0), brim=sum((load.brim for load in on_it), 0.0),
        ))  # fmt: skip
    return found


def _rack_load(
    rack: RackPlace, tanks: list[Tank], loads: dict[str, TankLoad], missing: list[tuple[str, str]]
) -> RackLoad:
    weight = sum((loads[tank.id].total for tank in tanks), 0.0)
    brim = sum((loads[tank.id].brim for tank in tanks), 0.0) + rack.mass.value
    total = weight + rack.mass.value
    footprint = rack.length * rack.depth
    legs = max(rack.legs.value, 1.0)
    worst = _worst_leg(rack, tanks, loads)
    if worst is None and tanks:
        missing.append(
            (f"rack {rack.id}", "its uprights do not match its feet, so only the mean foot is known")
        )
    top = max((tank.box.z0 for tank in tanks), default=None)
    ratio = pull = None
    if top is not None and rack.depth > 0 and top > rack.box.z0:
        ratio = (top - rack.box.z0) / rack.depth
        on_top = sum(loads[tank.id].total for tank in tanks if tank.box.z0 >= top - 1e-6)
        pull = (on_top + rack.mass.value) * STANDARD_GRAVITY * rack.depth / 2 / (top - rack.box.z0)
    return RackLoad(
        rack=rack.id, own=rack.mass, tanks=weight, total=total, brim=brim, footprint=footprint,
        pressure=_pressure(total, footprint), brim_pressure=_pressure(brim, footprint),
        legs=rack.legs, leg=total / legs, worst_leg=worst, ratio=ratio, pull=pull,
    )  # fmt: skip


def _worst_leg(rack: RackPlace, tanks: list[Tank], loads: dict[str, TankLoad]) -> Kilogram | None:
    """The most a foot carries when a stiff rack stands on equal feet, by where the load's centre lies.

    Source: load on a rigid group of equal supports, W/n (1 + n e x / sum x²) along and across; geometry.
    """
    if len(rack.uprights) < 2 or round(rack.legs.value) != 2 * len(rack.uprights) or rack.depth <= 0:
        return None
    total = rack.mass.value
    moment_along = moment_across = 0.0
    for tank in tanks:
        mass = loads[tank.id].total
        total += mass
        moment_along += mass * (along(rack.box, rack.facing, tank.box.middle) - rack.length / 2)
        moment_across += mass * (behind_front(rack.box, rack.facing, tank.box.middle) - rack.depth / 2)
    feet = [(start + end) / 2 for start, end in rack.uprights]
    middle = sum(feet) / len(feet)
    count = 2 * len(feet)
    spread = 2 * sum((foot - middle) ** 2 for foot in feet)
    if total <= 0 or spread <= 0:
        return None
    # The feet's own middle need not be the rack's middle.
    moment_along += total * (rack.length / 2 - middle)
    tilt_across = abs(moment_across) / (count * rack.depth / 2)
    return max(total / count + moment_along * (foot - middle) / spread for foot in feet) + tilt_across


def _space_load(space: Space, racks: list[RackLoad]) -> SpaceLoad:
    area = (space.box.x1 - space.box.x0) * (space.box.y1 - space.box.y0)
    total = sum((rack.total for rack in racks), 0.0)
    brim = sum((rack.brim for rack in racks), 0.0)
    return SpaceLoad(
        space=space.id, floor=space.floor, area=area, total=total, brim=brim,
        pressure=_pressure(total, area), brim_pressure=_pressure(brim, area),
    )  # fmt: skip


def _pressure(mass: Kilogram, area: SquareMetre) -> Pascal:
    return mass * STANDARD_GRAVITY / area if area > 0 else 0.0
