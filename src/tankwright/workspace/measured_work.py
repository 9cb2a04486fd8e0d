"""Readings of a room taken through: compared, explained, fitted, and the plan as it would be with what was measured."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from tankwright.building.comparing import Comparison, compare
from tankwright.building.fitted import Fitted
from tankwright.building.fitting import fit
from tankwright.building.patterns import explain
from tankwright.building.points import expected_points
from tankwright.building.readings import Read, read_readings
from tankwright.building.writing_back import fitted_changes
from tankwright.finding import Finding, Severity
from tankwright.plan.changes_together import PutTogether
from tankwright.workspace.opened import Opened, open_text


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdicts:
    """What the measured values do to the findings: those that go, those that come, and those that no longer rest on
    any of what was measured but on the measurement.
    """

    gone: tuple[Finding, ...]
    come: tuple[Finding, ...]
    firmer: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """One file of readings and all that follows from it. `change` puts the fitted values into the plan as one step, and
    `after` is the room then; both None where nothing was fitted.
    """

    read: Read
    comparisons: tuple[Comparison, ...]
    patterns: tuple[Finding, ...]
    fitted: Fitted | None
    change: PutTogether | None
    after: Opened | None
    verdicts: Verdicts


def take_through(
    opened: Opened, text: str, on: date, progress: Callable[[int, int], None] | None = None
) -> Measured:
    """Readings (the text of a CSV) of an opened plan that was worked out, taken through. Never raises for the text."""
    assert opened.plan is not None
    assert opened.study is not None
    assert opened.read is not None
    points = expected_points(opened.study, opened.plan)
    read = read_readings(text, points, on)
    comparisons = compare(points, read.readings)
    fitted = None
    if read.readings:
        fitted = fit(opened.plan, opened.study, points, read.readings, progress=progress)
    changes = () if fitted is None else fitted_changes(fitted, on)
    change = after = None
    if changes:
        told = f"measured {on}: {', '.join(one.row.key for one in fitted.values)}" if fitted else ""
        change = PutTogether(tuple(put for one in changes for put in one.puts), told)
        made = change.apply(opened.read.text)
        after = None if made.text is None else open_text(opened.path, made.text)
    return Measured(
        read=read,
        comparisons=comparisons,
        patterns=explain(comparisons) if read.readings else (),
        fitted=fitted,
        change=change,
        after=after,
        verdicts=_verdicts(opened, after),
    )


def _verdicts(before: Opened, after: Opened | None) -> Verdicts:
    if after is None:
        return Verdicts(gone=(), come=(), firmer=())
    old = {(one.code, one.severity, one.subject): one for one in before.findings}
    new = {(one.code, one.severity, one.subject): one for one in after.findings}
    firmer = tuple(
        one
        for key, one in new.items()
        if key in old and one.severity is not Severity.NOTE and set(old[key].rests_on) - set(one.rests_on)
    )
    return Verdicts(
        gone=tuple(one for key, one in old.items() if key not in new),
        come=tuple(one for key, one in new.items() if key not in old),
        firmer=firmer,
    )
