"""The waters one has, which tank gets which, and what each change does to it."""

from __future__ import annotations

from collections.abc import Mapping

from tankwright.room.model import Room
from tankwright.systems.water_model import WaterResult
from tankwright.units import CubicMetrePerSecond


def solve_water(room: Room, inflows: Mapping[str, Mapping[str, CubicMetrePerSecond]]) -> WaterResult:
    """The water of every tank; `inflows` is what each feed run brings into each of its tanks while it runs.

    >>> solve_water(Room(title="", display="metric", spaces=(), racks=(), tanks=()), {}).tanks
    ()
    """
    del inflows
    return WaterResult(not_computed=() if not room.tanks else (("water", "not worked out yet"),))
