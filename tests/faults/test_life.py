"""What lives in the tanks through a fault: what is touched, whose harm counts, how a later stage goes on."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tankwright.faults.life import TOUCHED
from tankwright.faults.model import HarmKind, LifeCourse
from tankwright.room.model import Room
from tankwright.room.model_broken import Broken
from tankwright.study import Study
from tankwright.systems.heat_tanks import LETHAL

from .life_rooms import HORIZON, harms_at, lived, still_water, study_of, warmth_of

STUDY = study_of("cellar.toml")
PUMP = Broken(kind="air pump", what="piston80")
CUT = Broken(kind="power", what="")


def restocked(study: Study, tank: str, **change: object) -> Study:
    """The study with another stock said for one tank; nothing solved again."""
    lives = tuple(
        replace(life, stock=replace(life.stock, **change) if change and life.stock is not None else None)  # type: ignore[arg-type] # fields of it
        if life.tank == tank else life
        for life in study.room.lives
    )  # fmt: skip
    return replace(study, room=replace(study.room, lives=lives))


def kinds_of(life: LifeCourse) -> set[HarmKind]:
    return {one.kind for one in (*life.harms, *life.perhaps)}


# --- what a fault touches -----------------------------------------------------------------------------------------


def test_a_fault_of_none_of_it_leaves_the_routine_at_once() -> None:
    life = lived(STUDY, Broken(kind="overflow", what="A3"))
    assert life.times.tolist() == [0.0, HORIZON]
    assert not life.harms
    assert not life.not_computed
    assert STUDY.oxygen is not None
    row = STUDY.oxygen.tank("A3")
    assert row is not None
    assert row.steady is not None
    assert life.oxygen[:, -1, life.tanks.index("A3")] == pytest.approx(row.steady.value)


@pytest.mark.parametrize("kind", sorted(TOUCHED))
def test_no_harm_comes_by_a_fault_that_cannot_bring_it(kind: HarmKind) -> None:
    others = [
        Broken(kind="lights", what="b1"),
        Broken(kind="carbon", what="drip"),
        Broken(kind="hose", what="A3"),
        PUMP,
    ]
    for one in others:
        if one.kind not in TOUCHED[kind]:
            course = {"A3": np.linspace(297.15, 280.0, 9), "A4": np.linspace(297.15, 312.0, 9)}
            life = lived(
                STUDY, one, water=still_water(STUDY, flows={"drip": 1e-6}), warmth=warmth_of(STUDY, course)
            )
            assert kind not in kinds_of(life)


def test_a_room_without_tanks_has_no_life() -> None:
    empty = Study(room=Room(title="", display="metric", spaces=(), racks=(), tanks=()))
    assert not lived(empty, CUT).harms


# --- whose harm ---------------------------------------------------------------------------------------------------


def test_a_tank_said_to_be_empty_comes_to_no_harm_and_nothing_is_said() -> None:
    stock = next(life.stock for life in STUDY.room.lives if life.tank == "C3")
    assert stock is not None
    assert stock.mass is not None
    empty = restocked(STUDY, "C3", mass=replace(stock.mass, value=0.0))
    life = lived(empty, PUMP)
    assert harms_at(lived(STUDY, PUMP), "oxygen", "C3")
    assert not harms_at(life, "oxygen", "C3")
    assert not any("C3" in subject for subject, _ in life.not_computed)


def test_a_tank_of_which_no_stock_is_said_is_not_computed() -> None:
    life = lived(restocked(STUDY, "C3"), PUMP)
    assert not harms_at(life, "oxygen", "C3")
    assert (
        "tank C3",
        "the plan does not say what fish live there, so no harm to them is counted",
    ) in life.not_computed


def test_a_tank_whose_oxygen_demand_is_not_known_is_not_computed_and_still_gets_cold() -> None:
    assert STUDY.oxygen is not None
    rows = tuple(
        replace(one, demand=None, steady=None, trouble=None) if one.tank == "C3" else one
        for one in STUDY.oxygen.tanks
    )
    blind = replace(STUDY, oxygen=replace(STUDY.oxygen, tanks=rows))
    life = lived(blind, CUT, warmth=warmth_of(STUDY, {"C3": np.linspace(297.15, 285.15, 9)}))
    assert np.isnan(life.oxygen[:, :, life.tanks.index("C3")]).all()
    assert not harms_at(life, "oxygen", "C3")
    assert harms_at(life, "cold", "C3")
    assert any("C3" in subject and "oxygen" in reason for subject, reason in life.not_computed)


# --- cold, hot and dry --------------------------------------------------------------------------------------------


def test_cold_harms_a_margin_under_what_the_zone_wants_and_its_band_is_the_margins() -> None:
    nameless = restocked(STUDY, "C3", facts=None)
    life = lived(nameless, CUT, warmth=warmth_of(STUDY, {"C3": np.linspace(297.15, 285.15, 2)}))
    (harm,) = harms_at(life, "cold", "C3")
    slope = 12.0 / HORIZON
    assert harm.value == pytest.approx(295.15 - 4.0)
    assert [harm.earliest, harm.time, harm.latest] == pytest.approx([4.0 / slope, 6.0 / slope, 8.0 / slope])


def test_what_a_species_is_said_to_live_in_harms_it_no_sooner_than_that() -> None:
    stock = next(life.stock for life in STUDY.room.lives if life.tank == "C3")
    assert stock is not None
    assert stock.facts is not None
    assert stock.facts.temperature is not None
    hardy = replace(stock.facts, temperature=replace(stock.facts.temperature, low=286.15))
    life = lived(
        restocked(STUDY, "C3", facts=hardy),
        CUT,
        warmth=warmth_of(STUDY, {"C3": np.linspace(297.15, 285.15, 2)}),
    )
    (harm,) = harms_at(life, "cold", "C3")
    assert harm.value == 286.15
    assert harm.earliest == harm.time == harm.latest == pytest.approx(11.0 / 12.0 * HORIZON)


def test_heat_harms_a_margin_over_what_the_zone_wants_and_no_later_than_at_what_kills() -> None:
    nameless = restocked(STUDY, "C3", facts=None)
    course = {"C3": np.linspace(297.15, 309.15, 2)}
    life = lived(nameless, Broken(kind="heater on", what="C3"), warmth=warmth_of(STUDY, course))
    (harm,) = harms_at(life, "hot", "C3")
    slope = 12.0 / HORIZON
    assert [harm.earliest, harm.time, harm.latest] == pytest.approx([4.0 / slope, 6.0 / slope, 8.0 / slope])
    zones = tuple(
        replace(zone, wants=None) if zone.wants is None else replace(zone, wants=replace(zone.wants, temperature=(
            replace(zone.wants.temperature[0], value=303.15), replace(zone.wants.temperature[1], value=305.15),
        ) if zone.wants.temperature is not None else None))
        for zone in STUDY.room.zones
    )  # fmt: skip
    warm = replace(nameless, room=replace(nameless.room, zones=zones))
    life = lived(
        warm,
        Broken(kind="heater on", what="C3"),
        warmth=warmth_of(STUDY, {"C3": np.linspace(305.15, 309.15, 2)}),
    )
    assert harms_at(life, "hot", "C3")[0].value == LETHAL


def test_a_tank_that_was_cold_before_is_named_and_not_counted() -> None:
    life = lived(STUDY, CUT, warmth=warmth_of(STUDY, {"C3": np.linspace(289.15, 285.15, 2)}))
    assert not harms_at(life, "cold", "C3")
    assert ("tank C3", "too cold before anything breaks, so no time until it is counted") in life.not_computed


def test_a_tank_runs_dry_when_fish_have_no_depth_to_swim_in() -> None:
    tank = STUDY.room.tank("C3")
    water = still_water(STUDY, rows=2, horizon=1000.0, shares={"C3": np.array([1.0, 0.0])})
    (harm,) = harms_at(lived(STUDY, Broken(kind="pane", what="C3", at="front"), water=water), "dry", "C3")
    depth = tank.level - tank.floor_inside - tank.substrate_depth
    assert harm.time == pytest.approx(1000.0 * (1.0 - 0.03 / depth))
    assert harm.earliest < harm.time < harm.latest


def test_without_warmth_followed_that_is_said() -> None:
    assert any(subject == "warmth" for subject, _ in lived(STUDY, CUT).not_computed)


# --- stages -------------------------------------------------------------------------------------------------------


def test_a_story_cut_in_two_is_the_same_story() -> None:
    half = HORIZON / 2.0
    usual = {"drip": 9.2e-8}
    broken = (PUMP, Broken(kind="carbon", what="drip"))
    whole = lived(STUDY, *broken, water=still_water(STUDY, flows=usual))
    first = lived(STUDY, *broken, water=still_water(STUDY, rows=31, horizon=half, flows=usual))
    second = lived(STUDY, *broken, water=still_water(STUDY, rows=31, horizon=half, flows=usual), start=first)
    assert second.oxygen[:, -1] == pytest.approx(whole.oxygen[:, -1], rel=1e-9)
    assert second.ammonia[-1] == pytest.approx(whole.ammonia[-1], rel=1e-9)
    assert second.chlorine[-1] == pytest.approx(whole.chlorine[-1], rel=1e-9)
    assert not [one for one in second.not_computed if "before anything" in one[1]]
    known = {(one.kind, one.where): one.time for one in whole.harms}
    assert known
    for one in first.harms:
        assert known[one.kind, one.where] == pytest.approx(one.time, rel=1e-9)
    for one in second.harms:
        assert known[one.kind, one.where] == pytest.approx(one.time + half, rel=1e-9)


def test_a_room_that_says_nothing_of_life_computes_none_and_says_so() -> None:
    bare = replace(STUDY, room=replace(STUDY.room, lives=(), laws=None), oxygen=None, water=None)
    life = lived(bare, PUMP)
    assert not life.harms
    assert np.isnan(life.oxygen).all()
    assert np.isnan(life.ammonia).all()
    assert life.not_computed
