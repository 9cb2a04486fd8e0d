"""The waters in short, in JSON and behind each figure: complete, with units, nothing rounded."""

from __future__ import annotations

import pytest

from tankwright.drawing.layer_water import draw_water
from tankwright.explain.water import workings_water
from tankwright.report.water import json_water, summary_water
from tankwright.room.model import Room
from tankwright.study import Study
from tankwright.systems.water import solve_water
from tankwright.systems.water_model import WaterResult

from ..systems.water_rooms import DRIP, PURE, TAP, stock, wants, water_room

SOFT = wants('general_hardness = ["3 °dH", "5 °dH"], ph = [6.5, 7.5], nitrate = "40 mg/L"')


def worked(*parts: str) -> tuple[Room, WaterResult]:
    room = water_room(TAP, PURE, SOFT, stock("Danio rerio"), *parts)
    return room, solve_water(room, DRIP)


def test_the_summary_has_a_line_for_each_water_and_counts_what_is_met():
    lines = {line.text: dict(line.numbers) for line in summary_water(*worked())}
    assert any(text.startswith("tap: ") for text in lines)
    assert any(text.startswith("pure: ") for text in lines)
    counted = next(numbers for text, numbers in lines.items() if "wants of its zones" in text)
    assert (counted["met"].value, counted["wanted"].value) == (1.0, 3.0)


def test_a_plan_without_waters_says_so_in_short():
    room = water_room()
    assert [line.text for line in summary_water(room, solve_water(room, DRIP))] == [
        "not computed: the plan names no water"
    ]


def test_the_json_tells_every_tank_in_the_units_of_its_keys():
    told = json_water(*worked())
    assert [row["tank"] for row in told["tanks"]] == ["A1", "A2", "A3", "A4"]  # type: ignore[attr-defined]
    tap = told["waters"][0]  # type: ignore[index]
    assert tap["winter_c"] == pytest.approx(10.0)
    assert tap["nitrate_mg_per_l"] == pytest.approx(20.0)
    assert tap["general_hardness_mg_per_l"] == pytest.approx(16 * 17.848, abs=0.01)
    assert tap["conductivity_us_per_cm"] == pytest.approx(600.0)
    blend = told["blends"][0]  # type: ignore[index]
    assert sum(part["fed_l_a_day"] for part in blend["shares"]) == pytest.approx(16.0)


def test_every_working_has_a_source_a_formula_and_a_name_of_its_own():
    found = list(workings_water(*worked()))
    names = [one.name for one in found]
    assert len(set(names)) == len(names)
    assert all(one.source and one.formula and one.inputs for one in found)
    shown = ["water.ph", "water.drip_winter", "water.batch25_summer", "water.gas_winter"]
    kept = {f"A1.{name}" for name in shown} | {
        "water.tap.settled_ph",
        "zone.main.tap.ph",
        "zone.main.blend.cost",
    }
    assert kept <= set(names)


def test_a_mix_shows_its_parts_behind_each_value():
    mix = '[water.mixed]\ncomes_from = []\nmix = { tap = "50 %", pure = "50 %" }\n'
    found = {one.name: one for one in workings_water(*worked(mix))}
    hardness = found["water.mixed.general_hardness"]
    assert [one.name for one in hardness.inputs] == ["tap, 50 %", "pure, 50 %"]
    assert hardness.number.value == pytest.approx(sum(one.number.value for one in hardness.inputs) / 2)
    assert "not add up" in found["water.mixed.ph"].note


def test_the_layer_colours_tanks_by_their_nitrate_and_hatches_what_is_not_known():
    room, result = worked()
    drawn = draw_water(Study(room=room, water=result))
    assert result.life is not None
    settled = {one.tank: one.nitrate.value for one in result.life.nitrogen if one.nitrate is not None}
    for tank in drawn.tanks:
        assert tank.share == pytest.approx(0.040 / settled[tank.id])
    assert drawn.figures[0][0].startswith("of 4 tanks")
    bare = water_room(TAP)
    assert {tank.share for tank in draw_water(Study(room=bare, water=solve_water(bare, DRIP))).tanks} == {
        None
    }
