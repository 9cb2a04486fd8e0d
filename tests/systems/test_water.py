"""Waters through a whole plan: mixes against PHREEQC, wants, blends, cold fills, gas and tanks in a row."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import phreeqpython
import pytest
from hypothesis import given
from hypothesis import settings as test_settings
from hypothesis import strategies as st

from tankwright.origin import Known, Origin
from tankwright.physics.carbonate_balance import co2_from_ph_and_alkalinity
from tankwright.room.model import Room
from tankwright.room.model_water import WantedWater
from tankwright.systems.water import solve_water
from tankwright.systems.water_model import Change, WaterResult
from tankwright.systems.water_wants import outside
from tankwright.workspace.opened import open_plan

from .water_rooms import DRIP, PURE, TAP, stock, wants, water_room

GERMAN_DEGREE = 0.01 * 100.087 / 56.077  # kg/m3 of CaCO3 in 1 °dH
LIME = 0.100087  # kg/mol
MIX = '[water.mixed]\ncomes_from = ["tap"]\nmix = { hard = "30 %", pure = "70 %" }\n'
EXAMPLES = Path(__file__).parents[2] / "examples"


def hard(text: str = TAP) -> str:
    return text.replace("[water.tap]", "[water.hard]\ncomes_from = []")


def change(result: WaterResult, tank: str, kind: str, season: str, share: float | None = None) -> Change:
    fill = next(one for one in result.cold_fills if one.tank == tank)
    return next(
        one for one in fill.changes if (one.kind, one.season) == (kind, season) and share in (None, one.share)
    )


# --- mixes ---------------------------------------------------------------------------------------------------


def test_a_mix_of_a_plan_is_what_phreeqc_makes_of_its_parts():
    """Calcium bicarbonate with the rest of the hardness as chloride, as the plan's numbers let one build it."""
    room = water_room(hard(), PURE, MIX)
    mixed = next(one for one in solve_water(room, DRIP).sources if one.name == "mixed")
    assert mixed.ph is not None
    assert mixed.standing_ph is not None
    program = phreeqpython.PhreeqPython(database="phreeqc.dat")

    def solution(degrees_gh: float, degrees_kh: float, ph: float, celsius: float, salt: float):
        calcium, kept = degrees_gh * GERMAN_DEGREE / LIME, 2.0 * degrees_kh * GERMAN_DEGREE / LIME
        spare = 2.0 * calcium - kept
        return program.add_solution({
            "units": "mmol/kgw", "temp": celsius, "pH": ph, "Alkalinity": kept, "Ca": calcium,
            "Cl": max(spare, 0.0) + salt, "Na": max(-spare, 0.0) + salt,
        })  # fmt: skip

    theirs = solution(16.0, 12.0, 7.3, 14.0, 0.6) * 0.3 + solution(0.0, 0.5, 6.0, 18.0, 0.0) * 0.7
    # 0.02: the plan knows a conductivity, not which salts make it
    assert mixed.ph.value == pytest.approx(theirs.pH, abs=0.02)
    theirs.change_temperature(25.0)
    theirs.equalize(["CO2(g)"], [math.log10(420e-6)])
    assert mixed.standing_ph[1] == pytest.approx(theirs.pH, abs=0.02)


def test_hardness_nitrate_and_warmth_of_a_mix_add_up_and_its_ph_does_not():
    mixed = next(one for one in solve_water(water_room(hard(), PURE, MIX), DRIP).sources if one.mixed)
    found = {
        name: getattr(mixed, name) for name in ("general_hardness", "carbonate_hardness", "nitrate", "winter")
    }
    assert found["general_hardness"].value == pytest.approx(0.3 * 16 * GERMAN_DEGREE)
    assert found["carbonate_hardness"].value == pytest.approx((0.3 * 12 + 0.7 * 0.5) * GERMAN_DEGREE)
    assert found["nitrate"].value == pytest.approx((0.3 * 20 + 0.7 * 1) * 1e-3)
    assert found["winter"].value == pytest.approx(0.3 * 283.15 + 0.7 * 291.15)
    assert mixed.price == pytest.approx(0.3 * 4 + 0.7 * 14)
    assert mixed.ph is not None
    assert mixed.ph.value > 0.3 * 7.3 + 0.7 * 6.0 + 0.4
    assert mixed.disinfectant == "chlorine"


def test_what_was_measured_of_a_mix_stands_before_what_its_parts_say():
    mixed = next(
        one for one in solve_water(water_room(hard(), PURE, MIX + "ph = 7.9\n"), DRIP).sources if one.mixed
    )
    assert mixed.ph is not None
    assert (mixed.ph.value, mixed.ph.origin) == (7.9, Origin.GIVEN)


def test_a_mix_with_an_assumed_part_is_assumed_with_its_band():
    bare = "\n".join(line for line in hard().splitlines() if not line.startswith("nitrate"))
    nitrate = next(one for one in solve_water(water_room(bare, PURE, MIX), DRIP).sources if one.mixed).nitrate
    assert nitrate is not None
    assert nitrate.key == "water.nitrate"
    assert nitrate.band == pytest.approx((0.3 * 0.002 + 0.7 * 0.001, 0.3 * 0.050 + 0.7 * 0.001))


def test_standing_water_comes_to_the_charts_ph_and_loses_its_carbon_dioxide():
    """4 °dKH settles at pH 8.3 in fresh air (see physics/test_carbonate_balance); here 12 °dH, higher still."""
    tap = solve_water(water_room(TAP), DRIP).sources[0]
    assert tap.standing_ph is not None
    assert tap.standing_dioxide is not None
    stale, fresh = tap.standing_ph
    assert 8.3 < stale < fresh < 8.8
    assert fresh - stale == pytest.approx(math.log10(1000 / 420), abs=0.04)  # a shade less: calcium pairs
    assert tap.standing_dioxide[0] * 1000 == pytest.approx(0.63, abs=0.005)
    assert (tap.carbon_dioxide or 0.0) > 10 * tap.standing_dioxide[1]


def test_a_water_that_cannot_be_is_told_and_stops_nothing():
    odd = TAP.replace("ph = 7.3", "ph = 11.5")
    result = solve_water(water_room(odd), DRIP)
    assert any(subject == "water tap" for subject, _ in result.not_computed)
    assert len(result.tanks) == 4
    assert result.cold_fills


# --- which tank gets which -----------------------------------------------------------------------------------


def test_a_tank_gets_the_water_of_its_feeds_source_and_litres_by_the_programs():
    row = solve_water(water_room(TAP), DRIP).tanks[0]
    assert row.parts == (("tap", 1.0),)
    assert row.volume_a_day == pytest.approx(4e-3)
    assert not row.by_hand
    assert row.water is not None


def test_a_tank_without_a_feed_is_changed_by_hand_with_the_only_water_of_a_tap():
    room = replace(water_room(TAP, PURE), feeds=())
    assert {(row.by_hand, row.parts) for row in solve_water(room, {}).tanks} == {(True, (("tap", 1.0),))}


def test_a_feed_whose_source_is_not_described_gives_a_water_nobody_knows():
    room = water_room(TAP.replace("[water.tap]", "[water.other]\ncomes_from = []"), PURE)
    assert {row.water for row in solve_water(room, DRIP).tanks} == {None}


def test_two_feeds_of_two_waters_mix_by_their_litres():
    second = TAP.replace("[water.tap]", "[water.barrel]").replace("16 °dH", "4 °dH")
    vat = '[vat.barrel]\nroom = "cellar"\nvolume = "100 L"\n'
    feed = """[feed.soft]
from = "barrel"
outlet = { kind = "dripper", rate = "4 L/h" }
program = [{ start = "04:00", minutes = 180, days = "daily" }]
tanks = "A1"
"""
    room = water_room(TAP, second, vat, feed)
    flows = {"drip": dict.fromkeys(("A1", "A2"), 1e-6), "soft": {"A1": 1e-6}}
    row = solve_water(room, flows).tanks[0]
    assert row.parts == (("tap", pytest.approx(0.25)), ("barrel", pytest.approx(0.75)))
    assert row.water is not None
    assert row.water.general_hardness is not None
    assert row.water.general_hardness.value == pytest.approx(7 * GERMAN_DEGREE)


SERIES = """[feed.on]
from = "A3"
outlet = { kind = "small tube", bore = "4 mm", length = "1 m" }
program = [{ start = "04:00", minutes = 60, days = "daily" }]
tanks = "A1"
"""


TWO_WATERS = water_room(TAP, PURE)


def stated(value: float) -> Known:
    return Known(value, Origin.GIVEN)


def series_room(*parts: str) -> Room:
    room = water_room(TAP, *parts, SERIES)
    drip = next(run for run in room.feeds if run.id == "drip")
    only = replace(drip, outlets=tuple(one for one in drip.outlets if one.tank != "A1"))
    return replace(room, feeds=(only, *(run for run in room.feeds if run.id != "drip")))


def test_a_tank_fed_from_a_tank_is_told_with_the_old_water_left():
    """theta = 1: 0.3679, 0.7358, 0.9197, 0.9963 for 1, 2, 3, 6 tanks. Source: exp(-x) times its series, textbook."""
    result = solve_water(series_room(), {**DRIP, "on": {"A1": 1e-6}})
    assert [row.tanks for row in result.rows] == [("A3", "A1")]
    row = result.rows[0]
    assert round(row.remaining[0][1], 4) == 0.7358
    assert round(row.alone[0][1], 4) == 0.3679
    fed = result.tank("A1")
    assert fed is not None
    assert fed.through == ("A3",)
    assert "A1" not in {fill.tank for fill in result.cold_fills}  # its water has stood warm in A3


def test_water_out_of_a_tank_is_paid_for_once():
    room = series_room(wants('general_hardness = ["10 °dH", "20 °dH"]'))
    result = solve_water(room, {"drip": dict.fromkeys(("A2", "A3", "A4"), 4.0 / 3.6e6), "on": {"A1": 1e-6}})
    assert result.blends[0].volume_a_day == pytest.approx(12e-3)
    assert result.blends[0].cost_now == pytest.approx(4 * 12e-3 * 365.25)
    assert len(result.zones) == 1  # A1 gets the same water as the others, though through A3


def test_tanks_that_feed_each_other_are_told_and_end():
    around = (
        SERIES.replace("feed.on", "feed.back").replace('"A3"', '"A1"').replace('tanks = "A1"', 'tanks = "A3"')
    )
    room = replace(water_room(TAP, SERIES, around), title="round")
    runs = tuple(run for run in room.feeds if run.id != "drip")
    result = solve_water(replace(room, feeds=runs), {"on": {"A1": 1e-6}, "back": {"A3": 1e-6}})
    assert any("from itself" in reason for _, reason in result.not_computed)


# --- wants and blends ----------------------------------------------------------------------------------------


SOFT = wants('general_hardness = ["3 °dH", "5 °dH"], carbonate_hardness = ["2 °dH", "4 °dH"], ph = [6.5, 7.5],'
             ' nitrate = "10 mg/L"')  # fmt: skip


def test_each_want_is_set_beside_what_arrives_with_how_far_it_is_off():
    zone = solve_water(water_room(TAP, PURE, SOFT), DRIP).zones[0]
    by = {wish.quantity: wish.by for wish in zone.wishes}
    assert by["general_hardness"] == pytest.approx(11 * GERMAN_DEGREE)
    assert by["carbonate_hardness"] == pytest.approx(8 * GERMAN_DEGREE)
    assert by["nitrate"] == pytest.approx(0.010)
    assert len(zone.tanks) == 4


def test_the_cheapest_blend_is_the_most_tap_the_wants_allow():
    """GH: 5/16 tap; KH: (4 - 0.5)/(12 - 0.5) = 0.304 tap, which binds. Worked by hand; 16 L a day in all."""
    blend = solve_water(water_room(TAP, PURE, SOFT), DRIP).blends[0]
    shares = dict(blend.shares)
    assert blend.reached
    assert blend.needed
    assert shares["tap"] == pytest.approx(3.5 / 11.5)
    assert blend.volume_a_day == pytest.approx(16e-3)
    price = 4 * shares["tap"] + 14 * shares["pure"]
    assert blend.cost == pytest.approx(price)
    assert blend.cost_a_year == pytest.approx(price * 16e-3 * 365.25)
    assert blend.cost_now == pytest.approx(4 * 16e-3 * 365.25)
    assert blend.water.carbonate_hardness is not None
    assert blend.water.carbonate_hardness.value == pytest.approx(4 * GERMAN_DEGREE)


def test_a_want_no_blend_reaches_says_the_bound_and_by_how_much():
    wish = wants('carbonate_hardness = ["14 °dH", "20 °dH"]')
    blend = solve_water(water_room(TAP, PURE, wish), DRIP).blends[0]
    assert not blend.reached
    miss = blend.misses[0]
    assert (miss.quantity, miss.bound) == ("carbonate_hardness", "low")
    assert miss.by == pytest.approx(2 * GERMAN_DEGREE)
    assert blend.shares == (("tap", 1.0),)


def test_a_water_without_a_price_costs_what_is_not_known():
    blend = solve_water(water_room(TAP, PURE.replace("price = 14\n", ""), SOFT), DRIP).blends[0]
    assert blend.unpriced == ("pure",)
    assert blend.cost_a_year is None


def test_a_wanted_conductivity_nobody_measured_is_not_judged():
    bare = TAP.replace('conductivity = "600 µS/cm"\n', "")
    zone = solve_water(water_room(bare, wants('conductivity = ["100 µS/cm", "300 µS/cm"]')), DRIP).zones[0]
    assert [wish.by for wish in zone.wishes] == [None]


def test_five_waters_are_tried_in_every_four():
    others = [
        PURE.replace("[water.pure]", f"[water.w{n}]")
        .replace("0 °dH", f"{n} °dH")
        .replace("= 14", f"= {20 + n}")
        for n in (1, 2, 3)
    ]
    blend = solve_water(water_room(TAP, PURE, *others, SOFT), DRIP).blends[0]
    assert dict(blend.shares)["tap"] == pytest.approx(3.5 / 11.5)


@given(low=st.floats(0.5, 14.0), wide=st.floats(0.1, 4.0))
@test_settings(max_examples=25, deadline=None)
def test_whatever_a_zone_wants_between_its_waters_some_blend_has_it(low, wide):
    ends = (stated(low * GERMAN_DEGREE), stated((low + wide) * GERMAN_DEGREE))
    zones = tuple(replace(zone, wants=WantedWater(general_hardness=ends)) for zone in TWO_WATERS.zones)
    blend = solve_water(replace(TWO_WATERS, zones=zones), DRIP).blends[0]
    assert blend.reached
    assert sum(share for _, share in blend.shares) == pytest.approx(1.0)
    assert blend.water.general_hardness is not None
    assert outside(blend.water.general_hardness.value, ends[0].value, ends[1].value) == 0.0


def test_the_carbonate_hardness_told_for_a_ph_settles_at_it():
    result = solve_water(water_room(TAP, SOFT), DRIP)
    zone = result.zones[0]
    assert zone.kept_for_ph is not None
    assert zone.dioxide_for_ph is not None
    softer = TAP.replace(
        'carbonate_hardness = "12 °dH"', f'carbonate_hardness = "{zone.kept_for_ph * 1000:.6f} ppm"'
    )
    settled = solve_water(water_room(softer, SOFT), DRIP).tanks[0].settled_ph
    assert settled is not None
    assert settled.band is not None
    assert settled.band[1] == pytest.approx(7.5, abs=0.001)
    again = co2_from_ph_and_alkalinity(ph=7.5, alkalinity=12 * GERMAN_DEGREE, temperature=298.15,
                                       ionic_strength=9.6, hardness=16 * GERMAN_DEGREE)  # fmt: skip
    assert zone.dioxide_for_ph == pytest.approx(again)


# --- cold changes and gas ------------------------------------------------------------------------------------


WARM = wants('temperature = ["26 °C", "26 °C"]')


def test_a_batch_cools_a_tank_as_the_trade_reckons():
    """25 % of 15 °C into 26 °C gives 23.25 °C; 30 % of 10 °C gives 21.2 °C. Heat balance, worked by hand."""
    result = solve_water(water_room(TAP.replace('"18 °C"', '"15 °C"'), WARM), DRIP)
    assert change(result, "A1", "batch", "summer", 0.25).after == pytest.approx(273.15 + 23.25)
    ten = change(result, "A1", "batch", "winter", 0.25)
    assert 273.15 + 26 - 0.30 * (ten.drop / 0.25) == pytest.approx(273.15 + 21.2)
    assert ten.in_an_hour == ten.drop
    fill = next(one for one in result.cold_fills if one.tank == "A1")
    assert dict(fill.most_share)["winter"] == pytest.approx(2.0 / 16.0)


def test_a_drip_cools_less_than_the_same_litres_at_a_stroke_and_never_below_the_water():
    result = solve_water(water_room(TAP, WARM, litres=40.0), DRIP)
    drip = change(result, "A1", "drip", "winter")
    assert drip.share == pytest.approx(0.1)
    mixed = 16.0 * -math.expm1(-0.1)  # a stirred tank that loses no heat
    assert 0.95 * mixed < drip.drop < mixed
    assert drip.in_an_hour == drip.drop
    assert drip.after > drip.water


def test_what_the_room_gives_back_is_the_slow_law_of_cooling():
    """Down to a tenth after ln 10 time constants of volume x heat over pane area x 7.4 W/m2K, no heater."""
    room = water_room(TAP, WARM)
    tank = room.tanks[0]
    loss = 7.4 * 2 * (tank.length + tank.depth) * (tank.level - tank.floor_inside)
    wait = change(solve_water(room, DRIP), "A1", "batch", "winter", 0.25).warm_after
    assert wait == pytest.approx(math.log(10) * 998.2 * 4181 * tank.water_volume / loss)


def test_a_heater_brings_a_tank_back_sooner():
    warm = '[climate.room.cellar]\nheat_to = "24 °C"\n'
    heated = water_room(TAP, WARM, warm, '[tank.A1]\nheater = { power = "100 W" }\n')
    result = solve_water(heated, DRIP)
    with_one, without = (change(result, name, "batch", "winter", 0.25).warm_after for name in ("A1", "A2"))
    assert with_one is not None
    assert without is not None
    assert with_one < 0.3 * without


def test_a_guessed_winter_carries_its_band_into_the_fall():
    guessed = TAP.replace('winter = "10 °C"\n', "")
    drip = change(solve_water(water_room(guessed, WARM), DRIP), "A1", "drip", "winter")
    assert drip.band[0] < drip.in_an_hour < drip.band[1]


def test_cold_water_warmed_holds_more_gas_than_the_limit_and_a_small_change_does_not():
    gas = next(one for one in solve_water(water_room(TAP, WARM), DRIP).gases if one.season == "winter")
    assert gas.ratio == pytest.approx(1.35, abs=0.01)  # 10 to 26 °C; the shelf's doctest has 1.33 to 25 °C
    assert 1.0 + gas.most_share * (gas.ratio - 1.0) == pytest.approx(1.10)


# --- fish ----------------------------------------------------------------------------------------------------


OWN = '[species."Guppy"]\nph = [7.0, 8.0]\nhardness = ["8 °dH", "12 °dH"]\nsource = "my shelf"\n'


def test_a_species_is_compared_by_temperature_ph_and_hardness_with_its_source():
    fits = {one.quantity: one for one in solve_water(water_room(TAP, WARM, OWN, stock("Guppy")), DRIP).fits}
    assert fits["hardness"].by == pytest.approx(4 * GERMAN_DEGREE)
    assert fits["hardness"].source == "my shelf"
    assert not fits["ph"].sure  # it came at 7.3 and settles above 8
    assert fits["temperature"].by == 0.0


def test_fish_nobody_knows_and_fish_in_unknown_water_are_told_as_not_compared():
    result = solve_water(
        water_room(TAP, stock("Nonesuch ignotus", "A1"), '[[stock]]\ntanks = "A2"\ncount = 3\n'), DRIP
    )
    assert {(one.tanks, one.why) for one in result.not_compared} == {
        (("A1",), "no facts about it"), (("A2",), "the plan names no species"),
    }  # fmt: skip


# --- nothing, much, and fast ---------------------------------------------------------------------------------


def test_a_plan_without_waters_gives_no_numbers():
    result = solve_water(water_room(), DRIP)
    assert (result.sources, result.tanks, result.cold_fills, result.blends) == ((), (), (), ())


@pytest.mark.parametrize("name", ["cellar", "cellar_mended", "garage"])
def test_every_tank_of_an_example_has_its_water_its_ph_and_its_changes(name):
    study = open_plan(EXAMPLES / f"{name}.toml").study
    assert study is not None
    water = study.water
    assert water is not None
    assert [row.tank for row in water.tanks] == [tank.id for tank in study.room.tanks]
    assert all(row.water is not None and row.settled_ph is not None for row in water.tanks)
    assert [fill.tank for fill in water.cold_fills] == [tank.id for tank in study.room.tanks]
