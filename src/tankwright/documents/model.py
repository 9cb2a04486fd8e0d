"""What a printed sheet holds: drawings, tables and sentences, in the order they are read. Frozen.

A table keeps its numbers as numbers, so that the same table is printed in the reader's units and written as CSV and
XLSX to be added up.
"""

from __future__ import annotations

from dataclasses import dataclass

from tankwright.display import words
from tankwright.drawing.measured import measured_off
from tankwright.drawing.model import Drawing
from tankwright.finding import Number
from tankwright.units import Metre


@dataclass(frozen=True, slots=True)
class Measured:
    """A length, or sides, as somebody marks them with a rule: to the millimetre, or the eighth of an inch."""

    sides: tuple[Metre, ...]


Cell = str | int | Number | Measured | None
"""A text, a count, a quantity in SI, a length to be marked, or nothing known ("–")."""

NOTHING = "–"


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column's heading. `wide` columns share what is left of the page and wrap."""

    name: str
    wide: bool = False


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


Block = Drawing | Table | Paragraph


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One sheet of the book, a page or more. `name` is its file's ("drill-long90"), `part` where the book lists it."""

    name: str
    title: str
    part: str
    blocks: tuple[Block, ...]


def said(cell: Cell, display: str) -> str:
    """A cell in words.

    >>> said(Number(0.61, "length"), "metric"), said(3, "metric"), said(None, "US")
    ('61 cm', '3', '–')
    >>> said(Measured((1.2, 0.6045)), "metric")
    '1200 × 604 mm'
    """
    if cell is None or cell == "":
        return NOTHING
    if isinstance(cell, Number):
        return words(cell, display)
    if isinstance(cell, Measured):
        unit = "" if display == "US" else " mm"
        return " × ".join(measured_off(side, display) for side in cell.sides) + unit
    return str(cell)


def columns(*names: str) -> tuple[Column, ...]:
    """Columns by their headings; one that ends with "*" is wide.

    >>> columns("tank", "what*")[1]
    Column(name='what', wide=True)
    """
    return tuple(Column(name=name.removesuffix("*"), wide=name.endswith("*")) for name in names)
