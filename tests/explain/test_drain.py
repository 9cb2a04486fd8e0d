"""The workings of the drain."""

from __future__ import annotations

import pytest

from tankwright.explain.drain import workings_drain
from tankwright.systems.drain import solve_drain

from ..systems.drain_rooms import LITRE_PER_HOUR, hose_left_in, make_room, make_run, pulled, with_events

ROOM = with_events(
    make_room(4, run=make_run(4, fall=0.002, bore=0.026)), hose_left_in("T2", 2e-4), pulled("T1", "T3")
)
RESULT = solve_drain(ROOM, {f"T{i}": 4 * LITRE_PER_HOUR for i in range(1, 5)}, {})
WORKINGS = {one.name: one for one in workings_drain(ROOM, RESULT)}


def test_every_working_has_a_formula_a_source_and_inputs():
    assert len(WORKINGS) > 12
    for working in WORKINGS.values():
        assert working.formula
        assert working.source
        assert working.inputs


def test_names_are_those_one_would_ask_for():
    wanted = {
        "T1.overflow_head",
        "T1.overflow_capacity",
        "T1.spill",
        "drain.main.depth",
        "drain.main.first_spill",
    }
    assert wanted <= set(WORKINGS)


def test_the_time_to_spill_is_its_inputs_divided():
    spill = WORKINGS["T1.spill"]
    room, feed = spill.inputs[0].number.value, spill.inputs[1].number.value
    assert spill.number.value == pytest.approx(room / feed)


def test_the_flow_is_the_sum_of_its_inputs():
    flow = WORKINGS["drain.main.flow"]
    assert flow.number.value == pytest.approx(sum(one.number.value for one in flow.inputs))


def test_inputs_of_the_room_say_how_they_are_known():
    depth = WORKINGS["drain.main.depth"]
    assert {one.name: one.known is not None for one in depth.inputs}["bore"]
