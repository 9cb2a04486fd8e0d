"""Who could have it, and where it could have come from: a trace through contacts in the order of time.

No tank is named that could not be: every chain goes forward in time, a tool carries only while it is wet, water only
while the plan had it run that way.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cache
from typing import Any, Final, Literal

import numpy as np

from tankwright.compiling import compile_loop
from tankwright.husbandry import contact_kernel
from tankwright.husbandry.contact_kernel import NEVER
from tankwright.husbandry.contact_table import ContactTable, contact_table, turned
from tankwright.husbandry.contacts import IN_THE_BAG, Contact, WaterSpan, microseconds, moment_of
from tankwright.husbandry.disinfection import WET_HOURS
from tankwright.husbandry.register import Tool

INTERPRETED_ITEMS: Final = 150_000
"""Items up to which going through them interpreted wins over loading the compiler (measured: 0.3 s each)."""

Carrier = Literal["fish", "tool", "water"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Hop:
    """One step of a chain: from `source` to `target` at `at`.

    `left` is when a tool was in `source` last, for others the same as `at`. `tool` and `stock` are ids; `through` and
    `kind` are of water; `events` the ids it is known from.
    """

    carrier: Carrier
    source: str
    target: str
    left: datetime
    at: datetime
    tool: str = ""
    stock: str = ""
    through: str = ""
    kind: str = ""
    certain: bool = True
    events: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Reached:
    """A place that could have it, or could have given it. `at` is the earliest moment it could have been reached; in a
    trace back the latest at which it could still have passed it on. `chain` is in the order of time. `certain` is False
    where water has to have gone a way it only goes when something goes wrong."""

    place: str
    at: datetime
    chain: tuple[Hop, ...]
    certain: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Trace:
    """What could have been reached from `place` between `since` and `until`, or, `back`, from where it could have come.
    In the order of time, what is certain before what is only possible."""

    place: str
    since: datetime
    until: datetime
    back: bool
    reached: tuple[Reached, ...]

    def times(self, *, possible: bool = True) -> dict[str, datetime]:
        """Every place of the trace with its time, the one it began at too."""
        own = self.until if self.back else self.since
        return {self.place: own} | {one.place: one.at for one in self.reached if possible or one.certain}


@dataclass(frozen=True, slots=True, kw_only=True)
class Carriers:
    """All that can carry: contacts in the order of time, water that is shared, the tools with how long they stay wet.
    A tool nobody made stays wet for `wet_hours`."""

    contacts: Sequence[Contact] = ()
    spans: tuple[WaterSpan, ...] = ()
    tools: tuple[Tool, ...] = ()
    wet_hours: float = WET_HOURS


def trace_contacts(
    place: str, since: datetime, until: datetime, carriers: Carriers, *, back: bool = False
) -> Trace:
    """A trace from `place`, ill since `since`, to all it could have reached by `until`; with `back` from all it could
    have it from, found ill at `until`, nothing looked at before `since`.

    >>> from datetime import UTC
    >>> day = [datetime(2026, 8, n, tzinfo=UTC) for n in range(1, 5)]
    >>> move = Contact(at=microseconds(day[1]), kind="moved", source="A1", target="A2")
    >>> [one.place for one in trace_contacts("A1", day[0], day[3], Carriers(contacts=[move])).reached]
    ['A2']
    >>> trace_contacts("A1", day[2], day[3], Carriers(contacts=[move])).reached
    ()
    """
    sure = replace(carriers, spans=tuple(span for span in carriers.spans if span.certain))
    made = Trace(place=place, since=since, until=until, back=back, reached=())
    certain = _reached(made, sure, certain=True)
    possible: tuple[Reached, ...] = ()
    if len(sure.spans) < len(carriers.spans):
        known = {one.place for one in certain}
        possible = tuple(one for one in _reached(made, carriers, certain=False) if one.place not in known)
    return replace(made, reached=(*certain, *possible))


def _reached(asked: Trace, carriers: Carriers, *, certain: bool) -> tuple[Reached, ...]:
    back = asked.back
    table = contact_table(
        carriers.contacts, carriers.spans, carriers.tools, wet_hours=carriers.wet_hours, places=(asked.place,)
    )
    way = walk_table(
        turned(table) if back else table, asked.place, microseconds(asked.since), microseconds(asked.until)
    )
    found = []
    for number in np.flatnonzero(way.reached != NEVER).tolist():
        name = table.places[number]
        if name != asked.place and not name.startswith(IN_THE_BAG):
            at = moment_of(-int(way.reached[number]) if back else int(way.reached[number]))
            chain = way.chain(number, carriers.contacts, carriers.spans)
            found.append(Reached(place=name, at=at, chain=chain, certain=certain))
    found.sort(key=lambda one: (one.at, one.place), reverse=back)
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """What the pass through a table left: when each place was reached and by what."""

    table: ContactTable
    reached: Any
    via_place: Any
    via_item: Any
    via_dip: Any

    def chain(self, number: int, contacts: Sequence[Contact], spans: Sequence[WaterSpan]) -> tuple[Hop, ...]:
        """The steps between the beginning and a place, in the order of time."""
        table, hops = self.table, []
        while self.via_item[number] != -1:
            hops.append(self._hop(number, contacts, spans))
            number = int(self.via_place[number])
        return tuple(hops if table.back else reversed(hops))

    def _hop(self, number: int, contacts: Sequence[Contact], spans: Sequence[WaterSpan]) -> Hop:
        table = self.table
        here, there = table.places[int(self.via_place[number])], table.places[number]
        source, target = (there, here) if table.back else (here, there)
        item = int(self.via_item[number])
        if item < -1:
            span = spans[int(table.span[-2 - item])]
            at = int(self.reached[number])
            moment = moment_of(-at if table.back else at)
            return Hop(carrier="water", source=source, target=target, left=moment, at=moment, through=span.through,
                       kind=span.kind, certain=span.certain)  # fmt: skip
        contact = contacts[int(table.origin[item])]
        moment = moment_of(contact.at)
        if contact.kind == "moved":
            return Hop(carrier="fish", source=source, target=target, left=moment, at=moment, stock=contact.stock,
                       events=(contact.event,))  # fmt: skip
        other = contacts[int(table.origin[int(self.via_dip[number])])]
        first, second = (contact, other) if table.back else (other, contact)
        return Hop(carrier="tool", source=source, target=target, left=moment_of(first.at), at=moment_of(second.at),
                   tool=contact.tool, events=tuple(dict.fromkeys((first.event, second.event))))  # fmt: skip


def walk_table(table: ContactTable, place: str, since: int, until: int) -> Way:
    """Go once through a table from a place, between two moments in microseconds; both as the clock has them, whichever
    way the table runs. KeyError where the table does not know the place.

    >>> table = contact_table([Contact(at=5, kind="moved", source="A1", target="A2")], wet_hours=24.0)
    >>> walk_table(table, "A1", 0, 9).reached.tolist()
    [0, 5]
    """
    numbers: Mapping[str, int] = {name: number for number, name in enumerate(table.places)}
    start, stop = (-until, -since) if table.back else (since, until)
    places, tools = len(table.places), len(table.tools)
    way = Way(
        table=table, reached=np.full(places, NEVER), via_place=np.full(places, -1), via_item=np.full(places, -1),
        via_dip=np.full(places, -1),
    )  # fmt: skip
    arguments: tuple[Any, ...] = (
        numbers[place], start, stop, int(np.searchsorted(table.at, start, side="left")),
        table.at, table.kind, table.one, table.two, table.wet,
        table.link_first, table.link_source, table.link_target, table.link_begin, table.link_end,
        way.reached, way.via_place, way.via_item, way.via_dip,
        np.full(tools, -NEVER), np.full(tools, -NEVER), np.full(tools, -1), np.full(tools, -1),
        np.zeros(places + 1, dtype=np.int64),
    )  # fmt: skip
    if len(table.at) > INTERPRETED_ITEMS or _compiled.cache_info().currsize:
        _compiled()(*arguments)
        return way
    lists = [one.tolist() if isinstance(one, np.ndarray) else one for one in arguments]
    contact_kernel.follow_contacts(*lists)
    answers = (way.reached, way.via_place, way.via_item, way.via_dip)
    for array, values in zip(answers, lists[14:18], strict=True):
        array[:] = values
    return way


@cache
def _compiled() -> Any:
    """The loop as machine code."""
    return compile_loop(contact_kernel.follow_contacts, (contact_kernel.expose,), (contact_kernel,))
