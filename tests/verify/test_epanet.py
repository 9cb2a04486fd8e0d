"""Our flow solver beside EPANET, by way of the files we write for it."""

from __future__ import annotations

import csv
import random
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from tankwright.finding import Finding, Severity
from tankwright.networks.model import WATER_20, Fluid, Network, Node, Outlet, Pipe, Source, air_at
from tankwright.networks.solver import solve
from tankwright.verify.epanet import EPANET_FLOW_UNIT, epanet_file, epanet_input
from tankwright.verify.run_epanet import Comparison, EpanetRun, compare_with_epanet, run_epanet

PUBLISHED = Path(__file__).parent.parent / "published"
AGREED = 1e-6  # of the largest flow
KILOPASCAL_PER_METRE = 9.80665 * 0.9982
CUBIC_METRE_PER_HOUR = 1 / 3600


def compared(network: Network) -> Comparison:
    result = compare_with_epanet(network, solve(network))
    assert isinstance(result, Comparison), result
    return result


def rows(name: str) -> list[dict[str, str]]:
    with (PUBLISHED / name).open() as lines:
        next(lines)  # the source
        return list(csv.DictReader(lines))


def air_ring(taps: int, *, fluid: Fluid, seed: int = 1, source: Source | None = None) -> Network:
    """A ring of taps at depths drawn by lot, some too deep to flow."""
    chance = random.Random(seed)
    return Network(
        fluid=fluid,
        nodes=tuple(Node(id=f"n{i}") for i in range(taps)),
        pipes=tuple(
            Pipe(id=f"p{i}", start=f"n{i}", end=f"n{(i + 1) % taps}", length=0.4, inner_diameter=0.0158)
            for i in range(taps)
        ),
        outlets=tuple(
            Outlet(id=f"o{i}", node=f"n{i}", coefficient=1.2e-6, back_pressure=chance.uniform(1900.0, 4300.0))
            for i in range(taps)
        ),
        sources=(source or Source(id="pump", node="n0", fixed_pressure=3900.0),),
    )


UNPRESSED_AIR = Fluid(density=1.204, kinematic_viscosity=1.51e-5)


@pytest.mark.parametrize("taps", [3, 12, 50, 120])
def test_an_air_ring_flows_as_in_epanet_with_its_deep_taps_dry(taps: int) -> None:
    network = air_ring(taps, fluid=UNPRESSED_AIR)
    result = compared(network)
    assert result.share_of_largest_flow < AGREED
    assert result.compared == 2 * taps
    assert result.left_out == ()
    assert min(solve(network).outlet_flows.values()) < 1e-15


def test_density_of_a_gas_is_told_apart_from_the_comparison() -> None:
    result = compared(air_ring(20, fluid=air_at(293.15)))
    assert result.share_of_largest_flow < AGREED
    assert 1e-5 < result.density_share < 0.05
    assert any("density" in text for text in result.left_out)


@pytest.mark.parametrize("points", [2, 3, 5])
def test_a_pump_curve_works_at_the_same_point_in_epanet(points: int) -> None:
    shares = [i / (points - 1) for i in range(points)]
    curve = tuple((4500.0 * share, 1.2e-3 * (1 - share**2)) for share in shares)
    network = air_ring(30, fluid=UNPRESSED_AIR, source=Source(id="pump", node="n0", curve=curve))
    result = compared(network)
    assert result.share_of_largest_flow < AGREED
    assert result.compared == 61


def published_loops(name: str) -> Network:
    """A published network with Darcy-Weisbach pipes; each demand as an outlet that gives it at 30 m of head."""
    if name == "two loops":
        pipes = [
            (r["start"], r["end"], float(r["length_m"]), float(r["diameter_in"]) * 0.0254)
            for r in rows("two_loop_network.csv")
        ]
        nodes = [
            (r["node"], float(r["elevation_m"]), float(r["demand_m3_per_h"]))
            for r in rows("two_loop_nodes.csv")
        ]
        reservoir = 0.0  # its elevation is its head
    else:
        pipes = [(r["start"], r["end"], float(r["length_m"]), 1.016) for r in rows("hanoi_pipes.csv")]
        nodes = [(r["node"], 0.0, float(r["demand_m3_per_h"])) for r in rows("hanoi_nodes.csv")]
        reservoir = 100.0
    at_30_m = (30.0 * KILOPASCAL_PER_METRE * 1e3) ** 0.5
    return Network(
        fluid=WATER_20,
        nodes=tuple(Node(id=node, height=height) for node, height, _ in nodes),
        pipes=tuple(
            Pipe(
                id=f"p{i}", start=a, end=b, length=length, inner_diameter=bore, roughness=1e-4, minor_loss=0.5
            )
            for i, (a, b, length, bore) in enumerate(pipes)
        ),
        outlets=tuple(
            Outlet(id=f"d{node}", node=node, coefficient=demand * CUBIC_METRE_PER_HOUR / at_30_m)
            for node, _, demand in nodes
            if demand
        ),
        sources=(Source(id="r", node="1", fixed_pressure=reservoir * KILOPASCAL_PER_METRE * 1e3),),
    )


@pytest.mark.parametrize(("name", "pipes"), [("two loops", 8), ("Hanoi", 34)])
def test_a_published_looped_network_flows_as_in_epanet(name: str, pipes: int) -> None:
    network = published_loops(name)
    assert len(network.pipes) == pipes
    assert compared(network).share_of_largest_flow < AGREED


def feed_line(**outlet: float) -> Network:
    """A hose up a wall and along a shelf, ten outlets one after another."""
    heights = [0.2, *(1.2 + 0.02 * i for i in range(10))]
    return Network(
        fluid=WATER_20,
        nodes=tuple(Node(id=f"n{i}", height=height) for i, height in enumerate(heights)),
        pipes=tuple(
            Pipe(
                id=f"p{i}", start=f"n{i}", end=f"n{i + 1}", length=0.9, inner_diameter=0.0136, minor_loss=0.3
            )
            for i in range(10)
        ),
        outlets=tuple(Outlet(id=f"o{i}", node=f"n{i + 1}", **outlet) for i in range(10)),  # type: ignore[arg-type]
        sources=(Source(id="mains", node="n0", fixed_pressure=1.2e5),),
    )


@pytest.mark.parametrize("exponent", [0.5, 0.7, 1.0])
def test_a_feed_line_with_heights_flows_as_in_epanet(exponent: float) -> None:
    network = feed_line(coefficient=1e-6 / 1e5**exponent, exponent=exponent)
    assert compared(network).share_of_largest_flow < AGREED


@pytest.mark.parametrize("minimum", [5e4, 2e5])
def test_compensating_outlets_flow_as_in_epanet_full_and_starved(minimum: float) -> None:
    network = feed_line(compensating_flow=1.1e-6, minimum_pressure=minimum)
    result = compared(network)
    assert result.share_of_largest_flow < AGREED
    assert result.compared == 20
    full = max(solve(network).outlet_flows.values()) > 1.1e-6 * (1 - 1e-9)
    assert full == (minimum < 1e5)


def test_the_control_valves_of_the_file_hold_the_flow_of_compensating_outlets() -> None:
    network = feed_line(compensating_flow=1.1e-6, minimum_pressure=5e4)
    file = epanet_file(network, "valves")
    run = run_epanet(file.text)
    assert isinstance(run, EpanetRun)
    for link in file.outlet_links.values():
        # EPANET's valves let through about 1e-5 L/min for each kPa more than they need, here 60 kPa
        assert run.link_flows[link] == pytest.approx(1.1e-6, abs=60 * 1e-5 / 60_000 * 1.1)


def test_outlets_of_exponents_epanet_cannot_mix_are_named() -> None:
    network = feed_line(coefficient=1e-8, exponent=0.5)
    outlets = list(network.outlets)
    outlets[2] = replace(outlets[2], exponent=0.7, coefficient=1e-9)
    outlets[5] = replace(outlets[5], exponent=1.0, coefficient=1e-11)
    outlets[6] = replace(outlets[6], exponent=1.0, coefficient=1e-11)
    file = epanet_file(replace(network, outlets=tuple(outlets)), "mixed")
    assert "EMITTER EXPONENT 1\n" in file.text
    assert [text for text in file.left_out if '"o2"' in text]
    assert set(file.outlet_links) == {"o0", "o1", "o3", "o4", "o7", "o8", "o9"}
    assert set(file.outlet_nodes) == {"o5", "o6"}


def test_closed_and_unreached_things_are_named_in_the_file() -> None:
    network = feed_line(coefficient=1e-8)
    pipes = tuple(replace(p, closed=p.id == "p6") for p in network.pipes)
    outlets = (replace(network.outlets[0], closed=True), *network.outlets[1:])
    text = epanet_input(replace(network, pipes=pipes, outlets=outlets), "partly shut")
    assert '; pipe "p6" is closed' in text
    assert '; outlet "o0" is shut' in text
    assert '; node "n9" is reached by no source' in text
    assert compared(replace(network, pipes=pipes, outlets=outlets)).share_of_largest_flow < AGREED


def test_names_and_titles_of_any_kind_make_a_file_epanet_reads() -> None:
    network = feed_line(coefficient=1e-8)
    pipes = tuple(replace(p, id=f'Röhre; [END]\n{p.id} "x" {"long" * 20}') for p in network.pipes)
    run = run_epanet(epanet_input(replace(network, pipes=pipes), "Keller\n[PIPES]\nund; so"))
    assert isinstance(run, EpanetRun)


def test_a_litre_a_minute_of_the_file_is_epanets_own() -> None:
    """EPANET's rounded 1699.0 L/min per cubic foot a second is undone: ours is longer by 6e-6."""
    assert pytest.approx(1e-3 / 60, rel=1e-5) == EPANET_FLOW_UNIT
    assert pytest.approx(6.36e-6, rel=1e-2) == EPANET_FLOW_UNIT / (1e-3 / 60) - 1


def test_without_epanet_the_comparison_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "epanet", None)
    network = feed_line(coefficient=1e-8)
    result = compare_with_epanet(network, solve(network))
    assert isinstance(result, Finding)
    assert result.severity is Severity.NOT_COMPUTED
    assert "pip install owa-epanet" in result.remedy


def test_a_file_epanet_refuses_is_a_finding() -> None:
    result = run_epanet("[PIPES]\n what is this\n[END]\n")
    assert isinstance(result, Finding)
    assert "refused" in result.text


def test_a_network_without_an_answer_is_not_compared() -> None:
    network = replace(feed_line(coefficient=1e-8), sources=())
    assert isinstance(compare_with_epanet(network, solve(network)), Finding)
