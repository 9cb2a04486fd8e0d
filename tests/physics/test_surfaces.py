"""Cold surfaces and vapour in walls against print."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankwright.physics.layers import (
    Layer,
    saturation_pressure_of_walls,
    saturation_temperature_of_walls,
    series_resistance,
    vapour_profile,
)
from tankwright.physics.moist_air import dew_point
from tankwright.physics.ranges import OutsideValidRange
from tankwright.physics.surfaces import (
    inner_surface_temperature,
    surface_limit_temperature,
    surface_relative_humidity,
    temperature_factor,
    temperature_factor_needed,
)

ZERO = 273.15

# The wall of a public test of the Spanish code (CTE DB-HE, appendix G; EN ISO 13788:2002), outside to inside
WALL = (
    Layer(resistance=0.11 / 0.667, vapour_thickness=1.10),  # brick
    Layer(resistance=0.01 / 0.41, vapour_thickness=0.10),  # light mortar
    Layer(resistance=0.03 / 0.0375, vapour_thickness=0.60),  # expanded polystyrene
    Layer(resistance=0.03 / 0.445, vapour_thickness=0.30),  # hollow brick
    Layer(resistance=0.01 / 0.57, vapour_thickness=0.06),  # plaster
)
OUTER, INNER = (5.0 + ZERO, 836.99), (20.0 + ZERO, 1285.32)
TRANSMITTANCE = 0.80369


def test_the_wall_of_the_code_has_its_resistance() -> None:
    total = series_resistance(WALL, inner_surface=0.13, outer_surface=0.04)
    assert (round(total, 5), round(1 / total, 5)) == (1.24427, TRANSMITTANCE)


def test_the_wall_of_the_code_has_its_temperatures_and_pressures_to_every_digit() -> None:
    profile = vapour_profile(WALL, outer=OUTER, inner=INNER)
    celsius = [round(t - ZERO, 3) for t in profile.temperatures]
    assert celsius == [5.482, 7.470, 7.764, 17.409, 18.221, 18.433]
    held = [round(p, 2) for p in profile.saturation_pressures]
    assert held == [901.65, 1034.14, 1055.12, 1987.36, 2091.71, 2119.64]
    assert round(0.96 * saturation_pressure_of_walls(OUTER[0]), 2) == OUTER[1]
    assert round(0.55 * saturation_pressure_of_walls(INNER[0]), 2) == INNER[1]


def test_water_gathers_at_both_faces_of_the_mortar() -> None:
    # as the code's own test has it; a single plane would miss one
    profile = vapour_profile(WALL, outer=OUTER, inner=INNER)
    assert [rate > 0.0 for rate in profile.condensation] == [False, True, True, False, False, False]
    held, vapour = profile.saturation_pressures, profile.vapour_pressures
    assert vapour[1:3] == held[1:3]
    # what gathers is what comes from inside less what leaves outwards: 2e-10 kg/(m s Pa)
    came, left = 2e-10 * (INNER[1] - held[2]) / 0.96, 2e-10 * (held[1] - OUTER[1]) / 1.10
    assert sum(profile.condensation) == pytest.approx(came - left, rel=1e-12)


@st.composite
def walls(draw: st.DrawFn) -> tuple[tuple[Layer, ...], float, float, float, float]:
    one = st.builds(Layer, resistance=st.floats(0.01, 5.0), vapour_thickness=st.floats(0.001, 50.0))
    layers = tuple(draw(st.lists(one, min_size=1, max_size=6)))
    numbers = [draw(st.floats(-20.0, 15.0)), draw(st.floats(16.0, 32.0)), draw(HUMIDITY), draw(HUMIDITY)]
    return layers, *numbers  # type: ignore[return-value] # four numbers


HUMIDITY = st.floats(0.05, 1.0)


@settings(max_examples=50)
@given(walls())
def test_the_string_is_tight_and_under_everything(
    wall: tuple[tuple[Layer, ...], float, float, float, float],
) -> None:
    layers, cold, warm, outside, inside = wall
    outer = (cold + ZERO, outside * saturation_pressure_of_walls(cold + ZERO))
    inner = (warm + ZERO, inside * saturation_pressure_of_walls(warm + ZERO))
    profile = vapour_profile(layers, outer=outer, inner=inner)
    depth = [0.0]
    for layer in layers:
        depth.append(depth[-1] + layer.vapour_thickness)
    held, vapour = profile.saturation_pressures, profile.vapour_pressures
    assert all(p <= most * (1 + 1e-9) for p, most in zip(vapour, held, strict=True))
    assert all(rate >= 0.0 for rate in profile.condensation)
    straight = [vapour[0] + (vapour[-1] - vapour[0]) * d / depth[-1] for d in depth]
    if all(p < most for p, most in zip(straight[1:-1], held[1:-1], strict=True)):
        assert max(profile.condensation) == 0.0
    # a hull under the points: never over the straight line
    assert all(p <= line * (1 + 1e-9) + 1e-9 for p, line in zip(vapour, straight, strict=True))


def test_layers_that_hold_no_vapour_back_are_no_trouble() -> None:
    bare = (Layer(resistance=1.0), Layer(resistance=1.0))
    profile = vapour_profile(bare, outer=(273.15, 600.0), inner=(293.15, 1200.0))
    assert profile.vapour_pressures == pytest.approx((600.0, 900.0, 1200.0))
    assert max(profile.condensation) == 0.0


@given(st.floats(240.0, 330.0))
def test_the_saturation_of_walls_turns_back(temperature: float) -> None:
    back = saturation_temperature_of_walls(saturation_pressure_of_walls(temperature))
    assert back == pytest.approx(temperature, abs=1e-9)


def test_the_rule_against_mould_asks_what_is_printed() -> None:
    # DIN 4108-2, trade pages: 20 °C 50 %, out -5 °C, 80 % at the surface: fRsi 0.70, 12.6 °C
    needed = temperature_factor_needed(
        inner_temperature=293.15, relative_humidity=0.5, outer_temperature=268.15
    )
    limit = surface_limit_temperature(air_temperature=293.15, relative_humidity=0.5) - ZERO
    assert (round(needed, 3), round(limit, 2)) == (0.705, 12.62)
    assert (int(needed * 100) / 100, round(limit, 1)) == (0.70, 12.6)


def test_the_wall_of_the_code_has_its_factors() -> None:
    needed = {
        humidity: temperature_factor_needed(
            inner_temperature=293.15, relative_humidity=humidity, outer_temperature=278.15
        )
        for humidity in (0.55, 0.20)
    }
    assert round(temperature_factor(transmittance=TRANSMITTANCE), 5) == 0.79908
    # the code rounds the saturation pressure at 20 °C to 2337 Pa
    assert needed[0.55] == pytest.approx(0.60575, abs=4e-5)
    assert needed[0.20] == pytest.approx(-0.36882, abs=4e-5)  # any wall will do
    assert round(surface_limit_temperature(air_temperature=293.15, relative_humidity=0.55) - ZERO, 2) == 14.09


# A fish room, worked apart from this program: inside °C, humidity, outside °C, against mould, against drops
@pytest.mark.parametrize(
    ("warm", "humidity", "cold", "mould", "drip"),
    [(26, 0.65, 0, 0.867, 0.727), (26, 0.65, -5, 0.888, 0.771), (26, 0.70, -10, 0.938, 0.836)],
)
def test_a_fish_room_needs_the_factors_worked_out(
    warm: float, humidity: float, cold: float, mould: float, drip: float
) -> None:
    room = {
        "inner_temperature": warm + ZERO,
        "relative_humidity": humidity,
        "outer_temperature": cold + ZERO,
    }
    assert round(temperature_factor_needed(**room), 3) == mould
    # the dew points of the table are the handbook's
    assert temperature_factor_needed(surface_humidity=1.0, **room) == pytest.approx(drip, abs=0.0015)
    assert round(surface_limit_temperature(air_temperature=299.15, relative_humidity=0.65) - ZERO, 2) == 22.53


@given(st.floats(283.0, 308.0), st.floats(0.2, 0.95))
def test_the_drip_limit_is_the_dew_point(temperature: float, humidity: float) -> None:
    limit = surface_limit_temperature(
        air_temperature=temperature, relative_humidity=humidity, surface_humidity=1.0
    )
    # two published forms of one pressure, 0.1 K apart at most; frost and dew differ below 0 °C
    assert limit == pytest.approx(dew_point(temperature=temperature, relative_humidity=humidity), abs=0.1)
    face = {"air_temperature": temperature, "relative_humidity": humidity}
    assert surface_relative_humidity(surface_temperature=limit, **face) == pytest.approx(1.0, rel=1e-9)


@given(st.floats(0.0, 3.9), st.floats(0.01, 0.09))
def test_a_better_wall_has_a_warmer_face(transmittance: float, better: float) -> None:
    air = {"inner_temperature": 299.15, "outer_temperature": 268.15}
    worse = inner_surface_temperature(transmittance=transmittance + better, **air)
    assert worse < inner_surface_temperature(transmittance=transmittance, **air) <= 299.15


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(OutsideValidRange):  # single glass has no corner behind a rack
        temperature_factor(transmittance=5.0, inner_surface_resistance=0.25)
    with pytest.raises(OutsideValidRange):
        temperature_factor_needed(inner_temperature=293.15, relative_humidity=0.5, outer_temperature=293.15)
