"""From feed to nitrate: the printed examples, nothing lost on the way, what holds a want, bands in their order."""

from __future__ import annotations

import math
from dataclasses import fields, replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from tankwright.physics.ammonia import ammonia_chronic_criterion, unionised_ammonia_fraction
from tankwright.physics.nitrification import nitrate_before_change, nitrification_rate
from tankwright.room.model import Room
from tankwright.systems.water import solve_water
from tankwright.systems.water_life_model import Span, TankNitrogen, WaterLife
from tankwright.systems.water_nitrogen import nitrate_course

from .water_rooms import DRIP, TAP, carbon_room, wants, water_room

DAY, WEEK = 86_400.0, 604_800.0
GERMAN_DEGREE = 0.01 * 100.087 / 56.077  # kg/m3 of CaCO3 in 1 °dH
EXACT = """[assume]
"filter.media" = "10 L"
"stock.protein" = "45 %"
"""


def fed(grams: float, tanks: str = "A1..A4") -> str:
    return f'[[stock]]\ntanks = "{tanks}"\nfeed = "{grams} g/day"\n'


def life_of(room: Room, flow: dict[str, dict[str, float]] | None = None) -> WaterLife:
    life = solve_water(room, DRIP if flow is None else flow).life
    assert life is not None
    return life


def first(
    *parts: str, litres: float = 100.0, flow: dict[str, dict[str, float]] | None = None
) -> TankNitrogen:
    return life_of(water_room(*parts, litres=litres), flow).nitrogen[0]


def dripping(litres_a_week: float) -> dict[str, dict[str, float]]:
    """Flows while open, of the room's hour a day, that bring so much in a week."""
    return {"drip": dict.fromkeys(("A1", "A2", "A3", "A4"), litres_a_week * 1e-3 / 7.0 / 3600.0)}


# --- print ---------------------------------------------------------------------------------------------------------


def test_a_drip_of_half_the_tank_a_week_settles_at_twice_the_weekly_rise():
    """10 mg/L a week made, 0.5 V a week dripped in: 20 (mass balance, as the reference of the water prints it)."""
    one = first(TAP.replace("20 mg/L", "0 mg/L"), fed(1.0), EXACT, flow=dripping(50.0))
    assert one.nitrate is not None
    weekly = one.rise.value * WEEK
    assert one.nitrate.value == pytest.approx(20e-3 * weekly / 10e-3)


def test_ten_grams_of_feed_make_the_printed_ammonia():
    """10 g a day of 45 % protein: 0.414 g a day. Timmons and Ebeling, by the reference."""
    one = first(TAP, fed(10.0), EXACT)
    assert round(one.from_feed.value * DAY * 1e3, 3) == 0.414


def test_a_milligram_of_nitrogen_in_a_litre_costs_0_40_degrees():
    """7.14 / 17.85, printed as 0.40 °dH."""
    one = first(TAP, fed(0.3), EXACT)
    assert one.hardness is not None
    assert one.source_hardness is not None
    nitrogen = one.nitrified.value / one.inflow  # kg a m3 of new water
    fall = (one.source_hardness.value - one.hardness.value) / GERMAN_DEGREE
    assert round(fall / (nitrogen * 1e3), 2) == 0.40


def test_chloramine_brings_the_printed_nitrogen():
    """3 mg/L as Cl2 leaves 0.59 mg/L of nitrogen."""
    tap = TAP.replace("0.3 mg/L", "3 mg/L").replace('"chlorine"', '"chloramine"')
    one = first(tap, fed(1.0))
    assert round(one.from_chloramine.value / one.inflow * 1e3, 2) == 0.59
    assert (
        life_of(carbon_room(tap, fed(1.0))).nitrogen[0].from_chloramine == one.from_chloramine
    )  # carbon leaves it


# --- balance -------------------------------------------------------------------------------------------------------


def test_what_is_fed_is_in_the_tank_or_over_its_lip():
    """Weeks stepped by an independent integrator: fed = out with the overflow + stored, and the closed form's level."""
    one = first(TAP.replace("20 mg/L", "0 mg/L"), fed(0.8), EXACT)
    turnover = one.inflow / one.volume

    def change(_: float, state: list[float]) -> list[float]:
        ammonia, nitrate, _ = state
        turned = nitrification_rate(capacity=one.capacity.value, ammonia=max(ammonia, 0.0)) / one.volume
        lost = turnover * (ammonia + nitrate)
        return [
            one.load.value / one.volume - turned - turnover * ammonia,
            turned - turnover * nitrate,
            lost,
        ]

    end = 26 * WEEK
    solved = solve_ivp(
        change, (0.0, end), [one.ammonia.value, 0.0, 0.0], method="LSODA", rtol=1e-9, atol=1e-14
    )
    ammonia, nitrate, out = solved.y[:, -1]
    fed_in = one.load.value * end / one.volume + one.ammonia.value
    assert fed_in == pytest.approx(ammonia + nitrate + out, rel=1e-8)
    assert ammonia == pytest.approx(one.ammonia.value, rel=1e-4)
    by_course = nitrate_course(one, 26)[-1][2]
    assert nitrate * 62.004 / 14.007 == pytest.approx(by_course, rel=1e-4)
    assert one.load.value == pytest.approx(one.nitrified.value + one.inflow * one.ammonia.value)


def test_the_course_goes_from_new_water_to_where_the_tank_settles():
    one = first(TAP, fed(0.5), EXACT, flow=dripping(100.0))
    assert one.nitrate is not None
    course = nitrate_course(one, 200)
    assert course[0][1:] == pytest.approx((0.020, 0.020, 0.020))
    assert course[-1][2] == pytest.approx(one.nitrate.value)
    assert np.all(np.diff([value for _, _, value, _ in course]) > -1e-15)


# --- wants ---------------------------------------------------------------------------------------------------------


def test_the_new_water_it_asks_for_brings_exactly_the_want():
    parts = (TAP, fed(0.5), EXACT, wants('nitrate = "60 mg/L"'))
    life = life_of(water_room(*parts, litres=100.0))
    want = life.wants[0]
    settled = first(*parts, flow=dripping(want.weekly.value * 1e3)).nitrate
    assert settled is not None
    assert settled.value == pytest.approx(0.060, rel=5e-3)  # a little more ammonia leaves with the wider drip


def test_the_minutes_it_names_bring_the_water_it_asks_for():
    life = life_of(water_room(TAP, fed(0.5), EXACT, wants('nitrate = "60 mg/L"'), litres=100.0))
    program, want = life.programs[0], life.wants[0]
    assert program.minutes_now == 3600.0
    assert program.needed.value * 4.0 / 3600.0 * 7.0 == pytest.approx(
        want.weekly.value * 1e3
    )  # litres, 4 L/h
    assert program.beyond == ()


def test_no_program_brings_a_tank_below_its_source():
    life = life_of(water_room(TAP, fed(0.5), wants('nitrate = "15 mg/L"')))
    assert math.isinf(life.wants[0].weekly.value)
    assert life.wants[0].passes.value == 0.0
    assert life.programs[0].beyond == ("A1", "A2", "A3", "A4")
    assert math.isinf(life.programs[0].needed.value)


def test_without_a_drip_nitrate_has_no_end_and_a_weekly_change_holds_its_peak():
    life = life_of(water_room(TAP, fed(0.5), EXACT, wants('nitrate = "60 mg/L"'), litres=100.0), {})
    one, want = life.nitrogen[0], life.wants[0]
    assert one.nitrate is not None
    assert math.isinf(one.nitrate.value)
    assert want.passes.value == pytest.approx(0.040 / one.rise.value)
    peak = nitrate_before_change(
        rise=one.rise.value * WEEK, changed_share=want.share.value, source_nitrate=0.020
    )
    assert peak == pytest.approx(0.060)
    assert one.hardness_lasts is not None
    assert one.hardness_lasts.value == pytest.approx(
        12 * GERMAN_DEGREE * one.volume / (one.nitrified.value * 100.087 / 14.007)
    )


# --- ammonia -------------------------------------------------------------------------------------------------------


def test_ammonia_settles_where_filter_and_drip_take_what_is_made():
    one = first(TAP, fed(1.0), EXACT)
    turned = nitrification_rate(capacity=one.capacity.value, ammonia=one.ammonia.value)
    assert turned + one.inflow * one.ammonia.value == pytest.approx(one.load.value)
    assert one.ph is not None
    assert one.unionised is not None
    share = unionised_ammonia_fraction(ph=one.ph.value, temperature=one.temperature.value)
    assert one.unionised.value == pytest.approx(one.ammonia.value * share * 17.031 / 14.007)
    assert one.chronic == pytest.approx(
        ammonia_chronic_criterion(ph=one.ph.value, temperature=one.temperature.value)
    )


def test_a_filter_that_cannot_keep_up_leaves_ammonia_to_the_drip_or_without_end():
    small = EXACT.replace("10 L", "10 ml")
    dripped = first(TAP, fed(1.0), small)
    assert dripped.load.value > dripped.capacity.value
    assert dripped.ammonia.value == pytest.approx(dripped.load.value / dripped.inflow, rel=0.2)
    still = first(TAP, fed(1.0), small, flow={})
    assert math.isinf(still.ammonia.value)
    assert still.nitrified.value == pytest.approx(still.capacity.value)


def test_every_band_has_its_ends_in_order():
    for one in life_of(water_room(TAP, fed(0.5))).nitrogen:
        for field in fields(one):
            span = getattr(one, field.name)
            if isinstance(span, Span):
                assert span.low <= span.value <= span.high, field.name


def test_more_feed_never_makes_less_of_anything_bad():
    few, many = (first(TAP, fed(grams)) for grams in (0.2, 0.4))
    assert few.nitrate is not None
    assert many.nitrate is not None
    assert few.hardness is not None
    assert many.hardness is not None
    assert many.ammonia.value > few.ammonia.value
    assert many.nitrate.value > few.nitrate.value
    assert many.hardness.value < few.hardness.value


# --- what is not known ---------------------------------------------------------------------------------------------


def test_fish_nobody_counted_are_not_worked_out_and_said():
    life = life_of(water_room(TAP, '[[stock]]\ntanks = "A1"\nspecies = "Danio rerio"\n'))
    assert life.nitrogen == ()
    assert any(subject == "tank A1" for subject, _ in life.not_computed)
    assert life.without_stock == ("A2", "A3", "A4")


def test_water_too_hot_for_any_published_filter_is_not_worked_out():
    room = water_room(TAP, fed(0.5))
    hot = tuple(
        replace(life, wanted_temperature=replace(life.wanted_temperature, value=315.0)) for life in room.lives
    )
    life = life_of(replace(room, lives=hot))
    assert life.nitrogen == ()
    assert len(life.not_computed) == 4


def test_a_room_without_waters_has_nitrogen_but_no_nitrate():
    life = life_of(water_room(fed(0.5)))
    assert life.nitrogen[0].nitrate is None
    assert life.nitrogen[0].hardness is None
    assert life.nitrogen[0].chronic is None
    assert life.wants == ()
