"""The three kinds of weather file that are read: where each has its place, its hours and its values.

Source: EnergyPlus weather file (EPW) data dictionary, TMY3 user's manual (S. Wilcox and W. Marion, 2008), TMY2
user's manual (W. Marion and K. Urban, 1995); columns from memory, checked against pvlib's readers in the tests.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

ICE_POINT: Final = 273.15


@dataclass(frozen=True, slots=True)
class Value:
    """One series of a year: its words, the span in which it is believed, and how it becomes SI.

    `least`, `most` and `unit` are as the file writes it; SI is `text * scale + zero`.
    """

    field: str
    words: str
    unit: str
    least: float
    most: float
    scale: float = 1.0
    zero: float = 0.0


def _values(pressure_unit: str) -> tuple[Value, ...]:
    pascals = {"Pa": 1.0, "mbar": 100.0}[pressure_unit]
    return (
        Value("dry_bulb", "air temperature (dry bulb)", "°C", -90.0, 60.0, 1.0, ICE_POINT),
        Value("relative_humidity", "relative humidity", "%", 0.0, 110.0, 0.01),
        Value("pressure", "air pressure", pressure_unit, 31000.0 / pascals, 120000.0 / pascals, pascals),
        Value("global_horizontal", "sun on flat ground (global horizontal)", "W/m2", 0.0, 1500.0),
        Value("direct_normal", "straight sun (direct normal)", "W/m2", 0.0, 1500.0),
        Value("diffuse_horizontal", "light of the sky (diffuse horizontal)", "W/m2", 0.0, 1000.0),
        Value("wind_speed", "wind speed", "m/s", 0.0, 100.0),
    )


@dataclass(frozen=True, slots=True)
class Column:
    """Where a value stands in a row (or between which letters, in a file of fixed columns), and what says "missing".

    `divisor` is 10 where the file writes tenths.
    """

    value: Value
    at: int
    missing: frozenset[float]
    end: int = 0
    divisor: float = 1.0


@dataclass(frozen=True, slots=True)
class Layout:
    """How a kind of file is laid out. `widths` are the numbers of columns a row may have, the usual one first."""

    kind: str
    first_row: int
    columns: tuple[Column, ...]
    widths: tuple[int, ...]
    clock: Callable[[Sequence[str]], tuple[int, int, int]]
    delimiter: str = ","

    def cells(self, line: str) -> list[str]:
        """A row split into its columns, blanks and all: whoever takes a column of so many strips it."""
        if not self.delimiter:
            return [
                line[1:3],
                line[3:5],
                line[5:7],
                line[7:9],
                *(line[one.at : one.end] for one in self.columns),
            ]
        return split(line, self.delimiter) if '"' in line else line.split(self.delimiter)

    def cell(self, number: int) -> int:
        """Where in `cells` the column of that number stands."""
        return self.columns[number].at if self.delimiter else number + 4


def split(line: str, delimiter: str) -> list[str]:
    """A row of separated values, each without blanks around it; quotation marks keep a delimiter inside.

    >>> split('723170,"NEW YORK, JFK",NY', ",")
    ['723170', 'NEW YORK, JFK', 'NY']
    """
    if '"' in line:
        try:
            return [cell.strip() for cell in next(csv.reader([line], delimiter=delimiter), [])]
        except csv.Error:  # a quotation mark that never ends
            return [line]
    return [cell.strip() for cell in line.split(delimiter)]


def delimiter_of(line: str) -> str:
    """What stands between the values: a comma, or what a spreadsheet of another country put there.

    >>> delimiter_of("LOCATION;Kassel;-;DEU"), delimiter_of("LOCATION,Kassel")
    (';', ',')
    """
    return max(",;\t", key=line.count)


def _epw_clock(cells: Sequence[str]) -> tuple[int, int, int]:
    return int(cells[1]), int(cells[2]), int(cells[3])


def epw_layout(delimiter: str) -> Layout:
    """EPW: eight lines of header, then year, month, day, hour 1 to 24, minute, flags and the values."""
    marks = ((6, 99.9), (8, 999.0), (9, 999999.0), (13, 9999.0), (14, 9999.0), (15, 9999.0), (21, 999.0))
    columns = tuple(
        Column(value, at, frozenset({code, -9999.0, -9900.0}))
        for value, (at, code) in zip(_values("Pa"), marks, strict=True)
    )
    # the last three columns (albedo and rain) came later; nothing here reads them
    return Layout("EPW", 8, columns, (35, 34, 33, 32), _epw_clock, delimiter)


TMY3_COLUMNS: Final = ("dry-bulb", "rhum", "pressure", "ghi", "dni", "dhi", "wspd")
TMY3_WIDTH: Final = 71


def _tmy3_clock(cells: Sequence[str]) -> tuple[int, int, int]:
    month, day, _ = cells[0].split("/")
    hour, minute = cells[1].split(":")
    if int(minute) != 0:
        raise ValueError("not a full hour")
    return int(month), int(day), int(hour)


def tmy3_layout(header: str, delimiter: str) -> tuple[Layout, tuple[str, ...]]:
    """TMY3: columns by the names of the second line. Gives the layout and the words of columns that are not there."""
    names = [name.split(" (")[0].strip().lower() for name in split(header, delimiter)]
    columns, absent = [], []
    for value, name in zip(_values("mbar"), TMY3_COLUMNS, strict=True):
        if name in names:
            columns.append(Column(value, names.index(name), frozenset({-9900.0, -9999.0})))
        else:
            absent.append(value.words)
    layout = Layout("TMY3", 2, tuple(columns), (len(names),), _tmy3_clock, delimiter)
    return layout, tuple(absent)


def _tmy2_clock(cells: Sequence[str]) -> tuple[int, int, int]:
    return int(cells[1]), int(cells[2]), int(cells[3])


def tmy2_layout() -> Layout:
    """TMY2: one line of header, then rows of fixed columns; temperature and wind in tenths."""
    spans = ((67, 71, 9999.0, 10.0), (79, 82, 999.0, 1.0), (84, 88, 9999.0, 1.0), (17, 21, 9999.0, 1.0),
             (23, 27, 9999.0, 1.0), (29, 33, 9999.0, 1.0), (95, 98, 999.0, 10.0))  # fmt: skip
    columns = tuple(
        Column(value, start, frozenset({code}), end, divisor)
        for value, (start, end, code, divisor) in zip(_values("mbar"), spans, strict=True)
    )
    return Layout("TMY2", 1, columns, (4 + len(columns),), _tmy2_clock, "")
