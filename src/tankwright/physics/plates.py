"""Stress and bending of a flat pane that water pushes, without its holes: two panes, two numbers each.

Every answer is the series of `plates_levy`, not a table: printed tables for a free top and water that deepens towards
the foot are off by a quarter for long panes, on the wrong side.
"""

from __future__ import annotations

from tankwright.physics.plates_levy import levy_plate
from tankwright.physics.ranges import require
from tankwright.units import Dimensionless, Metre, Pascal

CAUTION = (
    "Screening only, for a flat pane without holes, flanges or scratches. The tank maker's rating stands before it; "
    "glass that carries water beside people is for an engineer to judge under local code."
)

GLASS_STIFFNESS = 70e9
"""Pa, modulus of elasticity of soda-lime float glass. Source: EN 572-1, from memory."""

GLASS_POISSON = 0.23
"""Poisson's ratio of float glass as EN 16612 has it, from memory; EN 572-1 gives 0.2, from memory."""


def plate_stress_four_edges(
    *,
    length: Metre,
    height: Metre,
    thickness: Metre,
    head: Metre = 0.0,
    pressure: Pascal = 0.0,
    poisson: Dimensionless = GLASS_POISSON,
) -> Pascal:
    """Largest tension in a pane held along all four edges: a side under a full rim, or a base held at its edges.

    The edges may turn, as in silicone. The load is still water standing `head` above the lower edge, a pressure all
    over, or both.

    Inputs:
        length: between the upright edges that hold it; 0.01 to 20
        height: between the lower and the upper edge that hold it; 0.01 to 20
        thickness: of the glass; 5e-4 to 0.2
        head: still water above the lower edge; 0 to 20
        pressure: the same all over; 0 to 1e6
        poisson: Poisson's ratio; 0 to 0.49

    Source: Levy's series, S. Timoshenko and S. Woinowsky-Krieger (1959), Theory of Plates and Shells, 2nd ed.,
    chapter 5; principal stress.

    >>> round(plate_stress_four_edges(length=0.6, height=0.38, thickness=0.006, head=0.38) / 1e6, 2)
    3.94
    """
    _require_loads(head, pressure)
    return levy_plate(
        length=length,
        height=height,
        thickness=thickness,
        stiffness=GLASS_STIFFNESS,
        poisson=poisson,
        head=head,
        pressure=pressure,
        top="held",
    ).worst


def plate_deflection_four_edges(
    *,
    length: Metre,
    height: Metre,
    thickness: Metre,
    head: Metre = 0.0,
    pressure: Pascal = 0.0,
    stiffness: Pascal = GLASS_STIFFNESS,
    poisson: Dimensionless = GLASS_POISSON,
) -> Metre:
    """How far a pane held along all four edges bends where it bends most.

    Good while it bends less than about half its thickness; beyond that it bends less than this says.

    Inputs:
        length: between the upright edges that hold it; 0.01 to 20
        height: between the lower and the upper edge that hold it; 0.01 to 20
        thickness: of the glass; 5e-4 to 0.2
        head: still water above the lower edge; 0 to 20
        pressure: the same all over; 0 to 1e6
        stiffness: modulus of elasticity; 1e8 to 1e12
        poisson: Poisson's ratio; 0 to 0.49

    Source: Levy's series, S. Timoshenko and S. Woinowsky-Krieger (1959), Theory of Plates and Shells, 2nd ed.,
    chapter 5.

    >>> round(plate_deflection_four_edges(length=0.6, height=0.38, thickness=0.006, head=0.38) * 1000, 2)
    0.24
    """
    _require_loads(head, pressure)
    return levy_plate(
        length=length,
        height=height,
        thickness=thickness,
        stiffness=stiffness,
        poisson=poisson,
        head=head,
        pressure=pressure,
        top="held",
    ).deflection


def plate_stress_top_free(
    *,
    length: Metre,
    height: Metre,
    thickness: Metre,
    head: Metre = 0.0,
    pressure: Pascal = 0.0,
    poisson: Dimensionless = GLASS_POISSON,
) -> Pascal:
    """Largest tension in a pane held at its foot and both sides, with nothing along its top.

    Principal stress: in a pane longer than about two and a half times its height the twist near the sides governs.

    Inputs:
        length: between the upright edges that hold it; 0.01 to 20
        height: from the lower edge that holds it to its free top; 0.01 to 20
        thickness: of the glass; 5e-4 to 0.2
        head: still water above the lower edge; 0 to 20
        pressure: the same all over; 0 to 1e6
        poisson: Poisson's ratio; 0 to 0.49

    Source: Levy's series, S. Timoshenko and S. Woinowsky-Krieger (1959), Theory of Plates and Shells, 2nd ed.,
    chapter 5; principal stress.

    >>> round(plate_stress_top_free(length=0.6, height=0.38, thickness=0.006, head=0.38) / 1e6, 2)
    5.55
    """
    _require_loads(head, pressure)
    return levy_plate(
        length=length,
        height=height,
        thickness=thickness,
        stiffness=GLASS_STIFFNESS,
        poisson=poisson,
        head=head,
        pressure=pressure,
        top="free",
    ).worst


def plate_deflection_top_free(
    *,
    length: Metre,
    height: Metre,
    thickness: Metre,
    head: Metre = 0.0,
    pressure: Pascal = 0.0,
    stiffness: Pascal = GLASS_STIFFNESS,
    poisson: Dimensionless = GLASS_POISSON,
) -> Metre:
    """How far a pane with a free top bends where it bends most, usually the middle of its top.

    Good while it bends less than about half its thickness; beyond that it bends less than this says.

    Inputs:
        length: between the upright edges that hold it; 0.01 to 20
        height: from the lower edge that holds it to its free top; 0.01 to 20
        thickness: of the glass; 5e-4 to 0.2
        head: still water above the lower edge; 0 to 20
        pressure: the same all over; 0 to 1e6
        stiffness: modulus of elasticity; 1e8 to 1e12
        poisson: Poisson's ratio; 0 to 0.49

    Source: Levy's series, S. Timoshenko and S. Woinowsky-Krieger (1959), Theory of Plates and Shells, 2nd ed.,
    chapter 5.

    >>> round(plate_deflection_top_free(length=0.6, height=0.38, thickness=0.006, head=0.38) * 1000, 2)
    1.0
    """
    _require_loads(head, pressure)
    return levy_plate(
        length=length,
        height=height,
        thickness=thickness,
        stiffness=stiffness,
        poisson=poisson,
        head=head,
        pressure=pressure,
        top="free",
    ).deflection


def _require_loads(head: Metre, pressure: Pascal) -> None:
    # said before the plate's own limits: a typed head is what is most often wrong
    require("head", head, 0.0, 20.0, "m")
    require("pressure", pressure, 0.0, 1e6, "Pa")
