"""How the text of a plan is put together: its statements, the items within brackets, and parts of it replaced.

What `plan.inserting` and `plan.removing` share. Everything here works on a text that reads without a mistake.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Final, NamedTuple

from tankwright.plan.editing import quoted
from tankwright.plan.positions import Positions, Statement
from tankwright.plan.values import BLANK, SPACE, Path, Source, ValueReader

_BARE: Final = re.compile(r"[A-Za-z0-9_-]+")


class ImpossibleError(Exception):
    """There is no place of that kind in the text: a list that is not there, a key inside a number."""


class Item(NamedTuple):
    """One item of a list, or one `key = value` of an inline table."""

    start: int
    end: int
    comma: int | None
    """The place of the comma behind it."""


class Splice(NamedTuple):
    """The text from `start` up to `end` becomes `text`."""

    start: int
    end: int
    text: str


def spliced(text: str, splices: Iterable[Splice]) -> str:
    """A text with some of its parts replaced; parts must not overlap, and insertions at one place keep their order.

    >>> spliced("a = 1", [Splice(0, 1, "b"), Splice(5, 5, "2")])
    'b = 12'
    """
    for start, end, new in reversed(sorted(splices, key=lambda one: one.start)):  # noqa: C413 - ties keep order
        text = text[:start] + new + text[end:]
    return text


def key_text(key: str) -> str:
    """A key as TOML writes it.

    >>> key_text("from_west"), key_text("A 1")
    ('from_west', '"A 1"')
    """
    return key if _BARE.fullmatch(key) else quoted(key)


def dotted(steps: Iterable[str | int]) -> str:
    """A path as a heading names it; places in lists are left out."""
    return ".".join(key_text(one) for one in steps if isinstance(one, str))


def line_break(text: str) -> str:
    """The line break a text uses."""
    return "\r\n" if "\r\n" in text else "\n"


def value_at(positions: Positions, path: Path) -> object:
    """The value at a path, or None."""
    value: object = positions.data
    for step in path:
        value = value_at_step(value, step)
    return value


def value_at_step(value: object, step: str | int) -> object:
    """What is at a key of a table or a place of a list, or None."""
    if isinstance(step, str):
        return value.get(step) if isinstance(value, Mapping) else None
    return value[step] if isinstance(value, list) and 0 <= step < len(value) else None


def stands(positions: Positions, path: Path) -> str:
    """How the thing at a path is written: "value", "table" (headings or dotted keys), or "" when it is not there."""
    if not path:
        return "table"
    if value_at(positions, path) is None:
        return ""
    span = positions.spans.get(path)
    if span is None:
        return "table"  # a.b = 1 within { }: the table a has no text of its own
    statement = statement_at(positions, span.start)
    if statement is None:
        return "value"
    return "value" if statement.start < span.start and not statement.heading else "table"


def statement_at(positions: Positions, place: int) -> Statement | None:
    """The statement a place is in."""
    low, high = 0, len(positions.statements)
    while low < high:
        middle = (low + high) // 2
        if positions.statements[middle].start <= place:
            low = middle + 1
        else:
            high = middle
    found = positions.statements[low - 1] if low else None
    return found if found and place <= found.end else None


def end_of_section(positions: Positions, heading: int) -> int:
    """The number of the last statement of the section that a heading (or the start of the text) opens."""
    place = heading
    while place + 1 < len(positions.statements) and not positions.statements[place + 1].heading:
        place += 1
    return place


def line_end(text: str, place: int) -> int:
    """The place where the line of a place ends, before its line break."""
    end = text.find("\n", place)
    end = len(text) if end < 0 else end
    return end - 1 if text[end - 1 : end] == "\r" and end > place else end


def items_of(positions: Positions, path: Path) -> list[Item]:
    """The items of a written list or inline table."""
    text, place = positions.text, positions.spans[path].start
    reader = ValueReader(source=Source(text), say=lambda *_: None)
    is_list = text[place] == "["
    closing = "]" if is_list else "}"
    place = reader.source.past(BLANK, place + 1)
    items: list[Item] = []
    while not text.startswith(closing, place):
        start = place
        if not is_list:
            place = reader.source.past(SPACE, reader.keys(place)[1]) + 1
            place = reader.source.past(SPACE, place)
        _, end = reader.value(place, ())
        place = reader.source.past(BLANK, end)
        comma = place if text.startswith(",", place) else None
        items.append(Item(start, end, comma))
        if comma is not None:
            place = reader.source.past(BLANK, comma + 1)
    return items
