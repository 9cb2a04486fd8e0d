"""The census of a day: what lived where, by tank, line or stock, of what age; and the balance that leads to it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Final

from tankwright.documents.model import Block, Cell, Paragraph, Sheet, Table, columns
from tankwright.documents.papers.source import PaperSource
from tankwright.documents.papers.told import HOW, NOT_KNOWN, day, seal_said
from tankwright.husbandry.ages import AGES, age_class, age_days
from tankwright.husbandry.balance_sheet import HEADINGS, BalanceSheet, Heading, balance_sheet
from tankwright.workspace.census import Lives, grouped, number_words

TABLES: Final = ("census", "census-ages", "census-balance")
OF_NO_LINE: Final = "of no line"
_CALLED: Final[dict[Heading, str]] = {
    "arrived": "came", "given": "given away", "lost": "missing", "estimate": "guesses put right",
    "transit": "on the way", "regrouped": "counted otherwise",
}  # fmt: skip
WAYS: Final = tuple(one for one in HEADINGS if one != "moved")
"""Headings of a balance of whole lines: what moves within the room is of no account there."""


def census_sheets(source: PaperSource) -> tuple[Sheet, ...]:
    """The census of the last day of the time."""
    return (
        Sheet(name="census", title=f"Census of {source.asked.until}", part="papers", blocks=tuple(_blocks(source)),
              data=(_data(source),)),
    )  # fmt: skip


def wanted(source: PaperSource) -> tuple[Lives, ...]:
    """What lived then, of the line that is asked for when one is."""
    line = source.asked.line
    return tuple(
        one for one in source.lives if line is None or (one.line is not None and one.line.id == line.id)
    )


def _blocks(source: PaperSource) -> Iterator[Block]:
    rows = wanted(source)
    yield Paragraph(text=_whole(source, rows))
    by = source.asked.by
    groups = grouped(rows, by)
    yield Table(
        title=f"By {by}", columns=columns(by, "fish", "what*"),
        rows=tuple(
            (one.name, one.number, ", ".join(_row(each, by) for each in one.rows)) for one in groups
        ),
    )  # fmt: skip
    yield ages_table(source, rows)
    yield balance_table(source)
    yield Paragraph(
        text="Each row of the balance adds up from what there was before to what there is after. “Missing” and “found”"
        " are what counts show and nobody can say why; for “guesses put right” no fish came or went."
    )
    yield Paragraph(text=HOW)
    yield seal_said(source)


def _whole(source: PaperSource, rows: tuple[Lives, ...]) -> str:
    if not rows:
        return f"No fish were in the book {source.end_said}."
    fish = number_words(*(sum(getattr(one, end) for one in rows) for end in ("held", "low", "high")))
    stocks, tanks = len({one.stock.id for one in rows}), len({one.place.id for one in rows})
    of = f" of the line {source.asked.line.name}" if source.asked.line is not None else ""
    return (
        f"{source.end_said[:1].upper()}{source.end_said[1:]}, as far as is known on {source.today}: {fish} fish{of},"
        f" {stocks} {'stock' if stocks == 1 else 'stocks'}, in {tanks} {'place' if tanks == 1 else 'places'}."
    )


def _row(one: Lives, by: str) -> str:
    name = one.stock.label if by != "stock" else ""
    where = one.place.label if by != "tank" else ""
    return " ".join(part for part in (one.number, name, f"in {where}" if where else "") if part)


def _data(source: PaperSource) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for one in wanted(source):
        age = age_days(one.stock, source.asked.until)
        rows.append((
            one.place.label, one.place.rack, one.place.zone, one.line.name if one.line else OF_NO_LINE,
            one.line.species if one.line else "", one.line.protocol if one.line else "", one.stock.label, one.stock.id,
            one.stock.kind, one.stock.sex, str(one.stock.born or NOT_KNOWN), age, age_class(age), one.held, one.low,
            one.high, "counted" if one.low == one.high else "guessed", day(one.since),
        ))  # fmt: skip
    return Table(
        title="Census", file="census", rows=tuple(rows),
        columns=columns("tank", "rack", "zone", "line", "species", "permit or plan", "stock", "id", "kind", "sex",
                        "born", "age days", "age", "fish", "least", "most", "known", "since"),
    )  # fmt: skip


def ages_table(source: PaperSource, rows: tuple[Lives, ...]) -> Table:
    """Fish of each line by age; what is nowhere is left empty."""
    counts: dict[str, Counter[str]] = {}
    for one in rows:
        line = one.line.name if one.line is not None else OF_NO_LINE
        counts.setdefault(line, Counter())[age_class(age_days(one.stock, source.asked.until))] += one.held
    names = sorted(counts, key=lambda name: (name == OF_NO_LINE, name.casefold()))
    return Table(
        title="By age", file="census-ages", columns=columns("line*", *AGES, "in all"),
        rows=tuple(
            (name, *(counts[name][age] for age in AGES), counts[name].total()) for name in names
        ),
    )  # fmt: skip


def line_balances(source: PaperSource) -> tuple[tuple[str, BalanceSheet], ...]:
    """The balance of every line over the time, of stocks of none, and of all."""
    moved, before, end = source.moved, source.before, source.asked.end
    asked = source.asked.line
    every = source.book.stocks(closed=True)
    found: list[tuple[str, BalanceSheet]] = []
    for line in sorted(source.lines.values(), key=lambda one: one.name.casefold()):
        own = {one.id for one in every if one.line == line.id}
        if own and (asked is None or asked.id == line.id):
            found.append((line.name, balance_sheet(moved, stocks=own, since=before, until=end)))
    if asked is None:
        rest = {one.id for one in every if one.line not in source.lines}
        if rest:
            found.append((OF_NO_LINE, balance_sheet(moved, stocks=rest, since=before, until=end)))
        found.append(("all", balance_sheet(moved, since=before, until=end)))
    return tuple(found)


def balance_table(source: PaperSource) -> Table:
    """Whence fish came and whither they went, a row a line."""
    sheets = line_balances(source)
    used = [one for one in WAYS if any(sheet.fish(one) for _, sheet in sheets)]
    return Table(
        title=f"Balance, {source.time_said}", file="census-balance",
        columns=columns("line*", "before", *(_CALLED.get(one, one) for one in used), "after"),
        rows=tuple(
            (name, sheet.before, *(sheet.fish(one) for one in used), sheet.after) for name, sheet in sheets
        ),
    )  # fmt: skip
