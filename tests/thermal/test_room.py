"""A room of many vessels over time: what is kept, what holds, what is refused, and an integrator beside it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from tankwright.physics import heat_arrays
from tankwright.thermal import laws
from tankwright.thermal.model import Air, Drive, HeatRoom, Mass, Numbers, Plant, RoomState, Vessel, even_start
from tankwright.thermal.run import RoomRun, RunStatus, run_room, run_until_periodic, steady_room

WARM = 299.15


def room(count: int = 6, **plant: float | None) -> HeatRoom:
    """A garage with vessels of many sizes at three heights."""
    return HeatRoom(
        air=Air(dry_mass=60.0, capacity=61e3, to_outside=2.0),
        mass=Mass(capacity=3.5e6, to_air=185.0, to_beyond=24.0),
        slab=Mass(capacity=5e6, to_air=60.0, to_beyond=15.0),
        vessels=tuple(
            Vessel(
                id=f"v{i}", count=1 + i % 2, capacity=8e4 * (1 + i), to_air=3.0 + i, open_surface=0.1,
                air_offset=(i % 3 - 1) * 1.5, set_point=WARM - i % 2, heater_power=60.0,
            )
            for i in range(count)
        ),
        plant=Plant(**plant),  # type: ignore[arg-type]
    )  # fmt: skip


def winter(hours: int = 48, **more: float | Numbers) -> Drive:
    hour = np.arange(hours)
    basis = Drive(
        interval=3600.0,
        outside_temperature=275.0 + 6.0 * np.sin(2 * np.pi * (hour - 9) / 24),
        outside_humidity=0.004,
        ventilation=0.008,
        ventilation_conductance=8.0,
        air_gain=np.where((hour % 24 > 7) & (hour % 24 < 19), 300.0, 50.0),
        mass_gain=80.0,
        slab_gain=20.0,
        moisture_gain=1e-5,
        heating_set_point=295.15,
        cooling_set_point=300.15,
        humidity_limit=0.65,
        vessel_gain=4.0,
        evaporation_coefficient=5e-9,
    )
    return replace(basis, **more)


def shah(water: Numbers, air: Numbers, vapour: Numbers) -> Numbers:
    return np.asarray(heat_arrays.shah_coefficients(water, air, vapour, 101325.0))


FULL = {"heating_power": 800.0, "cooling_power": 1500.0, "drying_rate": 3e-4, "drying_energy": 1.8e6}


def relative_humidity(run: RoomRun) -> Numbers:
    full = np.array([laws.humidity_line(1.0, t, 101325.0)[0] for t in run.air])
    return run.humidity * (laws.MASS_RATIO + full) / ((laws.MASS_RATIO + run.humidity) * full)


@settings(max_examples=40)
@given(
    count=st.integers(0, 4),
    step=st.sampled_from([60.0, 3600.0, 86400.0]),
    powers=st.tuples(*[st.sampled_from([0.0, 150.0, 5000.0])] * 2, st.sampled_from([0.0, 2e-5, 1e-3])),
    band=st.sampled_from([None, 0.5]),
    outside=st.floats(260.0, 310.0),
    humidity=st.floats(0.0, 0.02),
    gains=st.tuples(*[st.floats(0.0, 800.0)] * 3),
    coefficient=st.sampled_from([0.0, 3e-9, 5e-8]),
)
def test_heat_and_moisture_are_kept_to_rounding(
    count: int,
    step: float,
    powers: tuple[float, float, float],
    band: float | None,
    outside: float,
    humidity: float,
    gains: tuple[float, float, float],
    coefficient: float,
) -> None:
    heating, cooling, drying = powers
    kind = room(
        count, heating_power=heating, cooling_power=cooling, drying_rate=drying, drying_energy=1.8e6,
        room_hysteresis=band, vessel_hysteresis=band,
    )  # fmt: skip
    if count % 2:  # air without capacity
        kind = replace(kind, air=replace(kind.air, capacity=0.0))
    drive = winter(
        6, interval=step, outside_temperature=np.linspace(outside, outside + 5, 6), outside_humidity=humidity,
        air_gain=gains[0], mass_gain=gains[1], vessel_gain=gains[2], evaporation_coefficient=coefficient,
    )  # fmt: skip
    run = run_room(kind, drive, start=even_start(kind, 293.15), compiled=False)
    assert run.status is RunStatus.SETTLED
    # Newton ends within 1e-9 K of the air, at up to 1e3 W/K and 1e5 W/K of a minute's stores
    assert run.heat_imbalance < 1e-4
    assert run.moisture_imbalance < 1e-11
    assert relative_humidity(run).max() <= 1.0 + 1e-9
    assert (run.vessel_heating >= 0.0).all()
    assert (run.vessel_heating <= 60.0).all()
    assert (run.plant_heat <= heating).all()
    assert (run.plant_heat >= -cooling).all()


@pytest.mark.parametrize("band", [None, 0.4])
def test_interpreted_and_compiled_give_the_same(band: float | None) -> None:
    kind = room(6, room_hysteresis=band, vessel_hysteresis=band, **FULL)
    start = even_start(kind, 294.15)
    slow, fast = (
        run_room(kind, winter(), start=start, substeps=4, compiled=choice, coefficient=shah)
        for choice in (False, True)
    )
    for name in ("air", "mass", "slab", "water"):
        # the compiler may contract a multiplication and an addition, so the last digits differ
        assert getattr(slow, name) == pytest.approx(getattr(fast, name), abs=1e-8)
    assert slow.humidity == pytest.approx(fast.humidity, abs=1e-12)


def test_a_course_without_machines_is_that_of_an_integrator() -> None:
    kind = room(3)
    kind = replace(kind, vessels=tuple(replace(v, heater_power=0.0) for v in kind.vessels))
    drive = winter(48)
    start = RoomState(air=297.0, mass=295.0, slab=290.0, humidity=0.009, water=(299.0, 298.0, 297.0))
    run = run_room(kind, drive, start=start, substeps=240)
    v = kind.vessels
    many, link, store, surface, offset = (
        np.array([getattr(x, name) for x in v], dtype=float)
        for name in ("count", "to_air", "capacity", "open_surface", "air_offset")
    )

    def change(seconds: float, y: Numbers) -> Numbers:
        k = min(int(seconds // 3600), 47)
        air, mass, slab, w, water = y[0], y[1], y[2], y[3], y[4:]
        outside = drive.outside_temperature[k]
        vapour = laws.vapour_pressure(w, 101325.0)
        lost = surface * 5e-9 * (heat_arrays.saturation_pressures(water) - vapour)
        into = link * (water - air - offset)
        d_air = 10.0 * (outside - air) + 185.0 * (mass - air) + 60.0 * (slab - air)
        d_air += many @ into + np.asarray(drive.air_gain)[k]
        d_mass = 185.0 * (air - mass) + 24.0 * (outside - mass) + 80.0
        d_slab = 60.0 * (air - slab) + 15.0 * (283.15 - slab) + 20.0
        d_w = many @ lost + 0.008 * (0.004 - w) + 1e-5
        d_water = (4.0 - into - kind.latent_heat * lost) / store
        return np.array([d_air / 61e3, d_mass / 3.5e6, d_slab / 5e6, d_w / 60.0, *d_water])

    y = np.array([297.0, 295.0, 290.0, 0.009, 299.0, 298.0, 297.0])
    for k in range(48):
        span = (3600.0 * k, 3600.0 * (k + 1) - 1e-6)
        y = solve_ivp(change, span, y, method="LSODA", rtol=1e-9, atol=1e-10).y[:, -1]
    # steps of 15 s that follow their end: an error of first order
    assert [run.end.air, run.end.mass, run.end.slab] == pytest.approx(y[:3], abs=2e-3)
    assert run.end.humidity == pytest.approx(y[3], abs=1e-6)
    assert run.end.water == pytest.approx(y[4:], abs=2e-3)


def test_an_ideal_thermostat_holds_its_set_point_and_gives_no_more_than_it_has() -> None:
    kind = room(6, **FULL)
    run = run_until_periodic(kind, winter(24))
    assert run.status is RunStatus.SETTLED
    short = run.vessel_heating < 60.0 - 1e-9
    heated = run.vessel_heating > 1e-9
    targets = np.broadcast_to([v.set_point for v in kind.vessels], run.water.shape)
    assert run.water[short & heated] == pytest.approx(targets[short & heated], abs=1e-6)
    assert (run.water[~short] <= targets[~short] + 1e-6).all()
    assert (run.water[~heated] >= targets[~heated] - 1e-6).all()
    assert run.air.min() >= 295.15 - 1e-6


def test_a_heater_too_small_gives_all_it_has() -> None:
    run = run_until_periodic(room(6, heating_power=50.0), winter(24, outside_temperature=np.full(24, 255.0)))
    assert run.plant_heat == pytest.approx(np.full(24, 50.0))
    assert run.air.max() < 295.15


def test_a_switched_heater_swings_about_its_set_point() -> None:
    kind = room(3, room_hysteresis=0.5, vessel_hysteresis=0.5, **FULL)
    kind = replace(kind, vessels=tuple(replace(v, heater_power=150.0) for v in kind.vessels))
    run = run_until_periodic(kind, winter(24), substeps=60, within=0.3)
    assert set(np.unique(run.vessel_heating)) == {0.0, 150.0}
    assert run.water.mean(axis=0) == pytest.approx([WARM, WARM - 1, WARM], abs=0.25)
    ideal = replace(kind, plant=Plant(**FULL))
    smooth = run_until_periodic(ideal, winter(24), substeps=60, within=0.3)
    assert run.vessel_heating.sum() == pytest.approx(smooth.vessel_heating.sum(), rel=0.05)


def test_after_a_power_cut_a_large_vessel_cools_more_slowly() -> None:
    kind = room(5, **FULL)
    warm = run_until_periodic(kind, winter(24), coefficient=shah)
    cut = winter(12, power=0.0, vessel_gain=0.0, air_gain=0.0)
    run = run_room(kind, cut, start=warm.end, substeps=12, coefficient=shah)
    assert not run.vessel_heating.any()
    assert not run.plant_heat.any()
    assert not run.drying.any()
    assert (np.diff(run.water, axis=0) < 0.0).all()
    fallen = np.array(warm.end.water) - run.water[-1]
    assert fallen[4] < fallen[1]  # 96 L and 38 L, on the same shelf


def test_a_dehumidifier_holds_the_humidity_until_it_can_no_more() -> None:
    wet = winter(48, moisture_gain=1.5e-4, air_gain=100.0)
    dried = run_until_periodic(room(4, **FULL), wet)
    assert relative_humidity(dried).max() == pytest.approx(0.65, abs=1e-4)
    small = run_until_periodic(room(4, **(FULL | {"drying_rate": 5e-5})), wet)
    assert small.drying == pytest.approx(np.full(48, 5e-5))
    assert relative_humidity(small).min() > 0.65


def test_air_that_can_hold_no_more_drops_the_rest() -> None:
    run = run_until_periodic(room(4), winter(24, moisture_gain=5e-4))
    assert run.fog.max() > 0.0
    assert relative_humidity(run)[run.fog > 0.0] == pytest.approx(1.0, abs=1e-9)


def test_a_higher_shelf_is_warmer_by_its_offset() -> None:
    plain = Vessel(id="low", capacity=1e5, to_air=5.0)
    kind = replace(room(0), vessels=(plain, replace(plain, id="high", air_offset=2.0)))
    run = steady_room(kind, winter(1, vessel_gain=0.0, evaporation_coefficient=0.0))
    assert run.end.water[1] - run.end.water[0] == pytest.approx(2.0)


def test_alike_vessels_may_be_taken_together() -> None:
    one = Vessel(id="a", capacity=2e5, to_air=6.0, open_surface=0.2, set_point=WARM, heater_power=40.0)
    apart = replace(room(0), vessels=tuple(replace(one, id=f"a{i}") for i in range(5)))
    together = replace(room(0), vessels=(replace(one, count=5),))
    runs = [run_room(kind, winter(24), start=even_start(kind, 294.0)) for kind in (apart, together)]
    assert runs[0].air == pytest.approx(runs[1].air, abs=1e-9)
    assert runs[0].vessel_heating[:, 3] == pytest.approx(runs[1].vessel_heating[:, 0], abs=1e-6)


def test_evaporation_follows_the_state_it_makes() -> None:
    kind = room(4, **FULL)
    run = run_until_periodic(kind, winter(24), coefficient=shah)
    assert run.status is RunStatus.SETTLED
    offset = np.array([v.air_offset for v in kind.vessels])
    vapour = laws.vapour_pressure(run.humidity, 101325.0)[:, None]
    due = heat_arrays.shah_rates(run.water, run.air[:, None] + offset, vapour, 101325.0)
    due = (due * [v.open_surface * v.count for v in kind.vessels]).sum(axis=1)
    assert run.evaporation.sum() == pytest.approx(due.sum(), rel=3e-3)
    counts = [v.count for v in kind.vessels]
    assert run.vessel_evaporated @ counts == pytest.approx(run.evaporated, rel=1e-9)


def test_at_rest_everything_balances_by_hand() -> None:
    kind = HeatRoom(
        air=Air(dry_mass=60.0, to_outside=8.4),
        mass=Mass(to_air=185.0, to_beyond=24.3),
        vessels=(Vessel(id="a", count=40, capacity=2.5e5, to_air=6.0, set_point=WARM, heater_power=100.0),),
    )
    drive = Drive(interval=3600.0, outside_temperature=np.array([273.15]), ventilation=0.01)
    walls = 8.4 + 1.0 / (1.0 / 185.0 + 1.0 / 24.3)
    through = 1.0 / (1.0 / 240.0 + 1.0 / walls) * 26.0
    run = steady_room(kind, drive)
    assert run.status is RunStatus.SETTLED
    assert run.vessel_heating[0, 0] == pytest.approx(through / 40.0, rel=1e-9)


def test_the_loop_has_the_laws_of_the_shelf() -> None:
    for temperature in np.linspace(273.2, 323.0, 30):
        assert laws.saturation_pressure(temperature) == pytest.approx(
            float(heat_arrays.saturation_pressures(temperature)), rel=1e-12
        )
        slope = laws.saturation_pressure(temperature) * laws.saturation_growth(temperature)
        assert slope == pytest.approx(float(heat_arrays.saturation_slopes(temperature)), rel=1e-9)


def test_mistakes_are_named_and_nothing_is_worked_out() -> None:
    kind = replace(room(2), air=Air(dry_mass=-1.0))
    run = run_room(kind, winter(24, air_gain=np.zeros(7)), start=even_start(room(3), 290.0))
    assert run.status is RunStatus.INVALID
    assert len(run.mistakes) == 3
    assert run.air.size == 0


@pytest.mark.parametrize("seed", range(25))
def test_rooms_drawn_by_lot_come_to_rest_and_repeat_their_day(seed: int) -> None:
    lot = np.random.default_rng(seed)
    size = lot.uniform(20.0, 200.0)
    kind = HeatRoom(
        air=Air(dry_mass=1.2 * size, capacity=1206.0 * size),
        mass=Mass(capacity=lot.uniform(1e6, 2e7), to_air=lot.uniform(100, 400), to_beyond=lot.uniform(10, 120)),
        vessels=tuple(
            Vessel(
                id=f"v{i}", count=int(lot.integers(1, 12)), capacity=lot.uniform(5e4, 2e6), to_air=lot.uniform(2, 12),
                open_surface=lot.uniform(0, 0.5), air_offset=lot.uniform(-2, 2), set_point=lot.uniform(293, 303),
                heater_power=float(lot.choice([0.0, 25.0, 300.0])),
            )
            for i in range(lot.integers(1, 6))
        ),
        plant=Plant(
            heating_power=float(lot.choice([0.0, 1e3])), cooling_power=float(lot.choice([0.0, 1e4])),
            drying_rate=float(lot.choice([0.0, 1e-4, 5e-4])), drying_energy=1.8e6,
        ),
    )  # fmt: skip
    outside = lot.uniform(255.0, 310.0)
    drive = winter(
        24, outside_temperature=outside + 5.0 * np.sin(np.arange(24) / 3.8), outside_humidity=lot.uniform(5e-4, 0.01),
        ventilation=1.2 * size / 3600.0, ventilation_conductance=1206.0 * size / 3600.0,
    )  # fmt: skip
    assert run_until_periodic(kind, drive, coefficient=shah).status is RunStatus.SETTLED
    first = replace(drive, outside_temperature=np.array([outside]), air_gain=200.0)
    assert steady_room(kind, first, coefficient=shah).status is RunStatus.SETTLED
