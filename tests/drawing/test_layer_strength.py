"""The layers of glass and racks: the worst pane, the bearers under a tank, and nothing fine that is not known."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from tankwright.display import words
from tankwright.drawing.cells import fill_of
from tankwright.drawing.colour import USE, step_for
from tankwright.drawing.layer_strength import draw_glass, draw_racks
from tankwright.drawing.legend import legend
from tankwright.finding import Number
from tankwright.plan.reading import read_plan_file
from tankwright.room.layout import lay_out
from tankwright.study import Study, work_out

EXAMPLES = Path(__file__).parents[2] / "examples"
NAMES = ("cellar_mended.toml", "garage.toml")


@cache
def _study(name: str) -> Study:
    plan = read_plan_file(EXAMPLES / name).plan
    assert plan is not None
    room = lay_out(plan).room
    assert room is not None
    return work_out(room, frozenset({"layout", "load", "glass", "racks"}))


@pytest.mark.parametrize("name", NAMES)
def test_a_tank_has_the_colour_of_the_pane_that_uses_most(name: str) -> None:
    study = _study(name)
    assert study.glass is not None
    drawn = draw_glass(study)
    for tank in study.room.tanks:
        shown = drawn.tank(tank.id)
        assert shown is not None
        uses = [one.use for one in study.glass.panes if tank.id in one.case.tanks]
        if shown.share is not None:
            assert shown.share == max(uses)
            assert shown.figure == words(Number(max(uses), "share"), study.room.display)
            step = fill_of(drawn, shown)
            assert step is not None
            assert step.fill == step_for(max(uses), USE).fill


def test_a_tank_of_which_a_side_is_not_known_is_not_shown_as_if_it_held() -> None:
    study = _study("cellar_mended.toml")
    assert study.glass is not None
    worst = max(study.glass.panes, key=lambda one: one.use)
    quiet = tuple(replace(one, use=0.3) for one in study.glass.panes if one.case.pane != "left")
    for tank in draw_glass(replace(study, glass=replace(study.glass, panes=quiet))).tanks:
        assert tank.share is None
        assert tank.detail == "not all known"
        assert "not worked out: left" in tank.title
    loud = tuple(one for one in study.glass.panes if one.case.pane != "left")
    shown = draw_glass(replace(study, glass=replace(study.glass, panes=loud))).tank(worst.case.tanks[0])
    assert shown is not None
    assert (shown.share is None) == (worst.use < 0.8)
    nothing = draw_glass(replace(study, glass=replace(study.glass, panes=())))
    assert {one.share for one in nothing.tanks} == {None}
    assert nothing.figures == ()


@pytest.mark.parametrize("name", NAMES)
def test_a_tank_has_the_colour_of_the_bearers_under_it(name: str) -> None:
    study = _study(name)
    assert study.racks is not None
    drawn = draw_racks(study)
    racks = {one.rack: one for one in study.racks.racks}
    for tank in study.room.tanks:
        shown = drawn.tank(tank.id)
        assert shown is not None
        shares = [
            use.share
            for beam in racks[tank.rack].beams
            if beam.part == "bearer" and any(one.tank == tank.id for one in beam.patches)
            for use in beam.uses
        ]
        wanted = max(shares) if shares else racks[tank.rack].rated_share
        assert shown.share == wanted


def test_a_rack_of_which_nothing_is_known_is_hatched() -> None:
    study = _study("cellar_mended.toml")
    assert study.racks is not None
    bare = tuple(replace(one, beams=(), rated_share=None) for one in study.racks.racks)
    drawn = draw_racks(replace(study, racks=replace(study.racks, racks=bare)))
    assert {one.share for one in drawn.tanks} == {None}
    rated = tuple(replace(one, beams=(), rated_share=0.7) for one in study.racks.racks)
    drawn = draw_racks(replace(study, racks=replace(study.racks, racks=rated)))
    assert {(one.share, one.detail) for one in drawn.tanks} == {(0.7, "of its rating")}


def test_the_legend_names_the_steps_of_strength() -> None:
    items = [one.words for one in legend(draw_glass(_study("cellar_mended.toml"))) if one.kind == "colour"]
    assert items == [*(step.words for step in USE), "no data"]


def test_a_system_that_was_not_run_has_no_tanks() -> None:
    study = _study("garage.toml")
    empty = replace(study, glass=None, racks=None)
    assert draw_glass(empty).tanks == draw_racks(empty).tanks == ()
    assert draw_glass(empty).scale == "use"
