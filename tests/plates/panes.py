"""The panes the tests of plates share."""

from __future__ import annotations

from dataclasses import replace

from tankwright.plates.model import Plate, RoundHole

GLASS = Plate(length=0.6, height=0.38, thickness=0.006, stiffness=70e9, poisson=0.23, head=0.38)
"""An open pane full of water."""

SQUARE = Plate(length=1.0, height=1.0, thickness=0.01, stiffness=70e9, poisson=0.3, pressure=1e3, top="held")
"""A square under even pressure, held all round: what handbooks tabulate."""


def barely_drilled(plate: Plate) -> Plate:
    """`plate` with a hole so small, where so little goes on, that it changes nothing but how the plate is solved."""
    return replace(plate, holes=(RoundHole(x=plate.length / 2.0, y=0.004, diameter=0.001),))


def drilled(plate: Plate, *holes: tuple[float, float, float]) -> Plate:
    """`plate` with holes (x, y, diameter)."""
    return replace(plate, holes=tuple(RoundHole(x=x, y=y, diameter=diameter) for x, y, diameter in holes))
