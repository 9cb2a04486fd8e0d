"""What keeps a tank under its rim when its overflow is blocked: a second mouth, or a float that shuts its feed."""

from __future__ import annotations

from dataclasses import dataclass

from tankwright.physics.mouths import HIGHEST_HEAD, tilted_overflow
from tankwright.physics.ranges import OutsideValidRange
from tankwright.room.model import Tank
from tankwright.units import CubicMetrePerSecond


@dataclass(frozen=True, slots=True, kw_only=True)
class SecondWay:
    """What else a tank has. `flow` is what its second overflow takes with water at the rim, None without one;
    `kept` whether that water goes into a pipe, not onto the floor; `floated` whether a float shuts its feed below
    the rim."""

    flow: CubicMetrePerSecond | None
    kept: bool
    floated: bool

    def holds(self, inflow: CubicMetrePerSecond) -> bool:
        """Whether nothing runs over or onto the floor at an inflow, however long it lasts."""
        return self.floated or (self.kept and self.flow is not None and self.flow >= inflow)


def second_way(tank: Tank) -> SecondWay:
    """What a tank has beside its overflow. A mouth no formula reaches is not counted on."""
    second, flow, kept = tank.second_overflow, None, False
    if second is not None:
        head = min(max(tank.rim - second.lip, 0.0), HIGHEST_HEAD)
        kept = second.to == "own hose" or (second.to == "drain" and tank.hose is not None)
        try:
            flow = tilted_overflow(head=head, diameter=second.bore.value, angle=0.0)
        except OutsideValidRange:
            flow = None
    shuts = tank.float_cutoff
    floated = shuts is not None and tank.level + shuts.value < tank.rim
    return SecondWay(flow=flow, kept=kept, floated=floated)
