"""What to buy where: the cheapest split over the shops of the price lists, and what it is worth."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final

from tankwright.display import figures
from tankwright.documents.basket import amount_words, money_in
from tankwright.takeoff.basket import Amount, Basket, BasketLine
from tankwright.takeoff.purchase_model import OWN_PRICE
from tankwright.web import clock
from tankwright.web.known_parts import KIND, parts_of
from tankwright.web.page import Page, View
from tankwright.web.pages.parts import lists_field

OLD: Final = 365
"""Days after which a price is called old."""

MOST_MISSING: Final = 150


@dataclass(frozen=True, slots=True, kw_only=True)
class Bought:
    """One line of a shop, in words."""

    article: str
    packs: int
    pack: str
    price: str
    cost: str
    seen: str
    is_old: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Shop:
    """One shop: what is bought there, its freight, its sum."""

    name: str
    total: str
    freight: str
    lines: tuple[Bought, ...]


def show(view: View) -> Mapping[str, object]:
    """The basket of this state of the plan and its price lists."""
    parts = parts_of(view)
    worked = parts.worked
    basket = worked.basket if worked is not None else None
    shown: dict[str, object] = {
        "parts_known": parts, "kind": KIND, "worked": worked, "basket": basket, "figures": (), "shops": (),
        "has_tanks": bool(view.room and view.room.racks), "lists_field": lists_field(),
        "findings": tuple(
            one for one in (worked.findings if worked is not None else ())
            if one.code.startswith(("BASKET-", "PART-93")) and one.code != "BASKET-09"
        ),
        "brought": len(view.prices.lists()) if view.prices is not None else 0,
        "named": view.value("buy", "prices"),
    }  # fmt: skip
    return shown if basket is None else shown | _told(basket)


def _told(basket: Basket) -> dict[str, object]:
    today = clock.today()
    shops = sorted(basket.shops, key=lambda one: (-one.total, one.shop))
    return {
        "figures": _figures(basket),
        "shops": tuple(
            Shop(
                name=one.shop, total=money_in(one.total, basket.currency),
                freight=money_in(one.freight, basket.currency) if one.freight else "",
                lines=tuple(_line(line, today) for line in basket.lines
                            if line.offer.shop.casefold() == one.shop.casefold()),
            )
            for one in shops
        ),
        "own": OWN_PRICE,
        "alone": tuple(
            (one.shop, "" if one.total is None else money_in(one.total, basket.currency), len(one.lacks),
             one.lacks[:4])
            for one in basket.one_shop
        ),
        "missing": tuple((one.article, _form(one), figures(one.count)) for one in basket.unoffered[:MOST_MISSING]),
        "more_missing": max(len(basket.unoffered) - MOST_MISSING, 0),
        "surplus": tuple(map(amount_words, basket.surplus)), "on_hand": tuple(map(amount_words, basket.on_hand)),
        "is_old": _is_old(basket.oldest, today),
    }  # fmt: skip


def _figures(basket: Basket) -> tuple[tuple[str, str, str], ...]:
    if not basket.lines:
        return ()
    proved = "proved the cheapest" if basket.proved_optimal else (
        f"nothing costs less than {money_in(basket.lower_bound, basket.currency)}"
    )  # fmt: skip
    made = [("basket.total", money_in(basket.total, basket.currency), proved)]
    real = [one for one in basket.shops if one.shop != OWN_PRICE]
    made.append(("basket.shops", figures(len(real)), "shop" if len(real) == 1 else "shops"))
    if basket.saving is not None and basket.saving > Decimal(0):
        saved = money_in(basket.saving, basket.currency)
        made.append(("basket.saving", saved, "less than from the cheapest shop alone"))
    if basket.unoffered:
        made.append(("basket.missing", figures(len(basket.unoffered)), "articles on no list"))
    return tuple(made)


def _line(one: BasketLine, today: date) -> Bought:
    form = one.offer.form
    return Bought(
        article=one.article if form.unit else f"{one.article} {form.words()}".rstrip(), packs=one.packs,
        pack=f"{figures(one.offer.pack)} {form.unit}".rstrip(), price=f"{one.offer.price:.2f}",
        cost=f"{one.cost:.2f}", seen=one.offer.date, is_old=_is_old(one.offer.date, today),
    )  # fmt: skip


def _form(one: Amount) -> str:
    return one.form.words() or "piece"


def _is_old(seen: str, today: date) -> bool:
    return bool(seen) and (today - date.fromisoformat(seen)).days > OLD


PAGE = Page(name="basket", path="/basket", title="Basket", template="basket.html", show=show, group="build")
