"""From the text of a plan to plain values that know their line, one statement at a time.

A library parser stops at its first mistake. This reader takes one statement at a time, says what is wrong
with a broken one, leaves it out, and goes on, so that one pass shows every mistake. It also knows where each
value stands in the text, which lets `plan.editing` change one value and nothing else. The standard library's
`tomllib` has the last word on a text in which nothing was found.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass, field
from typing import Final, NamedTuple

from tankwright.finding import Finding, Severity
from tankwright.plan.placed import PlacedList, PlacedTable
from tankwright.plan.values import (
    BLANK,
    LINE_END,
    SPACE,
    STATEMENT,
    BrokenError,
    Path,
    Source,
    Span,
    ValueReader,
)
from tankwright.units import clip

SYNTAX: Final = "PLAN-007"
WRITTEN_TWICE: Final = "PLAN-008"
MOST_BROKEN: Final = 100


class Statement(NamedTuple):
    """A heading or a `key = value`: the path of what it makes, where it starts, where it ends before a comment."""

    path: Path
    start: int
    end: int
    heading: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Positions:
    """The values of a text, where each stands, what was broken.

    `spans` holds every value by its path, for example `("room", "cellar", "size", "length")` or
    `("rack", 0, "id")`; a table made by a header has the span of the header. `broken` are the paths of the
    statements that were left out. `statements` are those that were read, in the order of the text.
    """

    text: str
    data: PlacedTable
    spans: dict[Path, Span]
    findings: tuple[Finding, ...]
    broken: frozenset[Path]
    statements: tuple[Statement, ...] = ()

    def line_of(self, path: Path) -> int | None:
        """The line of a path, or of the nearest thing around it that has one."""
        for length in range(len(path), 0, -1):
            span = self.spans.get(path[:length])
            if span:
                return span.line
        return None

    def source_of(self, path: Path) -> str:
        """The text of a value as its owner wrote it; "" when it is not there."""
        span = self.spans.get(path)
        return self.text[span.start : span.end] if span else ""


def read_positions(text: str) -> Positions:
    """Read every statement of a text; never raises.

    >>> read = read_positions('[tank_kind.a]\\noutside = ["90 cm", "38 cm"]')
    >>> read.data["tank_kind"]["a"]["outside"], read.line_of(("tank_kind", "a", "outside", 1))
    (['90 cm', '38 cm'], 2)
    """
    reader = _Reader(source=Source(text.removeprefix("\ufeff")))
    reader.read()
    if not reader.findings:
        reader.ask_standard_library()
    return Positions(
        text=reader.source.text,
        data=reader.data,
        spans=reader.values.spans,
        findings=tuple(reader.findings),
        broken=frozenset(reader.broken),
        statements=tuple(reader.statements),
    )


@dataclass(slots=True, kw_only=True)
class _Reader:
    source: Source
    values: ValueReader = field(init=False)
    data: PlacedTable = field(default_factory=lambda: PlacedTable(1))
    findings: list[Finding] = field(default_factory=list)
    broken: set[Path] = field(default_factory=set)
    statements: list[Statement] = field(default_factory=list)
    table: PlacedTable = field(init=False)
    path: Path = ()
    named: set[Path] = field(default_factory=set)
    doubled: bool = False

    def __post_init__(self) -> None:
        self.values = ValueReader(source=self.source, say=self._say)
        self.table = self.data

    def read(self) -> None:
        text = self.source.text
        place = self.source.past(BLANK, 0)
        while place < len(text):
            start = place
            if len(self.findings) >= MOST_BROKEN:
                text_of_rest = "the rest is not read: too many lines are broken"
                self._say(self.source.line(start), text_of_rest, "", "a plan in TOML", "")
                return
            try:
                place = self._header(place) if text[place] == "[" else self._key_value(place)
            except BrokenError as error:
                self._say(self.source.line(start), error.text, error.found, error.wanted, error.attempt)
                place = self._next_statement(start, error.place)
            place = self.source.past(BLANK, place)

    def ask_standard_library(self) -> None:
        try:
            tomllib.loads(self.source.text)
        except (ValueError, RecursionError) as error:
            numbers = re.search(r"at line (\d+)", str(error))
            line = int(numbers[1]) if numbers else len(self.source.line_starts)
            line = min(line, len(self.source.line_starts))
            self._say(line, "a line cannot be read", self.source.line_text(line), "a line of TOML", "")

    # --- statements ---

    def _header(self, place: int) -> int:
        line = self.source.line(place)
        self.table, self.path = (
            PlacedTable(line),
            (f"heading on line {line}",),
        )  # if it turns out to be broken
        double = self.source.text.startswith("[[", place)
        brackets = 2 if double else 1
        keys, after = self.values.keys(place + brackets)
        after = self.source.past(SPACE, after)
        closing = "]" * brackets
        if self.source.text.startswith(closing, after):
            after += brackets
        else:
            shown = "[" * brackets + ".".join(keys) + closing
            self._say(
                line,
                f"a heading is not closed with {closing}",
                self.source.line_text(line),
                f"a heading closed with {closing}",
                shown,
            )
            after = self.source.end_of_line(place)
        end = LINE_END.match(self.source.text, after)
        if end is None:
            shown = "[" * brackets + ".".join(keys) + closing
            found, wanted = self.source.line_text(line), "a heading alone on its line"
            self._say(line, "a heading is followed by something", found, wanted, shown)
            end_of_header = self.source.end_of_line(place)
        else:
            end_of_header = end.end()
        self._enter(keys, place, after, double=double)
        self.statements.append(Statement(self.path, place, after, True))
        return end_of_header

    def _enter(self, keys: list[str], start: int, end: int, *, double: bool) -> None:
        line = self.source.line(start)
        table, path = self._walk(self.data, (), keys[:-1], line, start)
        last = keys[-1]
        self.doubled = False
        present = table.get(last)
        span = Span(line, start, end)
        if double:
            if present is None:
                present = table[last] = PlacedList(line)
                table.key_lines[last] = line
                self.values.spans[(*path, last)] = span
            elif not isinstance(present, PlacedList) or (*path, last) in self.values.closed:
                raise self.values.clash(start, (*path, last))
            made = PlacedTable(line)
            present.append(made)
            self.table, self.path = made, (*path, last, len(present) - 1)
            self.values.spans[self.path] = span
            return
        here = (*path, last)
        if present is None:
            present = table[last] = PlacedTable(line)
            table.key_lines[last] = line
            self.values.spans[here] = span
        elif not isinstance(present, PlacedTable):
            raise self.values.clash(start, here)
        elif here in self.named or here in self.values.closed:
            self._twice(line, here)
            self.doubled = True
        else:
            self.values.spans[here] = span
            present.line = line
        self.named.add(here)
        self.table, self.path = present, here

    def _key_value(self, place: int) -> int:
        line = self.source.line(place)
        keys, after = self.values.keys(place)
        after = self.source.past(SPACE, after)
        path = (*self.path, *keys)
        if not self.source.text.startswith("=", after):
            found = self.source.line_text(line)
            guess = re.match(r"\s*([A-Za-z0-9_.-]+)\s*:\s*(.+)", found)
            attempt = f"{guess[1]} = {guess[2]}" if guess else ""
            raise BrokenError(place, 'a line has no "="', found=found, wanted="key = value", attempt=attempt)
        start = self.source.past(SPACE, after + 1)
        self.broken.add(path)
        value, after = self.values.value(start, path)
        end = LINE_END.match(self.source.text, after)
        if end is None:
            raise self.values.unquoted(start, ".".join(keys))
        self.broken.discard(path)
        table, above = self._walk(self.table, self.path, keys[:-1], line, place)
        if keys[-1] in table:
            if not self.doubled:
                self._twice(line, (*above, keys[-1]))
            return end.end()
        table[keys[-1]] = value
        table.key_lines[keys[-1]] = line
        self.values.spans[path] = Span(line, start, after)
        self.statements.append(Statement(path, place, after, False))
        return end.end()

    def _walk(
        self, table: PlacedTable, path: Path, keys: list[str], line: int, place: int
    ) -> tuple[PlacedTable, Path]:
        for key in keys:
            here: Path = (*path, key)
            inner = table.get(key)
            if inner is None:
                inner = table[key] = PlacedTable(line)
                table.key_lines[key] = line
                end = self.source.end_of_line(place)
                self.values.spans[here] = Span(line, place, end)
            if isinstance(inner, PlacedList) and inner and here not in self.values.closed:
                here, inner = (*here, len(inner) - 1), inner[-1]
            if not isinstance(inner, PlacedTable) or here in self.values.closed:
                raise self.values.clash(place, here)
            table, path = inner, here
        return table, path

    # --- mistakes ---

    def _twice(self, line: int, path: Path) -> None:
        first = self.values.spans.get(path)
        where = f", first on line {first.line}" if first else ""
        name = ".".join(str(one) for one in path if isinstance(one, str))
        self._say(
            line,
            f'"{clip(name)}" is written twice{where}',
            self.source.line_text(line),
            "each key and each heading once",
            "",
        )

    def _say(self, line: int, text: str, found: str, wanted: str, attempt: str) -> None:
        code = WRITTEN_TWICE if " is written twice" in text else SYNTAX
        subject = subject_of_line(self.path, self.data)
        self.findings.append(
            Finding(
                code=code,
                severity=Severity.PROBLEM,
                subject=subject,
                text=text,
                line=line,
                found=found,
                wanted=wanted,
                attempt=attempt,
            )
        )

    def _next_statement(self, start: int, place: int) -> int:
        """Where reading goes on after a broken statement: the next line that looks like one."""
        first, last = self.source.line(start), self.source.line(min(place, len(self.source.text)))
        opener = re.match(r"[^=#\n\[]*=\s*(?:\[|\{|\"{3}|'{3})", self.source.text[start : start + 400])
        if opener is None:
            return (
                self.source.line_starts[first]
                if first < len(self.source.line_starts)
                else len(self.source.text)
            )
        line = last if last > first else first + 1
        while line <= len(self.source.line_starts):
            at = self.source.line_starts[line - 1]
            if STATEMENT.match(self.source.text, at):
                return at
            line += 1
        return len(self.source.text)


def subject_of_line(path: Path, data: PlacedTable) -> str:
    """The name of the table a broken line stands in, for example "tank kind long90" or "rack A"."""
    words = [str(one).replace("_", " ") if place == 0 else str(one) for place, one in enumerate(path)]
    if len(path) == 2 and isinstance(path[1], int):
        items = data.get(str(path[0]))
        item = items[path[1]] if isinstance(items, list) and path[1] < len(items) else None
        name = item.get("id") if isinstance(item, dict) else None
        words[1] = clip(name) if isinstance(name, str) else f"number {path[1] + 1}"
    return clip(" ".join(words), 60) or "the plan"
