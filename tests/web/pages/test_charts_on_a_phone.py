"""On a phone a chart is seen whole and its writing can be read; the bar of pages stays in two rows."""

from __future__ import annotations

from typing import Final

import pytest

from ..conftest import OpenPage, OpenRoom
from ..rooms import Room

NARROW: Final = {"width": 360, "height": 780}
LEAST: Final = 11.0  # dots, of writing in a chart

MEASURED: Final = """() => [...document.querySelectorAll("svg.chart")].map((chart) => {
    const box = chart.getBoundingClientRect();
    const dot = box.width / chart.viewBox.baseVal.width;
    const sizes = [...chart.querySelectorAll("text")].map((one) => parseFloat(getComputedStyle(one).fontSize) * dot);
    return { right: box.right, least: Math.min(...sizes) };
})"""
SEEN_LINKS: Final = """() => [...document.querySelectorAll(".bar nav a")].filter((one) => one.offsetParent)
    .map((one) => one.textContent)"""


@pytest.fixture(scope="module")
def served(rooms: OpenRoom) -> Room:
    return rooms()


@pytest.mark.parametrize("path", ["/water", "/oxygen", "/heat", "/air"])
def test_a_chart_is_seen_whole_on_a_phone_and_can_be_read(path: str, served: Room, page: OpenPage) -> None:
    tab = page(served.url + path)
    tab.set_viewport_size(NARROW)
    charts = tab.evaluate(MEASURED)
    assert charts
    assert all(one["right"] <= NARROW["width"] for one in charts)
    assert min(one["least"] for one in charts) >= LEAST - 0.05


def test_the_bar_shows_groups_and_the_pages_of_the_open_one_on_a_phone_and_every_page_on_a_desk(
    served: Room, page: OpenPage
) -> None:
    tab = page(served.url + "/heat")
    every = tab.evaluate(SEEN_LINKS)
    assert {"Warmth", "Print", "Settings", "Rounds"} <= set(every)
    assert "Systems" not in every
    tab.set_viewport_size(NARROW)
    few = tab.evaluate(SEEN_LINKS)
    assert few[:3] == ["Room", "Systems", "Plan, print"]
    assert "Warmth" in few
    assert "Print" not in few
    tab.get_by_role("link", name="Plan, print").click()
    assert "Print" in tab.evaluate(SEEN_LINKS)
