"""One tank in a hand: what is done in front of it with a tap, what was done last, what is wrong with it.

Its path is the short one a label on the glass carries.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final
from urllib.parse import quote

from tankwright.finding import Severity
from tankwright.room.model import Tank
from tankwright.web.page import Page, View
from tankwright.web.sheets import concerning
from tankwright.web.water_tests import entry_words
from tankwright.workspace.entries import Entry

LAST: Final = 3
"""How many entries are shown; more are the logbook's."""

_WRONG: Final = (Severity.PROBLEM, Severity.WARNING)


@dataclass(frozen=True, slots=True, kw_only=True)
class LastEntry:
    """One entry as it is shown: when it happened (UTC), what, by whom."""

    key: str
    at: datetime
    says: str
    who: str


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
        "done": _standing(view, view.query.get("done", "")),
        "undone": _undone(view, view.query.get("undone", "")),
        "says": lambda entry: entry_words(entry, view.display),
    }


def show(view: View) -> Mapping[str, object]:
    """The last entries and the findings of one tank."""
    name = view.params["tank"]
    findings = concerning(view, name)
    last = tuple(_shown(view, entry) for entry in view.entries.last(name, LAST))
    wrong = tuple(one for one in findings if one.severity in _WRONG)
    unknown = sum(one.severity is Severity.NOT_COMPUTED for one in findings)
    return common(view) | {"last": last, "wrong": wrong, "unknown": unknown}


def _shown(view: View, entry: Entry) -> LastEntry:
    return LastEntry(key=entry.key, at=entry.happened, says=entry_words(entry, view.display), who=entry.who)


def _standing(view: View, key: str) -> Entry | None:
    """The entry of that key, if it was made here and still stands."""
    entry = view.entries.by_key(key)
    if entry is None or entry.tank != view.params["tank"] or entry.undoes is not None:
        return None
    return None if any(one.undoes == entry.id for one in view.entries.all()) else entry


def _undone(view: View, key: str) -> Entry | None:
    """The entry of that key, if it was taken back."""
    entry = view.entries.by_key(key)
    if entry is None or entry.tank != view.params["tank"] or _standing(view, key) is not None:
        return None
    return entry


PAGE = Page(name="tank", path="/t/{tank}", title="Tank", template="tank.html", show=show)
