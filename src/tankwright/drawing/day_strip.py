"""A day of 24 hours as a strip: when something runs, and when somebody looks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from tankwright.drawing.colour import FAINT, FLOW, INK, PAPER, QUIET, TEAL
from tankwright.drawing.model import (
    Drawing,
    Group,
    Look,
    Polyline,
    Rectangle,
    Shape,
    Text,
    line,
    text_width,
)
from tankwright.units import Second

WIDTH: Final = 150.0
_LEFT: Final = 2.5  # mm, so that the first hour's number keeps within the page
_TOP: Final = 7.0  # mm over the rows, for the looks
_ROW: Final = 7.0
_BAR: Final = 4.0
_DAY: Final[Second] = 86_400.0
_TEXT: Final = 2.5


@dataclass(frozen=True, slots=True, kw_only=True)
class DayRow:
    """One thing that runs: from `start` (s after midnight) for `duration`; `words` are written beside it. Not
    `daily`: its bar is only outlined, for it does not run on every day."""

    start: Second
    duration: Second
    words: str
    daily: bool = True


def draw_day(rows: Sequence[DayRow], looks: Sequence[Second], *, title: str) -> Drawing:
    """The strip, a row for each program, looks as marks that reach through all of them.

    >>> night = DayRow(start=7200.0, duration=3600.0, words="02:00, 60 min")
    >>> draw_day((night,), (25200.0,), title="drip").height
    20.5
    """
    bottom = _TOP + _ROW * max(1, len(rows))
    paper = Rectangle(x=0, y=0, width=WIDTH, height=bottom + 6.5, look=Look(fill=PAPER))
    parts: list[Shape] = [paper, *_hours(bottom)]
    for number, row in enumerate(rows):
        parts.extend(_row(row, _TOP + _ROW * number))
    parts.extend(_looks(looks, bottom))
    return Drawing(
        width=WIDTH, height=bottom + 6.5, scale=1.0, title=title, parts=tuple(parts),
        description="; ".join(row.words for row in rows),
    )  # fmt: skip


def clock(time: Second) -> str:
    """A time of day in words.

    >>> clock(24300.0), clock(86400.0 + 60.0)
    ('06:45', '00:01')
    """
    minutes = round(time / 60) % 1440
    return f"{minutes // 60:02}:{minutes % 60:02}"


def _at(time: Second) -> float:
    return _LEFT + time / _DAY * (WIDTH - 2 * _LEFT)


def _hours(bottom: float) -> Iterator[Shape]:
    for hour in range(25):
        x, named = _at(hour * 3600.0), hour % 3 == 0
        yield line(
            (x, _TOP), (x, bottom + (1.2 if named else 0.0)), Look(stroke=FAINT, width=0.3 if named else 0.12)
        )
        if named:
            yield Text(at=(x, bottom + 4.4), text=f"{hour}", size=_TEXT, colour=QUIET, anchor="middle")
    yield line((_LEFT, bottom), (WIDTH - _LEFT, bottom), Look(stroke=INK, width=0.3))


def _row(row: DayRow, top: float) -> Iterator[Shape]:
    y = top + (_ROW - _BAR) / 2
    start, left = row.start % _DAY, min(row.duration, _DAY)
    ends = [(start, min(_DAY, start + left))]
    if start + left > _DAY:
        ends.append((0.0, start + left - _DAY))
    look = (
        Look(fill=FLOW, stroke=TEAL, width=0.3) if row.daily
        else Look(fill=PAPER, stroke=TEAL, width=0.3, dash=(1.0, 0.6))
    )  # fmt: skip
    bars: list[Shape] = [
        Rectangle(x=_at(begin), y=y, width=max(0.6, _at(end) - _at(begin)), height=_BAR, look=look)
        for begin, end in ends
    ]
    yield Group(parts=tuple(bars), classes=("runs",), title=row.words)
    wide = text_width(row.words, _TEXT)
    after, before = _at(ends[0][1]) + 1.5, _at(ends[0][0]) - 1.5
    at, anchor = (after, "start") if after + wide < WIDTH else (before, "end")
    if anchor == "end" and before - wide < 0:
        return  # it runs nearly all day: the table beside says it
    x = after if anchor == "start" else before - wide
    yield Rectangle(x=x - 0.4, y=y, width=wide + 0.8, height=_BAR, look=Look(fill=PAPER))
    yield Text(
        at=(at, y + _BAR / 2 + 0.36 * _TEXT), text=row.words, size=_TEXT, colour=INK,
        anchor="start" if anchor == "start" else "end",
    )  # fmt: skip


def _looks(looks: Sequence[Second], bottom: float) -> Iterator[Shape]:
    last = -1e9
    for look in sorted({one % _DAY for one in looks}):
        x = _at(look)
        words = f"look {clock(look)}"
        parts: list[Shape] = [
            line((x, _TOP - 1.4), (x, bottom), Look(stroke=INK, width=0.25, dash=(0.8, 0.8))),
            Polyline(points=((x - 1.3, _TOP - 3.2), (x + 1.3, _TOP - 3.2), (x, _TOP - 1.2)), closed=True,
                     look=Look(fill=INK)),
        ]  # fmt: skip
        wide = text_width(words, _TEXT)
        start = min(max(x - wide / 2, 0.2), WIDTH - wide - 0.2)
        if start > last + 1.0:
            parts.append(Text(at=(start, 2.6), text=words, size=_TEXT, colour=INK))
            last = start + wide
        yield Group(parts=tuple(parts), classes=("look",), title=words)
