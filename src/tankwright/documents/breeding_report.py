"""A breeding report on paper: what spawned when, how many there were at 30 and 60 days and how that is known, with a
place for a photograph and for who saw it."""

from __future__ import annotations

from collections.abc import Iterator

from tankwright.display import sentence
from tankwright.documents.model import Banner, Block, Column, Paragraph, Sheet, Table
from tankwright.drawing.chart import draw_chart
from tankwright.drawing.colour import INK, PAPER, QUIET
from tankwright.drawing.fry_charts import growth_chart, survival_chart
from tankwright.drawing.model import Drawing, Look, Rectangle, Shape, Text, shifted
from tankwright.husbandry.calendar_words import date_words
from tankwright.husbandry.growth import GrowthFit
from tankwright.report.brood import (
    growth_lines,
    hatch_line,
    kin_line,
    number_words,
    start_words,
    survival_lines,
)
from tankwright.report.model import SummaryLine
from tankwright.workspace.brood_work import REPORTED, BroodLife

_WIDE, _TALL, _TOP = 210.0, 297.0, 16.0  # mm
_PHOTO = (160.0, 104.0)
_CHART = 62.0
_FRAME = Look(fill=PAPER, stroke=QUIET, width=0.3)


def breeding_report(life: BroodLife, display: str = "metric") -> Sheet:
    """The report of one brood. What is not known is said so; nothing is filled in."""
    return Sheet(
        name="breeding-report", title=f"Breeding report: {life.stock.label}", part="life",
        blocks=tuple(_blocks(life, display)),
    )  # fmt: skip


def _blocks(life: BroodLife, display: str) -> Iterator[Block]:
    yield Banner(
        over="Breeding report", text=life.stock.label,
        under=", ".join(part for part in (life.line, life.species) if part) or "of no line",
    )  # fmt: skip
    spawned = date_words(life.spawn.happened.date()) if life.spawn is not None else "not seen"
    eggs = _eggs(life)
    facts = [
        ("spawned", spawned), ("eggs", eggs), ("born", date_words(life.born)),
        ("parents", ", ".join(life.parents) or "not known"), ("young at first", start_words(life.course)),
        *((f"at {one.day:.0f} days", number_words(one)) for one in life.numbers),
    ]  # fmt: skip
    yield Table(
        title="What happened",
        columns=(Column(name="what"), Column(name="as it was seen", wide=1)),
        rows=tuple(facts),
    )
    said = [sentence(line.text, line.numbers, display) for line in _lines(life)]
    yield Paragraph(text=" ".join(f"{one[:1].upper()}{one[1:].rstrip('.')}." for one in said))
    yield Table(
        title="Seen by",
        columns=(Column(name="who", wide=1), Column(name="day", write=35.0), Column(name="name", write=60.0)),
        rows=(("keeper", None, None), ("witness", None, None)),
    )  # fmt: skip
    yield _pictures(life, display)


def _lines(life: BroodLife) -> Iterator[SummaryLine]:
    if life.hatched is not None:
        yield hatch_line(life.hatched)
    yield from survival_lines(life.course, life.table)
    if life.kin is not None:
        yield kin_line(life.kin, life.line, REPORTED)
    yield from growth_lines(life.fit, life.gain)


def _eggs(life: BroodLife) -> str:
    seen = (
        next((one for one in life.spawn.observed if one.quantity == "eggs"), None)
        if life.spawn is not None
        else None
    )
    if seen is None or seen.value is None:
        return "not counted"
    if seen.low is None or seen.high is None:
        return f"{seen.value:.0f}"
    return f"about {seen.value:.0f} ({seen.low:.0f} to {seen.high:.0f})"


def _pictures(life: BroodLife, display: str) -> Drawing:
    """A page of its own: a frame to glue a photograph in, and under it who lived and how they grew."""
    wide, tall = _PHOTO
    told = "photograph of the young" if not life.photos else "photographs kept: " + ", ".join(life.photos[:3])
    fit = life.fit if isinstance(life.fit, GrowthFit) else None
    left, below = (_WIDE - wide) / 2, _TOP + tall + 6.0
    charts = (survival_chart(life.table), *((growth_chart(life.sizes, fit, display),) if life.sizes else ()))
    parts: list[Shape] = [
        Rectangle(x=left, y=_TOP, width=wide, height=tall, look=_FRAME),
        Text(at=(_WIDE / 2, _TOP + tall / 2), text=told, size=3.2, colour=QUIET, anchor="middle"),
    ]
    for number, chart in enumerate(charts):
        drawn = draw_chart(chart, wide, _CHART)
        foot = below + number * (_CHART + 9.0)
        parts.append(Text(at=(left, foot + 3.0), text=chart.title, size=3.6, colour=INK, bold=True))
        parts += [shifted(part, left, foot + 5.0) for part in drawn.parts]
    return Drawing(
        width=_WIDE, height=_TALL, scale=1.0, title="Photograph, who lived, how they grew",
        description="an empty frame for a photograph; charts of the brood", parts=tuple(parts),
    )  # fmt: skip
