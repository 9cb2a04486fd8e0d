"""Flow in full round pipes, water and low-pressure air: Reynolds number, friction factor, pressure lost,
hose drained."""

from __future__ import annotations

import math

from tankwright.physics.constants import (
    AIR_GAS_CONSTANT,
    STANDARD_GRAVITY,
    STANDARD_PRESSURE,
    WATER_DENSITY,
    WATER_KINEMATIC_VISCOSITY,
    air_dynamic_viscosity,
)
from tankwright.physics.numerics import root
from tankwright.physics.ranges import OutsideValidRange, require
from tankwright.units import (
    CubicMetrePerSecond,
    Dimensionless,
    Kelvin,
    KilogramPerCubicMetre,
    Metre,
    MetrePerSecond,
    Pascal,
    SquareMetrePerSecond,
)

SMOOTH_PLASTIC_ROUGHNESS = 1.5e-6
"""m, drawn plastic pipe. Source: common value of handbooks for drawn tubing (Crane TP-410 prints 0.000005
ft)."""

LAMINAR_LIMIT = 2000.0
TURBULENT_LIMIT = 4000.0
AIR_DROP_LIMIT = 0.4
"""Largest part of the absolute inlet pressure that may be lost. Source: Crane TP-410, rule of thumb of 40
%."""


def reynolds_number(
    *, velocity: MetrePerSecond, inner_diameter: Metre, kinematic_viscosity: SquareMetrePerSecond
) -> Dimensionless:
    """Reynolds number of flow in a full round pipe: below 2000 smooth layers, above 4000 turbulent.

    Inputs:
        velocity: mean velocity; 0 to 1000
        inner_diameter: bore of the pipe; 1e-4 to 10
        kinematic_viscosity: viscosity over density; 1e-8 to 1e-2

    Source: definition, V d / nu.

    >>> round(reynolds_number(velocity=0.5, inner_diameter=0.02, kinematic_viscosity=1.004e-6))
    9960
    """
    require("velocity", velocity, 0.0, 1000.0, "m/s")
    require("inner_diameter", inner_diameter, 1e-4, 10.0, "m")
    require("kinematic_viscosity", kinematic_viscosity, 1e-8, 1e-2, "m**2/s")
    return velocity * inner_diameter / kinematic_viscosity


def friction_factor(reynolds: Dimensionless, relative_roughness: Dimensionless = 0.0) -> Dimensionless:
    """Darcy friction factor of a full round pipe, smooth across all three regimes.

    64/Re below 2000; Dunlop's cubic from 2000 to 4000, which meets both sides in value and slope; the
    explicit Swamee-Jain form above, within about 1 to 3 % of Colebrook's implicit equation.

    Inputs:
        reynolds: Reynolds number; 1e-9 to 1e8
        relative_roughness: height of the wall roughness over the inner diameter; 0 to 0.05

    Source: the Darcy-Weisbach option of EPANET 2.2 (U.S. EPA, 2020); P. K. Swamee and A. K. Jain (1976),
    Journal of the Hydraulics Division ASCE 102(5), 657-664; E. J. Dunlop (1991) for the cubic.

    >>> friction_factor(1000.0)
    0.064
    >>> round(friction_factor(1e5, 0.001), 4)
    0.0223
    """
    require("reynolds", reynolds, 1e-9, 1e8, "1")
    require("relative_roughness", relative_roughness, 0.0, 0.05, "1")
    return _friction(reynolds, relative_roughness)


def friction_factor_colebrook(
    reynolds: Dimensionless, relative_roughness: Dimensionless = 0.0
) -> Dimensionless:
    """Darcy friction factor of a full round pipe in turbulent flow, from Colebrook's implicit equation.

    Inputs:
        reynolds: Reynolds number; 4000 to 1e8
        relative_roughness: height of the wall roughness over the inner diameter; 0 to 0.05

    Source: C. F. Colebrook (1939), Journal of the Institution of Civil Engineers 11, 133-156.

    >>> round(friction_factor_colebrook(1e5), 4)
    0.018
    """
    require("reynolds", reynolds, 4000.0, 1e8, "1")
    require("relative_roughness", relative_roughness, 0.0, 0.05, "1")
    x = 1.0 / math.sqrt(_friction(reynolds, relative_roughness))
    for _ in range(50):  # Newton on 1/sqrt(f); three or four steps do it from so near a start
        inside = relative_roughness / 3.7 + 2.51 * x / reynolds
        step = (x + 2.0 * math.log10(inside)) / (1.0 + 2.0 / math.log(10.0) * 2.51 / (reynolds * inside))
        x -= step
        if abs(step) < 1e-14 * x:
            break
    return 1.0 / x**2


def pipe_pressure_drop(
    *,
    flow: CubicMetrePerSecond,
    inner_diameter: Metre,
    length: Metre,
    roughness: Metre = SMOOTH_PLASTIC_ROUGHNESS,
    density: KilogramPerCubicMetre = WATER_DENSITY,
    kinematic_viscosity: SquareMetrePerSecond = WATER_KINEMATIC_VISCOSITY,
    minor_loss: Dimensionless = 0.0,
) -> Pascal:
    """Pressure lost by a liquid along a full round pipe, friction and fittings; height is not counted.

    Inputs:
        flow: volume flow; 0 to 100
        inner_diameter: bore of the pipe; 1e-4 to 10
        length: length of the pipe; 0 to 1e5
        roughness: height of the wall roughness; 0 to 0.01
        density: density of the liquid; 0.1 to 2000
        kinematic_viscosity: viscosity over density; 1e-8 to 1e-2
        minor_loss: sum of the loss coefficients of fittings, in velocity heads; 0 to 1e6

    Source: Darcy-Weisbach equation with `friction_factor`.

    >>> round(pipe_pressure_drop(flow=1e-4, inner_diameter=0.013, length=2.0))  # 6 L/min in a 13 mm hose, 2 m
    1368
    """
    require("flow", flow, 0.0, 100.0, "m**3/s")
    require("inner_diameter", inner_diameter, 1e-4, 10.0, "m")
    require("length", length, 0.0, 1e5, "m")
    require("roughness", roughness, 0.0, 0.01, "m")
    require("density", density, 0.1, 2000.0, "kg/m**3")
    require("kinematic_viscosity", kinematic_viscosity, 1e-8, 1e-2, "m**2/s")
    require("minor_loss", minor_loss, 0.0, 1e6, "1")
    require("roughness", roughness, 0.0, 0.05 * inner_diameter, "m")
    if flow == 0.0:
        return 0.0
    velocity = flow / (math.pi / 4.0 * inner_diameter**2)
    reynolds = velocity * inner_diameter / kinematic_viscosity
    require("reynolds", reynolds, 0.0, 1e8, "1")
    losses = _friction(reynolds, roughness / inner_diameter) * length / inner_diameter + minor_loss
    return 0.5 * density * velocity**2 * losses


def air_pipe_pressure_drop(
    *,
    flow: CubicMetrePerSecond,
    inner_diameter: Metre,
    length: Metre,
    inlet_gauge_pressure: Pascal,
    roughness: Metre = SMOOTH_PLASTIC_ROUGHNESS,
    temperature: Kelvin = 293.15,
    minor_loss: Dimensionless = 0.0,
    atmospheric_pressure: Pascal = STANDARD_PRESSURE,
) -> Pascal:
    """Pressure lost by air along a full round pipe, friction and fittings, at an even temperature.

    Isothermal flow without the kinetic term, which is the liquid formula with the density at the mean
    absolute pressure. The flow is free air: the volume it has at atmospheric pressure. Valid while no more
    than 40 % of the absolute inlet pressure is lost.

    Inputs:
        flow: volume flow of free air; 0 to 10
        inner_diameter: bore of the pipe; 1e-4 to 2
        length: length of the pipe; 0 to 1e4
        inlet_gauge_pressure: pressure over the atmosphere where the air enters; 0 to 1e6
        roughness: height of the wall roughness; 0 to 0.01
        temperature: air temperature; 223.15 to 373.15
        minor_loss: sum of the loss coefficients of fittings, in velocity heads; 0 to 1e6
        atmospheric_pressure: absolute pressure of the surrounding air; 5e4 to 1.1e5

    Source: isothermal pipe flow as in Crane TP-410, chapter 1, kinetic term left out; `friction_factor`.

    >>> ring = {"inner_diameter": 0.0209, "length": 10.0}
    >>> round(air_pipe_pressure_drop(flow=1e-3, inlet_gauge_pressure=5000.0, **ring))  # 60 L/min
    94
    """
    require("flow", flow, 0.0, 10.0, "m**3/s")
    require("inner_diameter", inner_diameter, 1e-4, 2.0, "m")
    require("length", length, 0.0, 1e4, "m")
    require("inlet_gauge_pressure", inlet_gauge_pressure, 0.0, 1e6, "Pa")
    require("roughness", roughness, 0.0, 0.01, "m")
    require("temperature", temperature, 223.15, 373.15, "K")
    require("minor_loss", minor_loss, 0.0, 1e6, "1")
    require("atmospheric_pressure", atmospheric_pressure, 5e4, 1.1e5, "Pa")
    require("roughness", roughness, 0.0, 0.05 * inner_diameter, "m")
    if flow == 0.0:
        return 0.0
    specific = AIR_GAS_CONSTANT * temperature
    flux = flow * atmospheric_pressure / specific / (math.pi / 4.0 * inner_diameter**2)
    reynolds = flux * inner_diameter / air_dynamic_viscosity(temperature)
    require("reynolds", reynolds, 0.0, 1e8, "1")
    losses = _friction(reynolds, roughness / inner_diameter) * length / inner_diameter + minor_loss
    inlet = atmospheric_pressure + inlet_gauge_pressure
    lost_square = losses * flux**2 * specific
    lowest = (1.0 - AIR_DROP_LIMIT) * inlet
    if lost_square > inlet**2 - lowest**2:
        # The squared pressure may even have run below zero: what is reported is the incompressible figure.
        raise OutsideValidRange(
            "pressure_drop", lost_square / (2.0 * inlet), 0.0, AIR_DROP_LIMIT * inlet, "Pa"
        )
    # the difference of two near-equal roots, written without cancellation
    return lost_square / (inlet + math.sqrt(inlet**2 - lost_square))


def hose_drain_flow(
    *,
    head: Metre,
    inner_diameter: Metre,
    length: Metre,
    minor_loss: Dimensionless = 2.8,
    roughness: Metre = SMOOTH_PLASTIC_ROUGHNESS,
    kinematic_viscosity: SquareMetrePerSecond = WATER_KINEMATIC_VISCOSITY,
) -> CubicMetrePerSecond:
    """Flow that gravity drives through a hose running full, from a water surface to the free end of the hose.

    The velocity head lost at the free end is always counted; `minor_loss` holds the rest. The default 2.8 is
    a sharp entry 0.5, two tight bends of 0.9 each and a barb 0.5 (common practice, no source for the sum).

    Inputs:
        head: fall from the water surface to the free end of the hose, or to the water that drowns it; 0 to 20
        inner_diameter: bore of the hose; 5e-4 to 1
        length: length of the hose; 0 to 1000
        minor_loss: sum of the loss coefficients of fittings, without the exit, in velocity heads; 0 to 1e4
        roughness: height of the wall roughness; 0 to 0.01
        kinematic_viscosity: viscosity over density; 1e-8 to 1e-2

    Source: energy equation, (1 + sum K + f L / d) V^2 / 2g = head, as in Crane TP-410; `friction_factor`.

    >>> flow = hose_drain_flow(head=0.6, inner_diameter=0.013, length=1.5)
    >>> round(flow * 60000, 1)  # L/min
    10.4
    """
    require("head", head, 0.0, 20.0, "m")
    require("inner_diameter", inner_diameter, 5e-4, 1.0, "m")
    require("length", length, 0.0, 1000.0, "m")
    require("minor_loss", minor_loss, 0.0, 1e4, "1")
    require("roughness", roughness, 0.0, 0.01, "m")
    require("kinematic_viscosity", kinematic_viscosity, 1e-8, 1e-2, "m**2/s")
    require("roughness", roughness, 0.0, 0.05 * inner_diameter, "m")
    if head == 0.0:
        return 0.0
    twice_fall = 2.0 * STANDARD_GRAVITY * head
    relative = roughness / inner_diameter

    def excess(velocity: float) -> float:
        reynolds = max(velocity * inner_diameter / kinematic_viscosity, 1e-9)
        losses = 1.0 + minor_loss + _friction(reynolds, relative) * length / inner_diameter
        return velocity**2 * losses - twice_fall

    fastest = math.sqrt(twice_fall / (1.0 + minor_loss))
    return root(excess, 0.0, fastest * (1.0 + 1e-12)) * math.pi / 4.0 * inner_diameter**2


def _friction(reynolds: float, relative_roughness: float) -> float:
    if reynolds <= LAMINAR_LIMIT:
        return 64.0 / reynolds
    wall = relative_roughness / 3.7
    if reynolds >= TURBULENT_LIMIT:
        return 0.25 / math.log10(wall + 5.74 / math.pow(reynolds, 0.9)) ** 2
    # The cubic in r = Re/2000 fitted to value and slope at both ends.
    viscous = 5.74 / math.pow(TURBULENT_LIMIT, 0.9)
    inside = wall + viscous
    y = -2.0 * math.log10(inside)
    fa = 1.0 / y**2
    fb = fa * (2.0 - 3.6 / math.log(10.0) * viscous / (inside * y))
    r = reynolds / LAMINAR_LIMIT
    x1 = 7.0 * fa - fb
    x2 = 0.128 - 17.0 * fa + 2.5 * fb
    x3 = -0.128 + 13.0 * fa - 2.0 * fb
    x4 = 0.032 - 3.0 * fa + 0.5 * fb
    return x1 + r * (x2 + r * (x3 + r * x4))
