"""What a fault comes to in few numbers: what stands on floors, and what ran over them."""

from __future__ import annotations

from dataclasses import replace

from tankwright.faults.listing import all_faults, find_fault
from tankwright.faults.model import Fault, Outcome
from tankwright.faults.simulate import badness, outcome_of
from tankwright.study import Study

from .whole_room import everything


def outcome(study: Study, name: str) -> Outcome:
    fault = find_fault(all_faults(study), name)
    assert isinstance(fault, Fault), fault
    return outcome_of(study, fault)


def test_what_ran_over_the_floor_is_at_least_what_stands_on_it() -> None:
    study = everything()
    pane = outcome(study, "pane of U1 fails")
    assert pane.first is not None
    assert pane.first.kind == "floor"
    whole = study.room.tank("U1").water_volume
    assert pane.ran >= max(pane.floor, 0.99 * whole)


def test_a_floor_drain_takes_water_back_but_not_what_ran() -> None:
    study = everything()
    room = study.room
    gully = replace(room.outfalls[0], place=(2.9, 2.9, 0.0))
    drained = outcome(replace(study, room=replace(room, outfalls=(gully,))), "pane of U1 fails")
    dry = outcome(study, "pane of U1 fails")
    assert drained.floor < dry.floor
    assert abs(drained.ran - dry.ran) < 0.01 * dry.ran


def test_a_fault_that_harms_more_before_it_is_noticed_is_the_worse() -> None:
    pane = outcome(everything(), "pane of U1 fails")
    assert badness(replace(pane, tanks=(*pane.tanks, "L1"))) < badness(pane)
    assert badness(pane) < badness(replace(pane, first=None))
