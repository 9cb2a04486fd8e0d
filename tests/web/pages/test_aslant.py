"""The look from aslant: what the address says is what is drawn, by links, by dragging and by keys."""

from __future__ import annotations

import html
import math
import re
from collections.abc import Callable
from typing import Final
from urllib.parse import parse_qs, urlsplit

import httpx
import pytest
from playwright.sync_api import Locator, Page, expect

from tankwright.drawing.orbit import draw_orbit
from tankwright.drawing.results import DrawnResults
from tankwright.web.pages.aslant import LEAST, MOST, RISE, STEP, aim_of, short_figures
from tankwright.workspace.opened import open_plan

from ..chrome import axe
from ..conftest import OpenPage, OpenRoom
from ..rooms import EXAMPLE, EXAMPLES, Room

WORDS: Final = re.compile(r'id="aim">([^<]+)<')


@pytest.fixture(scope="module")
def served(rooms: OpenRoom) -> Room:
    return rooms()


def seen(served: Room, **query: str) -> str:
    answer = httpx.get(f"{served.url}/look", params=query)
    assert answer.status_code == 200
    return answer.text


# --- the address -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("bearing", "height", "wanted"),
    [
        ("150", "32", (150, 32)), ("-10", "20,4", (350, 20)), ("725", "0", (5, LEAST)), ("0", "400", (0, MOST)),
        ("nan", "inf", (150, 32)), ("<b>", "1e400", (150, 32)), ("", "", (150, 32)), ("9" * 400, "-1", (150, LEAST)),
    ],
)  # fmt: skip
def test_whatever_an_address_says_is_a_view_that_can_be_drawn(
    bearing: str, height: str, wanted: tuple[int, int]
) -> None:
    aim = aim_of(bearing, height)
    assert (aim.bearing, aim.height) == wanted


@pytest.mark.parametrize(
    ("bearing", "height", "quarter"), [("0", "30", "north"), ("225", "60", "south-west")]
)
def test_the_drawing_is_that_of_the_address(served: Room, bearing: str, height: str, quarter: str) -> None:
    page = seen(served, **{"from": bearing, "height": height, "layer": "load"})
    found = WORDS.search(page)
    assert found
    assert found[1] == f"from the {quarter}, {height}° over the horizon"
    good = served.live.snapshot.good
    assert good is not None
    assert good.room is not None
    drawing = draw_orbit(
        good.room,
        DrawnResults(layer="load"),
        azimuth=math.radians(float(bearing)),
        elevation=math.radians(float(height)),
    )
    assert f'viewBox="0 0 {drawing.width:g} ' in page
    assert drawing.description.partition(",")[0] == f"seen from the {quarter}"
    assert html.escape(drawing.description) in page


def test_every_tank_and_rack_in_it_is_a_link_that_keeps_the_view(served: Room) -> None:
    page = seen(served, **{"from": "200", "height": "40", "layer": "drain"})
    opened = open_plan(EXAMPLES / f"{EXAMPLE}.toml")
    assert opened.room is not None
    links = {
        parse_qs(urlsplit(html.unescape(href)).query)["at"][0]: html.unescape(href)
        for href in re.findall(r'<a href="(/look\?[^"]*at=[^"]+)"', page)
    }
    tanks = {tank.id for tank in opened.room.tanks}
    assert tanks <= links.keys()
    names = links.keys() - tanks
    assert names  # of a rack that hides its own name behind another there is none
    assert names <= {rack.id for rack in opened.room.racks}
    for href in links.values():
        query = parse_qs(urlsplit(href).query)
        assert (query["from"], query["height"], query["layer"]) == (["200"], ["40"], ["drain"])


def test_the_steps_lead_round_the_room_and_up_and_down(served: Room) -> None:
    page = seen(served, **{"from": "350", "height": "30", "at": "B6"})
    turns = re.search(r'<nav class="turns".*?</nav>', page, re.DOTALL)
    assert turns
    steps = [parse_qs(urlsplit(html.unescape(one)).query) for one in re.findall(r'href="([^"]+)"', turns[0])]
    assert [(int(one["from"][0]), int(one["height"][0])) for one in steps] == [
        ((350 + STEP) % 360, 30), (350 - STEP, 30), (350, 30 + RISE), (350, 30 - RISE),
    ]  # fmt: skip
    assert all(one["at"] == ["B6"] for one in steps)


def test_at_the_highest_there_is_no_higher(served: Room) -> None:
    turns = re.search(r'<nav class="turns".*?</nav>', seen(served, height="90"), re.DOTALL)
    assert turns
    assert turns[0].count("<a ") == 3
    assert turns[0].count('aria-disabled="true"') == 1


# --- the sheet beside it ---------------------------------------------------------------------------------------


def test_beside_it_stand_the_figures_of_the_layer_and_the_way_to_the_whole_sheet(served: Room) -> None:
    page = seen(served, at="B6", layer="load")
    assert re.findall(r'data-figure="(B6[^"]*)"', page) == ["B6.glass", "B6.water_mass", "B6.mass"]
    assert 'href="/?at=B6&amp;layer=load"' in page
    assert 'data-figure="B6.air"' in seen(served, at="B6", layer="air")


def test_a_thing_without_figures_on_a_layer_shows_all_it_has() -> None:
    figures = (("air", "Q1.air"), ("mass", "Q1.mass"))
    assert short_figures(figures, "drain") == figures


def test_a_name_that_is_nowhere_is_said(served: Room) -> None:
    assert "There is no &#34;Z9&#34; in this room." in seen(served, at="Z9")


# --- by hand ---------------------------------------------------------------------------------------------------


def turned(tab: Page, act: Callable[[Locator], None]) -> tuple[int, int]:
    """Do something to the drawing and wait until it has come to rest; where one stands then."""
    figure = tab.locator("#aslant")
    before = tab.url
    act(figure)
    tab.wait_for_function("(before) => location.href !== before", arg=before)
    tab.wait_for_function(
        """() => {
            const here = new URL(location.href).searchParams.get("from");
            const link = document.querySelector(".turns a");
            return (Number(here) + 15) % 360 === Number(new URL(link.href).searchParams.get("from"));
        }"""
    )
    query = parse_qs(urlsplit(tab.url).query)
    return int(query["from"][0]), int(query["height"][0])


def test_arrow_keys_turn_it_and_the_address_follows(served: Room, page: OpenPage) -> None:
    tab = page(f"{served.url}/look")
    tab.wait_for_selector("html[data-live]")
    drawn = tab.locator("#aslant svg").get_attribute("aria-label")
    depth = tab.evaluate("history.length")

    def press(figure: Locator) -> None:
        figure.focus()
        for key in ("ArrowLeft", "ArrowLeft", "ArrowUp", "Shift+ArrowUp"):
            tab.keyboard.press(key)

    assert turned(tab, press) == (160, 52)
    expect(tab.locator("#aslant svg")).not_to_have_attribute("aria-label", drawn)
    expect(tab.locator("#aim")).to_have_text("from the south, 52° over the horizon", use_inner_text=True)
    expect(tab.locator("#aslant")).to_be_focused()
    assert tab.evaluate("history.length") == depth, "turning fills no history"
    assert axe(tab) == []
    tab.reload()
    expect(tab.locator("#aim")).to_have_text("from the south, 52° over the horizon", use_inner_text=True)


def test_keys_on_a_tank_turn_the_room_and_stay_with_the_tank(served: Room, page: OpenPage) -> None:
    tab = page(f"{served.url}/look")
    tab.wait_for_selector("html[data-live]")

    def press(figure: Locator) -> None:
        figure.locator('a[data-place="B6"]').focus()
        tab.keyboard.press("ArrowRight")

    assert turned(tab, press) == (145, 32)
    expect(tab.locator('#aslant a[data-place="B6"]')).to_be_focused()
    tab.keyboard.press("Enter")
    tab.wait_for_selector('#sheet[data-sheet="B6"]')
    expect(tab).to_have_url(re.compile(r"from=145"))


COUNT: Final = """() => {
    const really = window.fetch;
    let now = 0;
    window.asked = window.most = 0;
    window.fetch = (...what) => {
        window.asked += 1;
        window.most = Math.max(window.most, ++now);
        return really(...what).finally(() => (now -= 1));
    };
}"""


def test_dragging_turns_it_asks_for_one_angle_at_a_time_and_chooses_nothing(
    served: Room, page: OpenPage
) -> None:
    tab = page(f"{served.url}/look")
    tab.wait_for_selector("html[data-live]")
    tab.evaluate(COUNT)

    def drag(figure: Locator) -> None:
        box = figure.locator('a[data-place="B6"]').bounding_box()
        assert box
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        tab.mouse.move(x, y)
        tab.mouse.down()
        tab.mouse.move(x + 100, y + 50, steps=40)
        tab.mouse.up()

    assert turned(tab, drag) == (190, 52)
    asked, most = tab.evaluate("[window.asked, window.most]")
    assert most == 1
    assert 2 <= asked <= 42
    expect(tab, "letting go over a tank is no choice").not_to_have_url(re.compile(r"at="))
    tab.locator('#aslant a[data-place="B6"]').click()
    tab.wait_for_selector('#sheet[data-sheet="B6"]')


def test_a_room_that_is_being_turned_is_not_moved_by_a_change_elsewhere(
    room: OpenRoom, page: OpenPage
) -> None:
    mine = room()
    tab = page(f"{mine.url}/look")
    tab.wait_for_selector("html[data-live]")
    box = tab.locator("#aslant").bounding_box()
    assert box
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    tab.mouse.move(x, y)
    tab.mouse.down()
    tab.mouse.move(x + 50, y, steps=4)
    tab.wait_for_function("() => location.search.includes('from=170')")
    text = mine.plan_path.read_text("utf-8")
    mine.plan_path.write_text(text.replace("title = ", "# a note\ntitle = ", 1), "utf-8")
    tab.wait_for_function("() => document.body.dataset.number === '2'")
    expect(tab.locator("#aslant")).to_have_attribute("data-held", "")
    tab.mouse.move(x + 100, y, steps=4)
    tab.mouse.up()
    tab.wait_for_function("() => location.search.includes('from=190')")
    expect(tab.locator("#aslant .seen")).to_have_attribute("id", "seen-190-32-air")


def test_it_can_be_walked_round_without_scripts(served: Room, page: OpenPage) -> None:
    tab = page(f"{served.url}/look?layer=feed", scripts=False)
    tab.get_by_role("link", name="to the left").click()
    tab.get_by_role("link", name="higher").click()
    expect(tab.locator("#aim")).to_have_text("from the south, 41° over the horizon", use_inner_text=True)
    expect(tab.locator(".layers [aria-current]")).to_have_text("feed", use_inner_text=True)
