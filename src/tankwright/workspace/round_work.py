"""The round of a room: what is due in the order it is worked at, work done and taken back, by the logbook's door."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING, Final

from tankwright.drawing.layer_due import DueHere
from tankwright.finding import Finding, Severity
from tankwright.husbandry.records import Draft
from tankwright.husbandry.register import DueTask, Place, Quarantine, Task
from tankwright.husbandry.round_order import Stop, Wash, order_of_work
from tankwright.husbandry.rounds import (
    DayOf,
    DueItem,
    Upcoming,
    done,
    due_list,
    in_order,
    is_unusual,
    read_number,
    unusual,
    upcoming,
)
from tankwright.husbandry.walk_lengths import doors_of, spots_of
from tankwright.husbandry.zones import grade_of_zone
from tankwright.logbook.outcome import By, Recorded, Refused
from tankwright.room.model import Room
from tankwright.study import Study
from tankwright.units import convert
from tankwright.workspace.log import RoomLog

if TYPE_CHECKING:
    from tankwright.logbook.store import Logbook

NO_TASK: Final = "ROUND-03"
TAKEN_BACK: Final = "taken back"
MOST_STOPS: Final = 150
"""Above so many stops the plan's own order is walked, quarantines last: a shorter walk would take seconds to find."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """What is due: the items in the order of work, their places, and before which place hands are washed.

    `until` is the day up to which it was asked; `count` is how much work there is in all that comes again.
    """

    items: tuple[DueItem, ...] = ()
    places: Mapping[str, Place]
    washes: frozenset[str] = frozenset()
    shut: tuple[Quarantine, ...] = ()
    until: date
    today: date

    @property
    def open(self) -> tuple[DueItem, ...]:
        """What can be done now: late or due, not held."""
        return tuple(one for one in self.items if one.state in ("late", "due"))

    def label(self, place: str) -> str:
        """A place as its owner calls it; "" for the room."""
        known = self.places.get(place)
        return known.label if known is not None else ""

    def stops(self) -> tuple[str, ...]:
        """Places with work, in the order of work; "" is the room."""
        ordered = sorted(self.open, key=lambda one: one.order)
        return tuple(dict.fromkeys(one.task.place for one in ordered))


def litres_a_day(study: Study | None) -> Mapping[str, float]:
    """What each feed of the plan passes in a day, by its id."""
    if study is None or study.feed is None:
        return {}
    return {one.run: convert(one.volume_a_day, "m3", "L") for one in study.feed.runs}


def due_of(
    log: RoomLog, now: datetime, day_of: DayOf, *, study: Study | None = None, until: date | None = None
) -> Due:
    """What is due by the end of a day, today when none is said; nothing where no book was ever kept."""
    today = day_of(now)
    wanted = today if until is None else until
    book = log.kept
    if book is None:
        return Due(places={}, until=wanted, today=today)
    from tankwright.logbook.rounds_asked import (  # noqa: PLC0415 - loads the database
        rotating_tasks,
        tasks_by_litres,
        tasks_due,
    )

    horizon = datetime.combine(wanted, time(), tzinfo=UTC) + timedelta(
        days=2
    )  # no clock is further off than that
    known = {one.task.id: one for one in (*tasks_due(book, horizon), *tasks_by_litres(book))}
    rotating = rotating_tasks(book) if any(one.task.rotation for one in known.values()) else ()
    places = {one.id: one for one in book.places()}
    shut = book.quarantines()
    items = due_list(
        known.values(), now, day_of=day_of, until=wanted, rotating=rotating, litres_a_day=litres_a_day(study)
    )
    order, washes = _order(items, places, shut, study.room if study is not None else None)
    turned = in_order(items, order)
    return Due(items=turned, places=places, washes=washes, shut=shut, until=wanted, today=today)


def _order(
    items: Sequence[DueItem], places: Mapping[str, Place], shut: Sequence[Quarantine], room: Room | None
) -> tuple[dict[str, int], frozenset[str]]:
    """The turn of every place with work, clean before dirty, and the places before which hands are washed."""
    wanted = dict.fromkeys(one.task.place for one in items if one.state in ("late", "due") and one.task.place)
    zones = {zone.id for zone in room.zones if zone.quarantine} if room is not None else set()
    unit = {place: one.id for one in shut for place in one.places}
    spots = spots_of(room) if room is not None else {}
    stops = [
        Stop(id=place.id, place=place.label, unit=unit.get(place.id, ""), spot=spots.get(place.label),
             order=place.order,
             grade=grade_of_zone(place.zone, quarantine=place.id in unit or place.zone in zones))
        for name in wanted
        if (place := places.get(name)) is not None
    ]  # fmt: skip
    if len(stops) > MOST_STOPS or room is None:
        ordered = sorted(stops, key=lambda one: (one.grade == "quarantine", one.unit, one.order))
        return {one.id: number for number, one in enumerate(ordered, 1)}, frozenset()
    doors = doors_of(room)
    first = min((one for one in stops if one.spot is not None), key=lambda one: one.order, default=None)
    start = doors[0] if doors else first.spot if first is not None else None
    parts = order_of_work(stops, start=start, doors=doors).parts
    stopped = [one for one in parts if isinstance(one, Stop)]
    washed = frozenset(one.before.id for one in parts if isinstance(one, Wash))
    return {one.id: number for number, one in enumerate(stopped, 1)}, washed


def upcoming_of(
    log: RoomLog, day_of: DayOf, first: date, last: date, *, study: Study | None = None
) -> tuple[Upcoming, ...]:
    """What falls due from one day to another when everything is done each time; nothing where no book was kept."""
    book = log.kept
    if book is None:
        return ()
    horizon = datetime.combine(last, time(), tzinfo=UTC) + timedelta(days=2)
    from tankwright.logbook.rounds_asked import tasks_by_litres, tasks_due  # noqa: PLC0415 - loads the database

    known = {one.task.id: one for one in (*tasks_due(book, horizon), *tasks_by_litres(book))}
    labels = {one.id: one.label for one in book.places()}
    return upcoming(known.values(), labels, day_of, first, last, litres_a_day=litres_a_day(study))


# --- done ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Asks:
    """Nothing was kept: a number is unusual, and its sender is asked whether it is as read."""

    finding: Finding


def do_tasks(
    log: RoomLog, ids: Iterable[str], by: By, *, happened: datetime, typed: str = "", sure: bool = False,
    note: str = "",
) -> Recorded | Refused | Asks:  # fmt: skip
    """Say that work was done: several tasks without numbers in one go, or one with what was read.

    A number outside its usual range is asked about once; `sure` says that it is as read.
    """
    from tankwright.logbook.rounds_asked import tasks_named  # noqa: PLC0415 - loads the database

    book = log.book
    if by.key and (before := book.by_key(by.key)) is not None:
        return Recorded(events=(before,), repeated=True)
    wanted = [one for one in dict.fromkeys(ids) if one]
    known = {one.task.id: one.task for one in tasks_named(book, wanted)}
    lost = [one for one in wanted if one not in known]
    if lost or not wanted:
        return Refused(findings=(no_task(lost[0] if lost else ""),))
    tasks = [known[name] for name in wanted]
    drafts = []
    for task in tasks:
        value = None
        if task.quantity and len(tasks) == 1:
            read = read_number(task, typed) if typed.strip() else None
            if isinstance(read, Finding):
                return Refused(findings=(read,))
            value = read
        elif typed.strip() and len(tasks) == 1:
            return Refused(findings=(_no_number(task, typed),))
        if value is not None and is_unusual(task, value) and not sure:
            place = book.place(task.place) if task.place else None
            return Asks(finding=unusual(task, value, place.label if place is not None else ""))
        drafts.append(
            done(task, happened, value=value, note=note, looked=bool(task.quantity) and value is None)
        )
    return book.record(drafts, by)


def take_back(log: RoomLog, key: str, by: By, now: datetime) -> Recorded | Refused:
    """Take back what was recorded under a key, all of it; taken back twice is once."""
    from tankwright.logbook.listing import in_batch, voided_by  # noqa: PLC0415 - loads the database

    book = log.book
    first = book.by_key(key)
    if first is None or first.kind == "voided":
        return Refused(findings=(no_task("", "there is nothing of that to take back"),))
    events = in_batch(book, first.batch) or (first,)
    gone = voided_by(book, (one.id for one in events))
    drafts = [
        Draft(kind="voided", happened=now, voids=one.id, reason=TAKEN_BACK, place=one.place, stock=one.stock,
              line=one.line)
        for one in events if one.id not in gone
    ]  # fmt: skip
    return book.record(drafts, by) if drafts else Recorded(events=tuple(gone.values()), repeated=True)


def stands(book: Logbook, key: str) -> Task | None:
    """The task that was done under a key and still stands so; of several the first. None when it does not."""
    from tankwright.logbook.listing import voided_by  # noqa: PLC0415 - loads the database

    event = book.by_key(key) if key else None
    if event is None or event.kind != "task_done" or voided_by(book, (event.id,)):
        return None
    named = str(event.details.get("task", ""))
    return next((one for one in book.tasks(closed=True) if one.id == named), None)


def tasks_here(log: RoomLog, place: str) -> tuple[DueTask, ...]:
    """All work of one place that goes on."""
    from tankwright.logbook.rounds_asked import tasks_at  # noqa: PLC0415 - loads the database

    book = log.kept
    return () if book is None else tasks_at(book, place)


def no_task(name: str, text: str = "is work that is not known, or was stopped") -> Finding:
    """What is said of work that is not there."""
    return Finding(
        code=NO_TASK, severity=Severity.PROBLEM, subject=f'task "{name[:40]}"' if name else "work", text=text,
        wanted="work of the list", found=name[:40],
    )  # fmt: skip


def _no_number(task: Task, typed: str) -> Finding:
    return Finding(
        code="ROUND-02", severity=Severity.PROBLEM, subject=task.label, text="takes no number",
        wanted="done, with a note if there is more to say", found=typed.strip()[:40],
    )  # fmt: skip


def due_facts(log: RoomLog, room: Room, now: datetime) -> tuple[DueHere, ...]:
    """What the layer of the drawing shows of each tank at which work comes again."""
    due = due_of(log, now, lambda moment: moment.astimezone().date())
    book = log.kept
    if book is None:
        return ()
    known = {due.label(one.place) for one in book.tasks() if one.place}
    found = []
    for tank in room.tanks:
        if tank.id not in known:
            continue
        mine = [one for one in due.open if due.label(one.task.place) == tank.id]
        found.append(DueHere(
            tank=tank.id, work=tuple(one.task.label for one in mine), late=sum(one.state == "late" for one in mine),
            days_late=max((one.days_late for one in mine), default=0),
        ))  # fmt: skip
    return tuple(found)
