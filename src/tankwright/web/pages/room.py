"""The room: the drawing, its findings, and the sheet of what is chosen."""

from __future__ import annotations

from collections.abc import Mapping

from tankwright.web.drawings import screen_drawing
from tankwright.web.page import Page, View
from tankwright.web.sheets import sheet_of


def show(view: View) -> Mapping[str, object]:
    """The drawing of the layer, with what the URL chooses."""
    chosen = view.query.get("at", "")
    sheet = sheet_of(view, chosen) if chosen else None
    mine = view.findings_of(view.layer)
    return {
        "layers": view.layers,
        "results": view.results(),
        "drawing": screen_drawing(view, chosen=chosen),
        "sheet": sheet,
        "lost": view.query.get("lost", "") or (chosen if chosen and sheet is None else ""),
        "of_layer": mine,
        "others": tuple(one for one in view.findings if one not in mine),
    }


PAGE = Page(name="room", path="/", title="Room", template="room.html", show=show, group="room")
