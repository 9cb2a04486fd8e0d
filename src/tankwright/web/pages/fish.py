"""What lives where, now or on a past day: by tank, by line or by stock; what cannot be and what is missing first."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import TYPE_CHECKING, Final

from tankwright.web.happened_shown import day_of, shown
from tankwright.web.page import Page, View
from tankwright.workspace.census import WAYS, By, Group, Lives, census, grouped
from tankwright.workspace.log import astray_finding
from tankwright.workspace.stock_card import MONTH, Clash, clashes, lost_since
from tankwright.workspace.wall_days import end_of

if TYPE_CHECKING:
    from tankwright.logbook.store import Logbook

MOST: Final = 60
"""Groups shown at once; a hall has thousands of tanks."""
_FEW: Final = 5


def show(view: View) -> Mapping[str, object]:
    """The census the address asks for."""
    book = view.log.kept
    by: By = next((one for one in WAYS if one == view.query.get("by")), "tank")
    day = day_of(view.query.get("at", ""))
    asked = view.query.get("q", "").strip()[:80]
    if book is None:
        return {"book": False, "by": by, "ways": WAYS, "day": day, "asked": asked}
    groups = _found(_groups(view, book, by, day), asked)
    start = _start(view.query.get("from", ""), len(groups))
    stocks = {one.stock.id for group in groups for one in group.rows}
    return {
        "book": True, "by": by, "ways": WAYS, "day": day, "asked": asked, "groups": groups[start : start + MOST],
        "count": len(groups), "start": start, "most": MOST, "fish": sum(one.held for one in groups),
        "is_guess": any(row.low != row.high for one in groups for row in one.rows), "stocks": len(stocks),
        "tanks": len({row.place.id for one in groups for row in one.rows}),
        "astray": tuple((one, astray_finding(one)) for one in view.log.astray()),
        "free": _free(view, book), "clashes": told_clashes(book, _FEW), "clash_count": len(book.conflicts()),
        "lost": lost_since(book, view.log.now() - MONTH)[:_FEW], "trouble": view.log.trouble,
    }  # fmt: skip


def told_clashes(book: Logbook, limit: int) -> tuple[tuple[Clash, tuple[object, ...]], ...]:
    """Conflicts, each with its sides as rows."""
    return tuple((one, shown(book, one.sides)) for one in clashes(book, limit))


def _groups(view: View, book: Logbook, by: By, day: date | None) -> tuple[Group, ...]:
    """All groups, made once for a state of the book."""

    def make(_: object) -> tuple[Group, ...]:
        return grouped(census(book, None if day is None else end_of(day)), by)

    made = view.made_once.keep(view.snapshot, ("census", by, str(day), view.log_state[0]), make)
    return made if made is not None else make(None)


def _found(groups: tuple[Group, ...], asked: str) -> tuple[Group, ...]:
    """Groups with what is asked for in the name of a tank, a stock, a line or a species."""
    if not asked:
        return groups
    wanted = asked.casefold()

    def has(one: Lives) -> bool:
        line = "" if one.line is None else f"{one.line.name} {one.line.species}"
        return wanted in f"{one.place.label} {one.stock.label} {line} {one.stock.came_from}".casefold()

    kept = (Group(name=one.name, rows=tuple(row for row in one.rows if has(row))) for one in groups)
    return tuple(one for one in kept if one.rows)


def _start(text: str, count: int) -> int:
    asked = int(text) - 1 if text.isascii() and text.isdigit() and len(text) < 7 else 0
    return asked - asked % MOST if 0 <= asked < count else 0


def _free(view: View, book: Logbook) -> tuple[str, ...]:
    """Tanks of the plan with nothing in them, which a tank that was renamed may be now."""
    if not view.log.astray():
        return ()
    lived_in = {one.place for one in book.holdings() if one.held}
    there = {tank.id for tank in view.room.tanks} if view.room is not None else set()
    return tuple(one.label for one in book.places() if one.label in there and one.id not in lived_in)


PAGE = Page(name="fish", path="/fish", title="Fish", template="fish.html", show=show, group="life")
