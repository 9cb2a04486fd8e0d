"""Work the plan proposes: for what stands in it, with the ranges of the plan, filters of one water one at a time."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from tankwright.husbandry.kinds import shape_faults
from tankwright.husbandry.proposals import Proposal, proposals, task_draft, tasks_of
from tankwright.study import Study
from tankwright.workspace.opened import open_plan

from .happenings import day

EXAMPLES = Path(__file__).parent.parent.parent / "examples"


@cache
def study(name: str = "cellar_mended") -> Study:
    opened = open_plan(EXAMPLES / f"{name}.toml")
    assert opened.study is not None
    return opened.study


def of(kind: str, name: str = "cellar_mended") -> Proposal:
    return next(one for one in proposals(study(name)) if one.kind == kind)


def test_every_tank_that_stands_is_looked_at_every_day_and_those_only_wished_for_are_not() -> None:
    stands = [tank.id for tank in study().room.tanks if tank.state == "stands"]
    assert [one.place for one in of("look").wanted] == stands
    assert len(stands) < len(study().room.tanks)


def test_temperatures_have_the_range_their_zone_wants() -> None:
    assert {(one.low, one.high) for one in of("temperature").wanted} == {(22.0, 26.0)}
    us = replace(study(), room=replace(study().room, display="US"))
    warm = next(one for one in proposals(us) if one.kind == "temperature")
    assert (warm.unit, warm.wanted[0].low) == ("°F", 71.6)


def test_hardness_stands_in_german_degrees_as_it_was_wanted() -> None:
    assert {(one.low, one.high) for one in of("kh").wanted} == {(3.0, 12.0)}


def test_drips_are_what_the_feed_was_worked_out_to_give_within_what_a_jug_can_tell() -> None:
    drip = of("drip")
    assert drip.unit == "mL/min"
    assert all(
        one.low is not None and one.high is not None and one.low < 2000 / 60 < one.high for one in drip.wanted
    )


def test_carbon_lasts_as_long_as_the_plan_says_and_by_its_litres() -> None:
    carbon = of("carbon")
    life = study().water.life.carbons[0] if study().water and study().water.life else None  # type: ignore[union-attr]
    assert life is not None
    assert carbon.every_days == int(life.lasts.low / 86400.0)
    assert carbon.litres == pytest.approx(life.volume_a_day * 1000.0 * life.lasts.low / 86400.0, rel=0.005)
    assert carbon.feed == "drip"


def test_sponges_of_a_rack_are_rinsed_one_after_the_other_within_their_days() -> None:
    by_rotation: dict[str, list[float]] = {}
    for one in of("sponge").wanted:
        assert one.rotation
        by_rotation.setdefault(one.rotation, []).append(one.rest_days)
    for rests in by_rotation.values():
        assert len(set(rests)) == 1
        assert rests[0] >= 1
        assert len(rests) * rests[0] <= max(28.0, len(rests))


def test_each_device_is_tested_by_its_button_with_the_usual_caution() -> None:
    rcd = of("rcd")
    assert len({one.label for one in rcd.wanted}) == len(rcd.wanted) == 3
    assert "electrician" in rcd.caution
    assert "Open no mains box" in rcd.caution


@pytest.mark.parametrize("name", ["cellar_mended", "cellar", "hall"])
def test_every_proposal_can_be_taken_and_says_why_and_whose_its_days_are(name: str) -> None:
    places = {tank.id: f"place {tank.id}" for tank in study(name).room.tanks}
    for one in proposals(study(name)):
        assert one.why
        assert one.source
        tasks = tasks_of(one, places)
        assert len(tasks) == len(one.wanted)
        assert len({task.id for task in tasks}) == len(tasks)
        assert all(shape_faults(task_draft(task, day(0))) == () for task in tasks)


def test_a_place_that_is_not_in_the_book_gets_no_task() -> None:
    assert tasks_of(of("look"), {"A1": "p"})[0].place == "p"
    assert len(tasks_of(of("look"), {"A1": "p"})) == 1
