"""What is shut off in a room, as its logbook and its plan say: clocks, findings, tonight's order of work."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Final

from tankwright.finding import Finding
from tankwright.husbandry.contacts import PlanTime, water_spans
from tankwright.husbandry.quarantine import Clock, quarantine_clock
from tankwright.husbandry.quarantine_findings import WENT_ON_WET, Shut, quarantine_findings
from tankwright.husbandry.records import Event, Kind
from tankwright.husbandry.register import Place, Tool
from tankwright.husbandry.round_order import RoundOrder, Stop, order_of_work
from tankwright.husbandry.shared_water import water_links
from tankwright.husbandry.shut_facts import ShutFacts
from tankwright.husbandry.walk_lengths import doors_of, spots_of
from tankwright.husbandry.zones import NORMAL, SUSPECT, TREATED, dirtiest, grade_of_zone
from tankwright.husbandry.zones import SHUT as GRADE_SHUT
from tankwright.room.model import Room
from tankwright.workspace.contact_work import EVER
from tankwright.workspace.log import RoomLog

if TYPE_CHECKING:  # who opens no book does not wait for its database
    from tankwright.logbook.store import Logbook

_BRINGS: Final[tuple[Kind, ...]] = (
    "arrived",
    "found",
    "moved",
    "regrouped",
    "left",
    "tool_used",
    "tool_cleaned",
)
KEPT_SHOWN: Final = timedelta(days=90)
"""For how long one that was opened again is still shown."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShutRoom:
    """Everything about quarantines at a moment. `order` is tonight's round: what is due, or where nothing is said to be
    due every tank with fish in it; `by_due` tells which."""

    clocks: tuple[Clock, ...]
    findings: tuple[Finding, ...]
    places: Mapping[str, Place]
    tools: tuple[Tool, ...]
    order: RoundOrder
    by_due: bool

    def called(self, name: str) -> str:
        """What a place is called."""
        place = self.places.get(name)
        return place.label if place else name

    @property
    def open(self) -> tuple[Clock, ...]:
        """Those that are still shut."""
        return tuple(one for one in self.clocks if one.quarantine.released is None)


def shut_room(
    log: RoomLog, room: Room, times: tuple[PlanTime, ...], now: datetime, *, been: str = ""
) -> ShutRoom | None:
    """What is shut off in a room at `now`; None while nothing was ever kept. `been` is the tank one has just worked at,
    with hands not washed since."""
    book = log.kept
    if book is None:
        return None
    places = {one.id: one for one in book.places()}
    ids = {one.label: one.id for one in places.values()}
    quarantines = [
        one
        for one in book.quarantines(closed=True)
        if one.released is None or now - one.released < KEPT_SHOWN
    ]
    since = min((one.opened for one in quarantines), default=now)
    events = book.events(kinds=_BRINGS, since=since, until=now)
    shut_names = {places[name].label for one in quarantines for name in one.places if name in places}
    spans = water_spans([_towards(one, shut_names) for one in times] if quarantines else (), ids)
    clocks = tuple(
        quarantine_clock(one, events, spans, now)
        for one in sorted(quarantines, key=lambda one: (one.released is not None, one.opened))
    )
    tools = book.tools()
    shut = Shut(clocks=clocks, events=events, places=places, tools={one.id: one for one in tools})
    findings = quarantine_findings(shut)  # of ids: named below, as the drawing knows its tanks
    suspect = {place for one in findings if one.code == WENT_ON_WET for place in one.places[1:]}
    treated = _treated(book, now)
    held = {one.place for one in book.holdings() if one.held > 0}
    due = {one.task.place for one in book.due(_tonight(now)) if one.task.place}
    chosen = due or held | {place for clock in clocks for place in clock.quarantine.places}
    stops = stops_of(room, [one for one in places.values() if one.id in chosen], clocks, suspect, treated)
    before = stops_of(room, [one for one in places.values() if one.label == been], clocks, suspect, treated)
    doors = doors_of(room)
    order = order_of_work(stops, start=doors[0] if doors else None, been=before, doors=doors)
    findings = tuple(
        replace(one, places=tuple(places[name].label if name in places else name for name in one.places))
        for one in findings
    )
    return ShutRoom(
        clocks=clocks, findings=findings, places=places, tools=tools, order=order, by_due=bool(due)
    )


def _towards(time: PlanTime, names: Iterable[str]) -> PlanTime:
    """A state of the plan with only the links that lead to these tanks, over however many others."""
    into: dict[str, list[str]] = {}
    for link in time.links:
        into.setdefault(link.target, []).append(link.source)
    seen = set(names)
    waiting = list(seen)
    while waiting:
        for source in into.get(waiting.pop(), ()):
            if source not in seen:
                seen.add(source)
                waiting.append(source)
    return replace(time, links=tuple(link for link in time.links if link.target in seen))


def shut_facts(log: RoomLog, room: Room, now: datetime) -> ShutFacts:
    """What the drawing shows of quarantines, by the plan as it is now."""
    found = shut_room(log, room, (PlanTime(begin=EVER, end=None, links=water_links(room)),), now)
    if found is None:
        return ShutFacts()
    names = {
        one.id: tuple(found.called(place) for place in one.places)
        for one in (c.quarantine for c in found.open)
    }
    apart = {name for tanks in names.values() for name in tanks}
    joined = frozenset(found.called(place) for clock in found.open for place in clock.water) - apart
    return ShutFacts(
        shut=tuple((clock, names[clock.quarantine.id]) for clock in found.open), joined=joined,
        findings=found.findings,
    )  # fmt: skip


def stops_of(
    room: Room,
    places: Iterable[Place],
    clocks: Iterable[Clock],
    suspect: Iterable[str] = (),
    treated: Iterable[str] = (),
) -> tuple[Stop, ...]:
    """Places as stops of a round, each as clean as its zone, its quarantine, its treatment and what reached it are."""
    unit = {
        place: clock.quarantine.id
        for clock in clocks
        if clock.quarantine.released is None
        for place in clock.quarantine.places
    }
    spots, suspect, treated = spots_of(room), set(suspect), set(treated)
    shut_zones = {zone.id for zone in room.zones if zone.quarantine}
    found = []
    for place in places:
        grades = [grade_of_zone(place.zone, quarantine=place.zone in shut_zones)]
        if place.id in unit:
            grades.append(GRADE_SHUT)
        if place.id in suspect:
            grades.append(SUSPECT)
        if place.id in treated:
            grades.append(TREATED)
        grade = dirtiest(grades)
        apart = unit.get(place.id) or (place.zone if place.zone in shut_zones else "")
        found.append(Stop(
            id=place.id, place=place.label, grade=grade or NORMAL, unit=apart, spot=spots.get(place.label),
            order=place.order,
        ))  # fmt: skip
    return tuple(found)


def _treated(book: Logbook, now: datetime) -> set[str]:
    """Places whose treatment is not over."""

    def lasts(event: Event) -> float:
        days = event.details.get("days")
        return float(days) if isinstance(days, int | float) else 1.0

    kind: tuple[Kind, ...] = ("treated",)
    events = book.events(kinds=kind, since=now - timedelta(days=60), until=now)
    return {one.place for one in events if one.happened + timedelta(days=lasts(one)) >= now}


def _tonight(now: datetime) -> datetime:
    """The end of the day of whoever works, as the clock on the wall has it."""
    here = now.astimezone()
    return here.replace(hour=23, minute=59, second=59)
