"""What a pipe network is made of: a fluid, nodes, pipes, outlets and sources. No tanks here.

Pressures are gauge, in pascal. Flows are volumes per second; for a gas they are volumes at ambient pressure
and temperature (what a flow meter vented to the room reads), so they add up along the network.
"""

from __future__ import annotations

from dataclasses import dataclass

from tankwright.physics.constants import (
    STANDARD_PRESSURE,
    WATER_DENSITY,
    WATER_KINEMATIC_VISCOSITY,
    air_density,
    air_kinematic_viscosity,
)
from tankwright.units import (
    Dimensionless,
    Kelvin,
    KilogramPerCubicMetre,
    Metre,
    Pascal,
    SquareMetrePerSecond,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fluid:
    """What flows. A compressible fluid has its `density` and `kinematic_viscosity` at `ambient_pressure`.

    >>> Fluid(density=998.2, kinematic_viscosity=1.004e-6).compressible
    False
    """

    density: KilogramPerCubicMetre
    kinematic_viscosity: SquareMetrePerSecond
    compressible: bool = False
    ambient_pressure: Pascal = STANDARD_PRESSURE
    temperature: Kelvin = 293.15


WATER_20 = Fluid(density=WATER_DENSITY, kinematic_viscosity=WATER_KINEMATIC_VISCOSITY)
"""Water at 20 °C. Sources: see `tankwright.physics.constants`."""


def air_at(temperature: Kelvin, *, ambient_pressure: Pascal = STANDARD_PRESSURE) -> Fluid:
    """Dry air at a temperature (K) and ambient pressure (Pa).

    Raises OutsideValidRange where `air_density` and `air_kinematic_viscosity` do.

    Source: see `tankwright.physics.constants`.

    >>> round(air_at(293.15).density, 3), round(air_at(293.15).kinematic_viscosity * 1e6, 2)
    (1.204, 15.06)
    """
    return Fluid(
        density=air_density(temperature, pressure=ambient_pressure),
        kinematic_viscosity=air_kinematic_viscosity(temperature, pressure=ambient_pressure),
        compressible=True,
        ambient_pressure=ambient_pressure,
        temperature=temperature,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Node:
    """A point where links meet. `height` is in metres above the floor; a gas network ignores it.

    >>> Node(id="a", height=1.2).height
    1.2
    """

    id: str
    height: Metre = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Pipe:
    """A full round pipe. Flow from `start` to `end` counts positive.

    `minor_loss` is the sum of K on this bore. A `check_valve` lets flow pass from start to end only.

    >>> Pipe(id="p", start="a", end="b", length=1.0, inner_diameter=0.02).minor_loss
    0.0
    """

    id: str
    start: str
    end: str
    length: Metre
    inner_diameter: Metre
    roughness: Metre = 1.5e-6
    minor_loss: Dimensionless = 0.0
    closed: bool = False
    check_valve: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlet:
    """Where the fluid leaves the network. A tube before it is a `Pipe` to a node of its own.

    Ordinary: flow = `coefficient` * dp ** `exponent` (m3/s, Pa), where dp = node pressure - `back_pressure`
    - `minimum_pressure`; `minimum_pressure` is then the pressure that must be overcome before anything flows.

    Pressure compensating (`compensating_flow` given): with dp = node pressure - `back_pressure`, the flow is
    `compensating_flow` for dp above `minimum_pressure`, and below it `compensating_flow` * sqrt(dp /
    `minimum_pressure`), the corner rounded within 2 % of `minimum_pressure`. Coefficient and exponent are
    then not used.

    `one_way` outlets never let fluid in. The others obey the same law backwards.

    Source: emitter law q = k p^x as in ASABE EP405.1; the compensating law is a model choice.

    >>> Outlet(id="tap", node="a", coefficient=1e-6).exponent
    0.5
    """

    id: str
    node: str
    coefficient: float = 0.0
    exponent: Dimensionless = 0.5
    back_pressure: Pascal = 0.0
    one_way: bool = True
    minimum_pressure: Pascal = 0.0
    compensating_flow: float | None = None
    closed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Where the fluid enters: a fixed pressure (Pa gauge), or a curve of (pressure Pa, flow m3/s) points.

    A curve falls in flow as the pressure rises; it is read as straight lines between the points. Outside its
    points the end lines are carried on (never below zero flow) and the solution names the source as
    extrapolated.
    A source never takes flow back, except one of fixed pressure.

    >>> Source(id="pump", node="a", curve=((0.0, 1e-3), (5e3, 0.0))).fixed_pressure is None
    True
    """

    id: str
    node: str
    curve: tuple[tuple[Pascal, float], ...] | None = None
    fixed_pressure: Pascal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """Everything the solver needs. Ids are unique within their kind.

    >>> Network(fluid=WATER_20, nodes=(Node(id="a"),)).pipes
    ()
    """

    fluid: Fluid
    nodes: tuple[Node, ...]
    pipes: tuple[Pipe, ...] = ()
    outlets: tuple[Outlet, ...] = ()
    sources: tuple[Source, ...] = ()
