"""The test sheet before the test: one line a quantity, with what should come and how it is measured."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from tankwright.building.measurable import measurable
from tankwright.building.point import TestPoint
from tankwright.building.points import expected_points
from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.study import Study
from tankwright.units import DIMENSIONS, convert
from tankwright.workspace.opened import Opened, open_plan

from .proof_room import TEXT, plan_of, shed, study_of

EXAMPLES = Path(__file__).parents[2] / "examples"


@cache
def cellar() -> tuple[Opened, dict[str, TestPoint]]:
    opened = open_plan(EXAMPLES / "cellar.toml")
    assert opened.study is not None
    return opened, {one.id: one for one in expected_points(opened.study)}


def of_the_cellar() -> Study:
    study = cellar()[0].study
    assert study is not None
    return study


def test_every_quantity_the_room_can_be_proved_by_is_there() -> None:
    points = cellar()[1]
    assert {one.kind for one in points.values()} == {
        "level", "drip", "air", "spare air", "pump pressure", "ring pressure", "feed pressure", "drain time", "depth",
        "fall", "rise", "trip",
    }  # fmt: skip
    for name in (
        "A3.level",
        "A3.drip",
        "A3.air",
        "drain main.fall",
        "cellar.rise",
        "rcd life.trip",
        "piston80.pressure",
    ):
        assert name in points


def test_ids_are_unique_and_the_same_each_time() -> None:
    ids = [one.id for one in measurable(of_the_cellar())]
    assert len(ids) == len(set(ids))
    assert ids == [one.id for one in measurable(of_the_cellar())]


def test_what_is_expected_is_what_the_systems_came_to() -> None:
    opened, points = cellar()
    study = of_the_cellar()
    assert opened.room is not None
    assert study.feed is not None
    assert study.air is not None
    assert study.drain is not None
    tank = opened.room.tank("A3")
    head = next(one.head for one in study.drain.tanks if one.tank == "A3")
    assert tank.overflow is not None
    assert points["A3.level"].value == pytest.approx(tank.rim - tank.overflow.lip - (head or 0.0))
    assert points["A3.drip"].value == study.feed.inflows()["A3"]
    assert points["A3.air"].value == next(one.flow for one in study.air.tanks if one.tank == "A3")
    assert points["drain main.fall"].value == pytest.approx(1 / 150, rel=1e-6)
    assert points["rcd life.trip"].ceiling


@pytest.mark.parametrize("name", ["cellar.toml", "garage.toml"])
def test_each_point_says_all_it_must(name: str) -> None:
    study = open_plan(EXAMPLES / name).study
    assert study is not None
    for one in expected_points(study):
        assert one.what
        assert one.how
        assert one.when
        assert one.needs
        assert one.least <= one.value <= one.most
        assert one.ceiling or one.tolerance > 0.0
        convert(one.value, DIMENSIONS[one.dimension].si_unit, one.unit, difference=True)
        assert set(one.rests_on) <= set(ASSUMPTIONS)


def test_mains_near_water_is_told_with_its_caution() -> None:
    for one in cellar()[1].values():
        if one.kind == "trip":
            assert "screening" in one.caution.casefold()
            assert "licensed" in one.caution


def test_a_band_holds_the_value_and_what_an_assumption_at_its_end_would_give() -> None:
    plan, study, _ = shed()
    points = {one.id: one for one in expected_points(study, plan)}
    for end in (ASSUMPTIONS["air.tap_bore"].low, ASSUMPTIONS["air.tap_bore"].high):
        there = {one.id: one.value for one in measurable(study_of(plan, {"air.tap_bore": end}))}
        for name in ("A1.air", "p.pressure"):
            low, high = points[name].band or (0.0, 0.0)
            assert low - 1e-12 <= there[name] <= high + 1e-12
            assert low <= points[name].value <= high


def test_what_is_given_has_no_band_of_its_own() -> None:
    given = plan_of(TEXT.replace('variation = "4 %"', 'variation = "4 %", rate = "4 L/h"'))
    point = next(one for one in expected_points(study_of(given), given) if one.id == "A1.drip")
    assert point.band is not None
    assert point.band[1] - point.band[0] < 0.01 * point.value


def test_a_slower_drain_takes_longer_and_a_strainer_slows_it() -> None:
    open_one, half = (
        next(
            one.value
            for one in measurable(study_of(plan_of(TEXT.replace('"60 %"', share))))
            if one.kind == "drain time"
        )
        for share in ('"90 %"', '"45 %"')
    )
    assert half > open_one


def test_a_room_of_nothing_has_nothing_to_measure() -> None:
    room = replace(of_the_cellar().room, tanks=(), drains=(), feeds=(), airs=(), power=None)
    assert expected_points(Study(room=room)) == ()
