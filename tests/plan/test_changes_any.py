"""Whatever is changed in the examples, only that is changed; whatever is typed, nothing raises."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator
from datetime import date
from pathlib import Path as FilePath
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankwright.plan.changes import (
    AddRow,
    Change,
    MoveRack,
    MoveTank,
    RemoveRow,
    SetRaw,
    SetTap,
    SetText,
    SetValue,
    TurnElbow,
    current_value,
)
from tankwright.plan.models import Plan
from tankwright.plan.positions import read_positions
from tankwright.plan.quantities import PlanTable
from tankwright.plan.shape import bare_type, example_of, fields_by_key, place_of
from tankwright.plan.statements import stands
from tankwright.plan.values import Path


def at(data: Any, path: Path) -> Any:
    for step in path:
        data = data[step]
    return data


FOLDER = FilePath(__file__).parents[2] / "examples"
EXAMPLES = {
    name: (FOLDER / f"{name}.toml").read_text(encoding="utf-8") for name in ("cellar", "garage", "hall")
}
READ = {name: read_positions(text) for name, text in EXAMPLES.items()}
PATHS: list[tuple[str, Path]] = [
    (name, path)
    for name, read in READ.items()
    for path in read.spans
    if name != "hall" or path[0] != "rack" or path[1:2] == (3,)
]
VALUES = [(name, path) for name, path in PATHS if stands(READ[name], path) == "value"]
LISTS = [(name, path) for name, path in PATHS if isinstance(at(READ[name].data, path), list)]


def new_keys() -> Iterator[tuple[str, Path, str]]:
    """Every key the models know that an example's tables do not have, with a good value for it."""
    for name, path in [*PATHS, *((name, ()) for name in EXAMPLES)]:
        table = bare_type(place_of(path, Plan, READ[name].data).expected) if path else Plan
        if not (isinstance(table, type) and issubclass(table, PlanTable)):
            continue
        for key, field in fields_by_key(table).items():
            value = example_of(field.annotation, field)
            if value and not stands(READ[name], (*path, key)):
                yield name, (*path, key), value


NEW = list(new_keys())
TYPED = st.one_of(
    st.text(max_size=30),
    st.sampled_from(
        ["54 L", "1,8 m", "12", "0", "-1", "true", "off", "1:60", "2 %", "0.5", "daily", "main", "A", "06:45",
         "5 ft 9 in", "3 1/2\"", "25 kPa", "10 A", "a, b", "90 cm, 38 cm, 38 cm", "A1..A4", "[1, 2]", "{ a = 1 }",
         "24 °C", "7,2", "14 °dH", "-3 °dH", "0.6 mg/L", "some", "0.34", "22 °C, 26 °C", "1.1 W/(m2 K)", "tap"]
    ),
)  # fmt: skip


def without(data: Any, path: Path) -> Any:
    """The data without what is at a path; a table that was made for it alone goes too."""
    if not path:
        return None
    step, rest = path[0], path[1:]
    if isinstance(data, dict):
        kept = {key: without(one, rest) if key == step else one for key, one in data.items()}
        return {key: one for key, one in kept.items() if one not in (None, {})}
    if isinstance(data, list):
        kept_items = [without(one, rest) if place == step else one for place, one in enumerate(data)]
        return [one for one in kept_items if one is not None]
    return data


def pruned(data: Any) -> Any:
    """The data without its empty tables and lists: a heading may go with its last key, or stay."""
    if isinstance(data, dict):
        kept = {key: pruned(one) for key, one in data.items()}
        return {key: one for key, one in kept.items() if one not in ({}, [])}
    return [one for one in map(pruned, data) if one not in ({}, [])] if isinstance(data, list) else data


def remarks(text: str) -> list[str]:
    return [line[line.index("#") :] for line in text.splitlines() if "#" in line]


def only_that_changed(before: str, after: str, path: Path) -> None:
    old, new = tomllib.loads(before), tomllib.loads(after)
    assert without(new, path) == without(old, path)


@given(st.sampled_from(VALUES), TYPED, st.one_of(st.none(), st.dates()))
@settings(max_examples=150, deadline=None)
def test_a_typed_value_changes_nothing_but_itself(
    place: tuple[str, Path], typed: str, measured: date | None
) -> None:
    name, path = place
    before = EXAMPLES[name]
    result = SetValue(path, typed, measured).apply(before)
    assert (result.text is None) == bool(result.findings)
    if result.text is None:
        return
    only_that_changed(before, result.text, path[:-1] if path[-1] == "value" else path)
    if typed.strip() and "#" not in typed:  # a line that is taken out goes with its remark
        assert remarks(result.text) == remarks(before)
    assert SetText(before).apply(result.text).text == before
    again = SetValue(path, str(current_value(result.text, path) or "")).apply(result.text)
    assert again.text == result.text or not typed.strip()


@given(st.sampled_from(VALUES), st.text(max_size=30))
@settings(max_examples=60, deadline=None)
def test_a_raw_text_stands_there_as_it_was_given(place: tuple[str, Path], new: str) -> None:
    name, path = place
    toml = SetValue(("title",), new or "x").apply("").text or 'title = "x"'
    toml = toml.partition(" = ")[2].strip()
    after = SetRaw(path, toml).apply(EXAMPLES[name]).text
    assert after is not None
    assert at(tomllib.loads(after), path) == (new.strip() or "x")
    only_that_changed(EXAMPLES[name], after, path)


@given(st.sampled_from(NEW))
@settings(max_examples=150, deadline=None)
def test_a_key_that_is_put_in_is_there_and_leaves_as_it_came(place: tuple[str, Path, str]) -> None:
    name, path, toml = place
    before = EXAMPLES[name]
    after = SetRaw(path, toml).apply(before).text
    assert after is not None, path
    assert at(tomllib.loads(after), path) == tomllib.loads(f"v = {toml}")["v"]
    only_that_changed(before, after, path)
    assert remarks(after) == remarks(before)
    assert current_value(after, path) is not None
    gone = SetRaw(path, "").apply(after).text
    assert gone == before


@given(st.sampled_from(PATHS))
@settings(max_examples=120, deadline=None)
def test_what_is_taken_out_takes_nothing_along(place: tuple[str, Path]) -> None:
    name, path = place
    before = EXAMPLES[name]
    after = SetRaw(path, "").apply(before).text
    assert after is not None
    assert pruned(tomllib.loads(after)) == pruned(without(tomllib.loads(before), path))


@given(st.sampled_from(LISTS) | st.sampled_from(PATHS), st.data())
@settings(max_examples=120, deadline=None)
def test_a_list_takes_a_row_and_gives_it_back(place: tuple[str, Path], data: st.DataObject) -> None:
    name, path = place
    before = EXAMPLES[name]
    value = at(tomllib.loads(before), path)
    row = '{ name = "x", power = "1 W" }'
    result = AddRow(path, row).apply(before)
    if not isinstance(value, list):
        assert [one.code for one in result.findings] == ["PLAN-040"]
        return
    assert result.text is not None
    assert at(tomllib.loads(result.text), path) == [*value, {"name": "x", "power": "1 W"}]
    only_that_changed(before, result.text, (*path, len(value)))
    assert RemoveRow(path, len(value)).apply(result.text).text == before
    if value:
        number = data.draw(st.integers(0, len(value) - 1))
        less = RemoveRow(path, number).apply(before).text
        assert less is not None
        assert at(tomllib.loads(less), path) == [one for place, one in enumerate(value) if place != number]


STEPS = st.one_of(
    st.text(max_size=6),
    st.integers(-2, 12),
    st.sampled_from(
        [
            "rack",
            "shelf",
            "1",
            "id=A",
            "tank=A1",
            "value",
            "assume",
            "tank",
            "overflow",
            "title",
            "size",
            "water",
            "tap",
            "mix",
            "zone",
            "main",
            "wants",
            "ph",
            "stock",
            "species",
            "climate",
            "room",
            "cellar",
            "shell",
            "walls",
            "layers",
            "heater",
        ]
    ),
)
ANY_PATH = st.lists(STEPS, max_size=6).map(tuple)
ANY_NUMBER = st.floats() | st.floats(0, 5)
NAMES = st.one_of(st.text(max_size=8), st.sampled_from(["A", "B3", "A1", "S1", "R004", "R004-02"]))
ANY_CHANGE: st.SearchStrategy[Change] = st.one_of(
    st.builds(SetValue, ANY_PATH, TYPED, st.none() | st.dates()),
    st.builds(SetRaw, ANY_PATH, TYPED),
    st.builds(SetText, st.text(max_size=50)),
    st.builds(AddRow, ANY_PATH, TYPED),
    st.builds(RemoveRow, ANY_PATH, st.integers(-3, 5)),
    st.builds(
        MoveRack, NAMES, ANY_NUMBER, st.none() | ANY_NUMBER, st.none() | st.tuples(ANY_NUMBER, ANY_NUMBER)
    ),
    st.builds(MoveTank, NAMES, ANY_NUMBER),
    st.builds(TurnElbow, NAMES, ANY_NUMBER),
    st.builds(SetTap, NAMES, ANY_NUMBER),
)
PIECES = [
    "a = 1\n", "[rack]\n", "[[rack]]\n", "id = 'A'\n", "shelf.1 = [{ kind = 'k', ids = 'A1..A3' }]\n", "shelf = 3\n",
    "shelf = [[1, 2], { a.b = 1 }]\n", "[rack.shelf]\n", "1 = [{ids='B3'}]\n", "[tank.A1]\n", "overflow = 'x'\n",
    "tank = 5\n", "[tank_kind.k]\n", "outside = ['90 cm']\n", "at = ['1 m', 2]\n", "wall = 7\n", "# r\n", "\r\n",
    "\ufeff",
    "assume = { 'tank.gap' = '1 cm', tank.gap = 3 }\n", "title = '''\na'''", "size = { length = { value = 3 } }\n", "[",
    "[[stock]]\n", "tanks = 'A1..A3'\n", "stock = { tanks = 'A1' }\n", "[water.tap]\n", "mix = { tap = '60 %' }\n",
    "[zone.main]\n", "wants = { ph = [8, 6] }\n", "[climate.room.x]\n", "heat_to = '240 °C'\n", "[room.x.shell]\n",
    "walls = { layers = [{ material = 'brick' }, 3] }\n", "heater = { power = 'x' }\n", "[species.'a b']\n",
    "kind = 'k'\n", "[[tank]]\n", "[assume]\n", "tank.gap = true\n", "display = 'US'\n",
]  # fmt: skip
ANY_TEXT = st.one_of(
    st.text(max_size=60),
    st.lists(st.sampled_from(PIECES), max_size=8).map("".join),
    st.tuples(
        st.sampled_from(sorted(EXAMPLES)),
        st.integers(0, max(map(len, EXAMPLES.values()))),
        st.integers(0, 40),
    ).map(lambda cut: EXAMPLES[cut[0]][: cut[1]] + EXAMPLES[cut[0]][cut[1] + cut[2] :]),
)


@given(ANY_TEXT, st.lists(ANY_CHANGE, min_size=1, max_size=4))
@settings(max_examples=300, deadline=None)
def test_nothing_typed_raises_and_what_is_given_back_reads(text: str, changes: list[Change]) -> None:
    for change in changes:
        said = change.says(text)
        assert 0 < len(said) <= 120
        assert "\n" not in said
        value = current_value(text, change.path)
        assert value is None or isinstance(value, str)
        result = change.apply(text)
        assert (result.text is None) == bool(result.findings)
        if result.text is None or isinstance(change, SetText):
            continue
        assert read_positions(result.text).findings == ()
        text = result.text


@pytest.mark.parametrize("number", [math.inf, math.nan, -math.inf, 1e300, -0.0])
def test_a_number_that_is_no_place_is_refused_or_written(number: float) -> None:
    for change in (
        MoveRack("A", number),
        MoveTank("A4", number),
        TurnElbow("A4", number),
        SetTap("A4", number),
    ):
        result = change.apply(EXAMPLES["cellar"])
        assert result.text is None or math.isfinite(number)
