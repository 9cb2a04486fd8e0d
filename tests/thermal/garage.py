"""A garage of 21 m2 in Greensboro: the room on which independent programs were compared."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pandas as pd
import pvlib

from tankwright.thermal.model import Air, Drive, HeatRoom, Mass, Plant, even_start
from tankwright.thermal.run import RoomRun, run_until_periodic
from tankwright.thermal.whole_room import whole_room

ICE = 273.15
WALL, CEILING, FLOOR = 45.6, 21.0, 21.0  # m2
SURFACE = WALL + CEILING + FLOOR
AIR_CHANGE = 8.40  # W/K
GAIN = 300.0  # W, 40 % of it to the air
MASS = 3.465e6  # J/K


@cache
def greensboro() -> pd.DataFrame:
    path = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
    return pvlib.iotools.read_tmy3(path, coerce_year=1990, map_variables=True)[0]


def outside() -> np.ndarray:
    return greensboro()["temp_air"].to_numpy(dtype=float)


@cache
def south() -> np.ndarray:
    """Sun on an upright plane facing south, W/m2: an even sky, ground reflecting a fifth, sun at mid-hour."""
    data = greensboro()
    middle = data.index - pd.Timedelta(minutes=30)
    sun = pvlib.location.Location(36.1, -79.95, "Etc/GMT+5", 273).get_solarposition(middle)
    return pvlib.irradiance.get_total_irradiance(
        *(90, 180, sun["apparent_zenith"].to_numpy(), sun["azimuth"].to_numpy()),
        dni=data["dni"].to_numpy(dtype=float),
        ghi=data["ghi"].to_numpy(dtype=float),
        dhi=data["dhi"].to_numpy(dtype=float),
        albedo=0.2,
        model="isotropic",
    )["poa_global"]


def garage_year(case: str) -> RoomRun:
    """A year of case A, B (2 m2 of window) or C (2,400 L of water in the mass), held between 26 and 28 °C."""
    window = 2.0 if case == "B" else 0.0
    links = whole_room(
        inner_surface=SURFACE,
        mass_surface=2.5 * FLOOR,
        opaque=0.30 * (WALL - window) + 0.20 * CEILING + 0.25 * FLOOR,
        windows=1.4 * window,
    )
    sun = 0.6 * 0.8 * window * south()
    to_air, to_mass = links.gains(radiant=1.0)
    radiant = 0.6 * GAIN + sun
    room = HeatRoom(
        air=Air(dry_mass=60.0, capacity=60.8e3, to_outside=links.air_to_outside),
        mass=Mass(
            capacity=MASS + (10.0e6 if case == "C" else 0.0),
            to_air=links.air_to_mass,
            to_beyond=links.mass_to_outside,
        ),
        plant=Plant(heating_power=1e5, cooling_power=1e5),
    )
    drive = Drive(
        interval=3600.0,
        outside_temperature=outside() + ICE,
        ventilation_conductance=AIR_CHANGE,
        ventilation=0.007,
        air_gain=0.4 * GAIN + to_air * radiant,
        mass_gain=to_mass * radiant,
        heating_set_point=26.0 + ICE,
        cooling_set_point=28.0 + ICE,
    )
    return run_until_periodic(room, drive, start=even_start(room, 26.0 + ICE))
