"""Any small network of heat stores: at rest, and over time exactly.

Between boundaries of known temperature, heat flows along links in proportion to the difference. Stores with a
capacity follow dT/dt; those without follow at once. What acts is constant over a step, so the step is exact
at any length: the symmetric matrix of the network is taken apart into its modes once, and each mode fades by its
own exponential. Source: linear systems theory, as in every text on thermal networks.

>>> hut = ThermalNetwork(
...     stores=(Store(id="water", capacity=250.1e3),), boundaries=("air",),
...     links=(Link(start="water", end="air", conductance=4.0),),
... )
>>> ready = prepare(hut, 6 * 3600.0)
>>> after = ready.step(np.array([26.0]), boundaries=np.array([18.0]), gains=np.array([0.0]))
>>> float(after.end[0].round(3))
23.663
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tankwright.thermal.model import Numbers
from tankwright.units import JoulePerKelvin, Second, WattPerKelvin


@dataclass(frozen=True, slots=True, kw_only=True)
class Store:
    """Something with one temperature."""

    id: str
    capacity: JoulePerKelvin = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """A way for heat between two stores, or a store and a boundary."""

    start: str
    end: str
    conductance: WattPerKelvin


@dataclass(frozen=True, slots=True, kw_only=True)
class ThermalNetwork:
    """Stores, boundaries of given temperature, and the links between them."""

    stores: tuple[Store, ...]
    links: tuple[Link, ...]
    boundaries: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NetworkStep:
    """Temperatures of the stores at the end of a step and their means over it, in the network's order.

    `into_boundaries` is the mean heat, W, that flows into each boundary.
    """

    end: Numbers
    mean: Numbers
    into_boundaries: Numbers


def network_mistakes(network: ThermalNetwork) -> tuple[str, ...]:
    """What makes a network unsolvable, in words.

    >>> network_mistakes(ThermalNetwork(stores=(Store(id="a"),), links=()))
    ('a has no capacity and nothing holds it',)
    """
    names = [*(store.id for store in network.stores), *network.boundaries]
    found = [f"{name} is there twice" for name in sorted({n for n in names if names.count(n) > 1})]
    for link in network.links:
        found += [
            f"a link ends at {end}, which is not there" for end in (link.start, link.end) if end not in names
        ]
        if not (np.isfinite(link.conductance) and link.conductance >= 0.0):
            found.append(f"the link from {link.start} to {link.end} has no conductance")
    found += [f"{s.id} has no capacity" for s in network.stores if not 0.0 <= s.capacity < np.inf]
    held = {*network.boundaries, *(s.id for s in network.stores if s.capacity > 0.0)}
    for _ in network.stores:
        for link in network.links:
            if link.conductance > 0.0 and {link.start, link.end} & held:
                held |= {link.start, link.end}
    found += [f"{s.id} has no capacity and nothing holds it" for s in network.stores if s.id not in held]
    return tuple(found)


def conductances(network: ThermalNetwork) -> tuple[Numbers, Numbers]:
    """Heat that leaves each store: a matrix for the stores' temperatures, and one for the boundaries'."""
    stores = {store.id: number for number, store in enumerate(network.stores)}
    edges = {name: number for number, name in enumerate(network.boundaries)}
    inner = np.zeros((len(stores), len(stores)))
    outer = np.zeros((len(stores), len(edges)))
    for link in network.links:
        for here, there in ((link.start, link.end), (link.end, link.start)):
            if here not in stores:
                continue
            inner[stores[here], stores[here]] += link.conductance
            if there in stores:
                inner[stores[here], stores[there]] -= link.conductance
            else:
                outer[stores[here], edges[there]] += link.conductance
    return inner, outer


def at_rest(network: ThermalNetwork, *, boundaries: Numbers, gains: Numbers) -> Numbers:
    """Temperatures of the stores when nothing changes any more. Every store must reach a boundary.

    >>> wall = ThermalNetwork(
    ...     stores=(Store(id="room"),), boundaries=("out",), links=(Link(start="room", end="out", conductance=30.0),)
    ... )
    >>> at_rest(wall, boundaries=np.array([0.0]), gains=np.array([600.0])).tolist()
    [20.0]
    """
    _refuse(network)
    inner, outer = conductances(network)
    return np.linalg.solve(inner, outer @ boundaries + gains).astype(np.float64)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PreparedNetwork:
    """A network made ready for steps of one length: matrices from before and from what acts to after."""

    length: Second
    inner: Numbers
    outer: Numbers
    slow: NDArray[np.bool_]
    keep: Numbers
    take: Numbers
    keep_mean: Numbers
    take_mean: Numbers
    follow: Numbers
    follow_gain: Numbers

    def step(self, before: Numbers, *, boundaries: Numbers, gains: Numbers) -> NetworkStep:
        """One step from the temperatures `before`, under constant boundaries and gains (W into each store)."""
        acting = self.outer @ boundaries + gains
        reduced = acting[self.slow] + self.follow.T @ acting[~self.slow]
        then, mean = np.empty_like(before), np.empty_like(before)
        slow = before[self.slow]
        then[self.slow] = self.keep @ slow + self.take @ reduced
        mean[self.slow] = self.keep_mean @ slow + self.take_mean @ reduced
        for kind in (then, mean):
            kind[~self.slow] = self.follow @ kind[self.slow] + self.follow_gain @ acting[~self.slow]
        flows = self.outer.T @ mean - self.outer.sum(axis=0) * boundaries
        return NetworkStep(end=then, mean=mean, into_boundaries=flows)


def prepare(network: ThermalNetwork, length: Second) -> PreparedNetwork:
    """Make a network ready for steps of that length. Raises ValueError for one with mistakes."""
    _refuse(network)
    inner, outer = conductances(network)
    capacity = np.array([store.capacity for store in network.stores])
    slow = capacity > 0.0
    quick_block = inner[np.ix_(~slow, ~slow)]
    follow_gain = np.linalg.inv(quick_block).astype(np.float64)
    follow = -follow_gain @ inner[np.ix_(~slow, slow)]
    reduced = inner[np.ix_(slow, slow)] + inner[np.ix_(slow, ~slow)] @ follow
    root = np.sqrt(capacity[slow])
    rates, modes = np.linalg.eigh(reduced / np.outer(root, root))
    x = np.maximum(rates, 0.0) * length
    fade, part, mean_part = np.exp(-x), _first(x), _second(x)

    def back(factor: Numbers, left: Numbers, right: Numbers) -> Numbers:
        product: Numbers = (modes * factor) @ modes.T
        return product * np.outer(left, right)

    return PreparedNetwork(
        length=length,
        inner=inner,
        outer=outer,
        slow=slow,
        keep=back(fade, 1.0 / root, root),
        take=back(part * length, 1.0 / root, 1.0 / root),
        keep_mean=back(part, 1.0 / root, root),
        take_mean=back(mean_part * length, 1.0 / root, 1.0 / root),
        follow=follow,
        follow_gain=follow_gain,
    )


def _first(x: Numbers) -> Numbers:
    """(1 - exp(-x)) / x, which is 1 at 0."""
    safe = np.where(x > 0.0, x, 1.0)
    return np.where(x > 0.0, -np.expm1(-safe) / safe, 1.0)


def _second(x: Numbers) -> Numbers:
    """(1 - (1 - exp(-x)) / x) / x, which is 1/2 at 0; a series where the difference would lose its digits."""
    safe = np.where(x > 1e-3, x, 1.0)
    return np.where(x > 1e-3, (1.0 - _first(safe)) / safe, 0.5 - x / 6.0 + x * x / 24.0)


def _refuse(network: ThermalNetwork) -> None:
    mistakes = network_mistakes(network)
    if mistakes:
        raise ValueError("; ".join(mistakes))
