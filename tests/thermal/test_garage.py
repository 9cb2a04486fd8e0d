"""A year of a garage against an independent program of EN ISO 52016-1 and what it printed."""

from __future__ import annotations

import iso52016
import numpy as np
import pytest

from .garage import AIR_CHANGE, CEILING, FLOOR, GAIN, WALL, garage_year, outside

# kWh of heat and cooling and the largest heat in W, by the package iso52016 0.0.3 (five nodes an element); its
# surfaces and ours are joined differently, hence the width: 4 % of heat, 3 % of cooling, 10 % of the peak
INDEPENDENT = {"A": (1297.6, 491.4, 962.0), "B": (1034.3, 881.8, 1040.0), "C": (1283.3, 467.1, 962.0)}


@pytest.mark.parametrize("case", ["A", "B", "C"])
def test_a_year_is_that_of_another_program(case: str) -> None:
    heat, cool, peak = INDEPENDENT[case]
    run = garage_year(case)
    given = run.plant_heat
    assert np.maximum(given, 0.0).sum() / 1000 == pytest.approx(heat, rel=0.04)
    assert np.maximum(-given, 0.0).sum() / 1000 == pytest.approx(cool, rel=0.03)
    assert given.max() == pytest.approx(peak, rel=0.10)


def element(area: float, tilt: float, loss: float) -> iso52016.OpaqueElement:
    board = iso52016.Layer(0.0125, iso52016.Material(700, 1000, 0.25))
    sheet = iso52016.Layer(0.012, iso52016.Material(650, 1700, 0.13))
    convective = {90.0: 2.5, 180.0: 5.0, 0.0: 0.7}[tilt]
    inside, beyond = 1.0 / (convective + 5.13), 1.0 / 24.14  # the package's own films
    rest = 1.0 / loss - inside - beyond - 0.0125 / 0.25 - 0.012 / 0.13
    foam = iso52016.Layer(0.0355 * rest, iso52016.Material(20, 1450, 0.0355))
    return iso52016.OpaqueElement(
        area=area, orientation=iso52016.Orientation(tilt, 0.0), layers=[board, foam, sheet]
    )


@pytest.mark.filterwarnings("ignore:DatetimeIndex.dayofyear is deprecated")  # of pandas, to the packages
def test_the_other_program_run_here_agrees_each_month() -> None:
    weather = iso52016.Weather(air_temperature=outside(), wind=np.zeros(8760), dt_sky=0.0)
    zone = iso52016.Zone(
        opaque_elements=[
            element(WALL, 90.0, 0.30),
            element(CEILING, 180.0, 0.20),
            element(FLOOR, 0.0, 0.25),
        ],
        usable_floor_area=FLOOR,
        internal_gains=[np.full(8760, GAIN)],
        lower_temperature_limit=26.0,
        upper_temperature_limit=28.0,
        ventilation=[iso52016.Ventilation(AIR_CHANGE * 3600 / (1.204 * 1006), 0.0, outside())],
    )
    zone.f_heat_cool = 1.0
    iso52016.Building(zones=zone, weather=weather).calculate()
    theirs = np.array(zone.heat_load[:]) - np.array(zone.cool_load[:])
    ours = garage_year("A").plant_heat
    settled = slice(200, None)  # it starts cold, at 20 °C throughout
    for sign, width in ((1.0, 0.04), (-1.0, 0.03)):
        mine, other = (np.maximum(sign * loads[settled], 0.0).sum() for loads in (ours, theirs))
        assert mine == pytest.approx(other, rel=width)
    assert ours.max() == pytest.approx(theirs[settled].max(), rel=0.10)
    for start in range(744, 8760, 730):
        month = slice(start, start + 730)
        assert ours[month].sum() == pytest.approx(theirs[month].sum(), rel=0.05, abs=6e3)  # 6 kWh a month
