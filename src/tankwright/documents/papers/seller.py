"""The seller's pack: what left to whom and when, when it was treated, how its tank stood. No health certificate."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from tankwright.documents.model import Block, Cell, Paragraph, Sheet, Table, columns
from tankwright.documents.papers.medicines import NOT_SAID
from tankwright.documents.papers.source import PaperSource
from tankwright.documents.papers.told import NOT_KNOWN, day, seal_said
from tankwright.husbandry.ages import age_days
from tankwright.husbandry.dispatch import LOOKED_BACK, NO_CERTIFICATE, Left, dispatches
from tankwright.husbandry.treatments import CAUTION

TABLES: Final = ("left", "left-treated")
_OUT: Final = frozenset({"sold", "given"})
_CALLED: Final = {"given": "given away"}


def seller_sheets(source: PaperSource) -> tuple[Sheet, ...]:
    """What was sold or given away in the time."""
    return (Sheet(name="seller", title="Seller’s pack", part="papers", blocks=tuple(_blocks(source)),
                  data=(_data(source),)),)  # fmt: skip


def left_of(source: PaperSource) -> tuple[Left, ...]:
    """What was sold or given away in the time: of the line, or to whom, that is asked for."""
    begin, to = source.asked.begin, source.asked.to.casefold()
    line = source.asked.line
    events = source.events("left", "arrived", "found", "moved", "regrouped", ever=True)
    return tuple(
        one for one in dispatches(events, source.courses, source.quarantines, source.stays)
        if one.how in _OUT and (begin is None or one.happened >= begin) and (not to or to == one.to.casefold())
        and (line is None or (source.line_of(one.stock) or line).id == line.id)
    )  # fmt: skip


def _blocks(source: PaperSource) -> Iterator[Block]:
    left = left_of(source)
    to = f" To {source.asked.to} alone." if source.asked.to else ""
    sold, given = (sum(one.fish for one in left if one.how == how) for how in ("sold", "given"))
    yield Paragraph(text=NO_CERTIFICATE, caution=True)
    yield Paragraph(text=f"Time: {source.time_said}.{to} {sold} fish were sold, {given} given away.")
    yield Table(
        title="What left", note="Age in days, on the day they left.",
        columns=columns("day", "fish", "what", "species", "age", "how", "to*", "out of", "its tank then*"),
        rows=tuple(
            (day(one.happened), one.fish, source.stock(one.stock), _species(source, one), _age(source, one),
             _CALLED.get(one.how, one.how), one.to or NOT_SAID, source.place(one.place), shut_words(one))
            for one in left
        ),
    )  # fmt: skip
    yield _treated(source, left)
    early = [one for one in left if one.withheld]
    if early:
        yield Paragraph(
            caution=True,
            text=f"Left while a treatment ran or its withdrawal was not over: {_which(source, early)}.",
        )
    yield Paragraph(text=CAUTION, caution=True)
    yield seal_said(source)


def _which(source: PaperSource, some: list[Left]) -> str:
    return ", ".join(f"{one.fish} {source.stock(one.stock)} on {day(one.happened)}" for one in some)


def _species(source: PaperSource, one: Left) -> str:
    line = source.line_of(one.stock)
    return line.species if line is not None and line.species else NOT_KNOWN


def _age(source: PaperSource, one: Left) -> Cell:
    stock = source.stocks.get(one.stock)
    return None if stock is None else age_days(stock, one.happened.astimezone().date())


def shut_words(one: Left) -> str:
    """How the tank stood that they came out of."""
    if one.shut == "shut off":
        return f"shut off, day {one.shut_days:.0f} of {one.least_days:.0f}"
    if one.shut == "opened again":
        return f"opened again {day(one.released)}"
    return f"not shut off{f'; fish came to it {day(one.arrived)}' if one.arrived is not None else ''}"


def _treated(source: PaperSource, left: tuple[Left, ...]) -> Table:
    rows: list[tuple[Cell, ...]] = [
        (day(one.happened), source.stock(one.stock), one.to or NOT_SAID, course.what, course.dose or NOT_SAID,
         f"{day(course.began)} to {day(course.ends)}", day(course.free) or NOT_SAID, course.state(one.happened))
        for one in left for course in one.courses
    ]  # fmt: skip
    none = (
        f"No treatment in the {LOOKED_BACK.days} days before they left is written down; that none was given is not"
        " known by that."
    )
    return Table(
        title="Treated before they left", file="left-treated", rows=tuple(rows),
        note="" if rows else none,
        columns=columns("left", "what*", "to*", "with*", "dose", "given", "withdrawal until", "when they left"),
    )  # fmt: skip


def _data(source: PaperSource) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for one in left_of(source):
        line = source.line_of(one.stock)
        rows.append((
            day(one.happened), one.event, source.stock(one.stock), one.stock, line.name if line else "",
            line.species if line else "", _age(source, one), one.fish, one.how, one.to, source.place(one.place),
            one.shut, round(one.shut_days, 1) if one.shut == "shut off" else None,
            one.least_days if one.shut != "not shut off" else None, day(one.arrived), len(one.courses),
            len(one.withheld),
        ))  # fmt: skip
    return Table(
        title="What left", file="left", rows=tuple(rows),
        columns=columns("day", "entry", "stock", "id", "line", "species", "age days", "fish", "how", "to", "out of",
                        "tank", "shut off days", "of days", "fish came last", "treatments before",
                        "within withdrawal"),
    )  # fmt: skip
