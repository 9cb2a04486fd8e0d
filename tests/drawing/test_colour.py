"""Colours that can be read, and steps that turn where they say."""

from __future__ import annotations

import math

import pytest

from tankwright.drawing.colour import (
    AMOUNT,
    ENOUGH,
    GLASS,
    GREY,
    INK,
    PAPER,
    QUIET,
    TEAL,
    WATER,
    WINE,
    Step,
    contrast,
    hatch,
    mark,
    step_for,
)
from tankwright.drawing.model import bounds, union
from tankwright.finding import Severity


@pytest.mark.parametrize("step", [*ENOUGH, *AMOUNT], ids=lambda step: step.name)
def test_text_on_every_step_can_be_read(step: Step) -> None:
    assert contrast(step.fill, step.text) >= 4.5  # WCAG 2.1, small text


@pytest.mark.parametrize(
    ("ground", "ink"), [(PAPER, INK), (PAPER, QUIET), (PAPER, TEAL), (WATER, INK), (GLASS, INK)]
)
def test_text_on_plain_grounds_can_be_read(ground: str, ink: str) -> None:
    assert contrast(ground, ink) >= 4.5


@pytest.mark.parametrize("colour", [WINE, GREY, QUIET])
def test_signs_stand_out_from_the_paper(colour: str) -> None:
    assert contrast(colour, PAPER) >= 3.0  # WCAG 2.1, graphical objects


def test_contrast_of_equal_colours_is_one() -> None:
    assert contrast("#777777", "#777777") == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("share", "name"),
    [
        (0.0, "plum"),
        (0.5, "clay"),
        (0.8, "sand"),
        (0.95, "pale"),
        (1.0, "pale"),
        (1.15, "teal"),
        (1.6, "deep blue"),
        (math.inf, "deep blue"),
    ],
)
def test_steps_turn_where_they_say(share: float, name: str) -> None:
    assert step_for(share).name == name


def test_steps_of_both_scales_have_colours_of_their_own() -> None:
    fills = [step.fill for step in (*ENOUGH, *AMOUNT)]
    assert len(set(fills)) == len(fills)


@pytest.mark.parametrize(("width", "height"), [(10.0, 4.0), (4.0, 10.0), (0.5, 0.5), (10.0, 0.0)])
def test_hatching_stays_inside_its_rectangle(width: float, height: float) -> None:
    left, top, right, bottom = union(tuple(bounds(one) for one in hatch(5, 6, width, height)))
    assert (right - left, bottom - top) <= (width + 0.26, height + 0.26) or not hatch(5, 6, width, height)


def test_every_severity_has_a_sign_of_another_shape() -> None:
    shapes = [tuple(type(part).__name__ for part in mark(one, (0, 0), 3.0).parts) for one in Severity]
    fills = [repr(mark(one, (0, 0), 3.0).parts[0]) for one in Severity]
    assert len(set(fills)) == len(Severity)
    assert shapes[0] != shapes[1]
