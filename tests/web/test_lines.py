"""What is typed is kept: when the line is cut, the server killed, the page closed, others edit or the file changes."""

from __future__ import annotations

import re
import time
from collections.abc import Callable

from playwright.sync_api import Locator, Page, expect

from tankwright.workspace.live import LivePlan

from .chrome import eventually, settled
from .conftest import OpenDesk, OpenPage, OpenRoom
from .relay import Relay
from .rooms import Process, Room

RACK_A = '[id="field/rack/0/from_west"]'
SHELF = '[id="field/rack_kind/three_high/shelves/2"]'
SOON = 5.0  # s; the row says 1 s on a machine at rest: here other tests run beside it
STOPS = 4.0  # s; the row says 2 s, which the benchmark measures
CUT = ("request failed", "console error: Failed to load resource", "console error: WebSocket connection")


def at_rack_a(page: Page) -> Page:
    page.wait_for_selector("html[data-live]")
    return page


def type_in(page: Page, field: str, text: str) -> Locator:
    where = page.locator(field)
    where.fill(text)
    where.press("Enter")
    return where


def from_west(live: LivePlan) -> str:
    plan = live.snapshot.read.plan
    assert plan is not None
    return f"{plan.rack[0].from_west.value:.3f}" if plan.rack[0].from_west else "-"


def edits(room: Room) -> int:
    return sum(one.kind == "edit" for one in room.live.revisions())


def test_a_number_typed_is_one_revision_and_the_page_shows_what_followed(
    room: OpenRoom, page: OpenPage
) -> None:
    served = room()
    tab = at_rack_a(page(f"{served.url}/?at=A"))
    type_in(tab, RACK_A, "18 cm")
    tab.locator("body").click()  # leaving the field must not send it a second time
    settled(tab, 2)
    tab.wait_for_timeout(200)
    assert edits(served) == 1
    assert from_west(served.live) == "0.180"
    expect(tab.locator(RACK_A)).to_have_value("18 cm")


def test_a_cut_line_loses_nothing_and_stores_once(room: OpenRoom, relay: Relay, context: OpenDesk) -> None:
    served = room()
    desk = context(proxy=relay.proxy)
    desk.watch.expect(*CUT)
    tab = at_rack_a(desk.open(f"{served.url}/?at=A"))
    assert relay.asked == {"127.0.0.1"}
    relay.cut()
    type_in(tab, RACK_A, "18 cm")
    tab.wait_for_selector("#saved[data-state=unsaved]")
    expect(tab.locator("#saved")).to_have_text(re.compile(r"^Not saved"), use_inner_text=True)
    expect(tab.locator(RACK_A)).to_have_value("18 cm")
    assert edits(served) == 0
    relay.restore()
    settled(tab, 2)
    eventually(tab, lambda: edits(served), 1)
    assert from_west(served.live) == "0.180"


def test_a_line_that_goes_silent_loses_nothing(room: OpenRoom, relay: Relay, context: OpenDesk) -> None:
    served = room()
    desk = context(proxy=relay.proxy)
    desk.watch.expect(*CUT)
    tab = at_rack_a(desk.open(f"{served.url}/?at=A"))
    relay.hold()
    type_in(tab, RACK_A, "18 cm")
    tab.wait_for_selector("#saved[data-state=saving]")
    relay.restore()
    settled(tab, 2)
    eventually(tab, lambda: edits(served), 1)


def test_a_page_closed_while_the_line_is_cut_sends_its_edit_when_it_is_opened_again(
    room: OpenRoom, relay: Relay, context: OpenDesk
) -> None:
    served = room()
    desk = context(proxy=relay.proxy)
    desk.watch.expect(*CUT)
    tab = at_rack_a(desk.open(f"{served.url}/?at=A"))
    relay.cut()
    type_in(tab, RACK_A, "18 cm")
    tab.wait_for_selector("#saved[data-state=unsaved]")
    tab.close()
    relay.restore()
    tab = at_rack_a(desk.open(f"{served.url}/"))
    settled(tab, 2)
    eventually(tab, lambda: edits(served), 1)
    assert from_west(served.live) == "0.180"


def test_a_server_killed_before_an_edit_and_started_again_has_it_once(
    process: Callable[..., Process], context: OpenDesk
) -> None:
    program = process()
    desk = context()
    desk.watch.expect(*CUT)
    tab = at_rack_a(desk.open(f"{program.url}/?at=A"))
    type_in(tab, RACK_A, "18 cm")
    settled(tab, 2)
    program.kill()
    type_in(tab, RACK_A, "21 cm")
    tab.wait_for_selector("#saved[data-state=unsaved]")
    program.restart()
    settled(tab, 3)
    assert 'from_west = "21 cm"' in program.plan_path.read_text("utf-8")
    assert program.stop() < STOPS
    history = program.plan_path.with_suffix(".tankwright") / "revisions.jsonl"
    assert (
        history.read_text("utf-8").count('"kind": "edit"') + history.read_text("utf-8").count('"kind":"edit"')
        == 2
    )


def test_three_readers_who_change_different_things_at_once_all_have_their_way(
    room: OpenRoom, context: OpenDesk
) -> None:
    served = room()
    tabs = []
    for _ in range(3):
        desk = context()
        desk.watch.expect("409")
        tabs.append(at_rack_a(desk.open(f"{served.url}/?at=A")))
    for number, tab in enumerate(tabs):
        tab.locator(f'[id="field/rack_kind/three_high/shelves/{number}"]').fill(f"{(13, 75, 131)[number]} cm")
    for number, tab in enumerate(tabs):  # sent without waiting for one another
        tab.locator(f'[id="field/rack_kind/three_high/shelves/{number}"]').evaluate(
            "(field) => field.form.requestSubmit()"
        )
    for tab in tabs:
        settled(tab, 4)
    assert 'shelves = ["13 cm", "75 cm", "131 cm"]' in served.plan_path.read_text("utf-8")
    for tab in tabs:
        expect(tab.locator(SHELF)).to_have_value("131 cm")


def test_two_readers_who_change_the_same_thing_see_both_values(room: OpenRoom, context: OpenDesk) -> None:
    served = room()
    first, second = context(), context()
    second.watch.expect("409")
    mine, theirs = (at_rack_a(desk.open(f"{served.url}/?at=A")) for desk in (second, first))
    mine.locator(RACK_A).fill("21 cm")
    type_in(theirs, RACK_A, "18 cm")
    settled(mine, 2)
    expect(mine.locator(RACK_A), "what is being typed is left alone").to_have_value("21 cm")
    mine.locator(RACK_A).press("Enter")
    wrong = mine.locator('[id="form/rack/0/from_west"] .error')
    wrong.wait_for()
    expect(wrong).to_contain_text("21 cm", use_inner_text=True)
    expect(wrong).to_contain_text("18 cm", use_inner_text=True)
    assert from_west(served.live) == "0.180"
    mine.locator(RACK_A).press("Enter")
    settled(mine, 3)
    assert from_west(served.live) == "0.210"


def test_a_change_of_the_file_by_an_editor_is_soon_on_the_page(room: OpenRoom, page: OpenPage) -> None:
    served = room()
    tab = at_rack_a(page(f"{served.url}/?at=A"))
    text = served.plan_path.read_text("utf-8")
    taken = []
    for typed in ("19 cm", "20 cm", "21 cm"):
        served.plan_path.write_text(text.replace('from_west = "15 cm"', f'from_west = "{typed}"', 1), "utf-8")
        began = time.monotonic()
        shown = "([field, typed]) => document.querySelector(field).value === typed"
        tab.wait_for_function(shown, arg=[RACK_A, typed])
        taken.append(time.monotonic() - began)
        if taken[-1] < SOON:
            break
    assert min(taken) < SOON


def test_a_phone_on_a_thin_line_under_a_name_of_the_network_can_edit(
    room: OpenRoom, relay: Relay, context: OpenDesk
) -> None:
    served = room(lan=True, lan_name="fishroom.home")
    desk = context(size="phone", proxy=relay.proxy)
    desk.watch.hosts_of_ours.add("fishroom.home")
    relay.slow(bytes_per_second=60_000, delay=0.02)
    tab = at_rack_a(desk.open(served.url.replace("127.0.0.1", "fishroom.home") + "/?at=A"))
    type_in(tab, RACK_A, "18 cm")
    settled(tab, 2)
    assert relay.asked == {"fishroom.home"}
    eventually(tab, lambda: edits(served), 1)


def test_who_types_on_in_the_text_while_it_is_saved_meets_no_conflict_with_themselves(
    room: OpenRoom, relay: Relay, context: OpenDesk
) -> None:
    served = room()
    relay.slow(bytes_per_second=0, delay=0.05)
    tab = at_rack_a(context(proxy=relay.proxy).open(f"{served.url}/text"))
    text = tab.locator("#text")
    text.press("Control+Home")
    for number in range(3):
        text.press_sequentially(f"# {number}\n")
        tab.keyboard.press("Control+s")
        text.press_sequentially("# on\n")
    tab.keyboard.press("Control+s")
    tab.wait_for_function("() => document.getElementById('text').dataset.dirty === undefined")
    settled(tab)
    expect(tab.locator("[role=alert]")).to_have_count(0)
    beginning = "# 0\n# on\n# 1\n# on\n# 2\n# on\n"
    assert served.plan_path.read_text("utf-8").startswith(beginning)
    expect(text).to_have_value(re.compile(f"^{beginning}"))
