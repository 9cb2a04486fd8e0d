"""What is written beside the pane on its drill sheet: all that must be known before the drill touches the glass."""

from __future__ import annotations

import math
from typing import Final

from tankwright.drawing.colour import INK, QUIET, WINE
from tankwright.drawing.drill_stress import DrillStress, stress_rows
from tankwright.drawing.measured import measured_off
from tankwright.drawing.model import Group, Look, Shape, line
from tankwright.drawing.page import Page, written
from tankwright.takeoff.panes import PaneHole, TankPane

DO_NOT_DRILL: Final = "DO NOT DRILL"
TOLERANCE: Final = (
    "hole centre ±1 mm, diameter +1/−0 mm (common practice for glass drilled by hand; ISO 2768-1 coarse allows ±0.8 mm "
    "from 30 to 120 mm and ±1.2 mm from 120 to 400 mm)"
)
GUESSED: Final = (
    "The plan does not say where this hole goes: its place here is assumed. Say it in the plan, or mark it yourself, "
    "before anybody drills."
)
NOTES_WIDE: Final = 88.0  # mm for what is written beside the pane
NOTES_GAP: Final = 8.0


def diameter_words(pane: TankPane, display: str) -> str:
    """The hole's diameter, or the blank to be filled in by whoever holds the fitting."""
    assert pane.hole is not None
    known = pane.hole.diameter
    if known.is_assumed:
        return "⌀ ______"
    return f"⌀ {both(known.value, display)}"


def both(metres: float, display: str) -> str:
    """A measure to work by: in inches with its millimetres, since a sixteenth is coarser than the tolerance."""
    said = measured_off(metres, display, fine=True)
    return f"{said} ({measured_off(metres, fine=True)} mm)" if display == "US" else said


def notes_beside(
    pane: TankPane, tanks: int, display: str, page: Page, stress: DrillStress | None
) -> tuple[tuple[Shape, ...], float]:
    """What must be known before the drill touches the glass, in words, down the right side."""
    hole = pane.hole
    assert hole is not None
    x, y = page.right - NOTES_WIDE, page.top + 4.0
    shapes: list[Shape] = [
        line((x - NOTES_GAP / 2, page.top), (x - NOTES_GAP / 2, page.bottom), Look(stroke=QUIET, width=0.15))
    ]

    def say(
        text: str, *, size: float = 2.5, colour: str = INK, bold: bool = False, after: float = 1.6
    ) -> None:
        nonlocal y
        made, y = written(text, (x, y), NOTES_WIDE, size=size, colour=colour, bold=bold)
        shapes.extend(made)
        y += after

    if pane.toughened:
        y += 2.0
        say(DO_NOT_DRILL, size=7.0, colour=WINE, bold=True, after=0.0)
        say(
            "This pane is toughened: it bursts when it is drilled. Order it drilled, or take another pane.",
            bold=True,
        )
    elif pane.temper != "annealed":
        say("Is this pane toughened? The plan does not know. Find out before you drill: toughened glass bursts.",
            colour=WINE, bold=True)  # fmt: skip
        say("[  ] I have made sure that this pane is annealed.", after=2.4)
    else:
        say("[  ] annealed glass, as the plan says: made sure of at this pane", after=2.4)
    said = measured_off(pane.thickness.value, display, fine=True)
    assumed = " (assumed: measure it)" if pane.thickness.is_assumed else ""
    say(f"{tanks} {'tank' if tanks == 1 else 'tanks'} of this kind, glass {said} thick{assumed}")
    if hole.guessed:
        say(GUESSED, colour=WINE, bold=True)
    if hole.diameter.is_assumed:
        say("Hole: measure your fitting: body OD = ______, hole ⌀ = ______", bold=True)
        say("Nobody has measured it yet; the circle here is only a picture of one.", colour=WINE)
    else:
        how = "as measured" if hole.diameter.measured_on is not None else "as the plan says"
        say(
            f"Hole {diameter_words(pane, display)}, {how}. Hold your fitting beside it: body OD = ______",
            bold=True,
        )
    if hole.flange is None:
        say("Flange: not said in the plan; measure it, it must lie on flat glass all round.")
    say("clear glass from the hole's rim:", bold=True, after=0.2)
    open_ = " (of the picture)" if hole.diameter.is_assumed else ""
    clear_of = [f"to the {name} edge {measured_off(clear, display, fine=True)}" for name, clear in pane.edges]
    for pair in (clear_of[:2], clear_of[2:]):
        say(f"{', '.join(pair)}{open_}", after=0.0)
    for other in pane.others:
        say(_to_other(hole, other, display) + open_, after=0.0)
    y += 1.6
    if hole.flange is not None:
        say("under the flange's rim:", bold=True, after=0.2)
        over = (hole.flange.value - hole.diameter.value) / 2.0
        name, clear = min(pane.edges, key=lambda edge: edge[1])
        say(f"least {measured_off(clear - over, display, fine=True)}, to the {name} edge")
    say(f"Tolerance: {TOLERANCE}.", size=2.2, colour=QUIET)
    which = None if not pane.others else sum(other.number < hole.number for other in pane.others)
    for row in stress_rows(stress, display, which):
        say(row.text, size=2.2 if row.small else 2.5, colour=row.colour, bold=row.bold, after=0.9)
    say(
        "Before you lay this sheet on glass: the bar at the foot must measure 100 mm.", size=2.2, colour=QUIET
    )
    return (Group(parts=tuple(shapes), id="drill-notes"),), y


def _to_other(hole: PaneHole, other: PaneHole, display: str) -> str:
    """How much glass stands between two holes of a pane, and who drills the other one."""
    between = math.hypot(hole.across - other.across, hole.up - other.up)
    clear = between - (hole.diameter.value + other.diameter.value) / 2.0
    by = "drilled by whoever sells the glass" if other.to_order else "on a sheet of its own"
    guess = ", not measured" if other.diameter.is_assumed else ""
    return f"to the rim of hole {other.number} ({by}{guess}) {measured_off(clear, display, fine=True)}"
