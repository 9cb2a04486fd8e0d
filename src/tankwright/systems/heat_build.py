"""From a laid-out space to the room of the heat engine: its stores and links, and what acts on them hour by hour.

    built = build_spaces(room, weather, daily_inflow)
    run_room(built[0].heat_room, drive_of(built[0], hours), start=..., coefficient=evaporation_of(built[0]))

Two readings of a wall's U-value: a heater is sized by `literal`, U times area from air to air; energy and courses go by
the standard's five links, where heat passes the inner face first and some five per cent less is lost.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from tankwright.physics.constants import STANDARD_PRESSURE
from tankwright.physics.heat_arrays import dehumidifier_ratios, shah_coefficients
from tankwright.room.model import Room, Space
from tankwright.room.model_climate import ClimatePlace, SpaceClimate, Surface
from tankwright.room.model_water import TankLife
from tankwright.room.shell_sizes import floor_area, volume
from tankwright.systems import heat_gains as gains
from tankwright.systems.heat_groups import TankGroup, groups_of
from tankwright.thermal.model import Air, Drive, HeatRoom, Mass, Numbers, Plant
from tankwright.thermal.run import Coefficient
from tankwright.thermal.whole_room import SURFACE_TO_AIR, SURFACE_TO_MASS, WholeRoom, whole_room
from tankwright.units import CubicMetre, JoulePerKelvin, KilogramPerSecond, WattPerKelvin
from tankwright.weather.model import WeatherYear

HOUR: Final = 3600.0
AIR_HEAT: Final = 1006.0
"""J/(kg K). Source: ASHRAE Fundamentals 2017, ch. 1."""

AIR_WEIGHT: Final = 1.19
"""kg of dry air in a m3 of a warm room at sea level. Source: ideal gas law at 24 °C."""

LIGHT_THINGS: Final = 5.0
"""The room's air with all that follows it within minutes (shelves, hoses, boxes, the skin of the walls), over its air
alone. With air alone a heater that is on for five minutes would warm it past where the cooler begins, and the two
would fight as no real room lets them. Source: common practice of building simulation, no source."""

RATED_HUMIDITY: Final = 0.6
"""Relative humidity at which dehumidifiers are rated."""

MASS_SURFACE: Final = 2.5
"""m2 of inner mass that heat reaches for each m2 of floor. Source: EN ISO 13790 table 12, medium, from memory."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BuiltSpace:
    """A space ready for the engine. `groups` are its vessels, in their order.

    `leak` and `fan` are dry air, kg/s, the fan's as a mean over its day; `recovered` is the share of the fan's warmth
    given back. `faces_outside` is False for a space that has the house all around it.
    """

    room: Room
    place: Space
    climate: SpaceClimate
    weather: WeatherYear
    heat_room: HeatRoom
    groups: tuple[TankGroup, ...]
    links: WholeRoom | None
    absorptance: float
    volume: CubicMetre
    leak: KilogramPerSecond
    fan: KilogramPerSecond
    recovered: float
    faces_outside: bool

    @property
    def id(self) -> str:
        """The name of the space."""
        return self.place.id

    @property
    def vent_link(self) -> WattPerKelvin:
        """What a kelvin of leaking and changed air carries away."""
        return AIR_HEAT * (self.leak + self.fan * (1.0 - self.recovered))


def build_spaces(
    room: Room, weather: WeatherYear, daily_inflow: Mapping[str, float]
) -> tuple[BuiltSpace, ...]:
    """Every space of the plan, in its order; none where the plan has no [climate].

    `daily_inflow` is the new water of each tank, m3 a day.
    """
    climate = room.climate
    if climate is None:
        return ()
    lives = {life.tank: life for life in room.lives}
    return tuple(
        _build(room, place, kept, climate, weather, daily_inflow, lives)
        for place in room.spaces
        if (kept := climate.space(place.id)) is not None
    )


def _build(
    room: Room,
    place: Space,
    kept: SpaceClimate,
    climate: ClimatePlace,
    weather: WeatherYear,
    daily_inflow: Mapping[str, float],
    lives: Mapping[str, TankLife],
) -> BuiltSpace:
    pressure = float(weather.pressure.mean())
    thinner = pressure / STANDARD_PRESSURE
    inside = volume(place)
    dry_air = AIR_WEIGHT * thinner * inside
    groups = groups_of(room, place, kept, climate, daily_inflow, lives)
    air_link, mass, links = _shell(kept, floor_area(place), literal=False)
    fan = kept.ventilation
    return BuiltSpace(
        room=room,
        place=place,
        climate=kept,
        weather=weather,
        heat_room=HeatRoom(
            air=Air(
                dry_mass=dry_air,
                capacity=LIGHT_THINGS * AIR_HEAT * dry_air,
                to_outside=air_link,
                pressure=pressure,
            ),
            mass=mass,
            vessels=tuple(group.vessel for group in groups),
            plant=_plant(kept),
        ),
        groups=groups,
        links=links,
        absorptance=climate.absorptance.value,
        volume=inside,
        leak=dry_air * kept.air_change.value,
        fan=AIR_WEIGHT * thinner * fan.rating.value * fan.hours / 24.0 if fan is not None else 0.0,
        recovered=fan.recovery.value if fan is not None and fan.recovery is not None else 0.0,
        faces_outside=any(surface.faces == "outside" for surface in kept.surfaces),
    )


def literal(built: BuiltSpace) -> BuiltSpace:
    """The same space as heaters and coolers are sized for it: U times area from air to air."""
    air_link, mass, links = _shell(built.climate, floor_area(built.place), literal=True)
    room = built.heat_room
    return replace(
        built, links=links, heat_room=replace(room, air=replace(room.air, to_outside=air_link), mass=mass)
    )


def _plant(kept: SpaceClimate) -> Plant:
    heater, cooler, dryer = kept.heater, kept.cooler, kept.dehumidifier
    takes = energy = 0.0
    if dryer is not None and dryer.rating.value > 0.0:
        takes, gives = _as_it_dries(kept)
        if dryer.power is not None:  # the same while it runs, for the less it then takes out
            energy = dryer.power.value / (dryer.rating.value * takes) if takes > 0.0 else 0.0
        elif dryer.per_power is not None and dryer.per_power.value * gives > 0.0:
            energy = 1.0 / (dryer.per_power.value * gives)
    heats = heater is not None and kept.heat_to is not None
    cools = cooler is not None and kept.cool_to is not None
    return Plant(
        heating_power=heater.rating.value * heater.count if heats and heater is not None else 0.0,
        cooling_power=cooler.rating.value * cooler.count if cools and cooler is not None else 0.0,
        drying_rate=takes * dryer.rating.value * dryer.count if dryer is not None else 0.0,
        drying_energy=energy,
    )


def _as_it_dries(kept: SpaceClimate) -> tuple[float, float]:
    """What a dehumidifier takes out, and for its energy, over its rating, in air as the room is kept."""
    dryer = kept.dehumidifier
    share = dryer.holds.value if dryer is not None and dryer.holds is not None else RATED_HUMIDITY
    air = kept.heat_to if kept.heat_to is not None else kept.indoors
    takes, gives = dehumidifier_ratios(np.array(air.value), np.array(share))
    return max(float(takes), 0.0), max(float(gives), 0.0)


# --- the shell ----------------------------------------------------------------------------------------------------


def is_glazing(surface: Surface) -> bool:
    """Whether a surface hangs on the air without a store: a window to the outdoors."""
    return surface.kind == "window" and surface.faces == "outside"


def _shell(
    kept: SpaceClimate, floor: float, *, literal: bool
) -> tuple[WattPerKelvin, Mass, WholeRoom | None]:
    """What of the shell hangs on the air, the store behind the rest, and the standard's links (None: literal)."""
    windows = sum(_loss(surface) for surface in kept.surfaces if is_glazing(surface))
    opaque = sum(_loss(surface) for surface in kept.surfaces if not is_glazing(surface))
    capacity: JoulePerKelvin = kept.mass.value * floor
    inner = sum(surface.area for surface in kept.surfaces)
    mass_surface = min(MASS_SURFACE * floor, inner)
    if not literal and opaque < 0.8 * SURFACE_TO_MASS * mass_surface:
        links = whole_room(inner_surface=inner, mass_surface=mass_surface, opaque=opaque, windows=windows)
        mass = Mass(capacity=capacity, to_air=links.air_to_mass, to_beyond=links.mass_to_outside)
        return links.air_to_outside, mass, links
    faces, store = SURFACE_TO_AIR * inner, SURFACE_TO_MASS * mass_surface
    to_air = max(faces * store / (faces + store), 3.0 * opaque)  # a thin shell has its mass near the air
    through = opaque / (1.0 - opaque / to_air)
    return windows, Mass(capacity=capacity, to_air=to_air, to_beyond=through), None


def _loss(surface: Surface) -> WattPerKelvin:
    return surface.transmittance.value * surface.area


# --- what acts ----------------------------------------------------------------------------------------------------


def evaporation_of(built: BuiltSpace) -> Coefficient:
    """How fast the tanks' surfaces evaporate; lids and bubbles are in the vessels' `open_surface`."""
    pressure = built.heat_room.air.pressure

    def coefficient(water: Numbers, air: Numbers, vapour: Numbers) -> Numbers:
        return np.asarray(shah_coefficients(water, air, vapour, pressure))

    return coefficient


def house_air(built: BuiltSpace, hours: gains.HourIndex) -> Numbers:
    """The rest of the house: as warm as the plan says, or as the month outdoors where that is warmer."""
    month = gains.month_outdoors(built.weather)[hours]
    return np.asarray(np.maximum(month, built.climate.indoors.value))


def outdoors(built: BuiltSpace, hours: gains.HourIndex) -> Numbers:
    """The air that leaks in: outdoors, or the house's for a space inside it."""
    return built.weather.dry_bulb[hours] if built.faces_outside else house_air(built, hours)


def beyond(built: BuiltSpace, surface: Surface, outside: Numbers, house: Numbers) -> Numbers:
    """The temperature a surface loses its warmth to, without sun: outdoors, the ground's yearly mean, the house."""
    if surface.faces == "outside":
        return outside
    return house if surface.faces == "indoors" else np.full_like(outside, built.weather.annual_mean)


def beyond_the_shell(
    built: BuiltSpace, outside: Numbers, house: Numbers, sun: gains.HourIndex | None
) -> Numbers:
    """What the store of the shell sees beyond it: all its surfaces' other sides by their losses."""
    links, total = built.links, 0.0
    seen = np.zeros(len(outside))
    glazing = 0.0
    for surface in built.climate.surfaces:
        loss = _loss(surface)
        if is_glazing(surface):
            glazing += loss
            continue
        other = beyond(built, surface, outside, house)
        if sun is not None and surface.faces == "outside" and surface.kind != "floor":
            other = other + gains.warmer_by_sun(built.weather, surface.towards, built.absorptance, sun)
        seen += loss * other
        total += loss
    if total <= 0.0:
        return outside
    seen /= total
    mass = built.heat_room.mass
    if links is None or glazing <= 0.0 or mass.to_beyond <= 0.0:
        return seen
    by_glass = links.to_mass * glazing / mass.to_beyond  # the part of the link that passes the windows
    return seen * (1.0 - by_glass) + outside * by_glass


def drive_of(built: BuiltSpace, hours: gains.HourIndex) -> Drive:
    """What acts on a space in those hours of the year, one after the other."""
    weather, kept, count = built.weather, built.climate, len(hours)
    outside = outdoors(built, hours)
    people = kept.people_hours.value / 24.0
    through = np.zeros(count)
    for surface in kept.surfaces:
        if is_glazing(surface) and surface.sun_share is not None:
            through += surface.area * gains.sun_on_window(
                weather, surface.towards, surface.sun_share.value, hours
            )
    to_air, to_mass = (1.0, 0.0) if built.links is None else built.links.gains(radiant=1.0)
    clock = hours % 24
    night = (clock >= 22) | (clock < 6)
    lower = kept.night_lower.value if kept.night_lower is not None else 0.0
    heat_to = kept.heat_to.value if kept.heat_to is not None else 0.0
    dryer = kept.dehumidifier
    return Drive(
        interval=HOUR,
        outside_temperature=outside,
        outside_humidity=(gains.outside_humidity if built.faces_outside else gains.house_humidity)(weather)[
            hours
        ],
        mass_beyond_temperature=beyond_the_shell(built, outside, house_air(built, hours), hours),
        ventilation=built.leak + built.fan,
        ventilation_conductance=built.vent_link,
        air_gain=gains.loads_heat(built.room, built.id, hours)
        + people * gains.PERSON_HEAT
        + to_air * through,
        mass_gain=to_mass * through,
        moisture_gain=people * gains.PERSON_MOISTURE,
        heating_set_point=np.where(night, heat_to - lower, heat_to) if heat_to > 0.0 else 0.0,
        cooling_set_point=kept.cool_to.value if kept.cool_to is not None else 1e6,
        humidity_limit=dryer.holds.value if dryer is not None and dryer.holds is not None else 1.0,
        inflow_temperature=arriving(built, hours),
    )


def arriving(built: BuiltSpace, hours: gains.HourIndex) -> Numbers:
    """The temperature of the water that drips into a tank of each group; what a group wants where none does."""
    columns = [
        gains.water_through_the_year(built.weather, group.cold, group.mild, hours) for group in built.groups
    ]
    return np.column_stack(columns) if columns else np.zeros((len(hours), 0))
