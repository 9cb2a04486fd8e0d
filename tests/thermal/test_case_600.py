"""Case 600 of ASHRAE 140: a light house with a large south window in Denver, a year of it, held and free.

The weather file and pvlib's sun are test tools. Inputs: the standard's, as the IBPSA library's 5R1C model has them; the
window's angle factor and the walls' absorptance from memory.
"""

from __future__ import annotations

import csv
import importlib.util
from functools import cache
from pathlib import Path

import numpy as np
import pandas as pd
import pvlib

from tankwright.thermal.model import Air, Drive, HeatRoom, Mass, Plant, even_start
from tankwright.thermal.run import RoomRun, run_until_periodic
from tankwright.thermal.whole_room import whole_room

PUBLISHED = Path(__file__).parent.parent / "published" / "ashrae_140_case_600.csv"
ICE = 273.15
FLOOR = 48.0  # m2, as the roof
WALLS = ((21.6, 0), (16.2, 90), (9.6, 180), (16.2, 270))  # m2 and azimuth
WINDOW = 12.0
WALL_LOSS, ROOF_LOSS, FLOOR_LOSS, WINDOW_LOSS = 0.53, 0.33, 0.038, 3.1  # W/(m2 K)
ABSORBED, OUTER_FILM = 0.6, 0.04  # of the sun on walls and roof; m2 K/W
SHORT = 4  # steps an hour: the sun of this house swings its air too fast for one


def angle_factor(angle: np.ndarray) -> np.ndarray:
    """How much less sun a window passes when it comes at an angle, rad."""
    return np.maximum(1.0 - 0.189 * angle + 0.644 * angle**2 - 0.596 * angle**3, 0.0)


@cache
def printed() -> dict[str, list[float]]:
    rows = csv.reader(PUBLISHED.read_text("utf-8").splitlines()[2:])
    return {row[0]: [float(value) for value in row[1:]] for row in rows}


@cache
def denver() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Outside temperature, sun through the window, W, and sun that the walls and roof let in, W."""
    package = importlib.util.find_spec("openbes")
    assert package is not None
    assert package.origin is not None
    path = Path(package.origin).parent / "simulations" / "epw_data" / "USA_Denver_725650TYCST.epw"
    data, site = pvlib.iotools.read_epw(path, coerce_year=1990)
    middle = data.index + pd.Timedelta(minutes=30)
    place = pvlib.location.Location(site["latitude"], site["longitude"], "Etc/GMT+7", site["altitude"])
    sun = place.get_solarposition(middle)
    zenith, azimuth = sun["apparent_zenith"].to_numpy(), sun["azimuth"].to_numpy()
    sky = {
        "dni": data["dni"].to_numpy(dtype=float),
        "ghi": data["ghi"].to_numpy(dtype=float),
        "dhi": data["dhi"].to_numpy(dtype=float),
        "dni_extra": np.asarray(pvlib.irradiance.get_extra_radiation(middle.day_of_year)),
        "airmass": np.asarray(pvlib.atmosphere.get_relative_airmass(zenith)),
        "albedo": 0.2,
        "model": "perez",
    }

    def on_plane(tilt: float, faces: float) -> dict[str, np.ndarray]:
        parts = pvlib.irradiance.get_total_irradiance(tilt, faces, zenith, azimuth, **sky)
        return {name: np.nan_to_num(part) for name, part in parts.items()}

    south = on_plane(90, 180)
    angle = np.minimum(np.radians(pvlib.irradiance.aoi(90, 180, zenith, azimuth)), np.pi / 2)
    rays = np.linspace(0.0, np.pi / 2, 200)
    even = np.trapezoid(angle_factor(rays) * np.sin(2 * rays), rays)
    passed = south["poa_direct"] * angle_factor(angle) + south["poa_diffuse"] * even
    opaque = ROOF_LOSS * FLOOR * on_plane(0, 180)["poa_global"]
    for area, faces in WALLS:
        opaque = opaque + WALL_LOSS * area * on_plane(90, faces)["poa_global"]
    return data["temp_air"].to_numpy(dtype=float), WINDOW * 0.769 * passed, ABSORBED * OUTER_FILM * opaque


@cache
def year(*, held: bool, opaque_sun: bool = True) -> RoomRun:
    outside, window_sun, wall_sun = denver()
    walls = sum(area for area, _ in WALLS)
    links = whole_room(
        inner_surface=4.5 * FLOOR,
        mass_surface=4.522 * FLOOR,
        opaque=WALL_LOSS * walls + (ROOF_LOSS + FLOOR_LOSS) * FLOOR,
        windows=WINDOW_LOSS * WINDOW,
        surface_to_air=2.1,
    )
    radiant = 100.0 + window_sun + (wall_sun if opaque_sun else 0.0)  # half of the 200 W inside
    to_air, to_mass = links.gains(radiant=1.0)
    power = 1e6 if held else 0.0
    room = HeatRoom(
        air=Air(dry_mass=129.6, capacity=129.6 * 1.2 * 1005.0, to_outside=links.air_to_outside),
        mass=Mass(capacity=51289.8 * FLOOR, to_air=links.air_to_mass, to_beyond=links.mass_to_outside),
        plant=Plant(heating_power=power, cooling_power=power),
    )
    drive = Drive(
        interval=3600.0,
        outside_temperature=outside + ICE,
        ventilation=0.015,
        ventilation_conductance=0.414 * 129.6 / 3600.0 * 1200.0,
        air_gain=100.0 + to_air * radiant,
        mass_gain=to_mass * radiant,
        heating_set_point=20.0 + ICE,
        cooling_set_point=27.0 + ICE,
    )
    return run_until_periodic(room, drive, start=even_start(room, 20.0 + ICE), substeps=SHORT)


def energy(run: RoomRun, sign: float) -> float:
    return float(np.maximum(sign * run.plant_heat, 0.0).sum() * run.step / 3.6e9)


def test_a_year_lies_within_the_limits_and_among_the_programs() -> None:
    run = year(held=True)
    assert 3.75 < energy(run, 1.0) < 4.98  # MWh, the limits the IBPSA library prints for the standard
    assert 5.00 < energy(run, -1.0) < 6.83
    for name, sign in (("heat_mwh", 1.0), ("cool_mwh", -1.0)):
        assert min(printed()[name]) < energy(run, sign) < max(printed()[name])
    assert min(printed()["peak_heat_kw"]) < run.plant_heat.max() / 1e3 < max(printed()["peak_heat_kw"])
    assert min(printed()["peak_cool_kw"]) < -run.plant_heat.min() / 1e3 < max(printed()["peak_cool_kw"])


def test_left_to_itself_it_swings_as_the_programs_do() -> None:
    air = year(held=False).air - ICE
    assert min(printed()["mean_c"]) < air.mean() < max(printed()["mean_c"])
    assert min(printed()["lowest_c"]) < air.min() < max(printed()["lowest_c"])
    # one mass for walls, floor and roof alike is lazier than they are: 2 K below the coolest of the programs
    assert min(printed()["highest_c"]) - 2.0 < air.max() < max(printed()["highest_c"])


def test_without_sun_on_walls_and_roof_too_little_cooling_is_found() -> None:
    missing = energy(year(held=True), -1.0) - energy(year(held=True, opaque_sun=False), -1.0)
    assert missing > 0.7  # MWh
