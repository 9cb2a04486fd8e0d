"""SVG inside a page: colours by token, short, and nothing that a page's policy forbids."""

from __future__ import annotations

import re
from xml.etree import ElementTree as ET

import pytest

from tankwright.drawing.colour import CROSS, GLASS, INK, PANE, TEAL, mark
from tankwright.drawing.model import (
    Circle,
    Drawing,
    Group,
    Hatching,
    Look,
    Rectangle,
    Shape,
    Text,
    line,
)
from tankwright.drawing.screen_svg import number, to_screen_svg
from tankwright.finding import Severity

THICK = Look(stroke=INK, width=0.5)


def _svg(*parts: Shape, name: str = "drawing") -> str:
    return to_screen_svg(
        Drawing(width=10, height=5, scale=1, title="t", description="", parts=parts), name=name
    )


def test_a_colour_of_the_table_is_written_as_its_token_and_another_as_it_is() -> None:
    svg = _svg(
        line((0, 0), (1, 1), Look(stroke=TEAL, width=1)),
        line((0, 0), (1, 1), Look(stroke="#123456", width=1)),
    )
    assert 'stroke="var(--d-teal)"' in svg
    assert 'stroke="#123456"' in svg


def test_two_tokens_that_are_white_on_paper_keep_their_own_dark_values() -> None:
    looks = [Look(fill=colour) for colour in (GLASS, PANE, CROSS)]
    svg = _svg(*(Rectangle(x=0, y=0, width=1, height=1, look=look) for look in looks))
    assert [name for name in ("glass", "pane", "cross") if f"var(--d-{name})" in svg] == [
        "glass",
        "pane",
        "cross",
    ]
    assert len(set(looks)) == 3


def test_lines_of_one_look_are_one_path() -> None:
    svg = _svg(line((0, 0), (1, 0), THICK), line((0, 2), (0, 3.5), THICK), line((1, 1), (2, 3), THICK))
    assert re.findall(r' d="([^"]*)"', svg) == ["M0 0h1M0 2v1.5M1 1l1 2"]


def test_a_line_of_another_look_keeps_its_place_in_the_order() -> None:
    thin = Look(stroke=TEAL, width=0.2)
    svg = _svg(line((0, 0), (1, 0), THICK), line((0, 1), (1, 1), thin), line((0, 2), (1, 2), THICK))
    assert re.findall(r' d="([^"]*)"', svg) == ["M0 0h1", "M0 1h1", "M0 2h1"]


def _effective(svg: str) -> list[tuple[str, str, str]]:
    """Every drawn element with the fill and the stroke it ends up with."""
    found: list[tuple[str, str, str]] = []

    def walk(element: ET.Element, fill: str, stroke: str) -> None:
        fill, stroke = element.get("fill", fill), element.get("stroke", stroke)
        if element.tag in ("rect", "circle", "path", "text"):
            found.append((element.tag, fill, stroke))
        for child in element:
            walk(child, fill, stroke)

    walk(ET.fromstring(svg), "black", "none")
    return found


def test_what_a_group_says_for_its_shapes_leaves_each_as_it_was() -> None:
    circles = [
        Circle(centre=(index, 0), radius=1, look=Look(fill=GLASS, stroke=INK, width=0.3))
        for index in range(3)
    ]
    odd = Rectangle(x=0, y=0, width=1, height=1, look=Look(fill=TEAL))
    bare = Circle(centre=(0, 0), radius=1, look=Look(stroke=TEAL, width=0.3))
    svg = _svg(Group(parts=(*circles, odd, bare), classes=("x",)))
    glass, ink, teal = (f"var(--d-{name})" for name in ("glass", "ink", "teal"))
    assert _effective(svg) == [
        *[("circle", glass, ink)] * 3,
        ("rect", teal, "none"),
        ("circle", "none", teal),
    ]
    assert svg.count(ink) == 1


def test_a_link_is_named_and_escaped() -> None:
    nasty = '<b onload="x()">&"'
    text = Text(at=(0, 0), text=nasty, size=2, colour=INK)
    svg = _svg(
        Group(parts=(text,), link=f"/?at={nasty}", title=nasty, place=nasty, data=(("data-x", nasty),))
    )
    root = ET.fromstring(svg)
    link = root[0]
    assert (link.tag, link.get("aria-label"), link.get("data-place"), link.get("data-x")) == (
        "a",
        nasty,
        nasty,
        nasty,
    )
    assert not list(root.iter("b"))
    assert root.get("role") == "group"


def test_a_drawing_without_links_is_one_picture_to_a_screen_reader() -> None:
    assert ET.fromstring(_svg(line((0, 0), (1, 0), THICK))).get("role") == "img"


def test_a_sign_is_drawn_once_and_shown_where_it_stands() -> None:
    marks = [mark(Severity.PROBLEM, (index, 2.0), 1.5, f"problem {index}") for index in range(3)]
    root = ET.fromstring(_svg(*marks, name="plan"))
    (sign,) = root.findall("defs/g")
    assert sign.get("id") == "plan-problem"
    uses = root.findall("use")
    assert [use.get("href") for use in uses] == ["#plan-problem"] * 3
    assert [use.findtext("title") for use in uses] == ["problem 0", "problem 1", "problem 2"]
    assert uses[1].get("transform") == "translate(1 2)scale(1.5)"


@pytest.mark.parametrize("severity", list(Severity))
def test_a_sign_says_all_of_its_look_itself(severity: Severity) -> None:
    sign = ET.fromstring(_svg(mark(severity, (0, 0), 1.0))).find("defs/g")
    assert sign is not None
    assert {"fill", "stroke", "stroke-width", "stroke-dasharray", "stroke-linecap"} <= set(sign.keys())


def test_the_hatching_is_a_pattern_named_after_its_drawing() -> None:
    svg = _svg(Hatching(x=0, y=0, width=2, height=1), Hatching(x=3, y=0, width=2, height=1), name="fronts")
    assert svg.count("<pattern") == 1
    assert svg.count('fill="url(#fronts-hatch)"') == 2
    assert "<pattern" not in _svg(line((0, 0), (1, 0), THICK))


@pytest.mark.parametrize(
    ("value", "text"), [(0.0, "0"), (-0.004, "0"), (0.25, ".25"), (-12.5, "-12.5"), (100.0, "100")]
)
def test_numbers_are_short(value: float, text: str) -> None:
    assert number(value) == text
