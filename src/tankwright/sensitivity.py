"""Which assumption matters most: the room worked out again with each one at both ends of its band.

An assumption is consequential when a verdict changes inside its band, and then by how far the judged numbers move.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from tankwright.catalogue.assumptions import ASSUMPTIONS, Assumption
from tankwright.checks.all import judge
from tankwright.finding import Finding, Severity
from tankwright.origin import Known
from tankwright.plan.models import Plan
from tankwright.room.layout import lay_out
from tankwright.study import work_out

_WEIGHT = {Severity.PROBLEM: 10.0, Severity.WARNING: 3.0, Severity.NOTE: 0.5, Severity.NOT_COMPUTED: 3.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class Consequence:
    """What one assumption does to the verdicts within its band.

    `verdicts` are the findings that come, go or change severity, as (code, subject). `shift` is the largest relative
    change of a judged number. `tried` is False when the room was too large to try every band.
    """

    assumption: Assumption
    known: Known
    weight: float
    shift: float
    verdicts: tuple[tuple[str, str], ...]
    tried: bool = True


def _verdicts(findings: tuple[Finding, ...]) -> dict[tuple[str, str], Finding]:
    return {(finding.code, finding.subject): finding for finding in findings}


def _compare(
    before: dict[tuple[str, str], Finding], after: dict[tuple[str, str], Finding]
) -> tuple[float, float, set[tuple[str, str]]]:
    weight, shift = 0.0, 0.0
    changed: set[tuple[str, str]] = set()
    for name in before.keys() | after.keys():
        old, new = before.get(name), after.get(name)
        if old is None or new is None or old.severity is not new.severity:
            worst = max(_WEIGHT[finding.severity] for finding in (old, new) if finding is not None)
            weight += worst
            changed.add(name)
        elif old.value is not None and new.value is not None:
            scale = max(abs(old.value.value), abs(new.value.value))
            if scale > 0:
                shift = max(shift, abs(old.value.value - new.value.value) / scale)
    return weight, shift, changed


def rank_assumptions(
    plan: Plan,
    assumed: tuple[Known, ...],
    *,
    most_tanks: int = 120,
    progress: Callable[[int, int], None] | None = None,
) -> tuple[Consequence, ...]:
    """The assumptions in use, most consequential first. Rooms above `most_tanks` tanks are listed untried."""
    consequences: list[Consequence] = []
    bases: dict[frozenset[str], dict[tuple[str, str], Finding]] = {}
    laid = lay_out(plan)
    room = laid.room
    for done, known in enumerate(assumed):
        if progress is not None:
            progress(done, len(assumed))
        row = ASSUMPTIONS[known.key]
        if room is None or len(room.tanks) > most_tanks:
            consequences.append(
                Consequence(assumption=row, known=known, weight=0.0, shift=0.0, verdicts=(), tried=False)
            )
            continue
        only = frozenset(row.systems)
        if only not in bases:
            bases[only] = _verdicts(judge(work_out(room, only)))
        weight, shift = 0.0, 0.0
        changed: set[tuple[str, str]] = set()
        for end in (row.low, row.high):
            trial = lay_out(plan, {row.key: end}).room
            if trial is None or end == known.value:
                continue
            more = _compare(bases[only], _verdicts(judge(work_out(trial, only))))
            weight, shift, changed = weight + more[0], max(shift, more[1]), changed | more[2]
        consequences.append(
            Consequence(
                assumption=row, known=known, weight=weight, shift=shift, verdicts=tuple(sorted(changed))
            )
        )
    return tuple(sorted(consequences, key=lambda item: (-item.weight, -item.shift, item.assumption.key)))
