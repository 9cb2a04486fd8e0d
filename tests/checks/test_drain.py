"""What is said about a drain: each finding where it belongs, silence where all is well."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest

from tankwright.checks.drain import LEAST_FALLS, check_drain
from tankwright.finding import Severity
from tankwright.origin import Known, Origin
from tankwright.room.model import SecondOverflow, ZonePlace
from tankwright.systems.drain import solve_drain

from ..systems.drain_rooms import (
    LITRE_PER_HOUR,
    LITRE_PER_MINUTE,
    given,
    hose_left_in,
    make_feed,
    make_room,
    make_run,
    make_tank,
    pulled,
    with_events,
)

STEEP = make_run(4, bore=0.0525, fall=1 / 40, top=0.3)
WELL = make_room(4, run=STEEP)


def say(room, flow=4 * LITRE_PER_HOUR, between=0.0):
    inflows = {tank.id: flow for tank in room.tanks}
    result = solve_drain(room, inflows, {tank.id: between for tank in room.tanks})
    return {finding.code: finding for finding in check_drain(room, result)}


def severities(found):
    return {code: finding.severity for code, finding in found.items()}


def test_a_well_laid_drain_has_neither_problem_nor_warning():
    found = say(WELL)
    assert set(severities(found).values()) == {Severity.NOTE}
    assert "DRAIN-35" in found  # how far it is from the first spill is always told


def test_every_finding_names_its_numbers_and_says_what_to_do():
    rooms = [
        with_events(WELL, hose_left_in("T2", 13 * LITRE_PER_MINUTE), pulled("T1")),
        make_room(4, run=make_run(4, fall=0.002, bore=0.02, vented=False), to="sewer", capacity=1e-6),
        make_room(1, tanks=(make_tank("T1", x=0, node=None),)),
    ]
    seen = 0
    for room in rooms:
        for flow in (4 * LITRE_PER_HOUR, 8 * LITRE_PER_MINUTE):
            for finding in say(room, flow, between=0.1).values():
                names = {name for name, _ in finding.numbers}
                assert set(re.findall(r"\{(\w+)\}", finding.text)) <= names
                assert finding.reason
                assert finding.remedy
                assert all(math.isfinite(number.value) for _, number in finding.numbers)
                seen += 1
    assert seen > 20


def test_a_fed_tank_without_overflow_is_a_problem_with_its_litres():
    finding = say(make_room(1, tanks=(make_tank("T1", x=0, node=None),)))["DRAIN-02"]
    assert finding.severity is Severity.PROBLEM
    assert dict(finding.numbers)["volume"].value == pytest.approx(5.4e-3)


def test_an_overflow_onto_the_floor_is_a_problem():
    tank = replace(WELL.tanks[0], hose=None)
    assert say(replace(WELL, tanks=(tank, *WELL.tanks[1:])))["DRAIN-01"].places == ("T1",)


def test_a_drain_above_the_lip_and_a_hose_that_has_to_rise():
    lip = make_tank("T1", x=0, node="main.1", base=0.3).overflow.lip
    high = make_room(1, run=make_run(1, top=lip), tanks=(make_tank("T1", x=0, node="main.1", base=0.3),))
    found = say(high)
    assert found["DRAIN-03"].severity is Severity.PROBLEM
    rise = make_room(
        1,
        run=make_run(1, top=lip - 0.06),
        tanks=(make_tank("T1", x=0, node="main.1", base=0.3, end=lip - 0.06),),
    )
    found = say(rise)
    assert "DRAIN-03" not in found
    assert found["DRAIN-04"].severity is Severity.WARNING
    assert found["DRAIN-04"].numbers[0][1].value == pytest.approx(0.014)  # 34 mm reach, 20 mm under the lip


def test_feed_beyond_the_mouth_is_a_problem_and_near_it_a_warning():
    small = make_room(
        1, run=make_run(1, bore=0.0525), tanks=(make_tank("T1", x=0, node="main.1", bore=0.012),)
    )
    assert say(small, 6 * LITRE_PER_MINUTE)["DRAIN-05"].severity is Severity.PROBLEM
    near = say(small, 2.8 * LITRE_PER_MINUTE)
    assert "DRAIN-05" not in near
    assert near["DRAIN-06"].severity is Severity.WARNING


def test_a_trickle_is_told_to_stand_by_surface_tension():
    assert "DRAIN-07" in say(WELL)
    assert "DRAIN-07" not in say(WELL, 2 * LITRE_PER_MINUTE)


def test_a_blocked_overflow_that_spills_unseen_is_a_warning_with_its_run():
    room = make_room(
        1, run=make_run(1, bore=0.0525, fall=1 / 40), feed=make_feed(("T1",)), absence=60 * 3600.0
    )
    seen = say(room, between=4e-3)
    assert "DRAIN-08" not in seen
    assert seen["DRAIN-09"].severity is Severity.NOTE
    finding = say(room, between=8e-3)["DRAIN-08"]
    assert finding.severity is Severity.WARNING
    assert dict(finding.numbers)["run"].value == 2
    assert dict(finding.numbers)["time"].value == pytest.approx(81 * 60)


def test_a_loud_hose_is_noted():
    # 13 mm: quiet to 0.85 L/min (P. D. Hills, limit 0.3)
    assert "DRAIN-10" not in say(WELL, 0.84 * LITRE_PER_MINUTE)
    finding = say(WELL, 0.87 * LITRE_PER_MINUTE)["DRAIN-10"]
    assert round(finding.limit.value * 60000, 2) == 0.85


def test_a_run_that_rises_or_lies_level_is_a_problem():
    for fall in (-0.01, 0.0):
        finding = say(make_room(4, run=make_run(4, fall=fall)))["DRAIN-20"]
        assert finding.severity is Severity.PROBLEM
        assert finding.value.value == pytest.approx(fall)


def test_least_falls_are_those_of_the_table():
    # 1/4, 1/8 and 1/16 in/ft up to 2 1/2, 3 to 6 and from 8 in: IPC table 704.1 as in the Chicago Plumbing Code
    assert [round(fall * 100, 2) for _, fall in LEAST_FALLS] == [2.08, 1.04, 0.52]
    assert "DRAIN-21" not in say(make_room(4, run=make_run(4, fall=0.0209, bore=0.0525)))
    assert say(make_room(4, run=make_run(4, fall=0.015, bore=0.0525)))["DRAIN-21"].severity is Severity.NOTE
    assert say(make_room(4, run=make_run(4, fall=0.01, bore=0.0525)))["DRAIN-21"].severity is Severity.WARNING
    assert "DRAIN-21" not in say(make_room(4, run=make_run(4, fall=0.0105, bore=0.084)))


def test_an_outfall_above_the_run_and_one_above_a_lip():
    run = make_run(4)
    assert say(make_room(4, run=run, outfall_height=0.3))["DRAIN-22"].severity is Severity.PROBLEM
    found = say(make_room(4, run=run, outfall_height=1.4))
    assert found["DRAIN-23"].severity is Severity.PROBLEM
    assert "DRAIN-22" not in found
    assert "DRAIN-25" in found  # above the rims: what comes in runs over them
    assert "DRAIN-28" in say(make_room(4, run=run, outfall_height=1.24))  # between lip and rim: it runs in


def test_the_feed_may_fill_half_the_pipe_and_no_more():
    run = make_run(4, bore=0.036, fall=0.02)  # half full it carries 20.8 L/min
    wide = tuple(
        make_tank(f"T{i + 1}", x=2.0 * i, node=f"main.{i + 1}", bore=0.032, hose_bore=0.02) for i in range(4)
    )
    room = make_room(4, run=run, tanks=wide)
    assert "DRAIN-24" not in say(room, 5.1 * LITRE_PER_MINUTE)
    assert say(room, 5.5 * LITRE_PER_MINUTE)["DRAIN-24"].severity is Severity.WARNING
    assert say(room, 10.3 * LITRE_PER_MINUTE)["DRAIN-24"].severity is Severity.PROBLEM
    assert say(room, 12.0 * LITRE_PER_MINUTE)["DRAIN-24"].severity is Severity.PROBLEM


def test_a_forgotten_hose_is_a_problem_only_when_the_overflow_cannot_take_it():
    assert "DRAIN-26" not in say(with_events(WELL, hose_left_in("T2", 4 * LITRE_PER_MINUTE)))
    finding = say(with_events(WELL, hose_left_in("T2", 13 * LITRE_PER_MINUTE)))["DRAIN-26"]
    assert finding.severity is Severity.PROBLEM
    assert finding.places == ("T2", "main")


def test_a_drain_that_backs_up_over_a_rim_is_a_problem():
    low = (
        make_tank("T1", x=0, node="main.1", base=0.9, bore=0.032, hose_bore=0.025),
        make_tank("T2", x=2, node="main.2", base=0.0, bore=0.032, hose_bore=0.025),
    )
    run = make_run(2, spacing=10.0, bore=0.021, fall=0.003, top=0.2)
    found = say(with_events(make_room(2, run=run, tanks=low), pulled("T1")))
    assert found["DRAIN-25"].severity is Severity.PROBLEM
    assert "T2" in found["DRAIN-25"].places
    assert found["DRAIN-27"].severity is Severity.WARNING
    assert dict(found["DRAIN-34"].numbers)["peak"].value > 0


def test_a_vent_is_asked_for_and_its_absence_warned_of():
    assert "DRAIN-29" not in say(WELL)
    unsaid = replace(WELL, drains=(replace(STEEP, vented=None),))
    assert say(unsaid)["DRAIN-29"].severity is Severity.NOTE
    shut = replace(WELL, drains=(replace(STEEP, vented=False),))
    assert say(shut)["DRAIN-29"].severity is Severity.WARNING


def test_an_outfall_that_takes_too_little():
    feed = 16 * LITRE_PER_HOUR
    assert "DRAIN-30" not in say(make_room(4, run=STEEP, capacity=feed * 1.01))
    assert say(make_room(4, run=STEEP, capacity=feed * 0.99))["DRAIN-30"].severity is Severity.PROBLEM
    dumped = with_events(make_room(4, run=STEEP, capacity=feed * 1.01), hose_left_in("T1", 1e-4))
    assert say(dumped)["DRAIN-30"].severity is Severity.WARNING


@pytest.mark.parametrize(
    ("words", "severity"),
    [
        ("sewer, trapped", None),
        ("garden", None),
        ("sewer", Severity.WARNING),
        ("sewer, untrapped", Severity.WARNING),
        ("Sewer, no trap", Severity.WARNING),
        ("not said", Severity.NOTE),
    ],
)
def test_a_sewer_wants_a_trap(words, severity):
    finding = say(make_room(4, run=STEEP, to=words)).get("DRAIN-31")
    assert (finding.severity if finding else None) is severity


def test_a_quarantine_that_shares_a_drain_is_found_and_one_alone_is_not():
    zones = (ZonePlace(id="main", quarantine=False), ZonePlace(id="sick", quarantine=True))
    tanks = (replace(WELL.tanks[0], zone="sick"), *WELL.tanks[1:])
    shared = replace(WELL, zones=zones, tanks=tanks)
    assert say(shared)["DRAIN-32"].severity is Severity.WARNING
    alone = replace(WELL, zones=zones, tanks=tuple(replace(tank, zone="sick") for tank in WELL.tanks))
    assert "DRAIN-32" not in say(alone)
    assert "DRAIN-32" not in say(replace(WELL, zones=zones))


def test_slow_water_is_noted():
    assert dict(say(WELL)["DRAIN-33"].numbers)["speed"].value < 0.6
    fast = say(make_room(4, run=make_run(4, bore=0.0525, fall=0.1, top=1.0)), 5 * LITRE_PER_MINUTE)
    assert "DRAIN-33" not in fast


def test_what_could_not_be_computed_is_said_and_never_silent():
    broken = replace(WELL, drains=(replace(STEEP, bore=given(0.0)),))
    finding = say(broken)["DRAIN-90"]
    assert finding.severity is Severity.NOT_COMPUTED
    assert "drain main" in finding.subject


def test_many_tanks_make_one_finding():
    room = make_room(30, run=make_run(30, spacing=0.4, bore=0.0525, fall=1 / 40, top=0.5))
    result = solve_drain(room, {tank.id: 1e-6 for tank in room.tanks}, {tank.id: 1.0 for tank in room.tanks})
    blocked = [one for one in check_drain(room, result) if one.code == "DRAIN-08"]
    assert len(blocked) == 1
    assert len(blocked[0].places) == 30


def test_a_blocked_overflow_rests_on_the_level_and_the_feed_and_on_no_hose():
    room = make_room(
        1, run=make_run(1, bore=0.0525, fall=1 / 40), feed=make_feed(("T1",)), absence=60 * 3600.0
    )
    tank = room.tanks[0]
    assert tank.hose is not None
    guessed = Known(1.2, Origin.ASSUMED, key="hose.slack", band=(1.05, 1.6))
    level = Known(
        tank.level, Origin.ASSUMED, key="water.below_rim", band=(tank.level - 0.01, tank.level + 0.01)
    )
    room = replace(
        room, tanks=(replace(tank, hose=replace(tank.hose, length=guessed), level_known=level),), looks=()
    )
    finding = say(room, between=8e-3)["DRAIN-08"]
    assert finding.rests_on == ("water.below_rim",)
    assert "in a day (the plan says no time when someone looks)" in finding.text


def test_a_tank_that_fills_over_its_rim_is_not_told_again_how_little_fits_under_it():
    room = make_room(
        1, run=make_run(1, bore=0.0525, fall=1 / 40), feed=make_feed(("T1",)), absence=60 * 3600.0
    )
    over = replace(room.tanks[0], freeboard=-0.01, freeboard_volume=-1.7e-3)
    found = say(replace(room, tanks=(over,)), between=2e-3)
    assert not {"DRAIN-08", "DRAIN-09"} & set(found)


def test_a_drain_that_runs_in_the_floor_is_noted_and_its_last_drop_is_not():
    # falls 1:100 over 8 m: the bottom passes the floor (less 1 mm nobody can lay) after 3.1 m and 7.6 m
    sunk = say(make_room(4, run=make_run(4, bore=0.0525, fall=0.01, top=0.03)))["DRAIN-37"]
    assert sunk.severity is Severity.NOTE
    assert dict(sunk.numbers)["length"].value == pytest.approx(4.9)
    assert dict(sunk.numbers)["depth"].value == pytest.approx(0.05)
    assert "DRAIN-37" not in say(make_room(4, run=make_run(4, bore=0.0525, fall=0.01, top=0.075)))


@pytest.mark.parametrize(
    "also",
    [
        {"second_overflow": SecondOverflow(lip=1.24, bore=given(0.016), to="own hose")},
        {"second_overflow": SecondOverflow(lip=1.24, bore=given(0.016), to="drain")},
        {"float_cutoff": given(0.02)},
    ],
)
def test_a_tank_with_a_second_way_out_does_not_run_over_when_the_first_is_blocked(also):
    plain = make_room(
        1, run=make_run(1, bore=0.0525, fall=1 / 40), feed=make_feed(("T1",)), absence=60 * 3600.0
    )
    room = replace(plain, tanks=(replace(plain.tanks[0], **also),))
    for between in (4e-3, 8e-3, 1.0):
        assert {"DRAIN-08", "DRAIN-09"} & set(say(plain, between=between))
        assert not {"DRAIN-08", "DRAIN-09"} & set(say(room, between=between))


@pytest.mark.parametrize(
    ("also", "why"),
    [
        ({"second_overflow": SecondOverflow(lip=1.24, bore=given(0.016), to="floor")}, "onto the floor"),
        ({"second_overflow": SecondOverflow(lip=1.259, bore=given(0.002), to="own hose")}, "takes {second}"),
        ({"second_overflow": SecondOverflow(lip=1.24, bore=given(1e-4), to="own hose")}, "leads nowhere"),
        ({"float_cutoff": given(0.04)}, "in run {run}"),
    ],
)
def test_a_second_way_out_that_does_not_hold_is_not_counted_and_the_reason_is_told(also, why):
    plain = make_room(1, run=make_run(1, bore=0.0525, fall=1 / 40), feed=make_feed(("T1",)))
    room = replace(plain, tanks=(replace(plain.tanks[0], **also),))
    finding = say(room, between=8e-3)["DRAIN-08"]
    assert why in finding.text
    assert "float_cutoff" in finding.remedy


def test_the_remedy_of_a_blocked_overflow_names_the_second_way_out():
    room = make_room(1, run=make_run(1, bore=0.0525, fall=1 / 40), feed=make_feed(("T1",)))
    remedy = say(room, between=8e-3)["DRAIN-08"].remedy
    assert "`second_overflow`" in remedy
    assert "`float_cutoff`" in remedy
