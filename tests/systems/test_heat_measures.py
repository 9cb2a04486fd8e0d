"""Measures are offered where they make sense, change what they say and nothing else."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from tankwright.origin import derived
from tankwright.room.model import Room
from tankwright.room.model_climate import MachinePlace, SpaceClimate
from tankwright.systems.heat_measure import Measure, with_spaces
from tankwright.systems.heat_measures import all_measures
from tankwright.workspace.opened import open_plan

EXAMPLES = Path(__file__).parents[2] / "examples"


@cache
def room_of(name: str) -> Room:
    room = open_plan(EXAMPLES / f"{name}.toml").room
    assert room is not None
    return room


def keys(room: Room, *, watered: bool = True) -> set[str]:
    return {one.key for one in all_measures(room, watered=watered)}


def the(room: Room, key: str) -> Measure:
    [one] = [one for one in all_measures(room, watered=True) if one.key == key]
    return one


def spaces(room: Room) -> tuple[SpaceClimate, ...]:
    assert room.climate is not None
    return room.climate.spaces


def test_a_plan_without_climate_has_none() -> None:
    assert all_measures(room_of("hall"), watered=True) == ()


def test_lids_are_offered_for_open_tanks_alone_and_shut_every_one() -> None:
    cellar = room_of("cellar")
    shut = the(cellar, "lids").change(cellar)
    assert all(one.lid is not None for one in shut.tanks)
    assert "lids" not in keys(shut)
    bare = replace(cellar, tanks=tuple(replace(one, lid=None) for one in cellar.tanks))
    assert "tight_lids" not in keys(bare)


def test_half_the_fresh_water_is_offered_where_some_runs() -> None:
    cellar = room_of("cellar")
    assert "half_drip" in keys(cellar)
    assert "half_drip" not in keys(cellar, watered=False)
    assert the(cellar, "half_drip").inflow == 0.5


def test_heat_recovery_is_offered_for_a_fan_without_it() -> None:
    cellar = room_of("cellar")
    fan = MachinePlace(rating=derived(0.02))
    fanned = with_spaces(cellar, lambda one: replace(one, ventilation=fan))
    assert "recovery" not in keys(with_spaces(cellar, lambda one: replace(one, ventilation=None)))
    recovering = the(fanned, "recovery").change(fanned)
    fans = [one.ventilation for one in spaces(recovering) if one.ventilation is not None]
    assert [one.recovery.value for one in fans if one.recovery is not None] == [0.7, 0.7]
    assert "recovery" not in keys(recovering)


def test_a_fan_and_a_dehumidifier_stand_in_for_each_other() -> None:
    cellar = room_of("cellar")
    fanned = with_spaces(cellar, lambda one: replace(one, ventilation=MachinePlace(rating=derived(0.02))))
    dried = the(fanned, "dryer_for_fan").change(fanned)
    assert all(one.ventilation is None and one.dehumidifier is not None for one in spaces(dried))
    back = the(dried, "fan_for_dryer").change(dried)
    assert all(one.ventilation is not None and one.dehumidifier is None for one in spaces(back))


@pytest.mark.parametrize(("key", "kind"), [("insulate_wall", "wall"), ("insulate_floor", "floor")])
def test_board_lies_on_its_own_surfaces_alone_and_never_on_inner_walls(key: str, kind: str) -> None:
    cellar = room_of("cellar")
    after = the(cellar, key).change(cellar)
    for before, then in zip(spaces(cellar), spaces(after), strict=True):
        for one, other in zip(before.surfaces, then.surfaces, strict=True):
            if one.kind == kind and one.faces != "indoors":
                # 5 cm at 0.0355 W/(m K) in series, by hand
                assert 1 / other.transmittance.value - 1 / one.transmittance.value == pytest.approx(
                    1.4085, abs=1e-3
                )
            else:
                assert other == one


def test_a_degree_cooler_lowers_air_and_tank_heaters_by_one() -> None:
    mended = room_of("cellar_mended")
    after = the(mended, "lower").change(mended)
    for before, then in zip(mended.lives, after.lives, strict=True):
        if before.heater is not None and then.heater is not None:
            assert before.heater.holds.value - then.heater.holds.value == pytest.approx(1.0)
    for one, other in zip(spaces(mended), spaces(after), strict=True):
        if one.heat_to is not None and other.heat_to is not None:
            assert one.heat_to.value - other.heat_to.value == pytest.approx(1.0)


def test_heating_the_room_instead_takes_the_heaters_out_and_holds_the_warmest_tank() -> None:
    mended = room_of("cellar_mended")
    after = the(mended, "heat_room").change(mended)
    assert all(one.heater is None for one in after.lives)
    holds = [one.heater.holds.value for one in mended.lives if one.heater is not None]
    assert max(one.heat_to.value for one in spaces(after) if one.heat_to is not None) == max(holds)
    tanks = the(mended, "heat_tanks").change(mended)
    assert all(one.heater is not None for one in tanks.lives)
    assert all(one.heat_to is None for one in spaces(tanks))


def test_half_the_light_halves_lamps_and_nothing_else() -> None:
    cellar = room_of("cellar")
    after = the(cellar, "lights").change(cellar)
    assert cellar.power is not None
    assert after.power is not None
    for before, then in zip(cellar.power.boards, after.power.boards, strict=True):
        for one, other in zip(before.loads, then.loads, strict=True):
            factor = 0.5 if one.does == "light" else 1.0
            assert other.power.value == one.power.value * factor
