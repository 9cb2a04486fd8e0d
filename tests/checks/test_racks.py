"""What is said of racks and of the floor under them: a screening, never that something holds."""

from __future__ import annotations

import re
from collections import defaultdict

import pytest

from tankwright.checks.load import check_load
from tankwright.checks.racks import NEAR, SCREENING, check_racks
from tankwright.display import render_finding, sentence
from tankwright.finding import Finding, Severity
from tankwright.systems.load import solve_load

from ..systems.rack_rooms import TIMBER, rack_room, solved

WEAK = TIMBER.replace('bearers = "50x100 C24"', 'bearers = "45x70 C24"')
LOOSE = TIMBER.replace(', brace = "9 mm plywood"', "")


def judged(mass: float = 60.0, **changes: str) -> dict[str, list[Finding]]:
    room = rack_room(**changes)
    found: dict[str, list[Finding]] = defaultdict(list)
    for finding in check_racks(room, solved(room, **{tank.id: mass for tank in room.tanks})):
        found[finding.code].append(finding)
    return dict(found)


def said(finding: Finding) -> str:
    return sentence(finding.text, finding.numbers)


def test_a_light_rack_hears_only_what_it_uses_and_that_its_joints_are_open():
    found = judged(mass=40.0)
    assert set(found) == {"RACKS-08", "RACKS-09"}
    note = found["RACKS-09"][0]
    assert note.severity is Severity.NOTE
    assert note.value.value < NEAR
    assert SCREENING in note.reason


def test_a_note_of_what_is_used_rests_on_the_damp_nobody_said():
    found = judged(built=TIMBER.replace(" service_class = 2", "").replace(",}", " }").replace(", }", " }"))
    assert "racks.service_class" in found["RACKS-09"][0].rests_on
    assert "racks.service_class" not in judged()["RACKS-09"][0].rests_on


def test_bearers_that_are_asked_too_much_are_a_problem_and_hear_which_section_would_do():
    (finding,) = judged(mass=200.0, built=WEAK)["RACKS-01"]
    assert (finding.severity, finding.subject, finding.places) == (Severity.PROBLEM, "rack A", ("A",))
    assert finding.value.value > finding.limit.value
    assert re.search(r"of the usual sizes 45x\d+ C24 is the smallest", finding.remedy)
    mended = re.search(r"45x\d+ C24", finding.remedy).group()
    again = judged(mass=200.0, built=WEAK.replace("45x70 C24", mended))
    assert not [one for one in again.get("RACKS-01", []) if one.severity is Severity.PROBLEM]
    assert "RACKS-03" not in again


def test_where_no_usual_section_would_do_that_is_said():
    (finding,) = judged(mass=5000.0, built=WEAK)["RACKS-01"]
    assert finding.remedy.startswith("none of the usual sizes")


def test_bearers_near_what_they_may_bear_are_a_warning():
    masses = [one for one in range(40, 400, 4) if _share(one) > NEAR]
    assert _share(masses[0]) < 1.0
    (finding,) = judged(mass=masses[0], built=WEAK)["RACKS-01"]
    assert finding.severity is Severity.WARNING


def _share(mass: float) -> float:
    room = rack_room(built=WEAK)
    strength = solved(room, A1=float(mass), A2=float(mass)).racks[0]
    return max(
        use.share
        for beam in strength.beams
        for use in beam.uses
        if beam.part == "bearer" and use.check != "sag"
    )


def test_a_sag_past_its_share_of_the_span_is_a_warning_that_names_both_times():
    (finding,) = judged(mass=120.0, built=WEAK)["RACKS-03"]
    assert finding.severity is Severity.WARNING
    numbers = dict(finding.numbers)
    assert numbers["later"].value == pytest.approx(1.8 * numbers["now"].value)
    assert "racks.sag_share" in finding.rests_on


def test_a_thin_board_is_named_apart_from_the_bearers():
    (finding,) = judged(mass=150.0, built=TIMBER.replace("18 mm plywood", "4 mm plywood"))["RACKS-02"]
    assert "boards of plywood 4 mm" in said(finding)


def test_uprights_too_slender_are_a_problem():
    thin = TIMBER.replace('uprights = "50x100 C24"', 'uprights = "20x20 C24"')
    (finding,) = judged(mass=200.0, built=thin, shelves='["140 cm"]')["RACKS-04"]
    assert finding.severity is Severity.PROBLEM
    assert "before they buckle" in said(finding)


def test_a_frame_nothing_holds_is_a_problem_and_one_of_which_nothing_is_said_a_warning():
    (sure,) = judged(built=LOOSE, tied="tied_to_wall = false")["RACKS-05"]
    (unsure,) = judged(built=LOOSE, tied="")["RACKS-05"]
    assert (sure.severity, unsure.severity) == (Severity.PROBLEM, Severity.WARNING)
    assert "RACKS-05" not in judged(built=LOOSE)
    assert "RACKS-05" not in judged(built='made_of = "bought steel shelving"', tied="tied_to_wall = false")


def test_water_lines_that_leave_the_rim_are_told():
    (finding,) = judged(mass=200.0, built=WEAK)["RACKS-06"]
    assert finding.severity is Severity.NOTE
    assert finding.places == ("A1", "A2")


@pytest.mark.parametrize(
    ("sag", "severity"), [("0.5 mm", Severity.NOTE), ("2 mm", Severity.NOTE), ("30 mm", Severity.WARNING)]
)
def test_a_sag_read_is_told_and_more_than_worked_out_is_a_warning(sag, severity):
    (finding,) = judged(mass=100.0, rack=f'sag = [{{ shelf = 1, sag = "{sag}", days = "300 days" }}]')[
        "RACKS-07"
    ]
    assert finding.severity is severity


def test_a_joint_is_never_worked_out_unless_it_rests_on_wood():
    (open_joint,) = judged()["RACKS-08"]
    assert open_joint.severity is Severity.NOT_COMPUTED
    assert "bracket" in open_joint.remedy
    assert "RACKS-08" not in judged(built=TIMBER.replace("board =", 'bearers_rest = "notch", board ='))


def test_bearers_of_no_size_leave_their_boards_judged_and_no_joint_to_tell_of():
    found = judged(
        built='timber = { uprights = "50x100 C24", bearers = "50x0 C24", board = "18 mm plywood" }'
    )
    assert "RACKS-08" not in found
    assert any("section of its bearers" in one.text for one in found["RACKS-10"])


def test_too_little_is_known_is_said_with_what_to_write():
    found = judged(built='timber = { bearers = "50x100" }')
    assert {one.severity for one in found["RACKS-10"]} == {Severity.NOT_COMPUTED}
    assert "RACKS-09" not in found
    assert any('"45 mm x 95 mm C24"' in one.remedy for one in found["RACKS-10"])


def test_a_foot_over_a_void_is_a_problem():
    hatch = 'voids = [{ name = "hatch", at = ["50 cm", "2.75 m"], size = ["20 cm", "20 cm"] }]'
    (finding,) = judged(room=hatch)["RACKS-11"]
    assert finding.severity is Severity.PROBLEM
    assert "over hatch" in said(finding)


@pytest.mark.parametrize(
    ("limit", "severity"),
    [("200 Pa", Severity.PROBLEM), ("1 kPa", Severity.WARNING), ("9 kPa", Severity.NOTE)],
)
def test_a_floor_is_held_beside_the_limit_someone_gave(limit, severity):
    (finding,) = judged(mass=150.0, room=f'floor_limit = "{limit}"', floor="timber")["RACKS-12"]
    assert finding.severity is severity
    assert "someone set" in said(finding)
    if limit == "9 kPa":
        assert "passenger garages, US are designed for" in finding.reason


def test_joists_are_shown_to_an_engineer_and_never_judged():
    joists = 'joists = { section = "45 mm x 195 mm C24", every = "40 cm", run = "north-south" }'
    (finding,) = judged(room=joists, floor="timber")["RACKS-13"]
    assert finding.severity in (Severity.NOTE, Severity.WARNING)
    assert "engineer" in finding.remedy
    assert "racks.floor_design" in finding.rests_on


def test_no_finding_says_that_something_holds_or_is_safe():
    rooms = [
        judged(), judged(mass=200.0, built=WEAK), judged(built=LOOSE, tied=""), judged(built=""),
        judged(floor="timber", room='floor_limit = "9 kPa"'),
    ]  # fmt: skip
    for found in rooms:
        for finding in (one for several in found.values() for one in several):
            text = render_finding(finding, "plan.toml").casefold()
            assert not re.search(r"\b(safe|certified|is fine|will hold|suitable)\b", text)
            if finding.severity in (Severity.PROBLEM, Severity.WARNING) and finding.code < "RACKS-08":
                assert "screening" in text or finding.code == "RACKS-06"


# --- LOAD-05 ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("built", "kind", "silent"),
    [
        ("", "", False),
        ("", 'shelf_rating = "500 kg"', True),
        (TIMBER, "", True),
        ('timber = { bearers = "50x100" }', "", False),
    ],
)
def test_a_shelf_is_judged_by_a_rating_or_by_what_it_is_built_of(built, kind, silent):
    room = rack_room(built=built, kind=kind)
    codes = {one.code for one in check_load(room, solve_load(room))}
    assert ("LOAD-05" not in codes) is silent


def test_only_timber_is_said_to_creep():
    steel = 'steel = { uprights = "40 mm x 40 mm x 2 mm S235", bearers = "25 mm x 25 mm x 1.5 mm S235" }'
    (finding,) = judged(built=steel)["RACKS-03"]
    assert "creeps" not in finding.reason
    assert "tanks are twisted" in finding.reason
    (finding,) = judged(mass=200.0, built=WEAK)["RACKS-03"]
    assert finding.reason.startswith("timber creeps")
