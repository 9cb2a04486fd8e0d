"""What routes outside the app's own file get: the live plan, the settings, and a way to show a page with errors."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

from starlette.requests import Request
from starlette.responses import Response

from tankwright.documents.kept import Books
from tankwright.documents.papers.kept import KeptPapers
from tankwright.web.made import MadeOnce
from tankwright.web.page import FieldError
from tankwright.web.sockets import Hub
from tankwright.workspace.build_marks import BuildMarks
from tankwright.workspace.entries import EntryBook
from tankwright.workspace.jobs import Jobs
from tankwright.workspace.live import LivePlan
from tankwright.workspace.log import RoomLog
from tankwright.workspace.prices import PriceBook
from tankwright.workspace.settings import SettingsBook


class Shared(Protocol):
    """The part of the app the routes share (`web.app.App`)."""

    live: LivePlan
    settings: SettingsBook
    prices: PriceBook
    entries: EntryBook
    log: RoomLog
    marks: BuildMarks
    books: Books
    papers: KeptPapers
    made_once: MadeOnce
    hub: Hub
    jobs: Jobs

    def page(
        self,
        request: Request,
        address: str,
        errors: Mapping[str, FieldError],
        status: int = 200,
        *,
        part: str = "",
    ) -> Response:
        """The page at an address of ours, with errors beside their fields; of its templates one `part` alone."""
