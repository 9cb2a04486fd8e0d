"""A drain run written as a SWMM input file, so that anyone can open ours in that solver.

SWMM solves the full equations of varied flow, which our even-flow answer leaves out: drawdown before the
outfall, the step where a hose joins, waves. The file holds one run under one steady load; every tank's
hose is an inflow at its node.

Source: EPA SWMM 5 user manual, input file format (from memory).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tankwright.room.model import DrainRun
from tankwright.systems.drain import DrainCase

SMALLEST_SURFACE = 0.001
"""m2 of water surface at a node. SWMM's own default, 1.167 m2 (from memory), is made for manholes and would
store many times the water of a 50 mm pipe."""

DEEPEST = 20.0
"""m above the invert before water leaves a node: high enough that a surcharged node never floods."""

MINUTES = 30
SHORTEST = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class SwmmFile:
    """The text, and which name in it stands for which thing of ours.

    `conduits` are (index of our segment, name in the file), `nodes` (our node, name in the file). `left_out`
    says in sentences what the file does not hold.
    """

    text: str
    conduits: tuple[tuple[int, str], ...]
    nodes: tuple[tuple[str, str], ...]
    left_out: tuple[str, ...]


def swmm_input(run: DrainRun, case: DrainCase, *, outfall_height: float | None = None) -> str:
    """The run under one case as the text of a SWMM input file (litres a second, metres).

    `outfall_height` is the water level held at the outfall if that lies above the end of the run. See
    `swmm_file` for the index of names.

    Source: EPA SWMM 5 user manual, input file format (from memory).
    """
    return swmm_file(run, case, outfall_height=outfall_height).text


def swmm_file(run: DrainRun, case: DrainCase, *, outfall_height: float | None = None) -> SwmmFile:
    """The file with its index."""
    names, merged = _names(run)
    inflows = _inflows(case)
    per_name: dict[str, float] = {}
    for (_, name), inflow in zip(names, inflows, strict=True):
        per_name[name] = per_name.get(name, 0.0) + inflow
    heights: dict[str, float] = {}
    places: dict[str, tuple[float, float]] = {}
    for (_, name), node in zip(names, run.nodes, strict=True):
        heights[name] = min(heights.get(name, node.place[2]), node.place[2])
        places[name] = (node.place[0], node.place[1])
    conduits = tuple((i, f"C{i + 1}") for i in range(len(run.nodes) - 1) if names[i][1] != names[i + 1][1])
    left_out = ["the hoses and tanks: each is a steady inflow at its node"]
    if merged:
        left_out.append(f"{merged} pieces of no length: their ends are one node here, at the lower height")
    rows = _Rows(run=run, names=tuple(name for _, name in names), heights=heights, places=places)
    lines = rows.lines(case, per_name, conduits, outfall_height, left_out)
    return SwmmFile(text="\n".join(lines) + "\n", conduits=conduits, nodes=names, left_out=tuple(left_out))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rows:
    run: DrainRun
    names: tuple[str, ...]
    heights: dict[str, float]
    places: dict[str, tuple[float, float]]

    def lines(
        self,
        case: DrainCase,
        inflows: dict[str, float],
        conduits: tuple[tuple[int, str], ...],
        outfall_height: float | None,
        left_out: list[str],
    ) -> Iterator[str]:
        run, last = self.run, self.names[-1]
        yield "[TITLE]"
        yield _plain(f"drain {run.id}: {case.name}")
        yield from (f";; left out: {_plain(text)}" for text in left_out)
        yield ""
        yield "[OPTIONS]"
        yield from _options()
        yield ""
        yield "[JUNCTIONS]"
        yield ";;name invert_m deepest_m depth_at_start surcharge_depth ponded_area"
        for name, height in self.heights.items():
            if name != last:
                yield f"{name} {height:.9g} {DEEPEST:g} 0 0 0"
        yield ""
        yield "[OUTFALLS]"
        end = self.heights[last]
        if outfall_height is not None and outfall_height > end:
            yield f"{last} {end:.9g} FIXED {outfall_height:.9g} NO"
        else:
            yield f"{last} {end:.9g} FREE NO"
        yield ""
        yield "[CONDUITS]"
        yield ";;name from to length_m manning_n offset_in offset_out flow_at_start most_flow"
        for i, conduit in conduits:
            length = run.nodes[i + 1].chainage - run.nodes[i].chainage
            ends = f"{self.names[i]} {self.names[i + 1]}"
            yield f"{conduit} {ends} {length:.9g} {run.manning_n.value:.9g} 0 0 0 0"
        yield ""
        yield "[XSECTIONS]"
        for _, conduit in conduits:
            yield f"{conduit} CIRCULAR {run.bore.value:.9g} 0 0 0 1"
        yield ""
        yield "[INFLOWS]"
        yield ";;node what series type units_factor scale baseline_L_per_s"
        for name, inflow in inflows.items():
            if inflow > 0.0:
                yield f'{name} FLOW "" FLOW 1.0 1.0 {inflow * 1e3:.9g}'
        yield ""
        yield "[COORDINATES]"
        for name, (x, y) in self.places.items():
            yield f"{name} {x:.6g} {y:.6g}"
        yield ""
        yield "[REPORT]"
        yield "INPUT NO"
        yield "CONTROLS NO"
        yield "NODES ALL"
        yield "LINKS ALL"


def _options() -> Iterator[str]:
    yield "FLOW_UNITS LPS"
    yield "FLOW_ROUTING DYNWAVE"
    yield "LINK_OFFSETS DEPTH"
    yield "MIN_SLOPE 0"
    yield "ALLOW_PONDING NO"
    yield "START_DATE 01/01/2024"
    yield "START_TIME 00:00:00"
    yield "END_DATE 01/01/2024"
    yield f"END_TIME 00:{MINUTES}:00"
    yield "REPORT_START_DATE 01/01/2024"
    yield "REPORT_START_TIME 00:00:00"
    yield "REPORT_STEP 00:01:00"
    yield "ROUTING_STEP 0.25"
    yield "VARIABLE_STEP 0.75"
    yield "MINIMUM_STEP 0.005"
    yield "INERTIAL_DAMPING PARTIAL"
    yield "NORMAL_FLOW_LIMITED BOTH"
    yield "SURCHARGE_METHOD SLOT"
    yield f"MIN_SURFAREA {SMALLEST_SURFACE:g}"
    yield "MAX_TRIALS 20"
    yield "HEAD_TOLERANCE 0.00001"
    yield "THREADS 1"


def _names(run: DrainRun) -> tuple[tuple[tuple[str, str], ...], int]:
    """(our node, name in the file) for every node; nodes on one spot share a name. And how many pieces had
    no length."""
    names: list[tuple[str, str]] = []
    merged = 0
    for i, node in enumerate(run.nodes):
        if i and node.chainage - run.nodes[i - 1].chainage < SHORTEST:
            names.append((node.id, names[-1][1]))
            merged += 1
        else:
            names.append((node.id, f"N{i + 1}"))
    return tuple(names), merged


def _inflows(case: DrainCase) -> tuple[float, ...]:
    """What comes in at each node: what a segment carries more than the one above it."""
    flows = [segment.flow for segment in case.segments]
    above = [0.0, *flows[:-1]] if flows else []
    return (*(flow - before for flow, before in zip(flows, above, strict=True)), 0.0)


def _plain(text: str) -> str:
    """Free text made fit for one line of the file."""
    return "".join(c if c.isprintable() and c.isascii() else "?" for c in text)[:120]
