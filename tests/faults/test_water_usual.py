"""Tanks that nothing touches are worked out once for all faults: with the very course they would have had."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tankwright.faults import water_run, water_usual
from tankwright.faults.breaking import broken_room
from tankwright.faults.model import Setting, WaterCourse
from tankwright.faults.water import water_course
from tankwright.faults.water_follow import Follower
from tankwright.room.model_broken import Broken
from tankwright.study import Study
from tankwright.workspace.opened import open_plan

EXAMPLES = Path(__file__).parents[2] / "examples"
EVENING = Setting(clock=18.5 * 3600.0, horizon=40_000.0)


@pytest.fixture(scope="module")
def study() -> Study:
    found = open_plan(EXAMPLES / "cellar.toml").study
    assert found is not None
    return found


@pytest.fixture
def counted(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Names of the tanks that are followed one by one."""
    names: list[str] = []
    follow = Follower.follow

    def told(self: Follower, inflow: object) -> None:
        names.append(self.vessel.tank.id)
        follow(self, inflow)  # type: ignore[arg-type]

    monkeypatch.setattr(Follower, "follow", told)
    return names


def course(study: Study, *broken: Broken) -> WaterCourse:
    return water_course(study, broken_room(study.room, broken), EVENING)


PARTS = [
    (Broken(kind="overflow", what="A1"),),
    (Broken(kind="feed valve", what="drip"),),
    (Broken(kind="hand hose", what="B1", flow=2e-4), Broken(kind="overflow", what="A1")),
    (Broken(kind="mains off", what="tap"),),
    (Broken(kind="pane", what="C1", at="front"),),
]


@pytest.mark.parametrize("parts", PARTS)
def test_every_tank_goes_as_it_would_if_each_were_followed_anew(
    study: Study, parts: tuple[Broken, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = course(study, *parts)
    monkeypatch.setattr(water_run, "as_usual", lambda _study, _setting, followers, _inflows: followers)
    anew = course(study, *parts)
    np.testing.assert_array_equal(kept.times, anew.times)
    # between its own rows a kept course goes straight, which misses the drop of a film by some hundredths of a mm
    np.testing.assert_allclose(kept.level, anew.level, rtol=0.0, atol=5e-5)
    np.testing.assert_allclose(kept.level[-1], anew.level[-1], rtol=0.0, atol=1e-12)
    np.testing.assert_allclose(kept.gone[-1], anew.gone[-1], rtol=1e-12)
    np.testing.assert_allclose(kept.spilled, anew.spilled, rtol=0.0, atol=1e-12)
    assert kept.imbalance() < 1e-12
    assert [(one.what, one.where) for one in kept.events] == [(one.what, one.where) for one in anew.events]


def test_of_two_faults_the_second_follows_only_its_own_tank(study: Study, counted: list[str]) -> None:
    course(study, Broken(kind="overflow", what="A1"))
    counted.clear()
    course(study, Broken(kind="overflow", what="A3"))
    assert set(counted) - {"A1"} == {"A3"}  # the usual course of A1 was not asked for before


def test_a_kept_course_does_not_hang_on_what_was_asked_before(
    study: Study, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = course(study, Broken(kind="overflow", what="A1"))
    course(study, Broken(kind="feed valve", what="drip"))
    monkeypatch.setattr(water_usual, "_kept", [])
    again = course(study, Broken(kind="overflow", what="A1"))
    for name in ("level", "gone", "floor", "spilled", "came"):
        np.testing.assert_array_equal(getattr(first, name), getattr(again, name))
