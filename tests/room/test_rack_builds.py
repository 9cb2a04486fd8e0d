"""What racks and floors are built of, read off a plan: members, boards, braces, sags, joists, voids."""

from __future__ import annotations

import pytest

from tankwright.finding import Severity
from tankwright.origin import Origin

from .conftest import KINDS

RACK = """
[[rack]]
id = "R"
kind = "two"
room = "cellar"
wall = "north"
from_west = "50 cm"
off_wall = "10 cm"
tied_to_wall = true
shelf.1 = [{ kind = "cube", ids = "T1..T2", gap = "1 cm", off_back = "5 cm" }]
"""

TIMBER = (
    'timber = { uprights = "45 mm x 95 mm C24", bearers = "45 mm x 70 mm C24", bearers_under = 3, '
    'board = "18 mm plywood", brace = "9 mm plywood", service_class = 3, bearers_rest = "block" }'
)
TUBE = "40 mm x 40 mm x 2 mm S235"
BOTH = f'timber = {{ bearers = "45x95 C24" }}\nsteel = {{ bearers = "{TUBE}" }}'
ROOM = """
[room.cellar]
size = { length = "5 m", width = "4 m", height = "2.2 m" }
"""


def built_of(lay, kind, rack="", **more):
    laid = lay(KINDS + kind + RACK + rack, with_kinds=False, **more)
    return laid.room.racks[0], laid.findings


def told(findings):
    return {one.code for one in findings if one.severity is Severity.PROBLEM}


def test_a_timber_table_is_read_with_grades_and_its_damp(lay):
    rack, findings = built_of(lay, TIMBER)
    built = rack.built
    assert findings == ()
    assert (built.material, built.bearers_under, built.bearers_rest, built.read_off) == (
        "timber",
        3,
        "block",
        False,
    )
    assert (built.uprights.section.wide, built.uprights.grade.name) == (0.095, "C24")
    assert (built.bearers.section.wide, built.brace) == (0.07, "board")
    assert (built.board.thickness, built.board_grade.name) == (0.018, "plywood")
    assert (built.service_class.value, built.service_class.origin) == (3.0, Origin.GIVEN)
    assert built.service_class.line == built.line


def test_a_damp_nobody_says_is_an_assumption_that_is_told(lay):
    rack, _ = built_of(lay, TIMBER.replace("service_class = 3, ", ""))
    assert (rack.built.service_class.value, rack.built.service_class.key) == (2.0, "racks.service_class")


def test_steel_is_read_with_its_wall_and_needs_no_damp(lay):
    said = f'steel = {{ uprights = "{TUBE}", bearers = "{TUBE}", brace = "30 mm x 3 mm S235" }}'
    rack, findings = built_of(lay, said)
    assert findings == ()
    assert (rack.built.material, rack.built.uprights.section.wall, rack.built.uprights.grade.name) == (
        "steel",
        0.002,
        "S235",
    )
    assert (rack.built.service_class, rack.built.brace, rack.built.bearers_under) == (None, "diagonal", 2)


def test_a_sentence_is_read_and_marked_as_such(lay):
    rack, findings = built_of(lay, 'made_of = "45x95 C24 uprights, 45x70 planed bearers"')
    assert findings == ()  # a word of a sentence is no mistake of a plan
    assert rack.built.read_off
    assert (rack.built.bearers.section.wide, rack.built.bearers.grade) == (0.07, None)


@pytest.mark.parametrize("kind", ["", 'made_of = "bought steel shelving"', 'made_of = "what was there"'])
def test_nothing_is_guessed_of_a_rack_nobody_describes(lay, kind):
    assert built_of(lay, kind)[0].built is None


def test_a_section_of_ones_own_goes_before_the_tables(lay):
    own = """
[section.beam]
wide = "70 mm"
thin = "45 mm"
second_moment = "100 cm4"
section_modulus = "30 cm3"
grade = "C24"
bending = "20 MPa"
source = "its maker's sheet"
"""
    rack, findings = built_of(lay, 'timber = { uprights = "45x95 C24", bearers = "beam" }', own)
    assert findings == ()
    section, grade = rack.built.bearers.section, rack.built.bearers.grade
    assert (section.second_moment, section.section_modulus) == pytest.approx((1e-6, 30e-6))
    assert (grade.bending, grade.shear, grade.source) == (20e6, 4.0e6, "its maker's sheet")


@pytest.mark.parametrize(
    ("kind", "code", "found", "attempt"),
    [
        ('timber = { bearers = "0 mm x 95 mm C24" }', "LAYOUT-160", '"0 mm x 95 mm C24"', ""),
        ('timber = { bearers = "a plank" }', "LAYOUT-160", '"a plank"', ""),
        ('timber = { board = "ply" }', "LAYOUT-160", '"ply"', ""),
        ('timber = { bearers = "90x35 MPG10" }', "LAYOUT-161", '"MPG10"', '"MGP10"'),
        (BOTH, "LAYOUT-162", "timber = ..., steel = ...", ""),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_said_with_what_was_found_and_wanted(lay, kind, code, found, attempt):
    rack, findings = built_of(lay, kind)
    one = next(each for each in findings if each.code == code)
    assert (one.severity, one.subject) == (Severity.PROBLEM, "rack kind two")
    assert (one.found, one.attempt) == (found, attempt)
    assert one.wanted
    assert one.remedy
    assert one.line is not None
    assert rack.built is not None  # the rest is laid out all the same


def test_a_section_of_no_size_is_told_from_one_that_cannot_be_read(lay):
    said = [
        built_of(lay, f'timber = {{ bearers = "{text}" }}')[1][0].text
        for text in (
            "0 x 95 mm C24", "45 mm x 0 mm C24", "45 mm x 9500000 mm C24", "a plank", "40 mm x 40 mm x 25 mm S235",
            "0.5 mm x C24",
        )
    ]  # fmt: skip
    assert said == [
        *["has bearers of no size"] * 2,
        "has bearers of a size no bar has",
        *["has bearers whose section cannot be read"] * 3,
    ]


def test_all_mistakes_of_a_rack_come_in_one_pass(lay):
    _, findings = built_of(
        lay, 'timber = { uprights = "45x95 C25", bearers = "plank" }', 'sag = [{ shelf = 7, sag = "3 mm" }]\n'
    )
    assert told(findings) == {"LAYOUT-160", "LAYOUT-161", "LAYOUT-163"}


@pytest.mark.parametrize(
    ("sag", "found"),
    [
        ('{ shelf = 3, sag = "3 mm" }', "shelf = 3"),
        ('{ shelf = 1, bearer = "middle", sag = "3 mm" }', 'bearer = "middle"'),
    ],
)  # fmt: skip
def test_a_sag_of_a_shelf_or_bearer_that_is_not_there_is_said(lay, sag, found):
    rack, findings = built_of(lay, TIMBER.replace("bearers_under = 3, ", ""), f"sag = [{sag}]\n")
    assert [one.found for one in findings if one.code == "LAYOUT-163"] == [found]
    assert rack.sag == ()


def test_a_sag_is_kept_with_its_load_and_age(lay):
    rack, findings = built_of(
        lay,
        TIMBER,
        'sag = [{ shelf = 1, bearer = "middle", sag = "3 mm", carries = "40 kg", days = "30 days" }]\n',
    )
    assert findings == ()
    (one,) = rack.sag
    assert (one.shelf, one.bearer, one.sag.value, one.carries, one.days) == (
        1,
        "middle",
        0.003,
        40.0,
        30 * 86400.0,
    )


# --- floors ----------------------------------------------------------------------------------------------------------


def floor(lay, said, of="timber"):
    laid = lay(f'{ROOM}floor = "{of}"\n{said}\n', with_room=False, with_kinds=False)
    return laid.room.spaces[0], laid.findings


def test_joists_run_from_wall_to_wall_where_no_span_is_said(lay):
    space, findings = floor(
        lay, 'joists = { section = "45 mm x 195 mm C24", every = "40 cm", run = "north-south" }'
    )
    assert findings == ()
    assert (space.joists.start, space.joists.end, space.joists.every.value) == (0.0, 4.0, 0.4)
    assert space.joists.member.section.wide == 0.195


def test_joists_may_begin_and_end_elsewhere(lay):
    space, _ = floor(
        lay,
        'joists = { section = "2x8 SPF No.2", every = "40 cm", run = "east-west", span = "3 m", starts = "50 cm" }',
    )
    assert (space.joists.start, space.joists.end) == (0.5, 3.5)


def test_joists_under_a_slab_cannot_both_be_so(lay):
    said = 'joists = { section = "45x195 C24", every = "40 cm", run = "north-south" }'
    assert told(floor(lay, said, "slab")[1]) == {"LAYOUT-164"}


def test_a_void_is_kept_and_one_outside_its_room_is_said(lay):
    space, findings = floor(
        lay, 'voids = [{ name = "hatch", at = ["1 m", "2 m"], size = ["60 cm", "80 cm"] }]'
    )
    assert findings == ()
    (name, box) = space.voids[0]
    assert (name, box.x0, box.y0, round(box.x1, 9), box.y1) == ("hatch", 1.0, 2.0, 1.6, 2.8)
    assert told(
        floor(lay, 'voids = [{ name = "hatch", at = ["4.8 m", "2 m"], size = ["60 cm", "80 cm"] }]')[1]
    ) == {"LAYOUT-165"}


def test_a_limit_someone_gave_is_kept(lay):
    space, _ = floor(lay, 'floor_limit = "3 kPa"')
    assert space.floor_limit.value == pytest.approx(3000.0)
