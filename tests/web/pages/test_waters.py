"""The page of the water tests: nothing without a logbook, the worst first, one in full, markup nowhere."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tankwright.husbandry.facts import water_tested
from tankwright.husbandry.records import Observed
from tankwright.logbook.outcome import By, Recorded
from tankwright.workspace.log import RoomLog

from ..chrome import Size, axe, none
from ..conftest import OpenDesk, OpenPage, OpenRoom
from ..rooms import Room
from .reader import Reader, Seen, example, plain


@pytest.fixture
def cellar(tmp_path: Path) -> Reader:
    return Reader(tmp_path, example("cellar_mended"))


def log_of(reader: Reader) -> RoomLog:
    return RoomLog(reader.path, room=lambda: reader.good.room)


def put(
    log: RoomLog, tank: str, quantity: str, values: list[float], unit: str = "mg/L", method: str = ""
) -> None:
    """A test a week, the newest half a day ago."""
    book = log.book
    place = log.place(tank)
    assert place is not None
    now = datetime.now(UTC)
    drafts = [
        water_tested(
            place.id, now - timedelta(days=7.0 * (len(values) - 1 - number) + 0.5),
            (Observed(quantity=quantity, value=value, unit=unit, method=method),),
        )
        for number, value in enumerate(values)
    ]  # fmt: skip
    assert isinstance(book.record(drafts, By(who="Ada")), Recorded)


def heads(page: Seen) -> list[list[str]]:
    """The rows of the table as text."""
    rows = re.findall(r"<tr\b.*?</tr>", page.part("tests"), re.DOTALL)[1:]
    return [[plain(cell) for cell in re.findall(r"<t[dh]\b.*?</t[dh]>", row, re.DOTALL)] for row in rows]


def test_without_a_logbook_it_says_what_will_stand_there_and_makes_none(cellar: Reader) -> None:
    page = cellar.see("/waters")
    assert page.status == 200
    assert "every test of water will stand" in page.text
    assert not (cellar.path.parent / "plan.tankwright" / "logbook.sqlite").exists()


def test_the_worst_stands_first_with_its_sentence_its_chart_and_why(cellar: Reader) -> None:
    log = log_of(cellar)
    put(log, "A4", "ph", [7.0, 7.1, 7.0], unit="")
    put(
        log,
        "A3",
        "kh",
        [5.5, 5.0, 4.5, 4.0, 4.0, 3.5, 3.0, 3.0, 2.5, 2.0, 2.0],
        unit="°dH",
        method="double sample",
    )
    put(log, "A1", "no2", [0.0, 0.0, 2.0])
    page = cellar.see("/waters")
    rows = heads(page)
    assert [row[:3] for row in rows] == [
        ["A1", "nitrite", "2 mg/L"],
        ["A3", "KH", "2 °dH"],
        ["A4", "pH", "7"],
    ]
    assert rows[0][4] == "past what harms"
    assert rows[1][5] == "falling, towards its limit"
    assert "A1, nitrite is 2 mg/L, above the 0.6 mg/L" in page.text
    assert "A screening of the water" in page.text
    chosen = cellar.see("/waters?show=A3&what=kh")
    assert re.search(
        r"falls \S+ °dH to \S+ °dH a day; \S+ °dH in \d+ to \d+ days; test again on \d+ \w+ 20\d\d",
        chosen.text,
    )
    assert chosen.markup.count("<svg") >= 1
    assert "below this it harms" in chosen.part("chart-trend")
    assert "Never tested" in page.text


def test_the_table_is_narrowed_to_a_tank_a_quantity_and_a_line(cellar: Reader) -> None:
    log = log_of(cellar)
    put(log, "A3", "ph", [7.0, 7.1], unit="")
    put(log, "A3", "no3", [10.0])
    put(log, "A4", "no3", [10.0])
    assert [row[0] for row in heads(cellar.see("/waters?tank=A4"))] == ["A4"]
    assert {row[1] for row in heads(cellar.see("/waters?of=no3"))} == {"nitrate"}
    assert "No test is of that kind" in cellar.see("/waters?tank=A4&of=ph").text
    assert cellar.see("/waters?line=nobody").status == 200


def test_a_bad_address_breaks_nothing(cellar: Reader) -> None:
    put(log_of(cellar), "A3", "ph", [7.0, 7.1], unit="")
    for query in (
        "from=-3",
        "from=99999999999999999999",
        "show=%3Cb%3E&what=%3Cb%3E",
        "tank=%00",
        "of=kh%27",
    ):
        page = cellar.see(f"/waters?{query}")
        assert page.status == 200
        assert "<b>&" not in page.markup


def test_what_could_not_be_read_is_told(cellar: Reader) -> None:
    put(log_of(cellar), "A3", "no3", [10.0], unit="<i>spoons</i>")
    page = cellar.see("/waters")
    assert "could not be read" in page.text
    assert "<i>spoons" not in page.markup


def test_the_page_of_a_tank_shows_its_newest_tests_and_leads_to_all(cellar: Reader) -> None:
    log = log_of(cellar)
    put(log, "A3", "ph", [7.0, 7.1], unit="")
    put(log, "A3", "no2", [0.0, 2.0])
    page = cellar.see("/t/A3")
    shown = plain(re.findall(r'<section class="wrong tests".*?</section>', page.markup, re.DOTALL)[0])
    assert shown.startswith("nitrite 2 mg/L past what harms 12 h ago")
    assert "pH 7.1" in shown
    assert '/waters?tank=A3"' in page.markup


# --- in a browser ---------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def tested(rooms: OpenRoom) -> Room:
    room = rooms()
    good = room.live.snapshot.good
    assert good is not None
    log = RoomLog(room.plan_path, room=lambda: good.room)
    kh = [5.5, 5.0, 4.5, 4.0, 4.0, 3.5, 3.0, 3.0, 2.5, 2.0, 2.0]
    put(log, "A3", "kh", kh, unit="°dH", method="double sample")
    put(log, "A3", "no3", [10.0, 15.0] * 15 + [60.0])
    put(log, "A4", "temperature", [25.0, 25.5, 25.0], unit="°C")
    put(log, "A1", "nh4", [0.2])
    return room


@pytest.mark.parametrize("size", ["desktop", "phone"])
@pytest.mark.parametrize("query", ["", "?show=A3&what=no3", "?show=A3&what=kh", "?show=A1&what=nh4"])
def test_the_page_with_tests_is_sound(query: str, size: Size, tested: Room, context: OpenDesk) -> None:
    desk = context(size=size)
    tab = desk.open(f"{tested.url}/waters{query}")
    tab.wait_for_selector("html[data-live]")
    assert not tab.evaluate("document.documentElement.scrollWidth > innerWidth")
    none(axe(tab))
    tab.emulate_media(color_scheme="dark")
    none(axe(tab, "color-contrast", "link-in-text-block"))
    none(desk.watch.complaints)


def test_a_row_leads_to_its_chart_by_keyboard(tested: Room, page: OpenPage) -> None:
    tab = page(f"{tested.url}/waters")
    tab.locator("#tests a", has_text="A4").focus()
    tab.keyboard.press("Enter")
    expect(tab.locator("#chosen-title")).to_contain_text("A4")
    expect(tab.locator("#chart-trend svg")).to_be_visible()


def test_the_layer_of_tests_is_sound_with_tests(tested: Room, page: OpenPage) -> None:
    tab = page(f"{tested.url}/?layer=tests")
    expect(tab.locator(".layers [aria-current]")).to_have_text("tests", use_inner_text=True)
    none(axe(tab))
