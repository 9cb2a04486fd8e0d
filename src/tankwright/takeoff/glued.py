"""What a tank glued from panes takes beside its walls and base: braces or a rim of glass, and silicone.

The walls stand on the base, front and back run the whole length, the ends between them (`takeoff.panes`). A cross
brace lies between front and back in the middle of the length; a rim is four strips lying against the walls, those
along front and back over the whole inside. Source: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

from tankwright.room.model import Tank
from tankwright.takeoff.panes import sides_of
from tankwright.units import CubicMetre, Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """A strip of glass under the rim: its name, how long and wide it is, and how much of its edge is glued."""

    name: str
    length: Metre
    width: Metre
    glued: Metre
    count: int = 1


def strips_of(tank: Tank, width: Metre) -> tuple[Strip, ...]:
    """The braces of a glued tank, each `width` wide; none where its top is open.

    Inputs: tank: any of its kind; width: of a brace, m.
    """
    length, depth, _ = sides_of(tank)
    inside_long, inside_deep = (
        length - 2.0 * tank.glass_side.value,
        depth - 2.0 * tank.glass_side.value,
    )
    if tank.top == "braced":
        return (Strip(name="cross brace", length=inside_deep, width=width, glued=2.0 * width),)
    between = inside_deep - 2.0 * width
    if tank.top == "rim" and between > 0.0:
        along = Strip(
            name="rim, long", length=inside_long, width=width, glued=inside_long + 2.0 * width, count=2
        )
        across = Strip(name="rim, short", length=between, width=width, glued=between + 2.0 * width, count=2)
        return (along, across)
    return ()


def glued_length(tank: Tank, strips: tuple[Strip, ...]) -> Metre:
    """All joints of a glued tank: the walls on the base, four corners, the strips."""
    length, depth, height = sides_of(tank)
    corners = 4.0 * (height - tank.glass_base.value)
    on_base = 2.0 * length + 2.0 * (depth - 2.0 * tank.glass_side.value)
    return corners + on_base + sum(strip.glued * strip.count for strip in strips)


def silicone_of(tank: Tank, strips: tuple[Strip, ...], joint: Metre, fillet: Metre) -> CubicMetre:
    """Silicone of one glued tank: in each joint a film as thick as `joint` and as wide as the side glass, and in each
    inner corner a triangle with legs of `fillet`."""
    return glued_length(tank, strips) * (joint * tank.glass_side.value + fillet * fillet / 2.0)
