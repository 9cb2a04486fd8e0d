"""What is taken by its handle in the drawing: a tank slides along its shelf, and its row with it."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from .chrome import settled
from .conftest import OpenPage, OpenRoom
from .rooms import Room

PLAN = """
title = "Shed"

[room.shed]
size = { length = "4 m", width = "3 m", height = "2.4 m" }

[tank_kind.cube]
outside = ["30 cm", "30 cm", "30 cm"]

[rack_kind.low]
length = "150 cm"
depth = "40 cm"
shelves = ["40 cm"]

[[rack]]
id = "A"
kind = "low"
room = "shed"
wall = "north"
from_west = "50 cm"
shelf.1 = [{ kind = "cube", ids = "A1..A3", from_left = "10 cm" }]
"""


@pytest.fixture
def shed(room: OpenRoom) -> Room:
    return room(PLAN)


def from_left(shed: Room) -> str:
    found = re.search(r'from_left = "([^"]*)"', shed.plan_path.read_text("utf-8"))
    assert found is not None
    return found[1]


def test_a_tank_slides_along_its_shelf_by_the_arrow_keys_and_its_row_goes_with_it(
    shed: Room, page: OpenPage
) -> None:
    tab = page(shed.url + "/?at=A2")
    handle = tab.locator(".slide")
    expect(handle).to_have_attribute("aria-label", "A2 along its shelf. The 3 tanks of its row go with it.")
    handle.focus()
    tab.keyboard.press("Shift+ArrowRight")
    tab.keyboard.press("ArrowRight")
    tab.keyboard.press("Enter")
    settled(tab)
    tab.locator('body[data-number="2"]').wait_for()
    assert from_left(shed) == "21 cm"
    tab.keyboard.press("Control+z")
    tab.locator('body[data-number="3"]').wait_for()
    assert from_left(shed) == "10 cm"


def test_a_tank_is_dragged_no_further_than_its_rack_and_escape_puts_it_back(
    shed: Room, page: OpenPage
) -> None:
    tab = page(shed.url + "/?at=A2")
    handle = tab.locator(".slide")
    handle.scroll_into_view_if_needed()
    box = handle.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    tab.mouse.move(x, y)
    tab.mouse.down()
    tab.mouse.move(x + 60, y, steps=3)
    expect(handle).to_have_attribute("transform", re.compile("."))
    tab.keyboard.press("Escape")
    tab.mouse.up()
    expect(handle).not_to_have_attribute("transform", re.compile(""))
    assert from_left(shed) == "10 cm"
    tab.mouse.move(x, y)
    tab.mouse.down()
    tab.mouse.move(x + 900, y, steps=3)
    tab.mouse.up()
    tab.locator('body[data-number="2"]').wait_for()
    settled(tab)
    assert from_left(shed) == "58 cm"  # three of 30 cm with two gaps of 1 cm end at the end of 150 cm
