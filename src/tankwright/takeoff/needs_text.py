"""A list of what is wanted as CSV: `article`, `count`, and where wanted `unit` and `have` (on hand, used first)."""

from __future__ import annotations

from collections import Counter
from difflib import get_close_matches
from typing import Final

from tankwright.finding import Finding, Severity
from tankwright.takeoff.offers import Wanted, read_form
from tankwright.takeoff.table_text import NotATable, Row, read_amount, read_table, table_text
from tankwright.units import clip

BAD_NEEDS: Final = "BASKET-12"
COLUMNS: Final = ("article", "count", "unit", "have")
_MOST: Final = 1_000_000
_MOST_MISTAKES: Final = 100


def read_needs(raw: bytes, *, name: str = "needs") -> tuple[tuple[Wanted, ...], tuple[Finding, ...]]:
    """What a list wants, and what is wrong with it, all in one pass. Never raises for what it holds.

    >>> wanted, wrong = read_needs(b"article;count;unit\\npipe 50 mm;4;6 m\\nair hose;12,5;m\\n")
    >>> [(one.article, one.count, one.form.words()) for one in wanted], wrong
    ([('pipe 50 mm', 4.0, '6 m'), ('air hose', 12.5, 'm')], ())
    """
    text = table_text(raw)
    if isinstance(text, NotATable):
        return (), (_said(name, text.line, text.text, text.wanted),)
    table = read_table(text)
    findings = []
    for column, count in Counter(table.columns).items():
        if column not in COLUMNS or count > 1:
            near = get_close_matches(column, COLUMNS, 1)
            what = "means nothing here" if count == 1 else "stands there twice"
            findings.append(
                _said(
                    name, table.line, f'has a column "{clip(column)}" that {what}', ", ".join(COLUMNS), *near
                )
            )
    missing = [column for column in COLUMNS[:2] if column not in table.columns]
    if missing:
        text = "names no article and no count" if len(missing) > 1 else f"has no column {missing[0]}"
        return (), (*findings, _said(name, table.line, text, "article,count on the first line"))
    wanted = []
    for row in table.rows:
        read = _wanted(row, table.sign)
        if isinstance(read, Wanted):
            wanted.append(read)
        else:
            findings.append(_said(name, row.line, *read))
    if table.broken is not None:
        findings.append(_said(name, table.broken.line, table.broken.text, table.broken.wanted))
    if not table.rows and not findings:
        findings.append(_said(name, None, "wants nothing", "a line for each article"))
    return tuple(wanted), tuple(findings[:_MOST_MISTAKES])


def _wanted(row: Row, sign: str) -> Wanted | tuple[str, str]:
    """What a row wants; or what is wrong with it and what would be right."""
    if row.too_many:
        return "has more cells than there are columns", 'quotes round a text with a "," in it'
    article = row.cells.get("article", "")
    if not article:
        return "names no article", "what is wanted"
    form = read_form(row.cells.get("unit", ""))
    if isinstance(form, str):
        return form, 'piece, m, m2, L, "6 m" or "2400 x 1200 mm"'
    typed = (row.cells.get("count", ""), row.cells.get("have", "") or "0")
    numbers = [read_amount(one, sign) for one in typed]
    for text, number in zip(typed, numbers, strict=True):
        if number is None or not 0 <= number <= _MOST or (form.unit == "" and number != int(number)):
            return f'"{clip(text)}" is no count', "a number from 0 up, whole for pieces"
    count, have = (float(one) for one in numbers if one is not None)
    return Wanted(article=article, count=count, form=form, on_hand=have)


def _said(name: str, line: int | None, text: str, wanted: str, attempt: str = "") -> Finding:
    return Finding(
        code=BAD_NEEDS,
        severity=Severity.PROBLEM,
        subject=name,
        line=line,
        text=text,
        wanted=wanted,
        attempt=attempt,
    )
