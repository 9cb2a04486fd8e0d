"""What a rack does to the floor, and what it takes to tip it: figures for someone licensed to judge.

What a floor bears is never told here. Published floor loads are for people and furniture; rows of tanks are outside
them, and a room of tanks is for a structural engineer.
"""

from __future__ import annotations

from typing import Final

from tankwright.physics.ranges import require
from tankwright.units import Dimensionless, Metre, Newton, NewtonMetre, Pascal, SquareMetre

CAUTION = (
    "Screening only. What a floor bears, and how a rack is tied, is for a structural engineer under local code; "
    "earthquakes are not in it."
)

OUT_OF_PLUMB: Final = 1.0 / 200.0
"""Lean that any frame is taken to be built with. Source: EN 1993-1-1 5.3.2 and EN 1995-1-1 5.4.4, from memory."""


def floor_pressure(*, force: Newton, area: SquareMetre) -> Pascal:
    """Weight over the area of floor it stands on: a footprint, a foot, or a whole room.

    Inputs:
        force: weight that stands there; 0 to 1e8
        area: of floor; 1e-5 to 1e5

    Source: definition.

    >>> round(floor_pressure(force=191.6 * 9.80665, area=0.9 * 0.45) / 1000, 1)  # kPa
    4.6
    """
    require("force", force, 0.0, 1e8, "N")
    require("area", area, 1e-5, 1e5, "m**2")
    return force / area


def tipping_pull(*, weight: Newton, reach: Metre, height: Metre) -> Newton:
    """Level pull that lifts the far feet of a rack that stands free.

    Inputs:
        weight: of the rack and all on it, as it stands; 0 to 1e8
        reach: level distance from the middle of that weight to the feet it tips over; 0 to 50
        height: at which it is pulled; 0.01 to 20

    Source: balance of moments, W d / h.

    >>> round(tipping_pull(weight=4000.0, reach=0.225, height=1.8))
    500
    """
    require("weight", weight, 0.0, 1e8, "N")
    require("reach", reach, 0.0, 50.0, "m")
    require("height", height, 0.01, 20.0, "m")
    return weight * reach / height


def tipping_share(*, pull: Newton, height: Metre, weight: Newton, reach: Metre) -> Dimensionless:
    """A level pull against the one that tips a rack; from 1 on it goes over unless it is tied.

    Inputs:
        pull: level pull or push; 0 to 1e7
        height: at which it acts; 0 to 20
        weight: of the rack and all on it, as it stands; 1 to 1e8
        reach: level distance from the middle of that weight to the feet it tips over; 0.001 to 50

    Source: balance of moments, F h / (W d).

    >>> tipping_share(pull=250.0, height=1.8, weight=4000.0, reach=0.225)
    0.5
    """
    require("pull", pull, 0.0, 1e7, "N")
    require("height", height, 0.0, 20.0, "m")
    require("weight", weight, 1.0, 1e8, "N")
    require("reach", reach, 0.001, 50.0, "m")
    return pull * height / (weight * reach)


def slenderness_of_rack(*, top_height: Metre, depth: Metre) -> Dimensionless:
    """Height of the highest loaded shelf over the depth of the feet.

    Over 6, the code for industrial steel racks has a rack anchored for 1.56 kN at its top; over 8, tied across.
    Home racks are not in that code; the figure is for comparison.

    Inputs:
        top_height: of the highest shelf with anything on it; 0 to 20
        depth: of the feet, front to back; 0.05 to 10

    Source: ANSI/RMI MH16.1, height-to-depth ratio.

    >>> round(slenderness_of_rack(top_height=1.54, depth=0.45), 1)
    3.4
    """
    require("top_height", top_height, 0.0, 20.0, "m")
    require("depth", depth, 0.05, 10.0, "m")
    return top_height / depth


def sway_push(*, weight: Newton, lean: Dimensionless = OUT_OF_PLUMB) -> Newton:
    """Level push that stands in for a frame not built quite plumb: what its bracing must at least hold.

    Inputs:
        weight: carried by the frame; 0 to 1e8
        lean: out of plumb over its height, 1/200 where it was not measured; 0 to 0.2

    Source: EN 1993-1-1 5.3.2 and EN 1995-1-1 5.4.4, phi W.

    >>> sway_push(weight=8000.0)
    40.0
    """
    require("weight", weight, 0.0, 1e8, "N")
    require("lean", lean, 0.0, 0.2, "1")
    return lean * weight


def joist_moment(*, pressure: Pascal, spacing: Metre, span: Metre) -> NewtonMetre:
    """Largest bending moment in one joist under an even load on its floor: to set a rack's own beside it.

    Inputs:
        pressure: on the floor, everywhere alike; 0 to 1e6
        spacing: of the joists, middle to middle; 0.05 to 3
        span: of a joist between its supports; 0.1 to 20

    Source: beam theory, p s L^2 / 8.

    >>> joist_moment(pressure=1500.0, spacing=0.4, span=4.0)
    1200.0
    """
    require("pressure", pressure, 0.0, 1e6, "Pa")
    require("spacing", spacing, 0.05, 3.0, "m")
    require("span", span, 0.1, 20.0, "m")
    return pressure * spacing * span**2 / 8.0


def load_on_nearest(*, force: Newton, distance: Metre, spacing: Metre) -> Newton:
    """Part of a foot's force that the nearer of two joists takes through the boards.

    Inputs:
        force: of the foot; 0 to 1e7
        distance: from the nearer joist; 0 to 1.5
        spacing: of the joists, middle to middle; 0.05 to 3

    Source: lever rule, F (1 - x / s); boards over more than two joists share it out further.

    >>> load_on_nearest(force=1000.0, distance=0.1, spacing=0.4)
    750.0
    """
    require("force", force, 0.0, 1e7, "N")
    require("spacing", spacing, 0.05, 3.0, "m")
    require("distance", distance, 0.0, 1.5, "m")
    require("distance", distance, 0.0, spacing / 2.0, "m")
    return force * (1.0 - distance / spacing)
