"""Every check of every system, worst first."""

from __future__ import annotations

from typing import Final

from tankwright.checks.air import check_air
from tankwright.checks.drain import check_drain
from tankwright.checks.feed import check_feed
from tankwright.checks.layout import check_layout
from tankwright.checks.load import check_load
from tankwright.checks.power import check_power
from tankwright.finding import Finding, Severity
from tankwright.study import Study

ORDER: Final = tuple(Severity)


def worst_first(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Findings by severity, then as they came.

    >>> worst_first(())
    ()
    """
    return tuple(sorted(findings, key=lambda finding: ORDER.index(finding.severity)))


def judge(study: Study) -> tuple[Finding, ...]:
    """What there is to say about a worked-out room, worst first. Systems that were not run are not judged."""
    room = study.room
    findings: list[Finding] = list(study.not_computed)
    if study.layout is not None:
        findings += check_layout(room, study.layout)
    if study.load is not None:
        findings += check_load(room, study.load)
    if study.air is not None:
        findings += check_air(room, study.air)
    if study.feed is not None:
        findings += check_feed(room, study.feed)
    if study.drain is not None:
        findings += check_drain(room, study.drain)
    if study.power is not None:
        findings += check_power(room, study.power)
    return worst_first(tuple(findings))
