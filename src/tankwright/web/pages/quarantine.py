"""What is shut off: each clock as a strip of days, its release, tonight's order of work, how many fish to test."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from markupsafe import Markup

from tankwright.display import sentence
from tankwright.drawing.clock_strip import draw_clock
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.husbandry.contacts import HANDS
from tankwright.husbandry.disinfection import CAUTION, FACTS, WET_HOURS
from tankwright.husbandry.freedom import CONFIDENCE, could_still_be, fish_to_test
from tankwright.husbandry.quarantine import LEAST_DAYS, Clock
from tankwright.husbandry.round_order import Wash
from tankwright.report.model import SummaryLine
from tankwright.report.quarantine import (
    NO_PROOF,
    clock_lines,
    could_line,
    order_line,
    order_summary,
    restart_line,
    sample_lines,
)
from tankwright.web.page import Page, View
from tankwright.workspace.contact_work import plan_times
from tankwright.workspace.opened import Opened
from tankwright.workspace.quarantine_work import ShutRoom, shut_room

REVISIONS: Final = 2000
"""States of the plan that are asked for; only those since the oldest quarantine are laid out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockShown:
    """One quarantine as it is shown."""

    id: str
    names: str
    lines: tuple[str, ...]
    strip: Markup
    restarts: tuple[tuple[datetime, str], ...]
    maybe: tuple[tuple[datetime, str], ...]
    is_over: bool
    released: datetime | None
    reason: str


def show(view: View) -> Mapping[str, object]:
    """Everything about quarantines as of now."""
    been = view.query.get("been", "")
    found = view.made_once.keep(
        view.snapshot,
        ("quarantine", view.log_state, been, view.display),
        lambda good: _found(view, good, been),
    )
    tanks = tuple(tank.id for tank in view.room.tanks) if view.room is not None else ()
    return {
        "found": found, "been": been, "tanks": tanks,
        "clocks": tuple(_shown(view, one, found) for one in found.clocks) if found else (),
        "order": tuple((isinstance(one, Wash), _said(view, (order_line(one),))[0]) for one in found.order.parts)
        if found else (),
        "walk": _said(view, order_summary(found.order)) if found else (),
        "tools": tuple(one for one in found.tools if one.id != HANDS) if found else (),
        "zones": tuple(zone.id for zone in view.room.zones) if view.room is not None else (),
        "least": LEAST_DAYS, "wet": WET_HOURS, "facts": FACTS, "caution": CAUTION, "no_proof": NO_PROOF,
        "errors": {name.partition(":")[2]: one for name, one in view.errors.items() if name.startswith("shut:")},
    } | _sample(view)  # fmt: skip


def _found(view: View, good: Opened, been: str) -> ShutRoom | None:
    book = view.log.kept
    if good.room is None or book is None:
        return None
    now = view.log.now()
    since = min((one.opened for one in book.quarantines(closed=True)), default=now)
    times = plan_times(view.live.revisions(REVISIONS), view.live.text_at, good.room, view.live.path, since)
    return shut_room(view.log, good.room, times, now, been=been)


def _said(view: View, lines: Iterable[SummaryLine]) -> tuple[str, ...]:
    return tuple(sentence(line.text, line.numbers, view.display) for line in lines)


def _shown(view: View, clock: Clock, found: ShutRoom) -> ClockShown:
    one = clock.quarantine
    names = ", ".join(found.called(place) for place in one.places)
    return ClockShown(
        id=one.id, names=names, lines=_said(view, clock_lines(clock, found.called)),
        strip=Markup(to_screen_svg(draw_clock(clock, title=names), name=f"clock-{one.id}")),
        restarts=tuple((step.at, _said(view, (restart_line(step, found.called),))[0]) for step in clock.restarts),
        maybe=tuple((step.at, _said(view, (restart_line(step, found.called),))[0]) for step in clock.maybe),
        is_over=clock.is_over, released=one.released, reason=one.reason,
    )  # fmt: skip


SAMPLE: Final = ("group", "ill", "share", "misses", "tested", "positive")
"""Fields of the helper for samples: whole numbers, and two shares in per cent."""


def _sample(view: View) -> dict[str, object]:
    """How many fish to test by what the address asks, and what could still be so after a sample."""
    typed = {name: view.query.get(name, "").strip()[:12] for name in SAMPLE}
    answers: list[str] = []
    wrong = ""
    try:
        number = {name: _number(text) for name, text in typed.items()}
        finds = 1.0 - (number["misses"] or 0.0) / 100.0
        group, ill, tested = _whole(number["group"]), _whole(number["ill"]), _whole(number["tested"])
        if group is not None and (ill is not None or number["share"] is not None):
            share = None if ill is not None else (number["share"] or 0.0) / 100.0
            answers += _said(view, sample_lines(fish_to_test(group, share=share, ill=ill, sensitivity=finds)))
        if tested is not None:
            could = could_still_be(
                tested, positive=_whole(number["positive"]) or 0, group=group, sensitivity=finds
            )
            answers += _said(view, (could_line(could),))
    except (ValueError, OverflowError) as refused:
        wrong = str(refused)
    return {"typed_in": typed, "answers": tuple(answers), "wrong": wrong, "confidence": CONFIDENCE}


def _number(text: str) -> float | None:
    """A number as it was typed, a comma or a point in it; None for nothing."""
    return float(text.replace(",", ".").rstrip("% ")) if text else None


def _whole(number: float | None) -> int | None:
    if number is None:
        return None
    if number != int(number):
        raise ValueError(f"fish are counted whole, not {number:g}")
    return int(number)


PAGE = Page(
    name="quarantine",
    path="/quarantine",
    title="Quarantine",
    template="quarantine.html",
    show=show,
    group="life",
)
