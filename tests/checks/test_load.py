"""What the tool says of weights: it screens, names its source and never says that something holds."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tankwright.checks.load import FLOOR_VALUES, SCREENING, check_load
from tankwright.display import render_finding, sentence
from tankwright.finding import Finding, Severity
from tankwright.room.model import Room
from tankwright.systems.load import solve_load
from tankwright.units import convert

from ..systems.plain_rooms import make_room


def judged(room: Room) -> dict[str, Finding]:
    return {finding.code: finding for finding in check_load(room, solve_load(room))}


def said(finding: Finding) -> str:
    return sentence(finding.text, finding.numbers)


def test_a_good_room_hears_only_its_weight_and_its_heaviest_foot():
    findings = judged(make_room())
    assert set(findings) == {"LOAD-03", "LOAD-07"}
    assert {finding.severity for finding in findings.values()} == {Severity.NOTE}
    assert all(SCREENING in finding.reason for finding in findings.values())


@pytest.mark.parametrize(
    ("where", "psf"), [("sleeping rooms, US", 30), ("living rooms, US", 40), ("passenger garages, US", 50)]
)
def test_floor_values_are_the_printed_pounds_per_square_foot(where, psf):
    """IRC table R301.5: 30, 40 and 50 psf; printed as 1.44, 1.92 and (rounded up) 2.40 kPa."""
    value = next(one for one in FLOOR_VALUES if one.where == where)
    assert value.pressure == pytest.approx(psf * 47.880, rel=1e-6)
    assert round(value.pressure / 1000, 2) == pytest.approx({30: 1.44, 40: 1.92, 50: 2.39}[psf])


def test_floor_values_are_sorted_and_sourced():
    assert [one.pressure for one in FLOOR_VALUES] == sorted(one.pressure for one in FLOOR_VALUES)
    assert all(one.source for one in FLOOR_VALUES)


def test_a_timber_floor_is_sent_to_an_engineer():
    finding = judged(make_room(floor="timber"))["LOAD-02"]
    assert (finding.severity, finding.subject) == (Severity.WARNING, "rack A")
    assert "engineer" in finding.remedy
    assert "LOAD-01" not in judged(make_room(floor="timber"))  # spread over the whole floor it is light


def test_a_small_timber_room_full_of_water_is_a_problem():
    finding = judged(make_room(floor="timber", length="2 m", width="60 cm"))["LOAD-01"]
    assert finding.severity is Severity.PROBLEM
    assert finding.value is not None
    assert finding.limit is not None
    assert finding.value.value > finding.limit.value == pytest.approx(1915.2)


def test_a_floor_of_another_kind_is_treated_as_one_that_may_give():
    assert 'floor ("other")' in said(judged(make_room(floor="other"))["LOAD-02"])


def test_tiles_are_named():
    assert "Tiles crack" in judged(make_room(floor="tiles on slab"))["LOAD-03"].reason


@pytest.mark.parametrize(
    ("rating", "severity"), [("300 kg", None), ("113 kg", Severity.WARNING), ("90 kg", Severity.PROBLEM)]
)
def test_a_shelf_is_judged_by_its_makers_rating(rating, severity):
    load = solve_load(make_room()).shelves[0]
    assert 90 < load.total < 113 < load.brim < 300
    finding = judged(make_room(rack_kind=f'shelf_rating = "{rating}"')).get("LOAD-04")
    assert (finding.severity if finding else None) == severity


def test_without_a_rating_no_shelf_is_judged():
    finding = judged(make_room(rack_kind=""))["LOAD-05"]
    assert finding.severity is Severity.NOT_COMPUTED
    assert "no shelf was judged" in said(finding)


@pytest.mark.parametrize(
    ("top", "tied", "severity"),
    [
        (1.0, "tied_to_wall = false", Severity.NOTE),
        (1.0, "tied_to_wall = true", None),
        (2.5, "tied_to_wall = false", Severity.WARNING),  # 6.25 times the depth
        (2.5, "", Severity.WARNING),
        (3.3, "tied_to_wall = false", Severity.PROBLEM),  # 8.25 times
        (3.3, "tied_to_wall = true", None),
    ],
)
def test_slender_racks_are_tied(top, tied, severity):
    """ANSI/RMI MH16.1: above 6 anchor, above 8 tie together."""
    room = make_room(tied=tied)
    raised = tuple(
        replace(tank, box=replace(tank.box, z0=top, z1=top + 0.3)) if tank.shelf == 2 else tank
        for tank in room.tanks
    )
    finding = judged(replace(room, tanks=raised)).get("LOAD-06")
    assert (finding.severity if finding else None) == severity


def test_a_heavier_foot_than_a_garage_wheel_is_a_warning():
    room = make_room()
    heavy = tuple(replace(tank, substrate_mass=900.0) for tank in room.tanks)
    finding = judged(replace(room, tanks=heavy))["LOAD-03"]
    assert finding.severity is Severity.WARNING
    assert finding.limit is not None
    assert convert(finding.limit.value, "kg", "lb") == pytest.approx(2000.0)


def test_a_tank_on_no_rack_is_not_computed():
    finding = judged(replace(make_room(), racks=()))["LOAD-08"]
    assert finding.severity is Severity.NOT_COMPUTED


def test_the_weight_rests_on_what_was_assumed():
    finding = judged(make_room())["LOAD-07"]
    assert {"glass.density", "fittings.mass"} <= set(finding.rests_on)


@pytest.mark.parametrize("changes", [{}, {"floor": "timber", "tied": "", "rack_kind": ""}, {"tanks": ""}])
def test_no_finding_calls_anything_safe_and_all_can_be_shown(changes):
    room = make_room(**changes)
    for finding in check_load(room, solve_load(room)):
        shown = render_finding(finding, "test.toml")
        assert "{" not in shown
        assert "safe" not in shown
        assert "certified" not in shown
