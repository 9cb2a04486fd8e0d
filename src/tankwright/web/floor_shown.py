"""The floor under racks as a page shows it: what presses on it beside a limit, and joists as an engineer reads them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Final

from markupsafe import Markup

from tankwright.drawing.colour import AMOUNT, step_for
from tankwright.drawing.floor_feet import WIDTH, draw_floor_feet
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.explain.rack_parts import joist_name
from tankwright.room.model import Room, Space
from tankwright.systems.racks_model import FloorStrength, JoistLoad, Patch
from tankwright.units import Metre, Newton
from tankwright.web.page import View

HANGS: Final = ("timber", "other")
"""Floors that joists may carry; under the others lies the ground."""
MOST_JOISTS: Final = 24
SMALLEST: Final = 100
"""1:N; a floor drawn smaller than that on a column is drawn wider."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Brought:
    """What one rack brings to a joist at one place: the force, and its middle from the start of the joist's span."""

    rack: str
    force: Newton
    at: Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class JoistRow:
    """One joist: what it carries, and how much of the design load's bending that is (for a colour, never a verdict)."""

    joist: JoistLoad
    number: int
    brought: tuple[Brought, ...]
    step: str
    moment: str
    design: str
    sag: str


def floor_picture(view: View, room: Room, floor: FloorStrength) -> Markup:
    """The feet on the plan; drawn once for each state of the plan."""

    def make(_: object) -> str:
        drawn = draw_floor_feet(room, floor)
        classes: tuple[str, ...] = ("feet",)
        if drawn.scale > SMALLEST:  # a hall: twice as large, to be pushed about
            drawn, classes = draw_floor_feet(room, floor, width=2 * WIDTH), ("feet", "wide", "wide-2")
        return to_screen_svg(drawn, classes=classes, name="feet")

    return Markup(view.made_once.keep(view.snapshot, ("floor feet", floor.space), make) or "")


def joists_of(floor: FloorStrength, start: int) -> tuple[JoistRow, ...]:
    """A page of the joists under racks, as they are counted from the wall."""
    most = max((one.moment for one in floor.joists), default=0.0)
    return tuple(
        JoistRow(
            joist=one, number=one.index + 1, brought=_brought(one.patches),
            step=step_for(one.moment / most if most > 0.0 else 0.0, AMOUNT).fill.token,
            moment=joist_name(one, "moment"), design=joist_name(one, "design"), sag=joist_name(one, "sag"),
        )
        for one in floor.joists[start : start + MOST_JOISTS]
    )  # fmt: skip


def _brought(patches: Sequence[Patch]) -> tuple[Brought, ...]:
    """Feet of one rack that come to the same place of a joist as one."""
    told = sorted(
        (round((one.start + one.end) / 2.0, 3), one.tank, one.load * (one.end - one.start)) for one in patches
    )
    found = []
    for (at, rack), those in groupby(told, key=lambda one: one[:2]):
        force = sum(one[2] for one in those)
        if force > 0.5:  # less than a newton is no load one writes down
            found.append(Brought(rack=rack, force=force, at=at))
    return tuple(found)


def hangs(space: Space) -> bool:
    """Whether joists may carry a floor."""
    return space.joists is not None or space.floor in HANGS
