"""What is said of oxygen: how sure it is over the band, its limit, a remedy in grams, the test that decides."""

from __future__ import annotations

import pytest

from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.checks.oxygen import EARLY_LIFE, SCREENING, check_oxygen
from tankwright.display import render_finding, sentence
from tankwright.finding import Finding, Severity
from tankwright.room.model import Room
from tankwright.systems.oxygen import solve_oxygen

from ..systems.oxygen_rooms import oxygen_room

AIR = dict.fromkeys(("A1", "A2", "A3", "A4"), 2.0e-5)


def stocked(tanks: str, grams: float, species: str = "Danio rerio") -> str:
    return f'[[stock]]\ntanks = "{tanks}"\nspecies = "{species}"\nmass = "{grams} g"\nfeed = "0.3 g/day"\n'


def judged(room: Room, air: dict[str, float] | None = None) -> list[Finding]:
    return list(check_oxygen(room, solve_oxygen(room, AIR if air is None else air)))


def codes(findings: list[Finding]) -> dict[str, Severity]:
    return {finding.code: finding.severity for finding in findings}


def said(finding: Finding) -> str:
    return " ".join(
        sentence(text, finding.numbers) for text in (finding.text, finding.reason, finding.remedy)
    )


def test_a_lightly_stocked_room_hears_nothing():
    assert judged(oxygen_room(stocked("A1..A4", 3.0))) == []


def test_trouble_over_the_whole_band_is_a_problem_with_the_mass_it_could_hold():
    found = judged(oxygen_room(stocked("A1..A4", 70.0)))
    assert codes(found)["OXYGEN-02"] is Severity.PROBLEM
    problem = next(one for one in found if one.code == "OXYGEN-02")
    assert problem.places == ("A1", "A2", "A3", "A4")
    assert problem.value is not None
    assert problem.limit is not None
    assert problem.value.value < problem.limit.value == 12 * 3600.0
    assert "which is to have" in said(problem) or "is to have 70 g" in said(problem)
    assert SCREENING in problem.reason
    assert "oxygen.still" in problem.rests_on


def test_between_sure_and_not_it_is_a_warning_and_at_the_low_end_the_drop_test_decides():
    by_mass = {grams: codes(judged(oxygen_room(stocked("A1..A4", grams)))) for grams in range(10, 200, 5)}
    met = [
        tuple((code, severity) for code, severity in found.items() if code in ("OXYGEN-02", "OXYGEN-06"))
        for found in by_mass.values()
    ]
    order = list(dict.fromkeys(met))
    assert order == [
        (), (("OXYGEN-06", Severity.WARNING),), (("OXYGEN-02", Severity.WARNING),), (("OXYGEN-02", Severity.PROBLEM),)
    ]  # fmt: skip
    perhaps = next(
        one
        for grams, found in by_mass.items() if "OXYGEN-06" in found
        for one in judged(oxygen_room(stocked("A1..A4", grams))) if one.code == "OXYGEN-06"
    )  # fmt: skip
    assert "oxygen drop test decides" in perhaps.text


def test_a_measured_surface_is_judged_without_a_perhaps():
    for grams in range(10, 200, 10):
        found = judged(oxygen_room(stocked("A1..A4", grams), assume='"oxygen.still" = "0.6 m/day"'))
        assert "OXYGEN-06" not in codes(found)
        assert all("oxygen.still" not in one.rests_on for one in found)


def test_within_the_absence_is_told_apart_from_before_the_next_look():
    found = [codes(judged(oxygen_room(stocked("A1..A4", grams)))) for grams in (20, 25, 30)]
    assert any(one.get("OXYGEN-03") is Severity.NOTE for one in found)


def test_a_tank_without_air_is_short_and_not_said_to_lose_any():
    found = judged(oxygen_room(stocked("A1..A4", 300.0)), {})
    assert codes(found)["OXYGEN-01"] is Severity.PROBLEM
    assert not {"OXYGEN-02", "OXYGEN-03", "OXYGEN-06"} & codes(found).keys()
    assert "give it air" in said(found[0])


def test_a_tank_with_little_oxygen_for_fry_is_a_note_with_its_limit():
    room = oxygen_room(stocked("A1..A4", 52.0), assume='"oxygen.stirred" = "2 m/day"')
    found = {one.code: one for one in judged(room)}
    note = found["OXYGEN-05"]
    assert note.severity is Severity.NOTE
    assert note.limit is not None
    assert note.limit.value == EARLY_LIFE == pytest.approx(5.0e-3)  # EPA 440/5-86-003: 5.0 mg/L


def test_a_tank_without_stock_is_not_computed_and_says_what_it_could_hold_on_which_assumptions():
    found = {one.code: one for one in judged(oxygen_room(stocked("A1", 3.0)))}
    missing = found["OXYGEN-04"]
    assert missing.severity is Severity.NOT_COMPUTED
    assert missing.places == ("A2", "A3", "A4")
    assert "if they weigh 1 g each" in said(missing)
    assert {"oxygen.still", "stock.each", "stock.feed_share"} <= set(missing.rests_on)


def test_a_plan_that_says_nothing_is_told_what_to_say():
    room = oxygen_room()
    silent = type(room)(title="", display="metric", spaces=room.spaces, racks=room.racks, tanks=room.tanks)
    found = judged(silent)
    assert codes(found) == {"OXYGEN-04": Severity.NOT_COMPUTED}
    assert "[[stock]]" in found[0].remedy


def test_fish_that_take_air_are_noted_only_where_a_tank_runs_short():
    few, many = (judged(oxygen_room(stocked("A1..A4", grams, "Corydoras aeneus"))) for grams in (3.0, 70.0))
    assert "OXYGEN-07" not in codes(few)
    assert codes(many)["OXYGEN-07"] is Severity.NOTE
    assert codes(many)["OXYGEN-02"] is Severity.PROBLEM


@pytest.mark.parametrize("grams", [3.0, 25.0, 60.0, 110.0, 300.0])
def test_every_number_is_worded_and_every_key_is_an_assumption(grams):
    for display in ("metric", "US"):
        for finding in [
            *judged(oxygen_room(stocked("A1..A2", grams))),
            *judged(oxygen_room(stocked("A1", grams)), {}),
        ]:
            shown = render_finding(finding, display)
            assert "{" not in shown
            assert "inf" not in shown.split()
            assert set(finding.rests_on) <= ASSUMPTIONS.keys()
            assert finding.remedy
            assert finding.reason
            assert "safe" not in shown
