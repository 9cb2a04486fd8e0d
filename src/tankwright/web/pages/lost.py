"""The page for an address where nothing is."""

from __future__ import annotations

from collections.abc import Mapping

from tankwright.web.page import Page, View


def show(view: View) -> Mapping[str, object]:
    """Nothing but the address itself."""
    return {"address": view.path}


PAGE = Page(name="lost", path="/lost", title="Nothing here", template="lost.html", show=show)
