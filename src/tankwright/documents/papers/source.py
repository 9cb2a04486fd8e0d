"""What the papers of one logbook are made from, each thing asked for once and only when a paper needs it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, datetime, timedelta
from functools import cached_property
from typing import TYPE_CHECKING

from tankwright.display import printable
from tankwright.documents.papers.asked import Asked
from tankwright.drawing.paper import Paper
from tankwright.husbandry.balance_sheet import Moved
from tankwright.husbandry.records import Event, Kind
from tankwright.husbandry.register import BreedingSet, Line, Place, Quarantine, Stock
from tankwright.husbandry.stays import Stays, stays
from tankwright.husbandry.treatments import Treatment, treatments
from tankwright.room.model import Room
from tankwright.study import Study
from tankwright.workspace.census import Lives, census

if TYPE_CHECKING:  # who opens no book does not wait for its database
    from tankwright.logbook.chain import Verified
    from tankwright.logbook.store import Logbook
    from tankwright.workspace.log import RoomLog


class PaperSource:
    """The logbook, the plan it belongs to and the paper that is asked for. `revision` names the state of the plan."""

    def __init__(
        self, log: RoomLog, asked: Asked, *, room: Room | None, study: Study | None, plan_name: str, revision: str,
        now: datetime,
    ) -> None:  # fmt: skip
        self.log = log
        self.asked = asked
        self.room = room
        self.study = study
        self.plan_name = plan_name
        self.revision = revision
        self.now = now
        self._events: dict[tuple[tuple[Kind, ...], bool], tuple[Event, ...]] = {}

    @cached_property
    def book(self) -> Logbook:
        """The logbook."""
        return self.log.book

    @property
    def display(self) -> str:
        """The reader's units."""
        return self.room.display if self.room is not None else "metric"

    @property
    def title(self) -> str:
        """The room's name."""
        return self.room.title if self.room is not None and self.room.title else "Fish room"

    @property
    def paper(self) -> Paper:
        """The paper it is printed on."""
        return "Letter" if self.display == "US" else "A4"

    @property
    def foot(self) -> str:
        """What stands along the foot of every page."""
        made = f"{self.now.astimezone():%Y-%m-%d}"
        return printable(f"{self.title} · {self.plan_name}, {self.revision} · made {made}")

    @property
    def today(self) -> date:
        """The day the paper is made."""
        return self.now.astimezone().date()

    @property
    def end_said(self) -> str:
        """The last moment it tells of, in words: the end of a day that is over, or the time of today."""
        is_over = self.asked.until < self.today
        return (
            f"at the end of {self.asked.until}"
            if is_over
            else f"on {self.now.astimezone():%Y-%m-%d at %H:%M}"
        )

    @property
    def time_said(self) -> str:
        """The time the paper is of, in words."""
        since = f"from {self.asked.since}" if self.asked.since is not None else "from the first entry"
        return f"{since} to {self.asked.until}"

    # --- things ---------------------------------------------------------------------------------------------------

    @cached_property
    def places(self) -> Mapping[str, Place]:
        """All places, those that are no more too."""
        return {one.id: one for one in self.book.places(closed=True)}

    @cached_property
    def stocks(self) -> Mapping[str, Stock]:
        """All stocks there were by the end of the time."""
        return {one.id: one for one in self.book.stocks(closed=True) if one.opened <= self.asked.end}

    @cached_property
    def lines(self) -> Mapping[str, Line]:
        """All lines."""
        return {one.id: one for one in self.book.lines()}

    @cached_property
    def sets(self) -> Mapping[str, BreedingSet]:
        """All breeding sets as they were at the end of the time."""
        end = self.asked.end
        return {
            one.id: one if one.ended is None or one.ended <= end else replace(one, ended=None)
            for one in self.book.sets()
            if one.opened <= end
        }

    @cached_property
    def quarantines(self) -> tuple[Quarantine, ...]:
        """All quarantines."""
        return self.book.quarantines(closed=True)

    def place(self, name: str) -> str:
        """What a place is called."""
        return self.places[name].label if name in self.places else ""

    def stock(self, name: str) -> str:
        """What a stock is called."""
        return self.stocks[name].label if name in self.stocks else ""

    def line_of(self, stock: str) -> Line | None:
        """The line of a stock; None for none."""
        return self.lines.get(self.stocks[stock].line) if stock in self.stocks else None

    # --- what happened --------------------------------------------------------------------------------------------

    def events(self, *kinds: Kind, ever: bool = False) -> tuple[Event, ...]:
        """What stands of some kinds within the time; `ever`: from the first entry on."""
        if (kinds, ever) not in self._events:
            since = None if ever else self.asked.begin
            self._events[kinds, ever] = self.book.events(kinds=kinds, since=since, until=self.asked.end)
        return self._events[kinds, ever]

    @property
    def before(self) -> datetime | None:
        """The last moment before the time; None when it begins with the first entry."""
        return None if self.asked.begin is None else self.asked.begin - timedelta(microseconds=1)

    @cached_property
    def moved(self) -> tuple[Moved, ...]:
        """Everything that ever flowed, up to the end of the time."""
        return self.book.moved(until=self.asked.end)

    @cached_property
    def moved_within(self) -> tuple[Moved, ...]:
        """Everything that flowed within the time."""
        before = self.before
        return tuple(one for one in self.moved if before is None or one.happened > before)

    @cached_property
    def lives(self) -> tuple[Lives, ...]:
        """What lived where at the end of the time, as far as is known today."""
        return census(self.book, self.asked.end)

    @cached_property
    def stays(self) -> Stays:
        """Where all fish have been."""
        return stays(self.moved)

    @cached_property
    def courses(self) -> tuple[Treatment, ...]:
        """All treatments there ever were up to the end."""
        return treatments(self.events("treated", ever=True))

    @cached_property
    def verified(self) -> Verified:
        """Every seal of the book made anew."""
        return self.book.verify()

    def photo(self, name: str) -> tuple[bytes, str] | None:
        """A picture kept beside the book, with its ending; None when it is gone."""
        content = self.log.pictures.get(name)
        return None if content is None else (content, name.rpartition(".")[2])
