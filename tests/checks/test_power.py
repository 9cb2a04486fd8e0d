"""What the tool says of the mains: each code when it must speak, always with the caution."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tankwright.checks.power import check_power
from tankwright.display import render_finding, sentence
from tankwright.finding import Finding, Severity
from tankwright.room.model import PumpPlace, Room, ZonePlace
from tankwright.systems.power import solve_power

from ..systems.plain_rooms import given, make_board, make_circuit, make_load, make_room, powered, with_tank

AIR = make_load("air pump", 71.0, does="air", hours=24.0, serves=("A1", "A2"))
HEAT = make_load("heater", 50.0, does="heat", hours=8.0, serves=("A1",))
THREE = (make_circuit("life"), make_circuit("heat"), make_circuit("light"))


def judged(room: Room) -> dict[str, Finding]:
    return {finding.code: finding for finding in check_power(room, solve_power(room))}


def said(finding: Finding) -> str:
    return sentence(finding.text, finding.numbers)


def test_a_six_outlet_board_of_lights_and_air_apart_hears_only_the_caution():
    """A six-outlet board per rack is common practice."""
    room = powered(
        make_board("A lights", make_load(count=6), circuit="light", switched=True),
        make_board("air", AIR),
        circuits=THREE,
    )
    findings = judged(room)
    assert set(findings) == {"POWER-14"}
    assert "licensed electrician" in findings["POWER-14"].remedy


def test_a_plan_without_power_is_not_computed():
    findings = judged(make_room())
    assert set(findings) == {"POWER-16"}
    assert findings["POWER-16"].severity is Severity.NOT_COMPUTED


def test_a_board_over_its_rating_is_a_problem():
    finding = judged(
        powered(make_board("a", make_load(power=2400.0)), circuits=(make_circuit("life", 16.0),))
    )
    assert finding["POWER-01"].severity is Severity.PROBLEM
    assert said(finding["POWER-01"]) == "draws 10.4 A (2.4 kW) with everything on, above its rating of 10 A"
    assert "POWER-02" not in finding


def test_a_circuit_over_its_breaker_is_a_problem():
    boards = (make_board("a", make_load(power=1500.0)), make_board("b", make_load(power=1500.0)))
    findings = judged(powered(*boards))
    assert findings["POWER-02"].subject == "circuit life"
    assert "POWER-01" not in findings


@pytest.mark.parametrize(
    ("watts", "hours", "speaks"), [(1841.0, 3.0, True), (1839.0, 3.0, False), (1841.0, 2.0, False)]
)
def test_eighty_per_cent_is_kept_for_loads_of_hours(watts, hours, speaks):
    findings = judged(powered(make_board("a", make_load(power=watts, hours=hours))))
    assert ("POWER-03" in findings) is speaks


def test_more_plugs_than_outlets_is_a_problem():
    finding = judged(powered(make_board("a", make_load(count=7))))["POWER-04"]
    assert (finding.severity, said(finding)) == (Severity.PROBLEM, "has 6 outlets for 7 plugs")


def test_a_heater_on_a_board_is_a_warning():
    finding = judged(powered(make_board("a", HEAT)))["POWER-05"]
    assert finding.severity is Severity.WARNING
    assert "regulators" in finding.source


def test_a_heater_on_sockets_fixed_to_the_wall_is_no_warning():
    loose, wall = make_board("a", HEAT), replace(make_board("b", HEAT), fixed=True)
    assert "POWER-05" not in judged(powered(wall))
    assert judged(powered(loose, wall))["POWER-05"].places == ("a",)


def test_air_and_heat_on_one_device_is_a_problem_when_it_is_all_the_air():
    findings = judged(powered(make_board("a", AIR, HEAT)))
    assert findings["POWER-06"].severity is Severity.PROBLEM
    assert findings["POWER-06"].places == ("A1", "A2")
    assert findings["POWER-07"].severity is Severity.WARNING


def test_air_and_heat_on_one_device_is_a_warning_when_there_is_other_air():
    boards = (make_board("a", AIR, HEAT), make_board("b", AIR, circuit="light"))
    findings = judged(powered(*boards, circuits=THREE))
    assert findings["POWER-06"].severity is Severity.WARNING
    assert "POWER-07" not in findings


def test_circuits_behind_one_device_go_off_together():
    circuits = (make_circuit("life", device="one"), make_circuit("heat", device="one"))
    boards = (make_board("a", AIR), make_board("h", HEAT, circuit="heat"))
    assert "POWER-06" in judged(powered(*boards, circuits=circuits))
    assert "POWER-06" not in judged(powered(*boards, circuits=THREE))


@pytest.mark.parametrize(
    ("rcd", "code"), [(None, "POWER-08"), (0.1, "POWER-09"), (0.030, None), (0.006, None)]
)
def test_a_residual_current_device_of_thirty_milliamperes(rcd, code):
    """BS 7671 411.3.3 and AS/NZS 3000: 30 mA for sockets up to 32 A; a GFCI of 6 mA is better still (UL 943)."""
    findings = judged(powered(make_board("a", AIR), circuits=(make_circuit("life", rcd=rcd),)))
    spoken = set(findings) & {"POWER-08", "POWER-09"}
    assert spoken == ({code} if code else set())
    assert all(findings[one].severity is Severity.PROBLEM for one in spoken)


@pytest.mark.parametrize(
    ("loop", "severity"), [(None, Severity.WARNING), (False, Severity.PROBLEM), (True, Severity.NOTE)]
)
def test_sockets_below_the_water_need_drip_loops(loop, severity):
    finding = judged(powered(make_board("a", AIR, height=given(1.0), drip_loop=loop)))["POWER-10"]
    assert finding.severity is severity
    assert "tank A4" in said(finding)


def test_sockets_above_the_water_are_not_mentioned_and_those_nowhere_not_judged():
    assert "POWER-10" not in judged(powered(make_board("a", AIR, height=given(1.3))))
    assert judged(powered(make_board("a", AIR, rack=None)))["POWER-15"].severity is Severity.NOT_COMPUTED


def test_a_light_timer_does_not_carry_the_air():
    finding = judged(powered(make_board("a", make_load(), AIR, switched=True)))["POWER-11"]
    assert (finding.severity, "off with the air" in said(finding)) == (Severity.PROBLEM, True)
    assert judged(powered(make_board("a", HEAT, switched=True)))["POWER-11"].severity is Severity.WARNING
    assert "POWER-11" not in judged(powered(make_board("a", make_load(), switched=True)))


def test_a_pump_on_no_board_is_not_computed():
    pump = PumpPlace(
        id="piston", place=None, height=given(2.0), curve=((0.0, 0.001),), lowest_pressure=None,
        highest_pressure=None, power=given(71.0), reserve=False, line=9,
    )  # fmt: skip
    room = replace(powered(make_board("a", make_load())), pumps=(pump,))
    finding = judged(room)["POWER-12"]
    assert (finding.severity, finding.line) == (Severity.NOT_COMPUTED, 9)
    assert "POWER-12" not in judged(replace(room, pumps=(replace(pump, reserve=True),)))


def test_a_board_shared_with_quarantine_is_a_note_and_shared_air_is_left_to_the_air():
    zones = (ZonePlace(id="main", quarantine=False), ZonePlace(id="sick", quarantine=True))
    room = with_tank(replace(powered(make_board("a", make_load())), zones=zones), "A1", zone="sick")
    assert judged(room)["POWER-13"].places == ("A1",)
    air = with_tank(replace(powered(make_board("a", AIR)), zones=zones), "A1", zone="sick")
    assert "POWER-13" not in judged(air)


@pytest.mark.parametrize(("lamps", "speaks"), [(15, False), (16, True)])
def test_many_lamps_on_one_switch_are_a_note(lamps, speaks):
    board = make_board("a", make_load(power=10.0, count=lamps), outlets=20, switched=True)
    assert ("POWER-17" in judged(powered(board))) is speaks


def test_every_finding_carries_the_caution_and_none_calls_a_wiring_good():
    boards = (
        make_board("a", AIR, HEAT, make_load(power=2500.0, count=8), switched=True, height=given(0.2)),
        make_board("b", make_load(), circuit="nowhere", rack=None),
    )
    room = powered(*boards, circuits=(make_circuit("life", rcd=None), make_circuit("x", rcd=0.3)))
    findings = check_power(room, solve_power(room))
    assert {"POWER-01", "POWER-02", "POWER-04", "POWER-05", "POWER-06", "POWER-08", "POWER-09", "POWER-10",
            "POWER-11", "POWER-14", "POWER-15", "POWER-16"} <= {finding.code for finding in findings}  # fmt: skip
    for finding in findings:
        shown = render_finding(finding, "test.toml")
        assert "{current}" not in shown
        assert "ains near water" in finding.reason
        assert "safe" not in shown
