"""What can carry something from tank to tank, told as contacts: fish moved, tools dipped and cleaned, water shared."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Final, Literal

from tankwright.husbandry.records import Event, Kind
from tankwright.husbandry.shared_water import LinkKind, WaterLink

ContactKind = Literal["moved", "dipped", "cleaned"]

IN_THE_BAG: Final = "bag:"
"""How the name of a place begins that is no place: fish on their way, by their stock."""

HANDS_HOURS: Final = 1.0
"""For how long hands that were in a tank's water are taken to carry something. Common practice, no source."""

HANDS: Final = "hands"
"""The tool that is cleaned where somebody writes that hands were washed."""

WET_WORK: Final[frozenset[Kind]] = frozenset({
    "arrived", "born", "found", "died", "culled", "left", "moved", "regrouped", "counted", "estimated", "spawned",
    "measured", "tested", "treated", "cleaned", "culture_started", "culture_ended", "set_made", "set_ended",
})  # fmt: skip
"""Kinds of work at which hands are likely to have been in the water, or on what was in it. Looking and feeding are not
among them. Common practice, no source."""

_ZERO: Final = datetime(1970, 1, 1, tzinfo=UTC)


def microseconds(moment: datetime) -> int:
    """A moment as microseconds since 1970, UTC; exact.

    >>> microseconds(datetime(1970, 1, 2, tzinfo=UTC))
    86400000000
    """
    since = moment - _ZERO
    return (since.days * 86_400 + since.seconds) * 1_000_000 + since.microseconds


def moment_of(at: int) -> datetime:
    """The moment of microseconds since 1970; the other way of `microseconds`.

    >>> moment_of(86400000000).day
    2
    """
    seconds, rest = divmod(at, 1_000_000)
    return datetime.fromtimestamp(seconds, UTC).replace(microsecond=rest)


@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """One thing that can carry. Of `moved` fish went from `source` to `target`; a tool was `dipped` in `target`; a
    tool was `cleaned`. `at` is microseconds since 1970, UTC; `event` and `stock` are ids."""

    at: int
    kind: ContactKind
    source: str = ""
    target: str = ""
    tool: str = ""
    event: str = ""
    stock: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterSpan:
    """Water could get from `source` to `target` all the time from `begin` to `end` (None: to this day)."""

    source: str
    target: str
    kind: LinkKind
    certain: bool
    through: str
    begin: int
    end: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanTime:
    """The links of a plan as they stood from `begin` until `end` (None: to this day)."""

    begin: datetime
    end: datetime | None
    links: tuple[WaterLink, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HandsContact:
    """The same person worked in `source` and then in `target` within the hour, and no washing is written between."""

    who: str
    source: str
    target: str
    before: datetime
    at: datetime


def contacts_of(events: Iterable[Event]) -> tuple[Contact, ...]:
    """Every contact in events that stand, in the order of time.

    Fish moved by a tool are a dip of it at both ends as well, a microsecond later where they were put, so that it
    carried nothing back. Fish of a regrouping go from each place that gives to
    each that gains. Fish in a bag go from its place into the bag and from there on.

    >>> from tankwright.husbandry.facts import moved
    >>> draft = moved("s", "A1", "A2", 3, datetime(2026, 8, 2, tzinfo=UTC))
    >>> event = Event(**{name: getattr(draft, name) for name in ("kind", "happened", "place", "stock", "flows")},
    ...               id="e", serial=1, recorded=draft.happened, who="")
    >>> [(one.source, one.target) for one in contacts_of([event])]
    [('A1', 'A2')]
    """
    found = [one for event in events for one in _contacts(event)]
    found.sort(key=lambda one: one.at)
    return tuple(found)


def _contacts(event: Event) -> Iterator[Contact]:
    at = microseconds(event.happened)
    tool = str(event.details.get("tool") or "")
    if event.kind == "tool_cleaned" and tool:
        yield Contact(at=at, kind="cleaned", tool=tool, event=event.id)
        return
    if event.kind == "tool_used" and tool and event.place:
        yield Contact(at=at, kind="dipped", target=event.place, tool=tool, event=event.id)
        return
    if event.kind not in {"moved", "regrouped"}:
        return
    pairs = _pairs(event)
    for source, target, stock in pairs:
        yield Contact(at=at, kind="moved", source=source, target=target, event=event.id, stock=stock)
    if tool:  # first where the fish were caught, then where they were put: it carried nothing the other way
        caught = dict.fromkeys(source for source, _, _ in pairs)
        put = dict.fromkeys(target for _, target, _ in pairs if target not in caught)
        for later, place in (*((0, one) for one in caught), *((1, one) for one in put)):
            if not place.startswith(IN_THE_BAG):
                yield Contact(at=at + later, kind="dipped", target=place, tool=tool, event=event.id)


def _pairs(event: Event) -> tuple[tuple[str, str, str], ...]:
    """From where to where fish went, with the stock they went as (or into)."""
    given: list[tuple[str, str]] = []
    taken: list[tuple[str, str]] = []
    for flow in event.flows:
        place = (
            flow.place
            if flow.account == "held"
            else IN_THE_BAG + flow.stock
            if flow.account == "transit"
            else ""
        )
        if place and flow.quantity:
            (given if flow.quantity < 0 else taken).append((place, flow.stock))
    alone = event.kind == "moved"
    return tuple(dict.fromkeys(
        (source, target, stock)
        for source, before in given
        for target, stock in taken
        if source != target and (not alone or before == stock)
    ))  # fmt: skip


def water_spans(times: Sequence[PlanTime], ids: Mapping[str, str]) -> tuple[WaterSpan, ...]:
    """The links of every state of a plan as spans of time between places of the logbook; `ids` has a place's id by
    its plan's name. Spans that follow each other without a gap become one; what the logbook has no place for keeps its
    name.

    >>> link = WaterLink(source="A1", target="A2", kind="sump", certain=True, through="")
    >>> first, second = (datetime(2026, 8, day, tzinfo=UTC) for day in (1, 2))
    >>> times = [PlanTime(begin=first, end=second, links=(link,)), PlanTime(begin=second, end=None, links=(link,))]
    >>> len(water_spans(times, {})), water_spans(times, {"A1": "p1"})[0].source
    (1, 'p1')
    """
    spans: dict[WaterLink, list[tuple[int, int | None]]] = {}
    for time in sorted(times, key=lambda one: one.begin):
        begin = microseconds(time.begin)
        end = None if time.end is None else microseconds(time.end)
        if not spans:  # the first state, often the only one, and of a hall with many links
            spans = {link: [(begin, end)] for link in time.links}
            continue
        for link in time.links:
            known = spans.setdefault(link, [])
            if known and known[-1][1] is not None and known[-1][1] >= begin:
                known[-1] = (known[-1][0], end)
            elif not known or known[-1][1] is not None:
                known.append((begin, end))
    return tuple(
        WaterSpan(
            source=ids.get(link.source, link.source), target=ids.get(link.target, link.target), kind=link.kind,
            certain=link.certain, through=link.through, begin=begin, end=end,
        )
        for link, known in spans.items()
        for begin, end in known
    )  # fmt: skip


def hands_contacts(
    events: Iterable[Event],
    reached: Mapping[str, datetime],
    *,
    back: bool = False,
    until: datetime | None = None,
    hours: float = HANDS_HOURS,
) -> tuple[HandsContact, ...]:
    """Tanks somebody's hands were in within `hours` of a reached one: whether they carried anything nobody knows.

    `reached` are the places of a trace with their times: forward the earliest from which they could have passed it on,
    with `back` the latest at which they could have taken it. Each pair of person and tank is told once, at its first
    time, of a trace back its last. Nothing after `until` is looked at.

    >>> hands_contacts([], {"A1": datetime(2026, 8, 2, tzinfo=UTC)})
    ()
    """
    touched: dict[str, list[tuple[datetime, str]]] = {}
    for event in events:
        if not event.who or (until is not None and event.happened > until):
            continue
        if event.kind == "tool_cleaned" and event.details.get("tool") == HANDS:
            touched.setdefault(event.who, []).append((event.happened, ""))
        elif event.kind in WET_WORK or event.kind == "tool_used":
            places = {event.place, *(flow.place for flow in event.flows)} - {""}
            touched.setdefault(event.who, []).extend((event.happened, place) for place in sorted(places))
    found: dict[tuple[str, str], HandsContact] = {}
    for who, times in sorted(touched.items()):
        times.sort(key=lambda one: (one[0], one[1] != ""), reverse=back)
        for contact in _of_one(who, times, reached, back, hours):
            found.setdefault((who, contact.source if back else contact.target), contact)
    return tuple(sorted(found.values(), key=lambda one: one.at, reverse=back))


def _of_one(
    who: str, times: Sequence[tuple[datetime, str]], reached: Mapping[str, datetime], back: bool, hours: float
) -> Iterator[HandsContact]:
    """One person's contacts; `times` in order, the newest first where it goes back."""
    last: tuple[datetime, str] | None = None
    for at, place in times:
        if not place:
            last = None  # washed
        elif place in reached:
            if at <= reached[place] if back else at >= reached[place]:
                last = at, place
        elif last is not None and abs((at - last[0]).total_seconds()) <= hours * 3600:
            source, target = (place, last[1]) if back else (last[1], place)
            before, after = sorted((at, last[0]))
            yield HandsContact(who=who, source=source, target=target, before=before, at=after)
