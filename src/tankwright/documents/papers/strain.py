"""The strain sheet: what a line is, how it stands, who bred and what came of it, who got fish."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Final

from tankwright.display import words
from tankwright.documents.model import Block, Cell, Inset, Paragraph, Picture, Sheet, Table, columns
from tankwright.documents.papers.breeding import report_of, survivors
from tankwright.documents.papers.source import PaperSource
from tankwright.documents.papers.told import (
    HOW,
    NOT_KNOWN,
    day,
    finding_said,
    number_cells,
    number_short,
    said_lines,
    seal_said,
    seen_words,
    set_words,
    tally_cells,
)
from tankwright.drawing.pedigree import AncestorWords, draw_ancestry
from tankwright.finding import Number, Severity
from tankwright.husbandry.ages import age_days
from tankwright.husbandry.ancestry import ancestry
from tankwright.husbandry.brood_report import BroodReport
from tankwright.husbandry.kinship import Kinships, kinships
from tankwright.husbandry.lines import held_of
from tankwright.husbandry.pedigree import pedigree_of
from tankwright.husbandry.register import Line, Stock
from tankwright.husbandry.spawning import spawns_of
from tankwright.report.lines import EXPLAINED, line_lines
from tankwright.workspace.log_lines import KeptLines

TABLES: Final = ("strain-stocks", "strain-breeders", "strain-broods", "strain-given")
GENERATIONS: Final = 3
"""Generations that are drawn: as many as can be read on a page."""
MOST_BROODS: Final = 400


def strain_sheets(source: PaperSource) -> tuple[Sheet, ...]:
    """The sheet of the line that is asked for."""
    line = source.asked.line
    if line is None:
        raise ValueError("a strain sheet is of a line")
    broods = broods_of(source, line)
    return (
        Sheet(name="strain", title=f"Strain sheet: {line.name}", part="papers",
              blocks=tuple(_blocks(source, line, broods)), data=(_brood_data(source, broods),)),
    )  # fmt: skip


def kept_then(source: PaperSource) -> KeptLines:
    """Lines, pedigree and what lived at the end of the time."""
    return KeptLines(
        lines=source.lines,
        pedigree=pedigree_of(tuple(source.stocks.values()), tuple(source.sets.values())),
        held=held_of(source.book.holdings_at(source.asked.end)),
        places={name: one.label for name, one in source.places.items()},
    )


def _blocks(source: PaperSource, line: Line, broods: tuple[BroodReport, ...]) -> Iterator[Block]:
    kept = kept_then(source)
    standing = kept.standing(line)
    may_mix = ", ".join(source.lines[one].name for one in line.may_mix if one in source.lines)
    yield Table(
        title="What it is", columns=columns("", "*"),
        rows=(
            ("species", line.species or NOT_KNOWN), ("whence", line.source or NOT_KNOWN),
            ("locality", line.locality or NOT_KNOWN), ("kept here since", day(line.opened)),
            ("permit or plan", line.protocol or "none written down"),
            ("may be mixed with", may_mix or "no other line"),
            ("fewest breeders", line.least_breeders), ("new generation", _regenerate(line)),
        ),
    )  # fmt: skip
    yield Table(
        title=f"How it stands on {source.asked.until}", note=EXPLAINED, columns=columns("*"),
        rows=tuple((one,) for one in said_lines(line_lines(standing), source)),
    )  # fmt: skip
    findings = [
        one for one in kept.findings(standing, source.asked.end) if one.severity is not Severity.NOTE
    ]  # fmt: skip
    if findings:
        yield Table(
            title="What stands against it", columns=columns("", "*", "code"),
            rows=tuple((one.severity.value, finding_said(one, source), one.code) for one in findings),
        )  # fmt: skip
    living = [source.stocks[one.stock] for one in standing.held if one.stock in source.stocks]
    known = None if standing.too_many else kinships(kept.pedigree, (one.id for one in living))
    yield _stocks(source, living, kept, known)
    yield _breeders(source, line)
    yield from _ancestors(source, living, kept, known)
    yield _broods(source, broods)
    yield from photos(source, [one.id for one in source.stocks.values() if one.line == line.id], line.name)
    yield _given(source, line)
    yield Paragraph(text=HOW)
    yield seal_said(source)


def _regenerate(line: Line) -> str:
    return "no day set" if line.regenerate_days is None else f"within {line.regenerate_days} days"


def _stocks(source: PaperSource, living: list[Stock], kept: KeptLines, known: Kinships | None) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for one in sorted(living, key=lambda stock: (stock.born or stock.opened.date(), stock.label)):
        held = kept.held[one.id]
        own = known.inbreeding(one.id) if known is not None else None
        rows.append((
            one.label, one.kind, one.sex or NOT_KNOWN, str(one.born or NOT_KNOWN),
            age_days(one, source.asked.until), held.fish, held.low, held.high,
            "counted" if held.low == held.high else "guessed",
            "not computed" if own is None else words(Number(own.value, "share"), source.display),
            ", ".join(source.place(place) for place in held.places),
        ))  # fmt: skip
    return Table(
        title="Living stocks", file="strain-stocks", rows=tuple(rows),
        note="Age in days. At least and at most are the same where all were counted. F: inbreeding if founders of whom"
        " nobody knows are unrelated.",
        columns=columns("stock", "kind", "sex", "born", "age", "fish", "least", "most", "known", "F", "tanks*"),
    )  # fmt: skip


def _breeders(source: PaperSource, line: Line) -> Table:
    own = {one.id for one in source.stocks.values() if one.line == line.id}
    spawned = source.events("spawned", ever=True)
    rows: list[tuple[Cell, ...]] = []
    for one in sorted(source.sets.values(), key=lambda each: (each.opened, each.id)):
        if not any(member.stock in own for member in one.members):
            continue
        spawns = spawns_of(spawned, one.id)
        rows.append((
            one.label or "a set", set_words(one, source), day(one.opened), day(one.ended) or "breeding now",
            len(spawns), day(spawns[-1].happened) if spawns else "none seen",
        ))  # fmt: skip
    return Table(
        title="Breeders",
        file="strain-breeders",
        rows=tuple(rows),
        columns=columns("set", "fish*", "since", "until", "spawns", "last spawn"),
    )


def _ancestors(
    source: PaperSource, living: list[Stock], kept: KeptLines, known: Kinships | None
) -> Iterator[Block]:
    """The ancestors of the youngest living stock that has any in the book."""
    young = [one for one in living if one.origin]
    if not young or known is None:
        yield Paragraph(
            text="No ancestry is drawn: "
            + (
                "of no living stock are parents in the book."
                if not young
                else "there are too many living stocks."
            )
        )
        return
    chosen = max(young, key=lambda one: (one.born or one.opened.date(), one.label))
    names = kept.names
    found = (
        kinships(kept.pedigree, kept.pedigree.stocks) if len(kept.pedigree.stocks) <= MOST_BROODS else known
    )
    said = {
        key: AncestorWords(
            name=names[key], founder=kept.pedigree.founders_of(key),
            said="" if (own := found.inbreeding(key)) is None
            else f"F {words(Number(own.value, 'share'), source.display)}",
        )
        for key in kept.pedigree.stocks
    }  # fmt: skip
    title = f"Ancestors of {names[chosen.id]}, the youngest that lives"
    yield Inset(
        drawing=draw_ancestry(ancestry(kept.pedigree, chosen.id, generations=GENERATIONS), said, title=title)
    )


def broods_of(source: PaperSource, line: Line) -> tuple[BroodReport, ...]:
    """The reports of all broods of a line, oldest first."""
    broods = [one for one in source.stocks.values() if one.line == line.id and one.kind == "brood"]
    broods.sort(key=lambda one: (one.born or one.opened.date(), one.label))
    return tuple(report_of(source, one) for one in broods[-MOST_BROODS:])


def _broods(source: PaperSource, broods: tuple[BroodReport, ...]) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for one in broods:
        at = [number_short(number) for number in one.numbers]
        rows.append((
            one.stock.label, day(one.origin) or NOT_KNOWN, ", ".join(each.label for each in one.parents) or NOT_KNOWN,
            seen_words(one.eggs), seen_words(one.young), *at, survivors(source, one.stock.id),
        ))  # fmt: skip
    return Table(
        title="Broods",
        rows=tuple(rows),
        note="A number alone was counted; “about” was guessed or lies between two counts, the table as CSV says which.",
        columns=columns("brood", "born", "of*", "eggs", "young", "at 30 days", "at 60 days", "living"),
    )


def _brood_data(source: PaperSource, broods: tuple[BroodReport, ...]) -> Table:
    def ends(name: str) -> tuple[str, ...]:
        return name, f"{name} least", f"{name} most", f"{name} known"

    rows: list[tuple[Cell, ...]] = []
    for one in broods:
        held = [each for each in source.lives if each.stock.id == one.stock.id]
        rows.append((
            one.stock.label, one.stock.id, day(one.origin) or NOT_KNOWN, ", ".join(each.label for each in one.parents),
            *tally_cells(one.eggs), *tally_cells(one.young), *(cell for at in one.numbers for cell in number_cells(at)),
            sum(each.held for each in held), sum(each.low for each in held), sum(each.high for each in held),
        ))  # fmt: skip
    return Table(
        title="Broods", file="strain-broods", rows=tuple(rows),
        columns=columns("brood", "id", "born", "of", *ends("eggs"), *ends("young"), *ends("at 30 days"),
                        *ends("at 60 days"), "living", "living least", "living most"),
    )  # fmt: skip


def photos(source: PaperSource, stocks: list[str], name: str) -> Iterator[Block]:
    """The newest photo of these fish, or a place to stick one in."""
    from tankwright.documents.pdf import can_be_printed  # noqa: PLC0415 - loads what sets pages

    own = set(stocks)
    events = [
        one for one in source.events("noted", "incident", ever=True) if one.stock in own and one.details.get("photo")
    ]  # fmt: skip
    for event in reversed(events):
        found = source.photo(str(event.details["photo"]))
        if found is None or not can_be_printed(*found):
            continue
        content, ending = found
        under = f"{source.stock(event.stock)}, photographed {_moment(event.happened)} by {event.who}"
        yield Picture(under=f"{under}. {event.note}" if event.note else under, wide=110.0, high=74.0, content=content,
                      ending=ending)  # fmt: skip
        return
    gone = " The picture that is named in the book cannot be read or printed." if events else ""
    yield Picture(under=f"Place for a photo of {name}: date, who took it.{gone}", wide=110.0, high=60.0)


def _moment(at: datetime) -> str:
    return f"{at.astimezone():%Y-%m-%d}"


def _given(source: PaperSource, line: Line) -> Table:
    own = {one.id for one in source.stocks.values() if one.line == line.id}
    rows: list[tuple[Cell, ...]] = []
    for event in source.events("left"):
        for flow in event.flows:
            if flow.stock in own and flow.quantity > 0 and flow.account != "held":
                to = str(event.details.get("to") or "") or "not written down"
                rows.append((day(event.happened), source.stock(flow.stock), flow.quantity, flow.account, to))
    return Table(
        title="Who got fish", file="strain-given", rows=tuple(rows),
        columns=columns("day", "stock", "fish", "how", "to*"),
    )  # fmt: skip
