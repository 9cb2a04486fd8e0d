"""A plan that people work on: edits one after the other, each on the disk before it is confirmed.

`snapshot` is what every page shows; asking for it never waits. An edit is written at once; the room is then worked
out for the newest text only, so of many edits in a row the latest wins and the others do not queue up. What another
program writes into the file, or another process of this one into the history, is taken in as a revision like any.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from threading import Event, Lock
from typing import Final

from tankwright.plan.changes import Change
from tankwright.plan.editing import plan_hash
from tankwright.workspace.compare import Comparison, compare_opened
from tankwright.workspace.deciding import Clash, Decide, Decision, Desk, Done, No
from tankwright.workspace.disk import utcnow
from tankwright.workspace.ledger import Head, Ledger
from tankwright.workspace.opened import Opened
from tankwright.workspace.outcomes import Applied, Conflict, Outcome, Refused, Snapshot
from tankwright.workspace.revisions import Revision
from tankwright.workspace.shelf import Shelf

__all__ = ["Applied", "Change", "Conflict", "LivePlan", "Outcome", "Refused", "Snapshot"]

_LOOK_BACK: Final = 50
_LOG: Final = logging.getLogger(__name__)


class LivePlan:
    """One plan file, open for as many people as there are threads.

    A missing file is revision 0 with an empty text. Opening writes nothing, except to finish an edit that a kill
    cut in two. `now` is the clock; `shelf` holds what was worked out.
    """

    def __init__(self, path: Path, *, now: Callable[[], datetime] = utcnow) -> None:
        self.path = path
        self.shelf = Shelf(path)
        self.idle = Event()  # set while no edit is on its way: slow work goes on only then
        self.idle.set()
        self._edits = 0
        self._edits_lock = Lock()
        self._lock = Lock()  # the ledger; never waits for working out
        self._work_lock = Lock()
        self._listeners: dict[int, Callable[[int], None]] = {}
        self._listened = 0
        self._ledger = Ledger(path, self.shelf, now)
        self._desk = Desk(self._ledger, self.shelf)
        head = self._ledger.open()
        self._version = head.version
        opened = self.shelf.open(head.text)
        good, good_number = self._good_before(opened, head)
        self._snapshot = _snapshot(head, opened, good, good_number)

    @property
    def snapshot(self) -> Snapshot:
        """The newest state that is worked out; never waits."""
        return self._snapshot

    @property
    def folder(self) -> Path:
        """Where history, book, settings and prices stand; it may not be there yet."""
        return self._ledger.folder

    def edit(self, change: Change, *, base: int, key: str, who: str) -> Outcome:
        """Make a change that was decided on looking at revision `base`.

        Applied, or Conflict when there is a newer revision, or Refused with findings: what cannot be applied,
        and a change of one value after which the plan has new mistakes or no room any more. A change of the
        whole text is always stored. The same `key` is never done twice ("" is no key).
        """
        return self._commit(self._desk.edit(change, base=base, key=key, who=who))

    def undo(self, *, base: int, key: str, who: str) -> Outcome:
        """Take the newest step back."""
        return self._commit(self._desk.step("undo", base=base, key=key, who=who))

    def redo(self, *, base: int, key: str, who: str) -> Outcome:
        """Do the step again that was taken back last."""
        return self._commit(self._desk.step("redo", base=base, key=key, who=who))

    def restore(self, number: int, *, base: int, key: str, who: str) -> Outcome:
        """Go back to the text of an old revision; the one way to bring back a file that is gone."""
        return self._commit(self._desk.restore(number, base=base, key=key, who=who))

    def begin(self, text: str, *, who: str, key: str) -> Outcome:
        """Write the first plan where no file is."""
        return self._commit(self._desk.begin(text, key=key, who=who))

    def reread(self) -> bool:
        """See what others did to the file meanwhile; True when there is something new to show.

        A text that cannot be read is taken in at the second look, so that a file caught half written is not.
        """
        with self._lock:
            if not self._ledger.seems_changed():
                return False
        with self._busy():
            with self._lock:
                changed = self._ledger.take_in()
            if changed:
                self._work()
        return changed

    def revisions(self, limit: int = 50, before: int | None = None) -> tuple[Revision, ...]:
        """At most `limit` revisions, newest first, with numbers below `before`."""
        with self._lock:
            return tuple(self._ledger.store.newest_first(limit, before))

    def text_at(self, number: int) -> str | None:
        """The text of a revision; None when there is no such one."""
        with self._lock:
            return self._ledger.store.text_at(number)

    def opened_at(self, number: int) -> Opened | None:
        """A revision worked out; None when there is no such one."""
        snapshot = self._snapshot
        if number == snapshot.number:
            return snapshot.read
        text = self.text_at(number)
        return None if text is None else self.shelf.open(text)

    def compare(self, a: int, b: int) -> Comparison | None:
        """What changed from revision `a` to revision `b`; None when one of them is not known."""
        old, new = self.text_at(a), self.text_at(b)
        if old is None or new is None:
            return None
        return compare_opened(a, b, (old, self.shelf.open(old)), (new, self.shelf.open(new)))

    def subscribe(self, listener: Callable[[int], None]) -> Callable[[], None]:
        """Have a function called with the number of each new snapshot; what is given back ends that.

        It is called from the thread that worked it out, and once more with the same number when only `trouble`
        changed.
        """
        with self._edits_lock:
            self._listened += 1
            number = self._listened
            self._listeners[number] = listener
        return lambda: self._leave(number)

    def _leave(self, number: int) -> None:
        with self._edits_lock:
            self._listeners.pop(number, None)

    def _commit(self, decide: Decide) -> Outcome:
        with self._busy():
            with self._lock:
                decision: Decision = self._ledger.commit(decide)
            snapshot = self._work()
        if isinstance(decision, Clash):
            return Conflict(snapshot=snapshot, yours=decision.yours, theirs=decision.theirs)
        if isinstance(decision, Done):
            return Applied(snapshot=snapshot, number=decision.number, repeated=decision.repeated)
        findings = decision.findings if isinstance(decision, No) else ()
        return Refused(snapshot=snapshot, findings=findings)

    def _work(self) -> Snapshot:
        """Work the newest text out, unless another thread just did."""
        with self._work_lock:
            with self._lock:
                head = self._ledger.head()
            if head.version == self._version:
                return self._snapshot
            opened = self.shelf.open(head.text)
            known = self._snapshot
            good, good_number = (
                (opened, head.number) if opened.room is not None else (known.good, known.good_number)
            )
            snapshot = _snapshot(head, opened, good, good_number)
            self._snapshot = snapshot
            self._version = head.version
        with self._edits_lock:
            listeners = tuple(self._listeners.values())
        for listener in listeners:
            try:
                listener(snapshot.number)
            except Exception:
                _LOG.exception("a listener failed")
        return snapshot

    def _good_before(self, opened: Opened, head: Head) -> tuple[Opened | None, int | None]:
        """The newest state with a room, for a plan that is broken when it is opened."""
        if opened.room is not None:
            return opened, head.number
        for revision in self._ledger.store.newest_first(_LOOK_BACK, head.number):
            text = self._ledger.store.text_at(revision.number)
            if text is not None and self.shelf.lay(text).room is not None:
                return self.shelf.open(text), revision.number
        return None, None

    @contextmanager
    def _busy(self) -> Iterator[None]:
        with self._edits_lock:
            self._edits += 1
            self.idle.clear()
        try:
            yield
        finally:
            with self._edits_lock:
                self._edits -= 1
                if not self._edits:
                    self.idle.set()


def _snapshot(head: Head, opened: Opened, good: Opened | None, good_number: int | None) -> Snapshot:
    return Snapshot(
        number=head.number, text=head.text, hash=plan_hash(head.text), at=head.at, who=head.who, what=head.what,
        read=opened, good=good, good_number=good_number, undo_steps=head.undo_steps, redo_steps=head.redo_steps,
        trouble=head.trouble,
    )  # fmt: skip
