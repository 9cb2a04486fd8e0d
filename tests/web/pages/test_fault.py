"""The page of one fault: its story in lines, the room at a moment, charts, the slider, an unknown name."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tankwright.faults.names import find_fault
from tankwright.faults.simulate import worst_story
from tankwright.report.fault import story_lines
from tankwright.web.pages.faults import fault_path
from tankwright.workspace.fault_work import faults_of

from ..chrome import axe, none
from ..conftest import OpenDesk, OpenPage, OpenRoom
from .reader import NO_TANKS, Reader, plain
from .test_faults import FED

BLOCKED = "/fault/overflow%20of%20A1%20blocked"
HEAVIEST = 40_000  # bytes the slider may have to fetch for each moment, before they are packed


@pytest.fixture(scope="module")
def shed(tmp_path_factory: pytest.TempPathFactory) -> Reader:
    return Reader(tmp_path_factory.mktemp("shed"), FED)


def test_every_line_of_the_story_is_told_with_its_time_and_leads_to_the_room_then(shed: Reader) -> None:
    study = shed.good.study
    assert study is not None
    fault = find_fault(faults_of(study), "overflow of A1 blocked")
    assert not isinstance(fault, tuple)
    story, outcome = worst_story(study, fault)
    lines = story_lines(study.room, story)
    page = shed.see(BLOCKED)
    shown = re.findall(r"<li class=\"([^\"]*)\".*?</li>", page.part("lines"), re.DOTALL)
    assert len(shown) == len(lines)
    assert [one.split()[0] if one.strip() else "" for one in shown].count("harm") == sum(
        one.harm for one in lines
    )
    assert all(
        f'href="{BLOCKED}?t=' in link for link in re.findall(r"<li.*?</li>", page.part("lines"), re.DOTALL)
    )
    assert outcome.first is not None
    assert "water on the floor" in page.text


def test_the_room_is_drawn_as_it_stands_at_the_moment_of_the_address(shed: Reader) -> None:
    before, after = shed.see(BLOCKED + "?t=0"), shed.see(BLOCKED + "?t=172800")
    assert "0 s after it began" in before.text
    assert "48 h after it began" in after.text
    assert re.search(r'"A1, water on the floor in ', before.part("room"))
    assert re.search(r'"A1, water on the floor"', after.part("room"))
    assert "run onto the floor so far" in plain(after.part("room"))
    assert "harm has come" in plain(after.part("legend"))


@pytest.mark.parametrize("t", ["-1", "nan", "1e9", "x" * 40, "999999999", "０"])
def test_a_moment_that_is_none_shows_the_room_all_the_same(t: str, shed: Reader) -> None:
    page = shed.see(f"{BLOCKED}?t={t}")
    assert page.status == 200
    assert "after it began" in page.text


def test_the_slider_fetches_the_room_alone(shed: Reader) -> None:
    page = shed.see(BLOCKED + "?t=9000&only=room")
    assert 'id="moment"' in page.markup
    assert 'id="lines"' not in page.markup
    assert "<figure" not in page.markup
    assert len(page.markup) < HEAVIEST


def test_a_stated_time_of_day_is_begun_at(shed: Reader) -> None:
    assert "Begun at 03:00" in shed.see(BLOCKED + "?at=03:00").text
    assert "Begun at" in shed.see(BLOCKED + "?at=25:99").text


def test_a_name_there_is_none_of_is_offered_the_nearest(shed: Reader) -> None:
    page = shed.see("/fault/overflow%20of%20A7%20blocked")
    assert page.status == 200
    assert "There is no fault of this name" in page.text
    assert BLOCKED in page.markup
    assert shed.see("/fault/%3Cb%3E").status == 200
    assert "<b>" not in shed.see("/fault/%3Cb%3E").markup.replace("<b>A", "")


def test_a_name_with_a_slash_and_an_umlaut_is_found(tmp_path: Path) -> None:
    named = FED.replace("[drain.main]", '[drain."Bö/1"]')
    reader = Reader(tmp_path, named)
    study = reader.good.study
    assert study is not None
    name = next(one.name for one in faults_of(study) if "Bö/1" in one.name)
    page = reader.see(fault_path(name))
    assert page.status == 200
    assert name in plain(page.part("title"))


def test_a_room_without_tanks_says_that_there_is_no_such_fault(tmp_path: Path) -> None:
    page = Reader(tmp_path, NO_TANKS).see(BLOCKED)
    assert page.status == 200
    assert "There is no fault of this name" in page.text


def test_a_plan_with_mistakes_tells_the_story_of_the_last_good_one(tmp_path: Path) -> None:
    reader = Reader(tmp_path, FED)
    reader.path.write_text(FED + "[nonsense\n", "utf-8")
    reader.live.reread()
    assert "water on the floor" in reader.see(BLOCKED).text


def test_what_happens_is_drawn_over_time_and_caution_is_said(shed: Reader) -> None:
    page = shed.see(BLOCKED)
    titles = {plain(one) for one in re.findall(r"<figcaption>(.*?)</figcaption>", page.markup)}
    assert titles == {"Water on the floor", "Water against its height at first"}
    assert "a screening" in page.text.lower()


def test_the_slider_moves_the_room_the_lines_and_the_address_and_obeys_the_keyboard(
    rooms: OpenRoom, page: OpenPage
) -> None:
    served = rooms(FED)
    tab = page(served.url + BLOCKED + "?t=0")
    slider = tab.get_by_label("Time since it began")
    expect(tab.locator("#since")).to_contain_text("0 s")
    slider.focus()
    tab.keyboard.press("End")
    expect(tab.locator("#since")).to_contain_text("48 h")
    expect(tab).to_have_url(re.compile(r"t=17\d+"))
    expect(tab.locator("#lines .later")).to_have_count(0)
    expect(tab.locator("#moment svg").first).to_be_visible()
    tab.keyboard.press("Home")
    expect(tab.locator("#since")).to_contain_text("0 s")
    assert tab.locator("#lines .later").count() > 0
    for width in (1440, 1024, 390):
        tab.set_viewport_size({"width": width, "height": 844})
        assert tab.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
        none(axe(tab))
    tab.emulate_media(color_scheme="dark")
    none(axe(tab, "color-contrast"))


def test_without_scripts_links_lead_to_the_moments(rooms: OpenRoom, context: OpenDesk) -> None:
    served = rooms(FED)
    desk = context(scripts=False)
    tab = desk.context.new_page()
    tab.goto(served.url + BLOCKED)
    tab.locator(".stops a").last.click()
    expect(tab.locator("#since")).to_contain_text("48 h")
    tab.locator("#lines a").first.click()
    expect(tab.locator("#since")).to_contain_text("0 s")
