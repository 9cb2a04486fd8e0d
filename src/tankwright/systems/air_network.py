"""From an air run of the room to a network the solver takes, and the small laws at its edges.

A tap and its tube are one pipe: the tap is a loss at the tube's start. The diffuser is an outlet at the
tube's end, under the water's pressure and that of the check valve. Taps open to the room are outlets at the
ring.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from tankwright.networks.model import Network, Node, Outlet, Pipe, Source, air_at
from tankwright.networks.solution import Solution
from tankwright.physics.constants import STANDARD_GRAVITY, WATER_DENSITY
from tankwright.physics.orifices import SHARP_ORIFICE_COEFFICIENT
from tankwright.physics.pipes import pipe_pressure_drop
from tankwright.room.model import AirRun, PumpPlace, TapPlace
from tankwright.systems.run_network import LEAST_LENGTH, nodes_and_pipes
from tankwright.units import CubicMetrePerSecond, Dimensionless, Metre, Pascal

ROOM_AIR = air_at(293.15)
"""The air in the pipes, taken at 20 °C; 10 K more or less change a flow by 2 %."""

RELIEF_RISE = 0.1
"""A relief valve passes a pump's whole free flow at this share over its opening pressure.
Common practice, no source."""

LEAST_LOSS: Pascal = 1.0
"""A diffuser said to lose nothing still loses this, so that its law has a slope."""

LEAST_OPENING: Dimensionless = 1e-3
"""A tap said to be open, however little, is worked out at least this far open: finer no tap can be turned, and a
tap said to be 0 open is shut and no part of the network. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TapLaw:
    """Everything on the way of one tank's air, in SI. `full_loss` is the fully open tap's K on the tube's bore,
    `stands_open` the share of its open area that the plan leaves open.
    """

    tap: TapPlace
    tank: str
    wanted: CubicMetrePerSecond
    full_loss: Dimensionless
    tube_bore: Metre
    tube_length: Metre
    depth_pressure: Pascal
    valve_pressure: Pascal
    diffuser_loss: Pascal
    stands_open: Dimensionless = 1.0

    @property
    def standing(self) -> Pascal:
        """What the ring must hold before the first bubble."""
        return self.depth_pressure + self.valve_pressure

    def flow_in(self, solution: Solution) -> CubicMetrePerSecond:
        """What the tank gets in a solution: nothing where the ring does not overcome what stands against it,
        whatever rounding leaves on a blocked outlet.
        """
        ring = solution.node_pressures.get(self.tap.node, math.nan)
        return max(0.0, solution.outlet_flows.get(self.tap.id, 0.0)) if ring > self.standing else 0.0

    def diffuser_drop(self, flow: CubicMetrePerSecond) -> Pascal:
        """Loss of the diffuser beyond its depth: with the square of flow through the one stated point."""
        return self.diffuser_loss * (flow / self.wanted) ** 2

    def tube_drop(self, flow: CubicMetrePerSecond, roughness: Metre) -> Pascal:
        """Loss of the tube at a flow of free air, the air as dense as it is before the diffuser."""
        end = self.standing + self.diffuser_drop(flow)
        return as_gauge(as_free(end) + self._tube_free(flow, roughness)) - end

    def needed(self, roughness: Metre) -> Pascal:
        """Ring pressure at which the fully open tap just gives the flow wanted."""
        q = self.wanted
        before = as_free(self.standing + self.diffuser_drop(q)) + self._tube_free(q, roughness)
        return as_gauge(before + self._tap_free(q))

    def opening(self, ring_pressure: Pascal, roughness: Metre) -> Dimensionless:
        """Share of the tap's full way that passes the wanted flow from a ring pressure; 1 when even that is
        too little. The loss of an orifice goes with the inverse square of its area.
        """
        q = self.wanted
        behind = as_free(self.standing + self.diffuser_drop(q)) + self._tube_free(q, roughness)
        left = as_free(ring_pressure) - behind
        if left <= 0.0:
            return 1.0
        return min(1.0, math.sqrt(self._tap_free(q) / left))

    def _tube_free(self, flow: CubicMetrePerSecond, roughness: Metre) -> Pascal:
        return pipe_pressure_drop(
            flow=flow,
            inner_diameter=self.tube_bore,
            length=self.tube_length,
            roughness=roughness,
            density=ROOM_AIR.density,
            kinematic_viscosity=ROOM_AIR.kinematic_viscosity,
        )

    def _tap_free(self, flow: CubicMetrePerSecond) -> Pascal:
        area = math.pi / 4.0 * self.tube_bore**2
        return 0.5 * ROOM_AIR.density * self.full_loss * (flow / area) ** 2


def as_free(pressure: Pascal) -> Pascal:
    """A gauge pressure as the drop it stands for if the air stayed as thin as in the room: p + p^2 / 2 P.

    Differences of it follow the laws of a liquid at the free flow (isothermal gas, kinetic term left out).

    >>> round(as_free(5000.0))
    5123
    """
    return pressure + pressure**2 / (2.0 * ROOM_AIR.ambient_pressure)


def as_gauge(free: Pascal) -> Pascal:
    """The gauge pressure of which `as_free` gives `free`.

    >>> round(as_gauge(as_free(5000.0)))
    5000
    """
    return 2.0 * free / (1.0 + math.sqrt(1.0 + 2.0 * free / ROOM_AIR.ambient_pressure))


def orifice_coefficient(bore: Metre) -> float:
    """Flow through a tap open to the room over the root of its pressure, m3/s per Pa^0.5.

    Source: sharp orifice, as `tankwright.physics.orifices.orifice_flow`, expansion left out (below 1 % to 2
    kPa).

    >>> round(orifice_coefficient(0.001) * 1000**0.5 * 60_000, 2)  # 1 mm at 1 kPa, L/min
    1.19
    """
    return SHARP_ORIFICE_COEFFICIENT * math.pi / 4.0 * bore**2 * math.sqrt(2.0 / ROOM_AIR.density)


def tap_laws(run: AirRun, valve_pressure: Pascal, least_wanted: CubicMetrePerSecond) -> tuple[TapLaw, ...]:
    """The laws of every open tap that has a tank; what the room leaves open is left as a plain open tube."""
    laws = []
    for tap in run.taps:
        if tap.tank is None or not tap.open:
            continue
        bore = tap.tube_bore.value if tap.tube_bore else tap.bore.value
        wanted = tap.flow_wanted.value if tap.flow_wanted else 0.0
        loss = tap.diffuser_loss.value if tap.diffuser_loss else 0.0
        laws.append(
            TapLaw(
                tap=tap,
                tank=tap.tank,
                wanted=max(wanted, least_wanted),
                full_loss=(bore / tap.bore.value) ** 4 / SHARP_ORIFICE_COEFFICIENT**2,
                tube_bore=bore,
                tube_length=max(LEAST_LENGTH, tap.tube_length.value if tap.tube_length else 0.0),
                depth_pressure=WATER_DENSITY * STANDARD_GRAVITY * max(0.0, tap.water_depth),
                valve_pressure=valve_pressure if tap.check_valve else 0.0,
                diffuser_loss=max(LEAST_LOSS, loss),
                stands_open=max(LEAST_OPENING, tap.opening.value) if tap.opening else 1.0,
            )
        )
    return tuple(laws)


def pump_sources(run: AirRun, pumps: Iterable[PumpPlace]) -> tuple[Source, ...]:
    """The running pumps, all at the run's inlet."""
    return tuple(Source(id=pump.id, node=run.inlet, curve=pump.curve) for pump in pumps)


def relief_outlet(run: AirRun, pumps: Iterable[PumpPlace]) -> tuple[Outlet, ...]:
    """The relief valve as an outlet that opens above its pressure; none when the run has none."""
    if run.relief is None:
        return ()
    free = sum(max(flow for _, flow in pump.curve) for pump in pumps)
    return (
        Outlet(
            id="relief",
            node=run.inlet,
            coefficient=free / math.sqrt(RELIEF_RISE * run.relief.value),
            minimum_pressure=run.relief.value,
        ),
    )


def air_network(
    run: AirRun,
    pumps: tuple[PumpPlace, ...],
    laws: Iterable[TapLaw],
    openings: Mapping[str, float] | None = None,
) -> Network:
    """The run with every tank's tap as far open as `openings` says (by tap; fully when not named), or as it stands
    in the plan when none are given.

    Nodes: the run's, and one for each diffuser, named as its tap. With `openings` given, spare taps are shut.
    The loss of an orifice goes with the inverse square of its area.
    """
    nodes, pipes = nodes_and_pipes(run)
    outlets: list[Outlet] = []
    for law in laws:
        opening = law.stands_open if openings is None else openings.get(law.tap.id, 1.0)
        nodes += (Node(id=f"diffuser {law.tap.id}"),)
        pipes += (
            Pipe(
                id=f"tube {law.tap.id}",
                start=law.tap.node,
                end=f"diffuser {law.tap.id}",
                length=law.tube_length,
                inner_diameter=law.tube_bore,
                roughness=run.roughness.value,
                minor_loss=law.full_loss / opening**2,
                check_valve=law.tap.check_valve,
            ),
        )
        outlets.append(
            Outlet(
                id=law.tap.id,
                node=f"diffuser {law.tap.id}",
                coefficient=law.wanted / math.sqrt(law.diffuser_loss),
                back_pressure=law.depth_pressure,
                minimum_pressure=law.valve_pressure,
            )
        )
    if openings is None:
        outlets += spare_outlets(run, only_open=True)
    return Network(
        fluid=ROOM_AIR,
        nodes=nodes,
        pipes=pipes,
        outlets=(*outlets, *relief_outlet(run, pumps)),
        sources=pump_sources(run, pumps),
    )


def spare_outlets(run: AirRun, *, only_open: bool) -> tuple[Outlet, ...]:
    """Taps without a tank as holes to the room."""
    return tuple(
        Outlet(id=tap.id, node=tap.node, coefficient=orifice_coefficient(tap.bore.value))
        for tap in run.taps
        if tap.tank is None and (tap.open or not only_open)
    )


def target_network(
    run: AirRun,
    laws: Iterable[TapLaw],
    *,
    sources: tuple[Source, ...],
    extra: Iterable[Outlet] = (),
) -> Network:
    """The run with spare taps shut and every tank's tap as an outlet that takes just what is wanted, as
    long as the ring gives it: one solve then shows the ring pressure at which the taps are to be set.
    """
    nodes, pipes = nodes_and_pipes(run)
    outlets = tuple(
        Outlet(
            id=law.tap.id,
            node=law.tap.node,
            compensating_flow=law.wanted,
            back_pressure=law.standing,
            minimum_pressure=law.needed(run.roughness.value) - law.standing,
        )
        for law in laws
    )
    outlets += tuple(extra)
    kept, merged = merge_series(nodes, pipes, {outlet.node for outlet in outlets} | {s.node for s in sources})
    return Network(fluid=ROOM_AIR, nodes=kept, pipes=merged, outlets=outlets, sources=sources)


def merge_series(
    nodes: tuple[Node, ...], pipes: tuple[Pipe, ...], busy: set[str]
) -> tuple[tuple[Node, ...], tuple[Pipe, ...]]:
    """Pipes of one bore in a row, with nothing between them, joined into one: the same flows, fewer unknowns.

    >>> a, b, c = Node(id="a"), Node(id="b"), Node(id="c")
    >>> one = Pipe(id="1", start="a", end="b", length=1.0, inner_diameter=0.02)
    >>> two = Pipe(id="2", start="c", end="b", length=2.0, inner_diameter=0.02)
    >>> merge_series((a, b, c), (one, two), {"a", "c"})[1][0].length
    3.0
    """
    at: dict[str, set[str]] = {node.id: set() for node in nodes}
    left = {pipe.id: pipe for pipe in pipes}
    for pipe in pipes:
        at.setdefault(pipe.start, set()).add(pipe.id)
        at.setdefault(pipe.end, set()).add(pipe.id)
    gone: set[str] = set()
    for node in nodes:
        if node.id in busy or len(at[node.id]) != 2:
            continue
        first, second = (left[name] for name in sorted(at[node.id]))
        ends = [p.end if p.start == node.id else p.start for p in (first, second)]
        alike = first.inner_diameter == second.inner_diameter and first.roughness == second.roughness
        if ends[0] == ends[1] or not alike or first.check_valve or second.check_valve:
            continue
        joined = Pipe(
            id=first.id,
            start=ends[0],
            end=ends[1],
            length=first.length + second.length,
            inner_diameter=first.inner_diameter,
            roughness=first.roughness,
            minor_loss=first.minor_loss + second.minor_loss,
        )
        at[ends[1]].discard(second.id)
        at[ends[1]].add(first.id)
        del left[second.id]
        left[first.id] = joined
        gone.add(node.id)
    return tuple(node for node in nodes if node.id not in gone), tuple(left.values())


def curve_flow(curve: tuple[tuple[float, float], ...], pressure: Pascal) -> CubicMetrePerSecond:
    """Flow of a pump at a pressure: straight lines between its points, the end lines carried on, never
    below zero.

    >>> curve_flow(((0.0, 2e-3), (10e3, 1e-3)), 15e3)
    0.0005
    """
    points = sorted(curve)
    at = 0
    while at < len(points) - 2 and pressure > points[at + 1][0]:
        at += 1
    (p0, q0), (p1, q1) = points[at], points[at + 1]
    return max(0.0, q0 + (q1 - q0) * (pressure - p0) / (p1 - p0))


def curve_end(curve: tuple[tuple[float, float], ...]) -> Pascal:
    """Pressure at which a pump's curve, its last line carried on, reaches no flow."""
    (p0, q0), (p1, q1) = sorted(curve)[-2:]
    return p1 + q1 * (p1 - p0) / (q0 - q1)
