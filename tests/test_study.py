"""The systems run in order, hand their results on, and are named when one is left out."""

from __future__ import annotations

from pathlib import Path

import pytest

from tankwright.checks.all import judge
from tankwright.finding import Severity
from tankwright.physics.ranges import OutsideValidRange
from tankwright.room.model import Room
from tankwright.study import SYSTEMS, work_out
from tankwright.workspace.opened import lay_text, open_plan, open_text, work_out_laid

CELLAR = Path(__file__).parents[1] / "examples" / "cellar.toml"


@pytest.fixture(scope="module")
def room() -> Room:
    laid = open_plan(CELLAR).room
    assert laid is not None
    return laid


def test_all_systems_run_by_default(room: Room) -> None:
    study = work_out(room)
    assert all(getattr(study, system) is not None for system in SYSTEMS)
    assert study.not_computed == ()


@pytest.mark.parametrize("system", SYSTEMS)
def test_only_the_systems_asked_for_are_given(system: str, room: Room) -> None:
    study = work_out(room, frozenset({system}))
    assert [name for name in SYSTEMS if getattr(study, name) is not None] == [system]


def test_what_the_feed_brings_is_what_the_drain_gets(room: Room) -> None:
    study = work_out(room)
    assert study.feed is not None
    assert study.drain is not None
    inflows = study.feed.inflows()
    assert inflows
    for tank in study.drain.tanks:
        assert tank.inflow == inflows.get(tank.tank, 0.0)
    alone = work_out(room, frozenset({"drain"}))
    assert alone.drain == study.drain


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_system_outside_a_published_range_is_not_computed_and_the_others_stand(
    system: str, room: Room, monkeypatch: pytest.MonkeyPatch
) -> None:
    def outside(*_: object, **__: object) -> object:
        raise OutsideValidRange("Reynolds number", 1e9, 0.0, 1e8, "1")

    monkeypatch.setattr(f"tankwright.study.solve_{system}", outside)
    study = work_out(room)
    assert getattr(study, system) is None
    assert [name for name in SYSTEMS if getattr(study, name) is None] == [system]
    said = [item for item in judge(study) if item.code == "STUDY-01"]
    assert [(item.severity, item.subject) for item in said] == [(Severity.NOT_COMPUTED, system)]
    assert "Reynolds number" in said[0].text


def test_the_same_room_gives_the_same_study(room: Room) -> None:
    first, second = work_out(room), work_out(room)
    assert first.load == second.load
    assert first.drain == second.drain
    assert judge(first) == judge(second)


MENDED = (Path(__file__).parents[1] / "examples" / "cellar_mended.toml").read_text("utf-8")
TURNED = MENDED + '\n[tank.A3]\nair_opening = "50 %"\n'
CALLED = MENDED.replace('title = "Cellar', 'title = "My cellar', 1)
BARE = MENDED.replace('lid = "glass, two pieces"\n', "", 1)
COLDER = MENDED.replace('heat_to = "23 °C"', 'heat_to = "21 °C"', 1)


@pytest.mark.parametrize(("text", "same"), [(TURNED, True), (CALLED, True), (BARE, False), (COLDER, False)],
                         ids=["a tap turned", "a title", "a lid off", "a set point"])  # fmt: skip
def test_warmth_is_worked_out_anew_only_where_what_it_rests_on_is_another(text: str, same: bool) -> None:
    path = Path("plan.toml")
    before = open_text(path, MENDED).study
    assert text != MENDED
    after = work_out_laid(lay_text(path, text), before).study
    alone = open_text(path, text).study
    assert before.heat is not None
    assert (after.heat is before.heat) is same
    for kept, fresh in zip(after.heat.tanks, alone.heat.tanks, strict=True):
        assert kept == fresh
    assert judge(after) == judge(alone)
