"""What a power cut takes: loads kept on, batteries and generators for them, which tanks come first."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.faults.backup import CAUTIONS, PowerCutPlan, power_cut_plan
from tankwright.faults.backup_loads import loads_of
from tankwright.origin import Known, Origin
from tankwright.physics.batteries import battery_time
from tankwright.room.model import Room
from tankwright.room.model_power import BackupPlace
from tankwright.study import Study
from tankwright.workspace.opened import open_plan

EXAMPLES = Path(__file__).parents[2] / "examples"
HOUR = 3600.0


@cache
def study_of(name: str) -> Study:
    study = open_plan(EXAMPLES / name).study
    assert study is not None
    return study


def mended(hours: float = 12.0) -> PowerCutPlan:
    return power_cut_plan(study_of("cellar_mended.toml"), hours * HOUR)


def with_backup(backup: BackupPlace | None) -> Study:
    study = study_of("cellar_mended.toml")
    assert study.room.power is not None
    return replace(study, room=replace(study.room, power=replace(study.room.power, backup=backup)))


def test_air_comes_first_and_is_the_least_to_keep() -> None:
    names = [one.name for one in mended().choices]
    assert names == ["air", "air and heating", "everything", "as the plan says"]
    powers = [one.running for one in mended().choices[:3]]
    assert powers == sorted(powers)
    assert mended().choices[0].running == 71.0 + 9.0  # the two air pumps of the plan


def test_what_the_plan_keeps_is_a_choice_of_its_own() -> None:
    kept = mended().choice("as the plan says")
    assert kept is not None
    assert {one.board for one in kept.loads} == {"air"}
    assert power_cut_plan(with_backup(None), 12 * HOUR).choice("as the plan says") is None


def test_the_battery_of_the_plan_lasts_what_peukert_says_of_it() -> None:
    # 100 Ah at 20 h, 0.8 of it left by age, 0.97 at 15 °C; 80 W over 0.88 and 6 W from 12 V; half of it used
    lasts = mended().choices[0].lasts
    assert lasts is not None
    by_hand = 0.5 * 20 * (100 * 0.8 * 0.97 / ((80 / 0.88 + 6) / 12 * 20)) ** 1.15
    assert lasts.value / HOUR == pytest.approx(by_hand)
    assert lasts.low < lasts.value < lasts.high


@given(st.floats(0.5, 200.0))
def test_a_battery_of_the_size_told_lasts_the_cut(hours: float) -> None:
    plan = mended(hours)
    air = plan.choices[0]
    assert air.capacity.low < air.capacity.value < air.capacity.high
    lasts = battery_time(
        capacity=air.capacity.value * 0.8 * 0.97,
        rated_time=20 * HOUR,
        current=(80 / 0.88 + 6) / plan.voltage,
        peukert_exponent=1.15,
        usable_share=0.5,
    )
    assert lasts == pytest.approx(plan.duration)


@given(st.floats(0.5, 100.0), st.floats(1.01, 4.0))
def test_a_longer_cut_takes_a_larger_battery_and_more_fuel(hours: float, more: float) -> None:
    for short, long in zip(mended(hours).choices, mended(hours * more).choices, strict=True):
        assert long.capacity.value > short.capacity.value
        assert long.fuel.value > short.fuel.value
        assert long.generator == short.generator


def test_heating_takes_what_the_coldest_day_asks_for_and_no_more_than_there_is() -> None:
    both = mended().choice("air and heating")
    assert both is not None
    assert 80.0 < both.mean < both.running


def test_a_generator_is_held_against_what_runs_and_starts() -> None:
    choices = mended().choices
    assert all(one.enough is None for one in choices)
    known = Known(1000.0, Origin.GIVEN)
    backup = BackupPlace(battery=None, generator=known, by_itself=False, boards=("air",), loads=())
    found = {one.name: one.enough for one in power_cut_plan(with_backup(backup), 12 * HOUR).choices}
    assert found == {
        "air": True, "air and heating": False, "everything": False, "as the plan says": True
    }  # fmt: skip
    air = choices[0]
    assert air.generator.value == 80.0 + 2.0 * 71.0  # the large pump starting at three times its power


def test_tanks_stand_in_the_order_they_come_into_trouble() -> None:
    tanks = mended().tanks
    assert [one.first for one in tanks] == sorted(one.first for one in tanks)
    assert {one.tank for one in tanks} == {tank.id for tank in study_of("cellar_mended.toml").room.tanks}
    for one in tanks:
        if one.reason in ("oxygen", "cold"):
            assert one.first == (one.oxygen if one.reason == "oxygen" else one.cold)
            assert one.first == min(one.oxygen or math.inf, one.cold or math.inf)


def test_oxygen_counts_at_the_low_end_of_its_band() -> None:
    study = study_of("cellar_mended.toml")
    assert study.oxygen is not None
    for one in mended().tanks:
        row = study.oxygen.tank(one.tank)
        assert row is not None
        assert one.oxygen == (row.trouble.low if row.trouble is not None else None)


def test_a_tank_in_trouble_before_the_cut_ends_is_named() -> None:
    assert mended(12.0).in_trouble == ()
    assert mended(20.0).in_trouble[0].tank == mended().tanks[0].tank
    assert len(mended(72.0).in_trouble) > len(mended(20.0).in_trouble)


def test_a_tank_stands_longer_in_the_cold_than_to_what_its_zone_wants() -> None:
    study = study_of("cellar_mended.toml")
    assert study.heat is not None
    for one in mended().tanks:
        row = study.heat.tank(one.tank)
        if row is not None and row.cut_time is not None and one.cold is not None:
            assert one.cold >= row.cut_time


def test_what_nobody_worked_out_is_not_fine() -> None:
    study = replace(study_of("cellar_mended.toml"), heat=None, oxygen=None)
    plan = power_cut_plan(study, 12 * HOUR)
    assert {one.reason for one in plan.tanks} == {"not known"}
    assert {subject for subject, _ in plan.not_computed} == {"oxygen", "warmth", "heating"}
    assert plan.followed == 0.0


def test_a_pump_on_no_board_counts_and_one_of_unknown_power_is_told() -> None:
    study = study_of("garage.toml")
    loads, missing = loads_of(replace(study.room, power=None))
    assert ("pump linear60", "air", 48.0) in {(one.name, one.does, one.power) for one in loads}
    assert ("heating of garage", 1500.0) in {(one.name, one.power) for one in loads}
    assert missing == ()
    nameless = tuple(replace(pump, power=None) for pump in study.room.pumps)
    _, missing = loads_of(replace(study.room, power=None, pumps=nameless))
    assert "pump linear60" in {subject for subject, _ in missing}


def test_an_empty_room_takes_nothing() -> None:
    room = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    plan = power_cut_plan(Study(room=room), 12 * HOUR)
    assert plan.choices == ()
    assert plan.tanks == ()
    assert plan.not_computed == ()


def test_what_is_assumed_of_the_battery_is_named() -> None:
    assert power_cut_plan(with_backup(None), HOUR).rests_on == (
        "battery.at_hours", "battery.voltage", "battery.usable", "battery.peukert", "battery.inverter_efficiency",
        "battery.inverter_idle", "battery.aged", "battery.temperature",
    )  # fmt: skip
    assert mended().rests_on == ("battery.aged", "battery.temperature")


def test_the_dangers_are_told() -> None:
    told = " ".join(CAUTIONS).lower()
    for word in ("screening", "licensed", "back-feed", "carbon monoxide", "outdoors"):
        assert word in told
    assert "certified" not in told
