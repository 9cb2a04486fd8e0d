"""A tick of the build as a phone, a form or a program sends it: checked against plan and clock, then kept."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from tankwright.building.marks import Mark
from tankwright.building.troubles import LATER_MARK
from tankwright.finding import Finding
from tankwright.plan.suggest import nearest
from tankwright.units import clip
from tankwright.web import clock
from tankwright.workspace.build_marks import BuildMarks
from tankwright.workspace.disk import utc_from_text
from tankwright.workspace.outcomes import trouble

BAD_MARK: Final = "BUILD-12"
LONG_AGO: Final = timedelta(days=3660)
"""A tick of a day before that is a misprint; our choice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sent:
    """One tick as it was sent. `do` is "done" or "undone"; `on` the day it was done as ISO text, "" for the day of
    the tap; `happened` the time of the tap as ISO text with its zone, "" for now."""

    key: str
    task: str
    do: str = "done"
    on: str = ""
    note: str = ""
    happened: str = ""


def tick(book: BuildMarks, known: Collection[str], sent: Sent, *, who: str, today: date) -> Mark | Finding:
    """Keep a tick, or say why not. One that came before under its key, or says what stands already, changes nothing.

    `known` are the tasks of the plan; one that was marked before may be taken back though the plan has it no more.
    """
    if not sent.key.strip():
        return trouble(
            BAD_MARK, "tick", "has no key", wanted="a text of its sender's own, another for each tick"
        )
    if sent.do not in ("done", "undone"):
        return trouble(BAD_MARK, "tick", f'"{clip(sent.do)}" cannot be done', wanted='"done" or "undone"')
    if sent.task not in known and (sent.do == "done" or sent.task not in book.standing()):
        close = nearest(sent.task, tuple(known))
        return trouble(
            BAD_MARK, "tick", f'there is no task "{clip(sent.task)}" in the plan', found=clip(sent.task),
            attempt=close or "",
        )  # fmt: skip
    day = _day(sent, today)
    if isinstance(day, Finding):
        return day
    mark = Mark(
        task=sent.task, done_on=day, who=who, note=sent.note.strip(), undone=sent.do == "undone", key=sent.key
    )
    kept = book.add([mark])
    return kept if isinstance(kept, Finding) else mark


def _day(sent: Sent, today: date) -> date | Finding:
    """The day it was done."""
    if not sent.on.strip():
        try:
            moment = utc_from_text(sent.happened.strip()) if sent.happened.strip() else None
            return today if moment is None else max(min(clock.day_of(moment), today), today - LONG_AGO)
        except (ValueError, OverflowError):
            return trouble(
                BAD_MARK, "tick", f'"{clip(sent.happened)}" is no moment', wanted="2026-12-05T19:15:00Z"
            )
    try:
        day = date.fromisoformat(sent.on.strip())
    except ValueError:
        return trouble(
            BAD_MARK, "tick", f'"{clip(sent.on)}" is not a date', wanted="year, month and day: 2026-12-05"
        )
    if day > today:
        return trouble(
            LATER_MARK, "tick", f"{day.isoformat()} is still to come", wanted=f"{today.isoformat()} or before"
        )
    if day < today - LONG_AGO:
        return trouble(BAD_MARK, "tick", f"{day.isoformat()} is long ago", wanted="a day of this build")
    return day
