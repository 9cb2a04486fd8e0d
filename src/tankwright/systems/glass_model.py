"""What every pane of the room comes to: frozen, in metres and pascals.

A screening. Drilled annealed glass lies outside the published standards of glass; flange clamping, scratches and
silicone are not in it. The maker's rating, the local code and an engineer stand before it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from tankwright.origin import Known
from tankwright.room.model import Pane
from tankwright.room.model_structure import BracePlace
from tankwright.units import Dimensionless, Metre, Pascal

Held = Literal["free", "held", "cross", "euro", "bed"]
"""How the top of a pane is held; a base is "held" on all edges or lies on a "bed"."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PaneHole:
    """A hole in the pane's own frame: from its lower left corner between the supports (see `PaneCase`)."""

    x: Metre
    y: Metre
    diameter: Known
    flange: Known | None
    line: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PaneCase:
    """One pane as it is loaded: all that an engine needs. Panes alike in all of it are one case.

    `length` and `height` are between the lines that hold it: the middle of the silicone. x runs from the left as
    seen from the front of the tank (on an end: from the front), y up from the base (on a base: from the front edge
    to the back). `head` is the still water above y = 0, `brim` the same with water at the rim; `pressure` lies on a
    base besides. `outside` is the size of the tank on that side, edge to edge, and `offset` where x = y = 0 lies in it,
    so that a hole drilled `from_left` and `below_rim` (on a base: from the back edge) stands at x = from_left -
    offset[0], y = outside[1] - offset[1] - below_rim.
    """

    kind: str
    pane: Pane
    tanks: tuple[str, ...]
    length: Metre
    height: Metre
    thickness: Known
    held: Held
    head: Metre
    brim: Metre
    pressure: Pascal
    outside: tuple[Metre, Metre]
    offset: tuple[Metre, Metre]
    stiffness: Known
    poisson: Known
    holes: tuple[PaneHole, ...]
    brace: BracePlace | None
    temper: str
    edges: str | None
    line: int | None

    def in_frame(self, from_left: Metre, below_rim: Metre) -> tuple[Metre, Metre]:
        """A place as it is drilled, in the pane's frame."""
        return from_left - self.offset[0], self.outside[1] - self.offset[1] - below_rim

    def as_drilled(self, x: Metre, y: Metre) -> tuple[Metre, Metre]:
        """A place in the pane's frame as it is drilled: from the left (or front), below the rim (or from the back)."""
        return x + self.offset[0], self.outside[1] - self.offset[1] - y


@dataclass(frozen=True, slots=True, kw_only=True)
class Strengths:
    """What annealed glass of this pane may bear for years, by two published routes and as it is worked with.

    `_edge` is for a free edge and the rim of a hole, worked as the plan says its edges are. `en_*` are by EN 16612,
    with the load factor 1.35 of a permanent load already taken off; `duration_*` by American practice for 50 years and
    one pane in a thousand. `working_*` are what verdicts are made with. `week` is how much more glass bears for a week
    than for good, for water that stands at the rim until somebody looks.
    """

    en_surface: Pascal
    en_edge: Pascal
    duration_surface: Pascal
    duration_edge: Pascal
    working_surface: Known
    working_edge: Known
    week: Dimensionless


@dataclass(frozen=True, slots=True, kw_only=True)
class BetterPlace:
    """Where along the same height a hole would use less, as drilled; by the quick screening, so about."""

    from_left: Metre
    below_rim: Metre
    stress: Pascal
    use: Dimensionless


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleScreen:
    """A hole screened: principal stresses the plain pane has at the worst place of its rim, what the published raiser
    makes of them, and the share of the working strength of an edge. `edge_factor` is what a free top edge near by adds.
    """

    hole: PaneHole
    along: Pascal
    across: Pascal
    factor: Dimensionless
    edge_factor: Dimensionless
    stress: Pascal
    use: Dimensionless


@dataclass(frozen=True, slots=True, kw_only=True)
class PaneScreen:
    """One pane screened with Levy's series.

    `plain` is the worst principal tension without holes at `plain_at`, `edge` the worst along a free top edge,
    `worst` the one that uses most of its strength, `governs` which that is, `use` its share of it. `brim_use` is with
    water to the rim. A braced pane is screened as if its brace were not there; `held_use` is as if it held the whole
    edge. The truth need not lie between: over a cross brace the glass bends backwards, and only the full check sees it.
    `better` is a place along the same height where the hole that governs would use markedly less, None where none is
    known. `needed` is the least thickness by this
    screening that keeps the use below 1, `needed_plain` the same without its holes.
    """

    case: PaneCase
    strengths: Strengths
    plain: Pascal
    plain_at: tuple[Metre, Metre]
    edge: Pascal
    holes: tuple[HoleScreen, ...]
    worst: Pascal
    governs: Literal["surface", "edge", "hole"]
    use: Dimensionless
    brim_use: Dimensionless
    held_use: Dimensionless | None
    deflection: Metre
    deflection_at: tuple[Metre, Metre]
    linear: bool
    needed: Metre | None
    needed_plain: Metre | None
    better: BetterPlace | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class GlassResult:
    """Every pane of every kind, worst use first within a kind. `not_computed` holds (subject, reason, remedy).

    `bedded` are bases that lie flat on a bed, which carries no bending into them: nothing is worked out there.
    """

    panes: tuple[PaneScreen, ...]
    bedded: tuple[PaneCase, ...] = ()
    not_computed: tuple[tuple[str, str, str], ...] = ()

    def of(self, kind: str, pane: str) -> tuple[PaneScreen, ...]:
        """The screened cases of one pane of a kind: more than one where single tanks are filled otherwise."""
        return tuple(one for one in self.panes if one.case.kind == kind and one.case.pane == pane)
