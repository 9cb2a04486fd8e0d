"""Water that stands level in a sloping round pipe, shut at its lower end."""

from __future__ import annotations

import numpy as np

from tankwright.physics.pool_arrays import pool_volumes
from tankwright.physics.ranges import require
from tankwright.units import CubicMetre, Metre


def sloping_pipe_pool(*, height: Metre, inner_diameter: Metre, length: Metre, fall: Metre) -> CubicMetre:
    """Water in a sloping round pipe that is shut at its lower end, up to a level surface.

    Inputs:
        height: height of the surface over the lowest point of the pipe; 0 to 100
        inner_diameter: bore of the pipe; 0.005 to 5
        length: length of the pipe along it; 0 to 1000
        fall: height of its upper end over its lower one; 0 to 100

    Source: geometry, the area of the circle's segment summed along the pipe; ends square to the pipe are left out.

    >>> litres = 1000 * sloping_pipe_pool(height=0.100, inner_diameter=0.040, length=3.0, fall=0.060)
    >>> round(litres, 4)  # filled to its top: 3 m of 40 mm
    3.7699
    """
    require("height", height, 0.0, 100.0, "m")
    require("inner_diameter", inner_diameter, 0.005, 5.0, "m")
    require("length", length, 0.0, 1000.0, "m")
    require("fall", fall, 0.0, 100.0, "m")
    return float(pool_volumes(np.array([height]), inner_diameter, length, fall)[0])
