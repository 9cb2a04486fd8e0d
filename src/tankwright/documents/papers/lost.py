"""Losses of a time and their causes: known, not known, and what is missing at counts, per month and tank."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from tankwright.documents.model import Block, Cell, Paragraph, Sheet, Table, columns
from tankwright.documents.papers.source import PaperSource
from tankwright.documents.papers.told import NOT_KNOWN, seal_said
from tankwright.husbandry.losses import Losses, losses

TABLES: Final = ("losses", "loss-causes")


def loss_sheets(source: PaperSource) -> tuple[Sheet, ...]:
    """All losses of the time."""
    return (
        Sheet(name="losses", title="Losses and their causes", part="papers", blocks=tuple(_blocks(source))),
    )


def losses_of(source: PaperSource) -> Losses:
    """The losses of the time; of the line that is asked for when one is. Months are of the clock on the wall."""
    events = source.events("died", "culled")
    line = source.asked.line
    if line is None:
        return losses(source.moved_within, events, None)
    own = {one.id for one in source.book.stocks(closed=True) if one.line == line.id}
    moved = [one for one in source.moved_within if one.stock in own]
    return losses(moved, [one for one in events if one.stock in own], None)


def _blocks(source: PaperSource) -> Iterator[Block]:
    found = losses_of(source)
    unassigned = sum(row.unassigned for row in found.rows)
    known = sum(row.known for row in found.rows)
    of = f" Of the line {source.asked.line.name} alone." if source.asked.line is not None else ""
    yield Paragraph(
        text=f"Time: {source.time_said}.{of} {found.total('dead')} died, of {known} a cause was written down;"
        f" {found.total('culled')} culled, {found.total('escaped')} escaped; {found.total('lost')} missing at counts"
        f" and {found.total('found')} found, of which nobody knows why."
        + (f" {unassigned} more dead were seen of which nobody said what they were; a count may miss them again."
           if unassigned else "")
    )  # fmt: skip
    yield _causes(found)
    yield loss_table(source, found)
    yield Paragraph(
        text="A cause is what somebody wrote down, not a diagnosis. No entry is no proof that none died."
    )
    yield seal_said(source)


def _causes(found: Losses) -> Table:
    return Table(
        title="By cause", file="loss-causes", columns=columns("how", "cause*", "fish"),
        rows=tuple((one.how, one.cause or NOT_KNOWN, one.fish) for one in found.causes),
    )  # fmt: skip


def loss_table(source: PaperSource, found: Losses) -> Table:
    """A row a month and tank, and one of all."""
    rows: list[tuple[Cell, ...]] = [
        (row.month, source.place(row.place) or NOT_KNOWN, row.known, row.unknown, row.culled,
         row.escaped, row.lost, row.found, row.unassigned)
        for row in sorted(found.rows, key=lambda row: (row.month, source.place(row.place)))
    ]  # fmt: skip
    if rows:
        sums = [sum(getattr(row, name) for row in found.rows) for name in
                ("known", "unknown", "culled", "escaped", "lost", "found", "unassigned")]  # fmt: skip
        rows.append(("all", "", *sums))
    return Table(
        title="By month and tank", file="losses", rows=tuple(rows),
        columns=columns("month", "tank*", "died, cause known", "died, cause not known", "culled", "escaped", "missing",
                        "found", "dead of no stock"),
    )  # fmt: skip
