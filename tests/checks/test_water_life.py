"""What is said of chlorine, carbon, ammonia, hardness, nitrate and first weeks: each verdict, and silence."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from tankwright.checks.water_chlorine import when
from tankwright.checks.water_life import check_water_life
from tankwright.display import sentence
from tankwright.finding import Finding, Severity
from tankwright.room.model import Room
from tankwright.systems.water import solve_water

from ..systems.water_rooms import DRIP, TAP, carbon_room, wants, water_room

CLEAN = TAP.replace("0.3 mg/L", "0 mg/L")
MEASURED = """[assume]
"filter.media" = "3 L"
"filter.rate" = "1.2e-6"
"stock.protein" = "45 %"
"water.chlorine_decay" = "0.1 1/h"
"filter.takes" = "20 g"
"filter.chloramine" = "50 %"
"filter.seed" = "0.01 mg/L"
"""


def fed(grams: float, tanks: str = "A1..A4") -> str:
    return f'[[stock]]\ntanks = "{tanks}"\nfeed = "{grams} g/day"\n'


def judged(room: Room, flows: dict[str, dict[str, float]] | None = None) -> dict[str, Finding]:
    life = solve_water(room, DRIP if flows is None else flows).life
    assert life is not None
    found = list(check_water_life(room, life))
    for finding in found:
        assert finding.reason
        assert finding.remedy
        for _, number in finding.numbers:
            assert math.isfinite(number.value), finding.code
        for text in (finding.text, finding.reason, finding.remedy):
            assert "{" not in sentence(text, finding.numbers), finding.code
    return {finding.code: finding for finding in found}


def said(finding: Finding) -> str:
    return " ".join(
        sentence(text, finding.numbers) for text in (finding.text, finding.reason, finding.remedy)
    )


def test_a_quiet_room_hears_only_how_long_a_new_filter_takes():
    found = judged(water_room(CLEAN, fed(0.2), MEASURED, wants('nitrate = "80 mg/L"')))
    assert set(found) == {"WATER-60"}
    assert found["WATER-60"].severity is Severity.NOTE


# --- chlorine ------------------------------------------------------------------------------------------------------


def test_a_bare_drip_says_when_it_harms():
    finding = judged(water_room(TAP.replace("0.3 mg/L", "2 mg/L"), MEASURED))["WATER-40"]
    assert finding.severity is Severity.PROBLEM
    assert "of the first night" in said(finding)
    assert "screening" in said(finding)
    assert finding.places == ("A1", "A2", "A3", "A4")
    assert finding.limit is not None
    assert finding.limit.value == 2e-5


def test_a_verdict_the_decay_decides_asks_for_a_test():
    weak = TAP.replace("0.3 mg/L", "0.05 mg/L")
    finding = judged(water_room(weak, litres=40.0))["WATER-41"]
    assert "a test of total chlorine in the tank an hour after the drip decides" in said(finding)
    assert "water.chlorine_decay" in finding.rests_on


@pytest.mark.parametrize(
    ("begins", "after", "words"),
    [(7200.0, 4200.0, "by 03:10 of the first night"), (36000.0, 3600.0, "by 11:00 of the first day"),
     (7200.0, 90000.0, "by 03:00 of day 2"), (82800.0, 7200.0, "by 01:00 of the first night")],
)  # fmt: skip
def test_a_clock_is_told_with_its_night_or_day(begins: float, after: float, words: str):
    text, numbers = when(begins, after)
    assert sentence(text, numbers) == words


def test_carbon_is_judged_by_how_soon_it_may_be_spent():
    note = judged(carbon_room(TAP, MEASURED))["WATER-42"]
    assert note.severity is Severity.NOTE
    assert "passes 0.02 mg/L of chlorine by" in said(note)
    soon = judged(carbon_room(TAP.replace("0.3 mg/L", "12 mg/L")))["WATER-42"]
    assert soon.severity is Severity.WARNING
    assert "filter.takes" in soon.rests_on
    assert "WATER-40" not in judged(carbon_room(TAP, MEASURED))


def test_chloramine_passes_carbon_and_a_supplier_nobody_asked_may_add_it():
    strong = TAP.replace("0.3 mg/L", "2 mg/L")
    chloramine = judged(carbon_room(strong.replace('"chlorine"', '"chloramine"')))
    assert chloramine["WATER-43"].severity is Severity.WARNING
    assert "WATER-40" in chloramine
    unknown = judged(carbon_room(TAP.replace('"chlorine"', '"not known"')))
    assert "ask the supplier" in said(unknown["WATER-44"])
    assert "WATER-43" not in unknown


def test_chloramine_counts_towards_the_ammonia():
    tap = TAP.replace("0.3 mg/L", "3 mg/L").replace('"chlorine"', '"chloramine"')
    assert "WATER-46" in judged(water_room(tap, fed(0.05)))
    assert "WATER-46" not in judged(water_room(tap, fed(2.0)))


# --- nitrogen ------------------------------------------------------------------------------------------------------


def test_a_filter_too_small_is_named_with_the_sponge_it_needs():
    finding = judged(water_room(CLEAN, fed(9.0), MEASURED))["WATER-50"]
    assert finding.severity is Severity.PROBLEM
    assert "of sponge in each" in said(finding)


def test_ammonia_is_judged_by_what_holds_and_by_what_may_be():
    found = judged(water_room(CLEAN, fed(2.0), MEASURED))
    assert found["WATER-51"].severity in (Severity.WARNING, Severity.PROBLEM)
    assert found["WATER-51"].limit is not None
    perhaps = judged(water_room(CLEAN, fed(0.1)))["WATER-52"]
    assert perhaps.severity is Severity.NOTE
    assert "filter.rate" in perhaps.rests_on
    assert "a test of ammonia" in said(perhaps)


def test_the_feed_it_allows_is_at_the_limit():
    finding = judged(water_room(CLEAN, fed(2.0), MEASURED))["WATER-51"]
    allowed = dict(finding.numbers)["feed"].value * 86_400.0e3
    assert "WATER-51" in judged(water_room(CLEAN, fed(allowed * 1.08), MEASURED))
    assert "WATER-51" not in judged(water_room(CLEAN, fed(allowed * 0.98), MEASURED))


def test_hardness_used_up_is_told_before_the_ph_moves():
    gone = judged(water_room(CLEAN, fed(4.0), MEASURED.replace("3 L", "30 L")))["WATER-53"]
    assert gone.severity is Severity.PROBLEM
    assert "uses up" in said(gone) or "use up" in said(gone)
    assert "WATER-53" not in judged(water_room(CLEAN, fed(0.2), MEASURED))


def test_nitrate_over_its_want_names_litres_and_minutes_that_hold_it():
    parts = (CLEAN, MEASURED, wants('nitrate = "40 mg/L"'))
    finding = judged(water_room(*parts, fed(1.0)))["WATER-55"]
    assert finding.severity is Severity.WARNING
    assert "drip open" in said(finding)
    assert "instead of 60 min" in said(finding)
    assert "WATER-55" not in judged(water_room(*parts, fed(0.1)))


def test_a_want_below_the_source_is_beyond_any_program():
    finding = judged(water_room(CLEAN, fed(0.2), MEASURED, wants('nitrate = "10 mg/L"')))["WATER-57"]
    assert "by any program" in said(finding)
    assert finding.severity is Severity.WARNING


def test_nitrate_that_hangs_on_the_feed_asks_for_its_weight():
    room = water_room(
        CLEAN, wants('nitrate = "40 mg/L"'), '[[stock]]\ntanks = "A1..A4"\ncount = 12\neach = "1 g"\n'
    )
    finding = judged(room)["WATER-56"]
    assert finding.severity is Severity.NOTE
    assert "stock.feed_share" in finding.rests_on
    assert "weigh a week's feed" in said(finding)


def test_tanks_without_a_drip_hear_when_and_how_much_to_change():
    finding = judged(water_room(CLEAN, fed(0.3), MEASURED), {})["WATER-58"]
    assert "once a week" in said(finding)
    assert "without end" in said(finding)


# --- what is not known ---------------------------------------------------------------------------------------------


def test_what_is_missing_is_never_fine():
    found = judged(water_room(CLEAN, '[[stock]]\ntanks = "A1"\nspecies = "Danio rerio"\n', fed(0.2, "A2")))
    assert found["WATER-70"].severity is Severity.NOT_COMPUTED
    assert found["WATER-70"].places == ("A1",)
    assert found["WATER-71"].places == ("A3", "A4")
    without_ph = judged(water_room(fed(0.2)))
    assert without_ph["WATER-72"].severity is Severity.NOT_COMPUTED


def test_zones_that_want_different_nitrate_are_told_apart_each_with_its_own_limit():
    room = water_room(
        CLEAN, fed(0.8), MEASURED, wants('nitrate = "40 mg/L"'), wants('nitrate = "30 mg/L"', "other")
    )
    two = tuple(replace(tank, zone="other") if tank.id in ("A3", "A4") else tank for tank in room.tanks)
    zones = room.zones
    assert {zone.id for zone in zones} >= {"main", "other"}
    life = solve_water(replace(room, tanks=two), DRIP).life
    assert life is not None
    found = [one for one in check_water_life(room, life) if one.code == "WATER-55"]
    assert [(one.places, one.limit.value if one.limit else 0.0) for one in found] == [
        (("A3", "A4"), pytest.approx(0.030)), (("A1", "A2"), pytest.approx(0.040)),
    ]  # fmt: skip
    assert "of 30 mg/L" in said(found[0])


def test_carbon_is_not_what_chloramine_is_told_to_be_treated_with():
    chloramine = TAP.replace('disinfectant = "chlorine"', 'disinfectant = "chloramine"')
    finding = judged(water_room(chloramine, fed(0.2)))["WATER-40"]
    assert "catalytic" in finding.remedy
    assert "carbon in the feed" not in finding.remedy
