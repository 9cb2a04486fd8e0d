"""The workings of layout, load and power: each number again from the inputs it names."""

from __future__ import annotations

import math
from collections import Counter

import pytest

from tankwright.display import words
from tankwright.explain.layout import workings_layout
from tankwright.explain.load import workings_load
from tankwright.explain.model import Working
from tankwright.explain.power import workings_power
from tankwright.physics.elbows import elbow_level
from tankwright.room.model import Room
from tankwright.systems.layout import solve_layout
from tankwright.systems.load import solve_load
from tankwright.systems.power import solve_power

from ..systems.plain_rooms import given, make_board, make_load, powered, with_tank

ROOM = powered(make_board("a", make_load(count=6), make_load("air pump", 71.0, does="air", hours=24.0)))


def workings(room: Room) -> dict[str, Working]:
    found = [
        *workings_layout(room, solve_layout(room)),
        *workings_load(room, solve_load(room)),
        *workings_power(room, solve_power(room)),
    ]
    twice = [name for name, times in Counter(working.name for working in found).items() if times > 1]
    assert twice == []
    return {working.name: working for working in found}


def test_every_working_has_a_source_a_formula_and_numbers_a_view_can_word():
    for working in workings(ROOM).values():
        assert working.source
        assert working.formula
        assert math.isfinite(working.number.value)
        assert words(working.number)
        assert all(words(one.number) for one in working.inputs)


def test_what_an_input_points_at_exists():
    found = workings(ROOM)
    for working in found.values():
        for one in working.inputs:
            assert one.see == "" or one.see in found
            if one.see:
                assert one.number.value == pytest.approx(found[one.see].number.value) or "tanks" in one.name


def test_a_tanks_mass_is_the_sum_of_its_inputs():
    working = workings(ROOM)["A1.mass"]
    assert working.number.value == pytest.approx(sum(one.number.value for one in working.inputs))


def test_the_glass_is_the_sum_of_its_five_panes():
    working = workings(ROOM)["A1.glass"]
    panes = [one.number.value for one in working.inputs if one.number.dimension == "mass"]
    assert len(panes) == 5
    assert working.number.value == pytest.approx(sum(panes))


def test_a_weighed_tank_has_no_working_of_its_glass():
    room = with_tank(ROOM, "A1", empty_mass=given(9.0))
    found = workings(room)
    assert "A1.glass" not in found
    assert found["A1.mass"].inputs[0].name == "weighed empty"


def test_a_racks_mass_and_pressure_follow_from_their_inputs():
    found = workings(ROOM)
    mass = found["load.A.mass"]
    assert mass.number.value == pytest.approx(sum(one.number.value for one in mass.inputs))
    weight, g, length, depth = (one.number.value for one in found["load.A.pressure"].inputs)
    assert found["load.A.pressure"].number.value == pytest.approx(weight * g / (length * depth))


def test_a_boards_current_is_its_watts_over_the_voltage():
    working = workings(ROOM)["power.a.current"]
    watts = sum(one.number.value for one in working.inputs if one.number.dimension == "power")
    volts = next(one.number.value for one in working.inputs if one.number.dimension == "voltage")
    assert working.number.value == pytest.approx(watts / volts)
    assert "electrician" in working.note


def test_freeboard_is_rim_less_level():
    working = workings(ROOM)["A1.freeboard"]
    rim, level = (one.number.value for one in working.inputs)
    assert working.number.value == pytest.approx(rim - level)


def test_the_turn_of_an_elbow_is_told_and_gives_back_its_level():
    working = workings(ROOM)["A1.elbow"]
    level, centre, reach, bore = (one.number.value for one in working.inputs)
    assert 0.0 < working.number.value < math.pi / 2
    turned = elbow_level(hole_height=centre, reach=reach, bore=bore, angle=working.number.value)
    assert turned == pytest.approx(level, abs=1e-9)
