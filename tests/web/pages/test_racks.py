"""The list of racks: every tank a link a thumb can hit, signs against the findings, and the way to a tank by name."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tankwright.drawing.fronts import walking_order
from tankwright.finding import Severity

from ..chrome import Size, axe
from ..conftest import OpenPage, OpenRoom
from ..rooms import Room
from .reader import NO_TANKS, Reader, example, plain


@pytest.fixture(scope="module")
def cellar(tmp_path_factory: pytest.TempPathFactory) -> Reader:
    return Reader(tmp_path_factory.mktemp("cellar"), example("cellar"))


def test_racks_stand_in_the_order_one_walks_past_them_with_every_tank_as_a_link(cellar: Reader) -> None:
    room = cellar.good.room
    assert room is not None
    page = cellar.see("/racks")
    assert re.findall(r'id="rack-(\w+)"', page.markup) == [rack.id for rack in walking_order(room)]
    assert sorted(re.findall(r'<a href="/t/(\w+)" class="tank"', page.markup)) == sorted(
        tank.id for tank in room.tanks
    )


def test_a_rack_counts_what_is_found_about_it_and_its_tanks(cellar: Reader) -> None:
    room = cellar.good.room
    assert room is not None
    for rack in room.racks:
        here = {rack.id, *(tank.id for tank in room.tanks if tank.rack == rack.id)}
        head = plain(re.split(r'<div class="front', cellar.see("/racks").part(f"rack-{rack.id}"))[0])
        for severity in (Severity.PROBLEM, Severity.WARNING, Severity.NOT_COMPUTED):
            count = sum(
                one.severity is severity and bool(here & set(one.places)) for one in cellar.good.findings
            )
            assert (f"{count} {severity.value}" in head) == (count > 0)


def test_a_tank_is_named_with_what_is_found_about_it(cellar: Reader) -> None:
    mine = [one.severity for one in cellar.good.findings if "A3" in one.places]
    problems, warnings = mine.count(Severity.PROBLEM), mine.count(Severity.WARNING)
    assert problems > 1
    assert warnings > 1
    told = f"A3, mid60, {problems} problems, {warnings} warnings"
    assert f'aria-label="{told}' in cellar.see("/racks").markup


@pytest.mark.parametrize(
    ("asked", "leads_to"),
    [
        ("a3", "/t/A3"),
        (" A3 ", "/t/A3"),
        ("a", "/racks#rack-A"),
        ("Z9", "/racks?lost=Z9"),
        ("//x", "/racks?lost=//x"),
    ],
)
def test_a_tank_or_a_rack_is_found_by_its_name(asked: str, leads_to: str, cellar: Reader) -> None:
    assert cellar.see(f"/find?on=phone&q={asked}").leads_to == leads_to


def test_what_is_not_found_is_said(cellar: Reader) -> None:
    assert 'There is no "<b>" in this room.' in cellar.see("/racks?lost=%3Cb%3E").text


def test_the_find_of_the_room_still_leads_to_the_drawing(cellar: Reader) -> None:
    assert cellar.see("/find?q=a3").leads_to == "/?at=A3"


def test_a_room_without_racks_says_what_will_be_here(tmp_path: Path) -> None:
    page = Reader(tmp_path, NO_TANKS).see("/racks")
    assert "as soon as the plan has one" in page.text
    assert 'href="/text"' in page.markup


def test_a_hall_of_six_hundred_tanks_is_listed_too(tmp_path: Path) -> None:
    page = Reader(tmp_path, example("hall")).see("/racks")
    assert page.markup.count('class="tank"') == page.markup.count('<a href="/t/') > 500


@pytest.fixture(scope="module")
def served(rooms: OpenRoom) -> Room:
    return rooms()


@pytest.mark.parametrize("width", [360, 390])
def test_cells_are_large_enough_on_a_phone(width: int, served: Room, page: OpenPage) -> None:
    tab = page(f"{served.url}/racks", size="phone")
    tab.set_viewport_size({"width": width, "height": 800})
    tab.wait_for_selector("html[data-live]")
    sizes = tab.locator("a.tank > rect:first-of-type").evaluate_all(
        "all => all.map((one) => one.getBoundingClientRect()).map((box) => Math.min(box.width, box.height))"
    )
    assert len(sizes) > 30
    assert min(sizes) >= 48


@pytest.mark.parametrize("size", ["phone", "tablet", "desktop"])
def test_a_touch_on_a_cell_opens_the_tank_and_back_leads_to_the_list(
    size: Size, served: Room, page: OpenPage
) -> None:
    tab = page(f"{served.url}/racks", size=size)
    tab.wait_for_selector("html[data-live]")
    tab.locator('a.tank[data-place="B3"]').click()
    tab.wait_for_selector("h1:has-text('B3')")
    expect(tab).to_have_url(re.compile(r"/t/B3$"))
    assert axe(tab) == []
    tab.go_back()
    tab.wait_for_selector("#rack-B")
    assert axe(tab) == []
