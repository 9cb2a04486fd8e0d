"""Treatments of a time: what was given where, how much, for how long, on whose word, and until when nothing leaves."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from typing import Final

from tankwright.documents.model import Block, Cell, Paragraph, Sheet, Table, columns
from tankwright.documents.papers.source import PaperSource
from tankwright.documents.papers.told import day, seal_said
from tankwright.husbandry.treatments import CAUTION, Treatment

TABLES: Final = ("treatments",)
NOT_SAID: Final = "not written down"


def treatment_sheets(source: PaperSource) -> tuple[Sheet, ...]:
    """All treatments that ran in the time, or whose withdrawal reached into it."""
    return (Sheet(name="treatments", title="Treatments", part="papers", blocks=tuple(_blocks(source))),)


def courses_in(source: PaperSource) -> tuple[Treatment, ...]:
    """The courses that belong to the time; of the line that is asked for when one is."""
    begin, line = source.asked.begin, source.asked.line
    return tuple(
        one for one in source.courses
        if (begin is None or (one.free or one.ends) >= begin) and (line is None or _of(source, one, line.id))
    )  # fmt: skip


def _of(source: PaperSource, course: Treatment, line: str) -> bool:
    """Whether a course was of fish of a line: by its stock, else by what was in its tank then."""
    if course.stock:
        of = source.line_of(course.stock)
        return of is not None and of.id == line
    return any(
        one.line == line
        and any(stay.place == course.place and stay.at(course.began, course.ends) for stay in
                source.stays.by_stock.get(one.id, ()))
        for one in source.stocks.values()
    )  # fmt: skip


def _blocks(source: PaperSource) -> Iterator[Block]:
    yield Paragraph(text=f"Time: {source.time_said}.")
    yield treatments_table(source)
    yield Paragraph(text=CAUTION, caution=True)
    yield seal_said(source)


def treatments_table(source: PaperSource) -> Table:
    """The table of treatments; with a note instead of rows when there are none."""
    courses = courses_in(source)
    end = source.asked.end
    entered = {one.id: one.who for one in source.events("treated", ever=True)}
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (
            day(one.began), _days(one), source.place(one.place), source.stock(one.stock) or "all in it", one.what,
            one.dose or NOT_SAID, one.why or NOT_SAID, one.by or NOT_SAID, day(one.free) or NOT_SAID, one.state(end),
            entered.get(one.id, ""),
        )
        for one in courses
    )  # fmt: skip
    return Table(
        title="What was given", file="treatments", rows=rows,
        note="None is written down in this time. That none was given is not known by that." if not rows else
        "Withdrawal: until that day nothing leaves or is eaten, by what was entered; not checked against a label.",
        columns=columns("began", "days", "tank", "fish", "with*", "dose", "against*", "on whose word**",
                        "withdrawal until", f"on {source.asked.until}", "entered by"),
    )  # fmt: skip


def _days(one: Treatment) -> Cell:
    days = (one.ends - one.began) / timedelta(days=1)
    return None if not days else int(days) if days.is_integer() else days
