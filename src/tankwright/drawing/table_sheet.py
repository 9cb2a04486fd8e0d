"""Tables on paper: in columns side by side where they are narrow, over to the next page where they are long."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from tankwright.drawing.colour import FAINT, INK, PAPER, QUIET
from tankwright.drawing.model import (
    Drawing,
    Group,
    Look,
    Rectangle,
    Shape,
    Text,
    fitting_size,
    line,
    lines_of,
    text_width,
)  # fmt: skip
from tankwright.drawing.paper import MARGIN, foot

_SIZE: Final = 2.6  # mm; writing that is read at arm's length
_LINE: Final = 3.5  # mm from line to line within a cell
_PAD: Final = 1.1  # mm over and under a row together
_BETWEEN: Final = 3.0  # mm between columns of a table
_GAP: Final = 9.0  # mm between tables side by side
_HEADING: Final = 9.0
_FEW: Final = 8  # rows; a column of fewer is no help
_LEAST: Final = 1.6  # mm; a table too wide even at this size has its texts cut


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column's heading; `number` is set to the right; `wrap` the widest it may get in mm before its text wraps."""

    name: str
    number: bool = False
    wrap: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintTable:
    """A table as it is printed: every cell in words."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class _Set:
    """A table set for a page: column widths, size of writing, and each row's lines by cell."""

    table: PrintTable
    size: float
    widths: tuple[float, ...]
    head: tuple[tuple[str, ...], ...]
    rows: tuple[tuple[tuple[str, ...], ...], ...]

    @property
    def width(self) -> float:
        return sum(self.widths) + _BETWEEN * (len(self.widths) - 1)

    def height(self, row: Sequence[Sequence[str]]) -> float:
        return (max(map(len, row), default=1) * _LINE + _PAD) * self.size / _SIZE


def draw_tables(
    tables: Sequence[PrintTable], *, title: str, size: tuple[float, float]
) -> tuple[Drawing, ...]:
    """The pages of some tables on sheets of that size in mm, without what stands along the foot (`with_foot`).

    >>> one = PrintTable(title="Racks", columns=(Column(name="rack"),), rows=(("A",), ("B",)))
    >>> [page.title for page in draw_tables([one], title="Shed", size=(297.0, 210.0))]
    ['Shed: Racks']
    """
    setter = _Setter(title, size)
    for table in tables:
        if table.rows:
            setter.add(table)
    return tuple(setter.drawings())


def with_foot(drawing: Drawing, notes: tuple[str, str, str]) -> Drawing:
    """A page with its foot."""
    return Drawing(
        width=drawing.width, height=drawing.height, scale=drawing.scale, title=drawing.title,
        description=drawing.description,
        parts=(*drawing.parts, *foot(notes, (drawing.width, drawing.height))),
    )  # fmt: skip


class _Setter:
    def __init__(self, title: str, size: tuple[float, float]) -> None:
        self.title, self.size = title, size
        self.inner = size[0] - 2 * MARGIN
        self.bottom = size[1] - MARGIN
        self.pages: list[tuple[list[str], list[Shape]]] = []
        self.y = 0.0

    def drawings(self) -> Iterator[Drawing]:
        for named, shapes in self.pages:
            title = f"{self.title}: {', '.join(dict.fromkeys(named))}"
            yield Drawing(
                width=self.size[0], height=self.size[1], scale=1.0, title=title, description="",
                parts=tuple(shapes),
            )  # fmt: skip

    def _page(self) -> None:
        ground = Rectangle(x=0, y=0, width=self.size[0], height=self.size[1], look=Look(fill=PAPER))
        size = fitting_size(self.title, self.inner, most=4.2, bold=True)
        self.pages.append(([], [
            ground, Text(at=(MARGIN, MARGIN + 4.2), text=self.title, size=size, colour=INK, bold=True),
            line((MARGIN, MARGIN + 6.4), (MARGIN + self.inner, MARGIN + 6.4), Look(stroke=INK, width=0.4)),
        ]))  # fmt: skip
        self.y = MARGIN + 8.0

    def add(self, table: PrintTable) -> None:
        """Put a table where the last one ended, in as many columns as fit beside each other."""
        made = _set(table, self.inner)
        across = max(1, int((self.inner + _GAP) / (made.width + _GAP)))
        across = min(across, -(-len(made.rows) // _FEW))
        head = made.height(made.head)
        least = _HEADING + head + sum(made.height(row) for row in made.rows[:3])
        if not self.pages or self.y + least > self.bottom:
            self._page()
        rest = list(made.rows)
        while rest:
            room = self.bottom - self.y - _HEADING - head
            columns = _filled(made, rest, across, room)
            used = sum(map(len, columns))
            continued = len(rest) < len(made.rows)
            self._draw(made, columns, continued=continued)
            rest = rest[used:]
            if rest:
                self._page()

    def _draw(self, made: _Set, columns: list[list[tuple[tuple[str, ...], ...]]], *, continued: bool) -> None:
        named, shapes = self.pages[-1]
        named.append(made.table.title)
        heading = made.table.title + (", continued" if continued else "")
        size = fitting_size(heading, self.inner, most=3.4, bold=True)
        shapes.append(Text(at=(MARGIN, self.y + 5.0), text=heading, size=size, colour=INK, bold=True))
        ends = []
        for number, rows in enumerate(columns):
            x, y = MARGIN + number * (made.width + _GAP), self.y + _HEADING - 2.0
            part = [*_row(made, made.head, x, y, heading=True)]
            y += made.height(made.head)
            for row in rows:
                part += _row(made, row, x, y, heading=False)
                y += made.height(row)
            shapes.append(Group(parts=tuple(part)))
            ends.append(y)
        self.y = max(ends) + 3.0


def _filled(
    made: _Set, rows: list[tuple[tuple[str, ...], ...]], across: int, room: float
) -> list[list[tuple[tuple[str, ...], ...]]]:
    """The first rows in columns: as short as they can be when all fit, else as full as they can be."""
    most = room
    share = sum(map(made.height, rows)) / across
    while share < most:
        columns = _poured(made, rows, across, share)
        if sum(map(len, columns)) == len(rows):
            return columns
        share += made.height(made.head)
    return _poured(made, rows, across, most)


def _poured(
    made: _Set, rows: list[tuple[tuple[str, ...], ...]], across: int, room: float
) -> list[list[tuple[tuple[str, ...], ...]]]:
    columns: list[list[tuple[tuple[str, ...], ...]]] = [[]]
    used = 0.0
    for row in rows:
        tall = made.height(row)
        if columns[-1] and used + tall > room + 1e-6:
            if len(columns) == across:
                break
            columns.append([])
            used = 0.0
        columns[-1].append(row)
        used += tall
    return columns


def _row(made: _Set, row: Sequence[Sequence[str]], x: float, y: float, *, heading: bool) -> Iterator[Shape]:
    step = _LINE * made.size / _SIZE
    tall = made.height(row)
    for column, width, lines in zip(made.table.columns, made.widths, row, strict=True):
        for number, text in enumerate(lines):
            at = (x + (width if column.number else 0.0), y + (number + 0.85) * step)
            size = fitting_size(text, width, most=made.size * (0.88 if heading else 1.0))
            colour = QUIET if heading else INK
            yield Text(at=at, text=text, size=size, colour=colour, anchor="end" if column.number else "start")
        x += width + _BETWEEN
    right = x - _BETWEEN
    look = Look(stroke=INK, width=0.3) if heading else Look(stroke=FAINT, width=0.15)
    yield line((right - made.width, y + tall - 0.1), (right, y + tall - 0.1), look)


def _set(table: PrintTable, inner: float) -> _Set:
    size = _SIZE
    while True:
        widths = []
        for number, column in enumerate(table.columns):
            natural = max(text_width(row[number], size) for row in table.rows)
            heading = max(text_width(word, size * 0.88) for word in column.name.split() or [""])
            widths.append(max(min(natural, column.wrap) if column.wrap else natural, heading))
        whole = sum(widths) + _BETWEEN * (len(widths) - 1)
        if whole <= inner or size <= _LEAST:
            break
        size = max(_LEAST, size * max(0.9, inner / whole))
    if whole > inner:
        shrunk = (inner - _BETWEEN * (len(widths) - 1)) / sum(widths)
        widths = [width * shrunk for width in widths]
    head = tuple(
        lines_of(column.name, width, size * 0.88) for column, width in zip(table.columns, widths, strict=True)
    )
    rows = tuple(
        tuple(
            lines_of(cell, width, size) if column.wrap else (cell,)
            for cell, column, width in zip(row, table.columns, widths, strict=True)
        )
        for row in table.rows
    )
    return _Set(table, size, tuple(widths), head, rows)
