"""Everything the plan takes: what to buy, in the order of a shop, and where each piece of it goes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from tankwright.display import figures, words
from tankwright.documents.model import Measured, said
from tankwright.documents.parts import ORDER, SYSTEMS, sold_as
from tankwright.drawing.results import LAYERS, Layer
from tankwright.finding import Number
from tankwright.plan.changes_buy import AddSold, sold_rows
from tankwright.room.assumed import assumed
from tankwright.room.model import Room
from tankwright.takeoff.model import Need
from tankwright.takeoff.purchase_model import Purchase, Row
from tankwright.web.drawings import screen_drawing
from tankwright.web.known_parts import KIND, parts_of
from tankwright.web.page import A_HALL, Page, View
from tankwright.web.sheets import SheetField
from tankwright.workspace.opened import Opened

TABS: Final = (("shop", "To buy"), ("place", "Where it goes"), ("sold", "How it is sold"))
MOST: Final = 100
"""Rows shown at once."""

_LAYERS: Final = {"racks": "load", "tanks": "layout", "shell": "layout", "glass": "layout"}
_MOST_PLACES: Final = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopRow:
    """One row of what is bought, in words; `priced` is False where nobody said what it costs."""

    kind: str
    article: str
    sold_as: str
    needed: str
    spare: str
    on_hand: str
    buy: int
    each: str
    cost: str
    priced: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceRow:
    """One need in words. `lights` are the tanks and racks it belongs to, `to` where it can be looked at."""

    need: Need
    each: str
    lights: tuple[str, ...]
    to: str


def show(view: View) -> Mapping[str, object]:
    """What the address asks for of the parts: what to buy, where it goes, or how it is sold."""
    parts = parts_of(view)
    tab = next((key for key, _ in TABS if key == view.query.get("by")), TABS[0][0])
    bought = parts.worked.purchase if parts.worked is not None else None
    room = view.room
    shown: dict[str, object] = {
        "parts_known": parts, "kind": KIND, "bought": bought, "tab": tab, "tabs": TABS, "most": MOST,
        "has_tanks": room is not None and bool(room.tanks or room.racks), "fields": _fields(view, room),
        "figures": _figures(bought) if bought is not None else (), "drawing": None,
        "findings": parts.worked.findings if parts.worked is not None else (),
    }  # fmt: skip
    if tab == "sold":
        return shown | _sold(view, bought)
    if bought is None or room is None:
        return shown
    return shown | (_shop(view, bought) if tab == "shop" else _place(view, room, bought))


def _figures(bought: Purchase) -> tuple[tuple[str, str, str], ...]:
    """What stands on top: a key, the figure, its words."""
    priced = any(row.price is not None for row in bought.rows)
    unpriced = len(bought.unpriced)
    money = f"{bought.cost:.2f} {bought.currency}".strip() if priced else "not computed"
    joints, made = bought.takeoff.joints, sum(one.made for one in bought.takeoff.joints)
    alone = "no price is known" if not priced else f"without {unpriced} articles that have no price"
    cost = ("parts.cost", money, alone if unpriced else "in all")
    rest = (
        ("parts.buy", figures(sum(row.buy for row in bought.rows)),
         f"pieces and packs to buy, of {len({row.article for row in bought.rows if row.buy})} articles"),
        ("parts.joints", f"{made} of {len(joints)}", "joints have all their parts"),
    )  # fmt: skip
    return (cost, *rest) if priced else (*rest, cost)


# --- to buy -------------------------------------------------------------------------------------------------------


def _shop(view: View, bought: Purchase) -> dict[str, object]:
    rows = sorted(
        (row for row in bought.rows if row.needed or row.spare),
        key=lambda row: (ORDER.index(row.kind), row.article, row.length or 0.0),
    )
    start = _start(view, len(rows))
    shown = tuple(_shop_row(row, view.display) for row in rows[start : start + MOST])
    return {"rows": shown, "count": len(rows), "start": start}


def _shop_row(row: Row, display: str) -> ShopRow:
    def amount(value: float) -> str:
        unit = "" if row.unit in ("pieces", "lengths", "sheets") else f" {row.unit.replace('m2', 'm²')}"
        return f"{figures(value)}{unit}" if value else ""

    cost = row.cost if row.buy else None
    return ShopRow(
        kind=row.kind, article=row.article, sold_as=sold_as(row, display), needed=amount(row.needed),
        spare=amount(row.spare), on_hand=amount(row.on_hand), buy=row.buy,
        each="" if row.price is None else f"{row.price:.2f}", cost="" if cost is None else f"{cost:.2f}",
        priced=row.price is not None,
    )  # fmt: skip


# --- where it goes ------------------------------------------------------------------------------------------------


def _place(view: View, room: Room, bought: Purchase) -> dict[str, object]:
    query = view.query
    at, system, article = (query.get(name, "").strip() for name in ("at", "system", "article"))
    names = {rack.id: rack.id for rack in room.racks} | {tank.id: tank.rack for tank in room.tanks}
    found = next((name for name in names if name.casefold() == at.casefold()), "") if at else ""

    def wanted(need: Need) -> bool:
        here = not at or any(found in (place, names.get(place)) for place in need.places if found)
        return here and system in ("", need.system) and article in ("", need.article)

    def chosen(_: Opened) -> tuple[Need, ...]:
        order = list(SYSTEMS)
        needs = [need for need in bought.takeoff.needs if wanted(need)]
        return tuple(sorted(needs, key=lambda one: order.index(one.system) if one.system in SYSTEMS else 99))

    needs = (
        view.made_once.keep(view.snapshot, ("needs", id(bought), found or at, system, article), chosen) or ()
    )
    start = _start(view, len(needs))
    shown = _LAYERS.get(system, system)
    layer: Layer = next((one for one in LAYERS if one == shown), "layout")
    drawn = screen_drawing(view, chosen=found, layer=layer) if len(room.tanks) < A_HALL else None
    return {
        "rows": tuple(_place_row(view, need, names) for need in needs[start : start + MOST]),
        "count": len(needs), "start": start, "at": at, "lost": at if at and not found else "", "system": system,
        "article": article, "systems": _counted(bought), "drawing": drawn,
        "articles": tuple(one.key for one in bought.takeoff.articles),
    }  # fmt: skip


def _counted(bought: Purchase) -> tuple[tuple[str, str, int], ...]:
    """The systems that take parts, in their order: key, words, how many lines."""
    counts: dict[str, int] = {}
    for need in bought.takeoff.needs:
        counts[need.system] = counts.get(need.system, 0) + 1
    known = [key for key in SYSTEMS if key in counts] + [key for key in counts if key not in SYSTEMS]
    return tuple((key, SYSTEMS.get(key, key.capitalize()), counts[key]) for key in known)


def _place_row(view: View, need: Need, names: Mapping[str, str]) -> PlaceRow:
    lights = tuple(place for place in need.places if place in names)[:_MOST_PLACES]
    layer = _LAYERS.get(need.system, need.system)
    if lights:
        to = view.url("/", at=lights[0], layer=layer if layer in LAYERS else None)
    else:
        to = f"/text?line={need.line}#line" if need.line else ""
    return PlaceRow(need=need, each=_each(need, view.display), lights=lights, to=to)


def _each(need: Need, display: str) -> str:
    if need.length is not None:
        return said(Measured((need.length,)), display)
    if need.size is not None:
        return said(Measured(need.size), display)
    if need.area is not None:
        return words(Number(need.area, "area"), display)
    return "" if need.volume is None else words(Number(need.volume, "volume"), display)


def _start(view: View, count: int) -> int:
    asked = view.query.get("from", "0")
    start = int(asked) if asked.isascii() and asked.isdigit() and len(asked) < 7 else 0
    start -= start % MOST
    return start if start < count else 0


# --- how it is sold -----------------------------------------------------------------------------------------------


def _sold(view: View, bought: Purchase | None) -> dict[str, object]:
    rows = sold_rows(view.snapshot.text)
    of = view.query.get("of", "").strip()
    now = next((one for one in rows if one.article.casefold() == of.casefold()), AddSold(article=of))
    articles = tuple(one.key for one in bought.takeoff.articles) if bought is not None else ()
    return {
        "sold": rows,
        "now": now,
        "articles": articles,
        "unpriced": bought.unpriced if bought is not None else (),
    }


def _fields(view: View, room: Room | None) -> tuple[SheetField, ...]:
    def usual(key: str, dimension: str) -> str:
        return view.words(assumed(room, key).value, dimension) if room is not None else ""

    climate = view.value("climate", "currency")
    return tuple(_field(*one) for one in (
        ("kerf", "Width of the saw's cut", usual("buy.kerf", "length"), "", ""),
        ("trim", "Cut off a new length", usual("buy.trim", "length"), "", ""),
        ("spares", "Spares of small parts", usual("buy.spares", "share"), "", ""),
        ("wastage", "Wastage of hose, tube, cable", usual("buy.wastage", "share"), "", ""),
        ("currency", "Currency", "", climate or "not said", ""),
    ))  # fmt: skip


def _field(key: str, label: str, usual: str, default: str, told: str) -> SheetField:
    return SheetField(pointer=f"/buy/{key}", label=label, help=told, assumed=usual, default=default)


def lists_field() -> SheetField:
    """Which price lists beside the plan count."""
    return SheetField(
        pointer="/buy/prices", label="Price lists beside the plan", help="names of CSV files, such as corner.csv",
        default="those of the settings",
    )  # fmt: skip


PAGE = Page(name="parts", path="/parts", title="Parts", template="parts_list.html", show=show, group="build")
