"""A thin plate and what it comes to under load: the words `plates.solver` is spoken to with.

The plate lies in x (along its length) and y (up its height) from its lower left corner; w is its deflection, positive
away from the load. Metres, pascals, newtons.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from tankwright.units import Dimensionless, Metre, Newton, Pascal

Support = Literal["free", "held"]
"""An edge that is held keeps its place and may turn, as glass in silicone does; a free one does what it likes."""

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundHole:
    """A drilled hole: its centre and its diameter."""

    x: Metre
    y: Metre
    diameter: Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class TopHold:
    """A stretch of the top edge that is held: the end of a cross brace."""

    start: Metre
    end: Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class TopStrip:
    """A flat strip glued along the top edge at right angles to the plate: a beam that resists its bowing."""

    width: Metre
    thickness: Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """One plate under water that stands `head` above its lower edge, and under `pressure` all over.

    `left`, `right`, `bottom` and `top` say how its edges are held. `bed` is the stiffness of what it lies on in
    Pa/m, None where it bridges.
    """

    length: Metre
    height: Metre
    thickness: Metre
    stiffness: Pascal
    poisson: Dimensionless
    head: Metre = 0.0
    pressure: Pascal = 0.0
    left: Support = "held"
    right: Support = "held"
    bottom: Support = "held"
    top: Support = "free"
    holds: tuple[TopHold, ...] = ()
    strip: TopStrip | None = None
    holes: tuple[RoundHole, ...] = ()
    bed: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleStress:
    """The worst tension at the rim of one hole, and where on its rim."""

    stress: Pascal
    x: Metre
    y: Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateSolution:
    """What a plate comes to. Arrays have one row a node: `nodes` (n, 2), `deflection` (n,), `stress` (n,), the larger
    principal tension of its two faces; `triangles` (m, 3) are for drawing.

    `worst` is the largest tension anywhere, at `worst_at`; `top_edge` the largest along a free top edge, in its
    direction (0 where it is held; close to a hold's end, where nothing says that only this counts, the largest in any
    direction); `strip` the largest in a strip along it. Within one thickness of where a hold ends
    none of them looks: a thin plate has no bound there, a real one has. `load` and `reaction` are the whole push of
    the water and what the supports push back: equal when it is right. `unknowns` and `residual` say how it was
    solved; `element` by which.
    Where `status` is not "solved", `reason` says why and every number is nan.
    """

    status: Literal["solved", "singular", "not meshed"]
    element: str
    unknowns: int
    residual: float
    nodes: Floats
    triangles: Ints
    deflection: Floats
    stress: Floats
    worst: Pascal
    worst_at: tuple[Metre, Metre]
    top_edge: Pascal
    sag: Metre
    sag_at: tuple[Metre, Metre]
    holes: tuple[HoleStress, ...]
    load: Newton
    reaction: Newton
    strip: Pascal = 0.0
    reason: str = ""
