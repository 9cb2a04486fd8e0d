"""The air of a broken ring: who gets none, who gets less, what is not solved twice."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tankwright.faults.airing import Airing, broken_air, healthy_air
from tankwright.room.model_broken import Broken
from tankwright.study import Study, work_out
from tankwright.systems.air import solve_air

from .life_rooms import study_of

STUDY = study_of("cellar.toml")
HEALTHY = healthy_air(STUDY)
TAP = "ring.tap 18"  # of D6


def air(*broken: Broken, study: Study = STUDY) -> Airing:
    return broken_air(study, replace(study.room, broken=broken))


def test_a_dead_pump_leaves_no_air_and_no_pressure() -> None:
    found = air(Broken(kind="air pump", what="piston80"))
    assert set(found.flows) == set(HEALTHY.flows)
    assert not any(found.flows.values())
    assert found.pressures == {"ring": 0.0}


def test_a_cut_stops_the_pump_and_so_does_all_it_hangs_on() -> None:
    assert STUDY.room.power is not None
    board = next(one for one in STUDY.room.power.boards if any(load.pump == "piston80" for load in one.loads))
    circuit = next(one for one in STUDY.room.power.circuits if one.id == board.circuit)
    for kind, what in (
        ("power", ""),
        ("board", board.id),
        ("circuit", circuit.id),
        ("device", circuit.device),
    ):
        assert not any(air(Broken(kind=kind, what=what)).flows.values()), kind  # type: ignore[arg-type] # one of them
    other = next(one for one in STUDY.room.power.boards if all(load.pump is None for load in one.loads))
    assert air(Broken(kind="board", what=other.id)) == HEALTHY


def test_of_two_pumps_the_other_runs_on_and_every_tank_gets_less() -> None:
    (run,), (pump,) = STUDY.room.airs, STUDY.room.pumps
    half = replace(pump, curve=tuple((pressure, flow / 2.0) for pressure, flow in pump.curve))
    pair = (half, replace(half, id="second"))
    room = replace(STUDY.room, pumps=pair, airs=(replace(run, pumps=("piston80", "second")),))
    both = work_out(room, frozenset({"air"}), walk_through=False)
    found, before = air(Broken(kind="air pump", what="second"), study=both), healthy_air(both)
    alone = solve_air(replace(room, airs=(replace(run, pumps=("piston80",)),)), walk_through=False)
    for one in alone.tanks:
        assert found.flows[one.tank] == pytest.approx(one.flow, rel=1e-6, abs=1e-12)
        assert found.flows[one.tank] < before.flows[one.tank] or before.flows[one.tank] == 0.0


def test_a_ring_open_to_the_room_holds_no_water_back() -> None:
    found = air(Broken(kind="ring pipe", what="ring", at="ring.3"))
    assert not any(found.flows.values())
    assert 0.0 < found.pressures["ring"] < 0.1 * HEALTHY.pressures["ring"]


def test_a_tap_that_fell_out_takes_all_air_of_its_tank_and_some_of_every_other() -> None:
    found = air(Broken(kind="air tap", what="ring", at=TAP))
    assert found.flows["D6"] == 0.0
    fed = [name for name, flow in HEALTHY.flows.items() if flow > 0.0 and name != "D6"]
    assert all(0.0 < found.flows[name] < HEALTHY.flows[name] for name in fed)


def test_a_clogged_diffuser_gives_its_air_to_the_others() -> None:
    half, shut = (air(Broken(kind="diffuser", what="ring", at=TAP, left=left)) for left in (0.5, 0.0))
    assert shut.flows["D6"] == 0.0 < half.flows["D6"] < HEALTHY.flows["D6"]
    assert shut.flows["A3"] > half.flows["A3"] > HEALTHY.flows["A3"]
    whole = air(Broken(kind="diffuser", what="ring", at=TAP, left=1.0))
    assert whole.flows == pytest.approx(HEALTHY.flows, rel=1e-6)


def test_what_is_not_of_air_solves_nothing_and_what_is_solves_it_once() -> None:
    assert air(Broken(kind="overflow", what="A3")) == HEALTHY
    fallen = Broken(kind="air tap", what="ring", at=TAP)
    assert air(fallen) is air(fallen)


def test_a_ring_that_was_not_worked_out_is_named_when_it_breaks_and_is_none_without_its_pump() -> None:
    assert STUDY.air is not None
    blind = replace(STUDY, air=replace(STUDY.air, runs=(), tanks=()))
    found = air(Broken(kind="air tap", what="ring", at=TAP), study=blind)
    assert not found.flows
    assert found.unknown[0][0] == "air ring"
    dead = air(Broken(kind="power", what=""), study=blind)
    assert not any(dead.flows.values())
    assert not dead.unknown
