"""A value as a person types it becomes a value of the plan, or an answer that helps; all else stays as it was."""

from __future__ import annotations

from datetime import date

import pytest

from tankwright.plan.changes import (
    SetRaw,
    SetText,
    SetValue,
    current_value,
    path_from_text,
    path_text,
)
from tankwright.plan.values import Path

PLAN = """\
title = "Cellar"  # the whole house
[people]
looks = ["06:45", "18:30"]   # twice
[room.cellar]
size = { length = "5.2 m", width = "11 ft 2 in", height = "2.15 m" } # inside
[water_point.tap]
room = "cellar"
pressure = { value = "2.8 bar", measured = 2026-09-12 } # a dial
[tank_kind.long90]
outside = [
    { value = "90 cm", measured = 2026-09-20 }, # with its rim
    "38 cm",
    "38 cm",
]
overflow = { elbow_reach = "34 mm", strainer_open = "60 %" }
[drain.main]
to = "out"
fall = "1:60"
vented = false
[drain.second]
to = "out"
fall = "2 %"
[feed.drip]
from = "tap"
outlet = { kind = "dripper", variation = 0.05, exponent = 0.5 }
program = [{ start = "02:00", minutes = 60 }]
[air.ring]
taps = 30
"""


def changed_line(before: str, after: str) -> str:
    """The one line that is new."""
    old, new = before.splitlines(), after.splitlines()
    assert len(old) == len(new)
    lines = [now for was, now in zip(old, new, strict=True) if was != now]
    assert len(lines) == 1
    return lines[0]


@pytest.mark.parametrize(
    ("path", "typed", "line"),
    [
        (("title",), "  Cellar, second  ", 'title = "Cellar, second"  # the whole house'),
        (("title",), 'The "wet" room', 'title = "The \\"wet\\" room"  # the whole house'),
        # a bare number takes the unit that stood there, a decimal comma is a point
        (("room", "cellar", "size", "length"), "5,4 m",
         'size = { length = "5.4 m", width = "11 ft 2 in", height = "2.15 m" } # inside'),
        (("room", "cellar", "size", "length"), "5,4",
         'size = { length = "5.4 m", width = "11 ft 2 in", height = "2.15 m" } # inside'),
        (("room", "cellar", "size", "width"), "11'4\"",
         'size = { length = "5.2 m", width = "11\'4\\"", height = "2.15 m" } # inside'),
        (("water_point", "tap", "pressure", "measured"), "2026-10-01",
         'pressure = { value = "2.8 bar", measured = 2026-10-01 } # a dial'),
        # what was measured is no longer, unless the new day is said
        (("water_point", "tap", "pressure"), "3", 'pressure = "3 bar" # a dial'),
        (("water_point", "tap", "pressure", "value"), "40 psi", 'pressure = "40 psi" # a dial'),
        (("tank_kind", "long90", "outside", 0), "91", '    "91 cm", # with its rim'),
        (("tank_kind", "long90", "outside"), "90 cm, 38 cm, 40 cm", '    "40 cm",'),
        (("tank_kind", "long90", "outside"), "90 cm x 38 cm x 40 cm", '    "40 cm",'),
        (("tank_kind", "long90", "overflow", "strainer_open"), "55",
         'overflow = { elbow_reach = "34 mm", strainer_open = "55 %" }'),
        (("drain", "main", "fall"), "1:80", 'fall = "1:80"'),
        (("drain", "second", "fall"), "1,5", 'fall = "1.5 %"'),
        (("drain", "main", "vented"), "yes", "vented = true"),
        (("drain", "main", "vented"), "TRUE", "vented = true"),
        (("feed", "drip", "outlet", "kind"), "Small Tube",
         'outlet = { kind = "small tube", variation = 0.05, exponent = 0.5 }'),
        (("feed", "drip", "outlet", "variation"), "0.07",
         'outlet = { kind = "dripper", variation = 0.07, exponent = 0.5 }'),
        (("feed", "drip", "outlet", "variation"), "7 %",
         'outlet = { kind = "dripper", variation = "7 %", exponent = 0.5 }'),
        (("feed", "drip", "outlet", "exponent"), "0,48",
         'outlet = { kind = "dripper", variation = 0.05, exponent = 0.48 }'),
        (("feed", "drip", "program", 0, "start"), "6:05", 'program = [{ start = "06:05", minutes = 60 }]'),
        (("feed", "drip", "program", "0", "minutes"), "075", 'program = [{ start = "02:00", minutes = 75 }]'),
        (("air", "ring", "taps"), "+24", "taps = 24"),
        (("people", "looks"), "7:00; 12:00; 18:30", 'looks = ["07:00", "12:00", "18:30"]   # twice'),
        (("people", "looks", 1), "19:00", 'looks = ["06:45", "19:00"]   # twice'),
    ],
)  # fmt: skip
def test_a_typed_value_is_written_as_the_kind_of_value_that_stands_there(
    path: Path, typed: str, line: str
) -> None:
    after = SetValue(path, typed).apply(PLAN)
    assert after.findings == ()
    assert after.text is not None
    assert changed_line(PLAN, after.text) == line


def test_the_day_of_a_measurement_is_written_with_the_value() -> None:
    after = SetValue(("water_point", "tap", "pressure"), "3", date(2026, 10, 1)).apply(PLAN).text
    assert after is not None
    assert changed_line(PLAN, after) == 'pressure = { value = "3 bar", measured = 2026-10-01 } # a dial'
    after = SetValue(("drain", "main", "fall"), "1:60", date(2026, 10, 1)).apply(PLAN).text
    assert after is not None
    assert changed_line(PLAN, after) == 'fall = { value = "1:60", measured = 2026-10-01 }'


@pytest.mark.parametrize(
    ("path", "typed"),
    [
        (("water_point", "tap", "pressure"), "2.8 bar"),
        (("water_point", "tap", "pressure"), " 2.8 bar "),
        (("people", "looks"), "06:45, 18:30"),
        (("tank_kind", "long90", "outside"), "90 cm, 38 cm, 38 cm"),
        (("drain", "main", "vented"), "false"),
        (("drain", "main", "pipe"), ""),
        (("drain", "main", "hose", "bore"), " "),
    ],
)
def test_what_stands_there_already_is_left_alone_also_its_date(path: Path, typed: str) -> None:
    change = SetValue(path, typed)
    assert change.apply(PLAN).text == PLAN
    assert change.says(PLAN) == "nothing changed"


@pytest.mark.parametrize(
    ("path", "typed", "code", "text", "attempt"),
    [
        (("room", "cellar", "size", "width"), "12", "PLAN-045",
         'size.width "12" has no unit, and "11 ft 2 in" has two', '"12 ft" or "12 in"'),
        (("drain", "main", "fall"), "80", "PLAN-045", 'fall "80" has no unit, and "1:60" is a ratio', '"1:80"'),
        (("tank_kind", "long90", "overflow", "strainer_open"), "0.7", "PLAN-045",
         'overflow.strainer_open "0.7" can be a share of one or per cent', '"70 %" or "0.7 %"'),
        (("drain", "main", "bore"), "50", "PLAN-012", 'bore "50" has no unit', '"50 mm"'),
        (("room", "cellar", "size", "length"), "5 kg", "PLAN-015", 'size.length "5 kg" is a mass, not a length', ""),
        (("room", "cellar", "size", "length"), "long", "PLAN-011",
         'size.length "long" is not a number with a unit', ""),
        (("room", "cellar", "size", "length"), "1,000 m", "PLAN-019",
         'size.length "1,000 m" can be read in two ways', '"1000 m" or "1.000 m"'),
        (("room", "cellar", "size", "length"), "-2", "PLAN-016", 'size.length "-2" must be more than zero', ""),
        (("room", "cellar", "size", "length"), "", "PLAN-046", "size.length must be given", ""),
        (("tank_kind", "long90", "outside", 1), "", "PLAN-046", "outside has an item that is empty", ""),
        (("tank_kind", "long90", "outside"), "", "PLAN-046", "outside must be given", ""),
        (("tank_kind", "long90", "outside"), "90 cm, 38 cm", "PLAN-022", "outside has 2 values, not 3 values", ""),
        (("people", "looks"), "06:45,,18:30", "PLAN-046", "people.looks has an empty place between its commas", ""),
        (("people", "looks"), "06:45, late, 19:00", "PLAN-023", 'people.looks "late" is not a time of day', ""),
        (("feed", "drip", "outlet", "kind"), "driper", "PLAN-020",
         'outlet.kind "driper" is not one of the words it takes', '"dripper"'),
        (("feed", "drip", "program", 0, "minutes"), "60 min", "PLAN-018",
         'minutes "60 min" is not a number without a unit', "60"),
        (("feed", "drip", "program", 0, "minutes"), "2000", "PLAN-016", "minutes 2000 is not at most 1440", ""),
        (("feed", "drip", "program", 0, "start"), "25:00", "PLAN-023", 'start "25:00" is not a time of day', ""),
        (("water_point", "tap", "pressure", "measured"), "today", "PLAN-023",
         'pressure.measured "today" is not a date', ""),
        (("feed", "drip", "program"), "daily", "PLAN-047", "is a list of tables or of lists", ""),
        (("feed", "drip", "outlet"), "dripper", "PLAN-047", "outlet is a table", ""),
        (("air", "ring", "taps"), "2.5", "PLAN-018", 'taps "2.5" is not a whole number', "2"),
        (("drain", "main", "vented"), "perhaps", "PLAN-018", 'vented "perhaps" is neither true nor false', ""),
        (("assume", "tank.gap"), "1 kg", "PLAN-015", 'assume.tank.gap "1 kg" is a mass, not a length', ""),
        (("rack", 0, "id"), "A", "PLAN-040", 'there is no value "rack.0.id" to change', "people.looks.0"),
        (("title", "deeper"), "A", "PLAN-040", 'there is no value "title.deeper" to change', "title"),
        ((), "A", "PLAN-040", 'there is no value "" to change', ""),
    ],
)  # fmt: skip
def test_a_text_that_has_no_chance_is_answered(
    path: Path, typed: str, code: str, text: str, attempt: str
) -> None:
    after = SetValue(path, typed).apply(PLAN)
    assert after.text is None
    finding = after.findings[0]
    assert (finding.code, finding.text) == (code, text)
    if code != "PLAN-040":
        assert finding.attempt == attempt
        assert finding.wanted
        assert finding.found == f'"{typed}"'


def test_a_word_has_no_day_it_was_measured_on() -> None:
    after = SetValue(("title",), "Cellar", date(2026, 10, 1)).apply(PLAN)
    assert [one.code for one in after.findings] == ["PLAN-018"]


def test_an_answer_names_the_thing_and_its_line() -> None:
    finding = SetValue(("feed", "drip", "program", 0, "minutes"), "x").apply(PLAN).findings[0]
    assert (finding.subject, finding.line) == ("feed drip, program number 1", 26)


def test_a_text_with_broken_lines_takes_no_value_but_takes_a_whole_text() -> None:
    broken = "title = Cellar\n"
    assert [one.code for one in SetValue(("title",), "x").apply(broken).findings] == ["PLAN-042", "PLAN-007"]
    assert [one.code for one in SetRaw(("title",), '"x"').apply(broken).findings] == ["PLAN-042", "PLAN-007"]
    assert SetText(PLAN).apply(broken).text == PLAN
    assert SetText(broken).apply(PLAN).text == broken


# --- raw values ---


def test_a_raw_value_is_put_where_it_belongs() -> None:
    raw = '[["0 kPa", "80 L/min"], ["20 kPa", "10 L/min"]]'
    after = SetRaw(("pump", "p", "curve"), raw).apply(PLAN).text
    assert after == f"{PLAN}\n[pump.p]\ncurve = {raw}\n"
    again = SetRaw(("pump", "p", "curve"), '[["0 kPa", "9 L/min"]]').apply(after).text
    assert again == f'{PLAN}\n[pump.p]\ncurve = [["0 kPa", "9 L/min"]]\n'


def test_a_table_put_as_a_section_of_its_own_is_written_as_one() -> None:
    after = SetRaw(("drain", "third"), '{ to = "out", fall = "1:60" }').apply(PLAN).text
    assert after is not None
    assert '\nfall = "2 %"\n\n[drain.third]\nto = "out"\nfall = "1:60"\n[feed.drip]\n' in after


@pytest.mark.parametrize("toml", ["54 L", '"a"\nb = 1', "{ a = 1,\n b = 2 }", "[1,\r2]", "1 # one"])
def test_what_is_not_one_value_is_refused(toml: str) -> None:
    after = SetRaw(("drain", "main", "dump"), toml).apply(PLAN)
    assert after.text is None
    assert after.findings[0].code == "PLAN-041"


def test_an_empty_raw_value_takes_out_what_is_there() -> None:
    after = SetRaw(("feed", "drip", "program"), " ").apply(PLAN).text
    assert after == PLAN.replace('program = [{ start = "02:00", minutes = 60 }]\n', "")
    assert SetRaw(("feed", "drip", "valve"), "").apply(PLAN).findings[0].code == "PLAN-040"


# --- words ---


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (SetValue(("drain", "main", "fall"), "1:80"), 'drain main: fall "1:60" -> "1:80"'),
        (SetValue(("drain", "main", "vented"), "on"), "drain main: vented false -> true"),
        (SetValue(("drain", "main", "pipe"), "50 mm PE"), 'drain main: pipe "50 mm PE" added'),
        (SetValue(("drain", "main", "fall"), ""), 'drain main: fall "1:60" taken out'),
        (SetValue(("drain", "main"), ""), 'drain main: to = "out", fall = "1:60", vented… taken out'),
        (
            SetValue(("water_point", "tap", "pressure"), "3", date(2026, 10, 1)),
            'water point tap: pressure "2.8 bar" measured 2026-09-12 -> "3 bar" measured 2026-10-01',
        ),
        (
            SetValue(("tank_kind", "long90", "outside", 1), "39"),
            'tank kind long90: outside, number 2 "38 cm" -> "39 cm"',
        ),
        (SetRaw(("zone", "x"), "{ quarantine = true }"), "zone x: { quarantine = true } added"),
        (SetValue(("drain", "main", "fall"), "steep"), "nothing changed"),
        (SetText(PLAN), "nothing changed"),
        (SetText(PLAN.replace("\n", "\r\n")), "text: line ends changed"),
        (SetText(PLAN.replace("1:60", "1:80")), "text: line 18 changed"),
        (SetText("# new\n" + PLAN), "text: line 1 added"),
        (SetText(PLAN.replace("\ntaps = 30", "")), "text: line 28 taken out"),
        (SetText(PLAN.replace("drain", "run")), "text: lines 16 to 20 changed"),
        (SetText(""), "text: lines 1 to 28 taken out"),
    ],
)
def test_a_change_is_said_in_one_line(change: SetValue | SetRaw | SetText, said: str) -> None:
    assert change.says(PLAN) == said


def test_a_line_of_the_history_has_at_most_120_signs() -> None:
    long = "x" * 500
    for change in (
        SetValue(("title",), long),
        SetRaw(("zone", long), f'{{ note = "{long}" }}'),
        SetValue(("tank_kind", "long90", "outside"), "91 cm, 39 cm, 40 cm"),
    ):
        assert len(change.says(PLAN)) <= 120


@pytest.mark.parametrize(
    ("path", "shown"),
    [
        (("title",), "Cellar"),
        (("people", "looks"), "06:45, 18:30"),
        (("people", "looks", 1), "18:30"),
        (("water_point", "tap", "pressure"), "2.8 bar"),
        (("water_point", "tap", "pressure", "value"), "2.8 bar"),
        (("tank_kind", "long90", "outside"), "90 cm, 38 cm, 38 cm"),
        (("drain", "main", "vented"), "false"),
        (("feed", "drip", "outlet", "exponent"), "0.5"),
        (("feed", "drip", "program"), '[{ start = "02:00", minutes = 60 }]'),
        (("feed", "drip", "program", 0, "minutes"), "60"),
        (("drain", "main"), 'to = "out", fall = "1:60", vented = false'),
        (("drain", "none"), None),
        (("title", "deeper"), None),
        (("feed", "drip", "program", 4), None),
        ((), None),
    ],
)
def test_a_value_is_shown_as_a_person_reads_it(path: Path, shown: str | None) -> None:
    assert current_value(PLAN, path) == shown
    assert current_value(PLAN, path_from_text(path_text(path))) == shown


def test_a_path_as_text_is_read_back_and_what_is_none_gives_nothing() -> None:
    for path in (("a", "b c", 'd"e'), ("rack", "id=A", "from_west"), ("x",)):
        assert path_from_text(path_text(path)) == path
    for text in ("", "..", "a.", 'a."b', "a b", "a = 1", "é"):
        assert path_from_text(text) == ()
