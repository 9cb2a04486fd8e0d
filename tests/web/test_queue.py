"""What is tapped in the room is kept: line cut, page closed, server killed, two tabs, a wrong clock."""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

from playwright.sync_api import Page, Request, expect

from tankwright.web.access import Access, PeopleInMemory
from tankwright.workspace.entries import Entry, EntryBook

from .chrome import eventually
from .conftest import OpenDesk, OpenPage, OpenRoom
from .relay import Relay
from .rooms import Process, Room, plan_in, start_room

CUT = ("request failed", "console error: Failed to load resource", "console error: WebSocket connection")
BUTTONS = ("Spawn", "Looked, all well", "Dead fish", "Fed")
SOON = 5.0  # s; the row says 1 s on a machine at rest: here other tests run beside it
BOUNCE = 350  # ms; a second touch within 300 ms is a wet finger's


def ready(page: Page) -> Page:
    page.wait_for_selector("html[data-live]")
    return page


def tap(page: Page, *names: str) -> None:
    for name in names:
        page.get_by_role("button", name=name).click()
        page.wait_for_timeout(BOUNCE)


def all_saved(page: Page) -> None:
    page.wait_for_selector("#line[data-state=saved]")


def entries(room: Room | Process) -> tuple[Entry, ...]:
    return EntryBook(room.plan_path).all()


def kinds(room: Room | Process) -> list[str]:
    return [one.kind for one in entries(room)]


# --- the line ----------------------------------------------------------------------------------------------------


def test_a_spawn_is_one_tap_and_stands_in_the_book_and_on_the_page(room: OpenRoom, page: OpenPage) -> None:
    served = room()
    tab = ready(page(f"{served.url}/t/A3", size="phone"))
    before = datetime.now(UTC)
    tap(tab, "Spawn")
    after = datetime.now(UTC)
    all_saved(tab)
    tab.wait_for_selector("#entries li[data-key]")
    (entry,) = entries(served)
    assert (entry.tank, entry.kind, entry.value, entry.who) == ("A3", "spawn", None, "keeper")
    assert before - timedelta(seconds=1) < entry.happened < after + timedelta(seconds=1)
    expect(tab.locator("#entries li")).to_have_text(re.compile(r"^Spawn"), use_inner_text=True)
    expect(tab.locator("#waiting li")).to_have_count(0)


def test_five_taps_on_a_cut_line_wait_in_order_and_are_stored_once_with_the_time_of_the_tap(
    room: OpenRoom, relay: Relay, context: OpenDesk
) -> None:
    served = room()
    desk = context(proxy=relay.proxy, size="phone")
    desk.watch.expect(*CUT)
    tab = ready(desk.open(f"{served.url}/t/A3"))
    relay.cut()
    began = datetime.now(UTC)
    tap(tab, *BUTTONS, "Dead fish")
    ended = datetime.now(UTC)
    tab.wait_for_selector("#line[data-state=waits]")
    expect(tab.locator("#line")).to_have_text("5 entries wait for the line", use_inner_text=True)
    expect(tab.locator("#waiting li"), "the last three stand there at once").to_have_count(3)
    expect(tab.locator("#waiting li").first).to_contain_text("waits", use_inner_text=True)
    assert entries(served) == ()
    tab.wait_for_timeout(1500)
    relay.restore()
    all_saved(tab)
    eventually(tab, lambda: kinds(served), ["spawn", "looked", "dead", "fed", "dead"])
    stored = entries(served)
    assert [one.happened for one in stored] == sorted(one.happened for one in stored)
    assert began - timedelta(seconds=1) < stored[0].happened
    assert stored[-1].happened < ended + timedelta(seconds=1)
    assert stored[-1].recorded - stored[-1].happened > timedelta(seconds=1), (
        "it arrived later than it happened"
    )


def test_what_waits_survives_a_reload_a_closed_page_and_a_killed_server(
    process: Callable[..., Process], context: OpenDesk
) -> None:
    program = process()
    desk = context(size="phone")
    desk.watch.expect(*CUT)
    tab = ready(desk.open(f"{program.url}/t/A3"))
    tap(tab, "Fed")
    all_saved(tab)
    program.kill()
    tap(tab, *BUTTONS, "Spawn")
    tab.wait_for_selector("#line[data-state=waits]")
    tab.close()
    program.restart()
    tab = ready(desk.open(f"{program.url}/t/B1"))  # another page of the same phone sends them
    all_saved(tab)
    eventually(tab, lambda: kinds(program), ["fed", "spawn", "looked", "dead", "fed", "spawn"])
    assert {one.tank for one in entries(program)} == {"A3"}
    program.kill()
    program.restart()
    tab.reload()
    all_saved(ready(tab))
    eventually(tab, lambda: len(entries(program)), 6)


def test_an_answer_lost_on_its_way_does_not_store_the_entry_twice(room: OpenRoom, context: OpenDesk) -> None:
    served = room()
    desk = context(size="phone")
    desk.watch.expect(*CUT)
    tab = ready(desk.open(f"{served.url}/t/A3"))
    lost: list[str] = []

    def lose_the_first(route: object, request: Request) -> None:
        if not lost:
            lost.append(request.post_data or "")
            route.fetch()  # type: ignore[attr-defined] # the server stores it
            route.abort()  # type: ignore[attr-defined] # and the phone never hears of it
        else:
            route.continue_()  # type: ignore[attr-defined]

    tab.route("**/enter", lose_the_first)
    tap(tab, "Spawn")
    tab.wait_for_selector("#line[data-state=waits]")
    all_saved(tab)
    assert lost
    eventually(tab, lambda: kinds(served), ["spawn"])


def test_two_tabs_send_each_entry_once(room: OpenRoom, relay: Relay, context: OpenDesk) -> None:
    served = room()
    desk = context(proxy=relay.proxy, size="phone")
    desk.watch.expect(*CUT)
    first = ready(desk.open(f"{served.url}/t/A3"))
    second = ready(desk.open(f"{served.url}/t/A4"))
    answers: list[int] = []
    desk.context.on(
        "response", lambda one: answers.append(one.status) if one.url.endswith("/enter") else None
    )
    relay.cut()
    first.bring_to_front()
    tap(first, "Spawn", "Fed")
    second.bring_to_front()
    tap(second, "Looked, all well", "Dead fish")
    second.wait_for_selector("#line[data-state=waits]")
    expect(second.locator("#line")).to_have_text("4 entries wait for the line", use_inner_text=True)
    relay.restore()
    all_saved(second)
    all_saved(first)
    eventually(second, lambda: kinds(served), ["spawn", "fed", "looked", "dead"])
    eventually(second, lambda: answers, [200] * 4)


def test_a_tab_that_died_while_it_sent_does_not_stop_the_others(room: OpenRoom, context: OpenDesk) -> None:
    served = room()
    tab = ready(context(size="phone").open(f"{served.url}/t/A3"))
    tab.evaluate("localStorage.setItem('tankwright.entries.lease', `gone ${Date.now() + 1500}`)")
    tap(tab, "Spawn")
    assert entries(served) == ()
    all_saved(tab)
    eventually(tab, lambda: kinds(served), ["spawn"])


# --- what the server will not take --------------------------------------------------------------------------------


def test_an_entry_that_is_refused_is_shown_and_kept_apart_and_the_rest_goes_on(
    room: OpenRoom, relay: Relay, context: OpenDesk
) -> None:
    served = room()
    desk = context(proxy=relay.proxy, size="phone")
    desk.watch.expect(*CUT, "answer 422")
    tab = ready(desk.open(f"{served.url}/t/B8"))
    relay.cut()
    tap(tab, "Spawn", "Fed")
    text = served.plan_path.read_text("utf-8")
    assert text.count('"B6..B8') == 2, "on its shelf, and where its fish are said"
    served.plan_path.write_text(text.replace('"B6..B8', '"B6..B7, B9'), "utf-8")
    served.live.reread()
    assert served.live.snapshot.good is served.live.snapshot.read
    relay.restore()
    tab.wait_for_function("() => document.querySelectorAll('#apart li').length === 2")
    said = tab.locator("#apart li").first
    expect(said).to_contain_text("B8: Spawn", use_inner_text=True)
    expect(said).to_contain_text('there is no tank "B8"', use_inner_text=True)
    tab.reload()
    ready(tab)  # and kept until somebody says what to do
    tab.wait_for_function("() => document.querySelectorAll('#apart li').length === 2")
    assert entries(served) == ()
    served.plan_path.write_text(text, "utf-8")
    served.live.reread()
    tab.locator("#apart li").first.get_by_role("button", name="Try again").click()
    tab.wait_for_function("() => document.querySelectorAll('#apart li').length === 1")
    tab.locator("#apart li").get_by_role("button", name="Drop it").click()
    all_saved(tab)
    expect(tab.locator("#apart")).to_be_hidden()
    eventually(tab, lambda: kinds(served), ["spawn"])


def test_what_was_tapped_on_another_plan_of_the_same_address_is_not_sent_to_this_one(
    room: OpenRoom, page: OpenPage
) -> None:
    served = room()
    tab = ready(page(f"{served.url}/t/A3", size="phone"))
    tab.evaluate(
        "localStorage.setItem('tankwright.entry.0001700000000000.k1', JSON.stringify({key: 'k1', tank: 'A3',"
        " kind: 'fed', says: 'Fed', happened: '2026-08-01T10:00:00Z', book: 'another'}))"
    )
    tab.reload()
    tab.wait_for_selector("#apart li")
    expect(tab.locator("#apart li")).to_contain_text("made on another plan", use_inner_text=True)
    tab.wait_for_timeout(500)
    assert entries(served) == ()
    tab.get_by_role("button", name="Try again").click()
    all_saved(tab)
    eventually(tab, lambda: kinds(served), ["fed"])


def test_who_is_logged_out_keeps_what_was_tapped_until_logged_in_again(
    context: OpenDesk, tmp_path_factory: object
) -> None:
    people = PeopleInMemory()
    people.put("Ada", "helper", "a long password")
    folder = tmp_path_factory.mktemp("room")  # type: ignore[attr-defined]
    served = start_room(plan_in(folder, None), Access(people, secret=b"s" * 32))
    try:
        desk = context(size="phone")
        tab = desk.open(f"{served.url}/t/A3")
        _log_in(tab)
        ready(tab)
        desk.context.clear_cookies()
        tap(tab, "Spawn", "Fed")
        tab.wait_for_selector("#line[data-state=waits]")
        expect(tab.locator("#line")).to_have_text(re.compile(r"^Log in again"), use_inner_text=True)
        tab.goto(f"{served.url}/t/A3")
        _log_in(tab)
        all_saved(ready(tab))
        taps = [("spawn", "Ada"), ("fed", "Ada")]
        eventually(tab, lambda: [(one.kind, one.who) for one in entries(served)], taps)
    finally:
        served.stop()


def _log_in(tab: Page) -> None:
    tab.fill("#name", "Ada")
    tab.fill("#password", "a long password")
    tab.get_by_role("button", name="Log in").click()
    tab.wait_for_url("**/t/A3")


# --- taking back --------------------------------------------------------------------------------------------------


def test_a_tap_can_be_taken_back_for_ten_seconds_by_an_entry_of_its_own(
    room: OpenRoom, context: OpenDesk
) -> None:
    served = room()
    desk = context(size="phone")
    tab = desk.context.new_page()
    tab.clock.install()
    tab.goto(f"{served.url}/t/A3")
    ready(tab)
    tab.get_by_role("button", name="Spawn").click()
    tab.clock.run_for(1000)
    all_saved(tab)
    tab.get_by_role("button", name="Dead fish").click()
    tab.clock.run_for(1000)
    all_saved(tab)
    undo = tab.locator("#undo button")
    expect(undo).to_have_text(re.compile(r"^Undo (9|10)$"), use_inner_text=True)
    expect(undo).to_have_attribute("aria-label", "Undo: A3, Dead fish: 1")
    undo.click()
    tab.clock.run_for(1000)
    expect(undo, "the tap before has its ten seconds too").to_have_attribute("aria-label", "Undo: A3, Spawn")
    all_saved(tab)
    eventually(tab, lambda: kinds(served), ["spawn", "dead", "dead"])
    stored = entries(served)
    assert [one.undoes for one in stored] == [None, None, stored[1].id]
    assert [one.kind for one in EntryBook(served.plan_path).last("A3")] == ["spawn"]
    tab.clock.run_for(8000)
    expect(tab.locator("#undo")).to_be_hidden()


def test_taking_back_works_while_the_line_is_cut(room: OpenRoom, relay: Relay, context: OpenDesk) -> None:
    served = room()
    desk = context(proxy=relay.proxy, size="phone")
    desk.watch.expect(*CUT)
    tab = ready(desk.open(f"{served.url}/t/A3"))
    relay.cut()
    tap(tab, "Spawn", "Fed")
    tab.locator("#undo button").click()
    expect(tab.locator("#waiting li")).to_have_count(1)
    expect(tab.locator("#waiting li")).to_have_text(re.compile(r"^Spawn"), use_inner_text=True)
    relay.restore()
    all_saved(tab)
    eventually(tab, lambda: len(entries(served)), 3)  # nothing is rubbed out
    assert [one.kind for one in EntryBook(served.plan_path).last("A3")] == ["spawn"]


# --- time ---------------------------------------------------------------------------------------------------------


def test_half_past_two_happens_twice_in_october_and_both_are_told_apart_and_in_order(
    room: OpenRoom, context: OpenDesk
) -> None:
    served = room()
    desk = context(size="phone", timezone_id="Europe/Berlin")
    tab = desk.context.new_page()
    tab.clock.install(time=datetime(2025, 10, 26, 0, 29, 50, tzinfo=UTC))
    tab.goto(f"{served.url}/t/A3")
    ready(tab)
    tab.clock.run_for(20_000)  # 02:30, summer time
    tab.get_by_role("button", name="Spawn").click()
    tab.clock.run_for(2000)
    all_saved(tab)
    tab.clock.run_for(3_600_000)  # 02:30 again, winter time
    tab.get_by_role("button", name="Dead fish").click()
    tab.clock.run_for(2000)
    all_saved(tab)
    tab.wait_for_function("() => document.querySelectorAll('#entries li[data-key]').length === 2")
    stored = EntryBook(served.plan_path).last("A3")
    assert [one.kind for one in stored] == ["dead", "spawn"]
    assert [f"{one.happened:%H:%M}" for one in stored] == ["01:30", "00:30"], "UTC is stored"
    told = tab.locator("#entries li .when")
    expect(told.nth(0)).to_contain_text("02:30 CET", use_inner_text=True)
    expect(told.nth(1)).to_contain_text("02:30 CEST", use_inner_text=True)
    tab.clock.run_for(3_600_000)
    tab.get_by_role("button", name="Fed").click()
    tab.clock.run_for(2000)
    all_saved(tab)
    tab.wait_for_function("() => document.querySelectorAll('#entries li[data-key]').length === 3")
    newest = tab.locator("#entries li .when").first
    expect(newest, "a zone only where it is needed").to_have_text(
        re.compile(r"^03:30 ·"), use_inner_text=True
    )


def test_a_phone_whose_clock_is_ahead_is_told_and_the_time_of_arrival_is_kept(
    room: OpenRoom, context: OpenDesk
) -> None:
    served = room()
    tab = context(size="phone").context.new_page()
    tab.clock.install(time=datetime.now(UTC) + timedelta(hours=3))
    tab.goto(f"{served.url}/t/A3")
    ready(tab)
    tab.get_by_role("button", name="Spawn").click()
    tab.clock.run_for(1000)
    tab.wait_for_selector("#line:has-text('3 h ahead')")
    (entry,) = entries(served)
    assert abs(entry.happened - entry.recorded) < timedelta(seconds=2)
    assert abs(entry.recorded - datetime.now(UTC)) < timedelta(seconds=20)


# --- others -------------------------------------------------------------------------------------------------------


def test_an_entry_made_on_one_phone_is_soon_on_the_other(room: OpenRoom, page: OpenPage) -> None:
    served = room()
    mine = ready(page(f"{served.url}/t/A3", size="phone"))
    yours = ready(page(f"{served.url}/t/A3", size="phone"))
    yours.wait_for_timeout(300)
    tap(mine, "Spawn")
    began = time.monotonic()
    yours.wait_for_selector("#entries li[data-key]")
    assert time.monotonic() - began < SOON


def test_a_wet_fingers_second_touch_is_not_a_second_entry(room: OpenRoom, page: OpenPage) -> None:
    served = room()
    tab = ready(page(f"{served.url}/t/A3", size="phone"))
    tab.evaluate(
        """() => { for (let n = 0; n < 3; n++) document.querySelector('.taps form button').click(); }"""
    )
    all_saved(tab)
    tab.wait_for_timeout(300)
    eventually(tab, lambda: kinds(served), ["spawn"])


def test_a_water_test_can_be_entered_though_the_line_was_cut_before_its_sheet_was_opened(
    room: OpenRoom, relay: Relay, context: OpenDesk
) -> None:
    served = room()
    desk = context(proxy=relay.proxy, size="phone")
    desk.watch.expect(*CUT)
    with desk.context.expect_event("response", lambda one: one.url.endswith("/t/A3/test")):
        tab = ready(desk.open(f"{served.url}/t/A3"))
    tab.wait_for_timeout(200)
    relay.cut()
    tab.get_by_role("link", name="Water test").click()
    tab.wait_for_selector("#test-ph")
    expect(tab).to_have_url(re.compile(r"/t/A3/test$"))
    tab.locator("#test-ph [data-chip='7.2']").click()
    tab.locator("#test-ph").get_by_role("button", name="Save", exact=True).click()
    tab.wait_for_selector("#waiting li:has-text('pH 7.2')")
    expect(tab).to_have_url(re.compile(r"/t/A3$"))
    tap(tab, "Spawn")
    tab.get_by_role("link", name="Note", exact=True).click()
    tab.locator("#note").fill("torn fin")
    tab.locator("#test-note").get_by_role("button", name="Save").click()
    tab.wait_for_selector("#waiting li:has-text('torn fin')")
    relay.restore()
    all_saved(tab)
    tab.wait_for_selector("#entries li:has-text('pH 7.2')")
    wanted = [("ph", 7.2, ""), ("spawn", None, ""), ("note", None, "torn fin")]
    eventually(tab, lambda: [(one.kind, one.value, one.note) for one in entries(served)], wanted)


def test_without_the_line_a_link_to_a_page_never_seen_leaves_this_one_and_says_so(
    room: OpenRoom, relay: Relay, context: OpenDesk
) -> None:
    served = room()
    desk = context(proxy=relay.proxy, size="phone")
    desk.watch.expect(*CUT)
    tab = ready(desk.open(f"{served.url}/t/A3"))
    relay.cut()
    tab.get_by_role("link", name="Rounds").click()
    tab.wait_for_selector("#line:has-text('cannot be opened now')")
    expect(tab.locator("h1")).to_have_text("A3", use_inner_text=True)
    tap(tab, "Spawn")
    relay.restore()
    all_saved(tab)
    eventually(tab, lambda: kinds(served), ["spawn"])
