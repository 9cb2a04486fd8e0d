"""Everything that can break, worst first: what harm comes, when, whether anybody notices before, and what mends it."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final
from urllib.parse import quote

from tankwright.display import sentence
from tankwright.faults.judging import A_TRACE, SCREENING, judge_faults
from tankwright.faults.model import Outcome
from tankwright.finding import Finding
from tankwright.report.faults import FaultRow, fault_rows, summary_faults
from tankwright.web.page import Page, View
from tankwright.web.pointer import to_pointer
from tankwright.web.sheets import SheetField
from tankwright.workspace.fault_work import WorkedFaults, known_faults, mark_of
from tankwright.workspace.jobs import Job

KIND: Final = "faults"
MOST: Final = 100
"""Rows shown at once; a hall has thousands of faults."""
EVERY: Final = "every"
"""The word of the address that asks for every fault, instead of the worst of each kind."""
MOST_REASONS: Final = 6
"""Reasons named why faults are not known in full."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A fault in words: what comes first, what was tried and helps, how bad it is as a step of the colour scale, and
    how many there are of its kind."""

    outcome: Outcome
    harm: str
    remedy: str
    verdict: str
    step: str
    path: str
    alike: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """Everything the page shows of the faults of one state of the plan."""

    rows: tuple[Row, ...]
    summary: tuple[str, ...]
    findings: tuple[Finding, ...]
    groups: tuple[tuple[str, int], ...]
    unknown: tuple[tuple[str, int], ...]


def fault_path(name: str) -> str:
    """The address of one fault's story.

    >>> fault_path("overflow of A3 blocked")
    '/fault/overflow%20of%20A3%20blocked'
    """
    return f"/fault/{quote(name, safe='').replace('%2F', '%252F')}"


def known_of(view: View) -> WorkedFaults | None:
    """The faults of this state of the plan, when they were worked out, for this or another state alike."""
    mark = view.made_once.keep(view.snapshot, "fault mark", mark_of)
    return known_faults(mark) if mark else None


def show(view: View) -> Mapping[str, object]:
    """The faults as far as they are known, and the work that finds them."""
    worked, job, of_number = _worked(view)
    shown = None
    if worked is not None and view.room is not None:
        known = worked
        shown = view.made_once.keep(
            view.snapshot, ("faults page", view.display, id(known)), lambda _: _shown(view, known)
        )
    group = view.query.get("group", "")
    tank = view.query.get("tank", "")
    rows = _chosen(shown, group, tank)
    start = _start(view, len(rows))
    return {
        "has_tanks": view.room is not None and bool(view.room.tanks),
        "job": job, "kind": KIND, "stale": of_number is not None, "of_number": of_number, "shown": shown,
        "rows": rows, "start": start, "most": MOST, "group": group, "tank": tank, "every": EVERY,
        "tanks": tuple(one.id for one in view.room.tanks) if view.room is not None else (),
        "screening": SCREENING, "fields": _fields(), "a_trace": A_TRACE,
        "time_of": lambda one, name: dict(one.tank_times).get(name, math.inf),
    }  # fmt: skip


def _chosen(shown: Shown | None, group: str, tank: str) -> tuple[Row, ...]:
    if shown is None:
        return ()
    rows = shown.rows
    if group and group != EVERY:
        rows = tuple(row for row in rows if row.outcome.group == group)
    if not tank:
        return rows if group else _worst_of_each(rows)
    times = {row.outcome.fault: dict(row.outcome.tank_times).get(tank) for row in rows}
    touched = [row for row in rows if times[row.outcome.fault] is not None]
    return tuple(sorted(touched, key=lambda row: times[row.outcome.fault] or 0.0))


def _worst_of_each(rows: tuple[Row, ...]) -> tuple[Row, ...]:
    """The first of every kind: the rows are the worst first."""
    worst: dict[str, Row] = {}
    for row in rows:
        worst.setdefault(row.outcome.group, row)
    return tuple(worst.values())


def _start(view: View, count: int) -> int:
    asked = view.query.get("from", "0")
    start = int(asked) if asked.isascii() and asked.isdigit() and len(asked) < 7 else 0
    return start - start % MOST if start < count else 0


def _worked(view: View) -> tuple[WorkedFaults | None, Job | None, int | None]:
    """The faults of this state and the newest work on them; where they are not known, the newest there are and the
    number of the plan they are of."""
    jobs = [job for job in view.jobs.list() if job.kind == KIND] if view.jobs is not None else []
    mine = next((job for job in jobs if job.number == view.snapshot.good_number), None)
    known = known_of(view)
    if known is not None:
        return known, mine, None
    for before in jobs:
        if isinstance(before.result, WorkedFaults):
            return before.result, mine, before.number
    return None, mine or next(iter(jobs), None), None


def _shown(view: View, worked: WorkedFaults) -> Shown:
    assert view.room is not None
    display = view.display
    found = fault_rows(worked.faults, worked.tried)
    kinds = Counter(row.outcome.group for row in found)
    rows = tuple(_row(row, display, kinds[row.outcome.group]) for row in found)
    told = Counter(
        f"{subject}: {reason}" for row in found for subject, reason in dict.fromkeys(row.outcome.not_computed)
    )
    lines = summary_faults(worked.faults)[:-1]  # the caution stands by itself
    return Shown(
        rows=rows,
        summary=tuple(sentence(line.text, line.numbers, display) for line in lines),
        findings=judge_faults(view.room, worked.faults, worked.tried),
        groups=tuple(kinds.items()),
        unknown=tuple(told.most_common(MOST_REASONS)),
    )


def step_of(one: Outcome) -> str:
    """How bad a fault is as a step of the colour scale; "none" where it is not known in full."""
    if one.first is None and one.not_computed:
        return "none"
    return "plum" if one.before_look else "sand" if one.in_absence else "plenty"


def _row(row: FaultRow, display: str, alike: int) -> Row:
    one = row.outcome
    return Row(
        outcome=one,
        harm=sentence(row.harm.text, row.harm.numbers, display),
        remedy="" if row.remedy is None else sentence(row.remedy.text, row.remedy.numbers, display),
        verdict=row.verdict,
        step=step_of(one),
        path=fault_path(one.fault),
        alike=alike,
    )


def _fields() -> tuple[SheetField, ...]:
    return (
        SheetField(pointer=to_pointer(("people", "looks")), label="When somebody looks",
                   help='times of day, such as ["07:00", "19:00"]'),
        SheetField(pointer=to_pointer(("people", "longest_absence")), label="Longest absence"),
    )  # fmt: skip


PAGE = Page(
    name="faults",
    path="/faults",
    title="Faults",
    template="faults.html",
    show=show,
    group="system",
)
