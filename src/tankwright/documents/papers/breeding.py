"""The breeding report of a brood: when, of whom, eggs, young, numbers at 30 and 60 days, the water then, a photo."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from typing import Final

from tankwright.documents.model import Block, Cell, Column, Inset, Paragraph, Picture, Sheet, Table, columns
from tankwright.documents.papers.source import PaperSource
from tankwright.documents.papers.told import (
    HOW,
    NOT_KNOWN,
    between,
    day,
    number_cells,
    number_how,
    number_said,
    reading,
    said_lines,
    seal_said,
    seen_how,
    seen_words,
    set_words,
    share_words,
    tally_cells,
)
from tankwright.documents.pdf import can_be_printed
from tankwright.drawing.chart import draw_chart
from tankwright.drawing.fry_charts import growth_chart, survival_chart
from tankwright.husbandry.balance_sheet import balance_sheet
from tankwright.husbandry.brood_counts import REPORT_DAYS
from tankwright.husbandry.brood_course import brood_course, survival
from tankwright.husbandry.brood_report import (
    WATER_BEFORE,
    BroodReport,
    Test,
    WaterThen,
    brood_report,
    water_then,
)
from tankwright.husbandry.growth import GrowthFit, daily_gain, growth_fit, sizes_of
from tankwright.husbandry.records import Event
from tankwright.husbandry.register import Stock
from tankwright.husbandry.water_quantities import QUANTITIES
from tankwright.report.brood import growth_lines, survival_lines

TABLES: Final = ("breeding-numbers", "breeding-water")
_WATER_FOR: Final = timedelta(days=max(REPORT_DAYS))
_ALL: Final = 100_000
_CHART: Final = (150.0, 52.0)  # mm
_WENT: Final[dict[str, str]] = {
    "dead": "died", "given": "given away", "lost": "missing at counts, nobody knows why", "transit": "on the way",
    "found": "found by counts, nobody knows whence", "arrived": "came from outside", "born": "born here",
    "regrouped": "counted with others",
}  # fmt: skip


def breeding_sheets(source: PaperSource) -> tuple[Sheet, ...]:
    """The report of the brood that is asked for."""
    stock = source.asked.stock
    if stock is None:
        raise ValueError("a breeding report is of a brood")
    report = report_of(source, stock)
    return (
        Sheet(name="breeding", title=f"Breeding report: {stock.label}", part="papers",
              blocks=tuple(_blocks(source, report)), data=(_data(report), _water_data(source, report))),
    )  # fmt: skip


def report_of(source: PaperSource, stock: Stock) -> BroodReport:
    """What is known of a brood at the end of the time."""
    own = events_of(source, stock)
    known = {one.id for one in own}
    spawns = tuple(one for one in source.events("spawned", ever=True) if one.id not in known)
    events = sorted((*own, *spawns), key=lambda one: (one.happened, one.recorded, one.id))
    return brood_report(stock, source.sets, events, source.asked.end)


def events_of(source: PaperSource, stock: Stock) -> tuple[Event, ...]:
    """All that happened to fish of a stock up to the end of the time, in its order."""
    from tankwright.logbook.listing import happenings  # noqa: PLC0415 - brings the database along

    found = happenings(source.book, stocks=[stock.id], until=source.asked.end, limit=_ALL, only_standing=True)
    return tuple(sorted(found, key=lambda one: (one.happened, one.recorded, one.id)))


def survivors(source: PaperSource, stock: str) -> str:
    """How many of a stock lived at the end of the time, as it is known."""
    held = [one for one in source.lives if one.stock.id == stock]
    if not held:
        return "none"
    return between(sum(one.held for one in held), sum(one.low for one in held), sum(one.high for one in held))


def _blocks(source: PaperSource, report: BroodReport) -> Iterator[Block]:
    line = source.line_of(report.stock.id)
    yield Table(
        title="The brood", columns=columns("", "*"),
        rows=(
            ("line", line.name if line is not None else "of no line"),
            ("species", line.species if line is not None and line.species else NOT_KNOWN),
            ("locality", line.locality if line is not None and line.locality else NOT_KNOWN),
            *_parents(source, report),
            ("spawned", _spawned(source, report)),
            ("method", _method(report.spawn)),
            ("eggs", f"{seen_words(report.eggs)}{_by(seen_how(report.eggs))}"),
            ("born", f"{day(report.origin) or NOT_KNOWN}{_tank(source, report)}"),
            ("days from spawn", None if report.days_to_hatch is None else f"{report.days_to_hatch:.0f}"),
            ("young", f"{seen_words(report.young)}{_by(seen_how(report.young))}"),
            ("hatched of the eggs", _share(source, report)),
            ("living on " + str(source.asked.until), survivors(source, report.stock.id)),
            ("came and went", _balance(source, report.stock.id)),
        ),
    )  # fmt: skip
    yield Table(
        title="How many there were", note="Days from the day they were born.",
        columns=columns("day", "date", "fish", "how it is known*"),
        rows=tuple(
            (f"{one.day:.0f}", _date_of(report, one.day), number_said(one), number_how(one)) for one in report.numbers
        ),
    )  # fmt: skip
    yield from _life(source, report)
    yield from _water(source, report)
    yield from _photos(source, report)
    yield Table(
        title="Seen by", columns=(Column(name="who"), Column(name="name", write=60.0), Column(name="date", write=30.0)),
        rows=(("keeper", None, None), ("witness", None, None)),
    )  # fmt: skip
    yield Paragraph(text=HOW)
    yield seal_said(source)


def _life(source: PaperSource, report: BroodReport) -> Iterator[Block]:
    """Who lived and how they grew: in sentences, and drawn."""
    events = events_of(source, report.stock)
    course = (
        brood_course(events, report.stock.id, origin=report.origin) if report.origin is not None else None
    )
    if course is None or report.origin is None:
        return
    table = survival(course)
    sizes = sizes_of(events, report.stock.id, report.origin)
    fit = growth_fit(sizes)
    lines = said_lines((*survival_lines(course, table), *growth_lines(fit, daily_gain(sizes))), source)
    yield Paragraph(text=" ".join(f"{one.rstrip('.')}." for one in lines))
    charts = [survival_chart(table, "Alive of the brood")] if table else []
    if sizes:
        charts.append(
            growth_chart(sizes, fit if isinstance(fit, GrowthFit) else None, source.display, "Growth")
        )
    for chart in charts:
        yield Inset(drawing=replace(draw_chart(chart, _CHART[0], _CHART[1]), title=chart.title))


def _parents(source: PaperSource, report: BroodReport) -> Iterator[tuple[Cell, ...]]:
    for one in report.parents:
        yield "parents", f"{one.label or 'a set'}: {set_words(one, source)}, together since {day(one.opened)}"
    if not report.parents:
        yield "parents", NOT_KNOWN


def _spawned(source: PaperSource, report: BroodReport) -> str:
    if report.spawn is None:
        return NOT_KNOWN
    where = source.place(report.spawn.place)
    taken = "" if report.spawn_known == "as born" else "; the last spawn of its parents before it was born"
    return f"{day(report.spawn.happened)}{f' in {where}' if where else ''}, seen by {report.spawn.who}{taken}"


def _balance(source: PaperSource, stock: str) -> str:
    """All ways fish of a stock came and went, so that they add up to what lives."""
    sheet = balance_sheet(source.book.moved_around(stocks=[stock]), stocks={stock}, until=source.asked.end)
    told = [
        f"{abs(one.fish)} {_WENT.get(one.heading, one.heading)}"
        for one in (*sheet.came, *sheet.went)
        if one.heading != "estimate"
    ]
    off = sheet.fish("estimate")
    if off:
        told.append(f"{abs(off)} {'more' if off > 0 else 'fewer'} than was guessed at first")
    return ", ".join(told) or "none seen"


def _method(spawn: Event | None) -> str:
    told = spawn.details.get("method") if spawn is not None else None
    return str(told) if told else NOT_KNOWN


def _by(how: str) -> str:
    return f", {how}" if how != NOT_KNOWN else ""


def _tank(source: PaperSource, report: BroodReport) -> str:
    where = source.place(report.born[0].place) if report.born else ""
    return f" in {where}" if where else ""


def _share(source: PaperSource, report: BroodReport) -> str:
    if report.share is None:
        return f"{NOT_KNOWN}: eggs or young were not seen"
    return share_words(source, report.share.share, report.share.low, report.share.high)


def _date_of(report: BroodReport, after: float) -> str:
    return "" if report.origin is None else day(report.origin + timedelta(days=after))


def water_of(source: PaperSource, report: BroodReport) -> tuple[WaterThen, ...]:
    """The water of the spawn's tank then; of the tank they were born in where no spawn is known."""
    first = report.spawn or (report.born[0] if report.born else None)
    if first is None or not first.place:
        return ()
    until = min((report.origin or first.happened) + _WATER_FOR, source.asked.end)
    found = source.book.readings(
        place=first.place, quantities=tuple(QUANTITIES), since=first.happened - WATER_BEFORE, until=until
    )
    tests = [
        Test(
            quantity=one.quantity, happened=one.happened, value=_value(one.value, one.low, one.high),
            unit=one.unit or QUANTITIES[one.quantity].unit,
        )
        for one in found
    ]  # fmt: skip
    return water_then(tests, first.happened, until)


def _value(value: float | None, low: float | None, high: float | None) -> float | None:
    """A reading that has only ends is left out: it is no number."""
    return value if value is not None or low is None or high is None else (low + high) / 2


def _water(source: PaperSource, report: BroodReport) -> Iterator[Block]:
    first = report.spawn or (report.born[0] if report.born else None)
    where = source.place(first.place) if first is not None else ""
    rows = tuple(
        (
            QUANTITIES[one.quantity].name, reading(one.before, one.unit),
            None if one.days_before is None else f"{one.days_before:.0f}", one.tests, reading(one.least, one.unit),
            reading(one.most, one.unit),
        )
        for one in water_of(source, report)
    )  # fmt: skip
    if not rows:
        yield Paragraph(text=f"Water of {where or 'the tank'} then: not tested, or not written down.")
        return
    yield Table(
        title=f"Water of {where} then", rows=rows,
        note=f"The last test within {WATER_BEFORE.days} days before the spawn, and between what all tests lay from"
        f" then to day {_WATER_FOR.days} of the brood.",
        columns=columns("test*", "before the spawn", "days before", "tests after", "least", "most"),
    )  # fmt: skip


def _water_data(source: PaperSource, report: BroodReport) -> Table:
    return Table(
        title="Water then", file="breeding-water",
        rows=tuple(
            (QUANTITIES[one.quantity].name, one.unit, one.before,
             None if one.days_before is None else round(one.days_before, 1), one.tests, one.least, one.most)
            for one in water_of(source, report)
        ),
        columns=columns("test", "unit", "before the spawn", "days before", "tests after", "least", "most"),
    )  # fmt: skip


def _photos(source: PaperSource, report: BroodReport) -> Iterator[Block]:
    """Every photo of the brood that can be printed, and an empty place for each day that has none near it."""
    kept = []
    for event in source.events("noted", "incident", ever=True):
        found = source.photo(str(event.details["photo"])) if event.details.get("photo") else None
        if event.stock == report.stock.id and found is not None and can_be_printed(*found):
            kept.append((event, *found))
    for event, content, ending in kept[-3:]:
        age = f", day {(event.happened - report.origin).days}" if report.origin is not None else ""
        yield Picture(under=f"{day(event.happened)}{age}, by {event.who} {event.note}".rstrip(), wide=110.0, high=74.0,
                      content=content, ending=ending)  # fmt: skip
    if not kept:
        yield Picture(under="Place for a photo of the young: date, day, who took it.", wide=110.0, high=60.0)


def _data(report: BroodReport) -> Table:
    rows: list[tuple[Cell, ...]] = [
        ("eggs", day(report.spawn.happened) if report.spawn else None, *tally_cells(report.eggs)),
        ("young", day(report.origin) or None, *tally_cells(report.young)),
        *((f"day {one.day:.0f}", _date_of(report, one.day) or None, *number_cells(one)) for one in report.numbers),
    ]  # fmt: skip
    return Table(
        title="Numbers of the brood",
        file="breeding-numbers",
        rows=tuple(rows),
        columns=columns("what", "date", "number", "least", "most", "known"),
    )
