"""Sums, shares and totals: each again from the inputs it names, and what they point at is there."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from tankwright.display import words
from tankwright.drawing.layers import draw_results
from tankwright.drawing.results import LAYERS
from tankwright.explain.all import workings
from tankwright.explain.model import Working
from tankwright.study import Study
from tankwright.workspace.opened import open_text

EXAMPLES = Path(__file__).parent.parent.parent / "examples"


@pytest.fixture(scope="module", params=["cellar", "cellar_mended"])
def study(request: pytest.FixtureRequest) -> Study:
    path = EXAMPLES / f"{request.param}.toml"
    found = open_text(path, path.read_text("utf-8")).study
    assert found is not None
    return found


@pytest.fixture(scope="module")
def known(study: Study) -> dict[str, Working]:
    return workings(study)


def test_what_an_input_of_a_total_points_at_is_there_and_says_the_same(known: dict[str, Working]) -> None:
    endings = (
        ".water",
        ".total",
        ".share",
        ".ring",
        ".flow",
        ".day",
        ".looks",
        ".brim",
        ".pull",
        ".power",
        ".rated",
    )
    for name in (one for one in known if one.endswith(endings)):
        for given in known[name].inputs:
            if given.see in known and given.number.dimension == known[given.see].number.dimension:
                assert given.number.value == pytest.approx(known[given.see].number.value), (name, given.name)


def test_a_sum_is_the_sum_of_its_inputs(known: dict[str, Working]) -> None:
    sums = [one for one in known.values() if one.formula == "sum of the parts"]
    assert len(sums) > 8
    for one in sums:
        assert one.number.value == pytest.approx(sum(part.number.value for part in one.inputs)), one.name


def test_a_share_of_air_is_what_comes_over_what_is_needed(known: dict[str, Working]) -> None:
    comes, needs = known["A3.air.share"].inputs
    assert known["A3.air.share"].number.value == pytest.approx(comes.number.value / needs.number.value)


def test_water_a_day_is_flow_times_time(known: dict[str, Working]) -> None:
    flow, week = known["feed.drip.day"].inputs
    assert known["feed.drip.day"].number.value == pytest.approx(flow.number.value * week.number.value / 7)


def test_every_live_figure_names_a_working_that_says_the_same(
    study: Study, known: dict[str, Working]
) -> None:
    for layer in LAYERS:
        drawn = draw_results(study, (), layer)
        assert len(drawn.workings) == len(drawn.figures), layer
        for (label, value), name in zip(drawn.figures, drawn.workings, strict=True):
            if not name:
                assert label == "tanks", label
                continue
            said = words(known[name].number, study.room.display)
            assert value.removesuffix(" full") in (said, "drowned"), (label, name)


def test_every_working_can_be_told(known: dict[str, Working]) -> None:
    for one in known.values():
        assert math.isfinite(one.number.value), one.name
        assert one.source
        assert one.inputs, one.name
