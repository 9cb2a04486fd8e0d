"""How a clearance came about: over a rim, to a back pane, before a rack, round a hole."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from tankwright.explain.model import Input, Working
from tankwright.finding import Number
from tankwright.room.model import Room, Tank
from tankwright.room.places import HoleFit, TankFit
from tankwright.systems.layout import LayoutResult

GEOMETRY: Final = "geometry of the plan"


def workings_layout(room: Room, result: LayoutResult) -> Iterator[Working]:
    """The workings of every tank's reach, height and hole, and of every aisle and way.

    >>> from tankwright.systems.layout import solve_layout
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> list(workings_layout(empty, solve_layout(empty)))
    []
    """
    tanks = {tank.id: tank for tank in room.tanks}
    for fit in result.tanks:
        yield from _tank(tanks[fit.tank], fit, result)
    for hole in result.holes:
        yield from _hole(hole)
    for aisle in result.aisles:
        for rack in aisle.racks:
            yield Working(
                name=f"layout.{rack}.aisle", title=f"aisle before rack {rack}", number=_length(aisle.width),
                formula="from the rack's front to the nearest rack, wall or obstacle ahead of it",
                inputs=(
                    Input(name=f"to {aisle.to}", number=_length(aisle.width)),
                    Input(name="narrowest wanted", number=_length(aisle.needed.value), known=aisle.needed),
                ),
                source=GEOMETRY,
            )  # fmt: skip
    for rack_fit in result.racks:
        if rack_fit.way is not None:
            yield Working(
                name=f"layout.{rack_fit.rack}.way", title=f"widest way from a door to rack {rack_fit.rack}",
                number=_length(rack_fit.way),
                formula="twice the least clearance along the way that has most of it",
                inputs=(Input(name="it may be short by this", number=_length(rack_fit.way_step)),),
                source="bottleneck path by the method of Dijkstra (1959)",
            )  # fmt: skip


def _tank(tank: Tank, fit: TankFit, result: LayoutResult) -> Iterator[Working]:
    yield Working(
        name=f"{tank.id}.clear_above", title=f"clear height over the rim of tank {tank.id}",
        number=_length(fit.clear_above), formula=f"underside of what is over it ({tank.under}) - rim",
        inputs=(
            Input(name="rim above the floor", number=_length(fit.over_floor)),
            Input(name="wanted", number=_length(result.clear_needed.value), known=result.clear_needed),
        ),
        source=GEOMETRY,
    )  # fmt: skip
    yield Working(
        name=f"{tank.id}.reach", title=f"reach to the back of tank {tank.id}", number=_length(fit.reach_back),
        formula="set back from the rack's front + depth of the tank",
        inputs=(
            Input(name="depth of the tank", number=_length(tank.depth)),
            Input(name="set back", number=_length(fit.reach_back - tank.depth)),
            Input(name="over the front rim to the far lower corner", number=_length(fit.reach_corner)),
            Input(name="an arm", number=_length(result.arm.value), known=result.arm),
        ),
        source=GEOMETRY,
    )  # fmt: skip
    yield Working(
        name=f"{tank.id}.freeboard", title=f"freeboard of tank {tank.id}", number=_length(tank.freeboard),
        formula="rim - water level",
        inputs=(
            Input(name="rim above the inside floor", number=_length(tank.rim - tank.floor_inside)),
            Input(name="level above the inside floor", number=_length(tank.level - tank.floor_inside),
                  known=tank.level_known),
        ),
        source=GEOMETRY,
    )  # fmt: skip
    yield from _elbow(tank)


def _elbow(tank: Tank) -> Iterator[Working]:
    overflow, hole = tank.overflow, tank.hole
    if overflow is None or hole is None or overflow.kind != "elbow":
        return
    yield Working(
        name=f"{tank.id}.elbow", title=f"turn of the elbow of tank {tank.id} from straight up",
        number=Number(overflow.angle, "angle"),
        formula="level = hole's centre + reach x cos(turn) - half the bore x sin(turn)",
        inputs=(
            Input(name="level above the inside floor", number=_length(tank.level - tank.floor_inside),
                  known=overflow.level_known),
            Input(name="hole's centre above the inside floor",
                  number=_length(hole.centre[2] - tank.floor_inside)),
            Input(name="reach of the elbow", number=_length(overflow.reach.value), known=overflow.reach),
            Input(name="bore of its mouth", number=_length(overflow.bore.value), known=overflow.bore),
        ),
        source="geometry of a tilted disc",
        note="tankwright formula elbow-angle and elbow-level give any other level or turn",
    )  # fmt: skip


def _hole(hole: HoleFit) -> Iterator[Working]:
    name, which = ("hole", "hole") if hole.number == 1 else (f"hole{hole.number}", f"hole {hole.number}")
    if hole.least_edge is not None:
        yield Working(
            name=f"{hole.tank}.{name}_edge", title=f"glass between {which} and edge of tank {hole.tank}",
            number=_length(hole.least_edge),
            formula=f"hole's centre to the {hole.least_edge_name} edge - half the hole",
            inputs=(
                Input(name="hole", number=_length(hole.diameter.value), known=hole.diameter),
                Input(name="glass", number=_length(hole.thickness.value), known=hole.thickness),
            ),
            source="compared with one diameter (common practice) and two thicknesses (EN 12150-1, for"
            " toughened glass, by makers' guides)",
        )  # fmt: skip
    if hole.upright_clearance is not None:
        yield Working(
            name=f"{hole.tank}.{name}_upright", title=f"{which} of tank {hole.tank} to the nearest upright",
            number=_length(hole.upright_clearance),
            formula="distance along the rack from the edge of the "
            + ("flange" if hole.flange_known else "hole (its flange is not known)")
            + "; below zero it is behind it",
            inputs=(Input(name="hole", number=_length(hole.diameter.value), known=hole.diameter),),
            source=GEOMETRY,
        )  # fmt: skip
    if hole.to_next is not None and hole.next_diameter is not None:
        yield Working(
            name=f"{hole.tank}.{name}_next",
            title=f"glass between {which} and hole {hole.next_number} of tank {hole.tank}",
            number=_length(hole.to_next),
            formula="centre to centre - half of each hole",
            inputs=(
                Input(name=which, number=_length(hole.diameter.value), known=hole.diameter),
                Input(name=f"hole {hole.next_number}", number=_length(hole.next_diameter.value),
                      known=hole.next_diameter),
                Input(name="glass", number=_length(hole.thickness.value), known=hole.thickness),
            ),
            source="compared with one diameter (common practice) and two thicknesses (EN 12150-1, for toughened"
            " glass, by makers' guides)",
        )  # fmt: skip


def _length(value: float) -> Number:
    return Number(value, "length")
