"""One fault as a story in time: what happens line by line, the room at a moment one moves to, charts, what mends it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from markupsafe import Markup

from tankwright.display import sentence, words
from tankwright.drawing.chart import ON_PAGE, chart_table, draw_chart
from tankwright.drawing.fault_charts import BAND, story_charts
from tankwright.drawing.fault_moments import moment_results, moments, room_at
from tankwright.drawing.screen import draw_screen
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.faults.judging import SCREENING, cure_words
from tankwright.faults.model import Fault, Outcome, Story
from tankwright.faults.names import find_fault
from tankwright.faults.simulate import worst_story
from tankwright.finding import Number
from tankwright.report.fault import in_a_row, story_lines
from tankwright.report.faults import SEASONS, harm_line, verdict
from tankwright.study import Study
from tankwright.units import Second
from tankwright.web.page import Page, View
from tankwright.web.pages.faults import fault_path, known_of, step_of
from tankwright.workspace.fault_work import faults_of
from tankwright.workspace.opened import Opened

STEPS: Final = 240
"""Places of the scrubber: a quarter of an hour apart in a story of 60 hours."""

MOST_TANKS: Final = 60
"""Rows of tanks in the order of trouble."""

Table = tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartShown:
    """A chart, its title and its numbers."""

    name: str
    title: str
    chart: Markup
    table: Table


@dataclass(frozen=True, slots=True, kw_only=True)
class LineShown:
    """A line of the story in words, the address of the room at that moment, and whether it is past by the moment that
    is shown ("now": the last that is)."""

    seconds: Second
    since: str
    clock: str
    text: str
    path: str
    kind: str
    when: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A story with its outcome, kept for all who look at it."""

    story: Story
    outcome: Outcome


def told_of(view: View) -> tuple[Told | None, tuple[str, ...]]:
    """The story the address names, or the names that come near it."""
    name = view.params["fault"]
    at = _clock(view.query.get("at", ""))
    listed = view.made_once.keep(
        view.snapshot, "fault names", lambda good: faults_of(good.study) if good.study else ()
    )
    found = find_fault(listed or (), name)
    if not isinstance(found, Fault):
        return None, tuple(found)

    def make(opened: Opened) -> Told | None:
        if opened.study is None:
            return None
        story, outcome = worst_story(opened.study, found, at)
        return Told(story=story, outcome=outcome)

    return view.made_once.keep(view.snapshot, ("fault", found.name, at), make), ()


def show(view: View) -> Mapping[str, object]:
    """The story, and the room at the moment asked for; of the room alone where the scrubber asks."""
    told, near = told_of(view)
    if told is None or view.room is None or view.study is None:
        name = view.params["fault"]
        return {"told": None, "name": name, "near": [(one, fault_path(one)) for one in near], "only": False}
    story, display = told.story, view.display
    end = float(story.water.times[-1])
    time = _moment(view, story, end)
    only = view.query.get("only") == "room"
    shown: dict[str, object] = {
        "told": told, "name": story.fault.name, "near": (), "only": only,
        "since": words(Number(time, "duration"), display),
        "drawing": room_drawing(view.study, story, time, _url(view, story)),
    }  # fmt: skip
    return shown if only else shown | _whole(view, told, time, end)


def _whole(view: View, told: Told, time: Second, end: Second) -> dict[str, object]:
    assert view.room is not None
    story, outcome, display = told.story, told.outcome, view.display
    room, harm = view.room, harm_line(outcome)
    charts = view.made_once.keep(
        view.snapshot,
        ("fault charts", story.fault.name, story.setting, display),
        lambda _: _charts(view, story),
    )
    return {
        "outcome": outcome, "cause": story.fault.cause, "verdict": verdict(outcome), "step": step_of(outcome),
        "season": SEASONS[story.setting.season], "at": view.query.get("at", ""),
        "stated": _clock(view.query.get("at", "")) is not None,
        "begun": words(Number(story.setting.clock, "clock"), display),
        "harm": sentence(harm.text, harm.numbers, display), "lines": _lines(view, story, time),
        "time": time, "end": end, "step_width": max(1, math.ceil(end / STEPS)),
        "stops": tuple(
            (one, words(Number(one, "duration"), display), _url(view, story, one)) for one in moments(story)
        ),
        "charts": charts or (), "screening": SCREENING,
        "band": BAND if any(one.name == "oxygen" for one in charts or ()) else "", "cures": _cures(view, outcome),
        "worked": known_of(view) is not None, "tanks": _in_order(outcome, room.display),
    }  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomShown:
    """The room at a moment, and the live figures over it."""

    plan: Markup
    fronts: Markup
    about: str
    figures: tuple[tuple[str, str], ...]
    legend: tuple[tuple[Markup, str], ...]
    floors: tuple[str, ...]


def room_drawing(study: Study, story: Story, time: Second, path: str) -> RoomShown:
    """The room drawn for a screen as it stands at a moment. `path` is where its things lead: this page."""
    results = moment_results(study, story, time)
    drawn = draw_screen(
        room_at(study.room, story, time), results, link=lambda _: path, chosen="", movable=False
    )
    return RoomShown(
        plan=Markup(drawn.plan),
        fronts=Markup(drawn.fronts),
        about=drawn.about,
        figures=results.figures,
        legend=tuple((Markup(item.swatch), item.words) for item in drawn.legend),
        floors=tuple(floor.label for floor in results.floors),
    )


def _lines(view: View, story: Story, time: Second) -> tuple[LineShown, ...]:
    assert view.room is not None
    lines, display = story_lines(view.room, story), view.display
    past = sum(1 for line in lines if line.time <= time + 1.0)
    return tuple(
        LineShown(
            seconds=line.time,
            since=words(Number(line.time, "duration"), display),
            clock=words(Number(line.clock, "clock"), display),
            text=sentence(line.text, line.numbers, display),
            path=_url(view, story, line.time) + "#room",
            kind="harm" if line.harm else "perhaps" if line.perhaps else "",
            when="now" if number == past - 1 else "" if number < past else "later",
        )
        for number, line in enumerate(lines)
    )


def _in_order(outcome: Outcome, display: str) -> tuple[tuple[tuple[str, ...], str, str], ...]:
    """Tanks in the order of trouble, those that come to it within a hundredth of the time together: their names, all
    of them in short, the time."""
    timed = [(tank, time) for tank, time in outcome.tank_times if math.isfinite(time)]
    groups: list[list[tuple[str, Second]]] = [timed[:1]] if timed else []
    for (_, before), one in pairwise(timed):
        if one[1] - groups[-1][0][1] <= max(0.01 * one[1], 1.0) and one[1] >= before:
            groups[-1].append(one)
        else:
            groups.append([one])
    return tuple(
        (
            tuple(tank for tank, _ in group),
            in_a_row(sorted((tank for tank, _ in group), key=_by_number)),
            words(Number(group[0][1], "duration"), display),
        )
        for group in groups[:MOST_TANKS]
    )


def _by_number(name: str) -> tuple[str, int, str]:
    letters = name.rstrip("0123456789")
    return letters, int(name[len(letters) :] or 0), name


def _charts(view: View, story: Story) -> tuple[ChartShown, ...]:
    return tuple(
        ChartShown(
            name=name,
            title=chart.title,
            chart=Markup(
                to_screen_svg(draw_chart(chart, *ON_PAGE), name=f"fault-{name}", classes=("chart",))
            ),
            table=chart_table(chart),
        )
        for name, chart in story_charts(story, view.display)
    )


def _cures(view: View, outcome: Outcome) -> tuple[tuple[str, str], ...]:
    """What was tried against faults of its group and helps, the cheapest that removes it first."""
    worked = known_of(view)
    if worked is None:
        return ()
    tried = worked.tried.get(outcome.kind, ())
    helping = sorted(
        (one for one in tried if one.helps), key=lambda one: (not (one.removes or one.in_time), one.cost)
    )
    made = []
    for one in helping:
        told = cure_words((one,))
        if told is not None:
            made.append((sentence(told[0], told[1], view.display), one.attempt))
    return tuple(made)


def _moment(view: View, story: Story, end: Second) -> Second:
    asked = view.query.get("t", "")
    if asked.replace(".", "", 1).isdigit() and asked.isascii() and len(asked) < 12:
        return min(float(asked), end)
    first = min((harm.time for harm in story.harms), default=0.0)
    return min(float(math.ceil(first)), end)


def _url(view: View, story: Story, time: Second | None = None) -> str:
    """The address of this story at a moment, to the second after it."""
    asked = {"at": view.query.get("at"), "t": None if time is None else f"{math.ceil(time)}"}
    return view.url(fault_path(story.fault.name), **asked)


def _clock(text: str) -> Second | None:
    hours, _, minutes = text.partition(":")
    if not (hours.isascii() and minutes.isascii() and hours.isdigit() and minutes.isdigit()):
        return None
    seconds = int(hours[:2]) * 3600.0 + int(minutes[:2]) * 60.0
    return seconds if seconds < 86_400.0 else None


PAGE = Page(name="fault", path="/fault/{fault}", title="Fault", template="fault.html", show=show)
