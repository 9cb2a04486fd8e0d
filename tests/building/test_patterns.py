"""Planted faults, each named by what its readings have in common."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path
from random import Random

from tankwright.building.comparing import compare
from tankwright.building.measurable import measurable
from tankwright.building.patterns import explain
from tankwright.building.point import Reading, TestPoint
from tankwright.building.points import expected_points
from tankwright.finding import Finding
from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.room.model import Room
from tankwright.study import Study, work_out

TEXT = (Path(__file__).parents[2] / "examples" / "cellar_mended.toml").read_text("utf-8")
ALL = frozenset({"air", "feed", "drain"})
Turn = Callable[[TestPoint, float], float]


@cache
def cellar() -> tuple[Study, tuple[TestPoint, ...]]:
    plan = read_plan_text(TEXT, "cellar.toml").plan
    assert plan is not None
    room = lay_out(plan).room
    assert room is not None
    study = work_out(room, ALL, walk_through=False)
    return study, expected_points(study)


def patterns(turn: Turn, *, truth: dict[str, float] | None = None, only: Callable[[TestPoint], bool] | None = None,
             seed: int = 1) -> list[Finding]:  # fmt: skip
    """What is said of readings that are what is expected, or the `truth`, turned by a fault, with half the noise."""
    chance = Random(seed)
    points = cellar()[1]
    readings = [
        Reading(
            point=one.id,
            value=turn(one, (truth or {}).get(one.id, one.value)) + chance.gauss(0.0, one.tolerance / 4.0),
            unit=one.unit,
            line=1,
        )
        for one in points
        if one.kind != "trip" and (only is None or only(one))
    ]
    return [one for one in explain(compare(points, readings)) if one.code != "PROOF-20"]


def values(room: Room) -> dict[str, float]:
    return {one.id: one.value for one in measurable(work_out(room, ALL, walk_through=False))}


def as_is(_: TestPoint, value: float) -> float:
    return value


def test_a_room_as_planned_has_no_pattern() -> None:
    for seed in range(12):
        assert patterns(as_is, seed=seed) == []


def test_a_tired_pump_lowers_all_air_and_its_pressure() -> None:
    room = cellar()[0].room
    tired = tuple(replace(one, curve=tuple((p, 0.6 * q) for p, q in one.curve)) for one in room.pumps)
    found = patterns(as_is, truth=values(replace(room, pumps=tired)))
    whole = [one for one in found if one.code == "PROOF-21"]
    assert {one.subject for one in whole} >= {"ring"}
    assert "pump" in whole[0].reason
    assert "leak" in whole[0].reason
    assert any("pressure is low as well" in one.remedy for one in whole)
    assert not [one for one in found if one.code in ("PROOF-23", "PROOF-24")]


def test_taps_turned_down_everywhere_raise_the_pressure() -> None:
    def turn(one: TestPoint, value: float) -> float:
        return {"air": 0.7, "pump pressure": 1.2}.get(one.kind, 1.0) * value

    whole = [one for one in patterns(turn) if one.code == "PROOF-21"]
    assert whole
    assert all("at the outlets" in one.remedy for one in whole)


def test_one_clogged_sponge_is_named_and_nothing_else() -> None:
    for seed in range(6):
        found = patterns(lambda one, value: 0.3 * value if one.id == "B3.air" else value, seed=seed)
        assert [(one.code, one.subject) for one in found] == [("PROOF-23", "tank B3")]
        assert "sponge" in found[0].reason


def test_one_clogged_dripper_is_named() -> None:
    found = patterns(lambda one, value: 0.4 * value if one.id == "C3.drip" else value)
    assert [(one.code, one.subject) for one in found] == [("PROOF-23", "tank C3")]
    assert "dripper" in found[0].reason


def test_a_used_up_filter_lowers_all_drips() -> None:
    found = patterns(lambda one, value: {"drip": 0.7, "feed pressure": 0.5}.get(one.kind, 1.0) * value)
    assert [one.code for one in found] == ["PROOF-22", "PROOF-35"]
    assert "filter" in found[0].reason


def test_a_kink_in_the_pipe_lowers_what_lies_behind_it_and_is_told_between_which() -> None:
    drips = sorted(
        (one for one in cellar()[1] if one.kind == "drip"), key=lambda one: (one.along or 0.0, one.id)
    )
    half = len(drips) // 2
    behind = {one.id for one in drips[half:]}
    found = patterns(lambda one, value: 0.6 * value if one.id in behind else value)
    assert [one.code for one in found] == ["PROOF-24"]
    assert f"between {drips[half - 1].tank} and {drips[half].tank}" in found[0].text
    assert set(found[0].places) == {one.tank for one in drips[half:]}


def test_a_pipe_too_narrow_loses_more_and_more() -> None:
    drips = [one for one in cellar()[1] if one.kind == "drip"]
    longest = max(one.along or 0.0 for one in drips)

    def turn(one: TestPoint, value: float) -> float:
        return value * (1.0 - 0.5 * (one.along or 0.0) / longest) if one.kind == "drip" else value

    found = [one for one in patterns(turn) if one.code == "PROOF-24"]
    assert len(found) == 1
    assert "towards the far end" in found[0].text
    assert "narrower" in found[0].remedy


def test_one_tap_wide_open_robs_its_neighbours() -> None:
    air = sorted(
        (one for one in cellar()[1] if one.kind == "air" and one.run == "ring"),
        key=lambda one: (one.along or 0.0, one.id),
    )
    middle = len(air) // 2
    shares = {air[middle].id: 1.8, air[middle - 1].id: 0.93, air[middle + 1].id: 0.93}
    found = patterns(lambda one, value: shares.get(one.id, 1.0) * value)
    robbing = [one for one in found if one.code == "PROOF-25"]
    assert [one.subject for one in robbing] == [f"tank {air[middle].tank}"]
    assert "neighbours" in robbing[0].text


def test_one_level_too_high_points_to_its_elbow_or_strainer() -> None:
    found = patterns(lambda one, value: value - 0.012 if one.id == "A4.level" else value)
    assert [(one.code, one.subject) for one in found] == [("PROOF-26", "tank A4")]
    assert "elbow" in found[0].reason
    assert "strainer" in found[0].reason


def test_levels_that_run_off_along_a_rack_say_it_is_not_level() -> None:
    def turn(one: TestPoint, value: float) -> float:
        return value + 0.012 * (one.beside or 0.0) if one.kind == "level" and one.rack == "B" else value

    found = [one for one in patterns(turn) if one.code == "PROOF-27"]
    assert [one.subject for one in found] == ["rack B"]
    assert abs(dict(found[0].numbers)["slope"].value - 0.012) < 0.003


def test_all_levels_off_alike_is_one_pattern_not_forty() -> None:
    found = patterns(lambda one, value: value + 0.008 if one.kind == "level" else value)
    assert [one.code for one in found] == ["PROOF-29"]


def test_a_late_device_is_a_problem() -> None:
    opened = read_plan_text(TEXT, "x").plan
    assert opened is not None
    room = lay_out(opened).room
    assert room is not None
    points = expected_points(work_out(room, frozenset({"power"}), walk_through=False))
    trip = next(one for one in points if one.kind == "trip")
    late, prompt = (
        explain(compare(points, [Reading(point=trip.id, value=value, unit="ms", line=1)]))
        for value in (0.45, 0.03)
    )
    assert [one.code for one in late] == ["PROOF-39"]
    assert "licensed" in late[0].remedy
    assert prompt == ()


def test_too_few_readings_say_so() -> None:
    points = cellar()[1]
    some = [one for one in points if one.id in ("A1.air", "A1.drip", "A1.level")]
    found = explain(
        compare(points, [Reading(point=one.id, value=one.value, unit=one.unit, line=1) for one in some])
    )
    assert {one.code for one in found} == {"PROOF-20"}
    assert len(found) == 3
