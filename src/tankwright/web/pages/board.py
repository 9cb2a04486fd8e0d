"""The board for the wall: what is due now by zone, what comes next as one walks, what is shut, what food is ready.

To be read from three metres; it looks again by itself whenever something happens.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from tankwright.web import clock
from tankwright.web.due_shown import counts_by_zone, due_now
from tankwright.web.page import Page, View
from tankwright.web.pages.due_stores import STATES, until_words
from tankwright.workspace.disk import utcnow
from tankwright.workspace.round_stores import stores_of
from tankwright.workspace.round_work import Due

NEXT: Final = 8
"""Places told by name: what can be read from afar in a look."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Next:
    """A place that comes next, with its work."""

    place: str
    washes: bool
    late: bool
    work: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shut:
    """Places that are shut off, and since when."""

    places: tuple[str, ...]
    since: str
    reason: str


def show(view: View) -> Mapping[str, object]:
    """Everything on the board."""
    now = utcnow()
    due = due_now(view)
    stores = stores_of(view.log, now)
    ready = tuple(
        (one.what, STATES[state], until_words(one.ready_by, now))
        for one in stores.cultures
        if (state := one.state(now)) is not None and one.ready_by is not None
    )
    return {
        "open": len(due.open), "late": sum(one.state == "late" for one in due.open), "zones": counts_by_zone(due),
        "next": _next(due), "more": max(0, len(due.stops()) - NEXT), "shut": _shut(due), "foods": ready[:4],
        "withheld": tuple((stores.labels.get(one.place, ""), one.what) for one in stores.running)[:4],
        "short": tuple(one.subject for one in stores.findings if one.code == "ROUND-10")[:4],
        "today": clock.today().isoformat(), "now": now, "has_work": view.log.is_there,
    }  # fmt: skip


def _next(due: Due) -> tuple[Next, ...]:
    found = []
    for place in due.stops()[:NEXT]:
        mine = [one for one in due.open if one.task.place == place]
        found.append(Next(
            place=due.label(place), washes=place in due.washes, late=any(one.state == "late" for one in mine),
            work=tuple(dict.fromkeys(one.task.label for one in mine)),
        ))  # fmt: skip
    return tuple(found)


def _shut(due: Due) -> tuple[Shut, ...]:
    return tuple(
        Shut(places=tuple(filter(None, (due.label(place) for place in one.places))), reason=one.reason,
             since=f"{clock.day_of(one.restarted or one.opened).isoformat()}")
        for one in due.shut
    )  # fmt: skip


PAGE: Final = Page(name="board", path="/board", title="Board", template="board.html", show=show, group="life")
