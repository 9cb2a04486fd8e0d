"""The networks the benchmarks and tests share: rings of fifty taps, joined by a trunk ring."""

from __future__ import annotations

import random

from tankwright.networks.model import WATER_20, Fluid, Network, Node, Outlet, Pipe, Source

AIR_UNPRESSED = Fluid(density=1.204, kinematic_viscosity=1.51e-5)
"""Air at 20 °C read as incompressible, which is what the other program can do."""

HALF_A_METRE_OF_WATER = 4895.0
RING_TAPS = 50


def rings(outlets: int, *, fluid: Fluid = AIR_UNPRESSED, seed: int = 1) -> Network:
    """Rings of 50 taps (25 mm bore, 0.4 m apart) on 40 mm stubs from a trunk ring wide enough for them all.

    Tap depths are spread evenly over 0.20 to 0.40 m of water, tap sizes by 20 % about 3 L/min at 0.1 m.
    """
    chance = random.Random(seed)
    nodes, pipes, taps = [Node(id="pump")], [], []
    count = max(1, outlets // RING_TAPS)
    trunk = 0.04 * count**0.5
    if count > 1:
        for i in range(count):
            nodes.append(Node(id=f"t{i}"))
            after = f"t{(i + 1) % count}"
            pipes.append(Pipe(id=f"t{i}", start=f"t{i}", end=after, length=1.0, inner_diameter=trunk))
        pipes.append(Pipe(id="feed", start="pump", end="t0", length=1.0, inner_diameter=trunk))
    for r in range(count):
        size = min(RING_TAPS, outlets)
        for i in range(size):
            name = f"r{r}n{i}"
            nodes.append(Node(id=name))
            after = f"r{r}n{(i + 1) % size}"
            pipes.append(Pipe(id=name, start=name, end=after, length=0.4, inner_diameter=0.025))
            depth = chance.uniform(0.20, 0.40)
            coefficient = 3.0 / 60_000 / (998.2 * 9.80665 * 0.1) ** 0.5 * chance.uniform(0.8, 1.2)
            back = 998.2 * 9.80665 * depth
            taps.append(Outlet(id=name, node=name, coefficient=coefficient, back_pressure=back))
        start = f"t{r}" if count > 1 else "pump"
        pipes.append(Pipe(id=f"stub{r}", start=start, end=f"r{r}n0", length=0.5, inner_diameter=0.04))
    return Network(
        fluid=fluid,
        nodes=tuple(nodes),
        pipes=tuple(pipes),
        outlets=tuple(taps),
        sources=(Source(id="pump", node="pump", fixed_pressure=HALF_A_METRE_OF_WATER),),
    )


def water_rings(outlets: int) -> Network:
    """The same shape as a feed: water at one bar and open ends."""
    air = rings(outlets)
    return Network(fluid=WATER_20, nodes=air.nodes, pipes=air.pipes, outlets=air.outlets, sources=air.sources)
