"""Levels along one run: anchors from print and from SWMM, and what holds between them."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankwright.physics.ranges import OutsideValidRange
from tankwright.systems.drain_levels import add_up, colebrook_depth, segment_states, sloped, water_levels

from .drain_rooms import LITRE_PER_MINUTE, make_run

FREE = float("-inf")


def straight(**keys):
    run = make_run(keys.pop("count", 4), **keys)
    return sloped(run, FREE)


def test_the_six_node_drain_stands_as_deep_as_swmm_says():
    # SWMM 5.2, six nodes, 40 mm, 1 %, n 0.009, four inflows of 0.1 L/s: 22.73 mm in the last reach
    states = segment_states(straight(count=4), add_up((1e-4, 1e-4, 1e-4, 1e-4, 0.0)))
    assert round(states[-1].even_depth * 1000, 2) == 22.73


def test_a_drain_of_sixty_tanks_stands_as_deep_as_swmm_says():
    # SWMM 5.2, 52.5 mm, 1 %, n 0.009, 0.9 L/s: 31.54 mm; even flow by Manning 31.52 mm
    pipe = straight(count=1, bore=0.0525)
    (state,) = segment_states(pipe, (0.9e-3,))
    assert round(state.even_depth * 1000, 2) == 31.52
    assert state.even_depth * 1000 == pytest.approx(31.54, abs=0.03)  # 0.02 mm between SWMM and even flow


def test_full_bore_capacity_of_the_forty_millimetre_drain():
    # 0.648 L/s full, computed beside SWMM's example
    assert round(straight().full[0] * 1000, 3) == 0.648


# half full, L/min; n 0.009 / 0.011 / Colebrook and White with 0.06 mm; computed beside the sources
CAPACITIES = [
    (0.0360, 0.005, 10.4, 8.5),
    (0.0360, 0.020, 20.8, 17.0),
    (0.0409, 0.010, 20.6, 16.9),
    (0.0466, 0.0165, 37.5, 30.7),
    (0.0525, 0.010, 40.2, 32.9),
    (0.0525, 0.025, 63.5, 51.9),
]


@pytest.mark.parametrize(("bore", "fall", "clean", "design"), CAPACITIES)
def test_half_full_capacity_is_half_of_full(bore, fall, clean, design):
    for manning_n, litres in ((0.009, clean), (0.011, design)):
        pipe = straight(count=1, bore=bore, fall=fall, manning_n=manning_n)
        assert round(0.5 * pipe.full[0] * 60000, 1) == pytest.approx(litres, abs=0.051)
        (state,) = segment_states(pipe, (0.5 * pipe.full[0],))
        assert state.share == pytest.approx(0.5, abs=1e-6)


@pytest.mark.parametrize(
    ("bore", "fall", "litres"), [(0.0466, 0.01, 29.7), (0.0525, 0.02, 59.5), (0.036, 0.025, 24.4)]
)
def test_colebrook_stands_half_full_at_its_own_capacity(bore, fall, litres):
    # Colebrook and White, 0.06 mm, half full, L/min; printed to 0.1, which is worth 0.3 % of the depth
    depth = colebrook_depth(flow=litres * LITRE_PER_MINUTE, bore=bore, slope=fall)
    assert depth / bore == pytest.approx(0.5, abs=0.002)


def test_colebrook_says_nothing_of_a_trickle_or_an_overfull_pipe():
    assert colebrook_depth(flow=1e-7, bore=0.05, slope=0.01) is None
    assert colebrook_depth(flow=1e-2, bore=0.05, slope=0.01) is None
    assert colebrook_depth(flow=1e-4, bore=0.05, slope=-0.01) is None


inflows = st.lists(st.floats(0.0, 2e-4), min_size=4, max_size=4)


@given(inflows)
def test_flow_adds_up_towards_the_outfall(into):
    flows = add_up((*into, 0.0))
    assert all(later >= earlier for earlier, later in pairwise(flows))
    assert flows[-1] == pytest.approx(sum(into))


@settings(max_examples=60)
@given(inflows, st.floats(1.0, 3.0))
def test_more_flow_never_stands_lower(into, factor):
    pipe = straight()
    low = water_levels(pipe, *_with_depths(pipe, add_up((*into, 0.0))))
    high = water_levels(pipe, *_with_depths(pipe, add_up([flow * factor for flow in (*into, 0.0)])))
    assert all(b >= a - 1e-9 for a, b in zip(low, high, strict=True))


@settings(max_examples=60)
@given(inflows, st.floats(1.1, 4.0))
def test_more_fall_never_stands_deeper(into, factor):
    flows = add_up((*into, 0.0))
    flat, steep = straight(fall=0.008), straight(fall=0.008 * factor)
    for a, b in zip(segment_states(flat, flows), segment_states(steep, flows), strict=True):
        assert (b.share if b.share is not None else 1.0) <= (a.share if a.share is not None else 1.0) + 1e-9


def test_a_drowned_run_loses_mannings_slope_of_the_full_pipe():
    pipe = straight(count=1, spacing=10.0)
    flow = 2.0 * pipe.full[0]
    (state,) = segment_states(pipe, (flow,))
    assert state.surcharged
    assert state.depth is None
    assert state.level_start == pytest.approx(pipe.inverts[1] + 0.040 + 4.0 * 0.01 * 10.0)


def test_water_stands_back_behind_a_rising_piece():
    run = make_run(2)
    lifted = run.nodes[1].place[2]
    nodes = (replace(run.nodes[0], place=(0.0, 0.35, lifted - 0.02)), *run.nodes[1:])
    pipe = sloped(replace(run, nodes=nodes), FREE)
    states = segment_states(pipe, (1e-5, 1e-5))
    assert states[0].slope < 0
    assert states[0].even_depth is None
    assert states[0].depth >= 0.02  # the pool up to the higher lower end
    assert states[0].level_start >= states[1].level_start


def test_an_outfall_held_high_drowns_the_run_below_its_level():
    run = make_run(4)
    pipe = sloped(run, run.nodes[0].place[2] + 0.10)
    levels = water_levels(pipe, (0.0,) * 4, (0.0,) * 4)
    assert all(level == pytest.approx(run.nodes[0].place[2] + 0.10) for level in levels)


def test_a_brim_full_bound_lies_above_the_true_levels():
    pipe = straight()
    flows, depths = _with_depths(pipe, add_up((1e-4, 1e-4, 1e-4, 1e-4, 0.0)))
    exact, bound = water_levels(pipe, flows, depths), water_levels(pipe, flows)
    assert all(b >= a for a, b in zip(exact, bound, strict=True))


def test_a_bore_no_formula_takes_is_refused():
    with pytest.raises(OutsideValidRange):
        sloped(make_run(2, bore=0.001), FREE)


def test_nodes_on_one_spot_are_a_joint_that_costs_nothing():
    pipe = straight(count=3, spacing=0.0)
    assert pipe.lengths == (0.0, 0.0, 0.0)
    states = segment_states(pipe, (1e-4, 1e-4, 1e-4))
    assert not any(state.surcharged for state in states)


def _with_depths(pipe, flows):
    return flows, [pipe.even_depth(i, flow) for i, flow in enumerate(flows)]
