"""A solved pipe network for machines: every node, pipe, outlet and source with its pressure or flow."""

from __future__ import annotations

from tankwright.networks.model import Network
from tankwright.networks.solution import Solution
from tankwright.units import convert


def network_json(network: Network, solution: Solution) -> dict[str, object]:
    """A solved network: nodes with pressures, pipes and outlets with flows, sources."""
    unreached = set(solution.unreached_nodes)
    return {
        "status": solution.status.value,
        "iterations": solution.iterations,
        "residual_share": solution.residual,
        "imbalance_l_per_min": flow_l_per_min(solution.imbalance),
        "fluid": {
            "density_kg_per_m3": network.fluid.density,
            "kinematic_viscosity_m2_per_s": network.fluid.kinematic_viscosity,
            "compressible": network.fluid.compressible,
        },
        "nodes": [
            {
                "id": node.id,
                "height_m": node.height,
                "pressure_kpa": None
                if node.id in unreached
                else pressure_kpa(solution.node_pressures.get(node.id)),
            }
            for node in network.nodes
        ],
        "pipes": [
            {
                "id": pipe.id,
                "from": pipe.start,
                "to": pipe.end,
                "length_m": pipe.length,
                "inner_diameter_mm": convert(pipe.inner_diameter, "m", "mm"),
                "minor_loss": pipe.minor_loss,
                "check_valve": pipe.check_valve,
                "flow_l_per_min": flow_l_per_min(solution.pipe_flows.get(pipe.id)),
                "velocity_m_per_s": solution.pipe_velocities.get(pipe.id),
            }
            for pipe in network.pipes
        ],
        "outlets": [
            {
                "id": outlet.id,
                "node": outlet.node,
                "flow_l_per_min": flow_l_per_min(solution.outlet_flows.get(outlet.id)),
                "coefficient_m3_per_s_per_pa_to_exponent": outlet.coefficient,
                "exponent": outlet.exponent,
                "compensating_flow_l_per_min": flow_l_per_min(outlet.compensating_flow),
                "back_pressure_kpa": pressure_kpa(outlet.back_pressure),
                "minimum_pressure_kpa": pressure_kpa(outlet.minimum_pressure),
            }
            for outlet in network.outlets
        ],
        "sources": [
            {
                "id": source.id,
                "node": source.node,
                "pressure_kpa": pressure_kpa(solution.source_pressures.get(source.id)),
                "flow_l_per_min": flow_l_per_min(solution.source_flows.get(source.id)),
                "extrapolated": source.id in solution.extrapolated_sources,
            }
            for source in network.sources
        ],
    }


def flow_l_per_min(value: float | None) -> float | None:
    """A flow in L/min, None for what is not there."""
    return None if value is None else convert(value, "m**3/s", "L/min")


def pressure_kpa(value: float | None) -> float | None:
    """A pressure in kPa, None for what is not there."""
    return None if value is None else convert(value, "Pa", "kPa")
