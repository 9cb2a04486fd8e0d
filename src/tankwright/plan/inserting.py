"""Put values, rows and tables into the text of a plan, and leave every other sign as it was.

Everything here works on a text that reads without a mistake (`Positions.findings` is empty) and gives the new text.
The values to put in are TOML already; `plan.typed` makes them of what a person typed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import get_origin

from tankwright.plan.models import Plan
from tankwright.plan.positions import Positions, read_positions
from tankwright.plan.removing import take_out
from tankwright.plan.shape import bare_type, place_of
from tankwright.plan.statements import (
    ImpossibleError,
    Splice,
    dotted,
    end_of_section,
    items_of,
    key_text,
    line_break,
    line_end,
    spliced,
    stands,
    value_at,
    value_at_step,
)
from tankwright.plan.values import BLANK, SPACE, Path


def put(positions: Positions, values: Sequence[tuple[Path, str]]) -> str:
    """The text with values (a path and its TOML) replaced where they stand and put in where they do not.

    Raises ImpossibleError when a path leads into a value, or to an item a list does not have.

    >>> put(read_positions('[rack_kind.a]  # bought'), [(("rack_kind", "a", "depth"), '"45 cm"')])
    '[rack_kind.a]  # bought\\ndepth = "45 cm"'
    """
    for path, _ in values:
        if stands(positions, path) == "table":
            if isinstance(path[-1], int):
                raise ImpossibleError  # taken out, the next one would stand in its place
            positions = read_positions(take_out(positions, path))
    splices: list[Splice] = []
    text = positions.text
    for path, toml in values:
        if stands(positions, path) == "value":
            span = positions.spans[path]
            splices.append(Splice(span.start, span.end, _with_breaks(toml, text)))
            continue
        if any(isinstance(step, int) for step in path[_known_length(positions, path) :]):
            raise ImpossibleError
        made = _insertion(positions, path, _with_breaks(toml, text))
        if len(values) > 1 and not splices and made.text.lstrip().startswith("["):
            positions = read_positions(spliced(text, [made]))  # the next value finds the new heading
            text = positions.text
            continue
        splices.append(made)
    return spliced(text, splices)


def _with_breaks(toml: str, text: str) -> str:
    return toml.replace("\r\n", "\n").replace("\n", line_break(text)) if "\n" in toml else toml


def _known_length(positions: Positions, path: Path) -> int:
    """How many steps of a path lead to something that is there."""
    value: object = positions.data
    for place, step in enumerate(path):
        value = value_at_step(value, step)
        if value is None:
            return place
    return len(path)


def _insertion(positions: Positions, path: Path, toml: str) -> Splice:
    known = _known_length(positions, path)
    container, rest = path[:known], path[known:]
    if not isinstance(value_at(positions, container), Mapping):
        raise ImpossibleError
    if stands(positions, container) == "value":
        return _into_inline_table(positions, container, _key_value(positions, container, rest, toml))
    span = positions.spans.get(container)
    if container and span is None:  # a dotted key within an inline table
        outer = container
        while positions.spans.get(outer) is None:
            outer = outer[:-1]
        return _into_inline_table(positions, outer, f"{dotted(path[len(outer) :])} = {toml}")
    if not container:
        return _at_the_root(positions, rest, toml)
    section = _section_of(positions, container)
    if section is not None:
        return _after_last_key(positions, section, _key_value(positions, container, rest, toml))
    last = _last_dotted(positions, container)
    if last is not None:
        place, table = last
        new = f"{dotted(path[len(table) : known])}.{_key_value(positions, container, rest, toml)}"
        return _line_after(positions, positions.statements[place].end, new, place)
    return _new_section(positions, container, rest, toml)


def _key_value(positions: Positions, container: Path, rest: Path, toml: str) -> str:
    """`key = value`, or a table in a table where more than one key is new."""
    names_things = (
        get_origin(bare_type(place_of((*container, rest[0]), Plan, positions.data).expected)) is dict
    )
    if names_things or container[:1] == ("assume",):
        return f"{dotted(rest)} = {toml}"
    for step in reversed(rest[1:]):
        toml = f"{{ {key_text(str(step))} = {toml} }}"
    return f"{key_text(str(rest[0]))} = {toml}"


def _at_the_root(positions: Positions, rest: Path, toml: str) -> Splice:
    """A key before any heading, or the first section of its kind."""
    if len(rest) > 1:
        return _new_section(positions, (), rest, toml)
    line = f"{dotted(rest)} = {toml}"
    if positions.statements and not positions.statements[0].heading:
        return _after_last_key(positions, -1, line)
    return _at_the_top(positions, line)


def _section_of(positions: Positions, container: Path) -> int | None:
    """The number of the heading that opens a table."""
    for number, one in enumerate(positions.statements):
        if one.heading and one.path == container:
            return number
    return None


def _after_last_key(positions: Positions, heading: int, line: str) -> Splice:
    """Behind the last key of a section, before the blank lines and remarks that lead to the next heading."""
    place = end_of_section(positions, heading)
    at = place if place >= 0 else 0
    return _line_after(positions, positions.statements[at].end, line, at)


def _line_after(positions: Positions, place: int, line: str, statement: int) -> Splice:
    """A line of its own behind the line of a place, indented like the statement there."""
    text = positions.text
    one = positions.statements[statement]
    start = text.rfind("\n", 0, one.start) + 1
    indent = text[start : one.start] if not text[start : one.start].strip() else ""
    end = line_end(text, place)
    return Splice(end, end, line_break(text) + indent + line)


def _at_the_top(positions: Positions, line: str) -> Splice:
    """A first key before any heading: behind the remarks at the top, before those of the first heading."""
    text, newline = positions.text, line_break(positions.text)
    if not positions.statements:
        before = "" if not text or text.endswith("\n") else newline
        return Splice(len(text), len(text), f"{before}{line}{newline}")
    heading = text.rfind("\n", 0, positions.statements[0].start) + 1
    place = heading
    while place > 0:
        above = text.rfind("\n", 0, place - 1) + 1
        if not text[above:place].lstrip().startswith("#"):
            break
        place = above
    if place == 0:
        place = heading  # the remark at the very top is about the whole plan
    return Splice(place, place, f"{line}{newline}{newline}")


def _last_dotted(positions: Positions, container: Path) -> tuple[int, Path] | None:
    """The last `a.b = value` that made a table, and the table that key stands in."""
    found: tuple[int, Path] | None = None
    table: Path = ()
    for number, one in enumerate(positions.statements):
        if one.heading:
            table = one.path
        elif one.path[: len(container)] == container and len(table) < len(container):
            found = number, table
    return found


def _new_section(positions: Positions, container: Path, rest: Path, toml: str) -> Splice:
    """A heading with its first key, behind its last sibling or at the end of the text."""
    expected = place_of((*container, rest[0]), Plan, positions.data).expected
    named = not container and (
        get_origin(bare_type(expected)) is dict or (expected is None and len(rest) > 2)
    )
    depth = 2 if named and rest[0] != "assume" else len(container) + 1
    path = (*container, *rest)
    if len(path) == depth and toml.startswith("{"):
        return _section(positions, container, heading_lines(path, toml, double=False))
    depth = min(depth, len(path) - 1)
    section = path[:depth]
    line = _key_value(positions, section, path[depth:], toml)
    return _section(positions, section[:-1] or section[:1], [f"[{dotted(section)}]", line])


def heading_lines(path: Path, toml: str, *, double: bool) -> list[str]:
    """A table written as TOML on one line, as a heading and its keys."""
    name = dotted(path)
    head = f"[[{name}]]" if double else f"[{name}]"
    made = read_positions(f"v = {toml}\n")
    items = items_of(made, ("v",))
    return [head, *(made.text[one.start : one.end] for one in items)]


def _section(positions: Positions, siblings: Path, lines: list[str]) -> Splice:
    """Lines of a new section behind the last of its siblings and what is below it, or at the end of the text."""
    text, newline = positions.text, line_break(positions.text)
    last, indent = None, ""
    for number, one in enumerate(positions.statements):
        if one.heading and one.path[: len(siblings)] == siblings:
            last = number
            if len(one.path) <= len(siblings) + 1:
                indent = text[text.rfind("\n", 0, one.start) + 1 : one.start]
    lines = [indent + line for line in lines]
    if last is not None:
        number = end_of_section(positions, last)
        if number + 1 < len(positions.statements):
            end = line_end(text, positions.statements[number].end)
            return Splice(end, end, newline + "".join(newline + line for line in lines))
    gap = "" if not text.strip() else newline if text.endswith("\n") else newline * 2
    ending = newline if text.endswith("\n") or not text else ""
    return Splice(len(text), len(text), gap + newline.join(lines) + ending)


# --- within brackets ---


def _into_inline_table(positions: Positions, path: Path, entry: str) -> Splice:
    span, items = positions.spans[path], items_of(positions, path)
    if items:
        return Splice(items[-1].end, items[-1].end, f", {entry}")
    return Splice(span.start, span.end, f"{{ {entry} }}")


def add_row(positions: Positions, path: Path, toml: str) -> str:
    """The text with one more row at the end of a list, written in brackets or as [[headings]], or of a new list.

    Raises ImpossibleError when something else than a list is there.

    >>> add_row(read_positions('a = [1, 2]  # two'), ("a",), "3")
    'a = [1, 2, 3]  # two'
    """
    how = stands(positions, path)
    if not how and len(path) == 1 and toml.startswith("{"):  # [[stock]], the first of its kind
        lines = heading_lines(path, _with_breaks(toml, positions.text), double=True)
        return spliced(positions.text, [_section(positions, path, lines)])
    if not how:
        return put(positions, [(path, f"[{toml}]")])
    if not isinstance(value_at(positions, path), list):
        raise ImpossibleError
    text, newline = positions.text, line_break(positions.text)
    toml = _with_breaks(toml, text)
    if how == "table":
        if not toml.startswith("{"):
            raise ImpossibleError
        return spliced(text, [_section(positions, path, heading_lines(path, toml, double=True))])
    span, items = positions.spans[path], items_of(positions, path)
    if not items:
        blank = BLANK.match(text, span.start + 1)
        return spliced(text, [_into_empty_list(text, span.start, blank.group() if blank else "", toml)])
    last = items[-1]
    line = text.rfind("\n", 0, last.start) + 1
    indent = text[line : last.start]
    if line <= span.start or indent.strip():
        return spliced(text, [Splice(last.end, last.end, f", {toml}")])
    behind = last.end if last.comma is None else last.comma + 1
    end = min(line_end(text, behind), span.end - 1)
    comma = "," if last.comma is not None else ""
    new = Splice(end, end, f"{newline}{indent}{toml}{comma}")
    return spliced(text, [new] if comma else [Splice(last.end, last.end, ","), new])


def _into_empty_list(text: str, start: int, blank: str, toml: str) -> Splice:
    if "\n" not in blank:
        return Splice(start + 1, start + 1 + len(blank), toml)
    place = start + 1 + blank.rfind("\n")
    place -= text[place - 1] == "\r"
    margin = text.rfind("\n", 0, start) + 1
    indent = SPACE.match(text, margin)
    return Splice(place, place, f"{line_break(text)}{indent.group() if indent else ''}    {toml},")
