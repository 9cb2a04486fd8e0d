"""What a reader does on a page, in the words of the tests."""

from __future__ import annotations

from typing import Final

import httpx
from playwright.sync_api import Locator, Page

from tankwright.workspace.live import LivePlan

from ..rooms import Room

FROM_WEST: Final = "/rack/0/from_west"
GAP: Final = "/rack/0/off_wall"
SHELF: Final = "/rack_kind/low/shelves/0"
LENGTH: Final = "/tank_kind/cube/outside/0"

TWO_RACKS: Final = """
title = "Two racks"

[room.shed]
size = { length = "4 m", width = "2.4 m", height = "2.2 m" }

[tank_kind.cube]
outside = ["30 cm", "30 cm", "30 cm"]
glass = { sides = "5 mm", base = "5 mm", temper = "annealed" }
hole = { pane = "back", diameter = "29 mm", from_left = "75 mm", below_rim = "65 mm" }
overflow = { elbow_reach = "30 mm", water_below_rim = "40 mm", bore = "16 mm" }

[rack_kind.low]
length = "100 cm"
depth = "40 cm"
shelves = ["60 cm"]

[[rack]]  # the one at the window
id = "A"
kind = "low"
room = "shed"
wall = "north"
from_west = "50 cm"
off_wall = "5 cm"
shelf.1 = [{ kind = "cube", ids = "A1..A2" }]

[[rack]]
id = "B"
kind = "low"
room = "shed"
wall = "south"
from_west = "50 cm"
shelf.1 = [{ kind = "cube", ids = "B1..B2" }]
"""
"""A room that is worked out in a moment."""


def ready(tab: Page) -> Page:
    """Wait until the scripts have taken over."""
    tab.wait_for_selector("html[data-live]")
    return tab


def field(tab: Page, pointer: str) -> Locator:
    """The field of one value of the plan."""
    return tab.locator(f'[id="field{pointer}"]')


def form(tab: Page, pointer: str) -> Locator:
    """Its form, with what is said beside it."""
    return tab.locator(f'[id="form{pointer}"]')


def enter(tab: Page, pointer: str, text: str) -> None:
    """Type a value and send it with Enter."""
    field(tab, pointer).fill(text)
    field(tab, pointer).press("Enter")


def number_of(tab: Page) -> int:
    """The number of the plan a page shows."""
    return int(tab.locator("body").get_attribute("data-number") or -1)


def shows(tab: Page, number: int) -> None:
    """Wait until a page shows that number of the plan, or a later one."""
    tab.wait_for_function("(number) => Number(document.body.dataset.number) >= number", arg=number)


def saved(tab: Page) -> None:
    """Wait until the bar says that all is saved and the browser keeps nothing back."""
    tab.wait_for_function(
        "() => document.getElementById('saved').textContent === document.body.dataset.saidSaved"
        " && !Object.keys(localStorage).some((name) => name.startsWith('tankwright.pending')"
        " && JSON.parse(localStorage.getItem(name)).length)"
    )


def edits(live: LivePlan) -> list[str]:
    """What was edited, oldest first."""
    return [one.what for one in reversed(live.revisions(200)) if one.kind == "edit"]


class Elsewhere:
    """Somebody at another machine, without a browser of the test: sends the forms our pages send."""

    def __init__(self, room: Room) -> None:
        self._room = room
        self._sent = 0

    def edit(
        self, *, base: int | None = None, key: str = "", back: str = "/", **fields: str
    ) -> httpx.Response:
        """One form upon the newest number, or upon a given one."""
        self._sent += 1
        form = {
            "base": str(self._room.live.snapshot.number if base is None else base),
            "key": key or f"elsewhere {self._sent}", "back": back,
        }  # fmt: skip
        return httpx.post(f"{self._room.url}/edit", data=form | fields, follow_redirects=True, timeout=20)

    def set(self, pointer: str, typed: str, *, base: int | None = None) -> httpx.Response:
        """One value of the plan."""
        return self.edit(base=base, back="/?at=A", change="value", path=pointer, typed=typed)
