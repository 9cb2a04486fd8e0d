"""What a hand does in the drawing is written as the owner would have written it."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from tankwright.plan.changes import (
    Change,
    MoveRack,
    MoveTank,
    SetTap,
    SetValue,
    TurnElbow,
    current_value,
)
from tankwright.plan.reading import read_plan_text

PLAN = """\
[tank_kind.long]
outside = ["90 cm", "38 cm", "38 cm"]
[tank_kind.stand]
outside = ["60 cm", "30 cm", "30 cm"]
overflow = { kind = "standpipe" }

[[rack]]
id = "A" # the first
wall = "north"
from_west = "15 cm" # from the corner
off_wall = { value = "80 mm", measured = 2026-09-12 }
shelf.1 = [
    { kind = "long", ids = "A1..A4", from_left = "0.05 m", gap = "2 cm" }, # heavy
    { kind = "stand", ids = "A5, A7..A9", end_on = true },
]
shelf.2 = [{ kind = "gone", ids = "A10..A11" }, { kind = "long", ids = "A9..A1" }]

[[rack]]
id = "1"
wall = "east"
[[rack.shelf.1]]
kind = "long"
ids = "C1"

[[rack]]
id = "isle"
at = ["1.00 m", "5 ft 3 in"] # the corner
"""


def changed(change: Change, before: str = PLAN) -> list[str]:
    """The lines a change makes."""
    result = change.apply(before)
    assert result.findings == ()
    assert result.text is not None
    old = before.splitlines()
    return [line for line in result.text.splitlines() if line not in old]


@pytest.mark.parametrize(
    ("change", "lines", "said"),
    [
        (MoveRack("A", along=0.2034), ['from_west = "20.3 cm" # from the corner'],
         'rack A: from_west "15 cm" -> "20.3 cm"'),
        (MoveRack("A", along=0.1504, off=0.1), ['off_wall = "100 mm"'],
         'rack A: off_wall "80 mm" measured 2026-09-12 -> "100 mm"'),
        (MoveRack("A", along=0.15, off=0.08), [], "nothing changed"),
        (MoveRack("A", along=-0.0001), ['from_west = "0 cm" # from the corner'],
         'rack A: from_west "15 cm" -> "0 cm"'),
        (MoveRack("1", along=1.2, off=0.05), ['from_south = "120 cm"', 'off_wall = "5 cm"'],
         'rack 1: from_south "120 cm" added, off_wall "5 cm" added'),
        (MoveRack("isle", at=(1.2, 1.7526)), ['at = ["1.20 m", "5 ft 9 in"] # the corner'],
         'rack isle: at, number 1 "1.00 m" -> "1.20 m", at, number 2 "5 ft 3 in" -> "5 ft 9 in"'),
        (MoveRack("isle", at=(1.0, 0.2413)), ['at = ["1.00 m", "9 1/2 in"] # the corner'],
         'rack isle: at, number 2 "5 ft 3 in" -> "9 1/2 in"'),
        # A1..A4 move together: 0.05 m + 2 * (0.90 + 0.02) m is where A3 stands
        (MoveTank("A1", 0.1), ['    { kind = "long", ids = "A1..A4", from_left = "0.10 m", gap = "2 cm" }, # heavy'],
         'rack A, shelf 1, tanks A1..A4: from_left "0.05 m" -> "0.10 m", moves A1..A4 with A1'),
        (MoveTank("A3", 1.94), ['    { kind = "long", ids = "A1..A4", from_left = "0.10 m", gap = "2 cm" }, # heavy'],
         'rack A, shelf 1, tanks A1..A4: from_left "0.05 m" -> "0.10 m", moves A1..A4 with A3'),
        # end-on, with the assumed gap of 1 cm: A8 is the third, 2 * (0.30 + 0.01) m from its row's left
        (MoveTank("A8", 4.62), ['    { kind = "stand", ids = "A5, A7..A9", end_on = true, from_left = "400 cm" },'],
         'rack A, shelf 1, tanks A5, A7..A9: from_left "400 cm" added, moves A5, A7..A9 with A8'),
        (MoveTank("C1", 0.25), ['from_left = "25 cm"'], 'rack 1, shelf 1, tanks C1: from_left "25 cm" added'),
        (TurnElbow("A2", math.radians(35.2)), ["[tank.A2]", 'overflow = { angle = "35 deg" }'],
         'tank A2: overflow.angle "35 deg" added'),
        (TurnElbow("A2", -math.radians(7.6)), ["[tank.A2]", 'overflow = { angle = "-7.5 deg" }'],
         'tank A2: overflow.angle "-7.5 deg" added'),
        (SetTap("A2", 0.6), ["[tank.A2]", 'air_opening = "60 %"'], 'tank A2: air_opening "60 %" added'),
        (SetTap("A2", 0.0), ["[tank.A2]", 'air_opening = "0 %"'], 'tank A2: air_opening "0 %" added'),
    ],
)  # fmt: skip
def test_a_move_writes_the_owners_units_and_says_so(change: Change, lines: list[str], said: str) -> None:
    assert changed(change) == lines
    assert change.says(PLAN) == said


def test_a_gap_the_owner_assumes_counts_when_a_tank_is_moved() -> None:
    before = PLAN + '[assume]\ntank.gap = "3 cm"\n'
    assert changed(MoveTank("A8", 4.66), before) == [
        '    { kind = "stand", ids = "A5, A7..A9", end_on = true, from_left = "400 cm" },'
    ]


def test_who_reads_in_feet_gets_inches_where_nothing_stood() -> None:
    assert changed(MoveTank("C1", 0.25), 'display = "US"\n' + PLAN) == ['from_left = "9 7/8 in"']


def test_an_angle_takes_the_place_of_a_level_in_the_tanks_own_table() -> None:
    before = PLAN + '\n[tank.A2]\noverflow = { water_below_rim = "4 cm", bore = "15 mm" }\n'
    assert changed(TurnElbow("A2", 0.5), before) == ['overflow = { bore = "15 mm", angle = "28.5 deg" }']
    before = PLAN + '\n[tank.A2.overflow] # mine\nwater_below_rim = "4 cm"\n'
    assert changed(TurnElbow("A2", 0.5), before) == ['angle = "28.5 deg"']
    before = PLAN + '\n[tank]\nA2 = { overflow = { angle = "10 deg" } }\n'
    assert changed(TurnElbow("A2", 0.5), before) == ['A2 = { overflow = { angle = "28.5 deg" } }']


@pytest.mark.parametrize(
    ("change", "code", "subject", "text", "found", "wanted"),
    [
        (MoveRack("B", along=1), "PLAN-030", "the plan", '"B" is no rack of this plan', '"B"', "a rack: A, 1 or isle"),
        (MoveRack("A", along=-0.2), "PLAN-048", "rack A", "cannot stand outside its room", "-20 cm",
         "a place inside the room: zero or more"),
        (MoveRack("A", off=math.nan), "PLAN-048", "rack A", "cannot stand outside its room", "nan cm",
         "a place inside the room: zero or more"),
        (MoveRack("isle", at=(1.0, math.inf)), "PLAN-048", "rack isle", "cannot stand outside its room", "inf cm",
         "a place inside the room: zero or more"),
        (MoveRack("isle", along=1), "PLAN-048", "rack isle", "stands free, not along a wall", "a place along a wall",
         "the place of its south-west corner"),
        (MoveRack("A", at=(1, 1)), "PLAN-048", "rack A", "stands along a wall, not free", "a place in the room",
         "a distance along its wall"),
        (MoveTank("A3", 1.8), "PLAN-048", "tank A3",
         "cannot stand there: its row, A1..A4, would begin left of the rack's end", "180 cm", "184 cm or more"),
        (MoveTank("C1", -0.1), "PLAN-048", "tank C1",
         "cannot stand there: it would begin left of the rack's end", "-10 cm", "zero or more"),
        (MoveTank("A11", 1.0), "PLAN-048", "tank A11",
         "cannot be moved: how long the tanks before it are is not known", "",
         "a kind of tank with its outside size"),
        (MoveTank("X", 1.0), "PLAN-030", "the plan", '"X" is no tank of this plan', '"X"',
         "a tank: A1, A2, A3, A4, A5, A7, A8, A9, A10, A11 or C1"),
        (TurnElbow("A33", 1.0), "PLAN-030", "the plan", '"A33" is no tank of this plan; did you mean "A3"?', '"A33"',
         "a tank: A1, A2, A3, A4, A5, A7, A8, A9, A10, A11 or C1"),
        (TurnElbow("A7", 1.0), "PLAN-048", "tank A7", "has a standpipe, and that is not turned", "an angle",
         "another height of the standpipe"),
        (TurnElbow("A2", 7.0), "PLAN-048", "tank A2", "cannot have its elbow turned so far", "7 rad",
         "an angle between -180 deg and 180 deg"),
        (SetTap("A2", 1.5), "PLAN-048", "tank A2", "cannot have its tap opened so far", "150 %", "0 % to 100 %"),
        (SetTap("A2", math.nan), "PLAN-048", "tank A2", "cannot have its tap opened so far", "nan %", "0 % to 100 %"),
    ],
)  # fmt: skip
def test_a_move_that_cannot_be_is_answered(
    change: Change, code: str, subject: str, text: str, found: str, wanted: str
) -> None:
    result = change.apply(PLAN)
    assert result.text is None
    finding = result.findings[0]
    assert (finding.code, finding.subject, finding.text) == (code, subject, text)
    assert (finding.found, finding.wanted) == (found, wanted)
    assert change.says(PLAN) == "nothing changed"


def test_what_a_move_touches_can_be_shown_for_both_sides_of_a_conflict() -> None:
    assert current_value(PLAN, MoveTank("A3", 1).path) == "0.05 m"
    assert current_value(PLAN, MoveTank("A8", 1).path) is None
    assert current_value(PLAN, SetTap("A3", 1).path) is None
    assert str(current_value(PLAN, MoveRack("1", 1).path)).startswith('id = "1", wall = "east"')
    assert current_value(PLAN, ("rack", "id=A", "from_west")) == "15 cm"
    assert current_value(PLAN, ("rack", "isle", "at")) == "1.00 m, 5 ft 3 in"
    assert current_value(PLAN, ("rack", "1", "id")) == "1"  # a number is a place in the list: the second rack


EXAMPLES = {
    name: (Path(__file__).parents[2] / "examples" / f"{name}.toml").read_text(encoding="utf-8")
    for name in ("cellar", "cellar_mended", "garage", "hall")
}


@pytest.mark.parametrize("name", EXAMPLES)
def test_moves_leave_an_example_without_new_mistakes(name: str) -> None:
    before = EXAMPLES[name]
    plan = read_plan_text(before, name).plan
    assert plan is not None
    rack = plan.rack[1]
    tank = rack.shelf["1"][0].ids.split("..")[0]
    place = MoveRack(rack.id, at=(1.0, 2.0)) if rack.at else MoveRack(rack.id, along=1.0, off=0.1)
    changes: list[Change] = [
        place, MoveTank(tank, 0.1), TurnElbow(tank, 0.4), SetTap(tank, 0.5), SetTap(tank, 0.7),
        SetValue(("rack", f"id={rack.id}", "zone"), "main"), SetValue(("assume", "tank.gap"), "12 mm"),
    ]  # fmt: skip
    text = before
    for change in changes:
        result = change.apply(text)
        assert result.findings == ()
        assert result.text not in (None, text)
        text = str(result.text)
        read = read_plan_text(text, name)
        assert read.findings == read_plan_text(before, name).findings
    assert read.plan is not None
    moved = read.plan.rack[1]
    places = [one.value for one in moved.at] if moved.at else [(moved.from_west or moved.from_south).value]  # type: ignore[union-attr]
    wanted = [1.0, 2.0] if moved.at else [1.0]
    finest = 0.0005 if plan.display == "metric" else 0.0254 / 16  # written to the millimetre, to 1/8 in
    assert places == pytest.approx(wanted, abs=finest)
