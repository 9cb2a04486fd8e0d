"""Ammonia through a fault: the balance before it, the rise after it, what chloramine adds, and whose harm counts."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from tankwright.physics.ammonia import ammonia_acute_criterion, unionised_ammonia_fraction
from tankwright.physics.disinfectants import NITROGEN_OF_CHLORAMINE
from tankwright.physics.nitrification import nitrification_rate
from tankwright.room.assumed import assumed
from tankwright.room.model_broken import Broken
from tankwright.systems.water_life_model import TankNitrogen
from tankwright.systems.water_nitrogen import HALF_SATURATION

from .life_rooms import HORIZON, harms_at, lived, still_water, study_of, warmth_of

STUDY = study_of("cellar.toml")
PUMP = Broken(kind="air pump", what="piston80")


def nitrogen(tank: str) -> TankNitrogen:
    assert STUDY.water is not None
    assert STUDY.water.life is not None
    return next(one for one in STUDY.water.life.nitrogen if one.tank == tank)


USUAL = nitrogen("D6").inflow
PH = nitrogen("D6").ph


def gas(total: float) -> float:
    assert PH is not None
    return total * unionised_ammonia_fraction(ph=PH.value, temperature=nitrogen("D6").temperature.value)


def test_with_air_and_the_usual_drip_every_tank_stays_where_the_study_settles_it() -> None:
    life = lived(STUDY, Broken(kind="air pump", what="none"), water=still_water(STUDY, flows={"drip": USUAL}))
    counted = 0
    for number, name in enumerate(life.tanks):
        known = nitrogen(name)
        if known.unionised is None or known.inflow != pytest.approx(USUAL):
            continue
        assert life.ammonia[:, number] == pytest.approx(life.ammonia[0, number], rel=1e-9)
        counted += 1
    assert counted > 20
    assert life.ammonia[0, life.tanks.index("D6")] == pytest.approx(
        gas(nitrogen("D6").ammonia.value), rel=1e-9
    )


def test_the_rise_once_the_air_is_off_is_that_of_an_integrator() -> None:
    left, known = assumed(STUDY.room, "filter.without_air").value, nitrogen("D6")
    settled, half = known.ammonia.value, HALF_SATURATION.value
    most = (known.load.value - known.inflow * settled) * (half + settled) / settled

    def balance(_time: float, level: np.ndarray) -> list[float]:
        turned = nitrification_rate(capacity=left * most, ammonia=float(level[0]), half_saturation=half)
        return [(known.load.value - turned - USUAL * level[0]) / known.volume]

    run = solve_ivp(balance, (0.0, HORIZON), [settled], rtol=1e-10, atol=1e-14)
    life = lived(STUDY, PUMP, water=still_water(STUDY, flows={"drip": USUAL}))
    found = life.ammonia[-1, life.tanks.index("D6")]
    assert found == pytest.approx(gas(float(run.y[0, -1])), rel=1e-6)
    assert found > 2.0 * life.ammonia[0, life.tanks.index("D6")]


def test_a_filter_that_stops_for_good_leaves_a_plain_rise_by_the_feed() -> None:
    nothing = replace(assumed(STUDY.room, "filter.without_air"), value=0.0, band=None)
    bare = replace(STUDY, room=replace(STUDY.room, own=(*STUDY.room.own, nothing)))
    life = lived(bare, PUMP)
    known = nitrogen("D6")
    rise = known.from_feed.value * HORIZON / known.volume
    assert life.ammonia[-1, life.tanks.index("D6")] == pytest.approx(
        gas(known.ammonia.value + rise), rel=1e-9
    )


def test_harm_begins_at_the_hours_limit_with_more_feed_and_less_filter_sooner() -> None:
    assert PH is not None
    known = nitrogen("D6")
    life = lived(STUDY, PUMP, water=still_water(STUDY, flows={"drip": USUAL}))
    (harm,) = harms_at(life, "ammonia", "D6")
    limit = ammonia_acute_criterion(ph=PH.value, temperature=known.temperature.value)
    assert harm.value == pytest.approx(limit, rel=1e-9)
    assert harm.earliest < harm.time <= harm.latest
    column = life.ammonia[:, life.tanks.index("D6")]
    if np.isfinite(harm.time):
        assert np.interp(harm.time, life.times, column) == pytest.approx(
            gas(limit), rel=1e-4
        )  # bent in its hour
    else:
        assert column.max() < gas(limit)


def test_a_tank_over_its_lasting_limit_before_is_named_and_not_counted() -> None:
    life = lived(STUDY, PUMP)
    known = nitrogen("B6")
    assert known.chronic is not None
    assert known.ammonia.value > known.chronic
    assert not harms_at(life, "ammonia", "B6")
    assert any("too much ammonia before" in reason for _, reason in life.not_computed)


def test_chloramine_brings_its_ammonia_with_the_drip() -> None:
    water = still_water(STUDY, rows=3, horizon=600.0, flows={"drip": 1e-5})
    plain = lived(STUDY, Broken(kind="feed valve", what="drip"), water=water)
    turned = lived(STUDY, Broken(kind="chloramine", what="tap"), water=water)
    column = plain.tanks.index("D6")
    more = turned.ammonia[-1, column] - plain.ammonia[-1, column]
    brought = 1e-5 * 600.0 * NITROGEN_OF_CHLORAMINE * 0.6e-3 / nitrogen("D6").volume
    assert more == pytest.approx(
        gas(brought), rel=0.1
    )  # a tenth of it has run out or been turned over by then


def test_cold_slows_the_filter_and_makes_less_of_it_gas() -> None:
    usual = still_water(STUDY, flows={"drip": USUAL})
    kept = lived(STUDY, Broken(kind="power", what=""), water=usual, warmth=warmth_of(STUDY, {}))
    cold = lived(
        STUDY,
        Broken(kind="power", what=""),
        water=usual,
        warmth=warmth_of(STUDY, {"D6": np.linspace(297.15, 287.15, 9)}),
    )
    column = kept.tanks.index("D6")
    assert cold.ammonia[-1, column] < kept.ammonia[-1, column]
    assert cold.held is not None
    assert kept.held is not None
    assert cold.held[0, 1, column] > kept.held[0, 1, column]


def test_where_no_ph_is_known_no_harm_is_told_and_the_reason_is() -> None:
    assert STUDY.water is not None
    assert STUDY.water.life is not None
    life = STUDY.water.life
    blind = replace(STUDY, water=replace(STUDY.water, life=replace(life, nitrogen=tuple(
        replace(one, ph=None, unionised=None, acute=None, chronic=None, harm=None) for one in life.nitrogen
    ))))  # fmt: skip
    found = lived(blind, PUMP)
    assert np.isnan(found.ammonia).all()
    assert not [one for one in found.harms if one.kind == "ammonia"]
    assert any("pH" in reason for _, reason in found.not_computed)
