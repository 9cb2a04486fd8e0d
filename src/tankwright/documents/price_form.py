"""A price list to be filled in by a shop, or at its shelf: every article to buy, in the columns a list is read by."""

from __future__ import annotations

from tankwright.documents.model import Table, columns
from tankwright.takeoff.prices import COLUMNS
from tankwright.takeoff.purchase_model import Purchase


def price_form(bought: Purchase) -> Table:
    """One line an article and length that is bought. A line whose price stays empty is passed over when it is read."""
    names = tuple(name for name in COLUMNS if name != "free_from")
    said = [{"article": row.article, "unit": row.form.words(), "currency": bought.currency} for row in bought.rows
            if row.buy]  # fmt: skip
    return Table(
        title="Prices to fill in", columns=columns(*names), file="prices-to-fill-in",
        rows=tuple(tuple(one.get(name) for name in names) for one in said),
    )  # fmt: skip
