"""Drain, load and power in a browser: an event tried appears without a reload, a choice redraws, numbers open."""

from __future__ import annotations

import re

from playwright.sync_api import expect

from ..chrome import axe, settled
from ..conftest import OpenPage, OpenRoom


def test_an_event_tried_appears_and_goes_with_undo(room: OpenRoom, page: OpenPage) -> None:
    served = room(example="cellar")
    tab = page(f"{served.url}/drain?run=south")
    tab.wait_for_selector("html[data-live]")
    tab.evaluate("window.same = true")
    tab.select_option("#hose-tank", "E1")
    tab.fill("#hose-flow", "4,5 L/min")
    tab.press("#hose-flow", "Enter")
    new = tab.locator("#cases th", has_text="filling hose left in E1").first
    expect(new).to_be_visible()
    settled(tab)
    assert tab.evaluate("window.same")
    assert served.plan_path.read_text("utf-8").count("filling hose left in E1") == 1
    new.get_by_role("link").click()
    expect(tab.locator("#figures")).to_contain_text("filling hose left in E1")
    tab.keyboard.press("Control+z")
    expect(tab.locator("#cases th", has_text="filling hose left in E1")).to_have_count(0)
    settled(tab)
    assert "filling hose left in E1" not in served.plan_path.read_text("utf-8")


def test_a_flow_that_will_not_do_keeps_what_was_typed(room: OpenRoom, page: OpenPage) -> None:
    tab = page(f"{room(example='cellar').url}/drain?run=south", expect=("answer 422", "422"))
    tab.wait_for_selector("html[data-live]")
    tab.select_option("#hose-tank", "D4")
    tab.fill("#hose-flow", "13 kg")
    tab.get_by_role("button", name="Try it").first.click()
    expect(tab.locator("#hose-flow-error")).to_contain_text("is a mass, not a flow")
    expect(tab.locator("#hose-flow")).to_have_value("13 kg")
    expect(tab.locator("#hose-tank")).to_have_value("D4")
    assert axe(tab) == []


def test_what_trips_is_redrawn_in_place(room: OpenRoom, page: OpenPage) -> None:
    tab = page(f"{room(example='cellar').url}/power")
    tab.wait_for_selector("html[data-live]")
    tab.evaluate("window.same = true")
    tab.locator("nav.trips").get_by_role("link", name="A lights").click()
    expect(tab.locator("#lost")).to_contain_text("A1")
    expect(tab.locator("#drawing a[data-place=A1]").first).to_have_attribute("aria-label", "A1, loses light")
    assert tab.evaluate("window.same")
    expect(tab).to_have_url(re.compile(r"trips=A%20lights\#trips$"))
    tab.go_back()
    expect(tab.locator("#drawing a[data-place=A1]").first).to_have_attribute(
        "aria-label", "A1, loses air, light"
    )


def test_the_pages_work_without_scripts(room: OpenRoom, page: OpenPage) -> None:
    served = room(example="cellar")
    tab = page(f"{served.url}/drain?run=south", scripts=False)
    tab.select_option("#hose-tank", "D4")
    tab.fill("#hose-flow", "3 L/min")
    tab.get_by_role("button", name="Try it").first.click()
    expect(tab.locator("#cases")).to_contain_text("filling hose left in D4")
    tab.get_by_role("button", name="Take out: filling hose left in D4").click()
    expect(tab.locator("#cases")).not_to_contain_text("filling hose left in D4")
    tab.goto(f"{served.url}/load")
    tab.locator("#racks").get_by_role("link", name="614 kg").click()
    expect(tab.locator("#why")).to_contain_text("sum of its tanks + the empty rack")


def test_a_section_scrolls_in_its_own_region_on_a_phone(room: OpenRoom, page: OpenPage) -> None:
    tab = page(f"{room(example='cellar').url}/drain", size="phone")
    wide = tab.evaluate("document.querySelector('#section .scroll').scrollWidth")
    assert wide > 700
    assert tab.evaluate("document.documentElement.scrollWidth <= innerWidth")
