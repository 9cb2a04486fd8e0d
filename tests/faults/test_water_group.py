"""Tanks on a full drain followed together, against a fine numerical solution of the same laws."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from tankwright.faults.model import Array
from tankwright.faults.water_follow import Inflow
from tankwright.faults.water_group import OVER_RIM, Group, _rosenbrock, _System
from tankwright.faults.water_laws import Law
from tankwright.faults.water_ways import Sink, Vessel

from .broken_rooms import example

LIPS = np.array([1.0, 1.0, 0.9])
RIMS = LIPS + 0.05
AREA = 0.18
EDGES = np.array([0.0, 3600.0, 36000.0, 39600.0, 72000.0])
FED = np.array([2e-6, 0.0, 2e-6, 0.0])


@dataclass(frozen=True)
class Now:
    hoses: Array
    to_floor: float
    change: Array


class LinearDrain:
    """A shut pipe of straight sides, and hoses that give in proportion to the head."""

    run = "d"
    space = "r"
    marks = ((0, 0.004, "drain full"),)
    passes = 5e-3

    def at(self, surfaces: Array, stored: Array) -> Now:
        level = 0.5 + stored[0] / 0.01
        hoses = self.passes * (np.maximum(surfaces, LIPS) - np.maximum(level, LIPS))
        return Now(hoses=hoses, to_floor=0.0, change=np.array([hoses.sum()]))

    def slopes(self, surfaces: Array, stored: Array) -> Array:
        level = 0.5 + stored[0] / 0.01
        slopes = np.zeros((4, 4))
        slopes[np.arange(3), np.arange(3)] = self.passes * (surfaces > LIPS)
        slopes[:3, 3] = -self.passes * (level > LIPS) / 0.01
        slopes[3] = slopes[:3].sum(0)
        return slopes


def group(other: float = 0.0, elsewhere: bool = False) -> Group:
    tank = example("cellar").tanks[0]
    hose = Sink(to="drain", where="d", law=Law(heights=np.array([0.0, 2.0]), flows=np.zeros(2)))
    hole = Sink(to="floor", where="r", law=Law(heights=np.array([0.5, 1.0]), flows=np.array([0.0, 1e-6])))
    vessels = tuple(
        Vessel(
            tank=replace(tank, id=f"t{k}", rim=float(rim), level=float(lip), inside_area=AREA),
            bottom=0.5,
            sinks=(hose, hole) if elsewhere and k == 0 else (hose,),
        )
        for k, (rim, lip) in enumerate(zip(RIMS, LIPS, strict=True))
    )
    made = Group(
        flows=LinearDrain(), indices=(0, 1, 2), vessels=vessels, levels=LIPS.copy(), stored=np.zeros(1)
    )
    made.follow([Inflow(edges=EDGES, fed=FED, other=np.full(4, other if k == 1 else 0.0)) for k in range(3)])
    return made


def fine(other: float) -> list[Array]:
    """State at the end of each stretch: levels, what stands in the drain, what ran over each rim."""
    drain = LinearDrain()
    state = np.concatenate([LIPS, np.zeros(4)])
    ends = []
    for k in range(4):

        def change(_: float, y: Array, fed: float = float(FED[k])) -> Array:
            now = drain.at(y[:3], y[3:4])
            over = OVER_RIM * np.maximum(y[:3] - RIMS, 0.0) ** 1.5
            came = fed + np.array([0.0, other, 0.0])
            return np.concatenate([(came - now.hoses - over) / AREA, now.change, over])

        span = (float(EDGES[k]), float(EDGES[k + 1]))
        state = solve_ivp(change, span, state, "Radau", rtol=1e-9, atol=1e-12).y[:, -1]
        ends.append(state)
    return ends


@pytest.mark.parametrize("other", [0.0, 1e-7])
def test_levels_spill_and_drain_are_those_of_a_fine_solution(other: float) -> None:
    made = group(other)
    for end, known in zip(EDGES[1:], fine(other), strict=True):
        ours = made.states(np.array([end]))[0]
        np.testing.assert_allclose(ours[:4], known[:4], rtol=0.0, atol=1e-6)
        np.testing.assert_allclose(ours[4:7], known[4:7], rtol=0.0, atol=1e-6)


def test_water_runs_back_into_the_lowest_tank_which_is_the_one_that_spills() -> None:
    told = {event.what: event for event in group().events}
    assert told["drain runs back"].where == "t2"
    assert told["spill begins"].where == "t2"
    assert told["drain full"].time < told["drain runs back"].time < told["spill begins"].time


@pytest.mark.parametrize("elsewhere", [False, True])
def test_a_group_neither_wins_nor_loses_water(elsewhere: bool) -> None:
    made = group(1e-7, elsewhere)
    rows = np.union1d(EDGES, np.linspace(0.0, EDGES[-1], 57))
    found = made.counted(rows)
    held = np.diff(made.standing(rows)) + sum(AREA * np.diff(one.level) for one in found)
    went = sum(one.spilled + one.sinks[1:].sum(0) for one in found)
    came = sum(one.fed + one.other for one in found)
    np.testing.assert_allclose(held + went, came, rtol=0.0, atol=1e-12)
    assert found[0].fed.sum() == pytest.approx(2e-6 * 7200.0, rel=1e-12)


def test_the_step_is_of_third_order() -> None:
    made = group()
    system = _System(made, 0)
    begin = np.concatenate([LIPS + np.array([0.01, 0.02, 0.005]), [0.0], np.zeros(6)])

    def after(count: int) -> Array:
        state = begin
        for _ in range(count):
            state, _ = _rosenbrock(system, state, system.slope(state), 40.0 / count)
        return state[:3]

    best = after(512)
    coarse, finer = np.abs(after(8) - best).max(), np.abs(after(16) - best).max()
    assert coarse / finer > 6.0
