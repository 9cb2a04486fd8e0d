"""Is this bad, is it getting worse: limits before charts, a fall told before the pH moves, nothing unknown as well."""

from __future__ import annotations

import math
import re

import pytest

from tankwright.finding import Finding, Severity
from tankwright.husbandry.facts import Tally, came, water_tested
from tankwright.husbandry.records import Draft, Observed
from tankwright.husbandry.water_causes import causes_of, last_change
from tankwright.husbandry.water_limits import WaterLimit, judged, limits_of
from tankwright.husbandry.water_quantities import QUANTITIES
from tankwright.husbandry.water_sentences import findings_beside, verdict_finding, water_findings
from tankwright.husbandry.water_verdicts import ARROWS, level_changes
from tankwright.origin import Known, Origin
from tankwright.systems.water_life_model import Span, TankNitrogen

from .happenings import as_events, day
from .waters import noted, readings, verdicts

WEEKLY = range(0, 12 * 7, 7)


def told(one: Finding) -> str:
    """A sentence with its numbers in SI, to read in a test."""
    numbers = {name: f"{number.value:g}" for name, number in one.numbers}
    return one.text.format_map(numbers)


def design(**given: Span) -> TankNitrogen:
    nothing, known = Span(low=0.0, value=0.0, high=0.0), Known(1.0, Origin.GIVEN)
    fields = dict.fromkeys(
        ("from_feed", "from_chloramine", "from_source", "load", "capacity", "nitrified", "ammonia", "rise"),
        nothing,
    )
    return TankNitrogen(
        tank="A1", volume=0.1, temperature=known, media=known, feed=known, protein=Known(0.45, Origin.GIVEN),
        inflow=1e-7, ph=None, unionised=None, acute=None, chronic=None, harm=None, source_hardness=None, hardness=None,
        hardness_lasts=None, source_nitrate=None, wanted_nitrate=None, **{**fields, "nitrate": None, **given},
    )  # fmt: skip


# --- how it stands ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("quantity", "value", "standing", "code", "severity"),
    [
        ("no2", 1.0, "past hazard", "TREND-01", Severity.PROBLEM),
        ("no2", 0.3, "past want", "TREND-02", Severity.WARNING),
        ("no2", 0.0, "inside", "TREND-13", Severity.NOTE),
        ("no3", 80.0, "past want", "TREND-02", Severity.WARNING),
        ("no3", 50.0, "inside", "TREND-13", Severity.NOTE),
        ("kh", 1.0, "past hazard", "TREND-01", Severity.PROBLEM),
        ("kh", 2.0, "may be past", "TREND-14", Severity.WARNING),
        ("kh", 5.0, "inside", "TREND-13", Severity.NOTE),
        ("ph", 4.5, "past hazard", "TREND-01", Severity.PROBLEM),
        ("gh", 8.0, "no limit", "TREND-10", Severity.NOTE),
        ("chlorine", 0.1, "past hazard", "TREND-01", Severity.PROBLEM),
    ],
)
def test_a_test_stands_as_its_limits_say(
    quantity: str, value: float, standing: str, code: str, severity: Severity
) -> None:
    one = verdicts(1.0, noted(quantity, [(0.5, value)]))[quantity]
    found = verdict_finding(one)
    assert (one.judged.standing, found.code, found.severity) == (standing, code, severity)
    assert found.places == ("A1",)


def test_a_hazard_goes_before_a_want_and_before_every_chart() -> None:
    limits = (
        WaterLimit(quantity="no2", kind="wanted", high=1e-4),
        WaterLimit(quantity="no2", kind="hazard", high=6e-4),
    )
    calm = noted("no2", [(number, 1.0) for number in WEEKLY])
    one = verdicts(78.0, calm, limits=limits)["no2"]
    assert (one.trend, one.judged.standing) == ("steady", "past hazard")
    found = verdict_finding(one)
    assert (found.code, found.severity) == ("TREND-01", Severity.PROBLEM)


def test_what_was_tested_long_ago_is_not_well_today() -> None:
    one = verdicts(60.0, noted("no2", [(0, 0.0), (7, 0.0), (14, 0.0)]))["no2"]
    found = verdict_finding(one)
    assert one.old
    assert (found.code, found.severity) == ("TREND-11", Severity.NOT_COMPUTED)
    assert "46 days ago: nothing is known of today" in found.text


def test_a_reading_of_just_what_is_wanted_is_not_past_it() -> None:
    wanted = WaterLimit(
        quantity="kh", kind="wanted", low=QUANTITIES["kh"].to_si(3.0), high=QUANTITIES["kh"].to_si(8.0)
    )
    found = [judged(readings("kh", [(0, value)])[0], (wanted,)).standing for value in (2.0, 3.0, 8.0, 9.0)]
    assert found == ["past want", "inside", "inside", "past want"]


def test_soft_water_that_is_wanted_is_not_called_low() -> None:
    assert any(one.quantity == "kh" and one.kind == "hazard" for one in limits_of(None, "A1"))
    reading = readings("kh", [(0, 1.0)])[0]
    soft = WaterLimit(quantity="kh", kind="wanted", low=0.0, high=0.04)
    assert judged(reading, (soft,)).standing == "inside"


# --- ammonia --------------------------------------------------------------------------------------------------------


def test_ammonia_is_judged_at_the_tanks_own_ph_and_warmth_and_says_when_they_were_tested() -> None:
    together = noted("nh4", [(10, 1.0)]), noted("ph", [(8, 8.4)]), noted("temperature", [(10, 26.0)])
    one = verdicts(10.5, *together)["nh4"]
    found = verdict_finding(one)
    assert one.judged.standing == "past hazard"
    assert (found.code, found.severity) == ("TREND-08", Severity.PROBLEM)
    assert "pH 8.4 (tested 2 days before it)" in told(found)
    assert "(tested with it)" in told(found)
    assert one.ammonia is not None
    assert one.ammonia.gas is not None
    # 1 mg/L of NH4 is 0.776 mg/L of nitrogen; share at pH 8.4 and 26 °C 0.1326 (IFAS FA-16), times 17.031/14.007
    assert one.ammonia.gas[1] * 1000 == pytest.approx(
        0.7765 * 0.1326 * 1.2159, rel=2e-3
    )  # the printed share's digits


def test_the_same_ammonia_harms_less_in_sour_water() -> None:
    one = verdicts(1.0, noted("nh4", [(0, 1.0)]), noted("ph", [(0, 6.6)]), noted("temperature", [(0, 24.0)]))[
        "nh4"
    ]
    assert one.ammonia is not None
    assert one.ammonia.standing == "inside"
    assert one.judged.standing == "past want", "a grown-in filter leaves none, all the same"


@pytest.mark.parametrize(
    ("others", "missing"),
    [
        ((), "pH and temperature were never tested"),
        ((noted("ph", [(20, 8.0)]),), "temperature was never tested"),
        (
            (noted("ph", [(2, 8.0)]), noted("temperature", [(20, 25.0)])),
            "pH was not tested within 7 days of it",
        ),
        (
            (noted("ph", [(2, 8.0)]),),
            "temperature was never tested, and pH was not tested within 7 days of it",
        ),
    ],
)
def test_ammonia_without_ph_and_warmth_near_it_is_not_judged(
    others: tuple[list[Draft], ...], missing: str
) -> None:
    one = verdicts(20.5, noted("nh4", [(20, 0.2)]), *others)["nh4"]
    found = verdict_finding(one)
    assert (found.code, found.severity) == ("TREND-07", Severity.NOT_COMPUTED)
    assert missing in found.text


def test_what_would_not_harm_were_it_all_gas_needs_no_ph() -> None:
    one = verdicts(1.0, noted("nh4", [(0.5, 0.0)]))["nh4"]
    assert one.judged.standing == "inside"


def test_ammonia_past_its_usual_still_says_that_it_could_not_be_judged() -> None:
    one = verdicts(1.0, noted("nh4", [(0.5, 2.0)]))["nh4"]
    assert one.judged.standing == "past want"
    assert "TREND-07" in [found.code for found in findings_beside(one)]


# --- alkalinity -----------------------------------------------------------------------------------------------------


def falling(
    step: float = 0.5, fall: float = 0.9, every: float = 7.0, days: float = 35.0
) -> list[tuple[float, float]]:
    """What a drop kit (in °dH) shows of 90 mg/L that fall evenly."""
    return [
        (number * every, step * math.ceil((90.0 - fall * number * every) / (17.8482 * step) - 1e-9))
        for number in range(int(days / every) + 1)
    ]


def test_a_fall_is_proved_while_the_ph_kit_still_shows_nothing() -> None:
    ph = noted("ph", [(at, 7.5) for at, _ in falling(days=14.0)])
    one = verdicts(14.1, noted("kh", falling(days=14.0), method="double sample"), ph)
    fall = one["kh"].fall
    assert fall is not None
    assert fall.proved
    slow, fast = (rate * 1000 for rate in fall.rate)
    assert (round(slow, 2), round(fast, 2)) == pytest.approx((0.64, 1.91), abs=0.011)
    assert slow <= 0.9 <= fast
    assert fall.ph_down is not None
    assert fall.ph_down[0] <= 0.07 <= fall.ph_down[1]
    assert one["ph"].trend == "too few tests"
    assert fall.soonest <= (90.0 - 0.9 * 14.1 - 20.0) / 0.9 <= fall.latest


def test_a_limit_that_may_come_within_two_tests_is_warned_of_with_what_to_do() -> None:
    one = verdicts(70.5, noted("kh", falling(days=70.0), method="double sample"))["kh"]
    found = verdict_finding(one)
    assert one.fall is not None
    assert one.fall.warns
    assert (found.code, found.severity) == ("TREND-03", Severity.WARNING)
    assert re.search(
        r"falls \S+ to \S+ a day; \S+ in \d+ to \d+ days; test again on \d+ \w+ 2026", told(found)
    )
    assert one.fall.again <= day(70.5 + 14)


def test_a_fall_far_from_its_limit_is_told_and_not_warned_of() -> None:
    high = [(at, value + 20.0) for at, value in falling(days=28.0)]
    one = verdicts(28.1, noted("kh", high, method="double sample"))["kh"]
    assert verdict_finding(one).code == "TREND-13"
    assert next(found.code for found in findings_beside(one)) == "TREND-04"


def test_alkalinity_that_has_passed_its_limit_is_a_problem_first_and_a_fall_beside() -> None:
    one = verdicts(91.5, noted("kh", falling(days=91.0), method="double sample"))["kh"]
    assert verdict_finding(one).code == "TREND-01"
    beside = [found for found in findings_beside(one) if found.code == "TREND-03"]
    assert beside
    assert one.fall is not None
    assert (one.fall.soonest, one.fall.latest) == (0.0, 0.0)


def test_what_nitrification_uses_stands_beside_the_fall() -> None:
    milligrams_of_nitrogen_a_day = 12.6  # in 100 L: 0.126 mg/L a day, times 7.145 is 0.9 mg/L
    rate = milligrams_of_nitrogen_a_day * 1e-6 / 86400
    plan = design(nitrified=Span(low=rate, value=rate, high=2 * rate))
    one = verdicts(70.5, noted("kh", falling(days=70.0), method="double sample"), design=plan)["kh"]
    assert one.fall is not None
    assert one.fall.used == pytest.approx((0.9e-3, 1.8e-3), rel=1e-3)
    assert "uses" in verdict_finding(one).reason


def test_a_change_of_water_begins_a_new_stretch_and_a_weekly_one_does_not() -> None:
    kh = noted("kh", falling(days=56.0), method="double sample")
    change = [Draft(kind="cleaned", happened=day(50), place="p", details={"what": "water", "share": 0.5})]
    one = verdicts(56.5, kh, change)["kh"]
    assert one.since is not None
    assert one.since.kind == "water change"
    assert len(one.taken) == 1
    assert one.trend == "too few tests"
    weekly = [
        Draft(kind="cleaned", happened=day(at), place="p", details={"what": "water"})
        for at in range(1, 56, 7)
    ]
    assert verdicts(56.5, kh, weekly)["kh"].trend == "falls"


def test_a_move_changes_both_its_ends_and_warmth_feels_neither() -> None:
    events = as_events([came("arrived", "s", "p", Tally(number=6), day(3))])
    causes = causes_of(events)
    assert [(one.place, one.kind, one.says) for one in causes] == [("p", "fish", "6 fish more")]
    assert last_change(causes, "no3", day(9)) is causes[0]
    assert last_change(causes, "temperature", day(9)) is None
    assert last_change(causes, "no3", day(1)) is None, "what has not happened yet"


# --- charts and the plan --------------------------------------------------------------------------------------------


def test_a_jump_out_of_the_usual_is_told_with_its_day_even_within_all_limits() -> None:
    values = [(number * 7, 10.0 if number % 3 else 15.0) for number in range(24)]
    one = verdicts(24 * 7 + 1.0, noted("no3", [*values, (24 * 7, 40.0)]))["no3"]
    assert (one.trend, one.worse, one.judged.standing) == ("jumped up", True, "inside")
    jump = next(found for found in findings_beside(one) if found.code == "TREND-05")
    assert jump.severity is Severity.WARNING
    assert "above its usual" in jump.text


def test_a_new_level_is_told_with_its_day() -> None:
    values = [(number * 7, 10.0 if number < 12 else 25.0) for number in range(24)]
    one = verdicts(24 * 7.0, noted("no3", values))["no3"]
    assert level_changes(one) == (day(12 * 7),)
    assert "TREND-12" in [found.code for found in findings_beside(one)]


@pytest.mark.parametrize(("seen", "apart"), [(10.0, ""), (80.0, "above"), (1.0, "below")])
def test_the_plans_nitrate_stands_beside_the_tests_and_is_told_where_the_bands_part(
    seen: float, apart: str
) -> None:
    plan = design(nitrate=Span(low=0.006, value=0.010, high=0.020))
    one = verdicts(15.0, noted("no3", [(0, seen), (7, seen), (14, seen)]), design=plan)["no3"]
    assert one.compared is not None
    assert one.compared.apart == apart
    assert one.compared.ratio.low <= one.compared.ratio.value <= one.compared.ratio.high
    assert ("TREND-09" in [found.code for found in findings_beside(one)]) == bool(apart)


def test_a_tank_without_a_drip_has_no_nitrate_to_compare_with() -> None:
    never = design(nitrate=Span(low=math.inf, value=math.inf, high=math.inf))
    assert verdicts(1.0, noted("no3", [(0, 20.0)]), design=never)["no3"].compared is None


# --- all together ---------------------------------------------------------------------------------------------------


def test_the_worst_comes_first_and_every_number_of_every_sentence_is_there() -> None:
    found = verdicts(
        90.5, noted("gh", [(90, 8.0)]), noted("kh", falling(days=56.0)), noted("no2", [(90, 2.0)]),
        noted("nh4", [(89, 0.5)]), noted("ph", [(number, 7.0 + number % 2 / 10) for number in range(90)]),
        noted("temperature", [(88, 25.0)]), noted("no3", [(number * 7, 60.0) for number in range(13)]),
    )  # fmt: skip
    assert next(iter(found)) == "no2"
    for one in found.values():
        assert one.trend in ARROWS
    for finding in water_findings(found.values()):
        assert "{" not in told(finding)
        assert not re.search(r"\bnan\b|\binf\b", told(finding))
        finding.reason.format_map({name: "" for name, _ in finding.numbers})
        finding.remedy.format_map({name: "" for name, _ in finding.numbers})


def test_every_quantity_can_be_judged_and_told() -> None:
    for key, quantity in QUANTITIES.items():
        seen = Observed(quantity=key, value=5.0, unit=quantity.unit)
        for one in verdicts(1.0, [water_tested("p", day(0.5), (seen,))]).values():
            assert verdict_finding(one).subject == f"A1, {quantity.name}"
