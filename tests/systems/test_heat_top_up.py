"""Evaporation held to measured litres of top-up."""

import pytest

from tankwright.checks.heat import check_heat
from tankwright.finding import Severity
from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.systems.heat import solve_heat
from tankwright.weather.shipped import shipped_year
from tankwright.year import work_out_year

PLAN = """
[room.shed]
size = { length = "4 m", width = "3 m", height = "2.4 m" }
[tank_kind.cube]
outside = ["60 cm", "40 cm", "40 cm"]
glass = { sides = "6 mm", base = "6 mm" }
heater = { power = "100 W", holds = "25 °C" }
[rack_kind.two]
length = "190 cm"
depth = "45 cm"
shelves = ["30 cm", "90 cm"]
[[rack]]
id = "A"
kind = "two"
room = "shed"
wall = "north"
from_west = "50 cm"
shelf.1 = [{ kind = "cube", ids = "A1..A3" }]
shelf.2 = [{ kind = "cube", ids = "A4..A6" }]
[climate]
[climate.room.shed]
heat_to = "20 °C"
heater = { power = "2000 W" }
"""
WEATHER = shipped_year("Greensboro")[0]


def room_of(top_up: str = ""):
    read = read_plan_text(PLAN + top_up, "shed.toml")
    assert read.findings == ()
    return lay_out(read.plan).room


def day_of(top_up: str, case: str = "coldest month"):
    result = solve_heat(room_of(top_up), WEATHER, {})
    return result, next(day for day in result.spaces[0].days if day.case == case)


@pytest.mark.parametrize("litres", [2.0, 4.0, 8.0])
def test_in_the_month_it_was_measured_the_room_evaporates_what_was_topped_up(litres: float) -> None:
    said = f'top_up = {{ value = "{litres} L/day", measured = 2026-01-20 }}\n'
    result, january = day_of(said)  # January is the coldest month of Greensboro
    assert january.evaporation * 86400.0 == pytest.approx(litres, rel=0.01)
    ((space, known, factor),) = result.topped_up
    assert (space, known.value * 8.64e7) == ("shed", pytest.approx(litres))
    assert factor > 0.0


def test_more_topped_up_means_more_heat_and_damper_air() -> None:
    (_, dry), (_, damp) = (day_of(f'top_up = "{litres} L/day"\n') for litres in (2, 4))
    assert damp.evaporation > dry.evaporation
    assert damp.humidity > dry.humidity


def test_a_lid_still_saves_in_a_room_whose_evaporation_was_measured() -> None:
    year = work_out_year(room_of('top_up = "6 L/day"\n'), {}, WEATHER)
    lids = [one for one in year.savings if "lid" in one.measure.name]
    assert lids
    assert all(one.saved > 0.0 for one in lids)


def test_a_top_up_nobody_would_believe_is_warned_about() -> None:
    room = room_of('top_up = "200 L/day"\n')
    (finding,) = [one for one in check_heat(room, solve_heat(room, WEATHER, {})) if one.code == "HEAT-22"]
    assert finding.severity is Severity.WARNING
    plain = room_of('top_up = "3 L/day"\n')
    (note,) = [one for one in check_heat(plain, solve_heat(plain, WEATHER, {})) if one.code == "HEAT-22"]
    assert note.severity is Severity.NOTE


def test_without_a_top_up_nothing_is_held() -> None:
    assert day_of("")[0].topped_up == ()
