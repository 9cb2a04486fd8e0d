"""Reading the open tables of the catalogue: CSV files beside this one, with "#" lines on top that say whence.

A table that does not hold what its reader needs is a fault of the program, said with its file and line.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TypeVar

_Row = TypeVar("_Row")
Cells = Mapping[str, str]


class TableError(ValueError):
    """A line of a table that cannot be what it says."""


def read_table(file_name: str, made: Callable[[Cells], _Row]) -> tuple[_Row, ...]:
    """Every line of a table of the catalogue, each made into what it stands for."""
    place = Path(__file__).with_name(file_name)
    lines = place.read_text(encoding="utf-8").splitlines()
    return rows_of(lines, file_name, made)


def rows_of(lines: list[str], file_name: str, made: Callable[[Cells], _Row]) -> tuple[_Row, ...]:
    """The lines of a table as `made` has them; raises TableError naming the line that is no good.

    >>> rows_of(["# whence", "name", "glass"], "x.csv", lambda cells: cells["name"])
    ('glass',)
    """
    above = sum(line.startswith("#") for line in lines)
    rows = []
    for number, cells in enumerate(csv.DictReader(lines[above:], strict=True), above + 2):
        if None in cells or None in cells.values():
            raise TableError(f"{file_name}:{number}: not as many cells as there are columns")
        try:
            rows.append(made(cells))
        except (ValueError, KeyError) as error:
            raise TableError(f"{file_name}:{number}: {error}") from error
    return tuple(rows)


def by_names(rows: Mapping[str, _Row], text: str) -> _Row | None:
    """The row of a name, in capitals or not, however it is spaced.

    >>> by_names({"mineral wool": 1}, " Mineral  wool")
    1
    """
    return rows.get(folded(text))


def folded(text: str) -> str:
    """A name as names are compared."""
    return " ".join(text.casefold().split())


def indexed(rows: tuple[_Row, ...], names: Callable[[_Row], tuple[str, ...]]) -> dict[str, _Row]:
    """Rows by each of their names; raises TableError when two rows claim one name."""
    index: dict[str, _Row] = {}
    for row in rows:
        for name in filter(None, names(row)):
            if index.setdefault(folded(name), row) is not row:
                raise TableError(f'two rows are called "{name}"')
    return index
