"""The logbook of an open plan: the door of the views to what happened in the room."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from datetime import date, datetime
from pathlib import Path
from threading import RLock, Thread
from typing import TYPE_CHECKING, Final

from tankwright.finding import Finding, Severity
from tankwright.husbandry.records import Draft, Plain
from tankwright.husbandry.register import Place
from tankwright.logbook.ids import new_id
from tankwright.logbook.outcome import ONLY_READ, By, NoLogbookError, Refused, trouble
from tankwright.logbook.pictures import Pictures
from tankwright.room.model import Room
from tankwright.units import convert
from tankwright.workspace.disk import folder_of, settled, utcnow, why
from tankwright.workspace.entries_before import NAME, take_in_entries

if TYPE_CHECKING:  # the store brings its database along: only who opens a book waits for that
    from tankwright.logbook.store import Logbook

ADDRESS: Final = "TANKWRIGHT_LOGBOOK"
"""The variable of the environment that names a database elsewhere; the file beside the plan is used without it."""

NOT_IN_PLAN: Final = "LOG-25"


class RoomLog:
    """The logbook of one plan, for many threads. The book is opened when it is first asked for, and whenever it is
    asked for it is brought in step with the room that `room` gives, the last good one."""

    def __init__(
        self,
        plan: Path,
        *,
        now: Callable[[], datetime] = utcnow,
        room: Callable[[], Room | None] = lambda: None,
    ) -> None:
        self.folder = folder_of(settled(plan))
        self.now = now
        self.trouble: tuple[Finding, ...] = ()
        self._room = room
        self._book: Logbook | None = None
        self._of: Room | None = None
        self._backed_up: date | None = None
        self.not_backed_up: tuple[Finding, ...] = ()
        self._lock = RLock()

    @property
    def path(self) -> Path:
        """The file of the book beside the plan."""
        return self.folder / "logbook.sqlite"

    @property
    def pictures(self) -> Pictures:
        """The pictures beside the book."""
        return Pictures(self.folder / "pictures")

    @property
    def is_elsewhere(self) -> bool:
        """True for a book on a server."""
        return bool(os.environ.get(ADDRESS, ""))

    @property
    def is_there(self) -> bool:
        """False while nothing was ever kept: then a page that only looks opens, and makes, no book."""
        return (
            self._book is not None or self.is_elsewhere or self.path.exists() or (self.folder / NAME).exists()
        )

    @property
    def book(self) -> Logbook:
        """The book itself, made when there is none yet; in step with the plan. Raises NoLogbookError when it cannot
        be had."""
        book = self._opened()
        room = self._room()
        if room is not None and room is not self._of:
            self.trouble = self.follow_plan(room)
        return book

    @property
    def kept(self) -> Logbook | None:
        """The book, or None while nothing was ever kept: for pages that only look."""
        return self.book if self.is_there else None

    def _opened(self) -> Logbook:
        with self._lock:
            if self._book is None:
                from tankwright.logbook.store import Logbook  # noqa: PLC0415 - see above

                address = os.environ.get(ADDRESS, "")
                if not address:
                    self._make_folder()
                where: str | Path = address or self.path
                book = Logbook(where, now=self.now)
                if not book.read_only:
                    take_in_entries(self.folder, book)
                self._book = book
            self._back_up(self._book)
            return self._book

    def _make_folder(self) -> None:
        try:
            self.folder.mkdir(exist_ok=True)
        except OSError as error:
            raise NoLogbookError(
                trouble(ONLY_READ, "cannot be made: its folder cannot", found=why(error),
                        wanted="a folder that may be written")
            ) from error  # fmt: skip

    def _back_up(self, book: Logbook) -> None:
        """The first time a day that the book is asked for it is backed up, while whoever asked goes on."""
        day = self.now().date()
        if self._backed_up == day or book.path is None:
            return
        self._backed_up = day

        def work() -> None:
            self.not_backed_up = book.back_up()

        Thread(
            target=work, name="backup of the logbook"
        ).start()  # the program does not end in the midst of it

    @property
    def room(self) -> Room | None:
        """The room of the last good plan; None when there is none, or nobody said."""
        return self._room()

    def new_id(self) -> str:
        """A name for a new event or thing."""
        return new_id(self.now())

    def follow_plan(self, room: Room) -> tuple[Finding, ...]:
        """Bring the places of the book in step with the tanks of a room: a new tank is opened, one that stands
        elsewhere changed. A tank the plan has no more stays in the book while fish are in it, else it is closed."""
        with self._lock:
            if room is self._of:
                return ()
            book = self._opened()
            drafts = list(self._drafts(book, room))
            outcome = book.record(drafts, By(who="plan")) if drafts else None
            self._of = room  # also when it was refused: asked again with the next room, not with every page
        return outcome.findings if isinstance(outcome, Refused) else ()

    def _drafts(self, book: Logbook, room: Room) -> Iterator[Draft]:
        now = self.now()
        known = {one.label: one for one in book.places()}
        for order, tank in enumerate(room.tanks):
            wanted: dict[str, Plain] = {
                "label": tank.id, "kind": "tank", "rack": tank.rack, "shelf": tank.shelf, "zone": tank.zone,
                "litres": round(convert(tank.water_volume, "m3", "L"), 3), "order": order,
            }  # fmt: skip
            place = known.get(tank.id)
            if place is None:
                yield Draft(kind="place_opened", happened=now, place=self.new_id(), details=wanted)
                continue
            changed = {key: one for key, one in wanted.items() if getattr(place, key) != one}
            if changed:
                yield Draft(kind="place_changed", happened=now, place=place.id, details=changed)
        lived_in = {one.place for one in book.holdings() if one.held}
        for place in _gone(room, known.values()):
            if place.id not in lived_in:
                yield Draft(kind="place_closed", happened=now, place=place.id)

    def astray(self) -> tuple[Place, ...]:
        """Tanks with fish in them that the plan has no more: renamed there, or taken out too early."""
        book, room = self.kept, self._room()
        if book is None or room is None:
            return ()
        lived_in = {one.place for one in book.holdings() if one.held}
        return tuple(one for one in _gone(room, book.places()) if one.id in lived_in)

    def place(self, tank: str) -> Place | None:
        """The place a tank of the plan is in the book."""
        return self.book.place_labelled(tank)


def _gone(room: Room, places: Iterable[Place]) -> list[Place]:
    """Tanks among places that the room has not."""
    there = {tank.id for tank in room.tanks}
    return [one for one in places if one.kind == "tank" and one.label not in there]


def astray_finding(place: Place) -> Finding:
    """What is said of a tank with fish in it that the plan has no more."""
    return Finding(
        code=NOT_IN_PLAN, severity=Severity.WARNING, subject=place.label, places=(place.label,),
        text="has fish in the book and is not in the plan",
        reason="The plan calls its tanks otherwise, or has lost one that is lived in; the book keeps its fish.",
        remedy="say what it is called now, or move its fish",
    )  # fmt: skip
