"""Keys, rows and sections go into the text where their owner would have written them, and out without a trace."""

from __future__ import annotations

import tomllib

import pytest

from tankwright.plan.changes import AddRow, Change, RemoveRow, SetRaw, SetTap, SetValue
from tankwright.plan.values import Path

# one plan in the ways TOML lets one write it
INLINE = """\
title = "Room"
drain = { main = { to = "out", fall = "1:60" } } # short
rack = [{ id = "A", shelf = { 1 = [{ kind = "k", ids = "A1..A2" }] } }]
"""
HEADINGS = """\
title = "Room"

[drain.main] # the long one
to = "out"
fall = "1:60" # by eye

# --- racks ---

[[rack]]
id = "A"
[[rack.shelf.1]]
kind = "k"
ids = "A1..A2"
# the end
"""
DOTTED = """\
title = "Room"
drain.main.to = "out"
drain.main.fall = "1:60" # by eye
[[rack]]
  id = "A"
  shelf.1 = [
    { kind = "k", ids = "A1..A2" }
  ]
"""
QUOTED = """\
"title" = 'Room'
["drain"."main"]
'to' = "out"
"fall" = '1:60'
[["rack"]]
id = 'A'
"shelf".'1' = [ {"kind"='k', "ids"='A1..A2'} ]
"""
FORMS = {"inline": INLINE, "headings": HEADINGS, "dotted": DOTTED, "quoted": QUOTED}
CHANGES: tuple[tuple[Path, str], ...] = (
    (("title",), "Cellar"),
    (("display",), "US"),
    (("drain", "main", "fall"), "1:80"),
    (("drain", "main", "pipe"), "50 mm PE"),
    (("drain", "main", "hose", "bore"), "13 mm"),
    (("drain", "second", "to"), "out"),
    (("rack", 0, "from_west"), "15 cm"),
    (("rack", 0, "shelf", "1", 0, "gap"), "1 cm"),
    (("rack", 0, "shelf", "1", 0, "ids"), "A1..A3"),
    (("tank", "A 1", "overflow", "angle"), "35 deg"),
    (("people", "longest_absence"), "60 h"),
    (("assume", "tank", "gap"), "1 cm"),
)


def with_value(data: object, path: Path, value: object) -> object:
    """The data with a value put in."""
    inner = tomllib.loads("") if data is None else data
    if not path:
        return value
    step = path[0]
    if isinstance(inner, list):
        assert isinstance(step, int)
        return [with_value(one, path[1:], value) if place == step else one for place, one in enumerate(inner)]
    assert isinstance(inner, dict)
    return {**inner, str(step): with_value(inner.get(str(step)), path[1:], value)}


def remarks(text: str) -> list[str]:
    return [line[line.index("#") :].strip() for line in text.splitlines() if "#" in line]


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
@pytest.mark.parametrize("start", ["", "\ufeff"])
@pytest.mark.parametrize("form", FORMS)
def test_every_way_of_writing_a_plan_takes_every_change_and_gives_it_back(
    form: str, start: str, ends: str
) -> None:
    before = start + FORMS[form].replace("\n", ends)
    data = tomllib.loads(before.removeprefix("\ufeff"))
    for path, typed in CHANGES:
        result = SetValue(path, typed).apply(before)
        assert result.findings == (), path
        after = result.text
        assert after is not None
        assert after.startswith(start)
        assert tomllib.loads(after.removeprefix("\ufeff")) == with_value(data, path, typed)
        assert remarks(after) == remarks(before)
        assert after.count("\n") == after.count(ends)
        if path[0] not in data or path[:2] == ("drain", "second"):
            continue  # its section stays when its key goes
        gone = SetValue(path, "").apply(after)
        if gone.text is not None and path[-1] in ("display", "pipe", "from_west", "gap"):
            assert gone.text == before


@pytest.mark.parametrize(
    ("before", "change", "after"),
    [
        # into a section: behind its last key, before the remarks that lead on
        (HEADINGS, SetValue(("drain", "main", "pipe"), "50 mm PE"),
         HEADINGS.replace("# by eye\n", '# by eye\npipe = "50 mm PE"\n')),
        (HEADINGS, SetValue(("rack", 0, "room"), "cellar"),
         HEADINGS.replace('id = "A"\n', 'id = "A"\nroom = "cellar"\n')),
        (HEADINGS, SetValue(("display",), "US"), HEADINGS.replace('"Room"\n', '"Room"\ndisplay = "US"\n')),
        ("[zone.a] # empty\n\n[zone.b]\n", SetValue(("zone", "a", "note"), "n"),
         '[zone.a] # empty\nnote = "n"\n\n[zone.b]\n'),
        ("[a]\nb = 1", SetValue(("a", "c"), "2"), "[a]\nb = 1\nc = \"2\""),
        ("  [a]\n\tb = [\n1, # one\n]\n", SetRaw(("a", "c"), "2"), "  [a]\n\tb = [\n1, # one\n]\n\tc = 2\n"),
        # a first key at the top: behind what is said of the whole plan, before what is said of the first heading
        ("# all\n\n# rooms\n[zone.a]\n", SetValue(("title",), "T"), '# all\n\ntitle = "T"\n\n# rooms\n[zone.a]\n'),
        ("# all\n[zone.a]\n", SetValue(("title",), "T"), '# all\ntitle = "T"\n\n[zone.a]\n'),
        ("# all", SetValue(("title",), "T"), '# all\ntitle = "T"\n'),
        ("", SetValue(("title",), "T"), 'title = "T"\n'),
        # a new section: behind its last sibling, else at the end
        (HEADINGS, SetValue(("drain", "b", "to"), "out"),
         HEADINGS.replace("# by eye\n", '# by eye\n\n[drain.b]\nto = "out"\n')),
        (HEADINGS, SetValue(("zone", "b", "note"), "n"), HEADINGS + '\n[zone.b]\nnote = "n"\n'),
        (HEADINGS[:-1], SetValue(("zone", "b", "note"), "n"), HEADINGS + '\n[zone.b]\nnote = "n"'),
        ("", SetValue(("zone", "b", "note"), "n"), '[zone.b]\nnote = "n"\n'),
        ("[[power.boards]]\nid = 'a'\n", SetValue(("power", "voltage"), "230 V"),
         "[[power.boards]]\nid = 'a'\n\n[power]\nvoltage = \"230 V\"\n"),
        ("[power.circuits]\na = { breaker = '6 A' }\n[zone.b]\n",
         SetValue(("power", "circuits", "b", "breaker"), "10 A"),
         "[power.circuits]\na = { breaker = '6 A' }\nb = { breaker = \"10 A\" }\n[zone.b]\n"),
        # inline tables, also tight and empty ones; tables within them
        ("[a]\nb = {c=1}\n", SetRaw(("a", "b", "d"), "2"), "[a]\nb = {c=1, d = 2}\n"),
        ("[a]\nb = {}\n", SetRaw(("a", "b", "d", "e"), "2"), "[a]\nb = { d = { e = 2 } }\n"),
        ("[a]\nb = { c.d = 1 }\n", SetRaw(("a", "b", "c", "e"), "2"), "[a]\nb = { c.d = 1, c.e = 2 }\n"),
        # dotted keys stay dotted
        (DOTTED, SetRaw(("rack", 0, "shelf", "2"), "[]"), DOTTED + "  shelf.2 = []\n"),
        ("[[rack]]\nid = 'A'\n", SetRaw(("rack", 0, "shelf", "2"), "[]"), "[[rack]]\nid = 'A'\nshelf.2 = []\n"),
        (DOTTED, SetValue(("drain", "main", "pipe"), "p"),
         DOTTED.replace("# by eye\n", '# by eye\ndrain.main.pipe = "p"\n')),
        ("[assume]\nair.tap_bore = '2 mm'\n", SetValue(("assume", "air.tap_bore"), "1"),
         "[assume]\nair.tap_bore = \"1 mm\"\n"),
        ("[assume]\n'air.tap_bore' = '2 mm'\n", SetValue(("assume", "air", "tap_bore"), "1"),
         "[assume]\n'air.tap_bore' = \"1 mm\"\n"),
        # a table written over lines gives way to one on a line
        ("[a]\nb = 1\n[a.c]\nd = 1\n[e]\n", SetRaw(("a", "c"), "{ d = 2 }"), "[a]\nb = 1\nc = { d = 2 }\n[e]\n"),
        ("[a]\nc.d = 1 # one\nb = 1\nc.e = 2\n", SetRaw(("a", "c"), "{ d = 2 }"), "[a]\nb = 1\nc = { d = 2 }\n"),
        # out: a line, a part, a section
        (HEADINGS, SetValue(("drain", "main", "fall"), ""), HEADINGS.replace('fall = "1:60" # by eye\n', "")),
        (HEADINGS, SetValue(("drain", "main"), ""),
         HEADINGS.replace('\n\n[drain.main] # the long one\nto = "out"\nfall = "1:60" # by eye\n', "\n")),
        ("a = 1\n[b]\nc = [\n 1,\n]", SetRaw(("b", "c"), ""), "a = 1\n[b]"),
        ("a = { b = 1, c = 2, d = 3 }\n", SetRaw(("a", "b"), ""), "a = { c = 2, d = 3 }\n"),
        ("a = { b = 1, c = 2, d = 3 }\n", SetRaw(("a", "c"), ""), "a = { b = 1, d = 3 }\n"),
        ("a = { b = 1, c = 2, d = 3 }\n", SetRaw(("a", "d"), ""), "a = { b = 1, c = 2 }\n"),
        ("a = { b = 1 }\n", SetRaw(("a", "b"), ""), "a = {}\n"),
        ("[tank.A1]\nair_opening = 0.5\n\n[zone.z]\n", SetValue(("tank", "A1"), ""), "\n[zone.z]\n"),
        ("[[a]]\nb = 1\n\n[[a]]\nb = 2", SetRaw(("a",), ""), ""),
    ],
)  # fmt: skip
def test_a_key_goes_where_its_owner_would_write_it(before: str, change: Change, after: str) -> None:
    result = change.apply(before)
    assert result.findings == ()
    assert result.text == after


def test_a_second_exception_of_a_tank_joins_the_first() -> None:
    before = '[[rack]]\nid = "A"\nshelf.1 = [{ kind = "k", ids = "A1..A3" }]\n'
    text = SetTap("A2", 0.5).apply(before).text
    assert text is not None
    text = SetValue(("tank", "A2", "note"), "weak").apply(text).text
    assert text is not None
    text = SetTap("A3", 0.255).apply(text).text
    assert text is not None
    assert text == before + (
        '\n[tank.A2]\nair_opening = "50 %"\nnote = "weak"\n\n[tank.A3]\nair_opening = "25.5 %"\n'
    )


# --- rows ---

LISTS: tuple[tuple[str, str, str], ...] = (  # before, a row more at the end, the first row less
    ("a = []\n", "a = [9]\n", ""),
    ("a = [ ]\n", "a = [9]\n", ""),
    ("a = [1]\n", "a = [1, 9]\n", "a = []\n"),
    ("a = [1,]\n", "a = [1, 9,]\n", "a = []\n"),
    ("a = [1, 2] # two\n", "a = [1, 2, 9] # two\n", "a = [2] # two\n"),
    ("a = [\n]\n", "a = [\n    9,\n]\n", ""),
    (
        "a = [\n  1, # one\n  2, # two\n]\n",
        "a = [\n  1, # one\n  2, # two\n  9,\n]\n",
        "a = [\n  2, # two\n]\n",
    ),
    ("a = [\n  1, # one\n  2 # two\n]\n", "a = [\n  1, # one\n  2, # two\n  9\n]\n", "a = [\n  2 # two\n]\n"),
    ("a = [\n  1,\n  2]\n", "a = [\n  1,\n  2,\n  9]\n", "a = [\n  2]\n"),
    ("a = [1, # one\n  2, # two\n]\n", "a = [1, # one\n  2, # two\n  9,\n]\n", "a = [# one\n  2, # two\n]\n"),
    ("a = [[1,\n 2], [3]]\n", "a = [[1,\n 2], [3], 9]\n", "a = [[3]]\n"),
    ("a = [ 1 # one\n , 2 ]\n", "a = [ 1 # one\n , 2, 9 ]\n", "a = [  # one\n  2 ]\n"),
)


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
@pytest.mark.parametrize(("before", "longer", "shorter"), LISTS)
def test_a_list_takes_a_row_more_and_a_row_less(before: str, longer: str, shorter: str, ends: str) -> None:
    before, longer, shorter = (one.replace("\n", ends) for one in (before, longer, shorter))
    more, less = AddRow(("a",), "9").apply(before), RemoveRow(("a",), 0).apply(before)
    assert more.text == longer
    assert tomllib.loads(longer)["a"] == [*tomllib.loads(before)["a"], 9]
    if shorter:
        assert less.text == shorter
        assert tomllib.loads(shorter)["a"] == tomllib.loads(before)["a"][1:]
    else:
        assert [one.code for one in less.findings] == ["PLAN-040"]


@pytest.mark.parametrize(
    ("before", "last", "less"),
    [
        ("a = [1, 2, 3]\n", 2, "a = [1, 2]\n"),
        ("a = [1, 2,]\n", 1, "a = [1, ]\n"),
        ("a = [1, # one\n 2]\n", 1, "a = [1 # one\n ]\n"),
        ("a = [\n 1, # one\n 2, # two\n]\n", 1, "a = [\n 1, # one\n]\n"),
        ("a = [\n 1\n, 2\n]\n", 1, "a = [\n 1\n\n]\n"),
    ],
)
def test_a_last_row_goes_without_the_remarks_of_others(before: str, last: int, less: str) -> None:
    assert RemoveRow(("a",), last).apply(before).text == less


BOARDS = """\
[[power.boards]]
id = "left" # by the door
loads = [{ name = "a", power = "1 W" }]

[[power.boards]]
id = "right"

  [[power.boards.loads]]
  name = "b"

# --- the end ---
[zone.a]
"""


def test_a_list_of_headings_takes_a_row_more() -> None:
    result = AddRow(("power", "boards"), '{ id = "new", outlets = 4 }').apply(BOARDS)
    assert result.text == BOARDS.replace(
        '  name = "b"\n', '  name = "b"\n\n[[power.boards]]\nid = "new"\noutlets = 4\n'
    )
    inner = AddRow(("power", "boards", 1, "loads"), '{ name = "c", power = "2 W" }').apply(BOARDS)
    assert inner.text == BOARDS.replace(
        '  name = "b"\n', '  name = "b"\n\n  [[power.boards.loads]]\n  name = "c"\n  power = "2 W"\n'
    )


def test_a_list_of_headings_takes_a_row_less_with_all_below_it() -> None:
    first, second = RemoveRow(("power", "boards"), 0), RemoveRow(("power", "boards"), 1)
    assert first.apply(BOARDS).text == BOARDS[BOARDS.index('\n[[power.boards]]\nid = "right"') :]
    left = second.apply(BOARDS).text
    assert left is not None
    assert (
        left == BOARDS[: BOARDS.index('\n[[power.boards]]\nid = "right"')] + "\n# --- the end ---\n[zone.a]\n"
    )
    assert first.says(BOARDS) == 'board: id = "left", loads = [{ name = "a", power = "1 W" }] taken out'


def test_a_list_that_is_not_there_is_begun() -> None:
    result = AddRow(("drain", "main", "dump"), '{ name = "hose" }').apply(HEADINGS)
    assert result.text == HEADINGS.replace("# by eye\n", '# by eye\ndump = [{ name = "hose" }]\n')


@pytest.mark.parametrize(
    ("change", "code"),
    [
        (AddRow(("title",), "1"), "PLAN-040"),
        (AddRow(("drain", "main"), "1"), "PLAN-040"),
        (AddRow(("rack",), "1"), "PLAN-040"),  # a list of headings holds tables
        (AddRow(("rack",), "one two"), "PLAN-041"),
        (AddRow((), "1"), "PLAN-040"),
        (AddRow(("rack", 7, "loads"), "1"), "PLAN-040"),
        (RemoveRow(("rack",), 1), "PLAN-040"),
        (RemoveRow(("rack",), -1), "PLAN-040"),
        (RemoveRow(("drain",), 0), "PLAN-040"),
        (RemoveRow((), 0), "PLAN-040"),
        (SetRaw(("rack", 0), "{}"), "PLAN-040"),
        (SetRaw(("drain", "main", "fall", "deep"), "1"), "PLAN-040"),
        (SetRaw(("rack", 3, "id"), '"B"'), "PLAN-040"),
    ],
)
def test_what_has_no_place_is_answered(change: Change, code: str) -> None:
    result = change.apply(HEADINGS)
    assert result.text is None
    assert [one.code for one in result.findings] == [code]
