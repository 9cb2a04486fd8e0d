"""Every mistake of a plan in one pass, told with its line, by its owner's name, with what to try."""

from __future__ import annotations

import re
import time
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankwright.display import render_mistake
from tankwright.origin import Origin
from tankwright.plan.reading import (
    LARGEST_FILE,
    MOST_MISTAKES,
    read_plan_bytes,
    read_plan_file,
    read_plan_text,
)

GOOD_PLAN = (Path(__file__).parent / "good_plan.toml").read_text(encoding="utf-8")
EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.toml"))


def line_in(text: str, part: str) -> int:
    """The line of the first place where a part stands."""
    return text[: text.index(part)].count("\n") + 1


def with_change(old: str, new: str) -> tuple[str, int]:
    """The good plan with one part changed, and the line of the change."""
    assert GOOD_PLAN.count(old) == 1, old
    return GOOD_PLAN.replace(old, new), line_in(GOOD_PLAN, old)


def hall_plan(racks: int) -> str:
    """A hall of racks with twelve tanks each."""
    lines = [
        "[room.hall]",
        'size = { length = "60 m", width = "40 m", height = "4 m" }',
        "[tank_kind.long90]",
        'outside = ["90 cm", "38 cm", "38 cm"]',
        'glass = { sides = "6 mm", base = "8 mm", temper = "annealed" }',
        "[rack_kind.three_high]",
        'length = "380 cm"',
        'depth = "45 cm"',
        'shelves = ["30 cm", "92 cm", "154 cm"]',
    ]
    for number in range(racks):
        lines += ["", "[[rack]]", f'id = "R{number}"', 'kind = "three_high"', 'room = "hall"']
        lines += [f'at = ["{number % 10 * 4} m", "{number // 10} m"]', 'facing = "south"']
        for shelf in (1, 2, 3):
            first = number * 12 + shelf * 4 - 3
            lines.append(f'shelf.{shelf} = [{{ kind = "long90", ids = "T{first}..T{first + 3}" }}]')
    return "\n".join(lines) + "\n"


def told(text: str) -> list[str]:
    return [render_mistake(one, "cellar.toml") for one in read_plan_text(text, "cellar.toml").findings]


def message(*lines: str) -> str:
    words = ("found", "wanted", "try")
    rows = [f"    {word:<8}{line}" for word, line in zip(words, lines[1:], strict=False) if line]
    return "\n".join([lines[0], *rows])


def test_a_good_plan_is_read_without_a_finding() -> None:
    result = read_plan_text(GOOD_PLAN, "cellar.toml")
    assert result.findings == ()
    assert result.plan is not None
    assert result.plan.title == "Cellar"


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.name)
def test_every_example_is_read_without_a_finding(path: Path) -> None:
    result = read_plan_file(path)
    assert result.findings == ()
    assert result.plan is not None


def test_every_value_knows_its_line_and_how_it_is_known() -> None:
    plan = read_plan_text(GOOD_PLAN, "cellar.toml").plan
    assert plan is not None
    kind = plan.tank_kind["long90"]
    assert kind.line == line_in(GOOD_PLAN, "[tank_kind.long90]")
    assert [one.line for one in kind.outside] == [line_in(GOOD_PLAN, "outside")] * 3
    assert kind.hole is not None
    assert kind.hole.diameter is not None
    hole = kind.hole.diameter
    assert (hole.value, hole.origin, hole.measured_on) == (0.029, Origin.MEASURED, date(2026, 9, 20))
    assert hole.line == line_in(GOOD_PLAN, "hole =")
    assert kind.outside[0].origin is Origin.GIVEN
    assert plan.rack[0].line == line_in(GOOD_PLAN, "[[rack]]")
    assert plan.rack[0].shelf["2"][0].line == line_in(GOOD_PLAN, "shelf.2")


LENGTH = 'a length with its unit: "90 cm", "0.9 m" or "3 ft 2 1/2 in"'
SINGLE_MISTAKES = [
    (
        'longest_absence = "60 h"',
        'longest_absence = "60"',
        'the plan: people.longest_absence "60" has no unit  [PLAN-012]',
        'longest_absence = "60"',
        'a duration with its unit: "90 min", "1 h 30 min" or "60 h"',
        'longest_absence = "60 h"',
    ),
    (
        'sides = "6 mm"',
        "sides = 6",
        "tank kind long90: glass.sides 6 has no unit  [PLAN-012]",
        "sides = 6",
        LENGTH,
        'sides = "6 mm"',
    ),
    (
        '["90 cm", "38 cm", "38 cm"]',
        '["90 cm", "38", "38 cm"]',
        'tank kind long90: outside "38" has no unit  [PLAN-012]',
        'outside = ["90 cm", "38", "38 cm"]',
        LENGTH,
        'outside = ["90 cm", "38 cm", "38 cm"]',
    ),
    (
        '{ value = "29 mm", measured = 2026-09-20 }',
        '{ value = "29", measured = 2026-09-20 }',
        'tank kind long90: hole.diameter "29" has no unit  [PLAN-012]',
        'diameter = { value = "29", measured = 2026-09-20 }',
        LENGTH,
        'diameter = { value = "29 mm", measured = 2026-09-20 }',
    ),
    (
        'rate = "4 L/h"',
        'rate = "4 gal/h"',
        'feed drip: outlet.rate "4 gal/h" has a unit of two meanings: "gal", US or imperial?  [PLAN-013]',
        'rate = "4 gal/h"',
        'a flow with its unit: "60 L/h", "1.5 L/min" or "14 US gal/h"',
        'rate = "4 US gal/h" or "4 imp gal/h"',
    ),
    (
        'depth = "45 cm"',
        'depth = "45 centimetrs"',
        'rack kind three_high: depth "45 centimetrs" has an unknown unit "centimetrs"  [PLAN-014]',
        'depth = "45 centimetrs"',
        LENGTH,
        'depth = "45 centimetres"',
    ),
    (
        'depth = "45 cm"',
        'depth = "45 kg"',
        'rack kind three_high: depth "45 kg" is a mass, not a length  [PLAN-015]',
        'depth = "45 kg"',
        LENGTH,
        "",
    ),
    (
        'depth = "45 cm"',
        'depth = "-45 cm"',
        "rack kind three_high: depth must be more than zero  [PLAN-016]",
        'depth = "-45 cm"',
        "more than zero",
        "",
    ),
    (
        '["90 cm", "38 cm", "38 cm"]',
        '["90 m", "38 cm", "38 cm"]',
        'tank kind long90: outside "90 m" cannot be  [PLAN-036]',
        'outside = ["90 m", "38 cm", "38 cm"]',
        "5 cm to 6 m",
        "",
    ),
    (
        'sides = "6 mm"',
        'sides = "1,000 mm"',
        'tank kind long90: glass.sides "1,000 mm" can be read in two ways  [PLAN-019]',
        'sides = "1,000 mm"',
        "digits without a separator between thousands",
        'sides = "1000 mm" or "1.000 mm"',
    ),
    (
        '{ value = "29 mm", measured = 2026-09-20 }',
        '{ value = "29 mm", measured = "last week" }',
        "tank kind long90: hole.diameter \"measured\" is not a date: 'last week'  [PLAN-017]",
        'diameter = { value = "29 mm", measured = "last week" }',
        "a date: 2026-09-20",
        "",
    ),
    (
        'from_west = "15 cm"',
        'from_wets = "15 cm"',
        'rack A: has a key "from_wets" that is not known; did you mean "from_west"?  [PLAN-010]',
        'from_wets = "15 cm"',
        "one of id, kind, room, wall, from_west, from_south, off_wall, at, facing, zone, shelf, tied_to_wall"
        " ... (13 in all)",
        'from_west = "15 cm"',
    ),
    (
        "[water_point.tap]",
        "[waterpoint.tap]",
        'the plan: has a key "waterpoint" that is not known; did you mean "water_point"?  [PLAN-010]',
        "[waterpoint.tap]",
        "one of title, display, people, room, water_point, vat, outfall, tank_kind, rack_kind, section, rack,"
        " tank ... (27 in all)",
        "[water_point.tap]",
    ),
    (
        'depth = "45 cm"\n',
        "",
        'rack kind three_high: has no "depth"  [PLAN-021]',
        "[rack_kind.three_high]",
        "depth: front to back",
        'depth = "90 cm"',
    ),
    (
        'wall = "north"',
        'wall = "nort"',
        'rack A: wall "nort" is not one of the words it takes  [PLAN-020]',
        'wall = "nort"',
        '"north", "south", "east" or "west"',
        'wall = "north"',
    ),
    (
        'at = ["0 m", "1.6 m"]',
        'at = ["0 m"]',
        "room cellar, obstacle chimney: at has 1 value, not 2 values  [PLAN-022]",
        'at = ["0 m"]',
        "a list of 2 values",
        'at = ["90 cm", "90 cm"]',
    ),
    (
        'looks = ["06:45", "18:30"]',
        'looks = ["6:45", "18:30"]',
        'the plan: people.looks "6:45" is not a time of day  [PLAN-023]',
        'looks = ["6:45", "18:30"]',
        'hours and minutes: "06:45"',
        'looks = ["06:45", "18:30"]',
    ),
    (
        "minutes = 90",
        "minutes = 2000",
        "feed drip, program number 1: minutes 2000 is not at most 1440  [PLAN-016]",
        "minutes = 2000",
        "at most 1440",
        "",
    ),
    (
        'shelves = ["30 cm", "92 cm", "154 cm"]',
        'shelves = "30 cm"',
        'rack kind three_high: shelves is "30 cm", not a list [ ... ]  [PLAN-018]',
        'shelves = "30 cm"',
        "a list [ ... ]",
        'shelves = ["30 cm"]',
    ),
    (
        "outlets = 6",
        'outlets = "six"',
        'board left: outlets is "six", not a whole number  [PLAN-018]',
        'outlets = "six"',
        "a whole number",
        "",
    ),
    (
        'kind = "three_high"',
        'kind = "three_hihg"',
        'rack A: kind "three_hihg" is no rack kind of this plan; did you mean "three_high"?  [PLAN-030]',
        'kind = "three_hihg"',
        "a rack kind: three_high",
        'kind = "three_high"',
    ),
    (
        '{ kind = "long90", ids = "A1..A2" }',
        '{ kind = "long9", ids = "A1..A2" }',
        'rack A, shelf 1, tanks A1..A2: kind "long9" is no tank kind of this plan; did you mean "long90"?'
        "  [PLAN-030]",
        'kind = "long9"',
        "a tank kind: long90",
        'kind = "long90"',
    ),
    (
        'around = "cellar"',
        'around = "attic"',
        'air ring: around "attic" is no room of this plan  [PLAN-030]',
        'around = "attic"',
        "a room: cellar",
        "",
    ),
    (
        'ids = "A3, A4"',
        'ids = "A2, A4"',
        'rack A, shelf 2, tanks A2, A4: tank "A2" also stands on rack A, shelf 1 (line 36)  [PLAN-032]',
        'ids = "A2, A4"',
        "each tank on one shelf",
        "",
    ),
    (
        'ids = "A3, A4"',
        'ids = "A4..A3"',
        'rack A, shelf 2, tanks A4..A3: ids "A4..A3" counts backwards in "A4..A3"  [PLAN-034]',
        'ids = "A4..A3"',
        'ids: "A1", "A1..A4" or "A1, B2"',
        'ids = "A3..A4"',
    ),
    (
        "shelf.2 =",
        "shelf.4 =",
        'rack A, shelf 4: "4" is no shelf of this rack  [PLAN-035]',
        '4 = [{ kind = "long90", ids = "A3, A4", gap = "10 mm" }]',
        "a shelf number: 1 to 3",
        "",
    ),
    (
        'behind = ["A"]',
        'behind = ["A", "A"]',
        'drain main: passes rack "A" 2 times  [PLAN-033]',
        'behind = ["A", "A"]',
        "each rack once, in the order of the water",
        "",
    ),
    (
        'to = "floor_drain"',
        'to = "main"',
        "drain main: runs in a circle: main -> main  [PLAN-033]",
        'to = "main"',
        "an outfall: floor_drain",
        "",
    ),
    (
        '["10 kPa", "70 L/min"]',
        '["10 kPa", "90 L/min"]',
        "pump piston: curve cannot be used: its flow rises with pressure at point 2  [PLAN-037]",
        '["10 kPa", "90 L/min"]',
        "points from free flow upwards: pressure rises, flow falls",
        "",
    ),
    (
        'circuit = "life"',
        'circuit = "live"',
        'board left: circuit "live" is no circuit of this plan; did you mean "life"?  [PLAN-030]',
        'circuit = "live"',
        "a circuit: life",
        'circuit = "life"',
    ),
]


@pytest.mark.parametrize(("old", "new", "said", "found", "wanted", "attempt"), SINGLE_MISTAKES)
def test_a_mistake_is_told_with_its_line_and_what_to_try(
    old: str, new: str, said: str, found: str, wanted: str, attempt: str
) -> None:
    text, line = with_change(old, new)
    if not new:  # a missing key is told at its table
        line = line_in(text, found)
    assert told(text) == [message(f"cellar.toml:{line}: {said}", found, wanted, attempt)]


def test_all_mistakes_of_a_plan_come_in_one_pass_in_the_order_of_the_lines() -> None:
    text = GOOD_PLAN
    for old, new in (
        ('longest_absence = "60 h"', "longest_absence = 60"),
        ('height = "-3 cm"', "height = -3 cm"),
        ('sides = "6 mm"', 'sides = "6"'),
        ("[rack_kind.three_high]", "[rack_kind.three_high"),
        ('room = "cellar"\nwall', 'room = "attic"\nwall'),
        ('fall = "1:60"', 'fall = "-1:60"'),
        ("minutes = 90", "minutes = 90, minuts = 5"),
        ('power = "71 W"\n', 'powr = "71 W"\n'),
    ):
        assert text.count(old) == 1
        text = text.replace(old, new)
    findings = read_plan_text(text, "cellar.toml").findings
    codes = [one.code for one in findings]
    assert codes == [
        "PLAN-012",
        "PLAN-007",
        "PLAN-012",
        "PLAN-007",
        "PLAN-030",
        "PLAN-016",
        "PLAN-010",
        "PLAN-010",
    ]
    lines = [one.line or 0 for one in findings]
    assert lines == sorted(lines)


def test_two_racks_of_one_id_and_a_tank_on_both_are_both_told() -> None:
    rack = '\n[[rack]]\nid = "A"\nkind = "three_high"\nroom = "cellar"\n'
    rack += 'shelf.1 = [{ kind = "long90", ids = "A1" }]\n'
    first, shelf = line_in(GOOD_PLAN, 'id = "A"'), line_in(GOOD_PLAN, "shelf.1")
    there = line_in(GOOD_PLAN + rack, rack)
    findings = read_plan_text(GOOD_PLAN + rack, "cellar.toml").findings
    assert [(one.line, one.code, one.text) for one in findings] == [
        (there + 2, "PLAN-031", f'id "A" is already taken (line {first})'),
        (there + 5, "PLAN-032", f'tank "A1" also stands on rack A, shelf 1 (line {shelf})'),
    ]


def test_what_hangs_on_a_broken_statement_is_not_reported_again() -> None:
    text, line = with_change('outside = ["90 cm", "38 cm", "38 cm"]', "outside = [90 cm, 38 cm, 38 cm]")
    assert [(one.line, one.code) for one in read_plan_text(text, "x").findings] == [(line, "PLAN-007")]


def test_two_drains_that_lead_into_each_other_run_in_a_circle() -> None:
    text, _ = with_change('to = "floor_drain"', 'to = "second"')
    said = [one.text for one in read_plan_text(text + '[drain.second]\nto = "main"\n', "x").findings]
    assert said == ["runs in a circle: main -> second -> main", "runs in a circle: second -> main -> second"]


def test_a_run_that_comes_back_to_a_corner_runs_in_a_circle() -> None:
    corners = 'path = [["0 m", "1 m"], ["2 m", "1 m"], ["2 m", "3 m"], ["2 m", "1 m"]]'
    text, _ = with_change('behind = ["A"]', corners)
    finding = read_plan_text(text, "x").findings[0]
    assert (finding.code, finding.text) == ("PLAN-033", "path comes back to its corner 2 at corner 4")


def test_glass_thicker_than_its_tank_leaves_no_room_for_water() -> None:
    text, _ = with_change('["90 cm", "38 cm", "38 cm"]', '["90 cm", "10 cm", "38 cm"]')
    text = text.replace('sides = "6 mm"', 'sides = "50 mm"')
    finding = read_plan_text(text, "x").findings[0]
    said = 'glass.sides "50 mm" leaves no room for water between the panes'
    assert (finding.code, finding.text) == ("PLAN-038", said)


# --- files that are no plan ---


def test_a_missing_file_is_told(tmp_path: Path) -> None:
    result = read_plan_file(tmp_path / "cellar.toml")
    assert (result.plan, result.findings[0].code, result.findings[0].text) == (
        None,
        "PLAN-001",
        "there is no such file",
    )


def test_a_folder_is_told(tmp_path: Path) -> None:
    finding = read_plan_file(tmp_path).findings[0]
    assert (finding.code, finding.text) == ("PLAN-002", "is a folder, not a file")


def test_a_name_no_file_can_have_is_told() -> None:
    assert read_plan_file("a\0b").findings[0].code == "PLAN-002"
    assert read_plan_file("x" * 5000).findings[0].code == "PLAN-002"


def test_a_file_without_permission_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    finding = read_plan_file(tmp_path / "cellar.toml").findings[0]
    assert (finding.code, finding.text) == ("PLAN-002", "may not be read: you have no permission")


def test_a_file_of_ten_megabytes_is_refused_at_once(tmp_path: Path) -> None:
    path = tmp_path / "cellar.toml"
    path.write_bytes(b"# x\n" * 2_500_000)
    assert read_plan_text("x" * (LARGEST_FILE + 1), "x").findings[0].code == "PLAN-003"
    finding = read_plan_file(path).findings[0]
    assert (finding.code, finding.text) == ("PLAN-003", "is larger than 2 MB")


def test_a_binary_file_is_told(tmp_path: Path) -> None:
    path = tmp_path / "cellar.toml"
    path.write_bytes(bytes(range(256)) * 10)
    assert read_plan_file(path).findings[0].text == "is not a text: it holds zero bytes"


@pytest.mark.parametrize("text", ["", "\n\n", "# only a comment\n", "\ufeff"])
def test_an_empty_file_is_told(text: str) -> None:
    finding = read_plan_text(text, "cellar.toml").findings[0]
    assert (finding.code, finding.text, finding.attempt) == ("PLAN-006", "says nothing yet", "tankwright new")


def test_a_file_that_is_not_utf8_is_told_with_its_line() -> None:
    finding = read_plan_bytes("title = 'x'\n# caf\u00e9\n".encode("latin-1"), "cellar.toml").findings[0]
    assert (finding.code, finding.line, finding.found) == ("PLAN-005", 2, "# café")
    assert finding.text == "is not UTF-8: byte 0xe9 is no letter of it"


def test_a_byte_order_mark_and_windows_line_ends_do_no_harm() -> None:
    result = read_plan_bytes(b"\xef\xbb\xbf" + GOOD_PLAN.replace("\n", "\r\n").encode(), "cellar.toml")
    assert result.findings == ()


# --- nothing a user types raises ---


@given(st.text(max_size=200))
def test_any_text_is_read_without_an_exception(text: str) -> None:
    result = read_plan_text(text, "x")
    assert result.plan is not None or result.findings


@given(st.binary(max_size=200))
def test_any_bytes_are_read_without_an_exception(raw: bytes) -> None:
    result = read_plan_bytes(raw, "x")
    assert result.plan is not None or result.findings


PIECES = re.findall(r'"[^"\n]*"|\w+|[^\w\s]', GOOD_PLAN)


@settings(max_examples=200)
@given(
    st.integers(0, len(PIECES) - 1),
    st.one_of(st.sampled_from(PIECES), st.text(max_size=6)),
    st.integers(1, 3),
)
def test_a_plan_with_one_piece_replaced_is_read_without_an_exception(
    place: int, piece: str, count: int
) -> None:
    target = PIECES[place]
    text = GOOD_PLAN.replace(target, piece, count)
    for finding in read_plan_text(text, "cellar.toml").findings:
        assert finding.code.startswith("PLAN-")
        assert finding.text
        assert finding.line is None or 1 <= finding.line <= text.count("\n") + 1
        assert render_mistake(finding, "cellar.toml").startswith("cellar.toml")


def test_a_plan_of_very_many_mistakes_lists_what_a_person_can_read() -> None:
    text = "".join(f"wrong{number} = 1\n" for number in range(2 * MOST_MISTAKES))
    findings = read_plan_text(text, "cellar.toml").findings
    assert len(findings) == MOST_MISTAKES + 1
    assert findings[-1].code == "PLAN-009"


# --- speed, as a user feels it ---


def test_a_hall_of_two_thousand_tanks_is_read_in_a_moment() -> None:
    text = hall_plan(170)
    read_plan_text(hall_plan(1), "hall.toml")
    started = time.process_time()
    result = read_plan_text(text, "hall.toml")
    assert time.process_time() - started < 1.0  # measured 0.04 s; slack for a busy machine
    assert result.findings == ()
    assert result.plan is not None
    assert len(result.plan.rack) == 170
