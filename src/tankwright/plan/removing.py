"""Take values, rows and tables out of the text of a plan, and leave every other sign as it was."""

from __future__ import annotations

from tankwright.plan.positions import Positions
from tankwright.plan.statements import (
    ImpossibleError,
    Splice,
    end_of_section,
    items_of,
    line_end,
    spliced,
    stands,
    statement_at,
)
from tankwright.plan.values import LINE_END, SPACE, Path


def take_out(positions: Positions, path: Path) -> str:
    """The text without the value, row or table at a path: its line, its part of the brackets, or its section.

    Raises ImpossibleError when it is not there.

    >>> from tankwright.plan.positions import read_positions
    >>> take_out(read_positions('a = { b = 1, c = 2 }'), ("a", "c"))
    'a = { b = 1 }'
    """
    text, how = positions.text, stands(positions, path)
    if not how or not path:
        raise ImpossibleError
    if how == "table":
        return spliced(text, _without_table(positions, path))
    statement = statement_at(positions, positions.spans[path].start)
    if statement and statement.path == path:
        return spliced(text, [_whole_lines(text, statement.start, statement.end)])
    return spliced(text, _without_item(positions, path))


def _whole_lines(text: str, start: int, end: int) -> Splice:
    """The lines of a statement, with a remark at their end and their line break."""
    first = text.rfind("\n", 0, start) + 1
    ending = LINE_END.match(text, end)
    last = ending.end() if ending else end
    if (
        last == len(text) and not text.endswith("\n") and first
    ):  # the last line had no break; the new last has none
        first -= 2 if text[first - 2 : first] == "\r\n" else 1
    return Splice(first, last, "")


def _without_table(positions: Positions, path: Path) -> list[Splice]:
    text = positions.text
    splices: list[Splice] = []
    statements = positions.statements
    place = 0
    while place < len(statements):
        one = statements[place]
        if one.path[: len(path)] != path:
            place += 1
            continue
        last = end_of_section(positions, place) if one.heading else place
        made = _whole_lines(text, one.start, statements[last].end)
        if one.heading:
            made = _with_blank_lines_above(text, made)
        if splices and made.start < splices[-1].end:
            made = made._replace(start=splices[-1].end)
        splices.append(made)
        place = last + 1
    if not splices:
        raise ImpossibleError
    return splices


def _with_blank_lines_above(text: str, made: Splice) -> Splice:
    """A section goes with the blank lines above it, unless a remark below would then hang on what is above."""
    start = made.start
    while start > 0:
        above = text.rfind("\n", 0, start - 1) + 1
        if text[above:start].strip():
            break
        start = above
    below = text[made.end : line_end(text, made.end)].strip()
    return made if below and not below.startswith("[") else Splice(start, made.end, "")


def _without_item(positions: Positions, path: Path) -> list[Splice]:
    text = positions.text
    outer = path[:-1]
    while outer not in positions.spans or text[positions.spans[outer].start] not in "[{":
        outer = outer[:-1]
    span, items = positions.spans[outer], items_of(positions, outer)
    value = positions.spans[path]
    number = next(place for place, one in enumerate(items) if one.start <= value.start < one.end)
    item = items[number]
    if len(items) == 1 and "#" not in text[span.start : item.start] + text[item.end : span.end]:
        empty = "[]" if text[span.start] == "[" else "{}"
        return [Splice(span.start, span.end, empty)]
    line = text.rfind("\n", 0, item.start) + 1
    behind = item.end if item.comma is None else item.comma + 1
    ending = LINE_END.match(text, behind)
    if line > span.start and not text[line : item.start].strip() and ending and ending.end() < span.end:
        return [Splice(line, ending.end(), "")]  # a row on lines of its own
    if item.comma is not None:
        after = text[item.end : item.comma]
        space = SPACE.match(text, item.comma + 1)
        end = space.end() if space else item.comma + 1
        if "#" in after:
            return [Splice(item.start, item.end, ""), Splice(item.comma, item.comma + 1, "")]
        return [Splice(item.start, end, "")]
    comma = items[number - 1].comma if number else None
    if comma is None:
        return [Splice(item.start, item.end, "")]
    if text[comma + 1 : item.start].strip(" \t"):
        return [Splice(comma, comma + 1, ""), Splice(item.start, item.end, "")]
    return [Splice(comma, item.end, "")]
