"""The laid-out room as warmth and damp see it: what each space loses its warmth through, and how it is kept."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from tankwright.origin import Known
from tankwright.units import Dimensionless, Metre, SquareMetre

Faces = Literal["outside", "ground", "indoors"]
SurfaceKind = Literal["wall", "window", "door", "roof", "floor"]
Towards = Literal["north", "south", "east", "west", "up", "down"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerPlace:
    """A layer of a surface, counted from the inside. What the table does not know of it is None."""

    material: str
    thickness: Metre
    conductivity: Known
    density: float | None
    specific_heat: float | None
    vapour_factor: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Surface:
    """A part of a space's shell. A window's or door's area is taken off its wall's.

    `transmittance` is from air to air, without the ground a floor lies on. `sun_share` is a window's g-value
    times `unshaded`, what blinds leave. `perimeter` is a floor's length along outer walls.
    """

    id: str
    kind: SurfaceKind
    towards: Towards
    faces: Faces
    area: SquareMetre
    transmittance: Known
    layers: tuple[LayerPlace, ...] = ()
    sun_share: Known | None = None
    unshaded: Dimensionless = 1.0
    perimeter: Metre = 0.0
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MachinePlace:
    """A heater, cooler, fan or dryer. `rating` is W of heat moved, m3/s of air, or kg/s of water taken out.

    `per_power` is what it moves for each watt it takes (a heater: 1), None where `power` says it.
    """

    rating: Known
    per_power: Known | None = None
    power: Known | None = None
    count: int = 1
    hours: float = 24.0
    recovery: Known | None = None
    holds: Known | None = None
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SpaceClimate:
    """How one space is kept. `heat_to` and `cool_to` are None where nothing heats or cools its air.

    `top_up` is measured evaporation, m3/s, and `evaporation` what the law's is multiplied by to fit it.
    `gradient` is how much warmer the air is a metre higher, K/m. `light_hours` come from the power plan.
    """

    space: str
    surfaces: tuple[Surface, ...]
    air_change: Known
    indoors: Known
    heat_to: Known | None
    cool_to: Known | None
    night_lower: Known | None
    heater: MachinePlace | None
    cooler: MachinePlace | None
    ventilation: MachinePlace | None
    dehumidifier: MachinePlace | None
    people_hours: Known
    gradient: Known
    mass: Known
    described: bool
    top_up: Known | None = None
    evaporation: float = 1.0
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ClimatePlace:
    """Weather, tariffs and every space. Prices are in `currency`; None: not said, so no cost is worked out.

    `weather` is what the plan names, "" when it names none. The factors are of water surfaces: evaporation left
    under a lid, and more of it where bubbles break the surface. `absorptance` is of walls and roof in the sun.
    """

    weather: str
    weather_line: int | None
    currency: str
    energy_price: float | None
    water_price: float | None
    spaces: tuple[SpaceClimate, ...]
    covered: Known
    bubbling: Known
    ground_conductivity: Known
    absorptance: Known
    line: int | None = None

    def space(self, name: str) -> SpaceClimate | None:
        """How a space is kept, None when it is not a space of the plan."""
        return next((one for one in self.spaces if one.space == name), None)
