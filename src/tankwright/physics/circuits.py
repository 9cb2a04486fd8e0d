"""Current, load and cost of mains devices: screening figures only.

Mains near water can kill. What a circuit may carry and how it is protected is set by local code and by
a licensed electrician; nothing here replaces either.
"""

from __future__ import annotations

import math
from typing import Annotated

from tankwright.physics.ranges import require
from tankwright.units import Ampere, Dimensionless, Joule, Second, Unit, Volt, Watt

CAUTION = (
    "Screening only. Mains near water can kill: local code and a licensed electrician decide what a circuit "
    "carries and how it is protected."
)

PricePerJoule = Annotated[float, Unit("1/J")]

CONTINUOUS_FACTOR = 1.25
"""Weight of a load that runs three hours or more. Source: NEC 210.19(A), 210.20(A). IEC 60364, BS 7671 and
AS/NZS 3000 have no such general rule; there it serves as a house margin."""


def current_from_power(*, power: Watt, voltage: Volt, power_factor: Dimensionless = 1.0) -> Ampere:
    """Current a single-phase device draws.

    Inputs:
        power: true power; 0 to 1e6
        voltage: mains voltage; 1 to 1000
        power_factor: true over apparent power, 1 for a heater, about 0.5 to 0.95 for drivers and motors;
            0.1 to 1

    Source: definition, P / (U cos phi).

    >>> round(current_from_power(power=2300.0, voltage=230.0), 2)
    10.0
    """
    require("power", power, 0.0, 1e6, "W")
    require("voltage", voltage, 1.0, 1000.0, "V")
    require("power_factor", power_factor, 0.1, 1.0, "1")
    return power / (voltage * power_factor)


def continuous_share(
    *,
    continuous_current: Ampere,
    other_current: Ampere,
    rated_current: Ampere,
    continuous_factor: Dimensionless = CONTINUOUS_FACTOR,
) -> Dimensionless:
    """Load on a protective device over its rating, with what runs for hours weighted up.

    Inputs:
        continuous_current: current of what runs three hours or more; 0 to 1e4
        other_current: current of what runs shorter; 0 to 1e4
        rated_current: rating of the protective device; 0.1 to 1e4
        continuous_factor: weight of what runs for hours, 1.25 by NEC, 1 where the code has no such rule; 1
            to 2

    Source: NEC 210.20(A); elsewhere a house margin, common practice.

    >>> continuous_share(continuous_current=12.0, other_current=0.0, rated_current=15.0)  # 1440 W at 120 V
    1.0
    """
    require("continuous_current", continuous_current, 0.0, 1e4, "A")
    require("other_current", other_current, 0.0, 1e4, "A")
    require("rated_current", rated_current, 0.1, 1e4, "A")
    require("continuous_factor", continuous_factor, 1.0, 2.0, "1")
    return (continuous_factor * continuous_current + other_current) / rated_current


def energy_used(*, power: Watt, running_share: Dimensionless, duration: Second) -> Joule:
    """Energy a device takes over a time, running part of it.

    Inputs:
        power: true power while it runs; 0 to 1e6
        running_share: part of the time it runs; 0 to 1
        duration: the whole time; 0 to 3.2e9

    Source: definition, power times time.

    >>> round(energy_used(power=71.0, running_share=1.0, duration=86400.0) / 3.6e6, 2)  # kWh a day
    1.7
    """
    require("power", power, 0.0, 1e6, "W")
    require("running_share", running_share, 0.0, 1.0, "1")
    require("duration", duration, 0.0, 3.2e9, "s")
    return power * running_share * duration


def running_cost(
    *, power: Watt, running_share: Dimensionless, duration: Second, price: PricePerJoule
) -> Dimensionless:
    """Cost of running a device, in the money the price is in.

    Inputs:
        power: true power while it runs; 0 to 1e6
        running_share: part of the time it runs; 0 to 1
        duration: the whole time; 0 to 3.2e9
        price: price of energy, as in "0.30 / kWh"; 0 to 1e-3

    Source: definition, energy times price.

    >>> round(running_cost(power=1000.0, running_share=0.5, duration=86400.0, price=0.30 / 3.6e6), 2)
    3.6
    """
    require("price", price, 0.0, 1e-3, "1/J")
    return energy_used(power=power, running_share=running_share, duration=duration) * price


def led_inrush_count(
    *,
    rated_current: Ampere,
    peak_current: Ampere,
    trip_multiple: Dimensionless = 4.0,
    pulse_factor: Dimensionless = 1.0,
) -> Dimensionless:
    """Number of lamp drivers that may switch on together before their inrush trips a breaker.

    A planning figure: the pulse factor comes from the breaker maker's curve, and without it 1 errs to few
    lamps.

    Inputs:
        rated_current: rating of the breaker; 0.1 to 1000
        peak_current: peak inrush of one driver, from its data sheet; 0.01 to 1e4
        trip_multiple: instant trip over rating used for planning, 4 for type B, 8 for C, 15 for D; 1 to 20
        pulse_factor: how much higher a pulse of a driver's length may be, from the maker's curve; 1 to 20

    Source: makers' planning practice, N = floor(k n In / Ipeak); no standard.

    >>> led_inrush_count(rated_current=10.0, peak_current=15.0, pulse_factor=2.0)
    5.0
    """
    require("rated_current", rated_current, 0.1, 1000.0, "A")
    require("peak_current", peak_current, 0.01, 1e4, "A")
    require("trip_multiple", trip_multiple, 1.0, 20.0, "1")
    require("pulse_factor", pulse_factor, 1.0, 20.0, "1")
    return float(math.floor(pulse_factor * trip_multiple * rated_current / peak_current * (1.0 + 1e-12)))
