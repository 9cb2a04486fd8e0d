"""The shopping list of a basket: a table a shop, and one of all for a file."""

from __future__ import annotations

from tankwright.display import figures
from tankwright.documents.model import Cell, Table, columns
from tankwright.report.basket import money_in
from tankwright.takeoff.basket import Basket, BasketLine


def basket_tables(basket: Basket) -> tuple[Table, ...]:
    """What to buy, a table for each shop, the dearest shop first.

    >>> basket_tables(Basket(currency="EUR"))
    ()
    """
    shops = sorted(basket.shops, key=lambda one: (-one.total, one.shop))
    tables = []
    for shop in shops:
        freight = f", {money_in(shop.freight, basket.currency)} of it freight" if shop.freight else ""
        tables.append(Table(
            title=f"{shop.shop}: {money_in(shop.total, basket.currency)}{freight}",
            columns=columns("article*", "packs", "pack of", "price", "cost"),
            rows=tuple(
                (_article(one), one.packs, _pack(one), f"{one.offer.price:.2f}", f"{one.cost:.2f}")
                for one in basket.lines if one.offer.shop.casefold() == shop.shop.casefold()
            ),
        ))  # fmt: skip
    return tuple(tables)


def basket_table(basket: Basket) -> Table:
    """All lines in one table, with what is not offered at its end: for a file.

    >>> basket_table(Basket(currency="EUR")).columns[-1].name
    'seen'
    """
    rows: list[tuple[Cell, ...]] = [
        (one.offer.shop, one.article, one.offer.form.words() or "piece", one.packs, figures(one.offer.pack),
         f"{one.offer.price:.2f}", f"{one.cost:.2f}", basket.currency, one.offer.date)
        for one in basket.lines
    ]  # fmt: skip
    rows += [
        (shop.shop, "freight", "", 1, "", f"{shop.freight:.2f}", f"{shop.freight:.2f}", basket.currency, "")
        for shop in basket.shops
        if shop.freight
    ]
    rows += [
        ("", one.article, one.form.words() or "piece", None, figures(one.count), "", "", "", "")
        for one in basket.unoffered
    ]
    return Table(
        title="Basket", file="basket", rows=tuple(rows),
        columns=columns("shop", "article*", "unit", "packs", "pack", "price", "cost", "currency", "seen"),
    )  # fmt: skip


def _article(one: BasketLine) -> str:
    form = one.offer.form
    return one.article if form.unit else f"{one.article} {form.words()}".rstrip()


def _pack(one: BasketLine) -> str:
    return f"{figures(one.offer.pack)} {one.offer.form.unit}".rstrip()
