"""Contacts of an open plan: what the logbook and the plan's own history say could have carried something."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Final

from tankwright.finding import Finding, Severity
from tankwright.husbandry.contact_trace import Carriers, Trace, trace_contacts
from tankwright.husbandry.contacts import (
    WET_WORK,
    HandsContact,
    PlanTime,
    contacts_of,
    hands_contacts,
    water_spans,
)
from tankwright.husbandry.records import Kind
from tankwright.husbandry.register import Place, Tool
from tankwright.husbandry.shared_water import WaterLink, water_links
from tankwright.plan.editing import plan_hash
from tankwright.room.model import Room
from tankwright.workspace.disk import folder_of, settled
from tankwright.workspace.log import RoomLog
from tankwright.workspace.opened import lay_text
from tankwright.workspace.revisions import Revision, RevisionStore

if TYPE_CHECKING:  # who opens no book does not wait for its database
    from tankwright.logbook.store import Logbook

NO_PLACE: Final = "TRACE-01"
BEFORE_THE_BOOK: Final = "TRACE-02"
NOBODY_MADE: Final = "TRACE-03"
CUT_OFF: Final = "TRACE-04"

CARRY: Final[tuple[Kind, ...]] = ("moved", "regrouped", "tool_used", "tool_cleaned")
HANDS_AT: Final[tuple[Kind, ...]] = (*WET_WORK, "tool_used", "tool_cleaned")
MOST_WORK: Final = 60_000
"""Entries of hands at work that are looked through; in a hall the newest of them."""
EVER: Final = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True, kw_only=True)
class Traced:
    """A trace with what belongs to it: hands apart, names of places and tools, and what is to be known of it."""

    trace: Trace
    hands: tuple[HandsContact, ...]
    names: dict[str, str]
    stocks: dict[str, str]
    findings: tuple[Finding, ...]

    def called(self, name: str) -> str:
        """What a place or a tool is called; a vat keeps the name of the plan."""
        return self.names.get(name, name)

    def stock(self, name: str) -> str:
        """What a stock is called."""
        return self.stocks.get(name, name)


def plan_times(
    revisions: Iterable[Revision],
    text_at: Callable[[int], str | None],
    now_room: Room | None,
    path: Path,
    since: datetime,
) -> tuple[PlanTime, ...]:
    """The links of water of every state the plan was in from `since` on. `revisions` are the newest first.

    Before the oldest the plan counts as it was then; a state that could not be laid out leaves the one before it
    standing. The newest is `now_room` where there is one, so that nothing is laid out twice.
    """
    times: list[PlanTime] = []
    end: datetime | None = None
    newest = True
    for one in revisions:
        links = water_links(now_room) if newest and now_room is not None else _links_of(one, text_at, path)
        newest = False
        if links is None:
            continue
        times.append(PlanTime(begin=one.at, end=end, links=links))
        end = one.at
        if one.at <= since:
            break
    if not times:
        return (PlanTime(begin=EVER, end=None, links=water_links(now_room)),) if now_room is not None else ()
    oldest = times[-1]
    times[-1] = PlanTime(begin=min(EVER, oldest.begin), end=oldest.end, links=oldest.links)
    return tuple(reversed(times))


def plan_times_of_file(path: Path, room: Room, since: datetime) -> tuple[PlanTime, ...]:
    """The same for a plan that is not open, without writing anything. Where its text was changed since its history was
    last kept, what it says now and what it said then both count from that moment on: nobody knows when it changed."""
    store = RevisionStore(folder_of(settled(path)))
    store.refresh("")
    known = tuple(store.newest_first(len(store.rows), None))
    try:
        unchanged = bool(known) and plan_hash(path.read_text("utf-8")) == known[0].hash
    except (OSError, UnicodeError):
        unchanged = False
    if not known or unchanged:
        return plan_times(known, store.text_at, room, path, since)
    before = plan_times(known, store.text_at, None, path, since)
    return (*before, PlanTime(begin=known[0].at if before else EVER, end=None, links=water_links(room)))


def _links_of(
    one: Revision, text_at: Callable[[int], str | None], path: Path
) -> tuple[WaterLink, ...] | None:
    text = text_at(one.number)
    return None if text is None else _links_in(text, path)


@lru_cache(maxsize=256)
def _links_in(text: str, path: Path) -> tuple[WaterLink, ...] | None:
    room = lay_text(path, text).room
    return None if room is None else water_links(room)


def carriers_of(
    book: Logbook, times: tuple[PlanTime, ...], since: datetime, until: datetime
) -> tuple[Carriers, dict[str, Place], dict[str, Tool]]:
    """All that could carry between two moments, with the places and tools of the book by their ids."""
    places = {one.id: one for one in book.places(closed=True)}
    tools = {one.id: one for one in book.tools()}
    ids = {one.label: one.id for one in sorted(places.values(), key=lambda one: one.closed is None)}
    made = Carriers(
        contacts=contacts_of(book.events(kinds=CARRY, since=since, until=until)),
        spans=water_spans(times, ids), tools=tuple(tools.values()),
    )  # fmt: skip
    return made, places, tools


def traced(
    log: RoomLog,
    tank: str,
    times: tuple[PlanTime, ...],
    *,
    since: datetime,
    until: datetime,
    back: bool = False,
) -> Traced | Finding:
    """A trace from a tank of the plan; a finding where the book has no place of that name."""
    book = log.kept
    place = None if book is None else book.place_labelled(tank)
    if book is None or place is None:
        return Finding(
            code=NO_PLACE, severity=Severity.PROBLEM, subject=f"tank {tank}", text="is not in the logbook",
            reason="nothing was written down of it", remedy="choose one of the room's tanks", found=tank,
            wanted="a tank of this room",
        )  # fmt: skip
    carriers, places, tools = carriers_of(book, times, since, until)
    trace = trace_contacts(place.id, since, until, carriers, back=back)
    work = book.events(
        kinds=HANDS_AT, since=since, until=until, limit=MOST_WORK,
        newest_first=True,
    )  # fmt: skip
    hands = hands_contacts(work, trace.times(), back=back, until=until)
    names = {one.id: one.label for one in places.values()} | {one.id: one.label for one in tools.values()}
    stocks = {one.id: one.label for one in book.stocks(closed=True)}
    return Traced(
        trace=trace, hands=hands, names=names, stocks=stocks,
        findings=tuple(_to_know(book, carriers, tools, since, cut=len(work) >= MOST_WORK)),
    )  # fmt: skip


def _to_know(
    book: Logbook, carriers: Carriers, tools: dict[str, Tool], since: datetime, *, cut: bool
) -> Iterable[Finding]:
    first = next(iter(book.events(limit=1)), None)
    if first is None or first.happened - since > timedelta(days=1):
        yield Finding(
            code=BEFORE_THE_BOOK, severity=Severity.NOTE, subject="the logbook",
            text="begins later than the asked day; what was before is not known",
            reason="what nobody wrote down cannot be followed", remedy="enter moves you remember with their day",
        )  # fmt: skip
    strange = sorted(
        {one.tool for one in carriers.contacts if one.tool and one.tool not in tools} - {"hands"}
    )
    if strange:
        yield Finding(
            code=NOBODY_MADE, severity=Severity.NOTE, subject=", ".join(strange[:5]),
            text="is used and was never written down as a tool; it counts as wet for a day",
            reason="how long it stays wet decides whom it reached", remedy="write it down as a tool with its hours",
        )  # fmt: skip
    if cut:
        yield Finding(
            code=CUT_OFF, severity=Severity.NOTE, subject="hands",
            text="were looked for only in the newest entries of so long a time",
            reason="everybody touches everything in the end", remedy="ask for fewer days",
        )  # fmt: skip
