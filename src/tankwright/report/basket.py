"""A basket as JSON, and what is said of it in sentences."""

from __future__ import annotations

from decimal import Decimal

from tankwright.display import figures
from tankwright.report.finding import json_finding
from tankwright.takeoff.basket import Amount, Basket

FEW = 6


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
        lines.append(
            f"Of {basket.undated} of its {len(basket.lines)} prices nobody said when they were seen."
        )
    return tuple(lines)


def _few(names: tuple[str, ...]) -> str:
    more = f" and {len(names) - FEW} more" if len(names) > FEW else ""
    return ", ".join(names[:FEW]) + more


def json_basket(basket: Basket) -> dict[str, object]:
    """All of a basket; amounts of money as texts, so that no coin is lost to binary.

    >>> json_basket(Basket(currency="EUR"))["total"]
    '0.00'
    """
    return {
        "currency": basket.currency or None,
        "total": f"{basket.total:.2f}",
        "lower_bound": f"{basket.lower_bound:.2f}",
        "gap_share": basket.gap,
        "proved_optimal": basket.proved_optimal,
        "shops": [
            {"shop": one.shop, "goods": f"{one.goods:.2f}", "freight": f"{one.freight:.2f}",
             "total": f"{one.total:.2f}"}
            for one in basket.shops
        ],
        "lines": [
            {"shop": one.offer.shop, "article": one.article, "unit": one.offer.form.words() or "piece",
             "packs": one.packs, "pack": one.offer.pack, "price": f"{one.offer.price:.2f}", "cost": f"{one.cost:.2f}",
             "date": one.offer.date or None, "note": one.offer.note or None}
            for one in basket.lines
        ],
        "one_shop": [
            {"shop": one.shop, "total": None if one.total is None else f"{one.total:.2f}", "lacks": list(one.lacks)}
            for one in basket.one_shop
        ],
        "saving": None if basket.saving is None else f"{basket.saving:.2f}",
        "on_hand": [_json_amount(one) for one in basket.on_hand],
        "surplus": [_json_amount(one) for one in basket.surplus],
        "unoffered": [_json_amount(one) for one in basket.unoffered],
        "oldest_price": basket.oldest or None,
        "newest_price": basket.newest or None,
        "undated_prices": basket.undated,
        "findings": [json_finding(one) for one in basket.findings],
    }  # fmt: skip


def _json_amount(one: Amount) -> dict[str, object]:
    return {"article": one.article, "unit": one.form.words() or "piece", "count": one.count}
