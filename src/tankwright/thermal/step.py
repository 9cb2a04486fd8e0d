"""The inner loop of the room: implicit steps, exact for the arrow the room is.

Every vessel hangs on two numbers only, the air's temperature and its humidity. So each step takes all stores
out by hand, vessel by vessel, and two equations are left. Thermostats that give up to their full power make
them bent straight lines; Newton's method from corner to corner ends after a few rounds, usually two.

Temperatures at the end of a step decide its flows (implicit Euler), so no step length is unstable, a store
may have no capacity, and energy and moisture are kept to rounding. Vapour pressure is a straight line over
one step, through its value at the start.

Written once in plain loops over one-dimensional sequences, so that the same text runs interpreted on lists
and compiled on arrays (`compiling`).
"""

from __future__ import annotations

from typing import Any

from tankwright.thermal.climate import BOUNDLESS, settled_climate, switched
from tankwright.thermal.laws import (
    MASS_RATIO,
    humidity_line,
    saturation_growth,
    saturation_pressure,
    vapour_pressure,
)

Floats = Any
"""A list of floats or a float array, one-dimensional."""

DRIVE_STRIDE = 14
VESSEL_STRIDE = 8
MOST_ROUNDS = 80

COLDEST, HOTTEST = 230.0, 350.0
"""Air between which humidity is asked for, K: a round that overshoots must not leave the law's range."""

CAREFUL_FROM = 8
"""After so many rounds the air's temperature is kept between those that were too low and too high.

Heaters that saturate in turns can throw Newton's method to and fro; halving the way between ends that."""


def run_steps(  # noqa: PLR0912, PLR0913, PLR0915, PLR0917 - compiled: one list, one loop
    intervals: int,
    substeps: int,
    step: float,
    vessels: int,
    room: Floats,
    vessel: Floats,
    drive: Floats,
    vessel_gain: Floats,
    coefficient: Floats,
    state: Floats,
    water_state: Floats,
    heater_on: Floats,
    base: Floats,
    inverse: Floats,
    wet: Floats,
    flat: Floats,
    slope: Floats,
    air: Floats,
    mass: Floats,
    slab: Floats,
    humidity: Floats,
    plant: Floats,
    drying: Floats,
    fog: Floats,
    evaporation: Floats,
    water: Floats,
    heating: Floats,
    lost: Floats,
    report: Floats,
) -> None:
    """Step through all intervals; the numbers of the end of every step are left in the last arrays.

    `state` is air, mass, slab, humidity, heater on, cooler on; it and the two arrays after it hold the end at the end.
    """
    (air_store, to_outside, pressure, dry_mass) = (room[0], room[1], room[2], room[3])
    (mass_store, mass_air, mass_beyond) = (room[4], room[5], room[6])
    (slab_store, slab_air, slab_beyond) = (room[7], room[8], room[9])
    (heating_power, cooling_power, drying_rate, drying_energy) = (room[10], room[11], room[12], room[13])
    (room_band, vessel_band, latent) = (room[14], room[15], room[16])
    heat = latent + drying_energy
    mass_scale = 1.0 / (mass_store / step + mass_air + mass_beyond) if mass_air > 0.0 else 0.0
    slab_scale = 1.0 / (slab_store / step + slab_air + slab_beyond) if slab_air > 0.0 else 0.0
    n = 0
    for k in range(intervals):
        at = k * DRIVE_STRIDE
        outside, beyond, ground, outside_w = drive[at], drive[at + 1], drive[at + 2], drive[at + 3]
        exchanged = drive[at + 4]
        out_link = drive[at + 5] + to_outside
        air_gain, mass_gain, slab_gain = drive[at + 6], drive[at + 7], drive[at + 8]
        moisture_gain, warm, cool = drive[at + 9], drive[at + 10], drive[at + 11]
        share, power = drive[at + 12], drive[at + 13]
        limit = drying_rate * power
        for _ in range(substeps):
            t0, w0 = state[0], state[3]
            pressure_slope = pressure * MASS_RATIO / ((MASS_RATIO + w0) * (MASS_RATIO + w0))
            p0 = vapour_pressure(w0, pressure) - pressure_slope * w0
            # stores beyond the air, as straight lines of the air's temperature
            mass_flat = mass_scale * (mass_store / step * state[1] + mass_beyond * beyond + mass_gain)
            slab_flat = slab_scale * (slab_store / step * state[2] + slab_beyond * ground + slab_gain)
            mass_slope, slab_slope = mass_scale * mass_air, slab_scale * slab_air
            fixed_a0 = air_store / step * t0 + out_link * outside + air_gain
            fixed_a0 += mass_air * mass_flat + slab_air * slab_flat
            fixed_a1 = -air_store / step - out_link
            fixed_a1 += mass_air * (mass_slope - 1.0) + slab_air * (slab_slope - 1.0)
            fixed_b0 = dry_mass / step * w0 + exchanged * outside_w + moisture_gain
            fixed_b2 = -dry_mass / step - exchanged
            for i in range(vessels):
                v = i * VESSEL_STRIDE
                before = water_state[i]
                e = vessel[v + 2] * coefficient[k * vessels + i]
                store = vessel[v] / step
                s = 0.0
                flat[i] = 0.0
                if e > 0.0:
                    full_p = saturation_pressure(before)
                    s = full_p * saturation_growth(before)
                    flat[i] = full_p - s * before
                wet[i] = e
                slope[i] = s
                base[i] = store * before + vessel[v + 1] * vessel[v + 3] + vessel_gain[k * vessels + i]
                base[i] -= latent * e * (flat[i] - p0)
                inverse[i] = 1.0 / (store + vessel[v + 1] + vessel[v + 7] + latent * e * s)
                if vessel_band >= 0.0:
                    half = 0.5 * vessel_band
                    aim = vessel[v + 4]
                    heater_on[i] = switched(heater_on[i], before, aim - half, aim + half)
            forced = 0.0
            most, least = heating_power * power, -cooling_power * power
            if room_band >= 0.0:
                half = 0.5 * room_band
                state[4] = switched(state[4], t0, warm - half, warm + half)
                state[5] = 1.0 - switched(1.0 - state[5], t0, cool - half, cool + half)
                forced = state[4] * most + state[5] * least
                most = least = 0.0
            t, w = t0, w0
            d = drops = q = vapour = p = 0.0
            low, high = -BOUNDLESS, BOUNDLESS
            settled = False
            for turn in range(MOST_ROUNDS):
                report[0] += 1.0
                a0, a1, a2 = fixed_a0 + forced, fixed_a1, 0.0
                b0, b1, b2 = fixed_b0, 0.0, fixed_b2
                p = p0 + pressure_slope * w
                vapour = 0.0
                for i in range(vessels):
                    v = i * VESSEL_STRIDE
                    link, full, times = vessel[v + 1], vessel[v + 5] * power, vessel[v + 6]
                    e = wet[i]
                    alone = (base[i] + link * t + latent * e * pressure_slope * w) * inverse[i]
                    own = alone
                    given = 0.0
                    follows = True
                    if vessel_band >= 0.0:
                        given = heater_on[i] * full
                        own = alone + given * inverse[i]
                    elif alone < vessel[v + 4] and full > 0.0:
                        given = (vessel[v + 4] - alone) / inverse[i]
                        if given < full:
                            own = vessel[v + 4]
                            follows = False
                        else:
                            given = full
                            own = alone + given * inverse[i]
                    water[n * vessels + i] = own
                    heating[n * vessels + i] = given
                    by_t = link * inverse[i] if follows else 0.0
                    by_w = latent * e * pressure_slope * inverse[i] if follows else 0.0
                    away = own - by_t * t - by_w * w
                    a0 += times * link * (away - vessel[v + 3])
                    a1 += times * link * (by_t - 1.0)
                    a2 += times * link * by_w
                    if e > 0.0:
                        e *= times
                        b0 += e * (flat[i] + slope[i] * away - p0)
                        b1 += e * slope[i] * by_t
                        b2 += e * (slope[i] * by_w - pressure_slope)
                        vapour += e * (flat[i] + slope[i] * own - p)
                near = min(max(t, COLDEST), HOTTEST)
                dry, dry_slope = humidity_line(share, near, pressure)
                full_w, full_slope = humidity_line(1.0, near, pressure)
                next_t, next_w, d, drops, q = settled_climate(
                    (a0, a1, a2, b0, b1, b2),
                    (heat, limit, dry - dry_slope * near, dry_slope),
                    (latent, BOUNDLESS, full_w - full_slope * near, full_slope),
                    (least, most, warm, cool),
                )
                settled = abs(next_t - t) < 1e-9 and abs(next_w - w) < 1e-13
                if turn >= CAREFUL_FROM and not settled:
                    if next_t > t:
                        low = t
                    else:
                        high = t
                    if high - low < 1e-6:  # the humidity has moved on meanwhile
                        low, high = -BOUNDLESS, BOUNDLESS
                    elif not low < next_t < high:
                        next_t = 0.5 * (low + high)
                t, w = next_t, next_w
                if settled:
                    break
            if not settled:
                report[1] += 1.0
            state[0], state[3] = t, w
            if mass_air > 0.0:
                state[1] = mass_flat + mass_slope * t
            if slab_air > 0.0:
                state[2] = slab_flat + slab_slope * t
            for i in range(vessels):
                own = water[n * vessels + i]
                water_state[i] = own
                lost[i] += wet[i] * (flat[i] + slope[i] * own - p) * step
            air[n], mass[n], slab[n], humidity[n] = t, state[1], state[2], w
            plant[n], drying[n], fog[n], evaporation[n] = q + forced, d, drops, vapour
            n += 1
