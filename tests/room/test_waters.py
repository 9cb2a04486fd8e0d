"""Waters, what zones want of them, and what each tank holds, laid out from the plan."""

import pytest

from tankwright.catalogue.species import YOUR_PLAN
from tankwright.origin import Origin

RACK = """
[[rack]]
id = "A"
kind = "two"
room = "cellar"
wall = "north"
from_west = "1 m"
shelf.1 = [{ kind = "cube", ids = "A1..A3" }]
"""
TAP = '[water_point.tap]\nroom = "cellar"\n'


def lives(lay, text: str):
    laid = lay(RACK + text)
    return {one.tank: one for one in laid.room.lives}, laid


def test_a_plan_that_says_nothing_of_life_assumes_nothing_about_it(lay):
    found, laid = lives(lay, "")
    assert found == {}
    assert laid.room.laws is None
    assert not {
        one.key for one in laid.room.assumed if one.key.startswith(("water.", "stock.", "oxygen.", "filter."))
    }


def test_a_water_of_a_water_points_name_comes_from_it(lay):
    room = lay(RACK + TAP + '[water.tap]\nph = 7.2\ngeneral_hardness = "8 °dH"\n').room
    (tap,) = room.waters
    assert tap.comes_from == ("tap",)
    assert (tap.ph.value, tap.ph.origin) == (7.2, Origin.GIVEN)
    assert tap.general_hardness.value == pytest.approx(8 * 0.017848, rel=1e-3)  # 1 °dH is 17.85 mg/L as CaCO3
    assert tap.chlorine.is_assumed


def test_no_chlorine_is_assumed_where_the_plan_says_none_is_added(lay):
    room = lay(RACK + TAP + '[water.tap]\ndisinfectant = "none"\n').room
    assert room.waters[0].chlorine.value == 0.0
    assert "water.chlorine" not in {one.key for one in room.assumed}


def test_a_mix_assumes_nothing_of_its_own(lay):
    text = (
        TAP
        + '[water.tap]\n[water.rain]\n[water.soft]\ncomes_from = ["tap"]\nmix = { tap = "30 %", rain = "70 %" }\n'
    )
    soft = lay(RACK + text).room.waters[2]
    assert [(name, share.value) for name, share in soft.mix] == [("tap", 0.3), ("rain", 0.7)]
    assert soft.general_hardness is None
    assert soft.ph is None


def test_a_water_no_tank_gets_is_told(lay):
    _, laid = lives(lay, TAP + "[water.tap]\n[water.pond]\n")
    assert [(one.code, one.subject) for one in laid.findings] == [("LAYOUT-142", "water pond")]


def test_the_mass_of_a_stock_is_the_count_times_one_fish(lay):
    found, _ = lives(lay, '[[stock]]\ntanks = "A1..A2"\ncount = 20\neach = "0.6 g"\n')
    assert found["A1"].stock.mass.value == found["A2"].stock.mass.value == pytest.approx(0.012)
    assert found["A3"].stock is None


def test_a_fish_of_six_centimetres_weighs_two_grams_by_its_condition(lay):
    # 0.010 g/cm3 x 6^3 = 2.16 g, from memory
    found, _ = lives(lay, '[[stock]]\ntanks = "A1"\ncount = 1\nlength = "6 cm"\n')
    assert found["A1"].stock.mass.value == pytest.approx(2.16e-3)
    assert found["A1"].stock.mass.is_assumed


def test_feed_that_is_not_said_is_a_share_of_the_mass_and_assumed(lay):
    found, _ = lives(lay, '[[stock]]\ntanks = "A1"\nmass = "50 g"\n')
    assert found["A1"].stock.feed.value * 86400 == pytest.approx(0.050 * 0.02)
    assert found["A1"].stock.feed.is_assumed


def test_a_stock_without_a_count_has_no_mass_to_work_with(lay):
    found, _ = lives(lay, '[[stock]]\ntanks = "A1"\nspecies = "Danio rerio"\n')
    assert found["A1"].stock.mass is None
    assert found["A1"].stock.feed is None
    assert found["A1"].stock.facts.name == "Danio rerio"


def test_a_tank_stocked_twice_keeps_its_first_row_and_says_so(lay):
    found, laid = lives(lay, '[[stock]]\ntanks = "A1"\ncount = 5\n[[stock]]\ntanks = "A1..A2"\ncount = 9\n')
    assert found["A1"].stock.count == 5
    assert found["A2"].stock.count == 9
    assert [(one.code, one.places) for one in laid.findings] == [("LAYOUT-141", ("A1",))]


def test_an_unknown_species_is_a_note_with_the_nearest_name(lay):
    found, laid = lives(lay, '[[stock]]\ntanks = "A1"\nspecies = "Danio rerrio"\ncount = 3\n')
    (note,) = [one for one in laid.findings if one.code == "LAYOUT-140"]
    assert note.attempt == '"Danio rerio"'
    assert found["A1"].stock.facts is None


def test_what_the_owner_says_of_a_species_stands_before_the_table(lay):
    own = '[species."danio rerio"]\ntemperature = ["20 °C", "28 °C"]\n'
    found, _ = lives(lay, own + '[[stock]]\ntanks = "A1"\nspecies = "Danio rerio"\ncount = 3\n')
    facts = found["A1"].stock.facts
    assert facts.temperature.source == YOUR_PLAN
    assert facts.temperature.high == pytest.approx(301.15)
    assert facts.ph.source != YOUR_PLAN


def test_the_middle_of_what_a_zone_wants_is_what_its_heaters_hold(lay):
    text = '[zone.main]\nwants = { temperature = ["22 °C", "26 °C"] }\n[climate]\n'
    found, _ = lives(lay, text + '[tank.A1]\nheater = { power = "50 W", count = 2 }\n')
    assert found["A1"].wanted_temperature.value == pytest.approx(297.15)
    assert found["A1"].heater.holds.value == pytest.approx(297.15)
    assert (found["A1"].heater.count, found["A2"].heater) == (2, None)
