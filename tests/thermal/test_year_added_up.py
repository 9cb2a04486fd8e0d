"""A year added up by month and use: the fish room again, and a garage that is said in the text of a plan."""

from __future__ import annotations

from functools import cache

import iso52016
import numpy as np
import pytest

from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.room.model import Room
from tankwright.systems.heat_build import build_spaces
from tankwright.systems.heat_energy import Machines, Use, run_damp, run_energies
from tankwright.systems.heat_year import run_year
from tankwright.thermal.model import Air, HeatRoom, Plant, Vessel
from tankwright.weather.model import WeatherYear
from tankwright.weather.shipped import shipped_year

from .garage import CEILING, FLOOR, GAIN, WALL, outside
from .test_fish_room import fish_room
from .test_garage import element

# the fish room of the second program, kWh of room, tanks, cooling and dryer, kg evaporated and dried
SECOND_PROGRAM = (68.9, 1599.1, 482.7, 110.9, 1228.8, 221.8)


def test_the_fish_room_adds_up_to_what_a_second_program_printed() -> None:
    vessel = Vessel(id="tank", count=40, capacity=1.0, to_air=6.0)
    room = HeatRoom(air=Air(dry_mass=60.0), vessels=(vessel,), plant=Plant(drying_energy=3.6e6 / 2.0))
    run = fish_room(0.25, 30.0, 12)
    uses = dict(run_energies(room, run, Machines(cooling=1.0)))
    damp = run_damp(room, run)
    sums = [sum(uses[use]) / 3.6e6 for use in (Use.ROOM, Use.TANKS, Use.COOLING, Use.DRYING)]
    # 0.3 % as the engine's own test has it; what is next to nothing may differ by 2.5 kWh or kg
    assert (*sums, sum(damp.evaporated), sum(damp.dried)) == pytest.approx(SECOND_PROGRAM, rel=0.003, abs=2.5)


def test_the_undried_fish_room_is_as_damp_for_as_long() -> None:
    room = HeatRoom(air=Air(dry_mass=60.0), vessels=(Vessel(id="tank", capacity=1.0, to_air=6.0),))
    damp = run_damp(room, fish_room(0.25, 0.0, 12))
    assert damp.hours_over[0] == pytest.approx(
        861, rel=0.03
    )  # over 75 %; the program's steps are of a minute
    assert damp.most == pytest.approx(0.869, abs=0.004)


GARAGE = """
title = "Garage"
[room.garage]
size = { length = "6 m", width = "3.5 m", height = "2.4 m" }
[room.garage.shell]
walls = { to = "outside", transmittance = "0.30 W/(m2 K)" }
roof = { to = "outside", transmittance = "0.20 W/(m2 K)" }
floor = { to = "outside", transmittance = "0.25 W/(m2 K)" }
air_change = "0.5 1/h"
[climate]
weather = "Greensboro"
[climate.room.garage]
heat_to = "26 °C"
cool_to = "28 °C"
heater = { power = "100 kW" }
cooler = { cooling = "100 kW" }
hours_with_people = 0
[power]
voltage = "230 V"
[power.circuits]
a = { breaker = "16 A" }
[[power.boards]]
id = "b"
circuit = "a"
outlets = 2
loads = [{ name = "what is plugged in", power = "300 W", does = "other" }]
[assume]
"shell.mass" = "165000"
"shell.absorptance" = "0.0001"
"""


@cache
def greensboro_year() -> WeatherYear:
    year, _ = shipped_year("Greensboro")
    assert year is not None
    return year


def room_of(text: str) -> Room:
    plan = read_plan_text(text, "garage.toml").plan
    assert plan is not None
    room = lay_out(plan).room
    assert room is not None
    return room


@pytest.mark.filterwarnings("ignore:DatetimeIndex.dayofyear is deprecated")  # of pandas, to the packages
def test_a_garage_said_in_a_plan_is_that_of_an_independent_program() -> None:
    """Case A of the compared garage with all of its gain to the air, as the plan's loads give it."""
    [built] = build_spaces(room_of(GARAGE), greensboro_year(), {})
    weather = iso52016.Weather(air_temperature=outside(), wind=np.zeros(8760), dt_sky=0.0)
    changed = iso52016.Ventilation(built.vent_link * 3600 / (1.204 * 1006), 0.0, outside())
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
        ventilation=[changed],
    )
    zone.f_heat_cool = zone.f_internal = 1.0
    iso52016.Building(zones=zone, weather=weather).calculate()
    ours = run_year(built).plant_heat[200:]  # it starts cold, at 20 °C throughout
    heat, cool = np.array(zone.heat_load[200:]), np.array(zone.cool_load[200:])
    # the widths that hold for the engine against the same program: 4 % of heat, 3 % of cooling, 10 % of the peak
    assert np.maximum(ours, 0.0).sum() == pytest.approx(heat.sum(), rel=0.04)
    assert np.maximum(-ours, 0.0).sum() == pytest.approx(cool.sum(), rel=0.03)
    assert ours.max() == pytest.approx(heat.max(), rel=0.10)


def test_the_balance_of_the_plans_year_closes() -> None:
    [built] = build_spaces(room_of(GARAGE), greensboro_year(), {})
    run = run_year(built)
    assert run.heat_imbalance < 1e-3
    assert run.moisture_imbalance < 1e-9
