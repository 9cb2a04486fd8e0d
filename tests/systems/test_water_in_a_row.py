"""Tanks fed out of tanks: what the first makes of its water arrives in the next, carbon before them counts for all."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tankwright.room.model import Room
from tankwright.systems.water import solve_water
from tankwright.systems.water_life_model import TankChlorine, TankNitrogen, WaterLife

from .water_rooms import CARBON, TAP, water_room

ON = """[feed.{name}]
from = "{source}"
outlet = {{ kind = "small tube", bore = "4 mm", length = "1 m" }}
program = [{{ start = "04:00", minutes = 60, days = "daily" }}]
tanks = "{tank}"
"""
FLOW = 4.0 / 3.6e6
FLOWS = {"drip": {"A3": FLOW, "A4": FLOW}, "on": {"A1": FLOW}, "again": {"A2": FLOW}}
NITRATE_OF_NITROGEN = 62.005 / 14.007


def row_of_three(*parts: str, tap: str = TAP, carbon: bool = False) -> WaterLife:
    """The tap drips into A3 and A4, A3 into A1, A1 into A2; as much each time."""
    room = water_room(
        tap, *parts, ON.format(name="on", source="A3", tank="A1"), ON.format(name="again", source="A1", tank="A2"),
        feed=CARBON if carbon else "", litres=50.0,
    )  # fmt: skip
    life = solve_water(_only(room, "drip", ("A3", "A4")), FLOWS).life
    assert life is not None
    return life


def _only(room: Room, feed: str, tanks: tuple[str, ...]) -> Room:
    runs = (
        replace(run, outlets=tuple(one for one in run.outlets if one.tank in tanks))
        if run.id == feed
        else run
        for run in room.feeds
    )
    return replace(room, feeds=tuple(runs))


def fed(tanks: str) -> str:
    return f'[[stock]]\ntanks = "{tanks}"\nfeed = "0.3 g/day"\n'


def nitrogen(life: WaterLife, tank: str) -> TankNitrogen:
    return next(one for one in life.nitrogen if one.tank == tank)


def chlorine(life: WaterLife, tank: str) -> TankChlorine:
    return next(one for one in life.chlorine if one.tank == tank)


def test_nitrate_of_a_row_of_tanks_adds_up_and_no_nitrogen_is_lost_on_the_way():
    life = row_of_three(fed("A1..A3"))
    made = 0.0
    for count, tank in enumerate(("A3", "A1", "A2"), start=1):
        one = nitrogen(life, tank)
        assert one.nitrate is not None
        assert one.source_nitrate is not None
        made += one.from_feed.value
        nitrate_out = (one.nitrate.value - 0.020) * one.inflow / NITRATE_OF_NITROGEN
        assert nitrate_out + one.ammonia.value * one.inflow == pytest.approx(made, rel=1e-3), count
    assert nitrogen(life, "A1").source_nitrate.value == nitrogen(life, "A3").nitrate.value  # type: ignore[union-attr]


def test_hardness_used_in_one_tank_is_missing_in_the_next():
    life = row_of_three(fed("A1..A3"))
    left = [nitrogen(life, tank).hardness for tank in ("A3", "A1", "A2")]
    assert all(one is not None for one in left)
    values = [one.value for one in left if one is not None]
    assert values == sorted(values, reverse=True)
    assert values[0] - values[1] > 0.02


def test_a_tank_without_stock_passes_its_water_on_as_it_came():
    life = row_of_three(fed("A2..A3"))
    came, went = nitrogen(life, "A3"), nitrogen(life, "A2")
    assert came.nitrate is not None
    assert went.source_nitrate is not None
    assert went.source_nitrate.value == pytest.approx(came.nitrate.value)


def test_out_of_a_tank_that_gets_nothing_itself_no_nitrate_is_known():
    room = water_room(TAP, fed("A1..A3"), ON.format(name="on", source="A3", tank="A1"), litres=50.0)
    life = solve_water(_only(room, "drip", ("A4",)), {"drip": {"A4": FLOW}, "on": {"A1": FLOW}}).life
    assert life is not None
    assert nitrogen(life, "A1").nitrate is None


def test_the_nitrogen_of_chloramine_is_counted_where_it_runs_in_and_nowhere_again():
    life = row_of_three(fed("A1..A3"), tap=TAP.replace('"chlorine"', '"chloramine"'))
    assert nitrogen(life, "A3").from_chloramine.value > 0.0
    assert nitrogen(life, "A1").from_chloramine.value == 0.0


@pytest.mark.parametrize(("added", "passes"), [("chlorine", 0.0), ("chloramine", 0.5)])
def test_carbon_counts_for_every_tank_behind_it_and_lets_through_what_it_lets_through(
    added: str, passes: float
):
    tap = TAP.replace('"chlorine"', f'"{added}"')
    for tank in ("A3", "A1", "A2"):
        bare, behind = (chlorine(row_of_three(tap=tap, carbon=carbon), tank) for carbon in (False, True))
        assert bare.fresh is None
        assert behind.fresh is not None
        assert behind.fresh.peak.value == pytest.approx(passes * bare.bare.peak.value)
        assert behind.bare.peak.value == bare.bare.peak.value > 0.0  # spent carbon is none, for all of them
