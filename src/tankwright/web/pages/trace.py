"""Contacts: which tanks one could have reached since a day, or from where it could have it, each with its chain."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from markupsafe import Markup

from tankwright.display import sentence
from tankwright.drawing.first_view import draw_first
from tankwright.drawing.layer_quarantine import draw_reached
from tankwright.drawing.legend import worded_steps
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.drawing.trace_chart import draw_trace
from tankwright.finding import Finding
from tankwright.report.contacts import HANDS_NOTE, LIMITS, hands_line, trace_rows, trace_summary
from tankwright.report.model import SummaryLine
from tankwright.room.model import Room
from tankwright.web.page import Page, View
from tankwright.web.pages.quarantine import REVISIONS
from tankwright.workspace.contact_work import Traced, plan_times, traced
from tankwright.workspace.opened import Opened
from tankwright.workspace.wall_days import begin_of

DAYS: Final = 30
"""How far back a trace goes when no day is asked for. Common practice, no source."""

MOST_ROWS: Final = 400
"""Tanks listed at once."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RowShown:
    """A place of a trace as it is shown."""

    name: str
    at: datetime
    certain: bool
    why: str
    chain: tuple[tuple[datetime, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TraceShown:
    """Everything the page shows of one trace."""

    traced: Traced
    summary: tuple[str, ...]
    rows: tuple[RowShown, ...]
    hands: tuple[tuple[datetime, str], ...]
    chart: Markup
    plan: Markup
    fronts: Markup
    legend: tuple[tuple[str, str], ...]


def show(view: View) -> Mapping[str, object]:
    """The form, and the trace the address asks for."""
    tanks = tuple(tank.id for tank in view.room.tanks) if view.room is not None else ()
    tank = view.query.get("tank", "")[:200]
    back = view.query.get("way", "") == "back"
    today = view.log.now().astimezone().date()
    since, wrong = _day(view.query.get("since", ""), today)
    shown: TraceShown | Finding | None = None
    if tank and not wrong and view.room is not None:
        shown = view.made_once.keep(
            view.snapshot, ("trace", tank, since, back, view.log_state, view.display),
            lambda good: _made(view, good, tank, since, back),
        )  # fmt: skip
    return {
        "tanks": tanks, "tank": tank, "since": since.isoformat(), "back": back, "wrong": wrong,
        "shown": shown if isinstance(shown, TraceShown) else None,
        "fault": shown if isinstance(shown, Finding) else None, "limits": LIMITS,
        "hands_note": _said(view, (HANDS_NOTE,))[0], "most": MOST_ROWS,
    }  # fmt: skip


def _day(typed: str, today: date) -> tuple[date, str]:
    """The day that is asked for; what is wrong with what was typed."""
    if not typed.strip():
        return today - timedelta(days=DAYS), ""
    try:
        asked = date.fromisoformat(typed.strip()[:10])
    except ValueError:
        return today - timedelta(days=DAYS), f'"{typed[:30]}" is no day such as {today.isoformat()}'
    if asked > today:
        return today - timedelta(days=DAYS), f"{asked.isoformat()} has not been yet"
    return asked, ""


def _made(view: View, good: Opened, tank: str, since: date, back: bool) -> TraceShown | Finding | None:
    if good.room is None:
        return None
    begin = begin_of(since)
    times = plan_times(view.live.revisions(REVISIONS), view.live.text_at, good.room, view.live.path, begin)
    found = traced(view.log, tank, times, since=begin, until=view.log.now(), back=back)
    return found if isinstance(found, Finding) else _shown(view, good.room, found)


def _said(view: View, lines: Iterable[SummaryLine]) -> tuple[str, ...]:
    return tuple(sentence(line.text, line.numbers, view.display) for line in lines)


def _shown(view: View, room: Room, found: Traced) -> TraceShown:
    trace = found.trace
    certain = [found.called(one.place) for one in trace.reached if one.certain]
    possible = [found.called(one.place) for one in trace.reached if not one.certain]
    results = draw_reached(room, found.called(trace.place), certain, possible)
    drawn = draw_first(room, results, door=True, tanks=True, spots=())
    chart = to_screen_svg(draw_trace(trace, found.called, title="The trace over time"), name="trace")
    rows = tuple(
        RowShown(
            name=row.name, at=row.at, certain=row.certain, why=_said(view, (row.why,))[0],
            chain=tuple((at, _said(view, (line,))[0]) for at, line in row.chain),
        )
        for row in trace_rows(trace, found.called, stock=found.stock)[:MOST_ROWS]
    )  # fmt: skip
    return TraceShown(
        traced=found, summary=_said(view, trace_summary(trace, found.called)), rows=rows,
        hands=tuple((one.at, _said(view, (hands_line(one, found.called),))[0]) for one in found.hands[:MOST_ROWS]),
        chart=Markup(chart), plan=Markup(drawn.plan), fronts=Markup(drawn.fronts),
        legend=tuple((step.name, words) for step, words in worded_steps(results)),
    )  # fmt: skip


PAGE = Page(name="trace", path="/trace", title="Contacts", template="trace.html", show=show, group="life")
