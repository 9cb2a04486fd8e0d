"""The emergency card for the door and the absence sheet for a helper, each one page of paper."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Final

from tankwright.display import printable
from tankwright.web.cards import TITLES, CardName, CardShown, card_shown
from tankwright.web.page import Page, View
from tankwright.web.pages.faults import known_of
from tankwright.workspace.opened import Opened


def _show(view: View, name: CardName) -> Mapping[str, object]:
    worked = known_of(view)
    faults = worked.faults if worked is not None else None

    def make(opened: Opened) -> CardShown | None:
        return None if opened.study is None else card_shown(name, opened.study, faults)

    today = datetime.now().astimezone().strftime("%Y-%m-%d")
    newest = "" if view.is_current else ", not the newest"
    note = f"{view.live.path.name}, plan {view.snapshot.good_number}{newest}, printed {today}"
    return {
        "shown": view.made_once.keep(view.snapshot, ("card", name, id(faults)), make),
        "note": printable(note),
        "other": "absence" if name == "door" else "door",
        "titles": TITLES,
    }


DOOR: Final = Page(
    name="door",
    path="/print/door",
    title=TITLES["door"],
    template="cards.html",
    show=lambda view: _show(view, "door"),
)
ABSENCE: Final = Page(
    name="absence",
    path="/print/absence",
    title=TITLES["absence"],
    template="cards.html",
    show=lambda view: _show(view, "absence"),
)
