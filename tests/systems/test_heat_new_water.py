"""Water that drips into a tank cools or warms it by how much colder or warmer it is than that tank, not than a wish."""

from __future__ import annotations

import numpy as np
import pytest

from tankwright.systems.heat import solve_heat
from tankwright.systems.heat_build import build_spaces
from tankwright.systems.heat_days import drive_of_case
from tankwright.systems.heat_year import room_year
from tankwright.thermal.model import Air, Drive, HeatRoom, Vessel, even_start
from tankwright.thermal.run import run_room, steady_room

from .heat_rooms import ICE, shed, weather

DRIP = """
[water_point.tap]
room = "shed"
at = ["1 m", "1 m"]
[feed.drip]
from = "tap"
outlet = {{ kind = "dripper", rate = "4 L/h" }}
program = [{{ start = "06:00", minutes = 60 }}]
[water.tap]
comes_from = ["tap"]
winter = "{at} °C"
summer = "{at} °C"
"""
DRY = {"assume": '"climate.covered" = "0.05"', "gradient": "0.0001"}


def unheated(at: str) -> float:
    """The tank of a cold shed at rest, 100 L a day at a temperature dripping in."""
    room = shed(count="1", kind='lid = "glass"', more=DRIP.format(at=at), **DRY)
    row = solve_heat(room, weather(2.0), {"L1": 0.1}).tank("L1")
    assert row is not None
    return row.cold_design - ICE


def test_an_unheated_tank_ends_between_its_air_and_what_drips_in() -> None:
    assert 2.0 < unheated("12") < 12.0  # not below both, as if each litre had to be warmed to 25 °C
    assert unheated("2") == pytest.approx(2.0, abs=0.4)  # but for a little evaporation


def test_an_unheated_tank_by_hand() -> None:
    room = HeatRoom(
        air=Air(dry_mass=60.0, to_outside=1e9), vessels=(Vessel(id="a", capacity=2e5, to_air=5.0, flow=15.0),)
    )
    drive = Drive(interval=3600.0, outside_temperature=np.array([280.0]), inflow_temperature=288.0)
    assert steady_room(room, drive).end.water[0] == pytest.approx((5.0 * 280.0 + 15.0 * 288.0) / 20.0)


def test_heat_of_new_water_is_in_the_balance_of_every_step() -> None:
    vessels = tuple(Vessel(id=str(n), capacity=2e5, to_air=5.0, flow=3.0 * n, count=n + 1) for n in range(3))
    room = HeatRoom(air=Air(dry_mass=60.0, capacity=6e4, to_outside=30.0), vessels=vessels)
    coming = np.linspace(278.0, 296.0, 24)[:, None]
    drive = Drive(
        interval=3600.0, outside_temperature=np.full(24, 280.0), inflow_temperature=coming, ventilation=0.01
    )
    run = run_room(room, drive, start=even_start(room, 295.0), substeps=2)
    assert run.heat_imbalance < 1e-6


def test_the_year_counts_the_heat_new_water_takes_from_the_tank_as_it_is() -> None:
    room = shed(count="1", kind='lid = "glass"', more=DRIP.format(at="10"), **DRY)
    year = room_year(room, weather(10.0), {"L1": 0.1})
    assert (
        abs(year.new_water) < 0.02 * 0.1 * 365 * 4.18e6 * 15.0
    )  # nothing warms it, so it takes next to nothing


def test_design_days_tell_new_water_as_gain_where_it_is_the_warmer() -> None:
    room = shed(count="1", kind='lid = "glass"', more=DRIP.format(at="12"), **DRY)
    result = solve_heat(room, weather(2.0), {"L1": 0.1})
    cold = result.spaces[0].day("coldest")
    gains = {part.name: part.heat for part in cold.gains}
    [built] = build_spaces(room, weather(2.0), {"L1": 0.1})
    assert gains["new water"] == pytest.approx(
        0.1 * 998.2 * 4180.0 / 86400.0 * (12.0 + ICE - cold.water[0]), rel=0.001
    )
    assert sum(part.heat for part in cold.losses) == pytest.approx(sum(gains.values()), abs=0.01)
    assert drive_of_case(built, "coldest").inflow_temperature == pytest.approx(12.0 + ICE)
