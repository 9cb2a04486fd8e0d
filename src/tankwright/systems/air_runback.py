"""Water running back through the air tubes when the pump stops: which, how fast, down to where."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from tankwright.physics.hydrostatics import SMALL_TUBE_MINOR_LOSS, siphon_back_flow, time_to_drain
from tankwright.physics.ranges import OutsideValidRange
from tankwright.room.model import Tank
from tankwright.systems.air_model import RunBack
from tankwright.systems.air_network import TapLaw
from tankwright.units import Metre

NEAR: Final[Metre] = 0.01
"""How near to its end a falling level is followed; the last film of a siphon takes for ever."""


def run_back(
    laws: Iterable[TapLaw], tanks: dict[str, Tank], lowest_pump: Metre | None
) -> tuple[RunBack, ...]:
    """Every tube without a check valve through which water can, or may, reach the ring.

    A tube is certain to run when its tap lies below the tank's water: the column that fills the tube as the
    air leaves has only the rim to pass. It is counted as possible when the tap is above the water but by
    less than the column can swing (its own depth, the bound without friction), and a pump stands below the
    water.

    Source: hydrostatics; the swing of a frictionless column in a U-tube.
    """
    return tuple(_all(laws, tanks, lowest_pump))


def _all(laws: Iterable[TapLaw], tanks: dict[str, Tank], lowest_pump: Metre | None) -> Iterator[RunBack]:
    for law in laws:
        tank = tanks.get(law.tank)
        if tank is None or law.tap.check_valve or law.tap.diffuser is None or law.tap.water_depth <= 0.0:
            continue
        ring = law.tap.place[2]
        head = tank.level - ring
        climb = max(tank.rim, ring) - tank.level
        swing = law.tap.water_depth
        if head > 0.0:
            yield _certain(law, tank, head, climb)
        elif climb < swing and lowest_pump is not None and lowest_pump < tank.level:
            yield RunBack(tap=law.tap.id, tank=tank.id, certain=False, climb=climb, head=head, swing=swing)


def _certain(law: TapLaw, tank: Tank, head: Metre, climb: Metre) -> RunBack:
    ring = law.tap.place[2]
    diffuser = law.tap.diffuser[2] if law.tap.diffuser else tank.floor_inside
    stops_at = max(diffuser, ring, tank.floor_inside)
    loss = SMALL_TUBE_MINOR_LOSS + law.full_loss
    flow = time = None
    try:
        flow = siphon_back_flow(
            head=head, inner_diameter=law.tube_bore, length=law.tube_length, minor_loss=loss
        )
        end = max(NEAR, stops_at - ring)
        if head > end:
            time = time_to_drain(
                surface_area=tank.inside_area,
                upper_head=head,
                lower_head=end,
                inner_diameter=law.tube_bore,
                length=law.tube_length,
                minor_loss=loss,
            )
    except OutsideValidRange:
        pass  # the tube is outside what the formulas cover: that water runs is still said, how fast is not
    return RunBack(
        tap=law.tap.id,
        tank=tank.id,
        certain=True,
        climb=climb,
        head=head,
        swing=law.tap.water_depth,
        flow=flow,
        stops_at=stops_at,
        volume=tank.inside_area * max(0.0, tank.level - stops_at),
        time=time,
    )
