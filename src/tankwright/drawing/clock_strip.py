"""The clock of a quarantine as a strip of days: what has gone by, where it began again, where it ends."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Final

from tankwright.drawing.colour import FAINT, INK, PAPER, QUIET, TEAL
from tankwright.drawing.model import Drawing, Group, Look, Polyline, Rectangle, Shape, Text, line, text_width
from tankwright.husbandry.quarantine import Clock

WIDTH: Final = 150.0
_EDGE: Final = 4.0
_TOP: Final = 8.0
_BAR: Final = 5.0
_HEIGHT: Final = 21.0
_SIZE: Final = 2.6
_DAY: Final = timedelta(days=1)
_MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def day_name(moment: datetime) -> str:
    """A day as it is written on an axis, by the clock on the wall.

    >>> from datetime import UTC
    >>> day_name(datetime(2026, 8, 2, 12, tzinfo=UTC))
    '2 Aug'
    """
    here = moment.astimezone()
    return f"{here.day} {_MONTHS[here.month - 1]}"


def draw_clock(clock: Clock, *, title: str) -> Drawing:
    """The strip from the opening to the end: days gone are filled, each new beginning is a mark, now an upright line.

    >>> from datetime import UTC
    >>> from tankwright.husbandry.quarantine import quarantine_clock
    >>> from tankwright.husbandry.register import Quarantine
    >>> shut = Quarantine(id="q", places=("p",), opened=datetime(2026, 8, 1, tzinfo=UTC), least_days=30.0)
    >>> draw_clock(quarantine_clock(shut, (), (), datetime(2026, 8, 11, tzinfo=UTC)), title="Q1").width
    150.0
    """
    first = clock.quarantine.opened
    now = min(clock.now, clock.quarantine.released or clock.now)
    last = max(clock.ends, now, first + _DAY)

    def at(moment: datetime) -> float:
        return _EDGE + (moment - first) / (last - first) * (WIDTH - 2 * _EDGE)

    parts: list[Shape] = [
        Rectangle(x=0, y=0, width=WIDTH, height=_HEIGHT, look=Look(fill=PAPER)),
        Rectangle(x=_EDGE, y=_TOP, width=WIDTH - 2 * _EDGE, height=_BAR, look=Look(fill=FAINT)),
        Rectangle(x=at(clock.began), y=_TOP, width=max(0.0, at(min(now, clock.ends)) - at(clock.began)), height=_BAR,
                  look=Look(fill=TEAL)),
        Rectangle(x=at(clock.began), y=_TOP, width=at(clock.ends) - at(clock.began), height=_BAR,
                  look=Look(stroke=INK, width=0.3)),
        *_marks(clock, at),
        line((at(now), _TOP - 2.5), (at(now), _TOP + _BAR + 1.5), Look(stroke=INK, width=0.5)),
        *_dates(clock, now, at),
    ]  # fmt: skip
    told = (
        f"{clock.days_gone:.0f} of {clock.quarantine.least_days:.0f} days gone since {day_name(clock.began)}, "
        f"{len(clock.restarts) - 1} times begun again, ends {day_name(clock.ends)}"
    )
    return Drawing(
        width=WIDTH,
        height=_HEIGHT,
        scale=1.0,
        title=title,
        parts=(Group(parts=tuple(parts)),),
        description=told,
    )


def _marks(clock: Clock, at: object) -> Iterator[Shape]:
    """A pointed mark over the strip wherever the clock began again."""
    assert callable(at)
    for one in clock.restarts[1:]:
        x = at(one.at)
        yield Polyline(
            points=((x, _TOP), (x - 1.4, _TOP - 2.6), (x + 1.4, _TOP - 2.6)), closed=True, look=Look(fill=INK)
        )


def _dates(clock: Clock, now: datetime, at: object) -> Iterator[Text]:
    """The day of the opening, of the last beginning, of now and of the end, as many as have room."""
    assert callable(at)
    taken: list[tuple[float, float]] = []
    wanted = (
        (clock.ends, "ends {}", True), (now, "now, {}", True), (clock.began, "{}", False),
        (clock.quarantine.opened, "{}", False),
    )  # fmt: skip
    for moment, said, strong in wanted:
        text = said.format(day_name(moment))
        half = text_width(text, _SIZE) / 2
        x = min(max(at(moment), half + 1.0), WIDTH - half - 1.0)
        if any(x - half < high + 1.5 and x + half > low - 1.5 for low, high in taken):
            continue
        taken.append((x - half, x + half))
        yield Text(
            at=(x, _TOP + _BAR + 5.0), text=text, size=_SIZE, colour=INK if strong else QUIET, anchor="middle"
        )
