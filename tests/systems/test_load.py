"""Weights: against a published chart, against worked tanks, and that they add up."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given as hypothesis_given
from hypothesis import settings
from hypothesis import strategies as st

from tankwright.physics.constants import STANDARD_GRAVITY, WATER_DENSITY
from tankwright.physics.weights import glass_weight, tank_weight
from tankwright.room.model import Room, Tank
from tankwright.systems.load import pane_masses, solve_load

from .plain_rooms import given, make_room, one_tank, with_tank

PUBLISHED = Path(__file__).parents[1] / "published" / "tank_chart.csv"
INCH = 0.0254


def chart() -> list[dict[str, str]]:
    lines = PUBLISHED.read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def box_tank(
    length: float, depth: float, height: float, sides: float, base: float, **changes: object
) -> Tank:
    """A tank standing at zero, its level, substrate and mass as told."""
    tank = one_tank(
        length=length, depth=depth, height=height, glass_side=given(sides), glass_base=given(base),
        inside_area=(length - 2 * sides) * (depth - 2 * sides), floor_inside=base, rim=height, level=height,
        substrate_depth=0.0, substrate_mass=0.0, fittings_mass=given(0.0),
    )  # fmt: skip
    return replace(tank, **changes)  # type: ignore[arg-type]


def alone(tank: Tank) -> Room:
    room = make_room()
    return replace(room, tanks=(tank,))


@pytest.mark.parametrize("row", chart(), ids=lambda row: row["name"])
def test_a_weighed_empty_tank_brim_full_by_its_outside_size_is_the_charts_arithmetic(row):
    """Glass of no thickness makes inside and outside one, as the chart's litres are."""
    length, depth, height = (float(row[key]) * INCH for key in ("length_in", "depth_in", "height_in"))
    weighed = box_tank(length, depth, height, 0.0, 0.0, empty_mass=given(float(row["empty_kg"])))
    load = solve_load(alone(weighed)).tanks[0]
    # Half a printed litre; the row "20 high" prints 75 for 75.51.
    assert load.water / WATER_DENSITY * 1000 == pytest.approx(float(row["litres_outside"]), abs=0.52)
    # Half a kilogram of the printed whole number, and the half the printed empty mass may be off.
    assert load.brim == pytest.approx(float(row["brim_kg"]), abs=1.0)


@pytest.mark.parametrize("row", chart(), ids=lambda row: row["name"])
def test_the_printed_chart_reads_six_to_twenty_five_per_cent_above_water_and_glass(row):
    high = float(row["chart_filled_kg"]) / float(row["brim_kg"]) - 1
    assert 0.055 <= high <= 0.255  # "6 to 25 %" in whole per cent


@pytest.mark.parametrize(
    ("length", "depth", "height", "glass", "total", "pressure_kpa"),
    [
        (0.6, 0.3, 0.3, 0.005, 57.4, 3.1),
        (0.6, 0.45, 0.38, 0.006, 107.2, 3.9),
        (0.9, 0.45, 0.45, 0.008, 191.6, 4.6),
    ],
)
def test_worked_tanks_filled_to_nine_tenths_over_gravel_weigh_what_was_printed(
    length, depth, height, glass, total, pressure_kpa
):
    """Worked examples: 90 % of the inside height, 30 mm of gravel at 1600 kg/m3, glass 2500, water 1000 kg/m3."""
    inside = (length - 2 * glass) * (depth - 2 * glass)
    tank = box_tank(
        length, depth, height, glass, glass, level=glass + 0.9 * (height - glass), substrate_depth=0.03,
        substrate_mass=inside * 0.03 * 1600.0, empty_mass=make_room().tank("A1").empty_mass,
    )  # fmt: skip
    load = solve_load(alone(tank)).tanks[0]
    # Theirs lets the sides stand to the full height on top of the base: one strip of glass more, a base high.
    strip = 2 * (length + depth - 2 * glass) * glass * glass * 2500.0
    lighter_water = load.water * (1000.0 / WATER_DENSITY - 1)  # theirs is of 1000 kg/m3
    assert round(load.total + strip + lighter_water, 1) == total
    assert round(load.pressure / 1000, 1) == pressure_kpa


def test_the_panes_add_up_to_the_glass_of_the_formula():
    tank = box_tank(0.9, 0.38, 0.38, 0.006, 0.008)
    glass = glass_weight(length=0.9, depth=0.38, height=0.38, side_thickness=0.006, base_thickness=0.008)
    assert sum(pane_masses(tank, 2500.0)) == pytest.approx(glass, rel=1e-12)


def test_turning_a_tank_end_on_changes_no_weight():
    tank = box_tank(0.9, 0.38, 0.38, 0.006, 0.008)
    turned = replace(tank, length=0.38, depth=0.9, end_on=True)
    assert pane_masses(turned, 2500.0) == pytest.approx(pane_masses(tank, 2500.0))


def test_a_tank_weighs_what_the_shelf_of_formulas_says():
    room = make_room()
    tank = room.tank("A1")
    load = solve_load(room).tanks[0]
    whole = tank_weight(
        length=0.6, depth=0.3, height=0.3, side_thickness=0.005, base_thickness=0.005,
        water_height=tank.level - tank.floor_inside,
    )  # fmt: skip
    assert load.total == pytest.approx(whole + tank.fittings_mass.value)


def test_a_weighed_tank_replaces_the_panes():
    room = with_tank(make_room(), "A1", empty_mass=given(11.0))
    load = solve_load(room).tanks[0]
    assert (load.panes, load.glass.value) == ((), 11.0)


def test_tanks_add_up_to_shelves_shelves_to_racks_and_racks_to_the_room():
    room = make_room(hole="")
    result = solve_load(room)
    for field in ("total", "brim"):
        shelves = sum(getattr(shelf, field) for shelf in result.shelves)
        assert shelves == pytest.approx(sum(getattr(load, field) for load in result.tanks))
        assert sum(getattr(rack, field) for rack in result.racks) == pytest.approx(shelves + 25.0)
        assert getattr(result, field) == pytest.approx(shelves + 25.0)
        assert sum(getattr(space, field) for space in result.spaces) == pytest.approx(shelves + 25.0)


def test_pressures_are_weight_over_the_area_it_stands_on():
    result = solve_load(make_room())
    rack, space = result.racks[0], result.spaces[0]
    assert rack.pressure == pytest.approx(rack.total * STANDARD_GRAVITY / (1.5 * 0.4))
    assert space.pressure == pytest.approx(rack.total * STANDARD_GRAVITY / (3.0 * 2.5))
    assert rack.leg == pytest.approx(rack.total / 4)


def test_an_evenly_loaded_rack_stands_evenly_on_its_feet():
    tanks = 'shelf.1 = [{ kind = "box", ids = "A1..A2", from_left = "14.5 cm" }]'
    rack = solve_load(make_room(tanks=tanks)).racks[0]
    assert rack.worst_leg == pytest.approx(rack.leg)


def test_a_load_at_one_end_and_at_the_front_loads_one_foot_more():
    tanks = 'shelf.1 = [{ kind = "box", ids = "A1", from_left = "0 cm", off_back = "10 cm" }]'
    rack = solve_load(make_room(tanks=tanks)).racks[0]
    # Two beams: along, the tank's middle is 0.3 m from the left of 1.5; its feet 0.0225 m and 1.4775 m.
    # Across, the middle of the tank is 0.15 m from the front of 0.40.
    left = rack.tanks * (1.4775 - 0.3) / 1.455
    corner = left * (0.40 - 0.15) / 0.40
    # Over four stiff feet the two shares add instead of multiply; a limp rack would give the corner alone.
    expected = rack.tanks * (0.25 + (0.75 - 0.3) / (2 * 1.455) + (0.20 - 0.15) / (2 * 0.40)) + 25.0 / 4
    assert rack.worst_leg == pytest.approx(expected)
    assert rack.leg < rack.worst_leg < corner + 25.0 / 4


def test_feet_that_match_no_uprights_give_only_the_mean():
    rack = solve_load(make_room(rack_kind="legs = 6")).racks[0]
    assert rack.worst_leg is None
    assert rack.leg == pytest.approx(rack.total / 6)


def test_the_tipping_ratio_is_the_top_loaded_shelf_over_the_depth():
    rack = solve_load(make_room()).racks[0]
    assert rack.ratio == pytest.approx(0.95 / 0.40)
    on_top = solve_load(make_room()).shelves[1].total
    assert rack.pull == pytest.approx((on_top + 25.0) * STANDARD_GRAVITY * 0.20 / 0.95)


def test_a_tank_on_no_rack_is_named_and_not_counted_on_a_floor():
    room = replace(make_room(), racks=())
    result = solve_load(room)
    assert result.total == 0.0
    assert len(result.not_computed) == 4


@settings(max_examples=40, deadline=None)
@hypothesis_given(level=st.floats(0.01, 0.29), more=st.floats(0.0, 0.05), gravel=st.floats(0.0, 0.1))
def test_more_water_never_weighs_less_and_brim_is_never_less_than_the_lip(level, more, gravel):
    base = {"substrate_depth": gravel, "substrate_mass": gravel * 0.59 * 0.29 * 1900.0}
    lower = solve_load(alone(box_tank(0.6, 0.3, 0.3, 0.005, 0.005, level=level, **base))).tanks[0]
    upper = solve_load(alone(box_tank(0.6, 0.3, 0.3, 0.005, 0.005, level=level + more, **base))).tanks[0]
    assert upper.total >= lower.total - 1e-9
    assert upper.brim >= upper.total - 1e-9
    assert upper.brim == pytest.approx(max(lower.brim, upper.total))


def test_the_owners_own_density_of_glass_weighs_the_panes():
    room = make_room(more='[assume]\n"glass.density" = "2450 kg/m3"')
    usual, own = solve_load(make_room()).tanks[0], solve_load(room).tanks[0]
    assert own.glass.value == pytest.approx(usual.glass.value * 2450 / 2500)
