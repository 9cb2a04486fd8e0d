"""The working of every figure of glass: it is the result's own number, and its inputs lead to it."""

from __future__ import annotations

import math

import pytest

from tankwright.explain.glass import workings_glass
from tankwright.explain.model import Working
from tankwright.systems.glass import solve_glass

from ..systems.glass_rooms import glass_room


def workings(**changes: str) -> dict[str, Working]:
    room = glass_room(**changes)
    return {one.name: one for one in workings_glass(room, solve_glass(room))}


def value(working: Working, name: str) -> float:
    return next(one.number.value for one in working.inputs if one.name.startswith(name))


def test_every_pane_has_its_pull_use_bow_and_thickness() -> None:
    found = workings(kind='base_on = "edges"')
    for pane in ("front", "back", "left", "right", "base"):
        for what in ("stress", "use", "bow", "needed"):
            assert f"glass.long.{pane}.{what}" in found
    assert [name for name in found if name.endswith(".hole")] == ["glass.long.back.hole"]


def test_the_inputs_of_a_hole_lead_to_its_pull() -> None:
    hole = workings()["glass.long.back.hole"]
    first, second = value(hole, "first principal"), value(hole, "second")
    raiser = value(hole, "raiser")
    both = (raiser * first + (2 - raiser) * second, raiser * second + (2 - raiser) * first)
    assert hole.number.value == pytest.approx(max(map(abs, both)) * value(hole, "what a free edge"))


def test_a_use_is_its_pull_over_what_is_let_bear() -> None:
    for name, use in workings(kind='base_on = "edges"').items():
        if name.endswith(".use"):
            assert use.number.value == pytest.approx(value(use, "pull") / value(use, "what it is let bear"))


def test_the_thickness_named_follows_from_the_use_where_no_hole_governs() -> None:
    found = workings(hole="", overflow='overflow = { water_below_rim = "42 mm" }')
    needed, use = found["glass.long.front.needed"], found["glass.long.front.use"]
    assert needed.number.value == pytest.approx(0.006 * math.sqrt(use.number.value), abs=1e-4)


def test_what_a_working_points_to_is_there_and_every_one_is_a_screening_or_says_its_range() -> None:
    found = workings(kind='base_on = "edges"')
    for working in found.values():
        assert all(one.see in found for one in working.inputs if one.see)
        assert "screening" in working.note or "linear theory" in working.note
        assert working.source


def test_tanks_filled_otherwise_have_workings_of_their_own() -> None:
    found = workings(more='\n[tank.A2]\noverflow = { water_below_rim = "60 mm" }')
    assert {"glass.long.back.use", "glass.long.back.A2.use"} <= set(found) or {
        "glass.long.back.use", "glass.long.back.A1.use",
    } <= set(found)  # fmt: skip
