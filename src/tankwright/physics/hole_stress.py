"""What a drilled hole does to the stress of a bent pane, and how near to an edge a hole may come.

For a hole small beside its pane and some diameters from the edges. A flange that clamps the rim, the weight of the pipe
on it and the flaws of drilling are not in it.
"""

from __future__ import annotations

import math

from tankwright.physics.ranges import require
from tankwright.units import Dimensionless, Metre, Pascal

CAUTION = (
    "Screening only. No published standard covers drilled annealed tanks: the limits of place are those of making "
    "toughened panes, and none of them is a check of strength. Toughened glass cannot be drilled at all."
)


def hole_stress_factor(*, diameter: Metre, thickness: Metre) -> Dimensionless:
    """How many times the stress at the rim of a small round hole is that of a pane bent one way.

    2 for a pane bent alike both ways, whatever its thickness.

    Inputs:
        diameter: of the hole; 1e-4 to 1
        thickness: of the pane; 5e-4 to 0.2

    Source: W. C. Young and R. G. Budynas (2002), Roark's Formulas for Stress and Strain, 7th ed., table 17.1, plate
    with a circular hole, bending out of its plane, Poisson's ratio 0.3 (at 0.23 a thin plate has 1.76 for 1.79).

    >>> round(hole_stress_factor(diameter=0.035, thickness=0.005), 3)
    1.839
    """
    require("diameter", diameter, 1e-4, 1.0, "m")
    require("thickness", thickness, 5e-4, 0.2, "m")
    ratio = diameter / thickness
    return 1.79 + 0.25 / (0.39 + ratio) + 0.81 / (1.0 + ratio**2) - 0.26 / (1.0 + ratio**3)


def hole_stress(*, first_stress: Pascal, second_stress: Pascal, factor: Dimensionless) -> Pascal:
    """Largest tension at the rim of a small round hole, on either face, from the stresses of the plain pane there.

    Both bendings are superposed: one raises the rim across it to `factor` times itself and along it to 2 - `factor`
    times, so that both alike give 2.

    Inputs:
        first_stress: one principal bending stress of the plain pane at the hole, tension positive; -1e9 to 1e9
        second_stress: the other one, at right angles, with its sign; -1e9 to 1e9
        factor: of one-way bending, see hole-stress-factor; 1 to 3

    Source: superposition of W. C. Young and R. G. Budynas (2002), Roark's Formulas for Stress and Strain, 7th ed.,
    table 17.1, one-way and two-way bending.

    >>> round(hole_stress(first_stress=5.3e6, second_stress=0.8e6, factor=1.84) / 1e6, 2)
    9.88
    >>> round(hole_stress(first_stress=2e6, second_stress=-2e6, factor=1.84) / 1e6, 2)
    3.36
    """
    require("first_stress", first_stress, -1e9, 1e9, "Pa")
    require("second_stress", second_stress, -1e9, 1e9, "Pa")
    require("factor", factor, 1.0, 3.0, "1")
    across = factor * first_stress + (2.0 - factor) * second_stress
    along = factor * second_stress + (2.0 - factor) * first_stress
    return max(abs(across), abs(along))


def hole_edge_factor(*, clear: Metre, diameter: Metre) -> Dimensionless:
    """How many times more the rim of a hole bears near a free edge than far from it, the pane bent along the edge.

    Two thicknesses of glass left beside a hole of 35 mm, as makers allow, cost a fifth; a whole diameter costs 4 %.

    Inputs:
        clear: glass between the rim of the hole and the free edge; 1e-4 to 20
        diameter: of the hole; 1e-4 to 1

    Source: fitted to this program's own finite elements of thin plates, Poisson's ratio 0.23, holes of 20 to 50 mm:
    within 2 % from 0.15 to 2.5 diameters of glass left, above them for less. No published table is known.

    >>> [round(hole_edge_factor(clear=share * 0.035, diameter=0.035), 2) for share in (0.2, 0.5, 1.0, 2.5)]
    [1.42, 1.13, 1.04, 1.0]
    """
    require("clear", clear, 1e-4, 20.0, "m")
    require("diameter", diameter, 1e-4, 1.0, "m")
    share = clear / diameter
    return 1.0 + math.exp(-0.88 * share) / (10.0 * share)


def least_hole_diameter(*, thickness: Metre) -> Metre:
    """Smallest hole that is drilled in a pane: no smaller than the pane is thick.

    Inputs:
        thickness: of the pane; 5e-4 to 0.2

    Source: EN 12150-1, for toughened panes before they are toughened, as glass processors' guides print it.

    >>> least_hole_diameter(thickness=0.006)
    0.006
    """
    return _thicknesses(1.0, thickness)


def greatest_hole_diameter(*, narrow_side: Metre) -> Metre:
    """Largest hole that is drilled in a pane: a third of its shorter side.

    Inputs:
        narrow_side: shorter side of the pane; 0.01 to 20

    Source: an American glass processor's guide for panes to be toughened; others allow half.

    >>> round(greatest_hole_diameter(narrow_side=0.3), 3)
    0.1
    """
    require("narrow_side", narrow_side, 0.01, 20.0, "m")
    return narrow_side / 3.0


def least_hole_to_edge(*, thickness: Metre) -> Metre:
    """Least glass between the rim of a hole and the edge of its pane: two thicknesses.

    A limit of making, not of strength: at mid-length under a free top a hole that keeps it can double the stress.

    Inputs:
        thickness: of the pane; 5e-4 to 0.2

    Source: EN 12150-1, for toughened panes before they are toughened, as glass processors' guides print it.

    >>> least_hole_to_edge(thickness=0.006)
    0.012
    """
    return _thicknesses(2.0, thickness)


def least_hole_to_hole(*, thickness: Metre) -> Metre:
    """Least glass between the rims of two holes: two thicknesses.

    Inputs:
        thickness: of the pane; 5e-4 to 0.2

    Source: EN 12150-1, for toughened panes before they are toughened, as glass processors' guides print it.

    >>> least_hole_to_hole(thickness=0.008)
    0.016
    """
    return _thicknesses(2.0, thickness)


def least_hole_to_corner(*, thickness: Metre) -> Metre:
    """Least glass between the rim of a hole and a corner of its pane: six thicknesses.

    Inputs:
        thickness: of the pane; 5e-4 to 0.2

    Source: EN 12150-1, for toughened panes before they are toughened, as glass processors' guides print it; American
    guides have 6.5.

    >>> round(least_hole_to_corner(thickness=0.006), 3)
    0.036
    """
    return _thicknesses(6.0, thickness)


def usual_hole_to_edge(*, diameter: Metre) -> Metre:
    """Glass that is usually left between the rim of a hole and the edge of an annealed pane: the hole's own diameter.

    Inputs:
        diameter: of the hole; 1e-4 to 1

    Source: common practice of people who drill tanks, no source.

    >>> usual_hole_to_edge(diameter=0.035)
    0.035
    """
    require("diameter", diameter, 1e-4, 1.0, "m")
    return diameter


def _thicknesses(count: float, thickness: Metre) -> Metre:
    require("thickness", thickness, 5e-4, 0.2, "m")
    return count * thickness
