"""What is done with the fish of one tank, in a hand: which stock, which deed, how many, where to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final
from urllib.parse import quote

from tankwright.husbandry.register import Place
from tankwright.web.page import Page, View
from tankwright.web.pages.tank import Living, common, last_of, tank_path

WITH_FISH: Final = (
    ("counted", "Count"), ("moved", "Move"), ("died", "Dead"), ("left", "Sold, given, used"), ("split", "Split off"),
    ("culled", "Culled"),
)  # fmt: skip
"""Deeds that are of a stock, by what their button says."""

OF_THE_TANK: Final = (
    ("arrived", "Fish came in"), ("born", "Young are there"), ("set", "Put together to breed"),
    ("photo", "Picture, incident"), ("struck", "Put right"),
)  # fmt: skip
"""Deeds that need no stock."""

TITLES: Final = dict((*WITH_FISH, *OF_THE_TANK))
_NEAR: Final = 11
_LAST: Final = 8
_SOURCES: Final = 6
REASONS: Final = ("tapped by mistake", "wrong tank", "wrong fish", "wrong number")
"""Why something is struck out, for who has no keyboard."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Where:
    """A place fish can go to, and what lives there."""

    label: str
    rack: str
    held: int


def show(view: View) -> Mapping[str, object]:
    """The deed the address asks for, of the stock it names; before that, what there is to choose."""
    shown = common(view)
    living: tuple[Living, ...] = shown["living"]  # type: ignore[assignment] # `common` gives it
    deed = view.query.get("deed", "")
    failed = next((field.removeprefix("enter:") for field in view.errors if field.startswith("enter:")), "")
    asked = _sent(view, "stock") or view.query.get("stock", "")
    stock = next((one for one in living if one.label == asked), None)
    if stock is None and len(living) == 1:
        stock = living[0]
    if deed not in TITLES:
        deed = ""
    here = f"{tank_path(view.params['tank'], '/fish')}?deed={deed}"
    if stock is not None:
        here += f"&stock={quote(stock.label, safe='')}"
    return shown | {
        "deed": deed, "stock": stock, "here": here, "with_fish": WITH_FISH, "of_the_tank": OF_THE_TANK,
        "title": TITLES.get(deed, "Fish"), "fish_path": tank_path(view.params["tank"], "/fish"),
        "error": view.errors.get(f"enter:{failed}"), "value": _value(view, deed, stock),
        "chips": _chips(deed, stock), "least": 0 if deed == "counted" else 1,
        "most": 1_000_000 if stock is None or deed == "counted" else stock.held,
        "places": _places(view) if deed in {"moved", "split"} else (),
        "lines": _lines(view) if deed == "arrived" else (), "sources": _sources(view) if deed == "arrived" else (),
        "last": last_of(view, _LAST) if deed == "struck" else (), "reasons": REASONS,
    }  # fmt: skip


def _sent(view: View, name: str) -> str:
    """A field of a form that was refused, so that it stands there again."""
    error = next((one for field, one in view.errors.items() if field.startswith("enter:")), None)
    return "" if error is None else str(error.sent.get(name, ""))


def _value(view: View, deed: str, stock: Living | None) -> int:
    typed = view.query.get("value", "")
    if typed.isascii() and typed.isdecimal() and len(typed) < 8:
        return int(typed)
    held = 0 if stock is None else stock.held
    return {"counted": held, "moved": held, "arrived": 6, "born": 20}.get(deed, min(1, held or 1))


def _chips(deed: str, stock: Living | None) -> tuple[int, ...]:
    """A few likely numbers: near what there is for a count, small ones and all for what goes."""
    held = 0 if stock is None else stock.held
    if deed == "counted":
        return tuple(one for one in range(held - 4, held + 4) if one >= 0)[:8]
    if deed in {"arrived", "born"}:
        return (1, 2, 3, 5, 10, 20, 30, 50)
    return tuple(sorted({one for one in (1, 2, 3, 5, 10, 20, held // 2, held) if 0 < one <= held}))


def _places(view: View) -> tuple[Where, ...]:
    """Where fish can go: places of the same rack first, then in walking order."""
    book = view.log.kept
    if book is None:
        return ()
    here = view.params["tank"]
    places = [one for one in book.places() if one.kind != "rack"]
    own = next((one for one in places if one.label == here), None)
    held: dict[str, int] = {}
    for one in book.holdings():
        held[one.place] = held.get(one.place, 0) + one.held
    rack = own.rack if own is not None else ""

    def near(one: Place) -> tuple[bool, int, str]:
        return (one.rack != rack, abs(one.order - (own.order if own is not None else 0)), one.label)

    found = sorted((one for one in places if one.label != here), key=near)
    most = len(found) if view.query.get("all") else _NEAR
    return tuple(Where(label=one.label, rack=one.rack, held=held.get(one.id, 0)) for one in found[:most])


def _lines(view: View) -> tuple[str, ...]:
    book = view.log.kept
    return () if book is None else tuple(one.name for one in book.lines())


def _sources(view: View) -> tuple[str, ...]:
    """From whom fish came lately."""
    book = view.log.kept
    if book is None:
        return ()
    events = book.events(kinds=["arrived"], newest_first=True, limit=50)
    return tuple(dict.fromkeys(str(one.details["from"]) for one in events if one.details.get("from")))[
        :_SOURCES
    ]


PAGE = Page(
    name="tank_fish", path="/t/{tank}/fish", title="Fish of the tank", template="tank_fish.html", show=show
)
