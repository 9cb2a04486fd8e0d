"""The history of a plan: `revisions.jsonl`, one line a revision, never changed once it stands.

A line holds `number` (from 1, without gaps), `at` (UTC), `kind`, `who`, `what` in words, `key` (the sender's own,
so that nothing is done twice), `hash` of the text, `over` (the hash of the text it was made from, null when there
was no file), `of` (undo, redo, restore: the number whose text stands again), and the text: either whole in `text`,
or as `start`, `removed`, `added` against the revision before it, counted in characters. Every fiftieth is whole.

A revision is written before the plan is, and `{"done": number}` behind it when the plan is in its place. So a kill
between the two leaves a revision that is not done over a plan it was made from, and the next start finishes it.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Final, Literal, get_args

from tankwright.plan.editing import plan_hash
from tankwright.workspace.disk import utc_from_text, utc_text
from tankwright.workspace.journal import Journal, Line

Kind = Literal["begin", "edit", "undo", "redo", "restore", "outside"]
WHOLE_EVERY: Final = 50
STEPS: Final = 50
_KINDS: Final[dict[object, Kind]] = {kind: kind for kind in get_args(Kind)}
_TEXTS_KEPT: Final = 8
_START: Final = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True, kw_only=True)
class Revision:
    """One state of the plan's text and how it came about. `of` is the number whose text stands again."""

    number: int
    at: datetime
    kind: Kind
    who: str
    what: str
    key: str
    hash: str
    over: str | None
    of: int | None = None


@dataclass(slots=True, kw_only=True)
class Row:
    """A revision with its place in the file, or with its record as long as it stands in no file."""

    revision: Revision
    record: dict[str, Any] | None
    offset: int = -1
    length: int = 0


@dataclass(frozen=True, slots=True)
class Step:
    """One step back or forth: to the text of revision `to`, taking back (or doing again) revision `step`."""

    to: int
    step: int


@dataclass(slots=True)
class Steps:
    """What undo and redo would do next, from the revisions alone.

    >>> def made(number, kind): return Revision(number=number, at=_START, kind=kind, who="", what="", key="",
    ...     hash="", over=None)
    >>> steps = Steps()
    >>> for number, kind in ((1, "begin"), (2, "edit"), (3, "edit"), (4, "undo")): steps.take(made(number, kind))
    >>> steps.back, steps.forth
    ([Step(to=1, step=2)], [Step(to=3, step=3)])
    """

    back: list[Step] = field(default_factory=list)
    forth: list[Step] = field(default_factory=list)
    first: bool = True

    def take(self, revision: Revision) -> None:
        """Count one more revision in."""
        before = revision.number - 1
        if revision.kind == "undo" and self.back:
            self.forth.append(Step(before, self.back.pop().step))
        elif revision.kind == "redo" and self.forth:
            self.back.append(Step(before, self.forth.pop().step))
        elif not self.first:
            self.back.append(Step(before, revision.number))
            self.forth.clear()
        self.first = False
        del self.back[:-STEPS]
        del self.forth[:-STEPS]


def delta(old: str, new: str) -> tuple[int, str, str]:
    """Where two texts begin to differ, what goes there and what comes.

    >>> delta("from_west = 15 cm", "from_west = 20 cm")
    (12, '15', '20')
    """
    start = _alike(old, new, min(len(old), len(new)))
    rest = min(len(old), len(new)) - start
    end = _alike(old[::-1], new[::-1], rest)
    return start, old[start : len(old) - end], new[start : len(new) - end]


def _alike(one: str, other: str, most: int) -> int:
    """How many characters two texts share from the start; by halves, since comparing slices is quick."""
    low, high = 0, most
    while low < high:
        middle = (low + high + 1) // 2
        if one[low:middle] == other[low:middle]:
            low = middle
        else:
            high = middle - 1
    return low


class RevisionStore:
    """The revisions of one plan. Not for several threads at once: the live plan sees to that."""

    def __init__(self, folder: Path) -> None:
        self._journal = Journal(folder / "revisions.jsonl")
        self._start_over()

    def _start_over(self) -> None:
        self.rows: list[Row] = []
        self.keys: dict[str, int] = {}
        self.steps = Steps()
        self.done = 0
        self._index: dict[int, int] = {}
        self._texts: OrderedDict[str, str] = OrderedDict()
        self._whole_next = False

    @property
    def last(self) -> Revision | None:
        """The newest revision."""
        return self.rows[-1].revision if self.rows else None

    @property
    def unfinished(self) -> Revision | None:
        """The newest revision when nothing says that its text reached the plan."""
        last = self.rows[-1] if self.rows else None
        return last.revision if last and last.record is None and last.revision.number > self.done else None

    def refresh(self, text: str) -> bool:
        """Take in what stands in the file by now; True when it is not what it was.

        `text` is the newest text known, kept when the whole history was taken away meanwhile.
        """
        news = self._journal.news()
        if not news.lines:
            if news.afresh:
                self._go_on_without(text)
            return False
        if any(row.record is not None for row in self.rows):
            # what only this process knew gives way to what another one has written down
            self._journal = Journal(self._journal.path)
            news = self._journal.news()
            self._start_over()
        elif news.afresh:
            self._start_over()
        for line in news.lines:
            self._take(line)
        last = self.last
        self._whole_next = last is not None and self.text_at(last.number) is None
        return True

    def _go_on_without(self, text: str) -> None:
        """The file was taken away: numbers go on, from the newest state, and no key is done a second time."""
        last, keys = self.last, self.keys
        self._start_over()
        if last is not None:
            self.keep(Row(revision=last, record={**_head(last), "text": text}), text)
        self.keys.update(keys)

    def _take(self, line: Line) -> None:
        done = line.record.get("done")
        if isinstance(done, int):
            self.done = max(self.done, done)
            return
        revision = _revision(line.record)
        if revision is not None and (self.last is None or revision.number > self.last.number):
            self._add(Row(revision=revision, record=None, offset=line.offset, length=line.length))

    def _add(self, row: Row) -> None:
        self._index[row.revision.number] = len(self.rows)
        self.rows.append(row)
        self.steps.take(row.revision)
        if row.revision.key:
            self.keys[row.revision.key] = row.revision.number

    def make(self, revision: Revision, before: str, text: str) -> Row:
        """The row of a revision that is still to be kept; `before` is the text of the one before it."""
        last = self.last
        start, removed, added = delta(before, text)
        whole = (
            last is None
            or self._whole_next
            or revision.number % WHOLE_EVERY == 1
            or revision.number != last.number + 1
            or last.hash != plan_hash(before)
            or len(removed) + len(added) > len(text)
        )
        change = {"text": text} if whole else {"start": start, "removed": removed, "added": added}
        return Row(revision=revision, record={**_head(revision), **change})

    def write(self, row: Row) -> None:
        """Put a row in the file, behind all that only stood in memory. Raises OSError, then none of it stands."""
        waiting = [one for one in self.rows if one.record is not None] + [row]
        places = self._journal.append([one.record for one in waiting if one.record is not None])
        for one, (offset, length) in zip(waiting, places, strict=True):
            one.offset, one.length, one.record = offset, length, None

    def take_back(self, row: Row) -> None:
        """Take a row that was written and not kept out of the file again. Raises OSError."""
        self._journal.take_back(row.offset)

    def keep(self, row: Row, text: str) -> None:
        """Count a row in, written or not; `text` is its text."""
        self._add(row)
        self._whole_next = False
        self._remember(row.revision.hash, text)

    def confirm(self, number: int) -> None:
        """Say in the file that the text of that revision is in its place. Raises OSError."""
        if number > self.done:
            self._journal.append([{"done": number}], sync=False)
            self.done = number

    def revision(self, number: int) -> Revision | None:
        """The revision of that number."""
        index = self._index.get(number)
        return None if index is None else self.rows[index].revision

    def newest_first(self, limit: int, before: int | None) -> Iterator[Revision]:
        """At most `limit` revisions with numbers below `before`, newest first."""
        for row in reversed(self.rows):
            if limit <= 0:
                return
            if before is None or row.revision.number < before:
                limit -= 1
                yield row.revision

    def text_at(self, number: int) -> str | None:
        """The text of a revision; None when there is none of that number, or its lines are damaged."""
        index = self._index.get(number)
        if index is None:
            return None
        wanted = self.rows[index].revision.hash
        text: str | None = None
        changes: list[tuple[int, str, str]] = []
        while text is None:
            row = self.rows[index]
            text = self._texts.get(row.revision.hash)
            if text is None:
                record = row.record or self._journal.record_at(row.offset, row.length) or {}
                text = _text(record)
                change = _change(record)
                if text is None:
                    if change is None or index == 0 or self.rows[index - 1].revision.number != number - 1:
                        return None
                    changes.append(change)
                    index, number = index - 1, number - 1
        for start, removed, added in reversed(changes):
            text = text[:start] + added + text[start + len(removed) :]
        if plan_hash(text) != wanted:
            return None
        self._remember(wanted, text)
        return text

    def _remember(self, name: str, text: str) -> None:
        self._texts[name] = text
        self._texts.move_to_end(name)
        while len(self._texts) > _TEXTS_KEPT:
            self._texts.popitem(last=False)


def _head(revision: Revision) -> dict[str, Any]:
    return {
        "number": revision.number, "at": utc_text(revision.at), "kind": revision.kind, "who": revision.who,
        "what": revision.what, "key": revision.key, "hash": revision.hash, "over": revision.over,
        "of": revision.of,
    }  # fmt: skip


def _revision(record: dict[str, Any]) -> Revision | None:
    """The revision of a record; None when it is none. A field that only tells may be missing."""
    number, name = record.get("number"), record.get("hash")
    told = record.get("kind")
    kind = _KINDS.get(told) if isinstance(told, str) else None
    if not isinstance(number, int) or number < 1 or kind is None or not isinstance(name, str):
        return None
    over, of = record.get("over"), record.get("of")
    try:
        at = utc_from_text(str(record.get("at")))
    except ValueError:
        at = _START
    return Revision(
        number=number, at=at, kind=kind, who=str(record.get("who") or ""), what=str(record.get("what") or ""),
        key=str(record.get("key") or ""), hash=name, over=over if isinstance(over, str) else None,
        of=of if isinstance(of, int) else None,
    )  # fmt: skip


def _text(record: dict[str, Any]) -> str | None:
    text = record.get("text")
    return text if isinstance(text, str) else None


def _change(record: dict[str, Any]) -> tuple[int, str, str] | None:
    start, removed, added = record.get("start"), record.get("removed"), record.get("added")
    if isinstance(start, int) and start >= 0 and isinstance(removed, str) and isinstance(added, str):
        return start, removed, added
    return None
