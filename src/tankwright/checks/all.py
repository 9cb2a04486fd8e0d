"""Every check of every system, worst first."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from tankwright.checks.air import check_air
from tankwright.checks.drain import check_drain
from tankwright.checks.feed import check_feed
from tankwright.checks.glass import check_glass
from tankwright.checks.heat import check_heat
from tankwright.checks.layout import check_layout
from tankwright.checks.load import check_load
from tankwright.checks.oxygen import check_oxygen
from tankwright.checks.power import check_power
from tankwright.checks.racks import check_racks
from tankwright.checks.water import check_water
from tankwright.finding import Finding, Severity
from tankwright.study import Study

ORDER: Final = tuple(Severity)


def worst_first(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Findings by severity, then as they came.

    >>> worst_first(())
    ()
    """
    return tuple(sorted(findings, key=lambda finding: ORDER.index(finding.severity)))


def every_system_is_in_the_plan(study: Study) -> Iterator[Finding]:
    """STUDY-02: the plan says where air, fresh water and the overflow of its tanks go; silence is not "fine"."""
    room = study.room
    if not room.tanks:
        return
    asked = (
        ("air", study.air is not None and not room.airs, "[air.ring] with a pump, a pipe and its height"),
        ("feed", study.feed is not None and not room.feeds, "[feed.drip] with a water point and an outlet"),
        (
            "drain",
            study.drain is not None and not room.drains,
            "[drain.main] with an outfall, a pipe and a fall",
        ),
    )
    for system, missing, table in asked:
        if missing:
            yield Finding(
                code="STUDY-02",
                severity=Severity.NOT_COMPUTED,
                subject=system,
                text="was not worked out: the plan describes none",
                reason="nothing here says that the tanks can do without",
                remedy=f"describe it under {table}, when there is one",
            )


def judge(study: Study) -> tuple[Finding, ...]:
    """What there is to say about a worked-out room, worst first. Systems that were not run are not judged."""
    room = study.room
    findings: list[Finding] = [*study.not_computed, *every_system_is_in_the_plan(study)]
    if study.layout is not None:
        findings += check_layout(room, study.layout)
    if study.load is not None:
        findings += check_load(room, study.load)
    if study.glass is not None:
        findings += check_glass(room, study.glass)
    if study.racks is not None:
        findings += check_racks(room, study.racks)
    if study.air is not None:
        findings += check_air(room, study.air)
    if study.feed is not None:
        findings += check_feed(room, study.feed)
    if study.drain is not None:
        findings += check_drain(room, study.drain)
    if study.power is not None:
        findings += check_power(room, study.power)
    if study.water is not None:
        findings += check_water(room, study.water)
    if study.oxygen is not None:
        findings += check_oxygen(room, study.oxygen)
    if study.heat is not None:
        findings += check_heat(room, study.heat)
    return worst_first(tuple(findings))
