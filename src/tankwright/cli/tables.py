"""A table on a terminal: columns as wide as they need to be, long sentences wrapped under themselves."""

from __future__ import annotations

import shutil
import textwrap
from typing import Final

import click

from tankwright.display import printable
from tankwright.documents.model import Measured, Table, said
from tankwright.finding import Number

_BETWEEN: Final = 2
_LEAST: Final = 16
_WIDEST: Final = 140


def print_table(table: Table, display: str) -> None:
    """The table under its title; nothing of one without rows."""
    if not table.rows:
        return
    click.echo()
    if table.title:
        click.secho(printable(table.title), bold=True)
    heads = [column.name for column in table.columns]
    rows = [[printable(said(cell, display)) for cell in row] for row in table.rows]
    widths = [max(len(row[place]) for row in [heads, *rows]) for place in range(len(heads))]
    _narrow(widths, [bool(column.wide) for column in table.columns])
    numbers = [
        all(row[place] is None or isinstance(row[place], (int, Number, Measured)) for row in table.rows)
        for place in range(len(heads))
    ]
    for row in [heads, *rows]:
        for line in _lines(row, widths, numbers):
            click.echo(f"  {line}".rstrip())


def _narrow(widths: list[int], wide: list[bool]) -> None:
    """Wide columns share what the others leave of the terminal."""
    room = min(shutil.get_terminal_size((110, 24)).columns, _WIDEST) - 2 - _BETWEEN * (len(widths) - 1)
    loose = [place for place, one in enumerate(wide) if one]
    left = room - sum(width for width, one in zip(widths, wide, strict=True) if not one)
    for number, place in enumerate(sorted(loose, key=lambda one: widths[one])):
        share = max(left // (len(loose) - number), _LEAST)
        widths[place] = min(widths[place], share)
        left -= widths[place]


def _lines(row: list[str], widths: list[int], numbers: list[bool]) -> list[str]:
    cells = [textwrap.wrap(text, width) or [""] for text, width in zip(row, widths, strict=True)]
    tall = max(len(cell) for cell in cells)
    lines = []
    for down in range(tall):
        parts = []
        for cell, width, number in zip(cells, widths, numbers, strict=True):
            text = cell[down] if down < len(cell) else ""
            parts.append(text.rjust(width) if number else text.ljust(width))
        lines.append((" " * _BETWEEN).join(parts))
    return lines
