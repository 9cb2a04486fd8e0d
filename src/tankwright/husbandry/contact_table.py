"""Contacts as flat arrays, for the pass through them forward or back: made once, traced many times."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tankwright.husbandry.contact_kernel import CLEAN, DIP, MOVE, NEVER, WATER
from tankwright.husbandry.contacts import Contact, WaterSpan
from tankwright.husbandry.register import Tool

Whole = NDArray[np.int64]

HOUR: Final = 3_600_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class ContactTable:
    """Items in the order of time, and the links of water by the place they begin at.

    `origin` is the number of the contact each item comes of, -1 for a link of water that begins; `span` the number of
    the span of each link. With `back` all times are turned round, and so are all directions.
    """

    places: tuple[str, ...]
    tools: tuple[str, ...]
    wet: Whole
    at: Whole
    kind: Whole
    one: Whole
    two: Whole
    origin: Whole
    link_first: Whole
    link_source: Whole
    link_target: Whole
    link_begin: Whole
    link_end: Whole
    span: Whole
    back: bool = False


def contact_table(
    contacts: Sequence[Contact],
    spans: Iterable[WaterSpan] = (),
    tools: Iterable[Tool] = (),
    *,
    wet_hours: float,
    places: Iterable[str] = (),
) -> ContactTable:
    """Contacts and spans of water as arrays. A tool nobody made stays wet for `wet_hours`. `places` are further ones
    that are to be known although nothing touched them.

    >>> table = contact_table([Contact(at=5, kind="moved", source="A1", target="A2")], wet_hours=24.0)
    >>> table.places, table.at.tolist()
    (('A1', 'A2'), [5])
    """
    spans = tuple(spans)
    number: dict[str, int] = {}
    for name in places:
        number.setdefault(name, len(number))
    for contact in contacts:
        for name in (contact.source, contact.target):
            if name:
                number.setdefault(name, len(number))
    for span in spans:
        for name in (span.source, span.target):
            number.setdefault(name, len(number))
    wet = {tool.id: round(tool.wet_hours * HOUR) for tool in tools}
    tool_number: dict[str, int] = {}
    for contact in contacts:
        if contact.tool:
            tool_number.setdefault(contact.tool, len(tool_number))
    kinds = {"moved": MOVE, "dipped": DIP, "cleaned": CLEAN}
    rows = np.array(
        [
            (
                one.at, kinds[one.kind],
                number[one.source] if one.kind == "moved" else tool_number[one.tool],
                number[one.target] if one.target else -1, index,
            )
            for index, one in enumerate(contacts)
        ],
        dtype=np.int64,
    ).reshape(-1, 5)  # fmt: skip
    return made_table(
        places=tuple(number), tools=tuple(tool_number),
        wet=np.array([wet.get(name, round(wet_hours * HOUR)) for name in tool_number], dtype=np.int64),
        items=(rows[:, 0], rows[:, 1], rows[:, 2], rows[:, 3], rows[:, 4]),
        links=tuple(
            np.array(column, dtype=np.int64)
            for column in (
                [number[one.source] for one in spans], [number[one.target] for one in spans],
                [one.begin for one in spans], [NEVER if one.end is None else one.end for one in spans],
                list(range(len(spans))),
            )
        ),
    )  # fmt: skip


def made_table(
    *,
    places: tuple[str, ...],
    tools: tuple[str, ...],
    wet: Whole,
    items: tuple[Whole, ...],
    links: tuple[Whole, ...],
    back: bool = False,
) -> ContactTable:
    """A table of columns: items are at, kind, one, two, origin in any order, without those of water; links are source,
    target, begin, end, span."""
    source, target, begin, end, span = links
    order = np.argsort(source, kind="stable")
    source, target, begin, end, span = (column[order] for column in (source, target, begin, end, span))
    count = len(source)
    at, kind, one, two, origin = items
    if count:
        at, none = np.concatenate((at, begin)), np.full(count, -1)
        kind, one = np.concatenate((kind, np.full(count, WATER))), np.concatenate((one, np.arange(count)))
        two, origin = np.concatenate((two, none)), np.concatenate((origin, none))
    columns = (at, kind, one, two, origin)
    if len(at) > 1 and bool(np.any(at[1:] < at[:-1])):
        sort = np.argsort(at, kind="stable")
        columns = (at[sort], kind[sort], one[sort], two[sort], origin[sort])
    at, kind, one, two, origin = (np.ascontiguousarray(column, dtype=np.int64) for column in columns)
    first = np.zeros(len(places) + 1, dtype=np.int64)
    np.cumsum(np.bincount(source, minlength=len(places)), out=first[1:])
    return ContactTable(
        places=places, tools=tools, wet=wet, at=at, kind=kind, one=one, two=two, origin=origin,
        link_first=first, link_source=source, link_target=target, link_begin=begin, link_end=end, span=span, back=back,
    )  # fmt: skip


def turned(table: ContactTable) -> ContactTable:
    """The same contacts with time running the other way: who could have given is then who can be reached.

    >>> back = turned(contact_table([Contact(at=5, kind="moved", source="A1", target="A2")], wet_hours=24.0))
    >>> back.at.tolist(), back.one.tolist(), back.two.tolist()
    ([-5], [1], [0])
    """
    held = table.kind[::-1] != WATER
    columns = (table.at, table.kind, table.one, table.two, table.origin)
    at, kind, one, two, origin = (column[::-1] if held.all() else column[::-1][held] for column in columns)
    moves = kind == MOVE
    return made_table(
        places=table.places, tools=table.tools, wet=table.wet,
        items=(-at, kind, np.where(moves, two, one), np.where(moves, one, two), origin),
        links=(table.link_target, table.link_source, -table.link_end, -table.link_begin, table.span),
        back=not table.back,
    )  # fmt: skip
