"""The workings behind the air."""

from __future__ import annotations

import pytest

from tankwright.explain.air import workings_air
from tankwright.systems.air import solve_air

from ..systems.air_rooms import make_ring, make_tank, turned

ROOM = make_ring(tuple(make_tank(f"A{i}") for i in range(3)), taps=12, height=0.7)


def test_every_tank_has_its_flow_pressure_setting_and_run_back():
    names = [working.name for working in workings_air(ROOM, solve_air(ROOM))]
    for tank in ("A0", "A1", "A2"):
        assert {f"{tank}.air", f"{tank}.air.pressure", f"{tank}.air.setting", f"{tank}.air.run_back"} <= set(
            names
        )
    assert {"air.ring.piston", "air.ring.more_taps"} <= set(names)
    assert len(names) == len(set(names))


def test_the_parts_of_the_ring_pressure_add_up_in_the_working():
    working = next(one for one in workings_air(ROOM, solve_air(ROOM)) if one.name == "A1.air")
    parts = {part.name: part.number.value for part in working.inputs}
    ring = parts.pop("ring pressure at the tap")
    pressures = (
        "water over the diffuser",
        "check valve",
        "loss in the tap",
        "loss in the tube",
        "loss in the diffuser",
    )
    assert ring == pytest.approx(sum(parts[name] for name in pressures))


def test_a_working_says_how_each_input_is_known_and_where_the_formula_is_from():
    for working in workings_air(ROOM, solve_air(ROOM)):
        assert working.source
        assert working.formula
    flow = next(one for one in workings_air(ROOM, solve_air(ROOM)) if one.name == "A0.air")
    assert {part.known.origin.value for part in flow.inputs if part.known} == {"given"}


def test_how_far_a_tap_stands_open_is_an_input_and_a_shut_one_is_explained_too():
    room = turned(ROOM, {"A0": 0.6, "A1": 0.0})
    found = {one.name: one for one in workings_air(room, solve_air(room))}
    (share,) = [part for part in found["A0.air"].inputs if part.name == "share of its area open"]
    assert share.number.value == pytest.approx(0.6)
    assert share.known is not None
    assert share.known.origin.value == "given"
    assert found["A0.air"].title == "air that reaches A0, tap tap 0 turned back as the plan says"
    assert found["A1.air"].title == "air that reaches A1, tap tap 4 shut"
    assert found["A1.air"].number.value == 0.0
    assert [part.name for part in found["A1.air"].inputs] == ["share of its area open"]
    assert "A1.air.pressure" not in found
    assert not [part for part in found["A2.air"].inputs if part.name == "share of its area open"]
