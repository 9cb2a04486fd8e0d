"""What things of a live drawing are taken by: a rack's dots, the chosen tank's, its elbow's handle."""

from __future__ import annotations

import math
from typing import Final

from tankwright.drawing.colour import FAINT, PAPER, QUIET, TEAL
from tankwright.drawing.frame import Frame, length_words
from tankwright.drawing.fronts import Elbow
from tankwright.drawing.model import Circle, Group, Look, Rectangle, line
from tankwright.room.boxes import along_span
from tankwright.room.model import RackPlace, Room, Tank

GRIP: Final = 4.8  # mm; 24 dots, the least target a finger is asked to hit (WCAG 2.2, from memory)
_HANDLE: Final = 5.0  # mm from a hole to the handle that turns its elbow


def grip(room: Room, rack: RackPlace, centre: tuple[float, float]) -> Group:
    """Six dots to take a rack by, with its place said to those who do not see them."""
    x, y = centre
    half = GRIP / 2
    ground = Rectangle(
        x=x - half, y=y - half, width=GRIP, height=GRIP, radius=1.0,
        look=Look(fill=PAPER, stroke=FAINT, width=0.2),
    )  # fmt: skip
    dots = (
        line(
            (x + dx, y - 1.3),
            (x + dx, y + 1.31),
            Look(stroke=QUIET, width=0.7, dash=(0.01, 1.29), round_ends=True),
        )
        for dx in (-0.65, 0.65)
    )
    said = f"Rack {rack.id}: drag it, or move it with the arrow keys; {where(room, rack)}"
    return Group(
        parts=(ground, *dots), classes=("grip",),
        data=(("data-grip", rack.id), ("role", "button"), ("tabindex", "0"), ("aria-label", said)),
    )  # fmt: skip


def where(room: Room, rack: RackPlace) -> str:
    """Where a rack stands along its wall, in words; an island from two walls."""
    space = next((space for space in room.spaces if space.id == rack.room), None)
    if space is None:
        return "in no room"
    west = f"{length_words(rack.box.x0 - space.box.x0, room.display)} from the west wall"
    south = f"{length_words(rack.box.y0 - space.box.y0, room.display)} from the south wall"
    if rack.island:
        return f"{west}, {south}"
    return west if rack.facing in ("south", "north") else south


def slide(room: Room, rack: RackPlace, tank: Tank, frame: Frame) -> Group:
    """A handle at the chosen tank's foot to move it along its shelf by; the tanks of its row go with it."""
    start, end = along_span(rack.box, rack.facing, tank.box)
    row = [
        one for one in room.tanks
        if (one.rack, one.shelf, one.kind, one.line) == (tank.rack, tank.shelf, tank.kind, tank.line)
    ]  # fmt: skip
    spans = [along_span(rack.box, rack.facing, one.box) for one in row]
    least, most = -min(left for left, _ in spans), rack.length - max(right for _, right in spans)
    x, y = frame.at((start + end) / 2, tank.box.z0)
    y += GRIP * 0.5  # under the shelf's edge, so that the tank's figure stays free
    ground = Rectangle(
        x=x - GRIP / 2, y=y - GRIP * 0.4, width=GRIP, height=GRIP * 0.8, radius=0.8,
        look=Look(fill=PAPER, stroke=TEAL, width=0.4),
    )  # fmt: skip
    dots = (
        line(
            (x - 1.3, y + dy),
            (x + 1.31, y + dy),
            Look(stroke=TEAL, width=0.6, dash=(0.01, 1.29), round_ends=True),
        )
        for dy in (-0.5, 0.5)
    )
    with_it = f" The {len(row)} tanks of its row go with it." if len(row) > 1 else ""
    return Group(
        parts=(ground, *dots), classes=("slide",),
        data=(
            ("data-tank", tank.id), ("data-row", "|".join(one.id for one in row)), ("data-left", f"{start:.4f}"),
            ("data-least", f"{min(least, 0.0):.4f}"), ("data-most", f"{max(most, 0.0):.4f}"), ("role", "slider"),
            ("tabindex", "0"), ("aria-label", f"{tank.id} along its shelf.{with_it}"), ("aria-valuemin", "0"),
            ("aria-valuemax", f"{(start + max(most, 0.0)) * 100:.0f}"), ("aria-valuenow", f"{start * 100:.0f}"),
            ("aria-valuetext", f"{length_words(start, room.display)} from the left"),
        ),
    )  # fmt: skip


def turner(tank: Tank, elbow: Elbow) -> Group:
    """A handle to turn the chosen tank's elbow by, also with the arrow keys."""
    degrees = math.degrees(elbow.angle)
    (x, y), end = elbow.centre, elbow.at(_HANDLE)
    return Group(
        parts=(
            line((x, y), end, Look(stroke=TEAL, width=0.4)),
            Circle(centre=end, radius=GRIP / 2, look=Look(fill=PAPER, stroke=TEAL, width=0.5)),
            Circle(centre=end, radius=0.9, look=Look(fill=TEAL)),
        ),
        classes=("elbow", "turner"),
        data=(
            ("data-tank", tank.id), ("data-at", f"{x:.2f} {y:.2f}"), ("data-aside", str(elbow.aside)),
            ("data-angle", f"{degrees:.1f}"), ("role", "slider"), ("tabindex", "0"),
            ("aria-label", f"Elbow of {tank.id}"), ("aria-valuemin", "0"), ("aria-valuemax", "90"),
            ("aria-valuenow", f"{degrees:.0f}"), ("aria-valuetext", f"{degrees:.0f}° from upright"),
        ),
    )  # fmt: skip
