"""The workings of the oxygen: each number again from the inputs it names."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tankwright.display import words
from tankwright.explain.model import Working
from tankwright.explain.oxygen import workings_oxygen
from tankwright.systems.oxygen import solve_oxygen

from ..systems.oxygen_rooms import oxygen_room

STOCK = '[[stock]]\ntanks = "A1..A2"\ncount = 60\neach = "1 g"\n'


def workings() -> dict[str, Working]:
    room = oxygen_room(STOCK)
    return {one.name: one for one in workings_oxygen(room, solve_oxygen(room, {"A1": 2e-5}))}


def value(working: Working, name: str) -> float:
    return next(one.number.value for one in working.inputs if one.name == name)


def test_the_level_follows_from_saturation_demand_and_transfer():
    steady = workings()["A1.oxygen.steady"]
    fall = value(steady, "demand") / value(steady, "brought to saturation")
    assert steady.number.value == pytest.approx(value(steady, "saturation") - fall)


def test_the_demand_is_its_two_parts():
    demand = workings()["A1.oxygen.demand"]
    assert demand.number.value == pytest.approx(
        value(demand, "by the fish") + value(demand, "by filter and mulm")
    )
    assert value(demand, "by the fish") == pytest.approx(
        value(demand, "mass of fish") * value(demand, "breathing of a kg")
    )


def test_a_tank_without_stock_has_what_it_could_hold_and_no_time():
    found = workings()
    assert "A3.oxygen.time" not in found
    assert "A3.oxygen.demand" not in found
    held = found["A3.oxygen.holds.between-looks"]
    assert held.number.value > 0.0
    assert "no stocking number" in held.note


def test_every_working_leads_on_to_workings_there_are_and_can_be_worded():
    found = workings()
    for one in found.values():
        assert one.source
        assert words(one.number)
        for given in one.inputs:
            assert words(given.number)
            assert not given.see or given.see in found or given.see.endswith(".water")


def test_a_plan_without_life_has_no_workings():
    room = replace(oxygen_room(), lives=(), laws=None)
    assert list(workings_oxygen(room, solve_oxygen(room, {}))) == []
