"""How a weight came about: glass, water, tank, rack, foot, floor."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from tankwright.explain.model import Input, Working
from tankwright.finding import Number
from tankwright.origin import Known
from tankwright.physics.constants import STANDARD_GRAVITY, WATER_DENSITY
from tankwright.room.model import RackPlace, Room, Tank
from tankwright.systems.load import LoadResult, RackLoad, TankLoad

GEOMETRY: Final = "geometry; glass by EN 572-1, from memory"
SCREENING: Final = "a screening: someone licensed judges what carries it"


def workings_load(room: Room, result: LoadResult) -> Iterator[Working]:
    """The workings of every tank and every rack, "A3.mass", "load.A.pressure" and their like.

    >>> from tankwright.systems.load import solve_load
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> list(workings_load(empty, solve_load(empty)))
    []
    """
    for tank, load in zip(room.tanks, result.tanks, strict=True):
        yield from _tank(tank, load, result.glass_density)
    for rack, load_of in zip(room.racks, result.racks, strict=True):
        yield from _rack(rack, load_of, room)


def _tank(tank: Tank, load: TankLoad, density: Known) -> Iterator[Working]:
    if load.panes:
        yield Working(
            name=f"{tank.id}.glass", title=f"glass of tank {tank.id}", number=_mass(load.glass.value),
            formula="front + back + two ends + base, each width x height x thickness x density",
            inputs=(
                *(Input(name=name, number=_mass(pane)) for name, pane in zip(
                    ("front", "back", "left end", "right end", "base"), load.panes, strict=True)),
                Input(name="thickness of the sides", number=_length(tank.glass_side.value),
                      known=tank.glass_side),
                Input(name="thickness of the base", number=_length(tank.glass_base.value),
                      known=tank.glass_base),
                Input(name="density of glass", number=Number(density.value, "density"), known=density),
            ),
            source=GEOMETRY,
            note="the base lies under the sides, the ends stand between front and back; no rims, no braces",
        )  # fmt: skip
    yield Working(
        name=f"{tank.id}.water_mass", title=f"water in tank {tank.id}, to its lip", number=_mass(load.water),
        formula="inside area x (water level - inside floor - substrate) x density of water",
        inputs=(
            Input(name="inside area", number=Number(tank.inside_area, "area")),
            Input(name="water level above the inside floor", number=_length(tank.level - tank.floor_inside),
                  known=tank.level_known),
            Input(name="substrate", number=_length(tank.substrate_depth)),
            Input(name="density of water", number=Number(WATER_DENSITY, "density")),
        ),
        source="geometry; water at 20 °C, Kell (1975)",
        note="water in the pores of the substrate is counted with the substrate",
    )  # fmt: skip
    glass = "" if not load.panes else f"{tank.id}.glass"
    yield Working(
        name=f"{tank.id}.mass", title=f"tank {tank.id} as it stands", number=_mass(load.total),
        formula="glass + water to the lip + wet substrate + fittings",
        inputs=(
            Input(name="glass" if glass else "weighed empty", number=_mass(load.glass.value),
                  known=None if glass else load.glass, see=glass),
            Input(name="water", number=_mass(load.water), see=f"{tank.id}.water_mass"),
            Input(name="substrate", number=_mass(load.substrate)),
            Input(name="fittings", number=_mass(load.fittings.value), known=load.fittings),
        ),
        source=GEOMETRY, note=SCREENING,
    )  # fmt: skip


def _rack(rack: RackPlace, load: RackLoad, room: Room) -> Iterator[Working]:
    tanks = tuple(tank.id for tank in room.tanks if tank.rack == rack.id)
    yield Working(
        name=f"load.{rack.id}.mass", title=f"rack {rack.id} with its tanks", number=_mass(load.total),
        formula="sum of its tanks + the empty rack",
        inputs=(
            Input(name=f"{len(tanks)} tanks", number=_mass(load.tanks),
                  see=f"{tanks[0]}.mass" if tanks else ""),
            Input(name="empty rack", number=_mass(load.own.value), known=load.own),
        ),
        source="sum", note=SCREENING,
    )  # fmt: skip
    yield Working(
        name=f"load.{rack.id}.pressure", title=f"pressure under rack {rack.id}",
        number=Number(load.pressure, "floor_load"), formula="mass x g / (length x depth)",
        inputs=(
            Input(name="mass", number=_mass(load.total), see=f"load.{rack.id}.mass"),
            Input(name="g, m/s2", number=Number(STANDARD_GRAVITY, "number")),
            Input(name="length", number=_length(rack.length)),
            Input(name="depth", number=_length(rack.depth)),
        ),
        source="definition of pressure",
        note="as if the whole footprint bore on the floor; feet press far harder."
        f" {SCREENING[0].upper()}{SCREENING[1:]}",
    )  # fmt: skip
    foot = load.worst_leg if load.worst_leg is not None else load.leg
    yield Working(
        name=f"load.{rack.id}.foot", title=f"heaviest foot of rack {rack.id}", number=_mass(foot),
        formula="mass / feet + share of the load's distance from the middle, stiff rack on equal feet"
        if load.worst_leg is not None else "mass / feet",
        inputs=(
            Input(name="mass", number=_mass(load.total), see=f"load.{rack.id}.mass"),
            Input(name="feet", number=Number(load.legs.value, "number"), known=load.legs),
        ),
        source="statics of a rigid group of supports", note=SCREENING,
    )  # fmt: skip


def _mass(value: float) -> Number:
    return Number(value, "mass")


def _length(value: float) -> Number:
    return Number(value, "length")
