"""The history of the plan: every revision, and what changed in the room between two."""

from __future__ import annotations

from collections.abc import Mapping

from tankwright.web.page import Page, View

_A_PAGE = 40


def _asked(view: View, name: str) -> int | None:
    text = view.query.get(name, "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else None


def show(view: View) -> Mapping[str, object]:
    """Revisions, newest first, and the comparison the URL asks for."""
    before = _asked(view, "before")
    revisions = view.live.revisions(_A_PAGE + 1, before)
    a, b = _asked(view, "from"), _asked(view, "to")
    comparison = view.live.compare(a, b) if a is not None and b is not None else None
    return {
        "revisions": revisions[:_A_PAGE],
        "older": revisions[_A_PAGE - 1].number if len(revisions) > _A_PAGE else None,
        "comparison": comparison,
        "unknown": a is not None and b is not None and comparison is None,
        "error": view.errors.get("restore"),
    }


PAGE = Page(
    name="history", path="/history", title="History", template="history.html", show=show, group="plan"
)
