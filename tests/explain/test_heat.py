"""The workings of warmth: every figure of a tank and a space has one, and it says the same number."""

from __future__ import annotations

import pytest

from tankwright.explain.heat import workings_heat
from tankwright.systems.heat import solve_heat

from ..systems.heat_rooms import shed, weather

ROOM = shed(climate='heat_to = "22 °C"\nheater = { power = "800 W" }', kind='heater = { power = "60 W" }')
RESULT = solve_heat(ROOM, weather(-5.0, 28.0), {})
WORKINGS = {one.name: one for one in workings_heat(ROOM, RESULT)}


@pytest.mark.parametrize(
    "part", ["", ".hottest", ".need", ".size", ".loss", ".evaporation", ".stuck", ".cut"]
)
def test_every_figure_of_a_tank_has_its_working(part: str) -> None:
    for tank in ROOM.tanks:
        working = WORKINGS[f"{tank.id}.heat{part}"]
        assert working.formula
        assert working.source


def test_the_workings_say_what_the_result_says() -> None:
    row = RESULT.tanks[0]
    assert WORKINGS["L1.heat"].number.value == row.coldest
    assert WORKINGS["L1.heat.need"].number.value == row.need
    assert WORKINGS["heat.shed.need"].number.value == RESULT.spaces[0].heat_need
    assert WORKINGS["heat.shed.coldest.air"].number.value == RESULT.spaces[0].day("coldest").air


def test_the_parts_of_the_loss_come_to_it() -> None:
    working = WORKINGS["heat.shed.loss"]
    areas = {"wall": 0.5, "roof": 0.25, "floor": 0.3}
    parts = [one for one in working.inputs if one.name.startswith("U of")]
    assert {one.number.value for one in parts} == set(areas.values())
    total = sum(one.number.value * float(one.name.split(", ")[1].removesuffix(" m2")) for one in parts)
    leak = 0.5 / 3600 * 50.0 * 1.19 * 1006.0
    assert total + leak == pytest.approx(working.number.value)


def test_sees_lead_to_workings() -> None:
    for working in WORKINGS.values():
        for one in working.inputs:
            assert not one.see or one.see in WORKINGS


def test_cold_faces_have_two() -> None:
    for face in RESULT.spaces[0].surfaces:
        assert WORKINGS[f"heat.{face.id}.face"].number.value == face.face
        assert WORKINGS[f"heat.{face.id}.moisture"].number.value == face.moisture
