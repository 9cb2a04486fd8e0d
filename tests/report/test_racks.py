"""Racks in short and in full, and the workings behind their figures."""

from __future__ import annotations

import json

import pytest

from tankwright.display import sentence
from tankwright.explain.racks import workings_racks
from tankwright.report.racks import CAUTION, json_racks, summary_racks

from ..systems.rack_rooms import TIMBER, rack_room, solved

JOISTS = 'joists = { section = "45 mm x 195 mm C24", every = "40 cm", run = "north-south" }'


def lines(**changes):
    room = rack_room(**changes)
    return [sentence(one.text, one.numbers) for one in summary_racks(room, solved(room))]


def test_in_short_it_tells_what_is_used_most_what_sags_and_that_it_is_a_screening():
    told = lines()
    assert told[-1] == CAUTION
    assert "bending" in told[0]
    assert any("after years" in line for line in told)


def test_in_short_it_tells_what_was_not_judged():
    assert lines(built="")[0].startswith("1 of 1 racks were not judged")


def test_in_full_every_beam_upright_and_foot_is_there_as_it_was_worked_out():
    room = rack_room(floor="timber", room=JOISTS)
    result = solved(room)
    whole = json.loads(json.dumps(json_racks(room, result)))
    (rack,) = whole["racks"]
    strength = result.racks[0]
    assert [one["moment_n_m"] for one in rack["beams"]] == [one.moment for one in strength.beams]
    assert rack["beams"][0]["sag_now_mm"] == pytest.approx(strength.beams[0].sag_now * 1000.0)
    bending = next(one for one in rack["beams"][0]["uses"] if one["check"] == "bending")
    assert bending["stress_mpa"] / bending["allowed_mpa"] == pytest.approx(bending["share"])
    (floor,) = whole["floors"]
    assert sum(one["force_n"] for one in floor["feet"]) == pytest.approx(
        sum(one["force_n"] for one in rack["uprights"])
    )
    assert [one["moment_n_m"] for one in floor["joists"]] == [one.moment for one in result.floors[0].joists]


def test_each_figure_opens_its_working():
    room = rack_room(
        floor="timber", room=JOISTS, built=TIMBER.replace("board =", "bearers_under = 3, board =")
    )
    result = solved(room)
    found = {one.name: one for one in workings_racks(room, result)}
    assert set(found) == {
        "racks.A.bearer", "racks.A.sag", "racks.A.piece", "racks.A.board", "racks.A.upright", "racks.A.lean",
        "racks.A.tip", "racks.cellar.floor", "racks.cellar.joist",
    }  # fmt: skip
    bearer = found["racks.A.bearer"]
    inputs = {one.name: one.number.value for one in bearer.inputs}
    assert bearer.number.value == pytest.approx(inputs["largest moment"] / inputs["section modulus"])
    assert inputs["allowed"] > bearer.number.value
    assert found["racks.A.lean"].number.value == pytest.approx(result.racks[0].sway_push)
    assert all(one.source and "screening" in one.note for one in found.values())


def test_a_rack_of_which_nothing_is_known_has_only_its_pulls():
    room = rack_room(built="", tanks="")
    assert [one.name for one in workings_racks(room, solved(room))] == ["racks.A.lean", "racks.cellar.floor"]
