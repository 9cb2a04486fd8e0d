"""What of the build is done: `build.jsonl` beside the plan's history, each mark a line, nothing ever rubbed out."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from contextlib import ExitStack
from datetime import date, datetime
from pathlib import Path
from threading import Lock
from typing import Final

from tankwright.building.marks import Mark, mark_of, record_of, standing
from tankwright.finding import Finding
from tankwright.workspace.disk import folder_of, settled, utc_text, utcnow
from tankwright.workspace.journal import Journal, not_kept, writing_in

NOT_KEPT: Final = "BUILD-11"


class BuildMarks:
    """The marks of one plan's build, for many threads and processes."""

    def __init__(self, plan: Path, *, now: Callable[[], datetime] = utcnow) -> None:
        self.folder = folder_of(settled(plan))
        self._journal = Journal(self.folder / "build.jsonl")
        self._now = now
        self._lock = Lock()
        self._marks: list[Mark] = []

    def all(self) -> tuple[Mark, ...]:
        """Every mark as it was made, oldest first."""
        with self._lock:
            self._take_in()
            return tuple(self._marks)

    def standing(self) -> dict[str, Mark]:
        """The mark of each task that is done."""
        return standing(self.all())

    def add(self, marks: Iterable[Mark]) -> tuple[Mark, ...] | Finding:
        """Store those that say anything new; what was stored. All of them or, with a finding, none.

        A key that came before stores nothing, nor does the day that stands there already, unless with another note:
        two who tick one task at once have ticked it once.
        """
        with self._lock, ExitStack() as stack:
            try:
                stack.enter_context(writing_in(self.folder))
                self._take_in()
                new = self._new(marks)
                if new:
                    recorded = utc_text(self._now())
                    self._journal.append([{**record_of(one), "recorded": recorded} for one in new])
            except OSError as error:
                return not_kept(NOT_KEPT, self.folder, error)
            self._marks += new
            return new

    def _new(self, marks: Iterable[Mark]) -> tuple[Mark, ...]:
        known = {one.task: one for one in self._marks}
        keys = {one.key for one in self._marks if one.key}
        new: list[Mark] = []
        for mark in marks:
            kept = mark_of(record_of(mark))  # as it will be read back
            if kept is None or kept.key in keys:
                continue
            before = known.get(kept.task)
            if kept.undone and (before is None or before.undone):
                continue
            if before is None or _says(before) != _says(kept) or kept.note not in ("", before.note):
                new.append(kept)
                known[kept.task] = kept
                keys |= {kept.key} - {""}
        return tuple(new)

    def _take_in(self) -> None:
        try:
            news = self._journal.news()
        except OSError:
            return
        if news.afresh:
            self._marks = []
        self._marks += [mark for line in news.lines if (mark := mark_of(line.record)) is not None]


def _says(mark: Mark) -> tuple[str, date, bool]:
    return mark.task, mark.done_on, mark.undone
