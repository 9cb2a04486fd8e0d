"""The JSON and the summary of what the water becomes: every tank, strict JSON, null where there is no end."""

from __future__ import annotations

import json

import pytest

from tankwright.display import sentence
from tankwright.explain.water_life import workings_water_life
from tankwright.report.water_life import json_water_life, summary_water_life
from tankwright.systems.water import solve_water

from ..systems.water_rooms import DRIP, TAP, carbon_room, wants, water_room

STOCK = '[[stock]]\ntanks = "A1..A3"\nfeed = "0.8 g/day"\n'


def test_every_number_of_every_tank_is_strict_json():
    room = carbon_room(TAP, STOCK, wants('nitrate = "40 mg/L"'))
    life = solve_water(room, DRIP).life
    assert life is not None
    data = json.loads(json.dumps(json_water_life(room, life), allow_nan=False))
    assert [one["tank"] for one in data["nitrogen"]] == ["A1", "A2", "A3"]
    assert data["nitrogen"][0]["feed_g_per_day"] == pytest.approx(0.8)
    assert data["chlorine"][0]["carbon_fresh"]["harm_after_h"] == [None, None, None]
    assert data["chlorine"][0]["first_opens_h"] == 2.0
    assert data["without_stock"] == ["A4"]
    still = solve_water(room, {}).life
    assert still is not None
    assert json_water_life(room, still)["nitrogen"][0]["nitrate_mg_per_l"] == [None, None, None]  # type: ignore[index] # plain data


def test_the_summary_fills_all_its_numbers():
    room = carbon_room(TAP, STOCK)
    life = solve_water(room, DRIP).life
    assert life is not None
    said = [sentence(line.text, line.numbers) for line in summary_water_life(room, life)]
    assert len(said) == 4
    assert not any("{" in line for line in said)
    assert any("carbon of drip is spent after" in line for line in said)


def test_every_working_is_finite_and_leads_only_to_others_that_are_there():
    room = water_room(TAP, STOCK, wants('nitrate = "40 mg/L"'))
    life = solve_water(room, DRIP).life
    assert life is not None
    workings = {one.name: one for one in workings_water_life(room, life)}
    assert {"A1.nitrate", "A1.ammonia", "A1.poison", "A1.hardness", "A1.chlorine", "A1.weekly"} <= set(
        workings
    )
    for one in workings.values():
        assert one.source
        assert abs(one.number.value) < 1e15
        for given in one.inputs:
            assert not given.see or given.see in workings, one.name
    nitrate = workings["A1.nitrate"]
    by = {given.name: given.number.value for given in nitrate.inputs}
    drip = by["new water, mean over the week"]
    assert nitrate.number.value == pytest.approx(
        by["of the new water"] + by["turned over"] * 62.004 / 14.007 / drip
    )
