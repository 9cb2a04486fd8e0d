"""The logbook of an open plan: the door of the views to what happened in the room."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Final

from tankwright.finding import Finding
from tankwright.husbandry.records import Draft, Plain
from tankwright.husbandry.register import Place
from tankwright.logbook.ids import new_id
from tankwright.logbook.store import By, Logbook, Recorded, Refused
from tankwright.room.model import Room
from tankwright.units import convert
from tankwright.workspace.disk import folder_of, settled, utcnow

ADDRESS: Final = "TANKWRIGHT_LOGBOOK"
"""The variable of the environment that names a database elsewhere; the file beside the plan is used without it."""

_PLAN: Final = By(who="plan")


class RoomLog:
    """The logbook of one plan. The book is opened when it is first asked for."""

    def __init__(self, plan: Path, *, now: Callable[[], datetime] = utcnow) -> None:
        self.folder = folder_of(settled(plan))
        self.now = now
        self._book: Logbook | None = None
        self._of: Room | None = None

    @property
    def path(self) -> Path:
        """The file of the book beside the plan."""
        return self.folder / "logbook.sqlite"

    @property
    def book(self) -> Logbook:
        """The book itself."""
        if self._book is None:
            address = os.environ.get(ADDRESS, "")
            if not address:
                self.folder.mkdir(exist_ok=True)
            self._book = Logbook(address or self.path, now=self.now)
        return self._book

    def new_id(self) -> str:
        """A name for a new event or thing."""
        return new_id(self.now())

    def follow_plan(self, room: Room) -> tuple[Finding, ...]:
        """Bring the places of the book in step with the tanks of a room: a new tank is opened, one that stands
        elsewhere changed. A tank the plan has no more stays in the book while fish are in it, else it is closed."""
        if room is self._of:
            return ()
        drafts = self._drafts(room)
        outcome = self.book.record(drafts, _PLAN) if drafts else Recorded(events=())
        if isinstance(outcome, Refused):
            return outcome.findings
        self._of = room
        return ()

    def _drafts(self, room: Room) -> list[Draft]:
        now = self.now()
        known = {one.label: one for one in self.book.places()}
        drafts = []
        for order, tank in enumerate(room.tanks):
            wanted: dict[str, Plain] = {
                "label": tank.id, "kind": "tank", "rack": tank.rack, "shelf": tank.shelf, "zone": tank.zone,
                "litres": round(convert(tank.water_volume, "m3", "L"), 3), "order": order,
            }  # fmt: skip
            place = known.get(tank.id)
            if place is None:
                drafts.append(Draft(kind="place_opened", happened=now, place=self.new_id(), details=wanted))
                continue
            changed = {key: one for key, one in wanted.items() if getattr(place, key) != one}
            if changed:
                drafts.append(Draft(kind="place_changed", happened=now, place=place.id, details=changed))
        gone = [
            one
            for one in known.values()
            if one.kind == "tank" and one.label not in {tank.id for tank in room.tanks}
        ]
        drafts += [
            Draft(kind="place_closed", happened=now, place=one.id)
            for one in gone if not self.book.holdings(place=one.id)
        ]  # fmt: skip
        return drafts

    def place(self, tank: str) -> Place | None:
        """The place a tank of the plan is in the book."""
        return self.book.place_labelled(tank)
