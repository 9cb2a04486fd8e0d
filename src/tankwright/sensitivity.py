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
from tankwright.thermal.engine import compiled_steps
from tankwright.weather.model import WeatherYear

_WEIGHT = {Severity.PROBLEM: 10.0, Severity.WARNING: 3.0, Severity.NOTE: 0.5, Severity.NOT_COMPUTED: 3.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A verdict that is another at one end of a band: the places it comes to name and those it no longer names.

    `whole` is True when the verdict appears or disappears altogether.
    """

    code: str
    severity: Severity
    comes: tuple[str, ...]
    goes: tuple[str, ...]
    whole: bool

    @property
    def weight(self) -> float:
        """How much it matters: by severity, and a fifth when only some of the places change."""
        return _WEIGHT[self.severity] * (1.0 if self.whole else 0.2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Consequence:
    """What one assumption does to the verdicts within its band.

    `verdicts` are the changes of verdict at either end. `shift` is the largest relative change of a judged number.
    `tried` is False when the room was too large to try every band.
    """

    assumption: Assumption
    known: Known
    weight: float
    shift: float
    verdicts: tuple[Change, ...]
    tried: bool = True


Verdicts = dict[tuple[str, Severity], frozenset[str]]


def _verdicts(findings: tuple[Finding, ...]) -> Verdicts:
    """Which places each verdict names: a finding about many tanks is the same verdict when it names others."""
    named: dict[tuple[str, Severity], set[str]] = {}
    for finding in findings:
        places = finding.places or (finding.subject,)
        named.setdefault((finding.code, finding.severity), set()).update(places)
    return {key: frozenset(places) for key, places in named.items()}


def _numbers(findings: tuple[Finding, ...]) -> dict[tuple[str, str], float]:
    return {(item.code, item.subject): item.value.value for item in findings if item.value is not None}


def _changes(before: Verdicts, after: Verdicts) -> list[Change]:
    changes = []
    for code, severity in sorted(before.keys() | after.keys()):
        old, new = before.get((code, severity), frozenset()), after.get((code, severity), frozenset())
        if old != new:
            changes.append(
                Change(
                    code=code,
                    severity=severity,
                    comes=tuple(sorted(new - old)),
                    goes=tuple(sorted(old - new)),
                    whole=not old or not new,
                )
            )
    return changes


def _shift(before: dict[tuple[str, str], float], after: dict[tuple[str, str], float]) -> float:
    shift = 0.0
    for name in before.keys() & after.keys():
        scale = max(abs(before[name]), abs(after[name]))
        if scale > 0:
            shift = max(shift, abs(before[name] - after[name]) / scale)
    return shift


def rank_assumptions(
    plan: Plan,
    assumed: tuple[Known, ...],
    *,
    weather: WeatherYear | None = None,
    most_tanks: int = 120,
    progress: Callable[[int, int], None] | None = None,
) -> tuple[Consequence, ...]:
    """The assumptions in use, most consequential first. Rooms above `most_tanks` tanks are listed untried."""
    consequences: list[Consequence] = []
    bases: dict[frozenset[str], tuple[Verdicts, dict[tuple[str, str], float]]] = {}
    room = lay_out(plan).room
    tried = room is not None and len(room.tanks) <= most_tanks
    given = (
        work_out(room, frozenset({"air", "feed"}), walk_through=False) if room is not None and tried else None
    )
    if tried and weather is not None:
        compiled_steps()  # dozens of rooms over their weeks: loading the compiler is soon repaid
    for done, known in enumerate(assumed):
        if progress is not None:
            progress(done, len(assumed))
        row = ASSUMPTIONS[known.key]
        if room is None or not tried:
            untried = Consequence(
                assumption=row, known=known, weight=0.0, shift=0.0, verdicts=(), tried=False
            )
            consequences.append(untried)
            continue
        only = frozenset(row.systems)
        if only not in bases:
            findings = judge(work_out(room, only, weather=weather, walk_through=False, known=given))
            bases[only] = (_verdicts(findings), _numbers(findings))
        shift = 0.0
        changes: list[Change] = []
        for end in (row.low, row.high):
            trial = None if end == known.value else lay_out(plan, {row.key: end}, only).room
            if trial is not None:
                findings = judge(work_out(trial, only, weather=weather, walk_through=False, known=given))
                changes += _changes(bases[only][0], _verdicts(findings))
                shift = max(shift, _shift(bases[only][1], _numbers(findings)))
        changes.sort(key=lambda change: -change.weight)
        weight = sum(change.weight for change in changes)
        consequences.append(
            Consequence(assumption=row, known=known, weight=weight, shift=shift, verdicts=tuple(changes))
        )
    return tuple(sorted(consequences, key=lambda item: (-item.weight, -item.shift, item.assumption.key)))
