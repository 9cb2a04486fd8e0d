"""A basket as JSON."""

from __future__ import annotations

from tankwright.report.finding import json_finding
from tankwright.takeoff.basket import Amount, Basket


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
