"""Small rooms with a feed, made by hand for the tests of the feed system."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Any

from tankwright.origin import Known, Origin
from tankwright.room.model import (
    FeedOutletPlace,
    FeedRun,
    FilterPlace,
    OverflowPlace,
    PipeRun,
    ProgramRun,
    Room,
    Tank,
)

from .air_rooms import given, make_pump, make_tank

L_PER_H = 1 / 3.6e6
L_PER_MIN = 1 / 60_000
NIGHT = (ProgramRun(start=2 * 3600.0, duration=3600.0, runs_a_week=7.0),)


def drilled(tank: Tank) -> Tank:
    return replace(
        tank,
        overflow=OverflowPlace(
            kind="elbow", lip=tank.level, angle=0.5, reach=given(0.034), bore=given(0.016),
            open_share=given(1.0), level_known=given(tank.level),
        ),
    )  # fmt: skip


def make_tanks(count: int, *, litres: float = 50.0, **arguments: Any) -> tuple[Tank, ...]:
    return tuple(drilled(make_tank(f"A{i}", volume=litres / 1000, **arguments)) for i in range(count))


def make_outlet(
    number: int,
    tank: Tank,
    node: str,
    *,
    kind: str = "compensating dripper",
    rate: float = 4.0,
    at_pressure: float = 0.8e5,
    exponent: float = 0.5,
    variation: float = 0.05,
    gap: float = 0.025,
    bore: float | None = None,
    length: float | None = None,
) -> FeedOutletPlace:
    """Rate in L/h, pressure in Pa."""
    return FeedOutletPlace(
        id=f"drip {number}", node=node, tank=tank.id, place=(0.6 * number, 0.2, tank.rim + gap), gap=given(gap),
        kind=kind, rate=given(rate * L_PER_H), at_pressure=given(at_pressure), exponent=given(exponent),
        variation=Known(variation, Origin.ASSUMED, key="feed.variation", band=(0.03, 0.1)),
        bore=given(bore) if bore else None, length=given(length) if length else None,
    )  # fmt: skip


def make_feed(
    tanks: tuple[Tank, ...],
    *,
    spacing: float = 0.6,
    bore: float = 0.0136,
    pressure: float = 2.8e5,
    most: float | None = 13.0,
    source_height: float = 0.95,
    regulated: float | None = None,
    filters: tuple[FilterPlace, ...] = (),
    programs: tuple[ProgramRun, ...] = NIGHT,
    vat: float | None = None,
    pump: str | None = None,
    check_valve: bool = False,
    looks: tuple[float, ...] = (6.75 * 3600, 18.5 * 3600),
    absence: float | None = 60 * 3600.0,
    outlet: dict[str, Any] | None = None,
    manifold: float | None = None,
) -> Room:
    """One manifold past all `tanks`; flows in L/min, vat in litres. The manifold hangs 6 cm above the first rim."""
    height = manifold if manifold is not None else (tanks[0].rim + 0.06 if tanks else 1.0)
    nodes = [
        ("inlet", (0.0, 0.0, height)),
        *((f"m{i}", (spacing * (i + 1), 0.0, height)) for i in range(len(tanks))),
    ]
    names = [name for name, _ in nodes]
    pipes = tuple(
        PipeRun(id=f"manifold {i}", start=a, end=b, path=(), length=spacing, bore=given(bore))
        for i, (a, b) in enumerate(pairwise(names))
    )
    run = FeedRun(
        id="drip", source="tap", source_kind="vat" if vat else "water point",
        source_place=(0.0, 0.0, source_height), source_pressure=given(pressure),
        source_flow=given(most * L_PER_MIN) if most else None,
        regulated_to=given(regulated) if regulated else None, vat_volume=given(vat / 1000) if vat else None,
        pump=pump, filters=filters, inlet="inlet", nodes=tuple(nodes), pipes=pipes,
        outlets=tuple(make_outlet(i, tank, names[i + 1], **(outlet or {})) for i, tank in enumerate(tanks)),
        roughness=given(1.5e-6), programs=programs, check_valve=check_valve, derived=True, pipe="16 mm PE",
    )  # fmt: skip
    return Room(
        title="test", display="metric", spaces=(), racks=(), tanks=tanks, feeds=(run,), looks=looks,
        longest_absence=given(absence) if absence else None,
        pumps=(make_pump("vat pump", curve=((0.0, 20.0), (0.5e5, 15.0), (1.5e5, 3.0)), highest=None),),
    )  # fmt: skip


def carbon(loss: float = 0.2e5, at: float = 5.0) -> FilterPlace:
    return FilterPlace(name="carbon", loss=given(loss), at_flow=given(at * L_PER_MIN), carbon=True)
