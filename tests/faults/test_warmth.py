"""Warmth through a fault: against closed solutions and an integrator, and what it leaves as it was."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from tankwright.faults import warmth as module
from tankwright.faults.breaking import broken_room
from tankwright.faults.electric import EMPTY
from tankwright.faults.model import Array, Setting, WarmthCourse, WaterCourse
from tankwright.faults.warmth import warmth_course
from tankwright.faults.warmth_routine import MeanSeries, routines
from tankwright.faults.warmth_water import waters_of
from tankwright.origin import derived
from tankwright.physics.heat_arrays import saturation_pressures, shah_coefficients, vapour_pressures
from tankwright.room.model import Room
from tankwright.room.model_broken import Broken
from tankwright.study import Study
from tankwright.systems.heat_build import AIR_HEAT
from tankwright.systems.heat_groups import WATER_HEAT, tank_capacity, tank_dry_loss
from tankwright.thermal.model import LATENT_HEAT
from tankwright.workspace.opened import open_plan

from ..systems.heat_rooms import ICE, shed, weather

EXAMPLES = Path(__file__).parents[2] / "examples"
HOUR, DAY = 3600.0, 86_400.0
HELD = 'heat_to = "20 °C"\nheater = { power = "30 kW" }'
HEATER = 'heater = { power = "60 W" }'
WARM = 293.15


@cache
def example(name: str) -> Study:
    study = open_plan(EXAMPLES / name).study
    assert study is not None
    return study


def unbacked() -> Study:
    """The mended cellar without anything that takes over in a cut."""
    study = example("cellar_mended.toml")
    assert study.room.power is not None
    return replace(study, room=replace(study.room, power=replace(study.room.power, backup=None)))


def dry_shed(**said: str) -> Study:
    """A shed whose air is held at 20 °C and whose tanks do not evaporate: nothing but Newton's law is left."""
    room = shed(climate=HELD, **said)
    assert room.climate is not None
    spaces = tuple(replace(one, evaporation=0.0, gradient=derived(0.0)) for one in room.climate.spaces)
    room = replace(room, climate=replace(room.climate, spaces=spaces))
    return Study(room=room, weather=weather(0.0))


def still(study: Study, horizon: float, *, hose: str = "", flow: float = 0.0) -> WaterCourse:
    """Water in which nothing moves, or a hose runs into one tank that lets go what comes."""
    hand = np.zeros((1, len(study.room.tanks)))
    if hose:
        hand[0, [tank.id for tank in study.room.tanks].index(hose)] = flow
    return course(study, [0.0, horizon], hand=hand)


def course(
    study: Study, times: list[float], *, hand: Array | None = None, by_feed: dict[str, Array] | None = None,
    left: tuple[str, list[float]] = ("", []),
) -> WaterCourse:  # fmt: skip
    """A course of water by hand; `left` is the share of its water one tank still has at each time."""
    room, rows = study.room, len(times)
    names = tuple(tank.id for tank in room.tanks)
    level = np.tile([tank.level for tank in room.tanks], (rows, 1))
    volume = np.tile([tank.water_volume for tank in room.tanks], (rows, 1))
    if left[0]:
        tank, here = room.tank(left[0]), names.index(left[0])
        volume[:, here] *= left[1]
        level[:, here] = tank.floor_inside + (tank.level - tank.floor_inside) * np.array(left[1])
    wide = np.zeros((rows - 1, len(names)))
    none, spaces = np.zeros((rows, 0)), tuple(space.id for space in room.spaces)
    return WaterCourse(
        times=np.array(times), tanks=names, spaces=spaces, outfalls=(), vats_named=(), drains_named=(), sources=(),
        level=level, volume=volume, by_feed=by_feed or {}, hand=wide if hand is None else hand,
        floor=np.zeros((rows, len(spaces))), spilled=np.zeros((rows, len(names))), gone=none, vats=none, drains=none,
        came=none, backwards=none,
    )  # fmt: skip


def followed(
    study: Study, *broken: Broken, water: WaterCourse | None = None, hours: float = 60.0, clock: float = 18.0,
    season: str = "coldest", start: WarmthCourse | None = None,
) -> WarmthCourse:  # fmt: skip
    setting = Setting(clock=clock * HOUR, horizon=hours * HOUR, season=season)  # type: ignore[arg-type]
    if water is None:
        water = still(study, hours * HOUR)
    return warmth_course(study, broken_room(study.room, broken), setting, water, start=start)


def of(found: WarmthCourse, tank: str) -> Array:
    return found.water[:, found.tanks.index(tank)]


def newton(room: Room, tank: str) -> tuple[float, float]:
    """Heat a tank holds for a kelvin and what it gives off for one, from its glass and water alone."""
    one = room.tank(tank)
    assert room.laws is not None
    return tank_capacity(one), tank_dry_loss(one, room.laws.wall_coat.value)


# --- closed solutions ---------------------------------------------------------------------------------------------


def test_a_tank_whose_heater_is_dead_cools_as_newton_says_and_its_neighbours_stay_warm() -> None:
    study = dry_shed(kind=HEATER)
    found = followed(study, Broken(kind="heater off", what="L2"))
    store, link = newton(study.room, "L2")
    law = WARM + 5.0 * np.exp(-found.times * link / store)
    assert of(found, "L2")[0] == pytest.approx(WARM + 5.0)
    assert of(found, "L2") == pytest.approx(law, abs=0.02)  # K, of steps that grow to a quarter of an hour
    assert of(found, "L1") == pytest.approx(WARM + 5.0)


def test_a_heater_that_sticks_warms_its_tank_to_where_the_glass_gives_off_its_power() -> None:
    study = dry_shed(kind=HEATER)
    found = followed(study, Broken(kind="heater on", what="H1"), hours=14 * 24.0)
    store, link = newton(study.room, "H1")
    law = WARM + 60.0 / link + (5.0 - 60.0 / link) * np.exp(-found.times * link / store)
    assert of(found, "H1") == pytest.approx(law, abs=0.03)  # K, of steps that grow to an hour
    assert of(found, "H1")[-1] == pytest.approx(WARM + 60.0 / link, abs=0.001)
    assert of(found, "H2") == pytest.approx(WARM + 5.0)


def test_a_heater_that_sticks_stops_where_a_limit_of_its_own_stops_it() -> None:
    study = dry_shed(kind=HEATER)
    lives = tuple(
        replace(life, heater=replace(life.heater, cuts_out_at=derived(ICE + 28.0)))
        for life in study.room.lives
        if life.heater is not None
    )
    limited = replace(study, room=replace(study.room, lives=lives))
    found = followed(limited, Broken(kind="heater on", what="H1"), hours=100.0)
    assert of(found, "H1").max() == pytest.approx(ICE + 28.0)
    assert of(found, "H1")[-1] == pytest.approx(ICE + 28.0)


def test_of_two_heaters_one_dies_and_the_other_holds_what_it_can() -> None:
    study = dry_shed(kind='heater = { power = "15 W", count = 2 }')
    found = followed(study, Broken(kind="heater off", what="L1"), hours=14 * 24.0)
    _, link = newton(study.room, "L1")
    assert of(found, "L1")[-1] == pytest.approx(min(WARM + 15.0 / link, WARM + 5.0), abs=0.001)
    ample = dry_shed(kind='heater = { power = "60 W", count = 2 }')
    assert of(followed(ample, Broken(kind="heater off", what="L1")), "L1") == pytest.approx(WARM + 5.0)


def test_a_cold_stream_mixes_into_a_tank_as_the_closed_solution_says() -> None:
    study = dry_shed()
    flow = 2.0 / 60_000.0  # m3/s, two litres a minute
    water = still(study, 10 * HOUR, hose="H1", flow=flow)
    found = followed(study, Broken(kind="hand hose", what="H1"), water=water, hours=10.0)
    (day,) = routines(study, "coldest")
    store, link = newton(study.room, "H1")
    carried = flow * 998.2 * WATER_HEAT
    end = (link * WARM + carried * day.hand) / (link + carried)
    law = end + (WARM - end) * np.exp(-found.times * (link + carried) / store)
    assert of(found, "H1") == pytest.approx(
        law, abs=0.12
    )  # K, of steps that grow by three: a hundredth of the fall
    assert of(found, "H1")[-1] == pytest.approx(end, abs=0.01)
    assert of(found, "H2") == pytest.approx(WARM, abs=0.001)


def test_a_whole_cut_goes_as_an_integrator_follows_it_with_evaporation_and_moist_air() -> None:
    room = shed(climate=HELD, kind=HEATER)
    study = Study(room=room, weather=weather(0.0, swing=5.0))
    found = followed(study, Broken(kind="power", what=""))
    (day,) = routines(study, "coldest")
    built, heat, drive = day.built, day.built.heat_room, day.drive
    vessels = heat.vessels
    store, link, surface, offset, count = (
        np.array([getattr(one, name) for one in vessels])
        for name in ("capacity", "to_air", "open_surface", "air_offset", "count")
    )
    air, walls = heat.air, heat.mass

    def change(time: float, now: Array) -> Array:
        hour = int((18.0 * HOUR + time) // HOUR) % 24
        outside, beyond = drive.outside_temperature[hour], drive.mass_beyond_temperature[hour]
        moist = np.asarray(drive.outside_humidity)[hour]
        inside, wall, humidity, water = now[0], now[1], now[2], now[3:]
        vapour = float(vapour_pressures(humidity, air.pressure))
        law = np.asarray(shah_coefficients(water, inside + offset, np.full(len(water), vapour), air.pressure))
        gone = surface * law * (saturation_pressures(water) - vapour)
        dry = link * (inside + offset - water)
        into_air = (air.to_outside + built.leak * AIR_HEAT) * (outside - inside)
        into_air += walls.to_air * (wall - inside) - count @ dry
        return np.concatenate([
            [into_air / air.capacity],
            [(walls.to_air * (inside - wall) + walls.to_beyond * (beyond - wall)) / walls.capacity],
            [(built.leak * (moist - humidity) + count @ gone) / air.dry_mass],
            (dry - LATENT_HEAT * gone) / store,
        ])  # fmt: skip

    begin = day.rows(np.array([18.0 * HOUR]))[0]
    exact = solve_ivp(
        change, (0.0, 60 * HOUR), begin, method="LSODA", t_eval=found.times, rtol=1e-8, max_step=900.0
    ).y
    for number, group in enumerate(built.groups):
        for tank in group.tanks:
            assert of(found, tank) == pytest.approx(exact[3 + number], abs=0.08)  # K, of half-hour steps
    assert found.air[:, 0] == pytest.approx(
        exact[0], abs=0.5
    )  # K: follows its outdoors of each hour within minutes
    assert of(found, "L1")[0] - of(found, "L1")[-1] > 10.0


# --- heat is kept -------------------------------------------------------------------------------------------------

KINDS = (
    Broken(kind="power", what=""),
    Broken(kind="board", what="room heat"),
    Broken(kind="circuit", what="life"),
    Broken(kind="device", what="heat"),
    Broken(kind="heater on", what="A1"),
    Broken(kind="heater off", what="A3"),
    Broken(kind="room heater", what="cellar"),
    Broken(kind="room cooler", what="cellar"),
    Broken(kind="lights", what="A lights"),
    Broken(kind="air pump", what="piston80"),
)


@pytest.mark.parametrize("season", ["coldest", "hottest", "usual"])
def test_heat_comes_from_somewhere_and_goes_somewhere_whatever_breaks(season: str) -> None:
    study = unbacked()
    for broken in KINDS:
        found = followed(study, broken, season=season, hours=24.0)
        assert 0.0 < found.imbalance < 1e-6, broken
        assert np.isfinite(found.water).all()
        assert not found.not_computed


def test_heat_is_kept_where_water_comes_and_goes() -> None:
    study = example("cellar_mended.toml")
    flow = np.zeros((3, len(study.room.tanks)))
    flow[1, 0] = 10.0 / 60_000.0
    hose = course(study, [0.0, 7 * HOUR, 8 * HOUR, DAY], hand=flow)
    found = followed(study, Broken(kind="hand hose", what="A1"), water=hose, hours=24.0)
    assert 0.0 < found.imbalance < 1e-6
    emptied = course(study, [0.0, 30.0, HOUR, DAY], left=("A1", [1.0, 0.0, 0.0, 0.0]))
    found = followed(study, Broken(kind="pane", what="A1", at="front"), water=emptied, hours=24.0)
    assert 0.0 < found.imbalance < 1e-6


# --- what is left as it was ---------------------------------------------------------------------------------------


def test_what_touches_no_warmth_is_the_routine_and_never_asks_the_engine(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    study = example("cellar.toml")
    first = followed(study)

    def asked(*_args: object, **_more: object) -> None:
        raise AssertionError("the engine was asked")

    monkeypatch.setattr(module, "run_room", asked)
    found = followed(study, Broken(kind="overflow", what="A1"), Broken(kind="carbon", what="drip"))
    assert np.array_equal(found.water, first.water)
    assert found.water[0] == pytest.approx(found.water[24], abs=1e-9)  # the same hour a day later
    assert not found.events


def test_the_routine_is_settled_once_for_a_study_and_a_season() -> None:
    study = example("cellar.toml")
    assert routines(study, "coldest") is routines(study, "coldest")
    assert (
        routines(study, "usual")[0].states[:, 3:].mean() > routines(study, "coldest")[0].states[:, 3:].mean()
    )


def test_spaces_a_fault_does_not_touch_go_on_as_always() -> None:
    study = example("cellar.toml")
    found = followed(study, Broken(kind="board", what="room heat"))
    always = followed(study)
    assert of(found, "Q1") == pytest.approx(np.interp(found.times, always.times, of(always, "Q1")), abs=1e-3)
    assert of(found, "A1")[-1] < of(always, "A1")[-1] - 5.0
    assert [(event.what, event.where) for event in found.events] == [("heating off", "cellar")]


def test_a_program_that_runs_as_it_always_does_makes_no_tank_colder() -> None:
    study = example("cellar_mended.toml")
    assert study.feed is not None
    names = [tank.id for tank in study.room.tanks]
    run = study.feed.runs[0]
    programs = next(feed for feed in study.room.feeds if feed.id == run.run).programs
    starts = [(one.start - 18 * HOUR) % DAY for one in programs]
    times = [0.0, *sorted(edge for one in starts for edge in (one, one + programs[0].duration)), DAY]
    flows = np.zeros((len(times) - 1, len(names)))
    for outlet in run.outlets:
        flows[1::2, names.index(outlet.tank)] += outlet.flow
    water = course(study, times, by_feed={run.run: flows})
    ill = broken_room(study.room, (Broken(kind="board", what="A lights"),))
    assert waters_of(study, ill, water, 18 * HOUR, DAY).tanks == ()


def test_all_water_of_a_valve_that_does_not_shut_is_warmed() -> None:
    study = example("cellar_mended.toml")
    assert study.feed is not None
    names = [tank.id for tank in study.room.tanks]
    run = study.feed.runs[0]
    flows = np.zeros((1, len(names)))
    for outlet in run.outlets:
        flows[0, names.index(outlet.tank)] += outlet.flow
    water = course(study, [0.0, 2 * DAY], by_feed={run.run: flows})
    ill = broken_room(study.room, (Broken(kind="feed valve", what=run.run),))
    found = waters_of(study, ill, water, 18 * HOUR, 2 * DAY)
    spread = np.diff(found.edges) @ found.feed
    assert spread == pytest.approx(2 * DAY * flows[0, list(found.tanks)], rel=1e-9)
    assert len(found.tanks) == np.count_nonzero(flows)


# --- what it comes to ---------------------------------------------------------------------------------------------


def test_going_on_from_a_course_is_the_same_as_not_stopping() -> None:
    study = example("cellar.toml")
    cut = Broken(kind="power", what="")
    whole = followed(study, cut, hours=60.0)
    first = followed(study, cut, hours=20.0)
    then = followed(study, cut, hours=40.0, clock=(18.0 + 20.0) % 24.0, start=first)
    assert then.water[0] == pytest.approx(first.water[-1])
    assert then.water[-1] == pytest.approx(whole.water[-1], abs=0.05)  # K, of other steps
    assert then.moisture[-1] == pytest.approx(whole.moisture[-1], rel=0.01)


def test_a_space_that_has_gone_cold_stays_what_it_is_when_something_else_breaks() -> None:
    study = example("cellar.toml")
    first = followed(study, Broken(kind="room heater", what="cellar"), hours=20.0)
    then = followed(
        study, Broken(kind="room heater", what="cellar"), Broken(kind="overflow", what="A1"), hours=1.0,
        clock=14.0, start=first,
    )  # fmt: skip
    assert then.water[0] == pytest.approx(first.water[-1])
    assert abs(then.water[-1] - first.water[-1]).max() < 0.6


def test_a_tank_that_has_lost_its_water_follows_the_air() -> None:
    study = example("cellar.toml")
    emptied = course(study, [0.0, 30.0, HOUR, 60 * HOUR], left=("B6", [1.0, 0.0, 0.0, 0.0]))
    found = followed(study, Broken(kind="pane", what="B6", at="front"), water=emptied)
    always = followed(study)
    assert of(found, "B7")[-1] == pytest.approx(np.interp(60 * HOUR, always.times, of(always, "B7")), abs=0.1)
    (day, _) = routines(study, "coldest")
    group = next(one for one in day.built.groups if "B6" in one.tanks)
    assert of(found, "B6")[-1] == pytest.approx(found.air[-1, 0] + group.vessel.air_offset, abs=0.3)


def test_a_heater_out_of_the_water_is_told_when_it_happens_and_warms_it_no_more() -> None:
    study = dry_shed(kind=HEATER)
    leaking = course(study, [0.0, 10 * HOUR, 60 * HOUR], left=("H1", [1.0, 0.3, 0.3]))
    found = followed(study, water=leaking)
    (event,) = found.events
    tank = study.room.tank("H1")
    level = tank.level - 0.7 * (tank.level - tank.floor_inside) * event.time / (10 * HOUR)
    assert (event.what, event.where) == ("heater uncovered", "H1")
    assert level == pytest.approx(tank.floor_inside + 0.18)
    assert of(found, "H1")[-1] < WARM + 1.0
    assert of(found, "H2")[-1] == pytest.approx(WARM + 5.0)


def test_lights_that_do_not_go_out_warm_and_an_air_pump_that_stops_lets_less_evaporate() -> None:
    study = example("cellar.toml")
    always = followed(study, season="coldest")
    lit = followed(study, Broken(kind="lights", what="A lights"))
    quiet = followed(study, Broken(kind="air pump", what="piston80"))
    assert lit.air[:, 0].max() <= 297.16
    assert of(lit, "A1").mean() > of(always, "A1").mean()
    assert quiet.moisture[-1, 0] < np.interp(quiet.times[-1], always.times, always.moisture[:, 0])


def test_a_day_without_heating_is_colder_the_more_goes_off() -> None:
    study = example("cellar_mended.toml")
    ends = [
        followed(study, *broken, hours=24.0).water[-1].mean()
        for broken in (
            (),
            (Broken(kind="room heater", what="cellar"),),
            (
                Broken(kind="room heater", what="cellar"),
                *(Broken(kind="heater off", what=f"A{n}") for n in (3, 4, 5)),
            ),
            (Broken(kind="power", what=""),),
        )
    ]
    assert ends == sorted(ends, reverse=True)
    assert ends[-1] < ends[0] - 3.0


def test_a_plan_without_climate_has_no_warmth_and_says_so() -> None:
    found = followed(Study(room=replace(example("cellar.toml").room, climate=None)))
    assert found.tanks == ()
    assert found.water.shape == (2, 0)
    assert found.not_computed[0][0] == "warmth and damp"


def test_means_over_any_stretch_add_up_to_the_day() -> None:
    study = example("cellar_mended.toml")
    drive = routines(study, "coldest")[0].drive
    edges = np.array([5_000.0, 5_100.0, 40_000.0, 5_000.0 + DAY, 5_000.0 + 2 * DAY])
    means = MeanSeries(drive).between(edges)["outside_temperature"]
    whole = drive.outside_temperature.mean()
    assert means[:3] @ np.diff(edges)[:3] / DAY == pytest.approx(whole)
    assert means[3] == pytest.approx(whole)
    assert means[0] == pytest.approx(drive.outside_temperature[1])


def test_what_a_backup_keeps_on_stays_warm_through_a_cut_until_its_battery_is_empty() -> None:
    text = """
[power]
circuits = { one = { breaker = "16 A" } }
boards = [{ id = "B", circuit = "one", rack = "R", outlets = 6, loads = [
    { name = "heater", power = "60 W", count = 3, does = "heat", serves = "L1..L3" } ] }]
backup = { battery = { capacity = "100 Ah" }, by_itself = true, keeps = ["B"] }
"""
    room = shed(kind='heater = { power = "100 W" }', more=text)
    study = Study(room=room, weather=weather(16.0))
    cut = Broken(kind="power", what="")
    kept, gone = followed(study, cut), followed(study, cut, EMPTY)
    assert of(kept, "L1")[-1] == pytest.approx(ICE + 25.0, abs=0.1)
    assert of(kept, "H1")[-1] < ICE + 22.0
    assert of(gone, "L1")[-1] < ICE + 22.0
