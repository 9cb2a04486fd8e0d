"""Networks the tests share: rooms drawn by lot, and one ring."""

from __future__ import annotations

import random
from dataclasses import dataclass

from tankwright.networks.model import WATER_20, Fluid, Network, Node, Outlet, Pipe, Source, air_at

LITRE_PER_MINUTE = 1e-3 / 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Lot:
    """What a network drawn by lot may hold."""

    one_way_only: bool = False
    compensating: bool = True
    check_valves: bool = True
    exponents: tuple[float, ...] = (0.5, 0.5, 0.7, 1.0)
    sources: int = 1


def drawn_by_lot(seed: int, lot: Lot | None = None) -> Network:
    """A branched and looped network of up to 20 nodes, water with heights or air, fed at 4 kPa to 2 bar."""
    lot = lot or Lot()
    chance = random.Random(seed)
    air = chance.random() < 0.4
    count = chance.randint(2, 20)
    feed = 4e3 if air else chance.choice([5e3, 3e4, 2e5])
    nodes = tuple(Node(id=f"n{i}", height=0.0 if air else chance.uniform(0.0, 0.3)) for i in range(count))
    pipes: list[Pipe] = []

    def join(a: int, b: int) -> None:
        pipes.append(
            Pipe(
                id=f"p{len(pipes)}",
                start=f"n{a}",
                end=f"n{b}",
                length=10 ** chance.uniform(-1, 1.3),
                inner_diameter=chance.choice([0.004, 0.0127, 0.0209, 0.0266, 0.0409]),
                roughness=chance.choice([0.0, 1.5e-6, 5e-5]),
                minor_loss=chance.choice([0.0, 0.0, 1.5, 10.0]),
                check_valve=lot.check_valves and chance.random() < 0.1,
            )
        )

    for i in range(1, count):
        join(chance.randint(max(0, i - 3), i - 1), i)
    for _ in range(chance.randint(0, count // 3)):
        a, b = chance.sample(range(count), 2)
        join(a, b)
    outlets = []
    for i in range(chance.randint(1, 2 * count)):
        flow = 10 ** chance.uniform(-6.5, -4.5)
        pressure = feed * 10 ** chance.uniform(-1.2, 0.2)
        exponent = chance.choice(lot.exponents)
        common = {
            "id": f"o{i}",
            "node": f"n{chance.randrange(count)}",
            "back_pressure": chance.choice([0.0, feed * chance.uniform(0.0, 1.1)]),
            "one_way": lot.one_way_only or chance.random() < 0.8,
        }
        if lot.compensating and chance.random() < 0.2:
            outlets.append(Outlet(compensating_flow=flow, minimum_pressure=pressure, **common))  # type: ignore[arg-type]
        else:
            size = flow / pressure**exponent
            outlets.append(Outlet(coefficient=size, exponent=exponent, **common))  # type: ignore[arg-type]
    sources = []
    for i in range(min(lot.sources, count)):
        if chance.random() < 0.5:
            sources.append(Source(id=f"s{i}", node=f"n{i}", fixed_pressure=feed * chance.uniform(0.6, 1.0)))
        else:
            most = 10 ** chance.uniform(-5, -3)
            shares = sorted(chance.uniform(0.05, 0.95) for _ in range(3))
            curve = [(share * feed, most * (1.0 - share**2)) for share in (0.0, *shares, 1.0)]
            sources.append(Source(id=f"s{i}", node=f"n{i}", curve=tuple(curve)))
    return Network(
        fluid=air_at(293.15) if air else WATER_20,
        nodes=nodes,
        pipes=tuple(pipes),
        outlets=tuple(outlets),
        sources=tuple(sources),
    )


def even_ring(taps: int, *, fluid: Fluid | None = None, back_pressure: float = 2500.0) -> Network:
    """A ring with equal taps at equal distances, fed at node 0 with 4 kPa."""
    return Network(
        fluid=fluid or air_at(293.15),
        nodes=tuple(Node(id=f"n{i}") for i in range(taps)),
        pipes=tuple(
            Pipe(id=f"p{i}", start=f"n{i}", end=f"n{(i + 1) % taps}", length=0.4, inner_diameter=0.0158)
            for i in range(taps)
        ),
        outlets=tuple(
            Outlet(id=f"o{i}", node=f"n{i}", coefficient=1.2e-6, back_pressure=back_pressure)
            for i in range(taps)
        ),
        sources=(Source(id="pump", node="n0", fixed_pressure=4000.0),),
    )
