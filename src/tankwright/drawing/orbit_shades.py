"""Lit and shaded sides of what is drawn from aslant: each colour that has them, for both themes.

The side that carries a tank's name keeps the plain colour of the plan, so that colour, legend and the contrast of the
name stay what they are there; the top is lighter and the other side darker. Shares are our choice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from tankwright.drawing.colour import (
    AMOUNT,
    BLOCK,
    ENOUGH,
    FAINT,
    GLASS,
    INK,
    PAPER,
    USE,
    WATER,
    WOOD,
    Colour,
)

_LIGHTER: Final = 0.30  # towards white by day
_LIGHTER_DARK: Final = 0.14  # towards the writing by night
_DARKER: Final = 0.12  # towards the ink by day
_DARKER_DARK: Final = 0.30  # towards the ground by night


@dataclass(frozen=True, slots=True)
class Shade:
    """A colour on a block's three visible sides; the tokens of the shades are its own with -top and -side."""

    front: Colour
    top: Colour
    side: Colour


def mixed(first: str, second: str, share: float) -> str:
    """A colour on the way from the first to the second.

    >>> mixed("#000000", "#ffffff", 0.5)
    '#808080'
    """
    pairs = ((int(first[at : at + 2], 16), int(second[at : at + 2], 16)) for at in (1, 3, 5))
    return "#" + "".join(f"{int(a + (b - a) * share + 0.5):02x}" for a, b in pairs)


def _between(token: str, first: Colour, second: Colour, share: float) -> Colour:
    return Colour(token, mixed(first, second, share), mixed(first.dark, second.dark, share))


def _shade(front: Colour) -> Shade:
    top = Colour(
        f"{front.token}-top", mixed(front, GLASS, _LIGHTER), mixed(front.dark, INK.dark, _LIGHTER_DARK)
    )
    side = Colour(
        f"{front.token}-side", mixed(front, INK, _DARKER), mixed(front.dark, PAPER.dark, _DARKER_DARK)
    )
    return Shade(front, top, side)


FLOOR: Final = _between("floor", PAPER, WOOD, 0.45)
FAR_WALL: Final = _between("far-wall", PAPER, FAINT, 0.16)
SIDE_WALL: Final = _between("side-wall", PAPER, FAINT, 0.34)

SHADES: Final[tuple[Shade, ...]] = tuple(
    _shade(colour)
    for colour in (WATER, WOOD, GLASS, BLOCK, *(step.fill for step in (*ENOUGH, *AMOUNT, *USE)))
)
TABLE: Final[tuple[Colour, ...]] = (
    FLOOR, FAR_WALL, SIDE_WALL, *(colour for one in SHADES for colour in (one.top, one.side)),
)  # fmt: skip
"""Every colour a drawing from aslant uses besides those of `drawing.colour.TABLE`."""

_BY_TOKEN: Final = {one.front.token: one for one in SHADES}


def shade_of(colour: Colour) -> Shade:
    """The shades of a colour; a colour without any is the same on all sides.

    >>> shade_of(WATER).top.token, shade_of(INK).side.token
    ('water-top', 'ink')
    """
    return _BY_TOKEN.get(colour.token) or Shade(colour, colour, colour)
