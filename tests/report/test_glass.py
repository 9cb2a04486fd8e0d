"""Glass in short and as data, always with the caution."""

from __future__ import annotations

import json

import pytest

from tankwright.display import render_summary
from tankwright.report.glass import CAUTION, MOST_KINDS, json_glass, summary_glass
from tankwright.systems.glass import solve_glass

from ..systems.glass_rooms import glass_room


def shown(**changes: str) -> str:
    room = glass_room(**changes)
    return " ".join(render_summary("glass", summary_glass(room, solve_glass(room))).split())


def test_the_summary_gives_the_worst_wall_the_base_and_the_caution() -> None:
    text = shown(kind="")
    assert "long, back: " in text
    assert "MPa" in text
    assert "long, base: " in text
    assert "if only its edges carry it" in text
    assert text.endswith(CAUTION)
    assert "{" not in text


def test_a_base_on_a_bed_and_what_is_not_worked_out_are_named() -> None:
    assert "long, base lies flat on a bed" not in shown(kind="")
    assert "long, base lies on a flat bed" in shown()
    assert "not computed: tank kind long" in shown(glass="")


def test_a_braced_pane_says_how_it_was_taken() -> None:
    kind = 'top = "braced"\nbrace = { kind = "cross", width = "60 mm" }\nbase_on = "bed"'
    assert "as if its brace were not there" in shown(kind=kind, hole="", overflow="")


def test_many_kinds_are_counted_not_listed() -> None:
    kinds = "".join(
        f'\n[tank_kind.k{n}]\noutside = ["20 cm", "20 cm", "20 cm"]\nbase_on = "bed"\n'
        'glass = { sides = "4 mm", base = "4 mm", temper = "annealed" }'
        for n in range(6)
    )
    rack = "shelf.2 = [" + ", ".join(f'{{ kind = "k{n}", ids = "B{n}" }}' for n in range(6)) + "]"
    text = shown(more=rack + kinds)
    assert f"and {7 - MOST_KINDS} more kinds" in text


def test_the_data_has_every_pane_in_named_units_and_both_routes() -> None:
    room = glass_room(kind='base_on = "edges"')
    result = solve_glass(room)
    data = json.loads(json.dumps(json_glass(room, result), allow_nan=False))
    assert data["caution"] == CAUTION
    assert [one["pane"] for one in data["panes"]] == [one.case.pane for one in result.panes]
    back = next(one for one in data["panes"] if one["pane"] == "back")
    assert back["thickness_mm"] == pytest.approx(6.0)
    assert back["holes"][0]["from_left_m"] == pytest.approx(0.09)
    assert back["holes"][0]["below_rim_m"] == pytest.approx(0.07)
    assert back["worst_mpa"] / back["strength"]["working_edge_mpa"] == pytest.approx(back["use_share"])
    assert back["strength"]["en_surface_mpa"] > back["strength"]["fifty_years_surface_mpa"]
    assert back["brim_use_share"] > back["use_share"]


def test_an_empty_room_has_the_caution_alone() -> None:
    room = glass_room(hole="", overflow="", ids="A1")
    empty = solve_glass(room)
    assert json_glass(room, empty)["not_computed"] == []
