"""The API for who writes a program of their own: every operation with a line to try, and every refusal."""

from __future__ import annotations

from collections.abc import Mapping

from tankwright.web.page import Page, View


def show(view: View) -> Mapping[str, object]:
    """All operations by subject, and the kinds of refusal; the lines name the plan's number as it is now."""
    from tankwright.web.api.listing import HOST, subjects  # noqa: PLC0415 - the API's models take long to load
    from tankwright.web.api.problems import KINDS  # noqa: PLC0415 - likewise
    from tankwright.web.api.shared import PREFIX  # noqa: PLC0415 - likewise

    number = f'"{view.snapshot.number}"'
    return {
        "subjects": subjects(),
        "kinds": sorted(KINDS.items(), key=lambda one: one[1].status),
        "host": HOST,
        "prefix": PREFIX,
        "now": lambda line: line.replace('"41"', number),
    }


PAGE = Page(name="api", path="/api", title="API", template="api.html", show=show, group="")
