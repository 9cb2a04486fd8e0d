"""Things in one place: a few are told each, hundreds in one sentence."""

from __future__ import annotations

import pytest

from tankwright.checks.layout_clashes import TOLD, nothing_stands_in_anything
from tankwright.finding import Finding
from tankwright.plan.reading import read_plan_text
from tankwright.room.boxes import MOST_PAIRS
from tankwright.room.layout import lay_out
from tankwright.systems.layout import solve_layout

ROOM = """
[room.shed]
size = { length = "9 m", width = "9 m", height = "2.2 m" }
[rack_kind.low]
length = "100 cm"
depth = "40 cm"
shelves = ["60 cm"]
"""
RACK = '[[rack]]\nid = "{}"\nkind = "low"\nroom = "shed"\nat = ["{} m", "1 m"]\nfacing = "south"\n'


def findings(*places: float) -> list[Finding]:
    text = ROOM + "".join(RACK.format(f"R{number}", place) for number, place in enumerate(places))
    plan = read_plan_text(text, "plan.toml").plan
    assert plan is not None
    room = lay_out(plan).room
    assert room is not None
    return list(nothing_stands_in_anything(room, solve_layout(room)))


def test_two_racks_in_one_place_are_told_by_their_names() -> None:
    (one,) = findings(1.0, 1.7, 4.0)
    assert (one.code, one.subject, one.places) == ("LAYOUT-03", "rack R0", ("R0", "R1"))
    assert one.value is not None
    assert one.value.value == pytest.approx(0.3, abs=1e-9)
    assert one.line == ROOM.count("\n") + 1


def test_of_ninety_in_one_place_the_deepest_are_told_and_the_rest_counted() -> None:
    *told, rest = findings(1.7, *([1.0] * 90))
    assert len(told) == TOLD
    assert all("R0" not in one.places for one in told), "the one that runs in least is among the rest"
    more = dict(rest.numbers)["more"].value
    assert more == 90 * 89 / 2 + 90 - TOLD
    assert rest.subject == "racks in one place"
    assert rest.code == "LAYOUT-03"


def test_a_plan_of_nothing_but_clashes_has_no_more_of_them_than_fit_a_memory() -> None:
    *told, rest = findings(*([1.0] * 150))
    assert MOST_PAIRS < 150 * 149 / 2
    assert (len(told), dict(rest.numbers)["more"].value) == (TOLD, MOST_PAIRS - TOLD)
    assert "at least" in rest.text
