"""What the tool says about the feed: each code when it must speak, and silence when all is well."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tankwright.checks.feed import check_feed
from tankwright.display import sentence
from tankwright.finding import Finding, Severity
from tankwright.room.model import ProgramRun, Room, ZonePlace
from tankwright.systems.feed import solve_feed

from ..systems.feed_rooms import carbon, make_feed, make_outlet, make_tanks


def judged(room: Room) -> dict[str, Finding]:
    return {finding.code: finding for finding in check_feed(room, solve_feed(room))}


GOOD = {"filters": (carbon(),), "outlet": {"gap": 0.03}}


def test_a_good_feed_has_no_problem_and_no_warning():
    found = judged(make_feed(make_tanks(8), regulated=1.5e5, **GOOD))
    assert {
        code for code, one in found.items() if one.severity in (Severity.PROBLEM, Severity.WARNING)
    } == set()
    assert found["FEED-11"].severity is Severity.NOT_COMPUTED


def test_outlets_below_the_rim_on_the_mains_are_a_problem_that_defers_to_the_authority():
    found = judged(make_feed(make_tanks(3), outlet={"gap": -0.02}))["FEED-05"]
    assert found.severity is Severity.PROBLEM
    assert "water authority" in found.remedy
    assert "no air gap" in found.text
    assert len(found.places) == 3


def test_a_gap_below_20_mm_is_a_warning_and_below_an_inch_a_note():
    assert judged(make_feed(make_tanks(3), outlet={"gap": 0.015}))["FEED-05"].severity is Severity.WARNING
    assert judged(make_feed(make_tanks(3), outlet={"gap": 0.022}))["FEED-05"].severity is Severity.NOTE
    assert "FEED-05" not in judged(make_feed(make_tanks(3), outlet={"gap": 0.0255}))


def test_weak_pressure_at_compensating_drippers_is_named():
    warned = judged(make_feed(make_tanks(3), vat=100, source_height=4.0))["FEED-02"]
    assert warned.severity is Severity.WARNING
    assert (
        judged(make_feed(make_tanks(3), vat=100, source_height=1.5))["FEED-02"].severity is Severity.PROBLEM
    )


def test_a_vat_below_the_outlets_is_a_problem():
    assert (
        judged(make_feed(make_tanks(3), vat=100, source_height=0.2))["FEED-03"].severity is Severity.PROBLEM
    )


def test_uneven_outlets_are_a_note_and_very_uneven_ones_a_warning():
    assert judged(make_feed(make_tanks(3), outlet={"variation": 0.1}))["FEED-01"].severity is Severity.NOTE
    assert judged(make_feed(make_tanks(3), outlet={"variation": 0.2}))["FEED-01"].severity is Severity.WARNING
    assert "FEED-01" not in judged(make_feed(make_tanks(3), outlet={"variation": 0.05}))
    assert judged(make_feed(make_tanks(3), outlet={"variation": 0.2}))["FEED-01"].rests_on == (
        "feed.variation",
    )


def test_a_peak_beyond_the_source_is_a_problem():
    found = judged(
        make_feed(make_tanks(12), outlet={"kind": "tap", "rate": 600.0, "at_pressure": 0.2e5}, bore=0.03)
    )
    assert found["FEED-04"].severity is Severity.PROBLEM
    assert "FEED-04" not in judged(make_feed(make_tanks(12)))


def test_the_naive_weekly_number_stands_beside_the_true_one():
    found = judged(make_feed(make_tanks(3)))["FEED-07"]
    numbers = dict(found.numbers)
    assert numbers["naive"].value > numbers["real"].value
    assert found.severity is Severity.NOTE


def test_a_vat_too_small_for_a_day_is_a_problem_and_for_an_absence_a_warning():
    high = {"source_height": 12.0}
    assert judged(make_feed(make_tanks(3), vat=10, **high))["FEED-09"].severity is Severity.PROBLEM
    assert judged(make_feed(make_tanks(3), vat=20, **high))["FEED-09"].severity is Severity.WARNING
    assert "FEED-09" not in judged(make_feed(make_tanks(3), vat=40, **high))


def test_a_feed_that_cannot_be_solved_never_looks_fine():
    found = judged(make_feed(make_tanks(2), vat=100, pump="nobody"))
    assert set(found) == {"FEED-10"}
    assert found["FEED-10"].severity is Severity.NOT_COMPUTED


def test_tap_water_of_which_the_plan_says_nothing_is_named_as_not_computed():
    assert "no carbon filter" in judged(make_feed(make_tanks(2)))["FEED-11"].text
    assert "FEED-11" not in judged(make_feed(make_tanks(2), vat=100, source_height=2.0))


def test_a_fed_tank_without_an_overflow_is_a_problem_with_its_time():
    tanks = make_tanks(2)
    room = make_feed((tanks[0], replace(tanks[1], overflow=None)))
    found = judged(room)["FEED-12"]
    assert found.severity is Severity.PROBLEM
    assert found.places == ("A1",)
    assert dict(found.numbers)["time"].value > 3600


def test_a_feed_without_a_program_says_that_litres_are_not_computed():
    assert judged(make_feed(make_tanks(2), programs=()))["FEED-13"].severity is Severity.NOT_COMPUTED


def test_a_quarantine_on_the_same_feed_is_told():
    tanks = make_tanks(2)
    sick = replace(tanks[1], zone="quarantine")
    dry = replace(make_feed((tanks[0], sick)), zones=(ZonePlace(id="quarantine", quarantine=True),))
    wet = replace(make_feed((tanks[0], sick), outlet={"gap": -0.1}), zones=dry.zones)
    assert judged(dry)["FEED-14"].severity is Severity.WARNING
    assert judged(wet)["FEED-14"].severity is Severity.PROBLEM


def test_a_curve_used_beyond_its_points_is_marked():
    assert "extrapolated" in judged(make_feed(make_tanks(2), vat=100, pump="vat pump"))["FEED-15"].text


def test_tanks_that_can_drain_back_are_a_problem_with_litres():
    high, low = make_tanks(1, base=1.5)[0], replace(make_tanks(1, base=0.3)[0], id="low")
    room = make_feed((high, low), manifold=2.0, source_height=2.0)
    outlets = (
        make_outlet(0, high, "m0", gap=-0.15, kind="small tube", bore=0.004, length=1.0),
        make_outlet(1, low, "m1"),
    )
    found = judged(replace(room, feeds=(replace(room.feeds[0], outlets=outlets),)))["FEED-06"]
    assert found.severity is Severity.PROBLEM
    assert "tank low" in found.text
    assert {"volume", "flow", "all"} <= dict(found.numbers).keys()


def test_tanks_left_to_the_bucket_are_a_note():
    room = make_feed(make_tanks(2))
    more = replace(room, tanks=(*room.tanks, replace(room.tanks[0], id="B1")))
    assert judged(more)["FEED-08"].places == ("B1",)


def test_every_number_named_in_a_text_is_there():
    rooms = [
        make_feed(make_tanks(3), outlet={"gap": -0.15}, source_height=0.2),
        make_feed(make_tanks(3), vat=10, source_height=3.0, outlet={"gap": 0.01, "variation": 0.3}),
        make_feed(make_tanks(3), programs=(ProgramRun(start=0.0, duration=80000.0, runs_a_week=7),)),
    ]
    for room in rooms:
        for finding in check_feed(room, solve_feed(room)):
            for text in (finding.text, finding.remedy, finding.reason):
                assert "{" not in sentence(text, finding.numbers), (finding.code, text)
            assert finding.reason
            assert finding.remedy


def test_small_tubes_from_a_vat_that_give_unevenly_are_told():
    # three shelves 60 cm apart under one vat: the top outlet has a tenth of the lowest one's head
    tanks = tuple(make_tanks(1, base=base)[0] for base in (0.3, 0.9, 1.5))
    tanks = tuple(replace(tank, id=f"A{i}") for i, tank in enumerate(tanks))
    tube = {"kind": "small tube", "bore": 0.002, "length": 1.0}
    room = make_feed(tanks, vat=200, source_height=2.0, outlet=tube)
    run = solve_feed(room).runs[0]
    flows = [outlet.flow for outlet in run.outlets]
    # minimum over mean, less 1.27 times the spread of making (ASABE EP405.1)
    assert run.uniformity == pytest.approx((1 - 1.27 * 0.05) * min(flows) / (sum(flows) / 3), rel=1e-9)
    assert judged(room)["FEED-01"].severity is Severity.WARNING


def test_a_tap_whose_flow_nobody_measured_is_never_taken_as_enough_in_silence():
    found = judged(make_feed(make_tanks(3), most=None))
    assert found["FEED-16"].severity is Severity.NOT_COMPUTED
    assert "FEED-04" not in found
    assert "FEED-16" not in judged(make_feed(make_tanks(3)))
    assert "FEED-16" not in judged(make_feed(make_tanks(3), vat=100, source_height=2.0))
