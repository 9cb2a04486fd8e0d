"""Papers made for the app: each state of logbook, plan and day once; long ones as slow work that can be watched."""

from __future__ import annotations

import hashlib
from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from threading import Lock
from typing import Final
from urllib.parse import parse_qsl, urlencode

from tankwright.documents.papers.all import Made, make_paper
from tankwright.documents.papers.asked import FIELDS, Asked, asked_for
from tankwright.documents.papers.source import PaperSource
from tankwright.finding import Finding
from tankwright.workspace.jobs import Progress
from tankwright.workspace.live import LivePlan
from tankwright.workspace.log import RoomLog
from tankwright.workspace.opened import Opened

KIND: Final = "paper"
QUICK: Final = 8_000
"""Entries up to which a paper is made while its reader waits: about two seconds on a slow machine, by measurement."""
_KEPT: Final = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """A paper that can be made of a state: what it is, how slow work calls it, and a mark of all it rests on."""

    asked: Asked
    thing: str
    mark: str

    @property
    def kind(self) -> str:
        """The kind of slow work that makes it."""
        return f"{KIND}:{self.thing}"


def thing_of(said: Mapping[str, str]) -> str:
    """What is said of a paper as one text, the same for the same choices.

    >>> thing_of({"what": "census", "until": "2026-08-02", "line": ""})
    'census?until=2026-08-02'
    """
    chosen = [(name, said[name].strip()) for name in FIELDS if said.get(name, "").strip()]
    return f"{said.get('what', '')}?{urlencode(chosen)}"


def said_in(thing: str) -> dict[str, str]:
    """The same back.

    >>> said_in("census?until=2026-08-02")
    {'what': 'census', 'until': '2026-08-02'}
    """
    what, _, chosen = thing.partition("?")
    return {"what": what, **{name: value for name, value in parse_qsl(chosen) if name in FIELDS}}


class KeptPapers:
    """The papers of one plan, a few kept."""

    def __init__(self, live: LivePlan, log: RoomLog, now: Callable[[], datetime]) -> None:
        self._live, self._log, self._now = live, log, now
        self._lock = Lock()
        self._kept: OrderedDict[str, Made] = OrderedDict()

    def wanted(self, said: Mapping[str, str]) -> Wanted | tuple[Finding, ...]:
        """The paper that is asked for, or everything that is wrong with it."""
        now = self._now()
        book = self._log.kept
        asked = asked_for(book, said, now, plan=self._live.path.name)
        if not isinstance(asked, Asked) or book is None:
            return asked if isinstance(asked, tuple) else ()
        thing = thing_of(said)
        state = (
            f"{thing}\0{book.newest_serial()}\0{self._live.snapshot.good_number}\0{now.astimezone():%Y-%m-%d}"
        )
        mark = hashlib.sha256(state.encode("utf-8", "replace")).hexdigest()[:32]
        return Wanted(asked=asked, thing=thing, mark=mark)

    @property
    def is_quick(self) -> bool:
        """Whether a paper is made while its reader waits."""
        book = self._log.kept
        return book is None or book.newest_serial() <= QUICK

    def known(self, wanted: Wanted) -> Made | None:
        """The paper, when it was made."""
        with self._lock:
            if wanted.mark in self._kept:
                self._kept.move_to_end(wanted.mark)
            return self._kept.get(wanted.mark)

    def make(self, wanted: Wanted, opened: Opened | None, progress: Progress | None = None) -> Made:
        """The paper, made unless it was before."""
        known = self.known(wanted)
        if known is not None:
            return known
        snapshot = self._live.snapshot
        source = PaperSource(
            self._log, wanted.asked, room=opened.room if opened is not None else None,
            study=opened.study if opened is not None else None, plan_name=self._live.path.name,
            revision=f"plan {snapshot.good_number}" if snapshot.good is opened else "an older plan", now=self._now(),
        )  # fmt: skip
        made = make_paper(source, progress)
        with self._lock:
            self._kept[wanted.mark] = made
            while len(self._kept) > _KEPT:
                self._kept.popitem(last=False)
        return made

    def work(self, opened: Opened, thing: str, progress: Progress) -> object:
        """The paper of that name as slow work: its mark, or what is wrong with it."""
        wanted = self.wanted(said_in(thing))
        if not isinstance(wanted, Wanted):
            return wanted
        self.make(wanted, opened, progress)
        return wanted.mark
