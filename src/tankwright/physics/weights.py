"""What a tank weighs, from its measured sizes: never from a nominal volume.

The load on a floor or a shelf is a matter for someone licensed to judge it; these are the kilograms to show
them.
"""

from __future__ import annotations

from tankwright.physics.constants import WATER_DENSITY
from tankwright.physics.ranges import require
from tankwright.units import CubicMetre, Kilogram, KilogramPerCubicMetre, Metre

CAUTION = (
    "Screening only. Whether a floor, a shelf or a rack carries this is for someone licensed to judge "
    "under local code."
)

GLASS_DENSITY = 2500.0
"""kg/m3, soda-lime float glass. Source: EN 572-1, from memory."""

WET_SUBSTRATE_DENSITY = 2000.0
"""kg/m3, gravel or sand with the water in its pores. Source: usual soil-mechanics value, from memory (1900
to 2100)."""


def box_volume(*, length: Metre, depth: Metre, height: Metre) -> CubicMetre:
    """Volume of a box.

    Inputs:
        length: side to side; 0 to 100
        depth: front to back; 0 to 100
        height: bottom to top; 0 to 100

    Source: geometry.

    >>> round(box_volume(length=0.9, depth=0.38, height=0.38), 4)
    0.13
    """
    require("length", length, 0.0, 100.0, "m")
    require("depth", depth, 0.0, 100.0, "m")
    require("height", height, 0.0, 100.0, "m")
    return length * depth * height


def glass_weight(
    *, length: Metre, depth: Metre, height: Metre, side_thickness: Metre, base_thickness: Metre
) -> Kilogram:
    """Mass of the five panes of an open glass box, without rims, braces, lid or silicone.

    Inputs:
        length: outside, side to side; 0.02 to 10
        depth: outside, front to back; 0.02 to 10
        height: outside, bottom to top, the base pane included; 0.02 to 10
        side_thickness: glass of the four sides; 0.001 to 0.1
        base_thickness: glass of the base; 0.001 to 0.1

    Source: geometry; glass 2500 kg/m3 by EN 572-1, from memory.

    >>> panes = {"side_thickness": 0.005, "base_thickness": 0.005}
    >>> round(glass_weight(length=0.6, depth=0.3, height=0.3, **panes), 1)
    8.8
    """
    _require_outside(length, depth, height, side_thickness, base_thickness)
    inside = (length - 2.0 * side_thickness) * (depth - 2.0 * side_thickness) * (height - base_thickness)
    return GLASS_DENSITY * (length * depth * height - inside)


def pane_weight(*, width: Metre, height: Metre, thickness: Metre) -> Kilogram:
    """Mass of one flat pane of glass: a lid, a brace, a divider.

    Inputs:
        width: one edge; 0 to 10
        height: the other edge; 0 to 10
        thickness: glass of the pane; 0.001 to 0.1

    Source: geometry; glass 2500 kg/m3 by EN 572-1, from memory.

    >>> round(pane_weight(width=0.6, height=0.3, thickness=0.004), 2)
    1.8
    """
    require("width", width, 0.0, 10.0, "m")
    require("height", height, 0.0, 10.0, "m")
    require("thickness", thickness, 0.001, 0.1, "m")
    return GLASS_DENSITY * width * height * thickness


def water_volume(
    *,
    length: Metre,
    depth: Metre,
    side_thickness: Metre,
    water_height: Metre,
    substrate_height: Metre = 0.0,
) -> CubicMetre:
    """Water standing free above the substrate of a box tank, the water in the pores not counted.

    Inputs:
        length: outside, side to side; 0.02 to 10
        depth: outside, front to back; 0.02 to 10
        side_thickness: glass of the four sides; 0.001 to 0.1
        water_height: water surface above the inside of the base; 0 to 10
        substrate_height: gravel or sand above the inside of the base; 0 to 10

    Source: geometry.

    >>> round(water_volume(length=0.6, depth=0.3, side_thickness=0.005, water_height=0.26) * 1000, 1)
    44.5
    """
    require("length", length, 0.02, 10.0, "m")
    require("depth", depth, 0.02, 10.0, "m")
    require("side_thickness", side_thickness, 0.001, 0.1, "m")
    require("water_height", water_height, 0.0, 10.0, "m")
    require("substrate_height", substrate_height, 0.0, 10.0, "m")
    require("side_thickness", side_thickness, 0.001, 0.49 * min(length, depth), "m")
    floor = (length - 2.0 * side_thickness) * (depth - 2.0 * side_thickness)
    return floor * max(water_height - substrate_height, 0.0)


def tank_weight(
    *,
    length: Metre,
    depth: Metre,
    height: Metre,
    side_thickness: Metre,
    base_thickness: Metre,
    water_height: Metre,
    substrate_height: Metre = 0.0,
    substrate_density: KilogramPerCubicMetre = WET_SUBSTRATE_DENSITY,
) -> Kilogram:
    """Mass of a box tank as it stands: glass, water and wet substrate; rims, lid, stones and fittings come
    on top.

    Inputs:
        length: outside, side to side; 0.02 to 10
        depth: outside, front to back; 0.02 to 10
        height: outside, bottom to top, the base pane included; 0.02 to 10
        side_thickness: glass of the four sides; 0.001 to 0.1
        base_thickness: glass of the base; 0.001 to 0.1
        water_height: water surface above the inside of the base; 0 to 10
        substrate_height: gravel or sand above the inside of the base; 0 to 10
        substrate_density: density of the settled wet substrate, the water in its pores included; 800 to 3000

    Source: geometry; glass 2500 kg/m3 by EN 572-1 and wet substrate 2000 kg/m3, both from memory; water
    998.2 kg/m3.

    >>> panes = {"side_thickness": 0.005, "base_thickness": 0.005}
    >>> round(tank_weight(length=0.6, depth=0.3, height=0.3, water_height=0.26, **panes), 1)
    53.2
    """
    glass = glass_weight(
        length=length,
        depth=depth,
        height=height,
        side_thickness=side_thickness,
        base_thickness=base_thickness,
    )
    require("water_height", water_height, 0.0, 10.0, "m")
    require("substrate_height", substrate_height, 0.0, 10.0, "m")
    require("substrate_density", substrate_density, 800.0, 3000.0, "kg/m**3")
    room_inside = height - base_thickness
    require("water_height", water_height, 0.0, room_inside, "m")
    require("substrate_height", substrate_height, 0.0, room_inside, "m")
    water = WATER_DENSITY * water_volume(
        length=length,
        depth=depth,
        side_thickness=side_thickness,
        water_height=water_height,
        substrate_height=substrate_height,
    )
    floor = (length - 2.0 * side_thickness) * (depth - 2.0 * side_thickness)
    return glass + water + substrate_density * floor * substrate_height


def _require_outside(
    length: float, depth: float, height: float, side_thickness: float, base_thickness: float
) -> None:
    require("length", length, 0.02, 10.0, "m")
    require("depth", depth, 0.02, 10.0, "m")
    require("height", height, 0.02, 10.0, "m")
    require("side_thickness", side_thickness, 0.001, 0.1, "m")
    require("base_thickness", base_thickness, 0.001, 0.1, "m")
    require("side_thickness", side_thickness, 0.001, 0.49 * min(length, depth), "m")
    require("base_thickness", base_thickness, 0.001, 0.9 * height, "m")
