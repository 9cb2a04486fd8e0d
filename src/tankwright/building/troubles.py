"""What is to be said of a build: no time, too few hands, glass that is never drilled, waits beyond the table."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Final

from tankwright.building.crew import Crew
from tankwright.building.marks import Mark
from tankwright.building.model import Task
from tankwright.building.tasks_shared import LONGEST_CEMENT, Work, cement_waits, one_lifts, rests_lifting
from tankwright.building.tasks_shell import order_of, order_words
from tankwright.building.tasks_tanks import DRILL_SOURCE, is_drilled_here, may_drill, too_heavy
from tankwright.building.waits import CEMENT_SOURCE
from tankwright.finding import Finding, Number, Severity
from tankwright.units import clip

NO_TIME: Final = "BUILD-01"
TOO_HEAVY: Final = "BUILD-02"
FEW_HANDS: Final = "BUILD-03"
TOUGHENED: Final = "BUILD-04"
BEYOND_TABLE: Final = "BUILD-05"
ENDLESS: Final = "BUILD-06"
STRANGE_MARK: Final = "BUILD-07"
LATER_MARK: Final = "BUILD-08"
OUT_OF_ORDER: Final = "BUILD-09"
STRANGE_DELIVERY: Final = "BUILD-10"
_PRACTICE: Final = "common practice, no source"


def no_free_day(crew: Crew) -> Finding:
    """No day of any week has time in it."""
    return Finding(
        code=NO_TIME, severity=Severity.PROBLEM, subject="build", text="no day of the week has time to work in",
        reason="Without working time nothing is ever done, so there is no calendar.", places=(),
        remedy="Say how long you work on an evening or on a weekend day.", wanted="some working time",
        attempt='weekend = "5 h"', rests_on=crew.rests_on,
    )  # fmt: skip


def endless(crew: Crew) -> Finding:
    """The work does not end within what a calendar looks ahead."""
    return Finding(
        code=ENDLESS, severity=Severity.PROBLEM, subject="build", text="is not done within twenty years",
        reason="Working time, days off and deliveries of the plan leave too little time.",
        remedy="Look at [build]: hours, days without work, the first day, what deliveries take.",
        rests_on=crew.rests_on,
    )  # fmt: skip


def too_few_hands(tasks: Sequence[Task], crew: Crew) -> tuple[Finding, ...]:
    """Work that takes more people than there are."""
    hard = [task for task in tasks if task.people > crew.hands]
    if not hard:
        return ()
    return (
        Finding(
            code=FEW_HANDS, severity=Severity.WARNING, subject="build",
            text=f"{_pieces(len(hard))} {{people}} people, and only {{hands}} build{'s' if crew.hands == 1 else ''}: "
            + _some([task.title for task in hard]),
            numbers=(("people", Number(max(task.people for task in hard), "number")), ("hands", Number(crew.hands,
            "number"))),
            value=Number(crew.hands, "number"), limit=Number(max(task.people for task in hard), "number"),
            reason="What one person cannot hold is dropped, or hurts a back.", source=_PRACTICE,
            remedy="Ask for help on those days: they can be done on one weekend. The calendar takes it that help "
            "comes.",
            places=tuple(dict.fromkeys(place for task in hard for place in task.places)),
            rests_on=tuple(key for key in ("build.hands",) if key in crew.rests_on),
        ),
    )  # fmt: skip


def _pieces(number: int) -> str:
    return "one piece of work takes" if number == 1 else f"{number} pieces of work take up to"


def about_marks(
    tasks: Sequence[Task], marks: Mapping[str, Mark], today: date
) -> tuple[dict[str, Mark], tuple[Finding, ...]]:
    """The marks that count, and what is strange about any."""
    by_id = {task.id: task for task in tasks}
    counted: dict[str, Mark] = {}
    findings: list[Finding] = []
    for task, mark in marks.items():
        if task not in by_id:
            findings.append(_said(STRANGE_MARK, Severity.NOTE, clip(task),
            "is marked done, and is no task of this plan any more",
                                  "The plan has changed since, or its name is misspelt.",
                                  "Nothing need be done."))  # fmt: skip
        elif mark.done_on > today:
            findings.append(_said(LATER_MARK, Severity.WARNING, clip(task),
            "is marked done on a day that is still to come",
                                  "It is not counted as done.", "Mark it on the day it is done."))  # fmt: skip
        else:
            counted[task] = mark
    for task in counted:
        early = [link.task for link in by_id[task].after if link.task not in counted]
        if early:
            findings.append(_said(
                OUT_OF_ORDER, Severity.WARNING, by_id[task].title, f"is marked done before {_some(early)}",
                "What must come before may have been skipped: a test, a cure, a coat that nobody reaches any more.",
                "Mark what is done too, or go back and do it.",
            ))  # fmt: skip
    return counted, tuple(findings)


def judge_build(work: Work, crew: Crew) -> tuple[Finding, ...]:
    """What is to be said of how a plan is built, before any calendar."""
    return (*_heavy(work, crew), *_toughened(work), *_beyond(work), *_deliveries(work))


def _heavy(work: Work, crew: Crew) -> tuple[Finding, ...]:
    heavy = too_heavy(work, crew.hands)
    if not heavy:
        return ()
    worst = max(heavy, key=lambda tank: tank.empty_mass.value)
    return (
        Finding(
            code=TOO_HEAVY, severity=Severity.WARNING, subject="build",
            text="tanks are heavier than {hands} can lift, who each lift {lifts}: the heaviest weighs {mass} empty and "
            "takes {people}",
            numbers=(
                ("hands", Number(crew.hands, "number")), ("lifts", Number(one_lifts(work), "mass")),
                ("mass", Number(worst.empty_mass.value, "mass")),
                ("people", Number(work.hands(worst.empty_mass.value), "number")),
            ),
            value=Number(worst.empty_mass.value, "mass"), limit=Number(crew.hands * one_lifts(work), "mass"),
            reason="A tank slips at the rim of the shelf, with fingers under it.", source=_PRACTICE,
            remedy="More people, or straps, suction lifters and a table at the height of the shelf.",
            places=tuple(tank.id for tank in heavy),
            rests_on=(
                *(("build.hands",) if "build.hands" in crew.rests_on else ()),
                *rests_lifting(work),
            ),
        ),
    )  # fmt: skip


def _toughened(work: Work) -> tuple[Finding, ...]:
    never = [tank for tank in work.tanks if is_drilled_here(tank) and not may_drill(tank)]
    if not never:
        return ()
    return (
        Finding(
            code=TOUGHENED, severity=Severity.PROBLEM, subject="build",
            text=f"{len(never)} tanks have their hole in a pane of toughened glass: there is no task to drill it",
            reason="It breaks to crumbs at the first cut.", source=DRILL_SOURCE,
            remedy="Another pane, another tank, or glass that was drilled before it was toughened (drilled = \"to "
            "order\").",
            places=tuple(tank.id for tank in never), line=never[0].line,
        ),
    )  # fmt: skip


def _beyond(work: Work) -> tuple[Finding, ...]:
    runs = [(f"drain {run.id}", run.id, run.pipe, run.bore, run.line) for run in work.room.drains]
    for air in work.room.airs:
        runs += [(f"air {air.id}", air.id, air.pipe, pipe.bore, air.line) for pipe in air.pipes[:1]]
    for feed in work.room.feeds:
        runs += [(f"feed {feed.id}", feed.id, feed.pipe, pipe.bore, feed.line) for pipe in feed.pipes[:1]]
    return tuple(
        Finding(
            code=BEYOND_TABLE, severity=Severity.NOT_COMPUTED, subject=subject,
            text="the table of solvent cement does not reach to its size, or to the warmth of the room while it is "
            "glued; its longest wait of {wait} was taken",
            numbers=(("wait", Number(LONGEST_CEMENT, "duration")),), source=CEMENT_SOURCE,
            reason="Cement outside what its maker has tried may not hold.",
            remedy="Read the tin, or ask its maker; glue when the room is warmer.", places=(place,), line=line,
        )
        for subject, place, pipe, bore, line in runs
        if not cement_waits(work, pipe, bore)[2]
    )  # fmt: skip


def _deliveries(work: Work) -> tuple[Finding, ...]:
    return tuple(
        Finding(
            code=STRANGE_DELIVERY, severity=Severity.WARNING, subject="build",
            text=f'what comes as "{clip(one.what)}" is nothing that is ordered, so its time was not counted',
            reason="The usual time is counted for all that is ordered.", remedy="Name it as the orders are named.",
            found=clip(one.what), wanted=", ".join(order_words()),
        )
        for one in work.build.deliveries
        if not order_of(work, one.what)
    )  # fmt: skip


def _said(code: str, severity: Severity, subject: str, text: str, reason: str, remedy: str) -> Finding:
    return Finding(code=code, severity=severity, subject=subject, text=text, reason=reason, remedy=remedy)


def _some(names: Sequence[str]) -> str:
    more = f" and {len(names) - 3} more" if len(names) > 3 else ""
    return ", ".join(names[:3]) + more
