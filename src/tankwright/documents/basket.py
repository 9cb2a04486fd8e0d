"""The shopping list of a basket: a table a shop, one of all for a file, and what is said of it in sentences."""

from __future__ import annotations

from decimal import Decimal
from typing import Final

from tankwright.display import figures
from tankwright.documents.model import Cell, Table, columns
from tankwright.takeoff.basket import Amount, Basket, BasketLine

_FEW: Final = 6


def money_in(amount: Decimal, currency: str) -> str:
    """An amount to the last coin, with its currency.

    >>> money_in(Decimal("1234.5"), "EUR"), money_in(Decimal(3), "")
    ('1234.50 EUR', '3.00')
    """
    return f"{amount:.2f} {currency}".rstrip()


def amount_words(of: Amount) -> str:
    """So much of an article.

    >>> from tankwright.takeoff.offers import Form
    >>> amount_words(Amount(article="hose", form=Form(unit="m"), count=2.5))
    '2.5 m of hose'
    >>> amount_words(Amount(article="pipe 50 mm", form=Form(length=6.0), count=2.0))
    '2 x pipe 50 mm 6 m'
    """
    if of.form.unit:
        return f"{figures(of.count)} {of.form.unit} of {of.article}"
    return f"{figures(of.count)} x {of.article} {of.form.words()}".rstrip()


def basket_lines(basket: Basket) -> tuple[str, ...]:
    """The total, how far it is proved, each shop alone, what is left over, and how old the prices are."""
    lines = []
    if basket.lines:
        proved = "proved the cheapest" if basket.proved_optimal else (
            f"not proved the cheapest; nothing costs less than {money_in(basket.lower_bound, basket.currency)}"
        )  # fmt: skip
        lines.append(f"In all {money_in(basket.total, basket.currency)}, {proved}.")
    elif not basket.unoffered:
        lines.append("Nothing is to be bought.")
    for one in basket.one_shop if basket.lines else ():
        if one.total is not None:
            lines.append(f"All from {one.shop}: {money_in(one.total, basket.currency)}.")
        else:
            lines.append(f"{one.shop} alone lacks {_few(one.lacks)}.")
    if basket.saving is not None and basket.saving > 0:
        lines.append(
            f"The split saves {money_in(basket.saving, basket.currency)} beside the cheapest single shop."
        )
    if basket.on_hand:
        lines.append(f"On hand and not bought: {_few(tuple(map(amount_words, basket.on_hand)))}.")
    if basket.surplus:
        lines.append(f"Left over from packs: {_few(tuple(map(amount_words, basket.surplus)))}.")
    if basket.unoffered:
        lines.append(f"Not in it, for no shop lists it: {_few(tuple(map(amount_words, basket.unoffered)))}.")
    if basket.oldest:
        lines.append(f"Its prices were seen from {basket.oldest} to {basket.newest}.")
    if basket.undated:
        lines.append(f"Prices without a day when they were seen: {basket.undated} of {len(basket.lines)}.")
    return tuple(lines)


def _few(names: tuple[str, ...]) -> str:
    more = f" and {len(names) - _FEW} more" if len(names) > _FEW else ""
    return ", ".join(names[:_FEW]) + more


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
                (_article(one), one.packs, _pack(one), one.offer.price, one.cost)
                for one in basket.lines if one.offer.shop.casefold() == shop.shop.casefold()
            ),
        ))  # fmt: skip
    return tuple(tables)


def missing_table(basket: Basket) -> Table:
    """What no shop lists.

    >>> missing_table(Basket(currency="EUR")).rows
    ()
    """
    return Table(
        title="On no shop's list, and not in the total", columns=columns("article*", "as", "wanted"),
        rows=tuple(
            (one.article, one.form.words() or "piece", figures(one.count)) for one in basket.unoffered
        ),
    )  # fmt: skip


def basket_table(basket: Basket) -> Table:
    """All lines in one table, with what is not offered at its end: for a file.

    >>> basket_table(Basket(currency="EUR")).columns[-1].name
    'seen'
    """
    rows: list[tuple[Cell, ...]] = [
        (one.offer.shop, one.article, one.offer.form.words() or "piece", one.packs, figures(one.offer.pack),
         one.offer.price, one.cost, basket.currency, one.offer.date)
        for one in basket.lines
    ]  # fmt: skip
    rows += [
        (shop.shop, "freight", "", 1, "", shop.freight, shop.freight, basket.currency, "")
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
