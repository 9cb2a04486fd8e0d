"""A network written as an EPANET input file, so that anyone can open ours in that solver.

EPANET works in feet with g = 32.2 ft/s2 and a few rounded constants. The numbers written here are set so that
its friction, gravity and outlets come out as ours: a head of 1 m in the file is density * 32.2 ft/s2 * 1 m of
pressure, heights are scaled to match, flows carry its own rounded litres per cubic foot.

A gas is written at its density at ambient pressure, as EPANET knows no other.

Source: EPANET 2.2 and 2.3 user manuals and the constants of its public-domain source (from memory).
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from tankwright.networks.compiled import CompiledNetwork, compile_network
from tankwright.networks.model import Network, Outlet, Pipe, Source
from tankwright.physics.constants import STANDARD_GRAVITY

METRES_PER_FOOT = 0.3048
EPANET_GRAVITY = 32.2 * METRES_PER_FOOT
EPANET_FLOW_UNIT = METRES_PER_FOOT**3 / 1699.0
"""What EPANET takes for a litre a minute, m3/s: a cubic foot a second over its rounded 1699.0."""

_MINOR_SCALE = (8.0 / (math.pi**2 * 32.2)) / 0.02517
"""EPANET's rounded 0.02517 in the minor loss, undone."""


@dataclass(slots=True)
class EpanetFile:
    """The text, and which line of it stands for which thing of ours.

    `pipe_links`, `outlet_links`, `source_links` name links, `outlet_nodes` and `node_names` nodes of the
    file. `left_out` says in sentences what EPANET cannot hold.
    """

    text: str = ""
    head_to_pressure: float = 1.0
    pipe_links: dict[str, str] = field(default_factory=dict)
    outlet_links: dict[str, str] = field(default_factory=dict)
    outlet_nodes: dict[str, str] = field(default_factory=dict)
    source_links: dict[str, str] = field(default_factory=dict)
    node_names: dict[str, str] = field(default_factory=dict)
    heights: dict[str, float] = field(default_factory=dict)
    left_out: tuple[str, ...] = ()


def epanet_input(network: Network, title: str) -> str:
    """The network as the text of an EPANET input file (flows L/min, heads m, Darcy-Weisbach).

    Outlets become emitters; compensating ones a flow control valve to a reservoir; what EPANET cannot hold is
    listed in comments at the top. Raises ValueError or KeyError for a network with mistakes.

    Source: EPANET 2.2 user manual, input file format (from memory).

    >>> from tankwright.networks.model import WATER_20, Node
    >>> two = Network(fluid=WATER_20, nodes=(Node(id="a"), Node(id="b")),
    ...               pipes=(Pipe(id="p", start="a", end="b", length=1.0, inner_diameter=0.02),),
    ...               outlets=(Outlet(id="o", node="b", coefficient=1e-6),),
    ...               sources=(Source(id="s", node="a", fixed_pressure=1e4),))
    >>> "[EMITTERS]" in epanet_input(two, "two nodes")
    True
    """
    return epanet_file(network, title).text


def epanet_file(
    network: Network, title: str, *, name_backflow: bool = True, at_full_flow: frozenset[str] = frozenset()
) -> EpanetFile:
    """The file with its index. `name_backflow` False leaves out the one option EPANET 2.2 does not know.

    Compensating outlets named in `at_full_flow` are written as fixed demands instead of valves.
    """
    return _Writer(network, compile_network(network), title, name_backflow, at_full_flow).write()


class _Writer:
    def __init__(
        self,
        network: Network,
        compiled: CompiledNetwork,
        title: str,
        name_backflow: bool,
        at_full_flow: frozenset[str],
    ) -> None:
        self.network = network
        self.compiled = compiled
        self.title = title
        self.name_backflow = name_backflow
        self.at_full_flow = at_full_flow
        self.demands: list[str] = []
        fluid = network.fluid
        self.per_head = fluid.density * EPANET_GRAVITY
        self.file = EpanetFile(head_to_pressure=self.per_head)
        self.lift = 0.0 if fluid.compressible else STANDARD_GRAVITY / EPANET_GRAVITY
        self.height = {node.id: node.height * self.lift for node in network.nodes}
        self.reservoirs: list[str] = []
        self.pipes: list[str] = []
        self.valves: list[str] = []
        self.pumps: list[str] = []
        self.curves: list[str] = []
        self.emitters: list[str] = []
        self.levels: dict[str, float] = {}  # junction -> elevation
        self.notes: list[str] = []

    def write(self) -> EpanetFile:
        fixed = {s.node: s for s in self.network.sources if s.fixed_pressure is not None}
        for i, name in enumerate(self.compiled.order, start=1):
            self.file.node_names[name] = f"n{i}"
            source = fixed.get(name)
            if source is None:
                self.levels[f"n{i}"] = self.height[name]
            else:
                head = self.height[name] + (source.fixed_pressure or 0.0) / self.per_head
                self.reservoirs.append(f" n{i} {_text(head)} ; {_plain(name)}")
        for i, pipe in enumerate(self.compiled.pipes, start=1):
            self._pipe(i, pipe)
        self._outlets()
        for i, source in enumerate(self.compiled.sources, start=1):
            self._pump(i, source)
        self.file.left_out = tuple(self._left_out()) + tuple(self.notes)
        self.file.heights = self.height
        self.file.text = "\n".join(self._lines()) + "\n"
        return self.file

    def _pipe(self, i: int, pipe: Pipe) -> None:
        self.file.pipe_links[pipe.id] = f"p{i}"
        self._tube(f"p{i}", pipe, self.file.node_names[pipe.start], self.file.node_names[pipe.end])

    def _tube(self, link: str, pipe: Pipe, start: str, end: str) -> None:
        numbers = (
            pipe.length,
            pipe.inner_diameter * 1e3,
            max(pipe.roughness * 1e3, 1e-9),  # zero is refused
            pipe.minor_loss * _MINOR_SCALE,
        )
        status = "CV" if pipe.check_valve else "OPEN"
        self.pipes.append(
            f" {link} {start} {end} {' '.join(map(_text, numbers))} {status} ; {_plain(pipe.id)}"
        )

    def _outlets(self) -> None:
        ordinary = [o for o in self.compiled.outlets if o.compensating_flow is None]
        exponents = Counter(o.exponent for o in ordinary)
        # a law with exponent 0.5 can also be written as a fitting, so another exponent has the first claim
        claims = {x: n for x, n in exponents.items() if x != 0.5} or dict(exponents)
        self.exponent = max(claims, key=lambda x: claims[x], default=0.5)
        mixed = len({o.one_way for o in ordinary}) == 2
        self.backflow = any(not o.one_way for o in ordinary)
        taken: set[str] = set()
        for i, outlet in enumerate(self.compiled.outlets, start=1):
            node = self.file.node_names[outlet.node]
            if outlet.id in self.at_full_flow:
                at = node if node in self.levels else self._side_junction(f"o{i}", node, check=False)
                flow = (outlet.compensating_flow or 0.0) / EPANET_FLOW_UNIT
                self.demands.append(f" {at} {_text(flow)} ; {_plain(outlet.id)}")
            elif outlet.compensating_flow is not None:
                self._control_valve(i, outlet, node)
            elif outlet.exponent == self.exponent:
                own = node in taken or node not in self.levels or (mixed and outlet.one_way)
                at = self._side_junction(f"o{i}", node, check=mixed and outlet.one_way) if own else node
                taken.add(at)
                self.levels[at] = self._outlet_level(outlet)
                size = outlet.coefficient * self.per_head**outlet.exponent / EPANET_FLOW_UNIT
                self.emitters.append(f" {at} {_text(size)} ; {_plain(outlet.id)}")
                self.file.outlet_nodes[outlet.id] = at
            elif outlet.exponent == 0.5:
                self._fitting(i, outlet, node)
            else:
                self.notes.append(
                    f'outlet "{outlet.id}" has exponent {outlet.exponent:g}; EPANET has one exponent for all,'
                    f" here {self.exponent:g}, so it is left out"
                )

    def _outlet_level(self, outlet: Outlet) -> float:
        threshold = outlet.back_pressure
        if outlet.compensating_flow is None:
            threshold += outlet.minimum_pressure
        return self.height[outlet.node] + threshold / self.per_head

    def _side_junction(self, name: str, node: str, *, check: bool) -> str:
        self.levels[name] = 0.0
        wide = Pipe(id=name, start="", end="", length=1e-3, inner_diameter=0.2, check_valve=check)
        self._tube(f"x{name}", wide, node, name)
        return name

    def _fitting(self, i: int, outlet: Outlet, node: str) -> None:
        """An outlet of exponent 0.5 as a short pipe whose minor loss is the outlet, into a reservoir."""
        area = outlet.coefficient * math.sqrt(0.5 * self.network.fluid.density * 1000.0)  # for K = 1000
        bore = math.sqrt(4.0 * area / math.pi)
        self.reservoirs.append(f" o{i} {_text(self._outlet_level(outlet))}")
        short = Pipe(
            id=outlet.id,
            start="",
            end="",
            length=1e-4 * bore,
            inner_diameter=bore,
            minor_loss=1000.0,
            check_valve=outlet.one_way,
        )
        self._tube(f"v{i}", short, node, f"o{i}")
        self.file.outlet_links[outlet.id] = f"v{i}"

    def _control_valve(self, i: int, outlet: Outlet, node: str) -> None:
        """A compensating outlet as a flow control valve, open below its minimum pressure."""
        if node not in self.levels:  # a valve may not touch a reservoir
            node = self._side_junction(f"z{i}", node, check=False)
        flow = outlet.compensating_flow or 0.0
        area = flow * math.sqrt(5.0 * self.network.fluid.density / outlet.minimum_pressure)  # for K = 10
        bore = math.sqrt(4.0 * area / math.pi)
        self.reservoirs.append(f" o{i} {_text(self._outlet_level(outlet))}")
        self.levels[f"y{i}"] = self._outlet_level(outlet)
        end = Pipe(
            id=outlet.id, start="", end="", length=1e-3, inner_diameter=0.2, check_valve=outlet.one_way
        )
        self._tube(f"w{i}", end, f"y{i}", f"o{i}")
        setting = flow / EPANET_FLOW_UNIT
        loss = 10.0 * _MINOR_SCALE
        self.valves.append(
            f" v{i} {node} y{i} {_text(bore * 1e3)} FCV {_text(setting)} {_text(loss)} ; {_plain(outlet.id)}"
        )
        self.file.outlet_links[outlet.id] = f"v{i}"

    def _pump(self, i: int, source: Source) -> None:
        node = self.file.node_names[source.node]
        self.reservoirs.append(f" s{i} {_text(self.height[source.node])}")
        points = sorted(source.curve or (), key=lambda point: point[1])
        (p0, q0), (p1, q1) = points[:2]
        if q0 > 0.0 and p0 > p1 and q1 > q0:
            # beyond its last pressure our curve goes on straight to no flow; EPANET would shut the pump there
            points.insert(0, (p0 + q0 * (p0 - p1) / (q1 - q0), 0.0))
        if len(points) == 3:
            # three points would be taken for a parabola: a fourth on the line keeps it straight
            (p0, q0), (p1, q1) = points[0], points[1]
            points.insert(1, (0.5 * (p0 + p1), 0.5 * (q0 + q1)))
        for pressure, flow in points:
            head = pressure / self.per_head
            self.curves.append(f" c{i} {_text(flow / EPANET_FLOW_UNIT)} {_text(head)}")
        self.pumps.append(f" s{i}p s{i} {node} HEAD c{i} ; {_plain(source.id)}")
        self.file.source_links[source.id] = f"s{i}p"

    def _left_out(self) -> Iterator[str]:
        if self.network.fluid.compressible:
            yield "the gas is written at its density at ambient pressure; EPANET cannot let density change"
        if self.valves:
            yield "the rounded corner of compensating outlets is sharp here (2 % of their minimum pressure)"
            yield "EPANET's control valves let some 1e-5 L/min through for each kPa more than they need"
        if any(" CV " in row for row in self.pipes):
            yield "EPANET lets up to about 0.17 L/min (its own flow tolerance) run back through a check valve"
        if not self.name_backflow and any(o.one_way for o in self.compiled.outlets):
            yield "emitters let water in where our one-way outlets do not"
        for name in self.compiled.unreached_nodes:
            yield f'node "{name}" is reached by no source'
        active = {outlet.id for outlet in self.compiled.outlets}
        for outlet in self.network.outlets:
            if outlet.id not in active:
                yield f'outlet "{outlet.id}" is shut or reached by no source'
        running = {pipe.id for pipe in self.compiled.pipes}
        for pipe in self.network.pipes:
            if pipe.id not in running:
                yield f'pipe "{pipe.id}" is closed or reached by no source'

    def _lines(self) -> Iterator[str]:
        yield "[TITLE]"
        yield _plain(self.title)
        yield f"; 1 m of head here is {self.per_head:.6g} Pa of pressure, as EPANET's own gravity has it"
        for text in self.file.left_out:
            yield f"; {_plain(text)}"
        yield "\n[JUNCTIONS]\n;id elevation_m"
        names = {short: name for name, short in self.file.node_names.items()}
        for name, level in self.levels.items():
            yield f" {name} {_text(level)} ; {_plain(names.get(name, ''))}"
        for heading, rows in (
            ("[RESERVOIRS]\n;id head_m", self.reservoirs),
            ("[PIPES]\n;id from to length_m bore_mm roughness_mm minor_loss status", self.pipes),
            ("[VALVES]\n;id from to bore_mm type setting minor_loss", self.valves),
            ("[PUMPS]", self.pumps),
            ("[CURVES]\n;id flow_L_min head_m", self.curves),
            ("[DEMANDS]\n;node demand_L_min", self.demands),
            ("[EMITTERS]\n;node coefficient", self.emitters),
        ):
            if rows:
                yield f"\n{heading}"
                yield from rows
        yield "\n[OPTIONS]"
        yield " UNITS LPM\n HEADLOSS D-W\n TRIALS 200\n ACCURACY 0.00001"
        yield f" VISCOSITY {_text(self.network.fluid.kinematic_viscosity)}"
        yield f" EMITTER EXPONENT {_text(self.exponent)}"
        if self.name_backflow and not self.backflow and self.emitters:
            yield " BACKFLOW ALLOWED NO"
        yield "\n[TIMES]\n DURATION 0\n\n[REPORT]\n STATUS NO\n SUMMARY NO\n\n[END]"


def _text(number: float) -> str:
    return f"{number:.16g}"


def _plain(text: str) -> str:
    """Free text made fit for one line of the file."""
    return "".join(c if c.isprintable() else " " for c in text)[:120]
