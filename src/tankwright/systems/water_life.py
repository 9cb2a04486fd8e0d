"""What the water becomes in the tanks: chlorine by the clock, nitrogen from feed to nitrate, the first weeks."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from tankwright.origin import Known, Origin
from tankwright.physics.disinfectants import CHLORINE_LIMIT
from tankwright.room.model import Room
from tankwright.systems.water_chlorine import solve_carbons, solve_chlorine, solve_doses
from tankwright.systems.water_life_model import GivenWater, WaterLife
from tankwright.systems.water_nitrogen import nitrate_programs, nitrate_wants, solve_nitrogen
from tankwright.systems.water_start import solve_first_weeks

USUAL_NITRATE: Final = Known(
    0.050,
    Origin.DERIVED,
    reason="50 mg/L, where the zone wants nothing in particular; common practice, no source",
)


def solve_water_life(
    room: Room,
    inflows: Mapping[str, Mapping[str, float]],
    waters: Mapping[str, GivenWater],
    tank_ph: Mapping[str, Known],
) -> WaterLife:
    """Chlorine, nitrogen and first weeks of every tank.

    `inflows` are m3/s into each tank by feed while it is open; `waters` the water each feed brings, under "" what
    tanks without a drip are changed with; `tank_ph` the pH each tank settles at.

    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> solve_water_life(empty, {}, {}, {}).nitrogen
    ()
    """
    missing: list[tuple[str, str]] = []
    if room.laws is None:
        return WaterLife(
            limit=CHLORINE_LIMIT, waters=(),
            not_computed=(("water", "the plan says nothing of its waters, its stock or its climate"),),
        )  # fmt: skip
    chlorine = solve_chlorine(room, inflows, waters, missing)
    nitrogen = solve_nitrogen(room, inflows, waters, tank_ph, missing)
    wants = nitrate_wants(nitrogen, USUAL_NITRATE)
    return WaterLife(
        limit=CHLORINE_LIMIT,
        waters=tuple(waters.items()),
        chlorine=chlorine,
        carbons=solve_carbons(room, inflows, waters),
        doses=solve_doses(room, waters),
        nitrogen=nitrogen,
        wants=wants,
        programs=nitrate_programs(room, inflows, nitrogen, wants),
        first_weeks=solve_first_weeks(nitrogen, room.laws.filter_seed, missing),
        without_stock=tuple(life.tank for life in room.lives if life.stock is None),
        not_computed=tuple(missing),
    )
