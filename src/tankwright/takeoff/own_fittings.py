"""A shop's own table of fittings: the columns of the open one, all mistakes told in one pass.

A line that gives only a key names a fitting of the open table the shop has; one with `ends` is a fitting of its own,
or takes the place of the open table's. A column `price` prices them. `only` leaves the open table out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Final

from tankwright.finding import Finding, Severity
from tankwright.takeoff.fittings import Fitting, all_fittings, find_fitting, fitting_of
from tankwright.takeoff.table_text import NotATable, Row, is_currency, read_amount, read_table, table_text

COLUMNS: Final = (
    "key", "kind", "ends", "turn_deg", "bore_mm", "depth_mm", "take_up_mm", "material", "effort", "source", "price",
)  # fmt: skip
_WANTED: Final = (
    'a column "key", with "kind" and "ends" for what the open table does not have; also '
    + ", ".join(COLUMNS[3:])
)
_EXAMPLE: Final = 'key,kind,ends\\n"my bush 40 x 20",reducing bush,"40 mm ISO plain end; 20 mm ISO socket"'
_MOST: Final = 20_000
_DEAREST: Final = 1e6


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnFittings:
    """What a shop has. `findings` are mistakes in the table; where there are any, do not rely on the rest."""

    fittings: tuple[Fitting, ...] = ()
    prices: Mapping[str, float] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()


def read_own_fittings(raw: bytes, name: str = "table of fittings") -> OwnFittings:
    """The fittings and prices of a shop's table in CSV; mistakes are findings with their line, never raised.

    >>> own = read_own_fittings(b'key,price\\ncoupling 50 mm ISO,1.20\\n')
    >>> own.fittings[0].kind, own.prices["coupling 50 mm ISO"], own.findings
    ('coupling', 1.2, ())
    """
    text = table_text(raw)
    if isinstance(text, NotATable):
        return OwnFittings(findings=(_slip("FIT-10", name, text.text, text.line, wanted=text.wanted),))
    table = read_table("\n".join("" if line.startswith("#") else line for line in text.split("\n")))
    strange = [column for column in table.columns if column not in COLUMNS]
    if "key" not in table.columns:
        found = ", ".join(table.columns[:6]) or "nothing"
        return OwnFittings(
            findings=(
                _slip(
                    "FIT-10",
                    name,
                    "has no column key",
                    table.line,
                    found=found,
                    wanted=_WANTED,
                    attempt=_EXAMPLE,
                ),
            )
        )
    findings = [
        _slip("FIT-10", name, f'column "{column[:40]}" is not known', table.line, wanted=", ".join(COLUMNS))
        for column in strange
    ]
    if table.broken:
        findings.append(
            _slip("FIT-10", name, table.broken.text, table.broken.line, wanted=table.broken.wanted)
        )
    if not table.rows:
        findings.append(
            _slip("FIT-10", name, "names no fitting", table.line, wanted=_WANTED, attempt=_EXAMPLE)
        )
    if len(table.rows) > _MOST:
        findings.append(
            _slip("FIT-10", name, f"has more than {_MOST} lines", None, wanted="one shop's fittings")
        )
    fittings: dict[str, Fitting] = {}
    prices: dict[str, float] = {}
    for row in table.rows[:_MOST]:
        findings += _read_row(row, table.sign, fittings, prices)
    return OwnFittings(fittings=tuple(fittings.values()), prices=prices, findings=tuple(findings))


def with_own(own: OwnFittings, *, only: bool = False) -> tuple[Fitting, ...]:
    """What can be bought: the shop's table and the open one, or the shop's alone.

    >>> len(with_own(OwnFittings())) == len(all_fittings()), with_own(OwnFittings(), only=True)
    (True, ())
    """
    if only:
        return own.fittings
    keys = {one.key for one in own.fittings}
    return (*own.fittings, *(one for one in all_fittings() if one.key not in keys))


def _read_row(row: Row, sign: str, fittings: dict[str, Fitting], prices: dict[str, float]) -> list[Finding]:
    """Reads one line into the two; hands back its mistakes."""
    key = row.cells.get("key", "")
    subject = f'fitting "{key[:60]}"' if key else "a line of fittings"
    if row.too_many:
        return [_slip("FIT-11", subject, f"has {row.too_many} cells more than there are columns", row.line)]
    if key in fittings:
        return [_slip("FIT-11", subject, "stands in the table twice", row.line, wanted="each key once")]
    found: list[Finding] = []
    fitting = None
    if row.cells.get("ends") or row.cells.get("kind"):
        try:
            fitting = fitting_of(row.cells)
        except (ValueError, KeyError) as error:
            why = str(error) if isinstance(error, ValueError) else f"has no {error.args[0]}"
            found.append(_slip("FIT-11", subject, why, row.line))
    else:
        fitting = find_fitting(key)
        if fitting is None:
            near = get_close_matches(key, [one.key for one in all_fittings()], n=3, cutoff=0.5)
            found.append(
                _slip(
                    "FIT-11",
                    subject,
                    "is not in the open table, and the line does not say what it is",
                    row.line,
                    wanted="kind and ends, or a key of the open table (tankwright chain --list)",
                    attempt=", ".join(f'"{one}"' for one in near),
                )
            )
    if price := row.cells.get("price", ""):
        words = price.split()
        bare = [word for word in words if not is_currency(word)]
        amount = read_amount("".join(bare), sign)
        if amount is None or not 0 <= amount < _DEAREST:
            found.append(
                _slip(
                    "FIT-11",
                    subject,
                    "has no price that can be",
                    row.line,
                    found=f'"{price}"',
                    wanted="a number",
                )
            )
        else:
            prices[key] = float(amount)
    if fitting is not None:
        fittings[key] = fitting
    return found


def _slip(
    code: str,
    subject: str,
    text: str,
    line: int | None,
    *,
    found: str = "",
    wanted: str = "",
    attempt: str = "",
) -> Finding:
    return Finding(
        code=code, severity=Severity.PROBLEM, subject=subject, text=text, line=line, found=found, wanted=wanted,
        attempt=attempt,
    )  # fmt: skip
