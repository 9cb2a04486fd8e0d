"""The laws of single links, beside `fluids`, our own physics, and their own derivatives."""

from __future__ import annotations

import math

import fluids
import pytest

from tankwright.networks import laws
from tankwright.networks.compiled import _outlet_numbers, _pipe_numbers
from tankwright.networks.model import WATER_20, Outlet, Pipe
from tankwright.physics.pipes import friction_factor

PIPE = Pipe(id="p", start="a", end="b", length=3.0, inner_diameter=0.0209, roughness=5e-5, minor_loss=2.5)
LAW = _pipe_numbers(PIPE, WATER_20)
EVERY_REGIME = [1e-3, 10, 500, 1999.9, 2000.1, 2500, 3000, 3999.9, 4000.1, 1e4, 1e5, 3e6]


def flow_at(reynolds: float) -> float:
    return reynolds * math.pi * PIPE.inner_diameter * WATER_20.kinematic_viscosity / 4.0


def factor_at(reynolds: float) -> float:
    q = flow_at(reynolds)
    velocity = 4.0 * q / (math.pi * PIPE.inner_diameter**2)
    dynamic = 0.5 * WATER_20.density * velocity**2
    return (laws.pipe_loss(q, LAW, 0)[0] / dynamic - PIPE.minor_loss) * PIPE.inner_diameter / PIPE.length


@pytest.mark.parametrize("reynolds", [10, 475, 1000, 1999])
def test_friction_is_64_over_reynolds_below_2000(reynolds: float) -> None:
    assert factor_at(reynolds) == pytest.approx(64.0 / reynolds, rel=1e-9)


@pytest.mark.parametrize("reynolds", [4001, 1e4, 1e5, 1e6, 1e7])
def test_friction_is_swamee_and_jain_above_4000(reynolds: float) -> None:
    theirs = fluids.friction.Swamee_Jain_1976(reynolds, PIPE.roughness / PIPE.inner_diameter)
    # 6.97 as printed there is (3.7 / 2 ...)-rounded from 5.74, so the two forms part in the fourth figure
    assert factor_at(reynolds) == pytest.approx(theirs, rel=2e-3)
    exact = 0.25 / math.log10(PIPE.roughness / PIPE.inner_diameter / 3.7 + 5.74 / reynolds**0.9) ** 2
    assert factor_at(reynolds) == pytest.approx(exact, rel=1e-9)


@pytest.mark.parametrize("reynolds", EVERY_REGIME)
def test_friction_agrees_with_the_formula_shelf(reynolds: float) -> None:
    shelf = friction_factor(reynolds, PIPE.roughness / PIPE.inner_diameter)
    assert factor_at(reynolds) == pytest.approx(shelf, rel=1e-7)  # minor losses cancel in the last digits


@pytest.mark.parametrize("sign", [1.0, -1.0])
@pytest.mark.parametrize("reynolds", EVERY_REGIME)
def test_the_derivative_of_a_pipe_is_analytic_in_every_regime(reynolds: float, sign: float) -> None:
    q = sign * flow_at(reynolds)
    step = 1e-5 * abs(q)
    if abs(reynolds - 2000) < 1 or abs(reynolds - 4000) < 1:
        step = 1e-6 * abs(q)  # stay on one side of the seam
    above, below = laws.pipe_loss(q + step, LAW, 0)[0], laws.pipe_loss(q - step, LAW, 0)[0]
    assert laws.pipe_loss(q, LAW, 0)[1] == pytest.approx((above - below) / (2 * step), rel=1e-6)


@pytest.mark.parametrize("seam", [2000.0, 4000.0])
def test_loss_and_derivative_have_no_jump_at_the_seams_of_the_regimes(seam: float) -> None:
    below = laws.pipe_loss(flow_at(seam * (1 - 1e-12)), LAW, 0)
    above = laws.pipe_loss(flow_at(seam * (1 + 1e-12)), LAW, 0)
    assert above[0] == pytest.approx(below[0], rel=1e-9)
    assert above[1] == pytest.approx(below[1], rel=1e-9)


@pytest.mark.parametrize("reynolds", EVERY_REGIME)
def test_a_pipe_read_backwards_gives_its_flow_back(reynolds: float) -> None:
    q = flow_at(reynolds)
    for guess in (0.0, q / 7, 20 * q):
        assert laws.pipe_flow(laws.pipe_loss(q, LAW, 0)[0], LAW, 0, guess) == pytest.approx(q, rel=1e-12)
        assert laws.pipe_flow(-laws.pipe_loss(q, LAW, 0)[0], LAW, 0, guess) == pytest.approx(-q, rel=1e-12)


def test_no_loss_means_no_flow() -> None:
    assert laws.pipe_flow(0.0, LAW, 0, 0.0) == 0.0
    assert laws.pipe_loss(0.0, LAW, 0)[0] == 0.0


def outlet_flow(outlet: Outlet, pressure: float, *, squeeze: float = 0.0) -> tuple[float, float]:
    kind = (0 if outlet.one_way else 1) + (0 if outlet.compensating_flow is None else 2)
    head = pressure + squeeze * pressure**2
    q, _, gain, _ = laws.outlet_line(kind, _outlet_numbers(outlet), 0, 1.0, squeeze, 0.0, 0.0, head, 0)
    return q, gain


@pytest.mark.parametrize("exponent", [0.2, 0.5, 0.7, 1.0, 1.6])
def test_an_outlet_obeys_its_power_law(exponent: float) -> None:
    outlet = Outlet(id="o", node="a", coefficient=2e-7, exponent=exponent, back_pressure=700.0)
    assert outlet_flow(outlet, 1700.0)[0] == pytest.approx(2e-7 * 1000.0**exponent, rel=1e-12)


def test_a_one_way_outlet_lets_nothing_in_and_the_other_kind_does() -> None:
    closed = Outlet(id="o", node="a", coefficient=2e-7, back_pressure=700.0)
    both = Outlet(id="o", node="a", coefficient=2e-7, back_pressure=700.0, one_way=False)
    assert outlet_flow(closed, 600.0)[0] == 0.0
    assert outlet_flow(both, 600.0)[0] == pytest.approx(-2e-6, rel=1e-12)


def test_an_outlet_with_a_minimum_pressure_opens_only_above_it() -> None:
    outlet = Outlet(id="o", node="a", coefficient=2e-7, minimum_pressure=500.0)
    assert outlet_flow(outlet, 499.0)[0] == 0.0
    assert outlet_flow(outlet, 600.0)[0] == pytest.approx(2e-6, rel=1e-12)


@pytest.mark.parametrize(
    ("share", "flow"),
    [(-0.1, 0.0), (0.04, 0.2), (0.25, 0.5), (0.98, math.sqrt(0.98)), (1.02, 1.0), (9.0, 1.0)],
)
def test_a_compensating_outlet_holds_its_flow_above_the_minimum_pressure(share: float, flow: float) -> None:
    outlet = Outlet(id="o", node="a", compensating_flow=1e-6, minimum_pressure=1e5, back_pressure=300.0)
    assert outlet_flow(outlet, 300.0 + share * 1e5)[0] == pytest.approx(flow * 1e-6, rel=1e-9, abs=1e-18)


@pytest.mark.parametrize("squeeze", [0.0, 0.5 / 101_325.0])
@pytest.mark.parametrize("excess", [5e-4, 10.0, 900.0, 985.0, 1000.0, 1015.0])
@pytest.mark.parametrize("kind", ["power", "compensating"])
def test_the_gain_of_an_outlet_is_its_derivative(kind: str, excess: float, squeeze: float) -> None:
    common = {"id": "o", "node": "a", "back_pressure": 2000.0}
    power = Outlet(coefficient=2e-7, exponent=0.7, **common)  # type: ignore[arg-type]
    steady = Outlet(compensating_flow=1e-6, minimum_pressure=1000.0, **common)  # type: ignore[arg-type]
    outlet = power if kind == "power" else steady
    pressure, step = 2000.0 + excess, (1e-5 if excess > 1.0 else 0.3) * excess
    (high, _), (low, _) = (outlet_flow(outlet, pressure + s, squeeze=squeeze) for s in (step, -step))
    per_head = (high - low) / (2 * step) / (1 + 2 * squeeze * pressure)
    assert outlet_flow(outlet, pressure, squeeze=squeeze)[1] == pytest.approx(per_head, rel=1e-5, abs=1e-15)


def test_a_source_runs_straight_between_its_points_and_on_beyond_but_never_backwards() -> None:
    pressures, flows = [0.0, 1000.0, 3000.0], [5e-4, 4e-4, 1e-4]

    def inflow(pressure: float) -> float:
        return laws.source_line(pressures, flows, 0, 3, 0.0, 0.0, pressure, 0)[0]

    assert inflow(500.0) == pytest.approx(4.5e-4)
    assert inflow(2000.0) == pytest.approx(2.5e-4)
    assert inflow(-1000.0) == pytest.approx(6e-4)
    assert inflow(3500.0) == pytest.approx(2.5e-5)
    assert inflow(4000.0) == 0.0
    assert inflow(1e6) == 0.0


def test_pressure_and_potential_of_a_gas_are_inverse() -> None:
    squeeze = 0.5 / 101_325.0
    for pressure in (-5e4, -1.0, 0.0, 3.0, 4e3, 5e4, 3e5):
        assert laws.pressure_of(pressure + squeeze * pressure**2, squeeze) == pytest.approx(
            pressure, rel=1e-12
        )
