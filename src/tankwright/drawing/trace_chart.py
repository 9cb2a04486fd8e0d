"""A contact trace over time: tanks as rows, what carried as arrows between them, water as double strokes."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import datetime, timedelta
from typing import Final

from tankwright.drawing.clock_strip import day_name
from tankwright.drawing.colour import FAINT, FLOW, INK, PAPER, QUIET, TEAL
from tankwright.drawing.model import Drawing, Group, Look, Polyline, Rectangle, Shape, Text, line, text_width
from tankwright.husbandry.contact_trace import Hop, Trace

WIDTH: Final = 180.0
MOST: Final = 40
"""Rows that are drawn; the list beside it has all."""
_ROW: Final = 6.0
_HEAD: Final = 8.0
_FOOT: Final = 15.0
_SIZE: Final = 2.8
_RIGHT: Final = 5.0
_TICKS: Final = 7


def draw_trace(trace: Trace, called: Callable[[str], str], *, title: str) -> Drawing:
    """The first rows of a trace. A row is dark from the moment its tank could have had it (in a trace back, until which
    it could have passed it on); a dashed arrow is a way that only a mishap opens.

    >>> from datetime import UTC
    >>> at = datetime(2026, 8, 2, tzinfo=UTC)
    >>> draw_trace(Trace(place="A1", since=at, until=at, back=False, reached=()), str, title="A1").height
    29.0
    """
    shown = trace.reached[:MOST]
    names = _rows(trace, called)
    left = 4.0 + max([text_width(called(one), _SIZE) for one in names], default=0.0) + 3.0
    height = _HEAD + _ROW * len(names) + _FOOT
    whole = max(trace.until - trace.since, timedelta(minutes=1))

    def at(moment: datetime) -> float:
        share = (min(max(moment, trace.since), trace.until) - trace.since) / whole
        return left + share * (WIDTH - _RIGHT - left)

    rows = {name: _HEAD + _ROW * (number + 0.5) for number, name in enumerate(names)}
    parts: list[Shape] = [
        Rectangle(x=0, y=0, width=WIDTH, height=height, look=Look(fill=PAPER)),
        Group(parts=tuple(_axis(trace, at, height)), layer="grid"),
        Group(parts=tuple(_bars(trace, called, rows, at)), layer="rows"),
    ]
    hops = tuple(
        dict.fromkeys(hop for one in shown for hop in one.chain if {hop.source, hop.target} <= rows.keys())
    )
    parts.extend(_arrow(hop, rows, at, called) for hop in hops)
    parts.append(_legend(height, trace, len(trace.reached) - len(shown)))
    told = "; ".join(f"{called(one.place)} {day_name(one.at)}" for one in shown[:12])
    return Drawing(
        width=WIDTH, height=height, scale=1.0, title=title, parts=tuple(parts),
        description=told or "no other tank is named",
    )  # fmt: skip


def _rows(trace: Trace, called: Callable[[str], str]) -> tuple[str, ...]:
    """Tanks as rows: the asked one first, then in the order they were reached; bags and vats on the way too."""
    names = [trace.place]
    for one in trace.reached[:MOST]:
        names.extend(end for hop in one.chain for end in (hop.source, hop.target))
        names.append(one.place)
    del called
    return tuple(dict.fromkeys(names))


def _axis(trace: Trace, at: Callable[[datetime], float], height: float) -> Iterator[Shape]:
    whole = trace.until - trace.since
    step = next(
        (days for days in (1, 2, 3, 7, 14, 30, 60, 90, 180, 365) if whole / timedelta(days=days) <= _TICKS),
        730,
    )
    moment = trace.since.astimezone().replace(hour=0, minute=0, second=0, microsecond=0) + timedelta(days=1)
    taken = 0.0
    while moment <= trace.until:
        x = at(moment)
        yield line((x, _HEAD - 2.0), (x, height - _FOOT), Look(stroke=FAINT, width=0.25))
        text = day_name(moment)
        half = text_width(text, _SIZE) / 2
        if x - half > taken and x + half < WIDTH:
            yield Text(at=(x, _HEAD - 3.5), text=text, size=_SIZE, colour=QUIET, anchor="middle")
            taken = x + half + 2.0
        moment += timedelta(days=step)


def _bars(
    trace: Trace, called: Callable[[str], str], rows: dict[str, float], at: Callable[[datetime], float]
) -> Iterator[Shape]:
    own = trace.until if trace.back else trace.since
    times = {trace.place: (own, True)} | {one.place: (one.at, one.certain) for one in trace.reached}
    for name, y in rows.items():
        yield Text(at=(4.0, y + 1.0), text=called(name), size=_SIZE, colour=INK, bold=name == trace.place)
        yield line((at(trace.since), y), (at(trace.until), y), Look(stroke=FAINT, width=0.4))
        if name in times:
            moment, certain = times[name]
            ends = (trace.since, moment) if trace.back else (moment, trace.until)
            yield Group(
                parts=(line((at(ends[0]), y), (at(ends[1]), y),
                            Look(stroke=INK, width=1.0, dash=() if certain else (1.6, 1.2))),),
                title=f"{called(name)}, {'until' if trace.back else 'from'} {day_name(moment)}",
            )  # fmt: skip


def _arrow(
    hop: Hop, rows: dict[str, float], at: Callable[[datetime], float], called: Callable[[str], str]
) -> Group:
    colour = {"fish": TEAL, "tool": INK, "water": FLOW}[hop.carrier]
    x0, x1, y0, y1 = at(hop.left), at(hop.at), rows[hop.source], rows[hop.target]
    look = Look(stroke=colour, width=0.55, dash=() if hop.certain else (1.6, 1.2))
    down = 1.0 if y1 >= y0 else -1.0
    head = Polyline(
        points=((x1, y1), (x1 - 1.1, y1 - 2.2 * down), (x1 + 1.1, y1 - 2.2 * down)),
        closed=True,
        look=Look(fill=colour),
    )
    way: tuple[Shape, ...] = (Polyline(points=((x0, y0), (x1, y0), (x1, y1 - 1.8 * down)), look=look), head)
    if hop.carrier == "water":
        way = (
            line((x1 - 0.5, y0), (x1 - 0.5, y1 - 1.8 * down), look),
            line((x1 + 0.5, y0), (x1 + 0.5, y1 - 1.8 * down), look), head,
        )  # fmt: skip
    by = (
        called(hop.tool) if hop.carrier == "tool" else hop.through if hop.carrier == "water" else "fish moved"
    )
    return Group(
        parts=way,
        title=f"{called(hop.source)} to {called(hop.target)}, {day_name(hop.at)}: {by}",
        classes=(hop.carrier,),
    )


def _legend(height: float, trace: Trace, more: int) -> Group:
    y = height - 7.0
    said: Sequence[tuple[str, str]] = ((TEAL, "fish moved"), (INK, "tool, still wet"), (FLOW, "water"))
    parts: list[Shape] = []
    x = 4.0
    for colour, text in said:
        parts.append(line((x, y - 0.9), (x + 6.0, y - 0.9), Look(stroke=colour, width=0.9)))
        parts.append(Text(at=(x + 7.5, y), text=text, size=_SIZE, colour=INK))
        x += 7.5 + text_width(text, _SIZE) + 6.0
    parts.append(line((x, y - 0.9), (x + 6.0, y - 0.9), Look(stroke=INK, width=0.9, dash=(1.6, 1.2))))
    parts.append(Text(at=(x + 7.5, y), text="only if something goes wrong", size=_SIZE, colour=INK))
    if more > 0:
        parts.append(Text(at=(4.0, y + 5.0), text=f"{more} more in the list", size=_SIZE, colour=QUIET))
    return Group(parts=tuple(parts), title="traced back" if trace.back else "traced forward")
