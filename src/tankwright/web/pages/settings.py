"""The settings: units, language, the name on the network, people and what each part may do, price lists."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from tankwright.web.page import Page, View
from tankwright.workspace.passwords import SHORTEST
from tankwright.workspace.settings import DEEDS, ROLES

ROWS: Final = 200
"""Prices on one page."""

# What a language calls itself; one without a row is shown by its code.
_OWN_NAMES: Final = {"en": "English", "de": "Deutsch", "fr": "Français", "nl": "Nederlands", "es": "Español"}


def show(view: View) -> Mapping[str, object]:
    """The settings as they stand, and the rows of the price list the address names."""
    from tankwright.web.rendering import languages  # noqa: PLC0415 - it knows every page, so a page comes later

    settings, prices = view.settings, view.prices
    lists = prices.lists() if prices is not None else ()
    chosen = next((one for one in lists if one.id == view.query.get("list")), None)
    named = {f"person:{one.name}" for one in settings.current.people} if settings is not None else set()
    asked = view.query.get("from", "")
    start = int(asked) if asked.isascii() and asked.isdigit() and len(asked) < 7 else 0
    return {
        "now": settings.current if settings is not None else None,
        "initials": settings.current.all_initials() if settings is not None else {},
        "trouble": settings.trouble if settings is not None else None,
        "languages": [(code, _OWN_NAMES.get(code, code)) for code in languages()],
        "roles": ROLES,
        "deeds": DEEDS,
        "shortest": SHORTEST,
        "saved": view.query.get("saved", ""),
        "lists": lists,
        "chosen": chosen,
        "start": start,
        "rows": chosen.prices[start : start + ROWS] if chosen is not None else (),
        "more": start + ROWS if chosen is not None and len(chosen.prices) > start + ROWS else None,
        "strays": [
            one for name, one in view.errors.items() if name.startswith("person:") and name not in named
        ],
        "price_errors": [one for name, one in view.errors.items() if name.split(":")[0] == "prices"],
    }


PAGE = Page(
    name="settings", path="/settings", title="Settings", template="settings.html", show=show, group="settings",
    needs="settings",
)  # fmt: skip
