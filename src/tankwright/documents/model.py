"""What a printed sheet holds: drawings, tables and sentences, in the order they are read. Frozen.

A table keeps its numbers as numbers, so that the same table is printed in the reader's units and written as CSV and
XLSX to be added up.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from tankwright.display import figures, words
from tankwright.drawing.measured import measured_off
from tankwright.drawing.model import Drawing
from tankwright.finding import Number
from tankwright.units import Metre


@dataclass(frozen=True, slots=True)
class Measured:
    """A length, or sides, as somebody marks them with a rule: to the millimetre, or the eighth of an inch."""

    sides: tuple[Metre, ...]


Cell = str | int | float | Decimal | Number | Measured | None
"""A text, a count, a figure whose unit its column names, money, a quantity in SI, a length to be marked, or nothing
known ("–")."""

NOTHING = "–"


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column's heading. `wide` columns share what is left of the page by that measure and wrap. A column to `write`
    in is so many mm of empty box; what stands in its cells is the unit."""

    name: str
    wide: int = 0
    write: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table by its title; `note` stands over it. `file` names it among the data files; none when it is not one."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    note: str = ""
    file: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Paragraph:
    """Sentences. A `caution` is set apart by a line at its side."""

    text: str
    caution: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Banner:
    """The head of a cover: what it is, of what, and in which state."""

    over: str
    text: str
    under: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Inset:
    """A drawing that stands among the text under its title, made smaller where it is wider than the page."""

    drawing: Drawing


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A photo within a box of mm, with what is said under it; without `content` the box is empty, to stick one in.
    `ending` says what it is: "jpg", "png" or "webp"."""

    under: str
    wide: float
    high: float
    content: bytes | None = None
    ending: str = ""


Block = Drawing | Table | Paragraph | Banner | Inset | Picture


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One sheet of the book, a page or more. `name` is its file's ("drill-long90"), `part` where the book lists it.
    `data` are tables that are only files: what the printed ones tell together, line by line."""

    name: str
    title: str
    part: str
    blocks: tuple[Block, ...]
    data: tuple[Table, ...] = ()


def said(cell: Cell, display: str) -> str:
    """A cell in words.

    >>> said(Number(0.61, "length"), "metric"), said(3, "metric"), said(None, "US")
    ('61 cm', '3', '–')
    >>> said(Measured((1.2, 0.6045)), "metric")
    '1200 × 604 mm'
    """
    if cell is None or cell == "":
        return NOTHING
    if isinstance(cell, Decimal):
        return f"{cell:.2f}"
    if isinstance(cell, float):
        return figures(cell)
    if isinstance(cell, Number):
        return words(cell, display)
    if isinstance(cell, Measured):
        unit = "" if display == "US" else " mm"
        return " × ".join(measured_off(side, display) for side in cell.sides) + unit
    return str(cell)


def columns(*names: str) -> tuple[Column, ...]:
    """Columns by their headings; one that ends with "*" is wide, with "**" twice as wide.

    >>> columns("tank", "what*")[1]
    Column(name='what', wide=1, write=0.0)
    """
    return tuple(Column(name=name.rstrip("*"), wide=len(name) - len(name.rstrip("*"))) for name in names)
