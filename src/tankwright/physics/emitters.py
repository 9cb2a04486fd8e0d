"""Drippers and other small outlets: flow at a pressure, and how evenly a row of them gives."""

from __future__ import annotations

import math

from tankwright.physics.ranges import OutsideValidRange, require
from tankwright.units import CubicMetrePerSecond, Dimensionless, Pascal


def emitter_flow(
    *,
    pressure: Pascal,
    nominal_flow: CubicMetrePerSecond,
    nominal_pressure: Pascal,
    exponent: Dimensionless,
    minimum_pressure: Pascal = 0.0,
) -> CubicMetrePerSecond:
    """Flow of a dripper or other small outlet at a gauge pressure.

    The nominal flow times (pressure / nominal pressure) to the exponent: 0 compensating, 0.5 like a hole, 1
    laminar. Below the minimum pressure the regulation is lost and the flow falls with the root of the
    pressure (a model choice, no source).

    Inputs:
        pressure: pressure over the atmosphere at the outlet; 0 to 1e6
        nominal_flow: flow at the nominal pressure; 0 to 0.1
        nominal_pressure: pressure over the atmosphere at which the nominal flow is stated; 10 to 1e6
        exponent: how strongly the flow follows the pressure; 0 to 1.2
        minimum_pressure: least pressure at which the outlet works as stated, 0 when none is given; 0 to 1e6

    Source: J. Keller and D. Karmeli (1974), Transactions of the ASAE 17(4), 678-684.

    >>> flow = emitter_flow(pressure=50e3, nominal_flow=4 / 3.6e6, nominal_pressure=100e3, exponent=0.5)
    >>> round(flow * 3.6e6, 2)  # L/h
    2.83
    """
    require("pressure", pressure, 0.0, 1e6, "Pa")
    require("nominal_flow", nominal_flow, 0.0, 0.1, "m**3/s")
    require("nominal_pressure", nominal_pressure, 10.0, 1e6, "Pa")
    require("exponent", exponent, 0.0, 1.2, "1")
    require("minimum_pressure", minimum_pressure, 0.0, 1e6, "Pa")
    if pressure == 0.0:
        return 0.0
    working = max(pressure, minimum_pressure)
    flow = nominal_flow * math.pow(working / nominal_pressure, exponent)
    return flow if pressure >= minimum_pressure else flow * math.sqrt(pressure / minimum_pressure)


def emitter_exponent(
    *,
    first_flow: CubicMetrePerSecond,
    first_pressure: Pascal,
    second_flow: CubicMetrePerSecond,
    second_pressure: Pascal,
) -> Dimensionless:
    """Exponent of a small outlet from its flow measured at two pressures.

    Inputs:
        first_flow: flow at the first pressure; 1e-12 to 0.1
        first_pressure: first pressure over the atmosphere; 10 to 1e6
        second_flow: flow at the second pressure; 1e-12 to 0.1
        second_pressure: second pressure over the atmosphere, not the same as the first; 10 to 1e6

    Source: identity from q = k p^x.

    >>> first = {"first_flow": 2e-6, "first_pressure": 1e5}
    >>> round(emitter_exponent(**first, second_flow=1e-6, second_pressure=2.5e4), 3)
    0.5
    """
    require("first_flow", first_flow, 1e-12, 0.1, "m**3/s")
    require("first_pressure", first_pressure, 10.0, 1e6, "Pa")
    require("second_flow", second_flow, 1e-12, 0.1, "m**3/s")
    require("second_pressure", second_pressure, 10.0, 1e6, "Pa")
    if first_pressure == second_pressure:
        raise OutsideValidRange("second_pressure", second_pressure, first_pressure, first_pressure, "Pa")
    return math.log(first_flow / second_flow) / math.log(first_pressure / second_pressure)


def emission_uniformity(
    *,
    coefficient_of_variation: Dimensionless,
    minimum_flow: CubicMetrePerSecond,
    mean_flow: CubicMetrePerSecond,
    emitters_per_plant: Dimensionless = 1.0,
) -> Dimensionless:
    """Design emission uniformity of a row of drippers, as a share of one: how near the weakest comes to the
    mean.

    Counts both the spread of making and the spread of pressure. 0.9 and more is called excellent, 0.8 good.

    Inputs:
        coefficient_of_variation: spread of making, standard deviation over mean at one pressure; 0 to 0.5
        minimum_flow: flow of a mean dripper at the lowest pressure in the row; 0 to 0.1
        mean_flow: mean flow of the row, not less than the minimum flow; 1e-12 to 0.1
        emitters_per_plant: drippers that share the same receiver, here the same tank; 1 to 1000

    Source: J. Keller and D. Karmeli (1974); ASABE EP405.1, as two public pages give it.

    >>> eu = emission_uniformity(coefficient_of_variation=0.05, minimum_flow=0.997e-6, mean_flow=1e-6)
    >>> round(100 * eu, 1)  # %
    93.4
    """
    require("coefficient_of_variation", coefficient_of_variation, 0.0, 0.5, "1")
    require("minimum_flow", minimum_flow, 0.0, 0.1, "m**3/s")
    require("mean_flow", mean_flow, 1e-12, 0.1, "m**3/s")
    require("emitters_per_plant", emitters_per_plant, 1.0, 1000.0, "1")
    require("minimum_flow", minimum_flow, 0.0, mean_flow, "m**3/s")
    making = 1.0 - 1.27 * coefficient_of_variation / math.sqrt(emitters_per_plant)
    return making * minimum_flow / mean_flow


def christiansen_factor(*, outlets: Dimensionless, flow_exponent: Dimensionless = 1.75) -> Dimensionless:
    """Friction of a pipe with many even outlets over that of the same pipe carrying the whole flow to its
    end.

    Inputs:
        outlets: number of outlets, the first one a full spacing from the inlet; 1 to 1e5
        flow_exponent: power of the flow in the friction formula, 1.75 smooth plastic, 2 fully rough; 1 to 2

    Source: J. E. Christiansen (1942), Irrigation by Sprinkling, from memory. Assuming even outlets costs at
    most some 3 % (abstract of an evaluation in the Iranian Journal of Science and Technology).

    >>> round(christiansen_factor(outlets=10, flow_exponent=1.852), 3)
    0.402
    """
    require("outlets", outlets, 1.0, 1e5, "1")
    require("flow_exponent", flow_exponent, 1.0, 2.0, "1")
    if outlets == 1.0:
        return 1.0  # the three-term series is 3 % off here; one outlet at the end is the whole pipe
    m = flow_exponent
    return 1.0 / (m + 1.0) + 1.0 / (2.0 * outlets) + math.sqrt(m - 1.0) / (6.0 * outlets**2)
