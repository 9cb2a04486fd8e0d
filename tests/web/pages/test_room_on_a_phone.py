"""The room on a phone: what is chosen comes first, and the drawing can be read and pushed about in its own strip."""

from __future__ import annotations

import pytest
from playwright.sync_api import Locator, Page

from ..chrome import axe
from ..conftest import OpenPage, OpenRoom
from ..rooms import Room


@pytest.fixture(scope="module")
def served(rooms: OpenRoom) -> Room:
    return rooms()


def opened(served: Room, page: OpenPage, path: str) -> Page:
    tab = page(served.url + path, size="phone")
    tab.wait_for_selector("html[data-live]")
    return tab


def top_of(thing: Locator) -> float:
    box = thing.bounding_box()
    assert box
    return box["y"]


@pytest.mark.parametrize("path", ["/?at=B6", "/look?at=B6"])
def test_the_sheet_comes_before_the_drawing_and_the_findings_after_it(
    served: Room, page: OpenPage, path: str
) -> None:
    tab = opened(served, page, path)
    drawing = tab.locator("figure.drawing").first
    assert top_of(tab.locator("#sheet")) < top_of(drawing) < top_of(tab.locator("#findings"))
    assert tab.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert axe(tab) == []


def test_a_working_opens_above_the_sheet(served: Room, page: OpenPage) -> None:
    tab = opened(served, page, "/?at=B6")
    tab.locator("#sheet a.num").first.click()
    tab.wait_for_selector("#why")
    assert top_of(tab.locator("#why")) < top_of(tab.locator("#sheet"))


def test_the_drawing_is_pushed_about_in_its_own_strip_with_the_chosen_tank_in_sight(
    served: Room, page: OpenPage
) -> None:
    tab = opened(served, page, "/?at=Q3")
    strip = tab.locator(".pan").first
    assert strip.evaluate("(one) => one.scrollWidth > one.clientWidth")
    tab.wait_for_function("(one) => one.scrollLeft > 0", arg=strip.element_handle())
    tank = strip.locator("a.tank.chosen").bounding_box()
    frame = strip.bounding_box()
    assert tank
    assert frame
    assert frame["x"] <= tank["x"]
    assert tank["x"] + tank["width"] <= frame["x"] + frame["width"]
    assert tab.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_names_of_tanks_are_large_enough_to_read(served: Room, page: OpenPage) -> None:
    tab = opened(served, page, "/")
    tall = tab.locator(".pan svg.fronts a.tank text").evaluate_all(
        "(all) => all.map((one) => one.getBoundingClientRect().height)"
    )
    assert min(tall) >= 9  # dots
