"""Chains of fittings that join one end to another, from what can be bought.

A state is the end that is open; a step puts a fitting on it, with a stub of pipe or hose between where both take one,
and opens the fitting's other end. Chains run straight unless turns are allowed: the cheapest way must not use an elbow
as a coupling, nor neck below the bore the flow needs.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import islice
from statistics import median
from typing import TYPE_CHECKING, Any, Final

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
_GOAL: Final = "goal"


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


@dataclass(frozen=True, slots=True)
class _Open:
    """A state: the open end, and how many fittings have turned so far."""

    end: End
    turns: int


@dataclass(frozen=True, slots=True)
class _Via:
    """A step from a state, a node of its own so that two fittings between the same states are two ways."""

    origin: _Open
    key: str
    enter: int


class _Search:
    """One question: its graph holds only what lies on a way short enough."""

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
        self.steps: dict[_Via, Step] = {}

    def best(self, count: int) -> list[Chain]:
        """So many chains, best first; a chain that only adds fittings to a better one is not told."""
        import networkx as nx  # noqa: PLC0415 - a plain check must not pay for loading it

        graph = self._graph()
        source = _Open(self.start, 0)
        if _GOAL not in graph:
            return []
        kept: list[Chain] = []
        fewest = nx.shortest_path(graph, source, _GOAL, weight="joints")
        ways: Iterator[list[Any]] = nx.shortest_simple_paths(graph, source, _GOAL, weight="weight")
        for way in islice(ways, _TRIED):
            chain = self._chain(way)
            if chain.joints > self.limits.joints or _repeats(way) or _adds_to(chain, kept):
                continue
            kept.append(chain)
            if len(kept) == count:
                break
        return kept or [self._chain(fewest)]

    def _graph(self) -> nx.DiGraph[Any]:
        """Every state within reach of the start, every step between them, every last joint to the goal."""
        import networkx as nx  # noqa: PLC0415 - a plain check must not pay for loading it

        graph: nx.DiGraph[Any] = nx.DiGraph()
        first = _Open(self.start, 0)
        joints = {first: 0}
        graph.add_node(first)
        queue = deque([first])
        while queue:
            here = queue.popleft()
            made = join(here.end, 0.0, self.goal, 0.0)  # lengths come with the fittings of the chain
            if made is not None and joints[here] + len(made.links) <= self.limits.joints:
                graph.add_edge(here, _GOAL, weight=self._join_weight(made), joints=len(made.links))
            for step in self.board.steps(here.end):
                turns = here.turns + bool(step.used.fitting.turn)
                reached = joints[here] + len(step.join.links)
                if turns > self.limits.turns or reached >= self.limits.joints:
                    continue
                there = _Open(step.opens, turns)
                via = _Via(here, step.used.fitting.key, step.used.enter)
                self.steps[via] = step
                graph.add_edge(here, via, weight=self._weight(step), joints=len(step.join.links))
                graph.add_edge(via, there, weight=0.0, joints=0)
                if there not in joints or reached < joints[there]:
                    joints[there] = reached
                    queue.append(there)
        return _pruned(graph, joints, self.limits.joints)

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

    def _chain(self, way: list[Any]) -> Chain:
        """The chain of a path, its stubs as long as the sockets of these very fittings are deep."""
        open_end, depth = self.start, insertion_depth(self.start)
        parts: list[Used | Stub] = []
        links: list[Link] = []
        used = [self.steps[node].used for node in way if isinstance(node, _Via)]
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


def _pruned(graph: nx.DiGraph[Any], joints: Mapping[_Open, int], most: int) -> nx.DiGraph[Any]:
    """Only what lies on a way to the goal of at most so many joints."""
    import networkx as nx  # noqa: PLC0415 - a plain check must not pay for loading it

    if _GOAL not in graph:
        return nx.DiGraph()
    left = nx.single_source_dijkstra_path_length(graph.reverse(copy=False), _GOAL, weight="joints")

    def near(node: Any) -> bool:
        from_start = joints[node.origin] if isinstance(node, _Via) else joints.get(node, 0)
        return node in left and from_start + left[node] <= most

    kept: nx.DiGraph[Any] = graph.subgraph([node for node in graph if near(node)]).copy()
    return kept


def _repeats(way: list[Any]) -> bool:
    """True of a way that opens the same end twice, once before and once after a turn."""
    ends = [node.end for node in way if isinstance(node, _Open)]
    return len(set(ends)) < len(ends)


def _adds_to(chain: Chain, kept: list[Chain]) -> bool:
    fittings = set(chain.fittings)
    return any(set(one.fittings) <= fittings for one in kept)
