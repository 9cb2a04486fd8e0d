"""The layout in short, and in full for JSON."""

from __future__ import annotations

from tankwright.finding import Number
from tankwright.report.model import SummaryLine
from tankwright.room.model import Room
from tankwright.room.places import HoleFit, TankFit
from tankwright.systems.layout import Aisle, DoorFit, LayoutResult, RackFit


def summary_layout(room: Room, result: LayoutResult) -> tuple[SummaryLine, ...]:
    """Three to six lines: how full, narrowest aisle and way, least room over a tank, holes.

    >>> from tankwright.systems.layout import solve_layout
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> summary_layout(empty, solve_layout(empty))[0].text
    '{tanks} tanks on {racks} racks in {rooms} rooms'
    """
    what = [
        f"{{{word}s}} {word}{'' if count == 1 else 's'}"
        for word, count in (("tank", len(room.tanks)), ("rack", len(room.racks)), ("room", len(room.spaces)))
    ]
    lines = [SummaryLine(f"{what[0]} on {what[1]} in {what[2]}", (
        ("tanks", _count(len(room.tanks))), ("racks", _count(len(room.racks))),
        ("rooms", _count(len(room.spaces))),
    ))]  # fmt: skip
    if result.clashes:
        lines.append(SummaryLine("{clashes} places where two things stand in one",
                                 (("clashes", _count(len(result.clashes))),)))  # fmt: skip
    if result.aisles:
        aisle = min(result.aisles, key=lambda one: one.width)
        lines.append(SummaryLine(f"narrowest aisle {{width}}, before {_and(aisle.racks)}",
                                 (("width", _length(aisle.width)),)))  # fmt: skip
    ways = [fit for fit in result.racks if fit.way is not None]
    if ways:
        rack = min(ways, key=lambda fit: fit.way or 0.0)
        way = rack.way or 0.0
        lines.append(SummaryLine(f"narrowest way from a door at least {{way}}, to rack {rack.rack}",
                                 (("way", _length(way)),)))  # fmt: skip
    if result.tanks:
        tank = min(result.tanks, key=lambda fit: fit.clear_above)
        lines.append(SummaryLine(f"least clear height over a rim {{clear}}, over {tank.tank}",
                                 (("clear", _length(tank.clear_above)),)))  # fmt: skip
    drilled = sum(1 for tank in room.tanks if tank.hole is not None)
    if room.tanks:
        lines.append(SummaryLine("{drilled} tanks drilled, least freeboard {freeboard}", (
            ("drilled", _count(drilled)), ("freeboard", _length(min(tank.freeboard for tank in room.tanks))),
        )))  # fmt: skip
    return tuple(lines[:6])


def json_layout(room: Room, result: LayoutResult) -> dict[str, object]:
    """Everything the layout came to; metres, square metres, units in the key names.

    >>> from tankwright.systems.layout import solve_layout
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> json_layout(empty, solve_layout(empty))["aisles"]
    []
    """
    return {
        "tanks": [_tank(fit) for fit in result.tanks],
        "racks": [_rack(fit) for fit in result.racks],
        "aisles": [_aisle(aisle) for aisle in result.aisles],
        "doors": [_door(door) for door in result.doors],
        "holes": [_hole(hole) for hole in result.holes],
        "clashes": [
            {"kind": clash.kind, "first": clash.first, "second": clash.second, "depth_m": clash.depth}
            for clash in result.clashes
        ],
        "rooms": [
            {"room": space.space, "floor_m2": space.area, "tanks": space.tanks,
             "tanks_per_m2": space.tanks_per_area}
            for space in result.spaces
        ],
        "clear_above_wanted_m": result.clear_needed.value,
        "arm_reach_m": result.arm.value,
        "freeboard_m": {tank.id: tank.freeboard for tank in room.tanks},
        "not_computed": [{"subject": subject, "reason": reason} for subject, reason in result.not_computed],
    }  # fmt: skip


def _tank(fit: TankFit) -> dict[str, object]:
    return {
        "tank": fit.tank, "outside_walls_m": fit.outside, "past_ceiling_m": fit.past_ceiling,
        "past_rack_m": fit.past_rack, "clear_above_m": fit.clear_above, "rim_over_floor_m": fit.over_floor,
        "reach_back_m": fit.reach_back, "reach_corner_m": fit.reach_corner, "front_clear_m": fit.front_clear,
        "way_out": fit.way_out,
    }  # fmt: skip


def _rack(fit: RackFit) -> dict[str, object]:
    return {
        "rack": fit.rack, "outside_walls_m": fit.outside, "past_ceiling_m": fit.past_ceiling,
        "way_m": fit.way,
        "way_may_be_short_by_m": fit.way_step,
    }  # fmt: skip


def _aisle(aisle: Aisle) -> dict[str, object]:
    return {
        "racks": list(aisle.racks), "room": aisle.space, "to": aisle.to, "width_m": aisle.width,
        "wanted_m": aisle.needed.value, "from_xy_m": list(aisle.start), "to_xy_m": list(aisle.end),
    }  # fmt: skip


def _door(door: DoorFit) -> dict[str, object]:
    return {
        "door": door.name, "room": door.space, "width_m": door.width, "strikes": list(door.swept),
        "may_strike": list(door.perhaps_swept), "widest_tank": door.widest_tank,
        "widest_tank_needs_m": door.carried,
    }  # fmt: skip


def _hole(hole: HoleFit) -> dict[str, object]:
    return {
        "tank": hole.tank, "diameter_m": hole.diameter.value, "glass_m": hole.thickness.value,
        "pane_toughened": hole.toughened, "temper_known": hole.temper_known,
        "least_edge_m": hole.least_edge, "least_edge": hole.least_edge_name,
        "upright_clearance_m": hole.upright_clearance, "flange_known": hole.flange_known,
        "room_outside_m": hole.room_at_hole,
        **({"hole": hole.number, "next_hole_m": hole.to_next} if hole.number > 1 or hole.to_next is not None else {}),
    }  # fmt: skip


def _and(racks: tuple[str, ...]) -> str:
    return f"rack {racks[0]}" if len(racks) == 1 else f"racks {' and '.join(racks)}"


def _length(value: float) -> Number:
    return Number(value, "length")


def _count(value: int) -> Number:
    return Number(float(value), "number")
