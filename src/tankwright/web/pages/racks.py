"""The room as one walks it: a list of racks, each a small front whose tanks are links to their pages."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from markupsafe import Markup

from tankwright.drawing.fronts import walking_order
from tankwright.drawing.rack_cells import draw_rack_cells, steps_over
from tankwright.drawing.results import DrawnMark
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.finding import Finding, Severity
from tankwright.room.model import RackPlace, Room, Tank
from tankwright.web.page import Page, View
from tankwright.web.pages.tank import tank_path
from tankwright.workspace.opened import Opened

_SIGNED = (Severity.PROBLEM, Severity.WARNING, Severity.NOT_COMPUTED)


@dataclass(frozen=True, slots=True, kw_only=True)
class RackFront:
    """One rack: its front, how many tanks it holds, and the findings about it or its tanks by severity."""

    id: str
    room: str
    zone: str
    tanks: int
    front: Markup
    counts: tuple[tuple[Severity, int], ...]


def show(view: View) -> Mapping[str, object]:
    """Every rack in walking order."""
    fronts = view.made_once.keep(view.snapshot, "racks", _fronts) or ()
    spaces = tuple(dict.fromkeys(rack.room for rack in fronts))
    return {
        "racks": fronts,
        "spaces": spaces,
        "lost": view.query.get("lost", "")[:80],
    }


def _fronts(opened: Opened) -> tuple[RackFront, ...]:
    room = opened.room
    if room is None:
        return ()
    signed = [one for one in opened.findings if one.severity in _SIGNED]
    marks: dict[str, DrawnMark] = {}
    for finding in signed:  # the worst come first
        for place in finding.places:
            title = f"{finding.severity.value} {finding.code}"
            marks.setdefault(place, DrawnMark(place=place, severity=finding.severity, title=title))
    return tuple(_front(room, rack, number, signed, marks) for number, rack in enumerate(walking_order(room)))


def _front(
    room: Room, rack: RackPlace, number: int, signed: list[Finding], marks: Mapping[str, DrawnMark]
) -> RackFront:
    tanks = [tank.id for tank in room.tanks if tank.rack == rack.id]
    here = {rack.id, *tanks}
    of_rack = [one for one in signed if here & set(one.places)]
    drawn = draw_rack_cells(
        room, rack, link=lambda tank: tank_path(tank.id), said=lambda tank: _said(tank, signed), marks=marks
    )
    wider = min(steps_over(drawn), 12)
    svg = to_screen_svg(drawn, classes=(f"over-{wider}",) if wider else (), name=f"rack{number}")
    counts = tuple((severity, sum(one.severity is severity for one in of_rack)) for severity in _SIGNED)
    return RackFront(
        id=rack.id, room=rack.room, zone=rack.zone, tanks=len(tanks), front=Markup(svg),
        counts=tuple((severity, count) for severity, count in counts if count),
    )  # fmt: skip


def _said(tank: Tank, signed: list[Finding]) -> str:
    """A tank as it is read out: "B3, 60, 2 problems, 1 warning"."""
    mine = [one for one in signed if tank.id in one.places]
    counts = [(severity, sum(one.severity is severity for one in mine)) for severity in _SIGNED]
    told = [
        f"{count} {severity.value}{'s' if count > 1 and severity is not Severity.NOT_COMPUTED else ''}"
        for severity, count in counts
        if count
    ]
    return ", ".join([tank.id, tank.kind, *told])


PAGE = Page(name="racks", path="/racks", title="Rounds", template="racks.html", show=show, group="life")
