"""The feed: when it runs, what each tank gets of it, and the pressure on the way there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, get_args

from markupsafe import Markup

from tankwright.display import words
from tankwright.drawing.bar import draw_bar
from tankwright.drawing.colour import step_for
from tankwright.drawing.day_strip import DayRow, clock, draw_day
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.finding import Number
from tankwright.plan.models import Program
from tankwright.room.model import FeedRun, Room
from tankwright.systems.feed_model import FeedResult, FeedRunResult, TankFeed
from tankwright.systems.feed_way import Stop, pressure_way
from tankwright.web.page import Page, View
from tankwright.web.pages.air import MOST_ROWS, first_row
from tankwright.web.plan_values import FieldGroup, feed_fields, plan_of
from tankwright.workspace.opened import Opened

DAYS: Final[tuple[str, ...]] = get_args(Program.model_fields["days"].annotation)


@dataclass(frozen=True, slots=True, kw_only=True)
class StopRow:
    """One stop on the way of the water, with its bar."""

    stop: Stop
    bar: Markup


@dataclass(frozen=True, slots=True, kw_only=True)
class RunShown:
    """One feed as the page shows it; `solved` is None when it could not be worked out, and `why` says why not.
    `needed` is what its outlets need at the least, None where they need nothing certain."""

    run: FeedRun
    solved: FeedRunResult | None
    why: str
    strip: Markup
    way: tuple[StopRow, ...]
    needed: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class TankRow:
    """What one tank gets. `share` is of its outlets' nominal flow (None where they have none), `working` names the
    working of its flow where one outlet gives it all."""

    fed: TankFeed
    share: float | None
    step: str
    working: str
    bar: Markup


@dataclass(frozen=True, slots=True, kw_only=True)
class _Made:
    runs: tuple[RunShown, ...] = ()
    tanks: tuple[TankRow, ...] = ()


def show(view: View) -> Mapping[str, object]:
    """Every feed of the plan; none means that the page offers to begin."""
    made = view.made_once.keep(view.snapshot, "feed page", _made) or _Made()
    room, study, plan = view.room, view.study, plan_of(view)
    groups: tuple[FieldGroup, ...] = ()
    if room is not None:
        groups = tuple(group for run in room.feeds for group in feed_fields(view, run))
    feeds = plan.feed if plan else {}
    return {
        "runs": made.runs,
        "tanks": made.tanks,
        "peaks": study.feed.peaks if study and study.feed else (),
        "without": study.feed.without_feed if study and study.feed else (),
        "programs": {name: len(feed.program) for name, feed in feeds.items()},
        "filters": {name: len(feed.filters) for name, feed in feeds.items()},
        "valves": {name: feed.valve is not None for name, feed in feeds.items()},
        "groups": groups,
        "days": DAYS,
        "start": first_row(view.query.get("from", "")),
        "most_rows": MOST_ROWS,
    }


def _made(opened: Opened) -> _Made:
    room, study = opened.room, opened.study
    if room is None or study is None or study.feed is None:
        return _Made()
    solved = {one.run: one for one in study.feed.runs}
    missing = dict(study.feed.not_computed)
    feeds = opened.plan.feed if opened.plan else {}
    runs = []
    for number, run in enumerate(room.feeds):
        programs = feeds[run.id].program if run.id in feeds else ()
        result = solved.get(run.id)
        needed = least_needed(result)
        runs.append(
            RunShown(
                run=run,
                solved=result,
                why=missing.get(f"feed {run.id}", ""),
                strip=strip(room, run, programs, number),
                way=way(run, result, needed),
                needed=needed,
            )
        )
    return _Made(runs=tuple(runs), tanks=tank_rows(study.feed))


def least_needed(result: FeedRunResult | None) -> float | None:
    """The pressure below which some outlet of a feed gives less than its rate, None where none needs any."""
    known = [one.needed_pressure for one in result.outlets if one.needed_pressure] if result else []
    return max(known, default=None)


def strip(room: Room, run: FeedRun, programs: tuple[Program, ...], number: int) -> Markup:
    """The day of one feed, drawn; nothing for a feed without programs."""
    rows = []
    for laid, said in zip(run.programs, programs, strict=False):
        runs = words(Number(laid.duration, "duration"), room.display)
        told = f"{clock(laid.start)}, {runs}"
        daily = said.days == "daily"
        rows.append(DayRow(start=laid.start, duration=laid.duration, daily=daily,
                           words=told if daily else f"{told}, {said.days}"))  # fmt: skip
    if not rows:
        return Markup()
    drawing = draw_day(rows, room.looks, title=f"{run.id}: the day")
    label = "; ".join("runs at " + row.words for row in rows) + "".join(
        f"; look at {clock(look)}" for look in sorted(room.looks)
    )
    return Markup(to_screen_svg(drawing, name=f"day-{number}", label=label))


def way(run: FeedRun, result: FeedRunResult | None, needed: float | None) -> tuple[StopRow, ...]:
    """The stops of a feed's way with their bars, the highest pressure the longest; a line at what is needed."""
    if result is None:
        return ()
    stops = pressure_way(run, result)
    most = max(stop.pressure for stop in stops)
    rows = []
    for stop in stops:
        compared = (
            needed / most if needed is not None and most > 0 and stop.kind in ("most", "least") else None
        )
        drawing = draw_bar(stop.pressure / most if most > 0 else 0.0, mark=compared)
        rows.append(StopRow(stop=stop, bar=Markup(to_screen_svg(drawing, hidden=True))))
    return tuple(rows)


def tank_rows(feed: FeedResult) -> tuple[TankRow, ...]:
    """The fed tanks in the order of the room."""
    rates: dict[str, list[float]] = {}
    for outlet in (outlet for run in feed.runs for outlet in run.outlets):
        rates.setdefault(outlet.tank, []).append(outlet.rate)
    rows = []
    for fed in feed.tanks:
        rate = sum(rates.get(fed.tank, ()))
        share = fed.inflow / rate if rate > 0 else None
        one = len(rates.get(fed.tank, ())) == 1
        bar = draw_bar(fed.replaced_a_week or 0.0, mark=0.5)
        rows.append(
            TankRow(
                fed=fed,
                share=share,
                step=step_for(share).fill.token if share is not None else "",
                working=f"{fed.tank}.feed" if one else "",
                bar=Markup(to_screen_svg(bar, hidden=True)),
            )
        )
    return tuple(rows)


PAGE = Page(
    name="feed", path="/feed", title="Feed", template="feed.html", show=show, group="system", layer="feed"
)
