"""What is asked of a plan, decided: write it, refuse it, or say that it came too late or came before."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final, Literal, Protocol

from tankwright.finding import Finding, Severity
from tankwright.plan.changes import Change, MoveRack, current_value
from tankwright.plan.editing import plan_hash
from tankwright.units import clip
from tankwright.workspace.outcomes import (
    GONE,
    NO_SUCH_REVISION,
    NOTHING_TO_UNDO,
    THERE_ALREADY,
    trouble,
)
from tankwright.workspace.plan_file import look, unfit
from tankwright.workspace.revisions import Kind, RevisionStore
from tankwright.workspace.shelf import Shelf

_LONGEST_KEY: Final = 200
_MOST_NOTHINGS: Final = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """A text to write as the next revision, over a file with the hash `over` (None: over no file)."""

    text: str
    kind: Kind
    who: str
    what: str
    key: str
    over: str | None
    of: int | None = None

    @property
    def hash(self) -> str:
        """The hash of the text."""
        return plan_hash(self.text)


@dataclass(frozen=True, slots=True)
class Done:
    """It stands as that revision."""

    number: int
    repeated: bool = False


@dataclass(frozen=True, slots=True)
class Clash:
    """Made from another revision than the newest: both values."""

    yours: str
    theirs: str


@dataclass(frozen=True, slots=True)
class No:
    """It cannot be done, and why."""

    findings: tuple[Finding, ...]


Decision = Wanted | Done | Clash | No
Decide = Callable[[], Decision]


class Book(Protocol):
    """What a decision is made on: the newest text, its history, and what is wrong with the file."""

    @property
    def store(self) -> RevisionStore: ...
    @property
    def text(self) -> str: ...
    @property
    def number(self) -> int: ...
    @property
    def trouble(self) -> Finding | None: ...
    @property
    def place(self) -> Path: ...


class Desk:
    """Makes decisions ready to be taken once the newest state is known and held still."""

    def __init__(self, book: Book, shelf: Shelf) -> None:
        self._book = book
        self._shelf = shelf
        self._nothings: OrderedDict[str, int] = OrderedDict()  # keys of edits that changed nothing

    def edit(self, change: Change, *, base: int, key: str, who: str) -> Decide:
        """A change of the text."""
        key = _key(key)

        def decide() -> Decision:
            book = self._book
            early = self._came_before(key) or self._in_trouble()
            if early is not None:
                return early
            made = change.apply(book.text)
            if base != book.number:
                return self._clash(change, made.text)
            if made.text is None:
                return No(made.findings)
            if made.text == book.text and book.number:
                return self._nothing(key)
            wrong = unfit(made.text, clip(book.place.name))
            worse = () if change.path == () or wrong is not None else self._worse(made.text)
            if wrong is not None or worse:
                return No(worse if wrong is None else (wrong,))
            what = change.says(book.text)
            return self._wanted(made.text, "edit" if book.number else "begin", who, what, key)

        return decide

    def step(self, kind: Literal["undo", "redo"], *, base: int, key: str, who: str) -> Decide:
        """One step back or forth."""
        key = _key(key)

        def decide() -> Decision:
            book = self._book
            early = self._came_before(key) or self._in_trouble() or self._came_late(base, kind)
            if early is not None:
                return early
            steps = book.store.steps.back if kind == "undo" else book.store.steps.forth
            if not steps:
                return No((trouble(NOTHING_TO_UNDO, "the plan", f"has nothing to {kind}"),))
            text = book.store.text_at(steps[-1].to)
            if text is None:
                return No((_no_such(steps[-1].to),))
            done = book.store.revision(steps[-1].step)
            what = f"{kind}: {done.what}" if done is not None else kind
            return self._wanted(text, kind, who, what, key, of=steps[-1].to)

        return decide

    def restore(self, number: int, *, base: int, key: str, who: str) -> Decide:
        """The text of an old revision again, also where the file is gone."""
        key = _key(key)

        def decide() -> Decision:
            book = self._book
            missing = book.trouble is not None and book.trouble.code == GONE
            early = (
                self._came_before(key)
                or (None if missing else self._in_trouble())
                or self._came_late(base, f"back to {number}")
            )
            if early is not None:
                return early
            text = book.store.text_at(number)
            if text is None:
                return No((_no_such(number),))
            if text == book.text and not missing:
                return self._nothing(key)
            wanted = self._wanted(text, "restore", who, f"back to {number}", key, of=number)
            return replace(wanted, over=None) if missing else wanted

        return decide

    def begin(self, text: str, *, key: str, who: str) -> Decide:
        """The first text where no file is."""
        key = _key(key)

        def decide() -> Decision:
            book = self._book
            early = self._came_before(key)
            if early is not None:
                return early
            name = clip(book.place.name)
            if not look(book.place).missing:
                there = trouble(
                    THERE_ALREADY, name, "is there already; nothing was written over it",
                    wanted="a name no file has yet",
                )  # fmt: skip
                return No((there,))
            wrong = unfit(text, name)
            if wrong is not None:
                return No((wrong,))
            return replace(self._wanted(text, "begin", who, "begun", key), over=None)

        return decide

    def _wanted(
        self, text: str, kind: Kind, who: str, what: str, key: str, *, of: int | None = None
    ) -> Wanted:
        last = self._book.store.last
        over = None if last is None else last.hash
        return Wanted(text=text, kind=kind, who=who, what=what, key=key, over=over, of=of)

    def _came_before(self, key: str) -> Done | None:
        number = self._book.store.keys.get(key, self._nothings.get(key)) if key else None
        return None if number is None else Done(number, repeated=True)

    def _in_trouble(self) -> No | None:
        return None if self._book.trouble is None else No((self._book.trouble,))

    def _came_late(self, base: int, yours: str) -> Clash | None:
        return None if base == self._book.number else Clash(yours, self._newest())

    def _newest(self) -> str:
        last = self._book.store.last
        return "" if last is None else last.what

    def _nothing(self, key: str) -> Done:
        """An edit that changes nothing leaves no revision; its key is known as long as this process lives."""
        if key:
            self._nothings[key] = self._book.number
            while len(self._nothings) > _MOST_NOTHINGS:
                self._nothings.popitem(last=False)
        return Done(self._book.number)

    def _clash(self, change: Change, made: str | None) -> Clash:
        """Both values as they are written; in words where a change is of no single value."""
        text = self._book.text
        if change.path == ():
            return Clash(made or "", text)
        yours, theirs = current_value(made or text, change.path) or "", current_value(text, change.path) or ""
        if made is None or yours == theirs or isinstance(change, MoveRack):  # the last has several values
            return Clash(change.says(text), self._newest())
        return Clash(yours, theirs)

    def _worse(self, text: str) -> tuple[Finding, ...]:
        """The problems a text has that the newest does not: in reading, or that leave it without a room."""
        before, after = self._shelf.lay(self._book.text), self._shelf.lay(text)
        known = {_same(one) for one in before.read.findings}
        worse = tuple(one for one in _problems(after.read.findings) if _same(one) not in known)
        if worse or before.room is None or after.room is not None:
            return worse
        return after.read.findings if after.laid is None else after.laid.findings


def _problems(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    stopping = (Severity.PROBLEM, Severity.NOT_COMPUTED)  # the latter: the program failed at it
    return tuple(one for one in findings if one.severity in stopping)


def _same(finding: Finding) -> tuple[str, str, str, str]:
    """What makes two mistakes the same one, wherever their lines have moved to."""
    return (finding.code, finding.subject, finding.text, finding.found)


def _no_such(number: int) -> Finding:
    return trouble(
        NO_SUCH_REVISION, f"revision {number}", "is not in the history, or its lines are damaged",
        wanted="a revision the history shows",
    )  # fmt: skip


def _key(key: str) -> str:
    """A sender's key, short enough to keep."""
    return key if len(key) <= _LONGEST_KEY else plan_hash(key)
