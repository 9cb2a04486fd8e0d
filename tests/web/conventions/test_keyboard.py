"""Everything by the keyboard; the names of things; what is announced; a drag that is given up."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from ..conftest import OpenPage, OpenRoom
from ..rooms import Room
from .at_work import FROM_WEST, TWO_RACKS, Elsewhere, edits, enter, field, ready, saved, shows


@pytest.fixture
def small(room: OpenRoom) -> Room:
    return room(TWO_RACKS)


@pytest.fixture(scope="module")
def cellar(rooms: OpenRoom) -> Room:
    return rooms()


def focused(tab: Page, what: str) -> str:
    return str(tab.evaluate(f"() => document.activeElement.{what}"))


# --- keyboard -------------------------------------------------------------------------------------------------------


def test_keyboard_the_first_tab_is_a_link_that_skips_to_the_page(cellar: Room, page: OpenPage) -> None:
    tab = ready(page(f"{cellar.url}/air"))
    tab.keyboard.press("Tab")
    skip = tab.locator(".skip")
    expect(skip).to_be_focused()
    box = skip.bounding_box()
    assert box
    assert box["x"] >= 0
    assert box["y"] >= 0
    tab.keyboard.press("Enter")
    tab.wait_for_function("() => document.activeElement.id === 'main'")
    tab.keyboard.press("Tab")
    tab.wait_for_function("() => document.getElementById('main').contains(document.activeElement)")


def test_keyboard_a_slash_finds_a_tank_from_any_page_but_can_be_typed_in_a_field(
    cellar: Room, page: OpenPage
) -> None:
    tab = ready(page(f"{cellar.url}/feed"))
    tab.keyboard.press("/")
    expect(tab.locator("#find")).to_be_focused()
    tab.keyboard.type("b6")
    tab.keyboard.press("Enter")
    tab.wait_for_url(re.compile(r"\?at=B6$"))
    expect(tab.locator("#sheet h2")).to_have_text("B6")
    ready(tab)
    first = tab.locator("#sheet .field input[name=typed]").first
    first.press("End")
    first.press("/")
    expect(first).to_be_focused()
    expect(first).to_have_value(re.compile("/$"))
    first.fill(first.evaluate("(one) => one.defaultValue"))


def test_keyboard_a_tank_nobody_has_is_said_and_the_page_stays_useful(cellar: Room, page: OpenPage) -> None:
    tab = ready(page(f"{cellar.url}/"))
    tab.keyboard.press("/")
    tab.keyboard.type("Z99")
    tab.keyboard.press("Enter")
    expect(tab.locator("main .error")).to_contain_text("Z99")
    assert tab.locator("#drawing a[data-place]").count() > 30


def test_keyboard_a_tank_of_the_drawing_is_reached_by_tab_and_opened_by_enter(
    cellar: Room, page: OpenPage
) -> None:
    tab = ready(page(f"{cellar.url}/"))
    tab.locator("#drawing a[data-place=A1]").first.focus()
    tab.keyboard.press("Tab")
    name = focused(tab, "dataset.place") or focused(tab, "getAttribute('data-place')")
    assert name in {tank.id for tank in cellar.live.snapshot.read.room.tanks} | {"A", "B", "C", "D", "E", "Q"}
    tab.locator("#drawing a[data-place=A2]").first.focus()
    tab.keyboard.press("Enter")
    expect(tab.locator("#sheet h2")).to_have_text("A2")


def test_keyboard_arrows_move_a_rack_show_its_clearances_and_are_one_edit(
    small: Room, page: OpenPage
) -> None:
    tab = ready(page(f"{small.url}/?at=A"))
    grip = tab.locator('[data-grip="A"]')
    grip.focus()
    assert tab.evaluate("() => getComputedStyle(document.activeElement).outlineStyle !== 'none' || "
                        "getComputedStyle(document.activeElement).stroke !== 'none'")  # fmt: skip
    for key in ("ArrowRight", "ArrowRight", "ArrowLeft", "Shift+ArrowRight"):
        tab.keyboard.press(key)
    expect(tab.locator(".clearances text").first).to_be_visible()
    expect(tab.locator(".clearances text").first).to_have_text("61 cm")
    tab.keyboard.press("Enter")
    shows(tab, 2)
    saved(tab)
    assert edits(small.live) == ['rack A: from_west "50 cm" -> "61 cm"']
    expect(tab.locator(".clearances")).to_have_count(0)
    expect(field(tab, FROM_WEST)).to_have_value("61 cm")
    expect(tab.locator('[data-grip="A"]'), "one can go on from there").to_be_focused()


def test_keyboard_escape_puts_a_rack_back_that_arrows_moved(small: Room, page: OpenPage) -> None:
    tab = ready(page(f"{small.url}/?at=A"))
    grip = tab.locator('[data-grip="A"]')
    grip.press("Shift+ArrowRight")
    tab.keyboard.press("Escape")
    expect(tab.locator("#announce")).to_have_text("Put back.")
    grip.press("ArrowRight")
    tab.keyboard.press("Enter")
    shows(tab, 2)
    assert edits(small.live) == ['rack A: from_west "50 cm" -> "51 cm"']


def dragged(tab: Page, metres: float) -> None:
    """Take rack A with the pointer and carry it eastward, without letting go."""
    grip = tab.locator('[data-grip="A"]')
    box = grip.bounding_box()
    assert box
    scale = tab.evaluate(
        """() => { const svg = document.querySelector('[data-grip="A"]').closest("svg");
                   return svg.getScreenCTM().a * Number(svg.dataset.scale); }"""
    )
    tab.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    tab.mouse.down()
    for part in (0.3, 0.7, 1.0):
        tab.mouse.move(box["x"] + box["width"] / 2 + metres * scale * part, box["y"] + box["height"] / 2)
    expect(tab.locator(".clearances text").first).to_be_visible()


def test_keyboard_escape_cancels_a_drag(small: Room, page: OpenPage) -> None:
    tab = ready(page(f"{small.url}/?at=A&why=A1.mass"))
    dragged(tab, 0.4)
    tab.keyboard.press("Escape")
    expect(tab.locator(".clearances")).to_have_count(0)
    tab.mouse.up()
    expect(tab.locator("#why")).to_be_visible()
    enter(tab, FROM_WEST, "52 cm")
    saved(tab)
    assert edits(small.live) == ['rack A: from_west "50 cm" -> "52 cm"'], "the drag was no edit"


def test_two_people_a_rack_under_my_hand_is_not_moved_by_a_change_elsewhere(
    small: Room, page: OpenPage
) -> None:
    tab = ready(page(f"{small.url}/?at=A", expect=("409",)))
    dragged(tab, 0.4)
    place = '() => document.querySelector("[data-rack=A][data-box]").getAttribute("transform")'
    held = tab.evaluate(place)
    Elsewhere(small).set("/rack/1/from_west", "90 cm")
    shows(tab, 2)
    tab.wait_for_timeout(200)
    assert tab.evaluate(place) == held
    tab.mouse.up()
    saved(tab)
    text = small.plan_path.read_text("utf-8")
    assert re.search(r'id = "A".*?from_west = "(89\.5|90|90\.5) cm"', text, re.DOTALL)
    assert re.search(r'id = "B".*?from_west = "90 cm"', text, re.DOTALL), "and theirs stands too"


def test_two_people_who_move_the_same_rack_at_once_are_both_told_and_the_first_stands(
    small: Room, page: OpenPage
) -> None:
    tab = ready(page(f"{small.url}/?at=A", expect=("409",)))
    dragged(tab, 0.4)
    moved = Elsewhere(small).edit(change="rack", rack="A", along="0.7")
    assert moved.status_code == 200
    shows(tab, 2)
    tab.mouse.up()
    told = tab.locator("#rack-error")
    expect(told).to_contain_text("somebody else changed the plan meanwhile")
    expect(told).to_contain_text(re.compile(r"Yours: .*(89\.5|90|90\.5) cm"))
    expect(told).to_contain_text(re.compile(r"There now: .*70 cm"))
    expect(field(tab, FROM_WEST)).to_have_value("70 cm")
    assert 'from_west = "70 cm"' in small.plan_path.read_text("utf-8")
    Elsewhere(small).set("/rack/1/from_west", "90 cm")
    shows(tab, 3)
    expect(told).to_be_visible()


def test_keyboard_an_elbow_turns_by_arrows_and_escape_puts_it_back(small: Room, page: OpenPage) -> None:
    tab = ready(page(f"{small.url}/?at=A1&layer=drain"))
    handle = tab.locator(".turner")
    handle.focus()
    before = int(handle.get_attribute("aria-valuenow") or -1)
    handle.press("ArrowRight")
    expect(handle).to_have_attribute("aria-valuetext", f"{before + 1}°")
    handle.press("Escape")
    handle.press("Shift+ArrowRight")
    handle.press("Enter")
    shows(tab, 2)
    saved(tab)
    assert f'angle = "{before + 10} deg"' in small.plan_path.read_text("utf-8")
    assert len(edits(small.live)) == 1


def test_keyboard_a_working_opens_takes_the_focus_and_escape_gives_it_back(
    cellar: Room, page: OpenPage
) -> None:
    tab = ready(page(f"{cellar.url}/air"))
    figure = tab.locator('a[data-figure="A3.air"]').first
    figure.focus()
    tab.keyboard.press("Enter")
    expect(tab.locator("#why")).to_be_focused()
    tab.keyboard.press("Escape")
    expect(tab.locator("#why")).to_have_count(0)
    expect(figure).to_be_focused()


# --- names ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("layer", "said"), [
    ("air", r"\d[\d.]* % of the air it needs|shut|no air|not computed.*"),
    ("layout", r"\w+, [\d.]+ L of water, [\d.]+ c?m clear over it"),
    ("load", r"[\d.]+ kg, [\d.]+ k?Pa under it"),
])  # fmt: skip
def test_names_every_tank_of_the_drawing_is_a_link_that_says_its_name_and_its_result(
    layer: str, said: str, cellar: Room, page: OpenPage
) -> None:
    tab = page(f"{cellar.url}/?layer={layer}")
    room = cellar.live.snapshot.read.room
    assert room is not None
    for tank in room.tanks:
        links = tab.locator(f'#drawing a.tank[data-place="{tank.id}"], #drawing a[data-place="{tank.id}"]')
        assert links.count() >= 1, tank.id
        label = links.first.get_attribute("aria-label") or ""
        assert re.match(rf"{tank.id}, ({said})", label), label
        expect(links.first).to_have_attribute("href", f"/?layer={layer}&at={tank.id}")


def test_names_the_pattern_of_the_house_is_kept_to_the_letter(cellar: Room, page: OpenPage) -> None:
    tab = page(f"{cellar.url}/")
    study = cellar.live.snapshot.read.study
    assert study
    assert study.air
    share = next(tap.share for run in study.air.runs for tap in run.taps if tap.tank == "B3")
    assert share is not None
    name = f"B3, {float(f'{100 * share:.3g}'):g} % of the air it needs"
    expect(
        tab.locator("#drawing").get_by_role("link", name=re.compile(f"^{re.escape(name)}"))
    ).not_to_have_count(0)


def test_names_what_changed_is_announced_once_whoever_changed_it(small: Room, page: OpenPage) -> None:
    tab = ready(page(f"{small.url}/?at=A1"))
    tab.evaluate(
        """() => { window.told = [];
            const place = document.getElementById("announce");
            new MutationObserver(() => { const text = place.textContent.trim(); if (text) window.told.push(text); })
              .observe(place, { childList: true, characterData: true, subtree: true }); }"""
    )
    enter(tab, "/tank_kind/cube/outside/0", "31 cm")
    tab.wait_for_function("() => window.told.length")
    saved(tab)
    Elsewhere(small).set("/tank_kind/cube/outside/0", "32 cm")
    tab.wait_for_function("() => window.told.length > 1")
    Elsewhere(small).edit(change="value", path="/title", typed="Another name")
    shows(tab, 4)
    told = tab.evaluate("() => window.told")
    assert len(told) == 2, "one sentence each, and none where no figure changed"
    assert all("→" in one for one in told)


def test_names_a_changed_figure_shows_the_old_one_beside_the_new(small: Room, page: OpenPage) -> None:
    tab = ready(page(f"{small.url}/?at=A1"))
    figure = tab.locator('[data-figure="A1.mass"]')
    before = figure.inner_text()
    enter(tab, "/tank_kind/cube/outside/0", "40 cm")
    expect(figure.locator(".was")).to_have_text(before)
    saved(tab)
    expect(figure.locator("b")).not_to_contain_text(before, use_inner_text=True)


def test_names_to_look_at_something_else_is_no_change(small: Room, page: OpenPage) -> None:
    tab = ready(page(f"{small.url}/?at=A1"))
    tab.locator(".layers").get_by_role("link", name="load").click()
    expect(tab.locator(".layers [aria-current]")).to_have_text("load")
    expect(tab.locator(".was")).to_have_count(0)
    expect(tab.locator("#announce")).to_have_text("")
