"""Heat from tanks against print and against an independent package."""

from __future__ import annotations

import ht
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from tankwright.physics.conduction import layer_resistance
from tankwright.physics.evaporation import latent_heat, pool_evaporation_shah
from tankwright.physics.tank_losses import (
    pane_convection,
    pane_transmittance,
    radiation_coefficient,
    tank_heat_loss,
    vertical_plate_nusselt,
    water_surface_dry_loss,
)

WARM, COOL = (90 - 32) / 1.8 + 273.15, (60 - 32) / 1.8 + 273.15
PANE = {"height": 0.35, "glass_thickness": 0.006, "water_temperature": 299.15, "air_temperature": 295.15}
KELVINS = st.floats(285.0, 305.0)


def test_an_upright_plate_is_as_in_the_textbook() -> None:
    # Incropera, vertical plate: Nu 147; the package ht prints 147.16
    ours = vertical_plate_nusselt(rayleigh=0.69 * 2.63e9, prandtl=0.69)
    assert round(ours, 2) == 147.16
    assert ours == pytest.approx(ht.Nu_vertical_plate_Churchill(0.69, 2.63e9), rel=1e-3)  # its Prandtl form


# 0.35 m of glass in room air, 2, 4 and 8 K: worked with the packages ht and CoolProp
@pytest.mark.parametrize(("difference", "printed"), [(2, 2.2), (4, 2.7), (8, 3.3)])
def test_air_along_a_pane_takes_what_two_packages_say(difference: float, printed: float) -> None:
    ours = pane_convection(height=0.35, surface_temperature=295.15 + difference, air_temperature=295.15)
    assert round(ours, 1) == printed
    film = 295.15 + difference / 2
    k, viscosity, density, heat = (PropsSI(key, "T", film, "P", 101325, "Air") for key in "LVDC")
    grashof = 9.80665 * difference / film * 0.35**3 / (viscosity / density) ** 2
    theirs = ht.Nu_vertical_plate_Churchill(viscosity * heat / k, grashof) * k / 0.35
    assert ours == pytest.approx(theirs, rel=5e-3)  # fitted properties of air


@pytest.mark.parametrize(("room", "printed"), [(24, 5.4), (22, 5.4), (18, 5.3)])
def test_a_pane_radiates_what_is_printed(room: float, printed: float) -> None:
    # emissivity 0.9, a pane of 26 °C: printed as 5.3 to 5.4 W/(m2 K)
    ours = radiation_coefficient(surface_temperature=299.15, surrounding_temperature=room + 273.15)
    assert ours == pytest.approx(printed, abs=0.051)  # 18 °C gives 5.2496


@pytest.mark.parametrize(
    ("foam", "printed", "off"), [(0.0, 7.4, 0.1), (0.025, 1.2, 0.05), (0.05, 0.64, 0.01)]
)
def test_a_pane_bare_or_with_foam_loses_what_is_printed(foam: float, printed: float, off: float) -> None:
    # "about" 7.4, 1.2 and 0.64 with films for another difference
    board = layer_resistance(thickness=foam, conductivity=0.0355)
    assert pane_transmittance(insulation_resistance=board, **PANE) == pytest.approx(printed, abs=off)


def test_open_water_loses_dry_what_a_table_of_open_tanks_prints() -> None:
    # a web handbook's table, 90 °F water in still air of 60 °F: 50 Btu/(ft2 h), 158 W/m2
    dry = water_surface_dry_loss(water_temperature=WARM, air_temperature=COOL)
    assert round(dry) == 159
    assert dry == pytest.approx(50 * 3.15459, rel=0.01)  # the table is of round numbers


@pytest.mark.parametrize(("humidity", "over"), [(0.4, 0.24), (0.6, 0.13)])
def test_open_water_evaporates_a_known_share_more_than_that_table(humidity: float, over: float) -> None:
    # same table: 80 Btu/(ft2 h), 252 W/m2, called rough by itself; Shah gives 13 to 24 % more at 60 to 40 %
    rate = pool_evaporation_shah(water_temperature=WARM, air_temperature=COOL, relative_humidity=humidity)
    assert rate * latent_heat(WARM) / (80 * 3.15459) - 1 == pytest.approx(over, abs=0.01)


# A tank of 60 x 30 x 35 cm at 26 °C, worked apart: room °C, walls and base W, top W
@pytest.mark.parametrize(("room", "walls", "top"), [(24, 12, 3), (22, 24, 6), (18, 48, 12)])
def test_an_aquarium_loses_dry_what_is_worked_out(room: float, walls: float, top: float) -> None:
    air = room + 273.15
    area = 2 * (0.6 + 0.3) * 0.35 + 0.6 * 0.3
    pane = pane_transmittance(**(PANE | {"air_temperature": air}))
    ours = tank_heat_loss(dry_loss=area * pane, water_temperature=299.15, room_temperature=air)
    assert ours == pytest.approx(walls, rel=0.07)  # the table takes one film for all differences
    open_top = 0.18 * water_surface_dry_loss(water_temperature=299.15, air_temperature=air)
    assert open_top == pytest.approx(top, abs=0.7)  # as above, and whole watts


@given(KELVINS, KELVINS)
def test_heat_goes_from_warm_to_cold_and_more_the_further_apart(water: float, air: float) -> None:
    loss = water_surface_dry_loss(water_temperature=water, air_temperature=air)
    assert loss * (water - air) >= 0.0
    assert water_surface_dry_loss(water_temperature=water + 0.5, air_temperature=air) > loss


@given(KELVINS, KELVINS, st.floats(0.0, 3.0))
def test_foam_always_helps(water: float, air: float, foam: float) -> None:
    pane = {"height": 0.35, "glass_thickness": 0.006, "water_temperature": water, "air_temperature": air}
    better = pane_transmittance(insulation_resistance=foam + 0.1, **pane)
    assert 0.0 < better < pane_transmittance(insulation_resistance=foam, **pane) < 10.0
