"""The waters one has, which tank gets which, whether that is what is wanted, and what each change does to it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from tankwright.origin import Known
from tankwright.physics.mixing import remaining_after_turnovers
from tankwright.room.model import FeedRun, Room
from tankwright.systems.water_cold import cold_fills, gases
from tankwright.systems.water_fits import fits_of
from tankwright.systems.water_life import solve_water_life
from tankwright.systems.water_life_model import GivenWater
from tankwright.systems.water_model import Row, SourceWater, TankWater, WaterResult
from tankwright.systems.water_sources import Waters, by_hand, of_tank, water_of_tanks, waters_of
from tankwright.systems.water_wants import blends_of, zones_of
from tankwright.units import CubicMetrePerSecond

TURNOVERS: Final = (1.0, 2.0, 3.0)


def solve_water(room: Room, inflows: Mapping[str, Mapping[str, CubicMetrePerSecond]]) -> WaterResult:
    """The water of every tank; `inflows` is what each feed run brings into each of its tanks while it runs.

    >>> solve_water(Room(title="", display="metric", spaces=(), racks=(), tanks=()), {}).tanks
    ()
    """
    waters = waters_of(room)
    tanks = water_of_tanks(room, waters, inflows) if room.waters else ()
    zones = zones_of(room, tanks)
    fills = cold_fills(room, tanks)
    bubbles, no_gas = gases(fills)
    fits, not_compared = fits_of(room, tanks)
    blends = blends_of(room, waters, tanks, zones)
    return WaterResult(
        sources=tuple(waters.by_name[place.id] for place in room.waters if place.id in waters.by_name),
        tanks=tanks,
        zones=zones,
        blends=blends,
        cold_fills=fills,
        gases=bubbles,
        rows=_rows(tanks),
        fits=fits,
        not_compared=not_compared,
        life=solve_water_life(room, inflows, _given(room, waters, tanks), _settled(tanks)),
        not_computed=tuple(dict.fromkeys((*waters.missing, *no_gas))),
    )


def _given(room: Room, waters: Waters, tanks: Sequence[TankWater]) -> dict[str, GivenWater]:
    """The water each feed brings; under "" what tanks without a feed are changed with."""
    points: dict[str, str] = {}
    for place in room.waters:
        for point in place.comes_from:
            points.setdefault(point, place.id)
    rows = {row.tank: row for row in tanks}
    found = {}
    for run in room.feeds:
        name = points.get(run.source, "")
        water = waters.by_name.get(name)
        if run.source_kind == "tank" and run.source in rows:
            name, water = of_tank(run.source), rows[run.source].water
        if water is not None:
            found[run.id] = _as_given(water, name, carbon=_passed_carbon(room, run, frozenset()))
    only = waters.by_name.get(by_hand(room) or "")
    if only is not None:
        found[""] = _as_given(only, only.name, carbon=False)
    return found


def _passed_carbon(room: Room, run: FeedRun, seen: frozenset[str]) -> bool:
    """Whether a feed has carbon, or every feed of the tank it draws from has passed some."""
    if any(one.carbon for one in run.filters):
        return True
    if run.source_kind != "tank" or run.id in seen:
        return False
    before = [one for one in room.feeds if any(outlet.tank == run.source for outlet in one.outlets)]
    return bool(before) and all(_passed_carbon(room, one, seen | {run.id}) for one in before)


def _as_given(water: SourceWater, name: str, *, carbon: bool) -> GivenWater:
    return GivenWater(
        name=name, chlorine=water.chlorine, nitrate=water.nitrate, ammonia=water.ammonia,
        carbonate_hardness=water.carbonate_hardness, disinfectant=water.disinfectant, carbon=carbon,
    )  # fmt: skip


def _settled(tanks: Sequence[TankWater]) -> dict[str, Known]:
    return {row.tank: row.settled_ph for row in tanks if row.settled_ph is not None}


def _rows(tanks: Sequence[TankWater]) -> tuple[Row, ...]:
    """Every row of tanks fed one from the other, to its last tank.

    Source: stirred tanks in series, `physics.mixing.remaining_after_turnovers`, as if all were as large as the first.
    """
    passed = {name for row in tanks for name in row.through}
    alone = tuple((times, remaining_after_turnovers(turnovers=times)) for times in TURNOVERS)
    return tuple(
        Row(
            tanks=(*row.through, row.tank),
            remaining=tuple(
                (times, remaining_after_turnovers(turnovers=times, tanks_in_row=len(row.through) + 1.0))
                for times in TURNOVERS
            ),
            alone=alone,
        )
        for row in tanks
        if row.through and row.tank not in passed
    )
