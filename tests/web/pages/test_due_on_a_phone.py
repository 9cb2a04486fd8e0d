"""The round in a hand: a tank a screen, done with a tap, a number too, on a cut line, taken back; a finger's size."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from typing import Final

import pytest
from playwright.sync_api import Page, expect

from tankwright.husbandry.cultures import SHRIMP, started
from tankwright.husbandry.proposals import task_draft
from tankwright.husbandry.records import Event
from tankwright.husbandry.register import Task
from tankwright.husbandry.spares import counted_spares
from tankwright.husbandry.treatments import treated
from tankwright.logbook.outcome import By, Recorded
from tankwright.logbook.store import Logbook
from tankwright.web import clock
from tankwright.workspace.log import RoomLog
from tankwright.workspace.round_paper import print_round
from tankwright.workspace.round_work import due_of
from tankwright.workspace.settings import SettingsBook

from ..chrome import axe, eventually, none
from ..conftest import OpenDesk, OpenPage, OpenRoom
from ..relay import Relay
from ..rooms import Room
from .reader import SMALL

CUT: Final = (
    "request failed",
    "console error: Failed to load resource",
    "console error: WebSocket connection",
)
TALL: Final = 72  # dots; "main buttons >= 72 px"
BOUNCE: Final = 350  # ms; a second touch within 300 ms is a wet finger's
WARM: Final = {"quantity": "temperature", "unit": "°C", "low": 22.0, "high": 26.0}


def book(room: Room) -> Logbook:
    good = room.live.snapshot.good
    return RoomLog(room.plan_path, room=lambda: good.room if good else None).book


def events(room: Room) -> tuple[Event, ...]:
    return book(room).events(kinds=("task_done",))


def done(room: Room) -> list[str]:
    return [str(one.details["task"]) for one in events(room)]


@pytest.fixture
def shed(room: OpenRoom) -> Room:
    """Two tanks with a look, a feeding and a temperature each."""
    served = room(SMALL)
    there = {one.label: one.id for one in book(served).places()}
    tasks = [
        Task(id=f"{kind}{name}", label=label, place=there[name], kind=kind, **more)  # type: ignore[arg-type]
        for name in ("A1", "A2")
        for kind, label, more in (
            ("look", "Look", {}),
            ("feed", "Feed", {}),
            ("temperature", "Temperature", WARM),
        )
    ]
    book(served).record([task_draft(one, datetime.now(UTC)) for one in tasks], By(who="Ada"))
    return served


def filled(room: Room) -> None:
    """A hatch, a treatment, a spare part that is short, and printed pages."""
    log = RoomLog(room.plan_path)
    now = datetime.now(UTC)
    place = next(one.id for one in log.book.places())
    came = log.book.record([
        started("c", SHRIMP, now, ready=(18.0, 24.0), lasts=8.0), started("d", SHRIMP, now),
        treated(place, "salt", now, dose="2 g/L", days=3, withdrawal_days=7),
        treated(place, "salt", now - timedelta(days=20), days=3),
        counted_spares("drippers", 2, now, least=6),
    ], By(who="Ada"))  # fmt: skip
    assert isinstance(came, Recorded)
    print_round(log, due_of(log, now, clock.day_of), By(who="Ada"), now)


def ready(tab: Page) -> Page:
    tab.wait_for_selector("html[data-live]")
    return tab


def at(tab: Page, name: str) -> None:
    expect(tab.locator(".stop:visible h2")).to_have_text(re.compile(rf"^{name} "), use_inner_text=True)


def all_saved(tab: Page) -> None:
    tab.wait_for_selector("#line[data-state=saved]")


def test_a_tank_is_done_with_one_tap_and_its_number_with_two_and_on_one_goes(
    shed: Room, page: OpenPage
) -> None:
    tab = ready(page(f"{shed.url}/due/walk/A", size="phone"))
    at(tab, "A1")
    expect(tab.locator("#progress")).to_have_text("6 to do", use_inner_text=True)
    before = datetime.now(UTC)
    tab.get_by_role("button", name="All of these done").click()
    all_saved(tab)
    eventually(tab, lambda: sorted(done(shed)), ["feedA1", "lookA1"])
    assert all(before - timedelta(seconds=1) < one.happened for one in events(shed))
    expect(tab.locator("#progress")).to_have_text("4 to do", use_inner_text=True)
    at(tab, "A1")
    tab.wait_for_timeout(BOUNCE)
    tab.locator(".stop:visible .chips a", has_text="24.5").click()
    tab.get_by_role("button", name=re.compile("^Save")).click()
    eventually(tab, lambda: len(done(shed)), 3)
    assert events(shed)[-1].observed[0].value == 24.5
    expect(tab.locator(".stop:visible .all-done")).to_be_visible()
    tab.get_by_role("link", name="Next: A2").click()
    at(tab, "A2")
    expect(tab.locator(".all-points a").first).to_contain_text("done")


def test_an_unusual_number_is_asked_about_and_kept_with_the_second_tap(shed: Room, page: OpenPage) -> None:
    tab = ready(page(f"{shed.url}/due/walk/A?kind=A2", size="phone"))
    field = tab.locator(".stop:visible input[name=value]")
    field.fill("31")
    save = tab.get_by_role("button", name=re.compile("^Save"))
    save.click()
    expect(tab.locator(".stop:visible .asks")).to_contain_text("31 °C is unusual")
    tab.wait_for_timeout(BOUNCE)
    assert done(shed) == []
    field.fill("32")
    save.click()
    tab.wait_for_timeout(BOUNCE)
    assert done(shed) == [], "another number is asked about again"
    save.click()
    eventually(tab, lambda: done(shed), ["temperatureA2"])
    assert events(shed)[0].observed[0].value == 32.0


def test_plus_and_minus_move_the_number_by_the_step_of_its_test(shed: Room, page: OpenPage) -> None:
    tab = ready(page(f"{shed.url}/due/walk/A", size="phone"))
    tab.get_by_role("link", name="more: Temperature").click()
    expect(tab.locator(".stop:visible input[name=value]")).to_have_value("24.5")
    tab.get_by_role("link", name="less: Temperature").click()
    tab.get_by_role("link", name="less: Temperature").click()
    expect(tab.locator(".stop:visible input[name=value]")).to_have_value("23.5")


def test_the_last_tap_is_taken_back_within_ten_seconds_and_is_due_again(shed: Room, page: OpenPage) -> None:
    tab = ready(page(f"{shed.url}/due/walk/A", size="phone"))
    tab.get_by_role("button", name=re.compile("^Look")).click()
    eventually(tab, lambda: done(shed), ["lookA1"])
    undo = tab.locator("#undo button")
    expect(undo).to_contain_text("Undo")
    undo.click()
    eventually(tab, lambda: done(shed), [])
    expect(tab.get_by_role("button", name=re.compile("^Look"))).to_be_enabled()
    expect(tab.locator("#progress")).to_have_text("6 to do", use_inner_text=True)
    expect(tab.locator("#undo")).to_be_hidden()


def test_on_a_cut_line_the_whole_rack_is_walked_and_all_of_it_is_kept_with_the_time_of_its_tap(
    shed: Room, relay: Relay, context: OpenDesk
) -> None:
    desk = context(proxy=relay.proxy, size="phone")
    desk.watch.expect(*CUT)
    tab = ready(desk.open(f"{shed.url}/due/walk/A"))
    relay.cut()
    began = datetime.now(UTC)
    tab.get_by_role("button", name="All of these done").click()
    expect(tab.locator("#progress")).to_have_text("4 to do", use_inner_text=True)
    tab.get_by_role("link", name="Next: A2").click()
    at(tab, "A2")
    tab.wait_for_timeout(BOUNCE)
    tab.locator(".stop:visible").get_by_role("button", name=re.compile("^Look")).click()
    tab.wait_for_timeout(BOUNCE)
    tab.locator(".stop:visible").get_by_role("button", name=re.compile("^Feed")).click()
    tab.locator("#undo button").click()  # taken back before it went
    tab.locator(".stop:visible .chips a", has_text="24.0").click()
    tab.get_by_role("button", name=re.compile("^Save")).click()
    ended = datetime.now(UTC)
    tab.wait_for_selector("#line[data-state=waits]")
    expect(tab.locator("#progress")).to_have_text("2 to do", use_inner_text=True)
    assert done(shed) == []
    tab.wait_for_timeout(1500)
    relay.restore()
    all_saved(tab)
    eventually(tab, lambda: sorted(done(shed)), ["feedA1", "lookA1", "lookA2", "temperatureA2"])
    for one in events(shed):
        assert began - timedelta(seconds=1) < one.happened < ended + timedelta(seconds=1)
        assert one.recorded > one.happened
    expect(tab.locator("#progress")).to_have_text("2 to do", use_inner_text=True)


def test_a_tap_at_the_desk_repaints_the_round_in_a_hand(shed: Room, page: OpenPage) -> None:
    tab = ready(page(f"{shed.url}/due/walk/A", size="phone"))
    at(tab, "A1")
    other = ready(page(f"{shed.url}/due"))
    other.locator('input[type=checkbox][value="lookA2"]').check()
    other.get_by_role("button", name="Keep what is ticked").click()
    expect(tab.locator("#progress")).to_have_text("5 to do", use_inner_text=True)
    at(tab, "A1")


def test_the_board_looks_again_by_itself(shed: Room, page: OpenPage) -> None:
    board = ready(page(f"{shed.url}/board"))
    expect(board.locator(".totals .all dd")).to_have_text("6")
    tab = ready(page(f"{shed.url}/due/walk/A", size="phone"))
    tab.get_by_role("button", name="All of these done").click()
    expect(board.locator(".totals .all dd")).to_have_text("4")


@pytest.mark.parametrize(
    "path",
    [
        "/due/walk/A",
        "/due/walk/A?kind=A2",
        "/board",
        "/due",
        "/due/work",
        "/due/paper",
        "/due/paper/1",
        "/due/stores",
    ],
)
def test_with_work_due_everyone_can_use_the_pages(path: str, shed: Room, context: OpenDesk) -> None:
    filled(shed)
    desk = context(size="phone")
    tab = ready(desk.open(shed.url + path))
    tab.evaluate("for (const one of document.querySelectorAll('details')) one.open = true")
    none(axe(tab))
    assert not tab.evaluate("document.documentElement.scrollWidth > innerWidth")
    if "walk" in path:
        low = [
            name for name, high in tab.evaluate(
                "[...document.querySelectorAll('.stop:not([hidden]) :is(button, .step, .next)')]"
                ".map((one) => [one.textContent, one.getBoundingClientRect().height])"
            ) if high < TALL
        ]  # fmt: skip
        assert low == []


def test_without_scripts_every_button_is_a_form_and_an_unusual_number_asks(
    shed: Room, context: OpenDesk
) -> None:
    desk = context(size="phone", scripts=False)
    desk.watch.expect("answer 422", "console error: Failed to load resource")
    tab = desk.open(f"{shed.url}/due/walk/A")
    tab.get_by_role("button", name=re.compile("^Look")).click()
    assert done(shed) == ["lookA1"]
    tab.locator(".stop:visible input[name=value]").fill("31")
    tab.get_by_role("button", name=re.compile("^Save")).click()
    expect(tab.locator(".stop:visible .error")).to_contain_text("31 °C is unusual")
    tab.get_by_role("button", name=re.compile("^Save")).click()
    assert done(shed) == ["lookA1", "temperatureA1"]


# --- several people on one screen ------------------------------------------------------------------------------------


def test_a_shared_screen_asks_for_initials_once_a_minute_and_records_who_it_was(
    shed: Room, context: OpenDesk
) -> None:
    people = SettingsBook(shed.plan_path)
    for name in ("Ada Lo", "Bea Moss"):
        people.set_password(name, "four plain words", "keeper")
    desk = context(size="phone")
    tab = ready(desk.open(f"{shed.url}/finger"))
    tab.get_by_label("Several people use this screen").check()
    tab = ready(desk.open(f"{shed.url}/due/walk/A"))
    look = tab.get_by_role("button", name=re.compile("^Look"))
    look.click()
    assert done(shed) == []
    tab.get_by_label("Your initials").fill("bm")
    none(axe(tab))
    tab.get_by_role("button", name="That is me").click()
    eventually(tab, lambda: done(shed), ["lookA1"])
    tab.wait_for_timeout(BOUNCE)
    tab.get_by_role("button", name=re.compile("^Feed")).click()  # within the minute nobody is asked
    eventually(tab, lambda: sorted(done(shed)), ["feedA1", "lookA1"])
    assert {(one.who, one.device) for one in events(shed)} == {("Bea Moss", "keeper")}


# --- the size of a finger --------------------------------------------------------------------------------------------


def test_a_bank_card_makes_the_main_buttons_twenty_millimetres_and_it_is_kept(
    shed: Room, context: OpenDesk
) -> None:
    desk = context(size="phone")
    tab = ready(desk.open(f"{shed.url}/finger"))
    tab.locator("#slide").fill("514")  # 85.6 mm on a screen of six dots a millimetre
    box = tab.locator("#card").bounding_box()
    assert box is not None
    assert abs(box["height"] - 514) < 6
    assert abs(box["width"] - 514 * 53.98 / 85.6) < 6
    tab.get_by_role("button", name="It fits: keep it").click()
    expect(tab.locator("#kept")).to_have_text("Kept in this browser")
    tab = ready(desk.open(f"{shed.url}/due/walk/A"))
    heights = tab.evaluate(
        "[...document.querySelectorAll('.stop:not([hidden]) :is(.tap, .save, .next)')]"
        ".map((one) => one.getBoundingClientRect().height)"
    )
    assert heights
    assert min(heights) >= 119, "20 mm at six dots each"
    tab = ready(desk.open(f"{shed.url}/t/A1"))
    assert min(tab.evaluate("[...document.querySelectorAll('.tap')].map((one) => one.offsetHeight)")) >= 119
    tab = ready(desk.open(f"{shed.url}/finger"))
    tab.get_by_role("button", name="Forget it").click()
    tab = ready(desk.open(f"{shed.url}/due/walk/A"))
    assert tab.evaluate("document.documentElement.style.getPropertyValue('--finger')") == ""
