"""Damp: cold faces of the shell, the water a dehumidifier must take out, and months in which changed air dries."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.origin import Known
from tankwright.physics.heat_arrays import dehumidifier_ratios, humidity_ratios, saturation_pressures
from tankwright.physics.surfaces import (
    CORNER_SURFACE,
    MOULD_HUMIDITY,
    inner_surface_temperature,
    surface_limit_temperature,
    surface_relative_humidity,
)
from tankwright.room.model_climate import Surface
from tankwright.systems.heat_build import BuiltSpace, beyond, evaporation_of
from tankwright.systems.heat_days import Rest
from tankwright.systems.heat_gains import outside_humidity
from tankwright.systems.heat_model import Airing, ColdSurface, Drying, SpaceDay
from tankwright.units import Kelvin, SquareMetreKelvinPerWatt
from tankwright.weather.model import DAYS_IN_MONTH

OPEN_FACE: Final[SquareMetreKelvinPerWatt] = 0.13
"""m2 K/W at the face of an open wall, a pane or a door. Source: EN ISO 13788, from memory."""

_NEARLY_ALL: Final = 0.98  # a pane cannot lose more than its inner film lets through
_HUMID: Final = (0.05, 1.0)
_TAKES_SOME: Final = 0.1  # of its rating; in colder or drier air a dehumidifier ices up


def cold_surfaces(built: BuiltSpace, cold: SpaceDay, month: SpaceDay) -> tuple[ColdSurface, ...]:
    """Every face of the shell that has something colder beyond it, moistest first."""
    return tuple(sorted(_faces(built, cold, month), key=lambda one: -one.moisture))


def _faces(built: BuiltSpace, cold: SpaceDay, month: SpaceDay) -> Iterator[ColdSurface]:
    humidity = min(max(month.relative_humidity, _HUMID[0]), _HUMID[1])
    for surface in built.climate.surfaces:
        there = float(beyond(built, surface, np.array([cold.outside]), np.array([cold.house]))[0])
        through_month = float(beyond(built, surface, np.array([month.outside]), np.array([month.house]))[0])
        if surface.area <= 0.0 or there >= cold.air:
            continue
        glass = surface.kind in {"window", "door"}
        corner = _face(surface, month.air, through_month, OPEN_FACE if glass else CORNER_SURFACE)
        yield ColdSurface(
            id=surface.id,
            kind=surface.kind,
            faces=surface.faces,
            area=surface.area,
            transmittance=surface.transmittance,
            face=_face(surface, cold.air, there, OPEN_FACE),
            dew_point=cold.dew_point,
            corner=corner,
            moisture=surface_relative_humidity(
                surface_temperature=corner, air_temperature=month.air, relative_humidity=humidity
            ),
            needed=_needed(month.air, humidity, through_month, OPEN_FACE if glass else CORNER_SURFACE),
        )


def _face(surface: Surface, air: Kelvin, other: Kelvin, film: SquareMetreKelvinPerWatt) -> Kelvin:
    return inner_surface_temperature(
        inner_temperature=air, outer_temperature=other, inner_surface_resistance=film,
        transmittance=min(surface.transmittance.value, _NEARLY_ALL / film),
    )  # fmt: skip


def _needed(air: Kelvin, humidity: float, other: Kelvin, film: SquareMetreKelvinPerWatt) -> float | None:
    if air - other < 0.1:
        return None
    limit = surface_limit_temperature(
        air_temperature=air, relative_humidity=humidity, surface_humidity=MOULD_HUMIDITY
    )
    share = (air - limit) / (air - other)
    return share / film if share > 0.0 else None


def wanted_damp(built: BuiltSpace) -> Known:
    """The relative humidity one wants at most: the dehumidifier's, or what is assumed of one."""
    dryer = built.climate.dehumidifier
    if dryer is not None and dryer.holds is not None:
        return dryer.holds
    return ASSUMPTIONS["climate.holds_damp"].known()


def drying_of(built: BuiltSpace, day: SpaceDay, rest: Rest) -> Drying:
    """Water that comes into air held at the wanted humidity, less what changed air takes away."""
    room, state = built.heat_room, rest.state
    holds = wanted_damp(built)
    vapour = holds.value * float(saturation_pressures(day.air))
    held = float(humidity_ratios(vapour, room.air.pressure))
    water = np.array(state.water)
    near = state.air + np.array([vessel.air_offset for vessel in room.vessels])
    spread = saturation_pressures(water) - vapour
    surface = np.array([vessel.open_surface * vessel.count for vessel in room.vessels])
    coefficient = evaporation_of(built)(water, near, np.full_like(near, vapour))
    comes = float(np.sum(coefficient * spread * surface)) if room.vessels else 0.0
    comes += float(np.asarray(rest.drive.moisture_gain).reshape(-1)[0])
    leaves = (built.leak + built.fan) * (held - day.outside_humidity)
    dryer = built.climate.dehumidifier
    takes = max(float(dehumidifier_ratios(day.air, holds.value)[0]), 0.0)
    needed = max(comes - leaves, 0.0)
    return Drying(
        case=day.case,
        holds=holds,
        needed=needed,
        rated=needed / takes if takes > _TAKES_SOME else None,
        has=dryer.rating.value * dryer.count * takes if dryer is not None else None,
    )


def airing_of(built: BuiltSpace, days: tuple[SpaceDay, ...]) -> tuple[Airing, ...]:
    """Month by month, outdoor air against air at the wanted humidity, between the winter's and the summer's room."""
    weather = built.weather
    cold = next(day.air for day in days if day.case == "coldest month")
    hot = next(day.air for day in days if day.case == "hottest")
    means = weather.monthly_means
    ends = np.cumsum(DAYS_IN_MONTH)[:-1] * 24
    moisture = [float(part.mean()) for part in np.split(outside_humidity(weather), ends)]
    span = max(means) - min(means)
    held = wanted_damp(built).value
    rows = []
    for month, (outside, humidity) in enumerate(zip(means, moisture, strict=True), 1):
        share = (outside - min(means)) / span if span > 0.0 else 0.0
        air = cold + share * (hot - cold)
        vapour = held * float(saturation_pressures(air))
        inside = float(humidity_ratios(vapour, built.heat_room.air.pressure))
        rows.append(Airing(month=month, outside_temperature=outside, outside=humidity, inside=inside))
    return tuple(rows)
