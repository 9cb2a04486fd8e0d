"""Plan file and history kept in step: the only writer of both. Used by one thread at a time.

The order of a write: the revision, synced; the plan, renamed into its place; the mark that it is done. A kill before
the first leaves nothing; between first and second, the next start puts the plan in its place; after the second all
is there. A write that the disk refuses takes its revision back before anyone hears of it.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import ExitStack, suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Final

from tankwright.finding import Finding
from tankwright.plan.writing import CHANGED_MEANWHILE, write_plan
from tankwright.units import clip
from tankwright.workspace.deciding import Clash, Decide, Decision, Done, No, Wanted
from tankwright.workspace.disk import BusyError, folder_of, held, settled, sync_folder, why
from tankwright.workspace.outcomes import NOT_STORED, trouble
from tankwright.workspace.plan_file import OnDisk, gone, look, may_not_write, signature, sweep
from tankwright.workspace.revisions import Kind, Revision, RevisionStore
from tankwright.workspace.shelf import Shelf

_LONGEST_WHO: Final = 80
_LONGEST_WHAT: Final = 300


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """The newest state. `version` is another one whenever anything in it is."""

    version: int
    number: int
    text: str
    at: datetime
    who: str
    what: str
    undo_steps: int
    redo_steps: int
    trouble: Finding | None


class Ledger:
    """The newest text of one plan, its history and its file."""

    def __init__(self, path: Path, shelf: Shelf, now: Callable[[], datetime]) -> None:
        self.place = settled(path)
        self.folder = folder_of(self.place)
        self.store = RevisionStore(self.folder)
        self.text = ""
        self.trouble: Finding | None = None
        self._shelf = shelf
        self._now = now
        self._opened = now()
        self._version = 0
        self._half_read = ""  # the hash of a text that was seen once and could not be read
        self._seen: tuple[object, object] | None = None

    @property
    def number(self) -> int:
        """The newest number; 0 when there never was a plan."""
        last = self.store.last
        return 0 if last is None else last.number

    def head(self) -> Head:
        """The newest state."""
        last, steps = self.store.last, self.store.steps
        return Head(
            version=self._version, number=self.number, text=self.text, trouble=self.trouble,
            at=self._opened if last is None else last.at, who="" if last is None else last.who,
            what="" if last is None else last.what, undo_steps=len(steps.back), redo_steps=len(steps.forth),
        )  # fmt: skip

    def open(self) -> Head:
        """Take in what is there, and finish what a kill cut in two."""
        self.take_in(patient=False)
        return self.head()

    def seems_changed(self) -> bool:
        """False when neither file nor history was touched since they were last taken in."""
        return bool(self._half_read) or self._seen is None or self._seen != self._signatures()

    def take_in(self, *, patient: bool = True) -> bool:
        """Take in what others did to file and history; True when the head is another one.

        With `patient` a text that cannot be read has to be met twice.
        """
        before = self._version
        try:
            with ExitStack() as stack:
                self._sync(self._hold(stack), patient=patient)
        except BusyError:
            if not before and not self.number:
                self._sync(locked=False, patient=patient)
        except OSError:
            self._sync(locked=False, patient=patient)
        return self._version != before

    def commit(self, decide: Decide) -> Decision:
        """Take in what others did, decide, and write what is wanted."""
        try:
            with ExitStack() as stack:
                locked = self._hold(stack)
                self._sync(locked)
                decision = decide()
                if not isinstance(decision, Wanted):
                    return decision
                refused = may_not_write(self.place)
                if refused is not None:
                    return No((refused,))
                if not locked:
                    self.folder.mkdir(exist_ok=True)
                    self._hold(stack)
                    self._sync(locked=True)  # another process may have been first
                    decision = decide()
                if not isinstance(decision, Wanted):
                    return decision
                written = self._write(decision)
                if isinstance(written, Clash):
                    again = decide()  # what was asked, seen over what overtook it: says both values
                    return written if isinstance(again, Wanted) else again
                return written
        except OSError as error:
            return No((self._not_stored(error),))

    def _hold(self, stack: ExitStack) -> bool:
        """Hold the folder, if there is one."""
        if not self.folder.is_dir():
            return False
        stack.enter_context(held(self.folder))
        return True

    def _signatures(self) -> tuple[object, object]:
        return signature(self.place), signature(self.folder / "revisions.jsonl")

    def _sync(self, locked: bool, patient: bool = False) -> None:
        seen = self._signatures()
        if self.store.refresh(self.text):
            self._version += 1
            self.text = (self.store.text_at(self.number) if self.number else "") or ""
        disk = look(self.place)
        settled_now = self._take(disk, locked=locked, patient=patient)
        self._half_read = "" if settled_now else disk.hash
        # a file written again within one tick of its clock looks untouched, so what was just written is read again
        self._seen = seen if seen == self._signatures() and self._is_old(seen[0]) else None

    def _is_old(self, seen: object) -> bool:
        if not isinstance(seen, tuple):
            return True
        return bool(abs(self._now().timestamp() * 1e9 - max(seen[3], seen[4])) > 2e9)

    def _take(self, disk: OnDisk, *, locked: bool, patient: bool) -> bool:
        """Bring the newest text in line with the file; False when it should be looked at once more."""
        last, unfinished = self.store.last, self.store.unfinished if locked else None
        if disk.missing and unfinished is not None and unfinished.over is None and self._finish(unfinished):
            return True
        if disk.missing or disk.wrong is not None:
            self._say(disk.wrong or (gone(self.place) if last is not None else None))
            return True
        if last is not None and disk.hash == last.hash:
            if unfinished is not None:
                self._confirm(unfinished.number)
            if self.text != disk.text:
                self.text = disk.text  # its lines were damaged, and here it is
                self._version += 1
            self._say(None)
            return True
        if unfinished is not None and disk.hash == unfinished.over and self._finish(unfinished):
            return True
        readable = self._shelf.lay(disk.text).read.plan is not None
        if patient and not readable and self._half_read != disk.hash:
            return False
        self._outside(disk.text, disk.hash, locked=locked)
        return True

    def _say(self, finding: Finding | None) -> None:
        if finding != self.trouble:
            self.trouble = finding
            self._version += 1

    def _finish(self, revision: Revision) -> bool:
        """Put the text of a revision in its place, which a kill had left undone."""
        text = self.store.text_at(revision.number)
        if text is None:
            return False
        sweep(self.place)
        if write_plan(self.place, text, revision.over):
            return False
        sync_folder(self.place.parent)
        self._confirm(revision.number)
        self.text = text
        self.trouble = None
        self._version += 1
        return True

    def _confirm(self, number: int) -> None:
        with suppress(OSError):  # the next revision says it too
            self.store.confirm(number)

    def _outside(self, text: str, name: str, *, locked: bool) -> None:
        """A text nobody gave to this program: another revision. Without a folder it stands in memory only."""
        last = self.store.last
        kind: Kind = "begin" if last is None else "outside"
        what = "as it was found" if last is None else "changed outside"
        revision = Revision(
            number=self.number + 1, at=self._now(), kind=kind, who="", what=what, key="", hash=name,
            over=None if last is None else last.hash,
        )  # fmt: skip
        row = self.store.make(revision, self.text, text)
        if locked:
            with suppress(OSError):
                self.store.write(row)
                self.store.confirm(revision.number)
        self.store.keep(row, text)
        self.text = text
        self.trouble = None
        self._version += 1

    def _write(self, wanted: Wanted) -> Decision:
        number = self.number + 1
        revision = Revision(
            number=number, at=self._now(), kind=wanted.kind, who=clip(wanted.who, _LONGEST_WHO),
            what=clip(wanted.what, _LONGEST_WHAT), key=wanted.key, hash=wanted.hash, over=wanted.over,
            of=wanted.of,
        )  # fmt: skip
        row = self.store.make(revision, self.text, wanted.text)
        self.store.write(row)
        try:
            findings = write_plan(self.place, wanted.text, wanted.over)
            if not findings:
                sync_folder(self.place.parent)
                self.store.keep(row, wanted.text)
                self.text = wanted.text
                self.trouble = None
                self._version += 1
                self._seen = None
                self._confirm(number)
                return Done(number)
        except BaseException:
            self.store = RevisionStore(self.folder)  # interrupted: the files say how far it came
            self._seen = None
            raise
        self.store.take_back(row)
        if findings[0].code == CHANGED_MEANWHILE:
            self._sync(locked=True)
            return Clash(wanted.what, self.store.last.what if self.store.last else "")
        return No(findings)

    def _not_stored(self, error: OSError) -> Finding:
        name = clip(self.folder.name)
        if isinstance(error, BusyError):
            return trouble(
                NOT_STORED, name, "is held by another program that is writing there",
                wanted="one writer at a time", attempt="try again in a moment",
            )  # fmt: skip
        return trouble(
            NOT_STORED, name, f"cannot be written: {clip(why(error))}", wanted="a folder you may write"
        )
