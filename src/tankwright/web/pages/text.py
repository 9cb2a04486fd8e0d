"""The plan as text beside the drawing, its mistakes at their lines."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from tankwright.finding import Finding
from tankwright.web.drawings import screen_drawing
from tankwright.web.page import Page, View
from tankwright.workspace.compare import text_lines

_MOST_SHOWN = 60


def show(view: View) -> Mapping[str, object]:
    """The text with its marks by line; after a collision, what is typed against what stands there now."""
    error = view.errors.get("text")
    text = error.typed if error is not None else view.snapshot.text
    marks: dict[int, list[Finding]] = defaultdict(list)
    for finding in (*view.mistakes, *(view.findings if view.is_current else ())):
        if finding.line is not None:
            marks[finding.line].append(finding)
    lines = text.split("\n")
    differs = (
        list(text_lines(error.theirs, text))[:_MOST_SHOWN]
        if error is not None and error.theirs is not None
        else []
    )
    asked = view.query.get("line", "")
    return {
        "text": text,
        "lines": lines,
        "marks": marks,
        "line": int(asked) if asked.isascii() and asked.isdigit() and len(asked) < 7 else 0,
        "error": error,
        "differs": differs,
        "drawing": screen_drawing(view),
    }


PAGE = Page(name="text", path="/text", title="Plan", template="text.html", show=show, group="plan")
