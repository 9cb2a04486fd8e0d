"""Quarantine and contacts with something in them, in a browser: sound by axe, on a phone, dark, without scripts."""

from __future__ import annotations

from datetime import timedelta

import pytest
from playwright.sync_api import expect

from tankwright.husbandry.facts import Tally, came, moved
from tankwright.husbandry.records import Draft
from tankwright.logbook.outcome import By
from tankwright.workspace.log import RoomLog

from ..chrome import axe, none
from ..conftest import OpenPage, OpenRoom
from ..rooms import Room


@pytest.fixture
def lived(rooms: OpenRoom) -> Room:
    """A cellar with a quarantine that began again, a net that went on wet, fish moved on."""
    served = rooms()
    good = served.live.snapshot.good
    assert good is not None
    log = RoomLog(served.plan_path, room=lambda: good.room)
    book = log.book
    now = log.now()
    ids = {one.label: one.id for one in book.places()}
    shut = {"quarantine": "q", "places": (ids["Q1"], ids["Q2"]), "least_days": 30.0}
    net = {"tool": "n", "label": "green net", "wet_hours": 24.0, "zone": ""}
    book.record(
        [
            Draft(kind="stock_opened", happened=now - timedelta(days=30), stock="s",
                  details={"label": "guppies", "kind": "group"}),
            Draft(kind="quarantine_opened", happened=now - timedelta(days=20), details=shut),
            came("arrived", "s", ids["Q1"], Tally(number=9), now - timedelta(days=20)),
            came("arrived", "s", ids["Q2"], Tally(number=3), now - timedelta(days=9)),
            Draft(kind="tool_made", happened=now - timedelta(days=9), details=net),
            Draft(kind="tool_used", happened=now - timedelta(days=6), place=ids["Q1"], details={"tool": "n"}),
            Draft(kind="tool_used", happened=now - timedelta(days=5.8), place=ids["A1"], details={"tool": "n"}),
            came("found", "s", ids["A1"], Tally(number=5), now - timedelta(days=4)),
            moved("s", ids["A1"], ids["A3"], 2, now - timedelta(days=3)),
        ],
        By(who="AB"),
    )  # fmt: skip
    return served


@pytest.mark.parametrize("size", ["desktop", "phone"])
@pytest.mark.parametrize(
    "path", ["/quarantine?group=50&share=5&tested=30", "/trace?tank=Q1", "/trace?tank=A3&way=back"]
)
def test_pages_with_something_in_them_are_sound(lived: Room, page: OpenPage, path: str, size: str) -> None:
    tab = page(lived.url + path, size=size)
    expect(tab.locator("h1")).to_have_count(1)
    assert tab.evaluate("document.documentElement.scrollWidth <= innerWidth")
    for one in tab.locator("#reached summary").all()[:3]:
        one.click()
    none(axe(tab))
    tab.emulate_media(color_scheme="dark")
    none(axe(tab, "color-contrast"))


def test_an_early_release_is_taken_with_its_reason_without_scripts(lived: Room, page: OpenPage) -> None:
    tab = page(f"{lived.url}/quarantine", scripts=False)
    shut = tab.locator("#shut-q")
    shut.locator("input[name=reason]").fill("eggs only leave, bleached")
    shut.get_by_role("button", name="Open it again").click()
    expect(tab.locator("#shut-q")).to_contain_text("Opened early, because: eggs only leave, bleached")
    expect(tab.locator("#shut-q form")).to_have_count(0)
