"""The fish of one tank in a hand: every deed by taps alone, offline as well as online, taken back and put right."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final

import pytest
from playwright.sync_api import Page, expect

from tankwright.husbandry.records import Draft
from tankwright.husbandry.register import Member
from tankwright.logbook.outcome import By, Recorded
from tankwright.web.deeding import Done, carry_out
from tankwright.workspace.keeping import Hand
from tankwright.workspace.keeping_coming import NewFish, arrived
from tankwright.workspace.keeping_groups import set_made
from tankwright.workspace.log import RoomLog
from tankwright.workspace.opened import open_plan

from ..chrome import Scales, axe, eventually
from ..conftest import OpenDesk, OpenPage, OpenRoom
from ..relay import Relay
from ..rooms import Room
from .reader import Reader, Seen, example, plain

COLD: Final = 60_000  # bytes; "log page < 60 kB cold"
TALL: Final = 72
DEEDS: Final = (
    "",
    "counted",
    "moved",
    "died",
    "left",
    "split",
    "culled",
    "arrived",
    "born",
    "set",
    "photo",
    "struck",
)
CUT: Final = ("request failed", "console error")  # what a browser complains of while the line is cut
JPEG: Final = b"\xff\xd8\xff\xe0" + b"0" * 40


def held(path: Path) -> dict[str, dict[str, int]]:
    """By tank and stock what the book has."""
    book = RoomLog(path).book
    places = {one.id: one.label for one in book.places(closed=True)}
    stocks = {one.id: one.label for one in book.stocks(closed=True)}
    found: dict[str, dict[str, int]] = {}
    for one in book.holdings():
        if one.held:
            found.setdefault(places[one.place], {})[stocks[one.stock]] = one.held
    book.close()
    return found


def put(path: Path, tank: str = "A3", label: str = "Tetras", number: int = 12) -> None:
    room = open_plan(path).room
    log = RoomLog(path, room=lambda: room)
    fish = NewFish(label=label, line="Creek", species="Hyphessobrycon amandae", came_from="a friend")
    done = arrived(Hand(log=log, who="Ada"), tank, number, fish)
    assert isinstance(done, Recorded), done
    log.book.close()


@pytest.fixture
def cellar(tmp_path: Path) -> Reader:
    return Reader(tmp_path, example("cellar_mended"))


def deed(reader: Reader, kind: str, **fields: str) -> Seen:
    return reader.post(
        "/enter", {"key": f"k{kind}{len(fields)}", "tank": "A3", "kind": kind, "back": "/t/A3"} | fields
    )


# --- without a browser ------------------------------------------------------------------------------------------------


def test_the_page_of_a_tank_says_what_lives_in_it_since_when_from_whom(cellar: Reader) -> None:
    assert "Put fish in, more" in cellar.see("/t/A3").text
    assert not (cellar.live.folder / "logbook.sqlite").exists(), "looking makes no book"
    put(cellar.path)
    page = cellar.see("/t/A3")
    row = re.search(r'<a class="row".*?</a>', page.markup, re.DOTALL)
    assert row
    assert re.fullmatch(r"12 TetrasCreek · since .* UTC · from a friend", plain(row[0]))
    assert 'href="/t/A3/fish?stock=Tetras"' in row[0]
    assert "12 Tetras came from a friend" in page.part("entries")


def test_deeds_are_forms_that_work_without_scripts(cellar: Reader) -> None:
    put(cellar.path)
    assert deed(cellar, "counted", stock="Tetras", value="11").status == 303
    assert deed(cellar, "moved", stock="Tetras", value="4", to="A4").status == 303
    assert deed(cellar, "died", value="1").status == 303
    assert deed(cellar, "sold", value="2", whom="a club", price="6,50", currency="EUR").status == 303
    assert held(cellar.path) == {"A3": {"Tetras": 4}, "A4": {"Tetras": 4}}
    led = deed(cellar, "split", value="1", to="B1").leads_to
    assert held(cellar.path)["B1"] == {"Tetras 2": 1}
    page = cellar.see(led)
    assert "1 Tetras counted as Tetras 2" in plain(page.part("done"))
    key = re.search(r'name="undoes" value="(\w+)"', page.markup)
    assert key
    cellar.post("/enter", {"key": "u", "tank": "A3", "kind": "undo", "undoes": key[1], "back": "/t/A3"})
    assert held(cellar.path)["A3"] == {"Tetras": 4}
    assert "Taken back" in cellar.see(f"/t/A3?undone={key[1]}").text


def test_what_cannot_be_is_told_with_what_there_was_and_the_number_stands_there_again(cellar: Reader) -> None:
    put(cellar.path)
    refused = deed(
        cellar, "moved", stock="Tetras", value="13", to="A4", page="/t/A3/fish?deed=moved&stock=Tetras"
    )
    assert refused.status == 422
    assert "Tetras in A3 has 12 and cannot give 13" in refused.text
    assert 'value="13"' in refused.markup
    assert deed(cellar, "moved", stock="Tetras", value="x", to="A4").status == 422
    assert deed(cellar, "died", tank="Q9").status == 422
    assert held(cellar.path) == {"A3": {"Tetras": 12}}


def test_of_several_stocks_the_dead_fish_asks_which(cellar: Reader) -> None:
    put(cellar.path)
    put(cellar.path, label="Snails", number=6)
    assert 'href="/t/A3/fish?deed=died"' in cellar.see("/t/A3").markup
    page = cellar.see("/t/A3/fish?deed=died")
    assert [plain(one) for one in re.findall(r'<button class="row">.*?</button>', page.markup, re.DOTALL)] == [
        "1 dead of Snails6", "1 dead of Tetras12",
    ]  # fmt: skip
    deed(cellar, "died", stock="Snails", value="1")
    assert held(cellar.path) == {"A3": {"Snails": 5, "Tetras": 12}}


def test_a_guess_has_bounds_and_is_shown_as_one(cellar: Reader) -> None:
    put(cellar.path)
    deed(cellar, "guessed", stock="Tetras", value="30", spread="third")
    assert "about 30 (20 to 40)" in cellar.see("/t/A3").text


def test_fish_that_leave_within_a_withdrawal_are_told_of(cellar: Reader) -> None:
    put(cellar.path)
    log = RoomLog(cellar.path)
    place = log.book.place_labelled("A3")
    assert place is not None
    details = {"with": "salt", "days": 3, "withdrawal_days": 10}
    treated = Draft(kind="treated", happened=log.now(), place=place.id, details=details)
    assert isinstance(log.book.record([treated], By(who="Ada")), Recorded)
    fields = {"kind": "sold", "tank": "A3", "key": "k", "value": "1"}
    done = carry_out(log, fields, who="Ada", now=log.now())
    assert isinstance(done, Done)
    assert "salt" in done.said
    assert held(cellar.path) == {"A3": {"Tetras": 11}}, "the keeper knows; it is told and stands"


def test_a_picture_is_kept_and_shown_and_what_is_none_is_refused(cellar: Reader) -> None:
    form = {"key": "p", "what": "leak", "note": "at the seam"}
    answer = cellar.post("/t/A3/photo", form, ("leak.jpg", JPEG))
    assert (answer.status, answer.leads_to) == (303, "/t/A3?done=p")
    assert "Incident: leak. at the seam" in cellar.see("/t/A3").text
    (event,) = RoomLog(cellar.path).book.events(kinds=["incident"])
    assert cellar.see(f"/photo/{event.details['photo']}").status == 200
    assert cellar.see("/photo/../plan.toml").status == 404
    refused = cellar.post("/t/A3/photo", form | {"key": "q"}, ("x.jpg", b"<svg onload=alert(1)>"))
    assert refused.status == 422
    assert "JPEG, PNG or WebP" in refused.text
    assert cellar.post("/t/A3/photo", {"key": "n"}, ("", b"")).status == 422, "nothing at all is said"


def test_a_name_of_fish_with_markup_stays_a_name(cellar: Reader) -> None:
    put(cellar.path, label='<b onclick="x">Ü & "q"</b>')
    for one in DEEDS:
        page = cellar.see(f"/t/A3/fish?deed={one}")
        assert page.status == 200
        assert "<b onclick" not in page.markup
    assert deed(cellar, "died", stock='<b onclick="x">Ü & "q"</b>').status == 303


# --- in a browser -----------------------------------------------------------------------------------------------------


@pytest.fixture
def own(room: OpenRoom) -> Room:
    return room()


def ready(tab: Page) -> Page:
    tab.wait_for_selector("html[data-live]")
    tab.evaluate("document.fonts.ready.then(() => true)")
    return tab


def test_every_page_of_a_deed_is_light_tall_and_clean(own: Room, context: OpenDesk) -> None:
    put(own.plan_path)
    desk = context(size="phone")
    for one in DEEDS:
        tab = desk.context.new_page()
        scales = Scales(tab)
        tab.goto(f"{own.url}/t/A3/fish?deed={one}")
        ready(tab)
        assert scales.weight < COLD
        assert axe(tab) == [], one
        assert not tab.evaluate("document.documentElement.scrollWidth > innerWidth"), one
        heights = [
            box["height"] for each in tab.locator(".tap, .step, button.main, .row, .ways .chip").all()
            if each.is_visible() and (box := each.bounding_box()) is not None
        ]  # fmt: skip
        assert min(heights, default=TALL) >= TALL, one
        tab.close()


def test_a_spawn_is_one_tap_and_knows_its_pair(own: Room, page: OpenPage) -> None:
    put(own.plan_path, number=2)
    log = RoomLog(own.plan_path)
    members = [Member(stock="", count=1, sex="male"), Member(stock="", count=1, sex="female")]
    set_made(Hand(log=log, who="Ada"), "A3", members, label="The pair")
    tab = ready(page(f"{own.url}/t/A3", size="phone"))
    tab.get_by_role("button", name="Spawn").tap()
    expect(tab.locator("#entries li").first).to_contain_text("Spawn of The pair")


def test_a_dead_fish_is_one_tap_and_is_taken_back_within_ten_seconds(own: Room, page: OpenPage) -> None:
    put(own.plan_path)
    tab = ready(page(f"{own.url}/t/A3", size="phone"))
    tab.get_by_role("button", name="Dead fish").tap()
    eventually(tab, lambda: held(own.plan_path), {"A3": {"Tetras": 11}})
    tab.locator("#undo button").tap()
    eventually(tab, lambda: held(own.plan_path), {"A3": {"Tetras": 12}})


def test_fish_are_moved_by_taps_alone_and_the_move_is_taken_back(own: Room, page: OpenPage) -> None:
    put(own.plan_path)
    tab = ready(page(f"{own.url}/t/A3", size="phone"))
    tab.locator(".row").first.tap()
    tab.get_by_role("link", name="Move").tap()
    tab.get_by_role("link", name="less").tap()
    expect(tab.locator("#value")).to_have_value("11")
    tab.get_by_role("button", name="A4").tap()
    tab.wait_for_url("**/t/A3")
    eventually(tab, lambda: held(own.plan_path), {"A3": {"Tetras": 1}, "A4": {"Tetras": 11}})
    expect(tab.locator("#entries li").first).to_contain_text("11 Tetras moved from A3 to A4")
    tab.locator("#undo button").tap()
    eventually(tab, lambda: held(own.plan_path), {"A3": {"Tetras": 12}})


def test_a_count_waits_through_a_cut_line_with_the_time_of_its_tap(
    own: Room, relay: Relay, context: OpenDesk
) -> None:
    put(own.plan_path)
    desk = context(size="phone", proxy=relay.proxy)
    desk.watch.expect(*CUT)
    tab = ready(desk.open(f"{own.url}/t/A3/fish?deed=counted"))
    tab.locator("[data-chip='10']").tap()
    relay.cut()
    tab.get_by_role("button", name="Counted, all of them").tap()
    tab.wait_for_timeout(1500)
    assert held(own.plan_path) == {"A3": {"Tetras": 12}}
    relay.restore()
    eventually(tab, lambda: held(own.plan_path), {"A3": {"Tetras": 10}})
    (event,) = RoomLog(own.plan_path).book.events(kinds=["counted"])
    assert (event.recorded - event.happened).total_seconds() > 1


def test_what_was_tapped_by_mistake_is_put_right_with_its_reason(own: Room, page: OpenPage) -> None:
    put(own.plan_path)
    tab = ready(page(f"{own.url}/t/A3/fish?deed=struck", size="phone"))
    tab.locator("summary").first.tap()
    tab.get_by_role("button", name="wrong tank").first.tap()
    eventually(tab, lambda: held(own.plan_path), {})
    (event,) = RoomLog(own.plan_path).book.events(kinds=["voided"], only_standing=False)[:1]
    assert event.reason == "wrong tank"
