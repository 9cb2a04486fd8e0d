"""How papers say what is known: numbers with their bounds and how they are known, days, what is not known, the seal."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Final

from tankwright.display import figures, sentence
from tankwright.documents.model import Cell, Paragraph
from tankwright.documents.papers.source import PaperSource
from tankwright.finding import Finding, Number
from tankwright.husbandry.brood_counts import TO_COME, NumberAt
from tankwright.husbandry.records import Observed
from tankwright.husbandry.register import BreedingSet
from tankwright.report.model import SummaryLine

NOT_KNOWN: Final = "not known"
HOW: Final = (
    "Numbers: as counted stand alone; “about” is a guess with the least and the most it may be; between two counts a"
    " number is drawn evenly, with the ends that both counts allow. What nobody saw or wrote down is “not known”."
)


def day(moment: datetime | None) -> str:
    """The day of a moment by the clock on the wall; nothing for none.

    >>> day(None)
    ''
    """
    return "" if moment is None else f"{moment.astimezone():%Y-%m-%d}"


def between(number: float, low: float | None, high: float | None) -> str:
    """A number of fish or eggs with its bounds, where it has any.

    >>> between(29, 23, 36), between(29, None, None), between(19.6, 17, 24)
    ('about 29 (23 to 36)', '29', 'about 20 (17 to 24)')
    """
    if low is None or high is None or (low == high == number):
        return f"{number:.0f}"
    return f"about {number:.0f} ({low:.0f} to {high:.0f})"


def seen_words(one: Observed | None) -> str:
    """A tally as it was written down.

    >>> seen_words(None), seen_words(Observed(quantity="eggs", value=30.0))
    ('not known', '30')
    """
    if one is None or one.value is None:
        return NOT_KNOWN
    return between(one.value, one.low, one.high)


def seen_how(one: Observed | None) -> str:
    """How a tally was made: guessed when it has bounds, counted else; with its method."""
    if one is None or one.value is None:
        return NOT_KNOWN
    guessed = one.low is not None and one.high is not None and one.low != one.high
    way = "guessed" if guessed else "counted"
    return f"{way}, {one.method}" if one.method else way


def number_said(one: NumberAt) -> str:
    """How many there were at a day.

    >>> number_said(NumberAt(day=30, how="not known", why="they were not counted on that day or later"))
    'not known'
    """
    return NOT_KNOWN if one.number is None else between(one.number, one.low, one.high)


def number_short(one: NumberAt) -> str:
    """The same where there is little room.

    >>> number_short(NumberAt(day=30, how="not known", why=TO_COME)), number_short(NumberAt(day=30, how="not known"))
    ('to come', 'not known')
    """
    return "to come" if one.why == TO_COME else number_said(one)


def number_how(one: NumberAt) -> str:
    """How that is known, or why it is not.

    >>> number_how(NumberAt(day=30, how="not known", why="that day is still to come"))
    'not known: that day is still to come'
    """
    return f"{one.how}: {one.why}" if one.why else one.how


def number_cells(one: NumberAt) -> tuple[Cell, ...]:
    """The same as cells of data: the number, its ends, how it is known."""
    if one.number is None:
        return None, None, None, number_how(one)
    return _whole(one.number), _whole(one.low), _whole(one.high), one.how


def tally_cells(one: Observed | None) -> tuple[Cell, ...]:
    """A tally as cells of data."""
    if one is None or one.value is None:
        return None, None, None, NOT_KNOWN
    low, high = (one.value if end is None else end for end in (one.low, one.high))
    return _whole(one.value), _whole(low), _whole(high), seen_how(one)


def _whole(value: float | None) -> Cell:
    return None if value is None else round(value, 1) if value % 1 else int(value)


def share_words(source: PaperSource, value: float, low: float, high: float) -> str:
    """A share with its ends."""
    at, least, most = (
        sentence("{x}", (("x", Number(one, "share")),), source.display) for one in (value, low, high)
    )
    return at if least == most else f"{at} ({least} to {most})"


def said_lines(lines: Iterable[SummaryLine], source: PaperSource) -> tuple[str, ...]:
    """Lines of a report in the reader's units, each beginning with a capital."""
    told = (sentence(line.text, line.numbers, source.display) for line in lines)
    return tuple(f"{one[:1].upper()}{one[1:]}" for one in told)


def finding_said(one: Finding, source: PaperSource) -> str:
    """A finding as one sentence or two."""
    text = sentence(one.text, one.numbers, source.display)
    remedy = sentence(one.remedy, one.numbers, source.display)
    return f"{one.subject}: {text}" + (f". To do: {remedy}" if remedy else "")


def set_words(one: BreedingSet, source: PaperSource) -> str:
    """The fish of a breeding set: how many of which stock and sex.

    The sex stands once a side, as a keeper says it: "1 male (Amber 2), 3 female (Amber 1)".
    """
    parts = []
    for sex in ("male", "female", ""):
        some = [member for member in one.members if member.sex == sex]
        if some:
            fish = sum(member.count for member in some)
            names = ", ".join(source.stock(member.stock) or NOT_KNOWN for member in some)
            parts.append(f"{fish} {sex or 'of unknown sex'} ({names})")
    return ", ".join(parts) or NOT_KNOWN


def reading(value: float | None, unit: str) -> str:
    """A reading as it was read.

    >>> reading(7.2, ""), reading(None, "mg/L"), reading(12.0, "mg/L")
    ('7.2', 'not tested', '12 mg/L')
    """
    return "not tested" if value is None else f"{figures(value)} {unit}".rstrip()


def seal_said(source: PaperSource) -> Paragraph:
    """The newest seal, to be written down: later it shows that nothing before it was changed."""
    verified = source.verified
    if verified.broken is not None:
        return Paragraph(
            caution=True,
            text=f"The logbook was changed from outside at entry {verified.broken}: what is told here may not be what"
            " was written down. Compare it with a backup or an export of before.",
        )
    return Paragraph(
        text=f"Seal of the logbook: {verified.serial}:{verified.seal}. All {verified.events} entries agree with their"
        " seals. Kept on paper it shows later whether any of them was changed: tankwright export PLAN --seal compares."
    )
