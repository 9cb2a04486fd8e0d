"""Charts can be asked: what the pointer is near, or the arrow keys come to, is read out."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from ..chrome import axe
from ..conftest import OpenPage, OpenRoom
from ..rooms import Room


@pytest.fixture(scope="module")
def served(rooms: OpenRoom) -> Room:
    return rooms()


def opened(served: Room, page: OpenPage) -> Page:
    tab = page(f"{served.url}/air")
    tab.wait_for_selector("html[data-live]")
    return tab


def test_the_value_nearest_the_pointer_is_read_out_and_forgotten_again(served: Room, page: OpenPage) -> None:
    tab = opened(served, page)
    point = tab.locator(".chart .point").nth(5)
    words = point.locator("title").text_content()
    assert words
    point.scroll_into_view_if_needed()
    box = point.bounding_box()
    assert box
    tab.mouse.move(box["x"] + box["width"] / 2 + 1, box["y"] + box["height"] / 2 + 1)
    readout = tab.locator(".readout[data-shown]")
    expect(readout).to_have_text(words, use_inner_text=True)
    said, frame = readout.bounding_box(), tab.locator("figure.chart").first.bounding_box()
    assert said
    assert frame
    assert said["x"] >= frame["x"] - 1
    assert said["x"] + said["width"] <= frame["x"] + frame["width"] + 1
    tab.mouse.move(5, 5)
    expect(readout).to_have_count(0)
    expect(tab.locator(".point.asked")).to_have_count(0)


def test_arrow_keys_walk_along_a_line_and_over_to_the_next(served: Room, page: OpenPage) -> None:
    tab = opened(served, page)
    region = tab.locator("figure.chart .scroll").first
    region.focus()
    asked = tab.locator(".point.asked")

    def now() -> tuple[str | None, str | None]:
        expect(asked).to_have_count(1)
        words = asked.locator("title").text_content()
        expect(tab.locator(".readout[data-shown]")).to_have_text(words, use_inner_text=True)
        return asked.get_attribute("data-line"), words

    tab.keyboard.press("ArrowRight")
    line, first = now()
    tab.keyboard.press("Home")
    assert now()[0] == line
    tab.keyboard.press("ArrowRight")
    along = now()
    assert along[0] == line
    assert along[1] != first
    tab.keyboard.press("ArrowDown")
    assert now()[0] != line
    assert axe(tab) == []
    tab.keyboard.press("Escape")
    expect(asked).to_have_count(0)
    tab.keyboard.press("End")
    tab.keyboard.press("Tab")
    expect(asked, "who leaves the chart asks no more").to_have_count(0)
