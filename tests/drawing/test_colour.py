"""Colours that can be read, and steps that turn where they say."""

from __future__ import annotations

import math
import re
from itertools import pairwise
from pathlib import Path

import pytest

from tankwright.drawing.colour import (
    AMBER,
    AMOUNT,
    CROSS,
    ENOUGH,
    GLASS,
    GREY,
    INK,
    LINE,
    PAPER,
    QUIET,
    TABLE,
    TEAL,
    USE,
    WATER,
    WINE,
    Colour,
    Step,
    contrast,
    hatch,
    mark,
    step_for,
    tokens_css,
)
from tankwright.drawing.model import bounds, union
from tankwright.finding import Severity

STYLE = Path(__file__).parents[2] / "src" / "tankwright" / "web" / "static" / "drawing.css"


@pytest.mark.parametrize("step", [*ENOUGH, *AMOUNT, *USE], ids=lambda step: step.name)
def test_text_on_every_step_can_be_read_in_both_themes(step: Step) -> None:
    assert contrast(step.fill, step.text) >= 4.5  # WCAG 2.1, small text
    assert contrast(step.fill.dark, step.text.dark) >= 4.5


@pytest.mark.parametrize(
    ("ground", "ink"), [(PAPER, INK), (PAPER, QUIET), (PAPER, TEAL), (WATER, INK), (GLASS, INK)]
)
def test_text_on_plain_grounds_can_be_read_in_both_themes(ground: Colour, ink: Colour) -> None:
    assert contrast(ground, ink) >= 4.5
    assert contrast(ground.dark, ink.dark) >= 4.5


@pytest.mark.parametrize("colour", [AMBER, WINE, GREY, QUIET, TEAL, LINE])
def test_signs_and_lines_stand_out_from_the_paper_in_both_themes(colour: Colour) -> None:
    assert contrast(colour, PAPER) >= 3.0  # WCAG 2.1, graphical objects
    assert contrast(colour.dark, PAPER.dark) >= 3.0


def test_the_cross_stands_out_from_its_square_in_both_themes() -> None:
    assert contrast(WINE, CROSS) >= 4.5
    assert contrast(WINE.dark, CROSS.dark) >= 4.5


def test_every_token_has_one_name_and_two_values() -> None:
    assert len({colour.token for colour in TABLE}) == len(TABLE)
    for colour in TABLE:
        assert re.fullmatch(r"[a-z0-9-]+", colour.token)
        assert re.fullmatch(r"#[0-9a-f]{6}", colour)
        assert re.fullmatch(r"#[0-9a-f]{6}", colour.dark)


def test_the_style_sheet_holds_the_table() -> None:
    css = STYLE.read_text(encoding="utf-8")
    assert tokens_css() in css
    used = set(re.findall(r"var\(--d-([a-z0-9-]+)\)", css))
    assert used
    assert used <= {colour.token for colour in TABLE}


def test_print_is_always_light() -> None:
    light, dark, system, printed = tokens_css().splitlines()
    assert re.findall(r"#[0-9a-f]{6}", printed) == re.findall(r"#[0-9a-f]{6}", light) == list(TABLE)
    assert re.findall(r"#[0-9a-f]{6}", dark) == re.findall(r"#[0-9a-f]{6}", system)
    assert printed.startswith("@media print")
    assert printed.count(":root") > dark.count(":root") + dark.count(
        "[data-theme"
    )  # outweighs a chosen theme


def test_two_tokens_of_one_light_value_are_not_the_same_colour() -> None:
    assert GLASS != CROSS
    assert GLASS == "#ffffff"
    assert hash(GLASS) == hash("#ffffff")


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


def test_a_share_of_strength_darkens_all_the_way_so_that_a_print_in_grey_tells_it() -> None:
    light = [contrast(step.fill, "#000000") for step in USE]  # rises with how light it is
    dark = [contrast(step.fill.dark, "#000000") for step in USE]
    assert all(one / other >= 1.13 for one, other in pairwise(light))
    assert all(other / one >= 1.15 for one, other in pairwise(dark))


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (0.0, "under 20 %"),
        (0.2, "20 to 40 %"),
        (0.799, "60 to 80 %"),
        (0.8, "80 to 100 %"),
        (1.0, "100 to 125 %"),
        (1.6, "over 160 %"),
    ],
)
def test_the_scale_of_use_turns_where_it_says(share: float, words: str) -> None:
    assert step_for(share, USE).words == words


def test_steps_of_all_scales_have_colours_of_their_own() -> None:
    fills = [step.fill for step in (*ENOUGH, *AMOUNT, *USE)]
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
