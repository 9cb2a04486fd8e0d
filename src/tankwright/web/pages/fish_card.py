"""One stock: where it comes from, where it is, the balance of its fish, its forebears, all that happened to it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from tankwright.web.brood_shown import brood_shown
from tankwright.web.happened_shown import shown
from tankwright.web.lines_shown import ancestry_of
from tankwright.web.page import Page, View
from tankwright.workspace.keeping_mending import NUMBERED
from tankwright.workspace.stock_card import stock_card

MOST: Final = 50
"""Events listed at once."""


def show(view: View) -> Mapping[str, object]:
    """The stock the address names, by its id or its label."""
    from tankwright.logbook.listing import happenings  # noqa: PLC0415 - brings the database along

    book, asked = view.log.kept, view.params["stock"]
    stock = None if book is None else book.stock(asked) or book.stock_labelled(asked)
    if book is None or stock is None:
        return {"card": None, "asked": asked}
    text = view.query.get("from", "")
    skip = int(text) - 1 if text.isascii() and text.isdigit() and 0 < len(text) < 7 else 0
    events = happenings(book, stocks=[stock.id], limit=MOST + 1, skip=max(skip, 0))
    return {
        "card": stock_card(book, stock), "history": shown(book, events[:MOST]), "numbered": NUMBERED,
        "skip": max(skip, 0), "most": MOST, "is_more": len(events) > MOST,
        "ancestry": ancestry_of(view, stock.id, address="/fish/{}") if stock.origin else None,
        "brood": brood_shown(view, stock.id),
        "at": view.log.now().astimezone().date(),
    }  # fmt: skip


PAGE = Page(name="fish_card", path="/fish/{stock}", title="Stock", template="fish_card.html", show=show)
