"""Help: keys, signs and colours, what is kept where, and how the phone gets in."""

from __future__ import annotations

from collections.abc import Mapping

from markupsafe import Markup

from tankwright.drawing.legend import legend
from tankwright.drawing.results import DrawnResults
from tankwright.finding import Severity
from tankwright.web.page import Page, View


def show(view: View) -> Mapping[str, object]:
    """The colours with their words, the severities, and the name of the plan's file."""
    steps = [item for item in legend(DrawnResults(layer="air", scale="enough")) if item.kind == "colour"]
    return {
        "steps": [(Markup(item.swatch), item.words) for item in steps],
        "severities": tuple(Severity),
        "plan_file": view.live.path.name,
        "folder": f"{view.live.path.stem}.tankwright",
    }


PAGE = Page(name="help", path="/help", title="Help", template="help.html", show=show, group="settings")
