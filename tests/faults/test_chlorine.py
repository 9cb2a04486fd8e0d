"""Chlorine through a fault: stirred tanks in closed form, what carbon and suppliers do, the usual day."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from tankwright.faults.chlorine import broken_waters, routine_chlorine
from tankwright.physics.disinfectants import CHLORINE_LIMIT, chlorine_in_dripped_tank, time_to_chlorine
from tankwright.room.model_broken import Broken
from tankwright.study import Study

from .life_rooms import harms_at, lived, still_water, study_of

STUDY = study_of("cellar.toml")
CARBON = Broken(kind="carbon", what="drip")
DRIP = 1.0e-6
SOURCE = 0.6e-3  # kg/m3, what the plan measured


def decay() -> float:
    assert STUDY.room.laws is not None
    return STUDY.room.laws.chlorine_decay.value


def test_spent_carbon_builds_chlorine_up_as_the_formula_of_a_stirred_tank_says() -> None:
    life = lived(STUDY, CARBON, water=still_water(STUDY, flows={"drip": DRIP}))
    volume = STUDY.room.tank("A3").water_volume
    for row in (1, 5, 60):
        assert life.chlorine[row, life.tanks.index("A3")] == pytest.approx(
            chlorine_in_dripped_tank(
                inflow=DRIP,
                tank_volume=volume,
                source_chlorine=SOURCE,
                time=float(life.times[row]),
                decay=decay(),
            ),
            rel=1e-9,
        )


def test_the_moment_of_harm_is_that_of_the_formula_with_its_band_over_the_decay() -> None:
    assert STUDY.room.laws is not None
    life = lived(STUDY, CARBON, water=still_water(STUDY, flows={"drip": DRIP}))
    volume, band = STUDY.room.tank("A3").water_volume, STUDY.room.laws.chlorine_decay.band
    assert band is not None
    (harm,) = harms_at(life, "chlorine", "A3")
    for when, fading in ((harm.earliest, band[0]), (harm.time, decay())):
        assert when == pytest.approx(
            time_to_chlorine(inflow=DRIP, tank_volume=volume, source_chlorine=SOURCE, decay=fading), rel=1e-9
        )
    assert harm.latest >= harm.time
    assert harm.value == CHLORINE_LIMIT


def test_fresh_carbon_lets_no_chlorine_through_a_valve_that_sticks_and_half_of_chloramine() -> None:
    water = still_water(STUDY, flows={"drip": DRIP})
    stuck, turned, spent = (
        lived(STUDY, Broken(kind=kind, what=what), water=water)
        for kind, what in (("feed valve", "drip"), ("chloramine", "tap"), ("carbon", "drip"))
    )
    assert not stuck.chlorine.any()
    assert turned.chlorine[-1] == pytest.approx(0.5 * spent.chlorine[-1], rel=1e-12)


def test_a_hose_in_a_tank_brings_the_tap_as_it_is_while_the_tank_fills_up() -> None:
    flow, horizon = 1e-4, 600.0
    volume = STUDY.room.tank("A6").water_volume
    share = 1.0 + flow * np.linspace(0.0, horizon, 11) / volume
    water = still_water(STUDY, rows=11, horizon=horizon, hand={"A6": flow}, shares={"A6": share})
    life = lived(STUDY, Broken(kind="hand hose", what="A6", flow=flow), water=water)

    def balance(time: float, level: np.ndarray) -> list[float]:
        return [flow * (SOURCE - level[0]) / (volume + flow * time) - decay() * level[0]]

    run = solve_ivp(balance, (0.0, horizon), [0.0], rtol=1e-10, atol=1e-14)
    assert life.chlorine[-1, life.tanks.index("A6")] == pytest.approx(
        run.y[0, -1], rel=5e-5
    )  # it fades by a tank of the mean volume
    (harm,) = harms_at(life, "chlorine", "A6")
    exact = volume / flow * (1.0 / (1.0 - CHLORINE_LIMIT / SOURCE) - 1.0)  # with no fading in so short a time
    assert harm.time == pytest.approx(exact, rel=1e-3)
    assert not harms_at(life, "chlorine", "A3")


def test_a_hose_brings_the_tap_even_where_every_feed_comes_out_of_a_vat() -> None:
    (run,) = STUDY.room.feeds
    dosed = replace(run, id="dosed", source_kind="vat", source="barrel")
    waters, _ = broken_waters(replace(STUDY, room=replace(STUDY.room, feeds=(dosed,))), ())
    assert waters[""] is not None
    assert waters[""].name == "tap"
    assert not waters[""].carbon
    garage = study_of("garage.toml")
    barrel, _ = broken_waters(garage, ())
    assert barrel[""] is not None
    assert barrel[""].name == "barrel"  # nothing there comes from a tap


def test_chlorine_fades_once_the_drip_is_over_and_is_never_less_than_none() -> None:
    water = still_water(STUDY, rows=25, horizon=86_400.0, flows={"drip": DRIP})
    open_for = (water.times[1:] <= 3600.0)[:, None]
    water = replace(water, by_feed={"drip": water.by_feed["drip"] * open_for})
    life = lived(STUDY, CARBON, water=water)
    column = life.chlorine[:, life.tanks.index("A3")]
    assert column.argmax() == 1
    assert np.all(np.diff(column[1:]) < 0.0)
    assert column[-1] == pytest.approx(column[1] * math.exp(-decay() * (86_400.0 - 3600.0)), rel=1e-9)


def test_water_of_which_no_chlorine_is_known_gives_no_level_and_is_told() -> None:
    blind = _without_chlorine(STUDY)
    life = lived(blind, CARBON, water=still_water(blind, flows={"drip": DRIP}))
    assert np.isnan(life.chlorine[-1, life.tanks.index("A3")])
    assert not [one for one in life.harms if one.kind == "chlorine"]
    assert any("chlorine" in reason for _, reason in life.not_computed)


def _without_chlorine(study: Study) -> Study:
    assert study.water is not None
    assert study.water.life is not None
    waters = tuple((name, replace(water, chlorine=None)) for name, water in study.water.life.waters)
    return replace(
        study, water=replace(study.water, life=replace(study.water.life, waters=waters, chlorine=()))
    )


def test_a_feed_out_of_a_tank_whose_feed_lost_its_carbon_has_lost_it_too() -> None:
    (run,) = STUDY.room.feeds
    second = replace(run, id="second", source_kind="tank", source=run.outlets[0].tank, filters=())
    assert STUDY.water is not None
    assert STUDY.water.life is not None
    life = STUDY.water.life
    water = life.water_of("drip")
    assert water is not None
    both = replace(
        STUDY, room=replace(STUDY.room, feeds=(run, second)),
        water=replace(STUDY.water, life=replace(life, waters=(*life.waters, ("second", water)))),
    )  # fmt: skip
    waters, turned = broken_waters(both, (CARBON,))
    assert [waters[name].carbon for name in ("drip", "second")] == [False, False]  # type: ignore[union-attr] # both are
    assert not turned


def test_before_a_fault_chlorine_is_where_the_usual_day_has_it() -> None:
    garage = study_of("garage.toml")
    assert garage.water is not None
    assert garage.water.life is not None
    names = tuple(tank.id for tank in garage.room.tanks)
    day = np.array([routine_chlorine(garage, names, hour * 3600.0) for hour in range(24)])
    for one in garage.water.life.chlorine:
        column = day[:, names.index(one.tank)]
        assert column.max() <= one.now.peak.value * (1.0 + 1e-9)
    assert (day >= 0.0).all()
