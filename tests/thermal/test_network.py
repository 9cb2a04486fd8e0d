"""Any small network of heat stores: against hand and against an integrator, and what always holds."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from tankwright.thermal.network import (
    Link,
    Store,
    ThermalNetwork,
    at_rest,
    conductances,
    network_mistakes,
    prepare,
)


def tank(conductance: float) -> ThermalNetwork:
    return ThermalNetwork(
        stores=(Store(id="water", capacity=250.1e3),),
        boundaries=("air",),
        links=(Link(start="water", end="air", conductance=conductance),),
    )


# 60 L at 26 °C in a room of 18 °C: the exponential worked by hand
@pytest.mark.parametrize(
    ("conductance", "hours", "left"),
    [
        (4.0, 6, 23.663), (4.0, 12, 22.009), (4.0, 24, 20.009),
        (7.0, 6, 22.371), (7.0, 12, 20.388), (7.0, 24, 18.713),
        (9.0, 6, 21.677), (9.0, 12, 19.690), (9.0, 24, 18.357),
    ],
)  # fmt: skip
def test_a_tank_cools_as_the_exponential_has_it(conductance: float, hours: int, left: float) -> None:
    ready = prepare(tank(conductance), hours * 3600.0)
    after = ready.step(np.array([26.0]), boundaries=np.array([18.0]), gains=np.zeros(1))
    assert after.end[0] == pytest.approx(left, abs=0.0006)


@st.composite
def networks(draw: st.DrawFn) -> tuple[ThermalNetwork, np.ndarray, np.ndarray, np.ndarray]:
    count = draw(st.integers(1, 5))
    size = st.floats(0.1, 100.0)
    capacities = [draw(st.sampled_from([0.0, 1e3, 3e4, 2e6])) for _ in range(count)]
    names = [f"s{i}" for i in range(count)]
    links = [Link(start="s0", end="out", conductance=draw(size))]
    links += [
        Link(start=names[draw(st.integers(0, i - 1))], end=names[i], conductance=draw(size))
        for i in range(1, count)
    ]
    links.append(Link(start=names[-1], end="ground", conductance=draw(size)))
    network = ThermalNetwork(
        stores=tuple(Store(id=n, capacity=c) for n, c in zip(names, capacities, strict=True)),
        boundaries=("out", "ground"),
        links=tuple(links),
    )
    temperature = st.floats(0.0, 40.0)
    before = np.array([draw(temperature) for _ in names])
    edges = np.array([draw(temperature) for _ in range(2)])
    gains = np.array([draw(st.floats(-500.0, 500.0)) for _ in names])
    return network, before, edges, gains


@settings(max_examples=60)
@given(networks(), st.sampled_from([1.0, 3600.0, 1e6]))
def test_heat_is_kept(
    drawn: tuple[ThermalNetwork, np.ndarray, np.ndarray, np.ndarray], length: float
) -> None:
    network, before, edges, gains = drawn
    after = prepare(network, length).step(before, boundaries=edges, gains=gains)
    capacity = np.array([s.capacity for s in network.stores])
    stored = capacity @ (after.end - before) / length
    scale = np.abs(gains).sum() + capacity.max() * np.abs(after.end - before).max() / length + 1e4
    assert stored + after.into_boundaries.sum() - gains.sum() == pytest.approx(0.0, abs=1e-11 * scale)


@settings(max_examples=30)
@given(networks())
def test_a_very_long_step_comes_to_rest(
    drawn: tuple[ThermalNetwork, np.ndarray, np.ndarray, np.ndarray],
) -> None:
    network, before, edges, gains = drawn
    after = prepare(network, 1e12).step(before, boundaries=edges, gains=gains)
    assert after.end == pytest.approx(at_rest(network, boundaries=edges, gains=gains), abs=1e-6)


@settings(max_examples=30)
@given(networks())
def test_two_short_steps_are_one_long_step(
    drawn: tuple[ThermalNetwork, np.ndarray, np.ndarray, np.ndarray],
) -> None:
    network, before, edges, gains = drawn
    short, long = (prepare(network, length) for length in (1800.0, 3600.0))
    half = short.step(before, boundaries=edges, gains=gains)
    whole = short.step(half.end, boundaries=edges, gains=gains)
    once = long.step(before, boundaries=edges, gains=gains)
    assert whole.end == pytest.approx(once.end, abs=1e-8)
    assert (half.mean + whole.mean) / 2 == pytest.approx(once.mean, abs=1e-8)


def test_a_step_agrees_with_an_integrator() -> None:
    network = ThermalNetwork(
        stores=(
            Store(id="air", capacity=6e4),
            Store(id="wall", capacity=3e6),
            Store(id="water", capacity=1e7),
        ),
        boundaries=("out",),
        links=(
            Link(start="air", end="wall", conductance=185.0),
            Link(start="air", end="water", conductance=240.0),
            Link(start="wall", end="out", conductance=24.0),
            Link(start="air", end="out", conductance=8.4),
        ),
    )
    before, edges, gains = np.array([20.0, 15.0, 26.0]), np.array([-5.0]), np.array([150.0, 100.0, 400.0])
    inner, outer = conductances(network)
    capacity = np.array([s.capacity for s in network.stores])
    solved = solve_ivp(
        lambda _, t: (outer @ edges + gains - inner @ t) / capacity,
        (0.0, 2 * 86400.0), before, method="LSODA", rtol=1e-10, atol=1e-10,
    )  # fmt: skip
    after = prepare(network, 2 * 86400.0).step(before, boundaries=edges, gains=gains)
    assert after.end == pytest.approx(solved.y[:, -1], abs=1e-6)


def test_mistakes_are_named_and_refused() -> None:
    wrong = ThermalNetwork(
        stores=(Store(id="a"), Store(id="a", capacity=-1.0)),
        links=(Link(start="a", end="b", conductance=-1.0),),
    )
    assert len(network_mistakes(wrong)) == 6
    with pytest.raises(ValueError, match="b, which is not there"):
        prepare(wrong, 1.0)
