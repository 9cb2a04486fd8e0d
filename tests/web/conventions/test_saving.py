"""Saving, undo, and what a server that dies, a file that changes, a page that is left do to what is typed."""

from __future__ import annotations

import re
from collections.abc import Callable

import httpx
import pytest
from playwright.sync_api import Page, expect

from tankwright.plan.changes import SetValue
from tankwright.workspace.live import Applied, LivePlan

from ..chrome import eventually, settled
from ..conftest import OpenDesk, OpenPage, OpenRoom
from ..relay import Relay
from ..rooms import Process, Room
from .at_work import (
    FROM_WEST,
    GAP,
    TWO_RACKS,
    Elsewhere,
    edits,
    enter,
    field,
    form,
    ready,
    saved,
    shows,
)

CUT = ("request failed", "Failed to load resource", "WebSocket connection")
SAID = "#saved"


@pytest.fixture
def small(room: OpenRoom) -> Room:
    return room(TWO_RACKS)


def on_disk(served: Room, key: str = "from_west") -> str:
    found = re.search(rf'{key} = "([^"]*)"', served.plan_path.read_text("utf-8"))
    assert found
    return found[1]


# --- saving ---------------------------------------------------------------------------------------------------------


def test_saving_the_bar_says_saving_while_an_edit_is_on_its_way_and_then_that_all_is_saved(
    small: Room, relay: Relay, context: OpenDesk
) -> None:
    tab = ready(context(proxy=relay.proxy).open(f"{small.url}/?at=A"))
    expect(tab.locator(SAID)).to_have_text("All changes saved")
    relay.hold()
    enter(tab, FROM_WEST, "60 cm")
    expect(tab.locator(SAID)).to_have_text("Saving")
    relay.restore()
    expect(tab.locator(SAID)).to_have_text("All changes saved")
    assert on_disk(small) == "60 cm"


def test_saving_without_a_line_the_bar_says_so_and_that_it_will_retry_and_it_does(
    small: Room, relay: Relay, context: OpenDesk
) -> None:
    desk = context(proxy=relay.proxy)
    desk.watch.expect(*CUT)
    tab = ready(desk.open(f"{small.url}/?at=A"))
    relay.cut()
    for pointer, typed in ((FROM_WEST, "60 cm"), (GAP, "6 cm")):
        enter(tab, pointer, typed)
    expect(tab.locator(SAID)).to_have_text("Not saved: no connection, will retry")
    expect(field(tab, FROM_WEST)).to_have_value("60 cm")
    relay.restore()
    saved(tab)
    assert (on_disk(small), on_disk(small, "off_wall")) == ("60 cm", "6 cm")
    assert len(edits(small.live)) == 2


def test_saving_an_edit_kept_while_the_line_was_cut_goes_upon_what_others_changed_meanwhile(
    small: Room, relay: Relay, context: OpenDesk
) -> None:
    desk = context(proxy=relay.proxy)
    desk.watch.expect(*CUT, "409")
    tab = ready(desk.open(f"{small.url}/?at=A"))
    relay.cut()
    enter(tab, FROM_WEST, "60 cm")
    expect(tab.locator(SAID)).to_have_attribute("data-state", "unsaved")
    assert Elsewhere(small).set(GAP, "7 cm").status_code == 200
    relay.restore()
    saved(tab)
    assert (on_disk(small), on_disk(small, "off_wall")) == ("60 cm", "7 cm")
    expect(field(tab, GAP)).to_have_value("7 cm")


def test_saving_a_page_closed_with_something_typed_and_not_sent_has_sent_it(
    small: Room, context: OpenDesk
) -> None:
    desk = context()
    tab = ready(desk.open(f"{small.url}/?at=A"))
    field(tab, FROM_WEST).press_sequentially("!", delay=0)
    field(tab, FROM_WEST).fill("60 cm")
    tab.goto("about:blank")
    again = ready(desk.open(f"{small.url}/?at=A"))
    saved(again)
    expect(field(again, FROM_WEST)).to_have_value("60 cm")
    assert on_disk(small) == "60 cm"
    assert len(edits(small.live)) == 1


def test_saving_many_pages_of_one_browser_send_an_edit_once(small: Room, context: OpenDesk) -> None:
    desk = context()
    posts: list[str] = []
    desk.context.on(
        "request", lambda request: posts.append(request.url) if request.method == "POST" else None
    )
    tabs = [ready(desk.open(f"{small.url}/?at=A")) for _ in range(4)]
    enter(tabs[0], FROM_WEST, "60 cm")
    for tab in tabs:
        shows(tab, 2)
        expect(field(tab, FROM_WEST)).to_have_value("60 cm")
    saved(tabs[0])
    eventually(tabs[0], lambda: len(posts), 1)


def test_saving_what_was_refused_stays_typed_with_its_reason_when_the_page_repaints(
    small: Room, page: OpenPage
) -> None:
    tab = ready(page(f"{small.url}/?at=A", expect=("422", "409")))
    enter(tab, FROM_WEST, "13 kg")
    expect(form(tab, FROM_WEST).locator(".error")).to_contain_text("mass")
    field(tab, GAP).focus()
    Elsewhere(small).set(GAP, "7 cm")
    expect(field(tab, GAP)).to_have_value("7 cm")
    expect(field(tab, FROM_WEST)).to_have_value("13 kg")
    expect(form(tab, FROM_WEST).locator(".error")).to_be_visible()
    enter(tab, FROM_WEST, "13 cm")
    saved(tab)
    expect(form(tab, FROM_WEST).locator(".error")).to_have_count(0)
    assert on_disk(small) == "13 cm"


# --- undo -----------------------------------------------------------------------------------------------------------


def test_undo_enter_sends_once_and_one_edit_is_one_step(small: Room, page: OpenPage) -> None:
    tab = ready(page(f"{small.url}/?at=A"))
    enter(tab, FROM_WEST, "60 cm")
    field(tab, FROM_WEST).press("Enter")
    field(tab, FROM_WEST).press("Tab")
    enter(tab, GAP, "6 cm")
    saved(tab)
    assert edits(small.live) == [
        'rack A: from_west "50 cm" -> "60 cm"', 'rack A: off_wall "5 cm" -> "6 cm"',
    ]  # fmt: skip
    assert small.live.snapshot.undo_steps == 2


def test_undo_by_key_and_by_button_takes_steps_back_one_by_one_and_redo_brings_them_again(
    small: Room, page: OpenPage
) -> None:
    tab = ready(page(f"{small.url}/?at=A"))
    for typed in ("60 cm", "70 cm", "80 cm"):
        enter(tab, FROM_WEST, typed)
    saved(tab)
    tab.keyboard.press("Control+z")  # the field has the focus, but nothing in it is unsent
    tab.keyboard.press("Control+z")
    expect(field(tab, FROM_WEST)).to_have_value("60 cm")
    tab.get_by_role("button", name="Undo").click()
    expect(field(tab, FROM_WEST)).to_have_value("50 cm")
    expect(tab.get_by_role("button", name="Undo")).to_be_disabled()
    tab.keyboard.press("Control+y")
    expect(field(tab, FROM_WEST)).to_have_value("60 cm")
    tab.keyboard.press("Control+Shift+z")
    expect(field(tab, FROM_WEST)).to_have_value("70 cm")
    tab.get_by_role("button", name="Redo").click()
    expect(field(tab, FROM_WEST)).to_have_value("80 cm")
    saved(tab)
    assert on_disk(small) == "80 cm"


def test_undo_in_a_field_one_types_in_takes_letters_back_and_not_the_plan(
    small: Room, page: OpenPage
) -> None:
    tab = ready(page(f"{small.url}/?at=A"))
    enter(tab, FROM_WEST, "60 cm")
    saved(tab)
    field(tab, GAP).press("End")
    field(tab, GAP).press_sequentially("9")
    tab.keyboard.press("Control+z")
    expect(field(tab, GAP)).to_have_value("5 cm")
    assert on_disk(small) == "60 cm"


def test_undo_goes_across_the_text_and_the_drawing(small: Room, page: OpenPage) -> None:
    tab = ready(page(f"{small.url}/?at=A"))
    enter(tab, FROM_WEST, "60 cm")
    saved(tab)
    tab.goto(f"{small.url}/text")
    ready(tab)
    text = tab.locator("#text")
    text.fill(text.input_value().replace("the one at the window", "the one at the door"))
    text.press("Control+s")
    saved(tab)
    tab.goto(f"{small.url}/?at=A")
    ready(tab)
    grip = tab.locator('[data-grip="A"]')
    grip.press("ArrowRight")
    shows(tab, 4)
    saved(tab)
    assert on_disk(small) == "61 cm"
    tab.keyboard.press("Control+z")
    expect(field(tab, FROM_WEST)).to_have_value("60 cm")
    tab.goto(f"{small.url}/text")
    ready(tab)
    tab.locator("#text").press("Control+z")
    expect(tab.locator("#text")).to_have_value(re.compile("the one at the window"))
    tab.locator("#text").press("Control+z")
    expect(tab.locator("#text")).to_have_value(re.compile('from_west = "50 cm"\noff_wall'))
    saved(tab)
    assert small.plan_path.read_text("utf-8") == TWO_RACKS


def test_undo_never_takes_back_a_step_one_has_not_seen(small: Room, relay: Relay, context: OpenDesk) -> None:
    desk = context(proxy=relay.proxy)
    desk.watch.expect("409", *CUT)
    tab = ready(desk.open(f"{small.url}/?at=A"))
    enter(tab, FROM_WEST, "60 cm")
    saved(tab)
    relay.cut()
    Elsewhere(small).set(GAP, "7 cm")
    tab.get_by_role("button", name="Undo").click()
    expect(tab.locator(SAID)).to_have_attribute("data-state", "unsaved")
    relay.restore()
    expect(tab.get_by_role("alert")).to_contain_text("somebody else changed the plan meanwhile")
    assert (on_disk(small), on_disk(small, "off_wall")) == ("60 cm", "7 cm")


def test_undo_has_fifty_steps_that_survive_a_reload_and_a_restarted_server(
    process: Callable[..., Process], page: OpenPage
) -> None:
    program = process(TWO_RACKS)
    program.kill()
    live = LivePlan(program.plan_path)
    for step in range(1, 53):
        change = SetValue(("rack", 0, "from_west"), f"{50 + step} cm")
        assert isinstance(live.edit(change, base=step, key=f"step {step}", who="keeper"), Applied)
    program.restart()
    tab = ready(page(f"{program.url}/?at=A"))
    tab.get_by_role("button", name="Undo").click()
    shows(tab, 54)
    tab.reload()
    ready(tab)
    tab.keyboard.press("Control+z")
    shows(tab, 55)
    expect(field(tab, FROM_WEST)).to_have_value("100 cm")
    there = tab.url
    tab.goto("about:blank")
    with httpx.Client(timeout=20) as client:
        for base in range(55, 103):
            undo = {"change": "undo", "base": str(base), "key": f"undo {base}", "back": "/"}
            assert client.post(f"{program.url}/edit", data=undo).status_code == 303
    tab.goto(there)
    expect(field(tab, FROM_WEST)).to_have_value("52 cm")
    expect(tab.get_by_role("button", name="Undo")).to_be_disabled()


# --- the server dies in the middle; the file changes under the page ---------------------------------------------------


def test_saving_a_server_killed_while_it_works_an_edit_out_has_it_once_when_it_is_back(
    process: Callable[..., Process], context: OpenDesk
) -> None:
    program = process(example="hall")
    desk = context()
    desk.watch.expect(*CUT, "409")
    tab = ready(desk.open(f"{program.url}/load"))
    first = field(tab, "/rack_kind/bay/mass")
    before = first.input_value()
    first.fill("47 kg")
    with tab.expect_request(lambda request: request.method == "POST"):
        first.press("Enter")
    program.kill()  # it may have written the edit or not; it had no time to answer
    expect(tab.locator(SAID)).to_have_attribute("data-state", "unsaved")
    program.restart()
    saved(tab)
    history = program.plan_path.with_suffix(".tankwright") / "revisions.jsonl"
    assert len(re.findall(r'"kind": ?"edit"', history.read_text("utf-8"))) == 1
    assert before != "47 kg"
    expect(first).to_have_value("47 kg")


def test_saving_the_plan_changed_by_an_editor_is_shown_and_what_one_types_meanwhile_is_put_into_it(
    small: Room, page: OpenPage
) -> None:
    tab = ready(page(f"{small.url}/?at=A", expect=("409",)))
    field(tab, FROM_WEST).fill("60 cm")
    text = small.plan_path.read_text("utf-8")
    small.plan_path.write_text(text.replace('off_wall = "5 cm"', 'off_wall = "8 cm"  # measured'), "utf-8")
    expect(field(tab, GAP)).to_have_value("8 cm")
    expect(field(tab, FROM_WEST)).to_have_value("60 cm")
    field(tab, FROM_WEST).press("Enter")
    saved(tab)
    assert on_disk(small) == "60 cm"
    assert 'off_wall = "8 cm"  # measured' in small.plan_path.read_text("utf-8")


def test_saving_an_editor_that_changed_the_very_value_one_types_is_not_overwritten_unasked(
    small: Room, page: OpenPage
) -> None:
    tab = ready(page(f"{small.url}/?at=A", expect=("409",)))
    field(tab, FROM_WEST).fill("60 cm")
    text = small.plan_path.read_text("utf-8")
    small.plan_path.write_text(text.replace('from_west = "50 cm"', 'from_west = "77 cm"', 1), "utf-8")
    shows(tab, 2)
    field(tab, FROM_WEST).press("Enter")
    expect(form(tab, FROM_WEST).locator(".error")).to_contain_text("Yours: 60 cm. There now: 77 cm.")
    assert on_disk(small) == "77 cm"
    expect(field(tab, FROM_WEST)).to_have_value("60 cm")


def broken(tab: Page) -> None:
    expect(tab.locator("#stale")).to_contain_text("shown is the last one that could, number 1")
    expect(tab.locator("#drawing a[data-place=A1]")).not_to_have_count(0)


def test_saving_a_plan_an_editor_broke_shows_the_last_good_drawing_and_the_mistake_at_its_line(
    small: Room, page: OpenPage
) -> None:
    tab = ready(page(f"{small.url}/"))
    text = small.plan_path.read_text("utf-8")
    spoilt = text.replace('shelves = ["60 cm"]', 'shelves = ["60 L"]')
    small.plan_path.write_text(spoilt, "utf-8")
    broken(tab)
    tab.goto(f"{small.url}/text")
    line = spoilt[: spoilt.index('"60 L"')].count("\n") + 1
    expect(tab.locator("#mistakes")).to_contain_text(f"line {line}")
    assert small.plan_path.read_text("utf-8") == spoilt
    small.plan_path.write_text(text, "utf-8")
    expect(tab.locator("#stale")).to_have_count(0)


def test_saving_a_file_that_went_away_is_said_and_not_written_anew(small: Room, page: OpenPage) -> None:
    tab = ready(page(f"{small.url}/?at=A", expect=("422",)))
    small.plan_path.unlink()
    expect(tab.locator("#trouble")).to_be_visible()
    enter(tab, FROM_WEST, "60 cm")
    expect(form(tab, FROM_WEST).locator(".error")).to_be_visible()
    assert not small.plan_path.exists()
    small.plan_path.write_text(TWO_RACKS, "utf-8")
    expect(tab.locator("#trouble")).to_have_count(0)
    expect(field(tab, FROM_WEST)).to_have_value("60 cm")
    enter(tab, FROM_WEST, "61 cm")
    saved(tab)
    assert on_disk(small) == "61 cm"
    expect(tab.locator("body")).to_have_attribute("data-number", str(settled(tab)))
