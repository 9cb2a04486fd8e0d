"""What happened: all events and edits of the plan on one line of time, to narrow, to put right, with what it cost."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Final

from tankwright.husbandry.kinds import SHAPES
from tankwright.husbandry.records import KINDS, Event, Kind
from tankwright.web.happened_shown import Happened, day_of, shown
from tankwright.web.page import Page, View
from tankwright.web.pages.fish import told_clashes
from tankwright.workspace.keeping_mending import NUMBERED
from tankwright.workspace.wall_days import begin_of, end_of

if TYPE_CHECKING:
    from tankwright.logbook.store import Logbook

MOST: Final = 60
_CLASHES: Final = 20
_EDITS: Final = 200
REGISTER: Final[tuple[Kind, ...]] = (
    "place_opened", "place_changed", "place_closed", "stock_opened", "stock_closed",
)  # fmt: skip
"""What the plan itself writes, and what comes with fish that come or go; left out unless it is asked for."""

GROUPS: Final[Mapping[str, tuple[Kind, ...]]] = {
    "numbers of fish": ("born", "arrived", "found", "died", "culled", "left", "moved", "regrouped", "counted",
                        "estimated"),
    "spawns and sizes": ("spawned", "measured", "set_made", "set_ended"),
    "water": ("tested",),
    "care": ("looked", "fed", "treated", "cleaned", "task_done", "culture_started", "culture_ended"),
    "notes and incidents": ("noted", "incident"),
    "money": ("paid", "arrived", "left"),
    "quarantine and tools": ("quarantine_opened", "quarantine_released", "tool_made", "tool_used", "tool_cleaned"),
    "register": ("line_opened", "line_changed", "stock_changed", *REGISTER),
}  # fmt: skip
"""Kinds by what people ask for; a single kind can be asked for too."""

PLAN: Final = "plan"


@dataclass(frozen=True, slots=True, kw_only=True)
class Money:
    """Sums in one currency: what was spent and what was taken."""

    currency: str
    spent: float
    taken: float


def show(view: View) -> Mapping[str, object]:
    """What happened, narrowed by what the address says."""
    asked = {name: view.query.get(name, "").strip()[:80] for name in ("tank", "stock", "line", "kind", "who")}
    since, until = (day_of(view.query.get(name, "")) for name in ("since", "until"))
    text = view.query.get("from", "")
    skip = max(int(text) - 1, 0) if text.isascii() and text.isdigit() and len(text) < 7 else 0
    begin, end = None if since is None else begin_of(since), None if until is None else end_of(until)
    book = view.log.kept
    rows: list[Happened] = []
    unknown = ""
    if book is not None and asked["kind"] != PLAN:
        found = _events(book, asked, begin, end, skip)
        unknown = found if isinstance(found, str) else ""
        rows += [] if isinstance(found, str) else shown(book, found)
    is_more = len(rows) > MOST
    rows = rows[:MOST]
    if asked["kind"] in {"", PLAN} and not (asked["stock"] or asked["line"] or asked["tank"]):
        rows += _edits(view, rows, begin, end, asked["who"], first=skip == 0, last=not is_more)
    rows.sort(key=lambda one: one.at, reverse=True)
    return {
        "rows": rows, "asked": asked, "since": since, "until": until, "groups": tuple(GROUPS), "kinds": _kinds(),
        "unknown": unknown, "is_more": is_more, "skip": skip, "most": MOST, "numbered": NUMBERED,
        "clashes": told_clashes(book, _CLASHES) if book is not None and skip == 0 else (),
        "clash_count": len(book.conflicts()) if book is not None else 0,
        "money": _money(book, begin, end) if book is not None else (), "today": view.log.now().astimezone().date(),
    }  # fmt: skip


def _kinds() -> tuple[tuple[str, str], ...]:
    return tuple((kind, SHAPES[kind].says) for kind in KINDS if kind != "voided")


def _events(
    book: Logbook, asked: Mapping[str, str], begin: datetime | None, end: datetime | None, skip: int
) -> tuple[Event, ...] | str:
    """The events that are asked for; the name of what is not known in the book otherwise."""
    from tankwright.logbook.listing import happenings  # noqa: PLC0415 - brings the database along

    place = (
        next((one for one in book.places(closed=True) if one.label == asked["tank"]), None)
        if asked["tank"]
        else None
    )
    if asked["tank"] and place is None:
        return asked["tank"]
    stocks: list[str] | None = None
    if asked["stock"]:
        stocks = [one.id for one in book.stocks(closed=True) if asked["stock"] in {one.label, one.id}]
        if not stocks:
            return asked["stock"]
    line = next((one for one in book.lines() if one.name == asked["line"]), None) if asked["line"] else None
    if asked["line"] and line is None:
        return asked["line"]
    if line is not None and stocks is None:
        stocks = [one.id for one in book.stocks(line=line.id, closed=True)]
    kind = asked["kind"]
    kinds = GROUPS.get(kind) or tuple(one for one in KINDS if one == kind)
    return happenings(
        book, place=place.id if place is not None else "", stocks=stocks, line=line.id if line is not None else "",
        kinds=kinds, but=() if kinds else REGISTER, who=asked["who"], since=begin, until=end, limit=MOST + 1, skip=skip,
    )  # fmt: skip


def _edits(
    view: View, rows: list[Happened], begin: datetime | None, end: datetime | None, who: str, *, first: bool,
    last: bool,
) -> list[Happened]:  # fmt: skip
    """Edits of the plan of the time the rows are of."""
    newest = None if first or not rows else rows[0].at
    oldest = None if last or not rows else rows[-1].at
    return [
        Happened(at=one.at, says=f"Plan: {one.what}", who=one.who or "another program", revision=one.number, kind=PLAN)
        for one in view.live.revisions(_EDITS)
        if (begin is None or one.at >= begin) and (end is None or one.at <= end) and (not who or one.who == who)
        and (newest is None or one.at <= newest) and (oldest is None or one.at > oldest)
    ]  # fmt: skip


def _money(book: Logbook, begin: datetime | None, end: datetime | None) -> tuple[Money, ...]:
    """What was spent and taken in that time, each currency by itself."""
    spent: Counter[str] = Counter()
    taken: Counter[str] = Counter()
    for one in book.events(kinds=["paid", "arrived", "left"], since=begin, until=end):
        amount = one.details.get("amount" if one.kind == "paid" else "price")
        if not isinstance(amount, int | float) or isinstance(amount, bool) or not amount:
            continue
        currency = str(one.details.get("currency") or "")
        if one.kind == "left" or amount < 0:
            taken[currency] += abs(amount)  # type: ignore[assignment] # a counter of sums
        else:
            spent[currency] += amount  # type: ignore[assignment] # as above
    names = sorted({*spent, *taken})
    return tuple(
        Money(currency=one or "no currency said", spent=spent[one], taken=taken[one]) for one in names
    )


PAGE = Page(
    name="happened",
    path="/happened",
    title="What happened",
    template="happened.html",
    show=show,
    group="life",
)
