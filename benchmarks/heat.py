"""How fast a year of a room's heat and moisture is, beside an integrator on the same equations in the same run.

Run: python -m benchmarks.heat. The integrator is LSODA of scipy, restarted every hour when what acts
changes, thermostats off, over some days and scaled to a year; ours is a whole year with everything. One thread,
best of several rounds.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable

import numpy as np
from scipy.integrate import solve_ivp

from tankwright.physics.heat_arrays import saturation_pressures, shah_coefficients
from tankwright.thermal.engine import compiled_steps
from tankwright.thermal.laws import vapour_pressure
from tankwright.thermal.model import Air, Drive, HeatRoom, Mass, Numbers, Plant, Vessel, even_start
from tankwright.thermal.run import RoomRun, RunStatus, run_room

HOURS = 8760
GOALS = {(38, 1): 0.5, (38, 12): 2.0, (600, 1): 5.0}
"""Vessels and steps an hour: seconds a year may take."""

COEFFICIENT = 1.5e-8  # kg/(s m2 Pa), for the integrator


def room(vessels: int, *, switched: bool) -> HeatRoom:
    """A garage grown with its tanks, no two of them alike."""
    size = vessels / 38
    return HeatRoom(
        air=Air(dry_mass=60.0 * size, capacity=61e3 * size),
        mass=Mass(capacity=3.5e6 * size, to_air=185.0 * size, to_beyond=24.3 * size),
        slab=Mass(capacity=5e6 * size, to_air=50.0 * size, to_beyond=10.0 * size),
        vessels=tuple(
            Vessel(
                id=f"v{i}", capacity=250e3 * (0.5 + i / vessels), to_air=6.0, open_surface=0.18,
                air_offset=i % 3 - 1.0, set_point=299.15 - i % 4, heater_power=100.0,
            )
            for i in range(vessels)
        ),
        plant=Plant(
            heating_power=1e3 * size, cooling_power=3e3 * size, drying_rate=3e-4 * size, drying_energy=1.8e6,
            vessel_hysteresis=0.5 if switched else None,
        ),
    )  # fmt: skip


def year(vessels: int) -> Drive:
    """Smooth weather of a year."""
    hour, size = np.arange(HOURS), vessels / 38
    season, day = np.sin(2 * np.pi * hour / HOURS - 2), np.sin(2 * np.pi * hour / 24)
    return Drive(
        interval=3600.0,
        outside_temperature=284.0 + 10.0 * season + 5.0 * day,
        outside_humidity=0.006,
        ventilation=0.007 * size,
        ventilation_conductance=8.4 * size,
        air_gain=150.0 * size,
        mass_gain=150.0 * size,
        heating_set_point=297.15,
        cooling_set_point=301.15,
        humidity_limit=0.65,
    )


def shah(water: Numbers, air: Numbers, vapour: Numbers) -> Numbers:
    """Evaporation from open water."""
    return np.asarray(shah_coefficients(water, air, vapour, 101325.0))


def integrated(kind: HeatRoom, drive: Drive, days: int) -> float:
    """Seconds the integrator needs for a year, from some days without thermostats."""
    vessels = kind.vessels
    link, store, surface, offset = (
        np.array([getattr(v, name) for v in vessels])
        for name in ("to_air", "capacity", "open_surface", "air_offset")
    )
    dry, mass, slab = kind.air.dry_mass, kind.mass, kind.slab
    exchanged, carried = float(drive.ventilation), float(drive.ventilation_conductance)
    gain = float(drive.air_gain)

    def change(_: float, y: Numbers, outside: float) -> Numbers:
        air, water = y[0], y[4:]
        lost = surface * COEFFICIENT * (saturation_pressures(water) - vapour_pressure(y[3], 101325.0))
        into = link * (water - air - offset)
        d_air = carried * (outside - air) + mass.to_air * (y[1] - air) + slab.to_air * (y[2] - air)
        d_mass = mass.to_air * (air - y[1]) + mass.to_beyond * (outside - y[1]) + gain
        d_slab = slab.to_air * (air - y[2]) + slab.to_beyond * (283.15 - y[2])
        rates = (
            (d_air + into.sum() + gain) / kind.air.capacity,
            d_mass / mass.capacity,
            d_slab / slab.capacity,
            (lost.sum() + exchanged * (0.006 - y[3])) / dry,
        )
        return np.array([*rates, *((-into - kind.latent_heat * lost) / store)])

    y = np.array([297.0, 295.0, 290.0, 0.009, *(v.set_point for v in vessels)])
    start = time.perf_counter()
    for hour in range(24 * days):
        outside = drive.outside_temperature[hour]
        y = solve_ivp(change, (0.0, 3600.0), y, method="LSODA", rtol=1e-6, args=(outside,)).y[:, -1]
    return (time.perf_counter() - start) * HOURS / (24 * days)


def best(work: Callable[[], RoomRun], rounds: int) -> tuple[float, RoomRun]:
    """The shortest of several times, and what came out."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        done = work()
        times.append(time.perf_counter() - start)
    return min(times), done


def run() -> int:
    """Print the table; how many goals were missed is told at the end."""
    start = time.perf_counter()
    compiled_steps()
    print(f"heat: compiler and cached loop loaded in {time.perf_counter() - start:.2f} s")
    print("heat: a year, s                   ours   at most   integrator (scaled)   ratio")
    misses = 0
    for (vessels, substeps), goal in GOALS.items():
        kind, drive = room(vessels, switched=substeps > 1), year(vessels)
        begin = even_start(kind, 298.15)
        ours, done = best(
            lambda k=kind, d=drive, b=begin, s=substeps: run_room(
                k, d, start=b, substeps=s, coefficient=shah
            ),
            3,
        )
        theirs = integrated(kind, drive, 4 if vessels < 100 else 1)
        print(
            f"  {vessels:>4} vessels, {substeps:>2} steps an hour {ours:>7.3f} {goal:>9.1f} {theirs:>21.1f} "
            f"{ours / theirs:>7.4f}\n"
            f"        {done.status.value} in {done.passes} passes, {done.iterations / len(done.air):.2f} rounds a "
            f"step; heat off by {done.heat_imbalance:.0e} W, moisture by {done.moisture_imbalance:.0e} kg/s"
        )
        misses += ours > goal or done.status is not RunStatus.SETTLED
    print("heat: all goals met" if not misses else f"heat: {misses} goals missed")
    return 1 if misses else 0


if __name__ == "__main__":
    sys.exit(run())
