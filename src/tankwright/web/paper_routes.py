"""What stands in the margin of every printed page: which room, which state of its plan, and the page's number.

A margin's text can only come from a style sheet, and the policy of the pages allows none within them; so the server
writes one, under an address that names the state of the plan.
"""

from __future__ import annotations

import re
from datetime import datetime

from fastapi import FastAPI
from starlette.responses import Response

from tankwright.web.shared import Shared
from tankwright.workspace.outcomes import Snapshot

_MOST = 60  # letters of a room's name that stand in a margin


def add_paper_routes(app: FastAPI, shared: Shared) -> None:
    """`GET /paper.css?plan=41`: the margins of a printed page."""

    @app.get("/paper.css", include_in_schema=False)
    def _paper() -> Response:
        answer = Response(margins(shared.live.snapshot), media_type="text/css")
        answer.headers["Cache-Control"] = "private, no-cache"
        return answer


def margins(snapshot: Snapshot) -> str:
    """The style sheet: room and plan to the left of the foot, the page's number to the right."""
    good = snapshot.good
    title = good.room.title if good is not None and good.room is not None else "Fish room"
    title = title if len(title) <= _MOST else title[: _MOST - 1] + "…"
    number = snapshot.good_number if snapshot.good_number is not None else snapshot.number
    newest = "" if number == snapshot.number else ", not the newest"
    printed = datetime.now().astimezone().strftime("%Y-%m-%d")
    said = f"{title} · plan {number} of {snapshot.at:%Y-%m-%d %H:%M} UTC{newest} · printed {printed}"
    font = 'font: 8pt "DejaVu Sans", Verdana, sans-serif;'
    return (
        f'@media print {{ @page {{ @bottom-left {{ content: "{quoted(said)}"; {font} white-space: nowrap; }} '
        f'@bottom-right {{ content: counter(page) " / " counter(pages); {font} }} }} }}\n'
    )


def quoted(text: str) -> str:
    """A text within the quotes of a style sheet: all but letters, digits and a few signs by their numbers.

    >>> print(quoted('a"}b'))
    a\\22 \\7d b
    """
    return re.sub(r"[^\w .,:;·…-]", lambda found: f"\\{ord(found[0]):x} ", text)
