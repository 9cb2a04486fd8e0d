"""Pumps of air and of water where they stand."""

from __future__ import annotations

from collections.abc import Mapping

from tankwright.plan.models import Plan
from tankwright.room.defaults import Defaults
from tankwright.room.mistakes import Mistakes
from tankwright.room.model import PumpPlace, Space
from tankwright.room.spaces import place_in


def lay_pumps(
    plan: Plan, spaces: Mapping[str, Space], defaults: Defaults, mistakes: Mistakes
) -> tuple[PumpPlace, ...]:
    """Every pump of the plan, those of vats too."""
    placed = []
    of_water = {vat.pump for vat in plan.vat.values()}
    for name, pump in plan.pump.items():
        height = defaults.take("pump.height", pump.height)
        space = spaces.get(pump.room) if pump.room else next(iter(spaces.values()), None)
        if pump.room and space is None:
            close = mistakes.unknown(f"pump {name}", "room", pump.room, tuple(spaces), pump.line)
            space = spaces.get(close)
        place = (*place_in(space, pump.at), height.value) if pump.at and space else None
        limits = pump.allowed
        placed.append(
            PumpPlace(
                id=name,
                place=place,
                height=height,
                curve=tuple(
                    (
                        pressure.value,
                        (flow if name in of_water else defaults.corrected(flow, "pump.flow_share")).value,
                    )
                    for pressure, flow in pump.curve
                ),
                lowest_pressure=limits.lowest if limits else None,
                highest_pressure=limits.highest if limits else None,
                power=pump.power,
                reserve=pump.reserve,
                line=pump.line,
            )
        )
    return tuple(placed)
