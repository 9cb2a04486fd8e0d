"""Chains of fittings that join one end to another, from what can be bought.

A state is the end that is open; a step puts a fitting on it, with a stub of pipe or hose between where both take one,
and opens the fitting's other end. Chains run straight unless turns are allowed: the cheapest way must not use an elbow
as a coupling, nor neck below the bore the flow needs.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping
from itertools import islice
from statistics import median
from typing import TYPE_CHECKING, Final

from tankwright.takeoff.chain_model import Chain, Chains, Limits, Link, Stub, Used
from tankwright.takeoff.chain_steps import Board, Join, Step, join
from tankwright.takeoff.chain_why import left_out, why_none
from tankwright.takeoff.end_model import End, insertion_depth
from tankwright.takeoff.fittings import BETWEEN, Fitting

if TYPE_CHECKING:
    import networkx as nx

ALTERNATIVES: Final = 5
_TRIED: Final = 300  # chains looked at for one question; what follows in a long list is only longer or dearer
_CARE: Final = 0.5  # what a joint that needs care counts beside one that just fits
_ODD: Final = 1e-3  # so that of chains with as many joints the commonest fittings come first
_JOINT_SHARE: Final = 0.1  # of the middle price: what a joint counts for where prices decide
_START: Final = 0
_GOAL: Final = 1
_FIRST: Final = 2  # the number of the first other node


def find_chains(
    fittings: tuple[Fitting, ...],
    start: End,
    goal: End,
    limits: Limits | None = None,
    *,
    cheapest: bool = False,
    prices: Mapping[str, float] | None = None,
    alternatives: int = ALTERNATIVES,
) -> Chains:
    """The chains from one end to another, best first: fewest joints, or cheapest.

    The cheapest goes by `prices`, where they are given, and uses only fittings that have one; else by `effort`. Stubs
    are not priced. `limits` hold for every chain. Where there is none, a finding says why.

    >>> from tankwright.takeoff.ends import read_end
    >>> from tankwright.takeoff.fittings import all_fittings
    >>> found = find_chains(all_fittings(), read_end("50 mm ISO pipe"), read_end("40 mm ISO socket"))
    >>> found.best.words, found.best.joints
    ('reducing coupling 50 x 40 mm ISO, then a stub of 40 mm ISO pipe, 52 mm long', 3)
    """
    limits = limits or Limits()
    usable = tuple(one for one in fittings if _usable(one, limits, prices if cheapest else None))
    missing = left_out(fittings, limits, prices if cheapest else None)
    search = _Search(Board(usable), start, goal, limits, cheapest, prices)
    found = search.best(alternatives + 1)
    if found:
        return Chains(start=start, goal=goal, best=found[0], alternatives=tuple(found[1:]), findings=missing)
    dead_end, why = why_none(fittings, start, goal, limits)
    return Chains(start=start, goal=goal, dead_end=dead_end, findings=(why, *missing))


def _usable(fitting: Fitting, limits: Limits, prices: Mapping[str, float] | None) -> bool:
    return (
        fitting.kind in BETWEEN
        and (limits.turns > 0 or not fitting.turn)
        and (not limits.bore or (fitting.bore is not None and fitting.bore >= limits.bore))
        and (prices is None or fitting.key in prices)
    )


class _Search:
    """One question as a graph of numbered nodes: states (an open end, and how many fittings have turned so far) and the
    steps between them, each a node of its own so that two fittings between the same states are two ways."""

    def __init__(
        self,
        board: Board,
        start: End,
        goal: End,
        limits: Limits,
        cheapest: bool,
        prices: Mapping[str, float] | None,
    ) -> None:
        self.board, self.start, self.goal, self.limits = board, start, goal, limits
        self.cheapest = cheapest
        self.prices = prices if cheapest else None
        self.joint_price = _JOINT_SHARE * median(prices.values()) if cheapest and prices else 1.0
        self.states: dict[tuple[End, int], int] = {(start, 0): _START}
        self.ends: dict[int, End] = {_START: start}
        self.steps: dict[int, Step] = {}

    def best(self, count: int) -> list[Chain]:
        """So many chains, best first; a chain that only adds fittings to a better one is not told."""
        import networkx as nx  # noqa: PLC0415 - a plain check must not pay for loading it

        graph = self._graph()
        if _GOAL not in graph or _START not in graph:
            return []
        kept: list[Chain] = []
        for way in islice(nx.shortest_simple_paths(graph, _START, _GOAL, weight="weight"), _TRIED):
            chain = self._chain(way)
            if chain.joints > self.limits.joints or self._repeats(way) or _adds_to(chain, kept):
                continue
            kept.append(chain)
            if len(kept) == count or not chain.fittings:
                break  # whatever has fittings only adds to a chain that has none
        return kept or [self._chain(nx.shortest_path(graph, _START, _GOAL, weight="joints"))]

    def _graph(self) -> nx.DiGraph[int]:
        """Every state within reach of the start, every step between them, every last joint to the goal; then only what
        lies on a way short enough."""
        import networkx as nx  # noqa: PLC0415 - a plain check must not pay for loading it

        graph: nx.DiGraph[int] = nx.DiGraph()
        most, reached = self.limits.joints, {_START: 0}
        queue = deque([(self.start, 0)])
        while queue:
            end, turns = queue.popleft()
            here = self.states[end, turns]
            made = join(end, 0.0, self.goal, 0.0)  # stubs get their length in the finished chain
            if made is not None:
                graph.add_edge(here, _GOAL, weight=self._join_weight(made), joints=len(made.links))
            for step in self.board.steps(end):
                after = turns + bool(step.used.fitting.turn)
                joints = reached[here] + len(step.join.links)
                if after > self.limits.turns or joints >= most:
                    continue
                there = self._state(step.opens, after)
                via = _FIRST + len(self.states) + len(self.steps)
                self.steps[via] = step
                graph.add_edge(here, via, weight=self._weight(step), joints=len(step.join.links))
                graph.add_edge(via, there, weight=0.0, joints=0)
                if joints < reached.get(there, most):
                    reached[there] = joints
                    queue.append((step.opens, after))
        if _GOAL not in graph:
            return graph
        left = nx.single_source_dijkstra_path_length(graph.reverse(copy=False), _GOAL, weight="joints")
        graph.remove_nodes_from(
            [node for node in graph if node not in left or reached.get(node, 0) + left[node] > most]
        )
        return graph

    def _state(self, end: End, turns: int) -> int:
        number = self.states.setdefault((end, turns), _FIRST + len(self.states) + len(self.steps))
        self.ends[number] = end
        return number

    def _repeats(self, way: list[int]) -> bool:
        """True of a way that opens the same end twice, once before and once after a turn."""
        ends = [self.ends[node] for node in way if node in self.ends]
        return len(set(ends)) < len(ends)

    def _join_weight(self, made: Join) -> float:
        care = sum(_CARE for link in made.links if link.mating.kind == "care")
        if self.cheapest:
            return self.joint_price * (len(made.links) + care)
        return len(made.links) + _ODD * care

    def _weight(self, step: Step) -> float:
        fitting = step.used.fitting
        if self.prices is not None:
            return self._join_weight(step.join) + self.prices[fitting.key]
        return self._join_weight(step.join) + fitting.effort * (1.0 if self.cheapest else _ODD)

    def _chain(self, way: list[int]) -> Chain:
        """The chain of a path, its stubs as long as the sockets of these very fittings are deep."""
        open_end, depth = self.start, insertion_depth(self.start)
        parts: list[Used | Stub] = []
        links: list[Link] = []
        used = [self.steps[node].used for node in way if node in self.steps]
        for one in used:
            made = _joined(open_end, depth, one.fitting.ends[one.enter], one.fitting.depths[one.enter])
            parts += [made.stub, one] if made.stub else [one]
            links += made.links
            open_end, depth = one.fitting.ends[one.leave], one.fitting.depths[one.leave]
        made = _joined(open_end, depth, self.goal, insertion_depth(self.goal))
        parts += [made.stub] if made.stub else []
        bores = [one.fitting.bore for one in used if one.fitting.bore is not None]
        prices = [self.prices[one.fitting.key] for one in used] if self.prices is not None else []
        return Chain(
            start=self.start,
            goal=self.goal,
            steps=tuple(parts),
            links=(*links, *made.links),
            bore=min(bores, default=None),
            turns=sum(bool(one.fitting.turn) for one in used),
            effort=sum(one.fitting.effort for one in used),
            price=sum(prices) if self.prices is not None else None,
        )


def _joined(a: End, depth_a: float, b: End, depth_b: float) -> Join:
    made = join(a, depth_a, b, depth_b)
    assert made is not None, f"{a.words} and {b.words} were joined a moment ago"
    return made


def _adds_to(chain: Chain, kept: list[Chain]) -> bool:
    fittings = set(chain.fittings)
    return any(set(one.fittings) <= fittings for one in kept)
