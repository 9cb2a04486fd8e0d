"""Layers of the drawing that show what the logbook says: for each what is gathered for it, and who draws it.

A new one is a line of `LAYERS_OF_LOG`: a function that gathers frozen facts from the logbook, and `draw_<layer>(room,
facts)` of `drawing/layer_<layer>.py`. It then stands in the switch of every room that has a logbook.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, Final

from tankwright.drawing.layer_due import draw_due
from tankwright.drawing.layer_fish import draw_fish
from tankwright.drawing.layer_quarantine import draw_quarantine
from tankwright.drawing.layer_tests import draw_tests
from tankwright.drawing.results import LOG_LAYERS, DrawnMark, DrawnResults, LogLayer
from tankwright.finding import Finding, Severity
from tankwright.room.model import Room
from tankwright.workspace.census import fish_facts
from tankwright.workspace.log import RoomLog
from tankwright.workspace.log_waters import last_test_facts
from tankwright.workspace.quarantine_work import shut_facts
from tankwright.workspace.round_work import due_facts

_ORDER: Final = tuple(Severity)


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerOfLog:
    """How a layer comes to be: its facts, its drawing, and what its facts find (worst is marked at its places)."""

    facts: Callable[[RoomLog, Room, datetime], Any]
    draw: Callable[[Room, Any], DrawnResults]
    findings: Callable[[Any], Iterable[Finding]] = lambda facts: ()  # noqa: ARG005 - most find nothing


LAYERS_OF_LOG: Final[Mapping[LogLayer, LayerOfLog]] = {
    "fish": LayerOfLog(facts=fish_facts, draw=draw_fish),
    "due": LayerOfLog(facts=due_facts, draw=draw_due),
    "quarantine": LayerOfLog(facts=shut_facts, draw=draw_quarantine, findings=lambda facts: facts.findings),
    "tests": LayerOfLog(
        facts=last_test_facts,
        draw=lambda room, facts: draw_tests(room, facts.last),
        findings=lambda facts: facts.findings,
    ),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class LogLayerMade:
    """A layer worked out: what is drawn, and its findings, worst first."""

    results: DrawnResults
    findings: tuple[Finding, ...] = ()


def layers_of_log(log: RoomLog) -> tuple[LogLayer, ...]:
    """The layers this room's logbook can show, in the order of the switch; none without a logbook."""
    return tuple(one for one in LOG_LAYERS if one in LAYERS_OF_LOG) if log.is_there else ()


def made_of_log(log: RoomLog, room: Room, layer: LogLayer, now: datetime) -> LogLayerMade:
    """What the drawing of one layer shows of the logbook as it is; nothing of a layer nobody draws."""
    known = LAYERS_OF_LOG.get(layer)
    if known is None:
        return LogLayerMade(results=DrawnResults(layer=layer))
    facts = known.facts(log, room, now)
    found = tuple(sorted(known.findings(facts), key=lambda one: _ORDER.index(one.severity)))
    results = known.draw(room, facts)
    return LogLayerMade(results=replace(results, marks=(*results.marks, *_marks(found))), findings=found)


def _marks(findings: Iterable[Finding]) -> tuple[DrawnMark, ...]:
    """The worst finding of every place; notes leave no sign."""
    worst: dict[str, Finding] = {}
    for finding in findings:
        if finding.severity is not Severity.NOTE:
            for place in finding.places:
                worst.setdefault(place, finding)
    return tuple(
        DrawnMark(place=place, severity=one.severity, title=f"{one.severity.value} {one.code}")
        for place, one in worst.items()
    )
