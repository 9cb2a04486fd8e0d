"""Looking at a table and bringing it in as slow work: named by what was sent, seen as far as it is, stopped."""

from __future__ import annotations

from collections.abc import Callable

from tankwright.finding import Finding
from tankwright.workspace.bringing.bring import Brought, Looked, bring_in, look
from tankwright.workspace.bringing.shelf import Shelf
from tankwright.workspace.bringing.tables import NO_TABLE
from tankwright.workspace.log import RoomLog
from tankwright.workspace.opened import Opened
from tankwright.workspace.outcomes import trouble


def looked_at(opened: Opened, sent: str, progress: Callable[[int, int], None]) -> Looked | Finding:
    """The table that was sent, as it is understood."""
    log = RoomLog(opened.path)
    if opened.room is not None:
        log.follow_plan(opened.room)
    return _looked(log, sent, progress)


def taken_in(opened: Opened, sent: str, progress: Callable[[int, int], None]) -> Brought | Finding:
    """The table that was sent, brought in."""
    log = RoomLog(opened.path)
    if opened.room is not None:
        log.follow_plan(opened.room)
    looked = _looked(log, sent, lambda done, of: progress(done // 4, of))
    if isinstance(looked, Finding):
        return looked
    shelf = Shelf(log)
    kept = shelf.get(sent)
    return bring_in(log, looked, who=shelf.taker(kept) if kept is not None else "keeper", progress=progress)


def _looked(log: RoomLog, sent: str, progress: Callable[[int, int], None]) -> Looked | Finding:
    shelf = Shelf(log)
    kept = shelf.get(sent)
    content = shelf.content(kept) if kept is not None else None
    if kept is None or content is None:
        return trouble(NO_TABLE, "table", "is not there any more", wanted="the file, sent once more")
    return look(log, kept.name, content, kept.said, sheet=kept.sheet, progress=progress)
