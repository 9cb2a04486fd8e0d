"""The weights in short, and in full for JSON. A screening for someone licensed to judge."""

from __future__ import annotations

from tankwright.finding import Number
from tankwright.report.model import SummaryLine
from tankwright.room.model import Room
from tankwright.systems.load import LoadResult, RackLoad, TankLoad
from tankwright.units import convert

CAUTION = "screening figures: what a floor, a shelf or a rack carries is for someone licensed to judge"


def summary_load(_room: Room, result: LoadResult) -> tuple[SummaryLine, ...]:
    """Three to five lines: the whole, the heaviest tank and rack, the floor.

    >>> from tankwright.systems.load import solve_load
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> summary_load(empty, solve_load(empty))[0].text
    '{mass} in all, {brim} brim-full'
    """
    lines = [SummaryLine("{mass} in all, {brim} brim-full",
                         (("mass", _mass(result.total)), ("brim", _mass(result.brim))))]  # fmt: skip
    if result.tanks:
        tank = max(result.tanks, key=lambda load: load.total)
        lines.append(SummaryLine(f"heaviest tank {{mass}} ({tank.tank})", (("mass", _mass(tank.total)),)))
    if result.racks:
        rack = max(result.racks, key=lambda load: load.total)
        foot = rack.worst_leg if rack.worst_leg is not None else rack.leg
        lines.append(SummaryLine(
            f"heaviest rack {{mass}} ({rack.rack}), {{pressure}} on its footprint, {{foot}} on its"
            " heaviest foot",
            (("mass", _mass(rack.total)), ("pressure", Number(rack.pressure, "floor_load")),
             ("foot", _mass(foot))),
        ))  # fmt: skip
    for space in sorted(result.spaces, key=lambda space: -space.pressure)[:1]:
        lines.append(SummaryLine(f"{{pressure}} over the whole floor of {space.space} ({space.floor})",
                                 (("pressure", Number(space.pressure, "floor_load")),)))  # fmt: skip
    lines.append(SummaryLine(CAUTION))
    return tuple(lines)


def json_load(_room: Room, result: LoadResult) -> dict[str, object]:
    """Every weight; kilograms, kilopascals, newtons, units in the key names.

    >>> from tankwright.systems.load import solve_load
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> json_load(empty, solve_load(empty))["total_kg"]
    0.0
    """
    return {
        "caution": CAUTION,
        "total_kg": result.total,
        "brim_full_kg": result.brim,
        "tanks": [_tank(load) for load in result.tanks],
        "shelves": [
            {"rack": shelf.rack, "shelf": shelf.shelf, "tanks": shelf.tanks, "mass_kg": shelf.total,
             "brim_full_kg": shelf.brim}
            for shelf in result.shelves
        ],
        "racks": [_rack(load) for load in result.racks],
        "rooms": [
            {"room": space.space, "floor": space.floor, "floor_m2": space.area, "mass_kg": space.total,
             "brim_full_kg": space.brim, "pressure_kpa": convert(space.pressure, "Pa", "kPa"),
             "brim_full_pressure_kpa": convert(space.brim_pressure, "Pa", "kPa")}
            for space in result.spaces
        ],
        "not_computed": [{"subject": subject, "reason": reason} for subject, reason in result.not_computed],
    }  # fmt: skip


def _tank(load: TankLoad) -> dict[str, object]:
    return {
        "tank": load.tank, "mass_kg": load.total, "brim_full_kg": load.brim, "glass_kg": load.glass.value,
        "glass_weighed": not load.panes, "panes_kg": list(load.panes), "water_kg": load.water,
        "substrate_kg": load.substrate, "fittings_kg": load.fittings.value,
        "footprint_pressure_kpa": convert(load.pressure, "Pa", "kPa"),
    }  # fmt: skip


def _rack(load: RackLoad) -> dict[str, object]:
    return {
        "rack": load.rack, "mass_kg": load.total, "brim_full_kg": load.brim, "tanks_kg": load.tanks,
        "empty_kg": load.own.value, "footprint_m2": load.footprint, "pressure_kpa": convert(load.pressure, "Pa", "kPa"),
        "brim_full_pressure_kpa": convert(load.brim_pressure, "Pa", "kPa"), "legs": load.legs.value,
        "mean_leg_kg": load.leg, "worst_leg_kg": load.worst_leg, "top_shelf_height_over_depth": load.ratio,
        "tipping_pull_n": load.pull,
    }  # fmt: skip


def _mass(value: float) -> Number:
    return Number(value, "mass")
