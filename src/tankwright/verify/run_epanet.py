"""EPANET run on a network of ours, and the differences. Needs the `verify` extra."""

from __future__ import annotations

import math
import tempfile
import warnings
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from tankwright.finding import Finding, Severity
from tankwright.networks.mistakes import mistakes
from tankwright.networks.model import Network, Outlet
from tankwright.networks.solution import Solution
from tankwright.networks.solver import solve
from tankwright.units import CubicMetrePerSecond, Dimensionless, Pascal
from tankwright.verify.epanet import EPANET_FLOW_UNIT, EpanetFile, epanet_file

DRY_FLOW = 1e-13
"""m3/s (6e-9 L/min): an outlet that gives less counts as dry."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EpanetRun:
    """What EPANET answered, under the names of the file: flows in m3/s, heads above zero in m of the
    file."""

    link_flows: Mapping[str, CubicMetrePerSecond]
    emitter_flows: Mapping[str, CubicMetrePerSecond]
    node_heads: Mapping[str, float]
    version: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """Ours beside EPANET. `largest_difference` is in m3/s, over all pipes, outlets and sources.

    `density_share` is how far (share of the largest flow) our answer with the density of a gas changing
    along the network lies from the one compared, which holds it constant; 0 for a liquid.
    """

    largest_difference: CubicMetrePerSecond
    share_of_largest_flow: Dimensionless
    where: str
    compared: int
    density_share: Dimensionless
    left_out: tuple[str, ...]
    version: str


def run_epanet(text: str) -> EpanetRun | Finding:
    """Run EPANET on the text of an input file. A missing extra or a refusal is a finding, not an
    exception."""
    try:
        from epanet import toolkit  # noqa: PLC0415 - an optional extra
    except ImportError as error:
        return _cannot(f"EPANET is not installed here ({error})", "install it with: pip install owa-epanet")
    with tempfile.TemporaryDirectory() as folder:
        inside = Path(folder)
        (inside / "network.inp").write_text(text, encoding="utf-8")
        project = toolkit.createproject()
        try:
            names = [str(inside / f"network.{ending}") for ending in ("inp", "rpt", "out")]
            toolkit.open(project, *names)
            # its accuracy option stops at 1e-5; the largest allowed change of a flow goes on below that
            toolkit.setoption(project, toolkit.FLOWCHANGE, 1e-9)
            toolkit.openH(project)
            toolkit.initH(project, 0)
            with warnings.catch_warnings():
                warnings.simplefilter(
                    "ignore"
                )  # "pump runs beyond its curve" and the like: answers all the same
                toolkit.runH(project)
            return _answer(toolkit, project)
        except Exception as error:
            return _cannot(
                f"EPANET refused the network: {error}", "open the file in EPANET to see the line it means"
            )
        finally:
            toolkit.deleteproject(project)


def compare_with_epanet(network: Network, solution: Solution) -> Comparison | Finding:
    """The largest difference between a solution of ours and EPANET on the same network.

    EPANET keeps emitters from sucking with a steep slope that leaks up to 1e-5 of the flow. So the one-way
    outlets we find dry are shut in its file, and it must find too little pressure for them by itself. In the
    same way compensating outlets we find at full flow are demands there, and it must find pressure enough.
    """
    wrong = mistakes(network)
    if wrong or not solution.converged:
        return _cannot(wrong[0] if wrong else "our own solver has no answer to compare", "mend that first")
    ours, density_share = solution, 0.0
    if network.fluid.compressible:
        flat = replace(
            network,
            fluid=replace(network.fluid, compressible=False),
            nodes=tuple(replace(node, height=0.0) for node in network.nodes),
        )
        ours = solve(flat)
        if not ours.converged:
            return _cannot("our own solver has no answer at constant density", "compare a simpler network")
        largest = max(map(abs, _flows(ours).values()), default=0.0)
        changes = [abs(q - _flows(solution)[name]) for name, q in _flows(ours).items()]
        density_share = max(changes, default=0.0) / largest if largest else 0.0
    dry = {o.id for o in network.outlets if o.one_way and abs(ours.outlet_flows[o.id]) < DRY_FLOW}
    shut = replace(
        network, outlets=tuple(replace(o, closed=o.closed or o.id in dry) for o in network.outlets)
    )
    full = frozenset(o.id for o in network.outlets if _runs_full(o, ours))
    file = epanet_file(shut, "comparison", at_full_flow=full)
    theirs = run_epanet(file.text)
    if isinstance(theirs, Finding):
        return theirs
    pairs = _pairs(file, ours, theirs)
    for outlet in network.outlets:
        if outlet.id in dry | full and not outlet.closed and outlet.node in file.node_names:
            head = theirs.node_heads[file.node_names[outlet.node]] - file.heights[outlet.node]
            would = _would_flow(outlet, head * file.head_to_pressure)
            pairs.append((f"outlet {outlet.id}", ours.outlet_flows[outlet.id], would))
    worst = max(pairs, key=lambda pair: abs(pair[1] - pair[2]), default=("nothing", 0.0, 0.0))
    difference = abs(worst[1] - worst[2])
    largest = max((max(abs(pair[1]), abs(pair[2])) for pair in pairs), default=0.0)
    return Comparison(
        largest_difference=difference,
        share_of_largest_flow=difference / largest if largest else 0.0,
        where=worst[0],
        compared=len(pairs),
        density_share=density_share,
        left_out=tuple(
            text for text in file.left_out if not any(f'outlet "{name}" ' in text for name in dry)
        ),
        version=theirs.version,
    )


def _answer(toolkit: object, project: object) -> EpanetRun:
    tk: Any = toolkit
    links = range(1, tk.getcount(project, tk.LINKCOUNT) + 1)
    nodes = range(1, tk.getcount(project, tk.NODECOUNT) + 1)
    version = int(tk.getversion())
    return EpanetRun(
        link_flows={
            tk.getlinkid(project, i): tk.getlinkvalue(project, i, tk.FLOW) * EPANET_FLOW_UNIT for i in links
        },
        emitter_flows={
            tk.getnodeid(project, i): tk.getnodevalue(project, i, tk.EMITTERFLOW) * EPANET_FLOW_UNIT
            for i in nodes
        },
        node_heads={tk.getnodeid(project, i): tk.getnodevalue(project, i, tk.HEAD) for i in nodes},
        version=f"{version // 10_000}.{version // 100 % 100}.{version % 100}",
    )


def _pairs(file: EpanetFile, ours: Solution, theirs: EpanetRun) -> list[tuple[str, float, float]]:
    """Each compared flow: its name, ours, theirs."""
    return [
        *((f"pipe {k}", ours.pipe_flows[k], theirs.link_flows[v]) for k, v in file.pipe_links.items()),
        *((f"outlet {k}", ours.outlet_flows[k], theirs.link_flows[v]) for k, v in file.outlet_links.items()),
        *(
            (f"outlet {k}", ours.outlet_flows[k], theirs.emitter_flows[v])
            for k, v in file.outlet_nodes.items()
        ),
        *((f"source {k}", ours.source_flows[k], theirs.link_flows[v]) for k, v in file.source_links.items()),
    ]


def _runs_full(outlet: Outlet, ours: Solution) -> bool:
    if outlet.compensating_flow is None or outlet.closed:
        return False
    return ours.outlet_flows[outlet.id] >= outlet.compensating_flow * (1.0 - 1e-9) > 0.0


def _would_flow(outlet: Outlet, pressure: Pascal) -> CubicMetrePerSecond:
    """What an outlet would give at a node pressure, by its law."""
    excess = pressure - outlet.back_pressure
    if outlet.compensating_flow is None:
        return outlet.coefficient * math.pow(max(0.0, excess - outlet.minimum_pressure), outlet.exponent)
    return outlet.compensating_flow * math.sqrt(min(1.0, max(0.0, excess / outlet.minimum_pressure)))


def _flows(solution: Solution) -> dict[tuple[str, str], float]:
    return {
        **{("pipe", k): v for k, v in solution.pipe_flows.items()},
        **{("outlet", k): v for k, v in solution.outlet_flows.items()},
    }


def _cannot(text: str, remedy: str) -> Finding:
    return Finding(
        code="VERIFY-01",
        severity=Severity.NOT_COMPUTED,
        subject="comparison with EPANET",
        text=text,
        remedy=remedy,
    )
