"""The newest water tests of one tank, for pages of that tank: what was read, how long ago, how it stands."""

from __future__ import annotations

from typing import Final

from tankwright.report.trends import TrendRow, trend_rows
from tankwright.web.page import View
from tankwright.workspace.log_waters import water_tests
from tankwright.workspace.opened import Opened

MOST: Final = 8


def tests_of(view: View, tank: str) -> tuple[TrendRow, ...]:
    """The rows of `tests_part.html` for a tank, what matters most first; none where it was never tested."""

    def make(opened: Opened) -> tuple[TrendRow, ...]:
        if opened.room is None:
            return ()
        found = water_tests(view.log, opened.room, opened.study, view.log.now(), tank=tank)
        return trend_rows(found.verdicts[:MOST])

    newest, minute = view.log_state
    return view.made_once.keep(view.snapshot, ("tests of", tank, newest, minute // 60), make) or ()
