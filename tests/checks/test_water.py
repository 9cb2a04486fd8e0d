"""What is said of the waters: each verdict with its limit and remedy, silence where all is well, never a guess."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tankwright.checks.water import check_water
from tankwright.display import sentence
from tankwright.finding import Finding, Severity
from tankwright.room.model import Room
from tankwright.systems.water import solve_water

from ..systems.water_rooms import DRIP, PURE, TAP, stock, wants, water_room

FITS = wants('ph = [6.5, 9.0], general_hardness = ["10 °dH", "20 °dH"], carbonate_hardness = ["8 °dH", "14 °dH"],'
             ' nitrate = "40 mg/L"')  # fmt: skip
STOOD = TAP.replace('"10 °C"', '"24 °C"').replace('"18 °C"', '"25 °C"')


def judged(room: Room, flows: dict[str, dict[str, float]] | None = None) -> list[Finding]:
    found = check_water(room, solve_water(room, DRIP if flows is None else flows))
    return [finding for finding in found if int(finding.code.removeprefix("WATER-")) < 40]


def one(findings: list[Finding], code: str) -> Finding:
    return next(finding for finding in findings if finding.code == code)


def codes(findings: list[Finding]) -> dict[str, Severity]:
    return {finding.code: finding.severity for finding in findings}


def said(finding: Finding) -> str:
    return " ".join(
        sentence(text, finding.numbers) for text in (finding.text, finding.reason, finding.remedy)
    )


def test_water_that_stood_and_fits_is_not_spoken_of():
    assert judged(water_room(STOOD, FITS)) == []


def test_a_plan_without_waters_hears_what_to_write():
    finding = one(judged(water_room()), "WATER-01")
    assert finding.severity is Severity.NOT_COMPUTED
    assert "[water.tap]" in finding.remedy


def test_a_water_nobody_described_is_not_computed_and_names_the_source():
    lost = one(
        judged(water_room(TAP.replace("[water.tap]", "[water.rain]\ncomes_from = []"), PURE)), "WATER-02"
    )
    assert lost.severity is Severity.NOT_COMPUTED
    assert 'comes_from = ["tap"]' in lost.remedy
    assert lost.places == ("A1", "A2", "A3", "A4")


def test_a_tank_changed_by_hand_is_told():
    found = judged(replace(water_room(STOOD, FITS), feeds=()), {})
    assert codes(found) == {"WATER-03": Severity.NOTE}


def test_two_waters_of_one_tap_are_told():
    twice = TAP.replace("[water.tap]", '[water.other]\ncomes_from = ["tap"]')
    assert "tap" in one(judged(water_room(TAP, twice)), "WATER-04").subject


def test_what_is_not_met_says_by_how_much_and_what_to_mix():
    found = judged(water_room(STOOD, PURE, wants('general_hardness = ["3 °dH", "5 °dH"]')))
    miss = one(found, "WATER-05")
    assert miss.severity is Severity.WARNING
    assert "16 °dH" in said(miss)
    assert "5 °dH" in said(miss)
    assert "31 % tap" in said(miss)  # 5 of 16
    blend = one(found, "WATER-08")
    assert "EUR a year" in sentence(blend.text, blend.numbers)
    assert "5 L a day" in said(blend)  # 31.25 % of 16 L


def test_what_no_blend_reaches_names_the_bound():
    found = judged(water_room(STOOD, PURE, wants('carbonate_hardness = ["14 °dH", "20 °dH"]')))
    finding = one(found, "WATER-09")
    assert finding.severity is Severity.WARNING
    assert "carbonate hardness at least 14 °dH" in said(finding)
    assert "2 °dH off" in said(finding)
    assert "WATER-08" not in codes(found)


def test_nitrate_that_comes_with_the_water_cannot_be_changed_away():
    finding = one(judged(water_room(STOOD, wants('nitrate = "15 mg/L"'))), "WATER-05")
    assert "no change of water" in finding.reason


def test_a_guess_on_both_sides_of_a_limit_says_which_measurement_decides():
    bare = "\n".join(line for line in STOOD.splitlines() if not line.startswith("nitrate"))
    finding = one(judged(water_room(bare, wants('nitrate = "30 mg/L"'))), "WATER-05")
    assert finding.severity is Severity.NOTE
    assert "the supplier's report" in finding.remedy
    assert finding.rests_on == ("water.nitrate",)


def test_a_conductivity_nobody_measured_is_not_judged():
    bare = "\n".join(line for line in STOOD.splitlines() if not line.startswith("conductivity"))
    finding = one(judged(water_room(bare, wants('conductivity = ["100 µS/cm", "300 µS/cm"]'))), "WATER-06")
    assert finding.severity is Severity.NOT_COMPUTED


@pytest.mark.parametrize(
    ("ph", "severity"),
    [("[6.0, 7.0]", Severity.WARNING), ("[6.0, 7.6]", Severity.NOTE), ("[6.0, 9.0]", None)],
)
def test_a_ph_is_sure_only_when_the_water_comes_outside_too(ph, severity):
    """The tap comes at 7.3 and settles at 8.3 to 8.7; a tank with fish lies between."""
    found = judged(water_room(STOOD, wants(f"ph = {ph}")))
    assert codes(found).get("WATER-07") == severity
    if severity is not None:
        assert "carbonate hardness settles at" in one(found, "WATER-07").remedy


def test_stock_in_a_zone_that_wants_nothing_is_told():
    assert one(judged(water_room(STOOD, stock("Danio rerio"))), "WATER-10").severity is Severity.NOTE


def test_a_cold_drip_is_a_warning_with_how_long_it_should_run():
    warm = wants('temperature = ["26 °C", "26 °C"]')
    finding = one(judged(water_room(TAP, warm, litres=20.0)), "WATER-12")
    assert finding.severity is Severity.WARNING
    assert finding.value is not None
    # 16 K x 0.2 / 0.395 x (1 - exp(-0.395)): a fifth runs in, and its panes give back 4.5 W/K meanwhile
    assert finding.value.value == pytest.approx(2.65, abs=0.02)
    assert "90 min or more" in said(finding)  # 3600 s x 0.2 over -ln(1 - 2 K of 16 K), to the next minute
    assert "WATER-12" not in codes(judged(water_room(STOOD, warm, litres=20.0)))


def test_a_guessed_winter_says_what_to_measure_before_the_drip_is_slowed():
    bare = TAP.replace('winter = "10 °C"\n', "")
    warm = wants('temperature = ["26 °C", "26 °C"]')
    finding = one(judged(water_room(bare, warm, litres=28.0)), "WATER-12")
    assert "a thermometer under the tap in January" in finding.remedy
    assert finding.rests_on == ("water.winter",)


def test_the_most_to_change_at_a_stroke_in_winter_is_told():
    finding = one(judged(water_room(TAP, wants('temperature = ["26 °C", "26 °C"]'))), "WATER-13")
    assert finding.value is not None
    assert finding.value.value == pytest.approx(2.0 / 16.0)
    assert "a quarter brings" in finding.text


def test_gas_is_a_note_for_a_small_drip_and_a_warning_for_a_large_one():
    warm = wants('temperature = ["26 °C", "26 °C"]')
    assert codes(judged(water_room(TAP, warm)))["WATER-14"] is Severity.NOTE
    large = {"drip": dict.fromkeys(DRIP["drip"], 25e-3 / 3600)}
    assert codes(judged(water_room(TAP, warm), large))["WATER-14"] is Severity.WARNING
    assert "WATER-14" not in codes(judged(water_room(STOOD, warm)))


def test_a_species_outside_is_one_warning_with_its_source_and_never_a_problem():
    own = '[species."Guppy"]\nhardness = ["4 °dH", "8 °dH"]\ntemperature = ["18 °C", "20 °C"]\nsource = "my shelf"\n'
    found = [one for one in judged(water_room(STOOD, FITS, own, stock("Guppy"))) if one.code == "WATER-16"]
    assert [finding.severity for finding in found] == [Severity.WARNING]
    assert "my shelf" in found[0].source
    assert "general hardness 16 °dH (4 °dH to 8 °dH)" in said(found[0])
    assert found[0].places == ("A1", "A2", "A3", "A4")


def test_what_is_from_memory_says_so():
    found = [one for one in judged(water_room(TAP, wants('temperature = ["29 °C", "30 °C"]'), stock("Danio rerio")))
             if one.code == "WATER-16"]  # fmt: skip
    assert "from memory" in found[0].source


def test_fish_nobody_knows_are_told_as_not_compared():
    finding = one(judged(water_room(STOOD, FITS, stock("Nonesuch ignotus"))), "WATER-17")
    assert finding.severity is Severity.NOT_COMPUTED


def test_a_value_no_formula_covers_is_told():
    finding = one(judged(water_room(STOOD.replace("ph = 7.3", "ph = 11.5"), FITS)), "WATER-11")
    assert finding.severity is Severity.NOT_COMPUTED
    assert "10.5" in finding.reason


def test_every_bound_the_nearest_blend_breaks_is_told():
    text = 'general_hardness = ["1 °dH", "2 °dH"], carbonate_hardness = ["9 °dH", "10 °dH"]'
    finding = one(judged(water_room(STOOD, PURE, wants(text))), "WATER-09")
    assert "general hardness at most 2 °dH" in said(finding)
    assert "carbonate hardness at least 9 °dH" in said(finding)
    assert "softer water" in finding.remedy
    assert "salts" in finding.remedy


def test_no_blend_is_said_to_meet_a_conductivity_that_not_every_water_says():
    unsaid = "\n".join(line for line in PURE.splitlines() if not line.startswith("conductivity")) + "\n"
    only = judged(water_room(STOOD, unsaid, wants('conductivity = ["100 µS/cm", "200 µS/cm"]')))
    assert "WATER-08" not in codes(only)
    both = judged(
        water_room(
            STOOD,
            unsaid,
            wants('conductivity = ["100 µS/cm", "200 µS/cm"], general_hardness = ["3 °dH", "5 °dH"]'),
        )
    )
    assert "but for conductivity, which was left out" in said(one(both, "WATER-08"))
    misses = [finding for finding in both if finding.code == "WATER-05" and "conductivity" in finding.text]
    assert ["mix" in finding.remedy for finding in misses] == [False]


def test_a_fish_of_brackish_water_in_fresh_water_is_looked_at_twice():
    found = judged(water_room(STOOD, FITS, stock("Poecilia velifera")))
    finding = one(found, "WATER-18")
    assert finding.severity is Severity.WARNING
    assert "600 µS/cm" in said(finding)
    salty = STOOD.replace("600 µS/cm", "9000 µS/cm")
    assert "WATER-18" not in codes(judged(water_room(salty, FITS, stock("Poecilia velifera"))))
    assert "WATER-18" not in codes(
        judged(water_room(STOOD, FITS, stock("Oryzias latipes")))
    )  # fresh or brackish


def test_a_stock_of_no_fish_is_compared_with_nothing():
    none = judged(water_room(STOOD, stock("Aphyosemion australe", count=0)))
    assert not {"WATER-10", "WATER-16", "WATER-17", "WATER-18"} & set(codes(none))
