"""Values with their lines, and reading on behind a broken statement."""

from __future__ import annotations

import json
import tomllib

import pytest
import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from tankwright.plan.placed import line_of
from tankwright.plan.positions import MOST_BROKEN, read_positions

EVERY_FORM = """\
title = "x" # a comment
[room.cellar]
size = { length = "5 m", width = "3 m" }
shelf.1 = [{ kind = "x", ids = "A" },
  { kind = "y" }, # with a comment
]
points = [
  ["1 m", "2 m"],

  ["3 m", "4 m"],
]
d = { value = "29 mm", measured = 2026-09-20 }
at = 06:45:00

[[rack]]
id = "A"
shelf.2 = [1]
shelf.1 = [1.5, true]
[[rack]]
id = \"\"\"B
c\"\"\"
[rack.sub]
x = 0x1F
[room.laundry]
path = 'C:\\plan'
"quoted key" = "tab\\t\\u00e9"
"""


def test_every_form_of_toml_gives_the_values_of_the_standard_library() -> None:
    read = read_positions(EVERY_FORM)
    assert read.findings == ()
    assert read.data == tomllib.loads(EVERY_FORM)


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("title",), 1),
        (("room", "cellar"), 2),
        (("room", "cellar", "size", "width"), 3),
        (("room", "cellar", "shelf", "1"), 4),
        (("room", "cellar", "shelf", "1", 1, "kind"), 5),
        (("room", "cellar", "points"), 7),
        (("room", "cellar", "points", 1, 0), 10),
        (("room", "cellar", "d", "measured"), 12),
        (("rack", 0), 15),
        (("rack", 0, "id"), 16),
        (("rack", 0, "shelf", "2", 0), 17),
        (("rack", 0, "shelf", "1", 1), 18),
        (("rack", 1, "id"), 20),
        (("rack", 1, "sub", "x"), 23),
        (("room", "laundry"), 24),
        (("room", "laundry", "quoted key"), 26),
        (("room", "laundry", "not there"), 24),
        (("nowhere",), None),
    ],
)
def test_every_value_knows_its_line(path: tuple[str | int, ...], line: int | None) -> None:
    assert read_positions(EVERY_FORM).line_of(path) == line


def test_texts_and_numbers_carry_their_line_along() -> None:
    data = read_positions('a = "x"\nb = 5\n\nc = 1.5\n[t]\n').data
    assert [line_of(data[key]) for key in ("a", "b", "c", "t")] == [1, 2, 4, 5]


@pytest.mark.parametrize(
    ("line", "said", "attempt"),
    [
        ("volume = 54 L", '"54 L" stands without quotes', 'volume = "54 L"'),
        ("volume = “54 L”", '"54 L" stands without quotes', 'volume = "54 L"'),
        ("size = [90 cm, 38 cm]", '"90 cm" stands without quotes', 'size = ["90 cm", "38 cm"]'),
        ('g = { a = 6 mm, b = "8 mm" }', '"6 mm" stands without quotes', 'g = { a = "6 mm", b = "8 mm" }'),
        ("lid = yes", '"yes" is not a word of TOML', "lid = true"),
        ("lid = True", '"True" is not a word of TOML', "lid = true"),
        ('title = "x', 'a text is not closed with "', ""),
        ("depth: '3 cm'", 'a line has no "="', "depth = '3 cm'"),
        ("height =", "a key has no value", ""),
        ('size = ["9 cm" "8 cm"]', "a comma is missing between two values", ""),
        ('a = "1" "2"', "something follows a value", ""),
        ("= 4", "a line does not start with a key", ""),
        ('a = "bad \\q"', "a text holds a sign that TOML does not take", ""),
        ("[room.cellar", "a heading is not closed with ]", "[room.cellar]"),
        ("[room]]", "a heading is followed by something", "[room]"),
        ("a = " + "[" * 40, "brackets are nested too deeply", ""),
        (".".join("a" * 40) + " = 1", "a key has too many dots", ""),
        ("a = { b = 1,\n c = 2 }", "an inline table runs over several lines", ""),
        ('long = ["a",\n  "b",\nnext = "fine"', "a bracket is not closed with ]", ""),
    ],
)
def test_a_broken_statement_is_answered_and_the_next_lines_are_read(
    line: str, said: str, attempt: str
) -> None:
    read = read_positions(f'before = 1\n{line}\n[after]\nkey = "value"\n')
    assert [(one.line, one.code, one.text, one.attempt) for one in read.findings] == [
        (2, "PLAN-007", said, attempt)
    ]
    assert read.data["before"] == 1
    assert read.data["after"] == {"key": "value"}


@pytest.mark.parametrize(
    ("text", "line", "said"),
    [
        ("a = 1\na = 2", 2, '"a" is written twice, first on line 1'),
        ("[t]\nx = 1\n[u]\n[t]\nx = 2", 4, '"t" is written twice, first on line 1'),
        ("t = { x = 1, x = 2 }", 1, '"x" is written twice, first on line 1'),
    ],
)
def test_a_key_or_heading_written_twice_is_one_mistake(text: str, line: int, said: str) -> None:
    assert [(one.code, one.line, one.text) for one in read_positions(text).findings] == [
        ("PLAN-008", line, said)
    ]


@pytest.mark.parametrize(
    "text", ["t = 1\n[t]\nx = 1", "[[t]]\n[t]\nx = 1", "[t]\n[[t]]\nx = 1", "t = {}\nt.a = 1"]
)
def test_a_key_used_as_two_things_is_a_mistake(text: str) -> None:
    said = [one.text for one in read_positions(text).findings]
    assert said == ['"t" is already something else (line 1)']


def test_every_broken_line_is_reported_in_one_pass() -> None:
    text = 'a = 5 cm\nb = "fine"\n[t]\nc = yes\n[[u]\nd = \nb = "kept"\n'
    read = read_positions(text)
    assert [one.line for one in read.findings] == [1, 4, 5, 6]
    assert read.data == {"b": "fine", "t": {}, "u": [{"b": "kept"}]}


def test_a_text_of_nothing_but_broken_lines_stops_after_a_hundred() -> None:
    findings = read_positions("x\n" * 5000).findings
    assert len(findings) == MOST_BROKEN + 1
    assert findings[-1].text == "the rest is not read: too many lines are broken"


keys = st.from_regex(r"[a-z][a-z0-9_-]{0,5}", fullmatch=True)
values = st.recursive(
    st.one_of(
        st.text(max_size=8).filter(str.isprintable),
        st.integers(-(2**40), 2**40),
        st.booleans(),
        st.dates(),
        st.floats(allow_nan=False, allow_infinity=False),
    ),
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(keys, inner, max_size=3)),
    max_leaves=8,
)
documents = st.dictionaries(keys, values, max_size=5)


@given(documents)
def test_any_document_another_library_writes_is_read_alike(document: dict[str, object]) -> None:
    text = tomlkit.dumps(document)
    read = read_positions(text)
    assert read.findings == ()
    assert read.data == tomllib.loads(text)


@given(documents, st.data())
def test_the_text_at_a_position_is_the_value(document: dict[str, object], data: st.DataObject) -> None:
    read = read_positions(tomlkit.dumps(document))
    for key, value in read.data.items():
        if not isinstance(value, dict) and read.source_of((key,))[:2] != "[[":
            assert tomllib.loads(f"v = {read.source_of((key,))}")["v"] == value


@given(st.text(alphabet='ab=[]{}",.#\n \'1"', max_size=60))
def test_any_text_is_read_without_an_exception_and_never_more_leniently(text: str) -> None:
    read = read_positions(text)
    try:
        theirs = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        assert read.findings
    else:
        assert read.findings == (), json.dumps(text)
        assert read.data == theirs
