"""One tank in a hand: what is done in front of it with a tap, what was done last, what is wrong with it.

Its path is the short one a label on the glass carries.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final
from urllib.parse import quote

from tankwright.finding import Severity
from tankwright.husbandry.records import Event, Kind
from tankwright.husbandry.register import Place
from tankwright.room.model import Tank
from tankwright.web.page import Page, View
from tankwright.web.sheets import concerning
from tankwright.web.tests_shown import tests_of
from tankwright.web.water_tests import entry_words
from tankwright.workspace.census import number_words
from tankwright.workspace.entry_events import entry_of
from tankwright.workspace.event_words import Labels, event_words
from tankwright.workspace.naming import fish_in

LAST: Final = 3
"""How many entries are shown; more are the logbook's."""

NOT_SHOWN: Final[tuple[Kind, ...]] = (
    "place_opened", "place_changed", "place_closed", "line_opened", "stock_opened", "stock_closed", "voided",
)  # fmt: skip
"""Kinds of events that come with others, and so are not listed for themselves."""

_WRONG: Final = (Severity.PROBLEM, Severity.WARNING)


@dataclass(frozen=True, slots=True, kw_only=True)
class LastEntry:
    """One thing that happened as it is shown: when (UTC), what, by whom. `event` is its id."""

    key: str
    at: datetime
    says: str
    who: str
    event: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Living:
    """So many of a stock in this tank, with what else is known of it."""

    label: str
    number: str
    held: int
    line: str
    since: datetime | None
    came_from: str


def tank_path(tank: str, more: str = "") -> str:
    """The address of a tank's page, or of one under it.

    A slash of its name is written so that the server, which reads an address before it is taken apart, leaves it.

    >>> tank_path("A3"), tank_path("Süd 1", "/test"), tank_path("A/1")
    ('/t/A3', '/t/S%C3%BCd%201/test', '/t/A%252F1')
    """
    return f"/t/{quote(tank, safe='').replace('%2F', '%252F')}{more}"


def tank_of(view: View) -> Tank | None:
    """The tank the address names; None when the plan has none of that name."""
    name = view.params["tank"]
    return next((tank for tank in view.room.tanks if tank.id == name), None) if view.room else None


def place_of(tank: Tank) -> str:
    """Where a tank stands, as one walks there."""
    zone = f", {tank.zone}" if tank.zone else ""
    return f"rack {tank.rack}, shelf {tank.shelf}{zone}"


def common(view: View) -> dict[str, object]:
    """What every page of one tank shows."""
    name = view.params["tank"]
    return {
        "name": name,
        "tank": tank_of(view),
        "path": tank_path(name),
        "place_of": place_of,
        "done": _done(view, view.query.get("done", ""), taken_back=False),
        "undone": _done(view, view.query.get("undone", ""), taken_back=True),
        "living": living(view),
    }


def place_here(view: View) -> Place | None:
    """The place in the book that this tank is; None while nothing was written down of it."""
    book = view.log.kept
    return None if book is None else book.place_labelled(view.params["tank"])


def living(view: View) -> tuple[Living, ...]:
    """What lives in the tank."""
    book, place = view.log.kept, place_here(view)
    if book is None or place is None:
        return ()
    lines = {one.id: one.name for one in book.lines()}
    return tuple(
        Living(label=stock.label, number=number_words(one.held, one.low, one.high), held=one.held,
               line=lines.get(stock.line, ""), since=one.since, came_from=stock.came_from)
        for one, stock in fish_in(book, place)
    )  # fmt: skip


def show(view: View) -> Mapping[str, object]:
    """The last entries and the findings of one tank."""
    name = view.params["tank"]
    findings = concerning(view, name)
    wrong = tuple(one for one in findings if one.severity in _WRONG)
    unknown = sum(one.severity is Severity.NOT_COMPUTED for one in findings)
    more = {"last": last_of(view, LAST), "wrong": wrong, "unknown": unknown, "tests": tests_of(view, name)}
    return common(view) | more


def last_of(view: View, limit: int) -> tuple[LastEntry, ...]:
    """The newest that happened in the tank, without what was struck out."""
    from tankwright.logbook.listing import happenings, labels_of  # noqa: PLC0415 - brings the database along

    book, place = view.log.kept, place_here(view)
    if book is None or place is None:
        return ()
    events = happenings(book, place=place.id, but=NOT_SHOWN, limit=limit, only_standing=True)
    labels = labels_of(book, events)
    return tuple(_shown(view, one, labels) for one in events)


def _shown(view: View, event: Event, labels: Labels) -> LastEntry:
    # an entry keeps the words of the reader's units; all else is said alike everywhere
    entry = entry_of(event, view.params["tank"]) if not event.stock or event.kind == "tested" else None
    says = event_words(event, labels) if entry is None else entry_words(entry, view.display)
    return LastEntry(key=first_key(event), at=event.happened, says=says, who=event.who, event=event.id)


def first_key(event: Event) -> str:
    """The key of the whole submission an event came with."""
    return re.sub(r"/\d+$", "", event.key) if event.batch else event.key


def _done(view: View, key: str, *, taken_back: bool) -> LastEntry | None:
    """What came with that key, if it was made here, and still stands or was taken back."""
    from tankwright.logbook.listing import in_batch, labels_of, voided_by  # noqa: PLC0415 - brings the database along

    book, place = view.log.kept, place_here(view)
    first = book.by_key(key) if book is not None and key else None
    if book is None or place is None or first is None or first.kind == "voided":
        return None
    together = in_batch(book, first.batch) or (first,)
    last = together[-1]
    if place.id not in {last.place, *(one.place for one in last.flows)}:
        return None
    if bool(voided_by(book, [first.id])) is not taken_back:
        return None
    return _shown(view, last, labels_of(book, [last]))


PAGE = Page(name="tank", path="/t/{tank}", title="Tank", template="tank.html", show=show)
