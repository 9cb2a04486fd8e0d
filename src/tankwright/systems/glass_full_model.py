"""What the full check of a pane and the map of its hole come to: frozen, picklable, in metres and pascals.

A screening as the quick one is: drilled annealed glass lies outside the published standards of glass; flange
clamping, the weight on a fitting, scratches, chips of the drill and silicone are in neither.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

from tankwright.origin import Known
from tankwright.plates.model import PlateSolution
from tankwright.systems.glass_model import PaneCase, PaneHole, PaneScreen, Strengths
from tankwright.units import Dimensionless, Metre, Pascal

STEP: Final = 1e-4  # m to which a needed thickness is rounded up

KeptOut = Literal[
    "edge", "corner", "upright", "brace", "flange", "hose", "another hole", "level", "not worked out"
]
"""Why no hole may be there: less than a diameter of glass to an edge, too near a corner, an upright of the rack outside
it, a brace of glass over it, the flange past the pane's edge or over silicone, no room for nut and hose, another hole,
a lip that could not stand at a level between floor and rim, or a plate the engine did not solve."""

KEPT_OUT_WORDS: dict[KeptOut, str] = {
    "edge": "less than one hole's diameter of glass to the edge",
    "corner": "too near a corner",
    "upright": "an upright of the rack stands outside it",
    "brace": "a brace of glass is in the way",
    "flange": "the flange would not lie flat on the pane",
    "hose": "no room outside for nut, elbow and hose",
    "another hole": "too near another hole",
    "level": "the elbow could not hold the water between floor and rim",
    "not worked out": "not worked out",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleFull:
    """One hole of a pane worked out in full: the worst tension at its rim, where on its rim (in the pane's frame, as
    `PaneCase`), and its share of the working strength of an edge.

    The engine's plates are thin; `thickness_factor` is how much harder a hole of this diameter in glass of this
    thickness is pulled by the published raiser, and is in `stress` already.
    """

    hole: PaneHole
    stress: Pascal
    at: tuple[Metre, Metre]
    use: Dimensionless
    thickness_factor: Dimensionless = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FullPane:
    """One pane by finite elements, holes and braces where they are, beside its quick screening.

    `status` is "solved", or why it was not; then the numbers are 0 and nothing may be said of the pane.
    `surface` is the worst tension away from the rims of holes and free edges at `surface_at`, `edge` the largest along
    a free top edge or in a strip glued to it; `worst` uses the most of its strength, `governs` which that is, `use` its
    share. `sag` is the largest deflection. `screen` is None where nobody screened it. `solution` has the fields, for
    drawing.
    """

    case: PaneCase
    strengths: Strengths
    screen: PaneScreen | None
    solution: PlateSolution
    status: str
    holes: tuple[HoleFull, ...]
    surface: Pascal
    surface_at: tuple[Metre, Metre]
    edge: Pascal
    worst: Pascal
    worst_at: tuple[Metre, Metre]
    governs: Literal["surface", "edge", "hole"]
    use: Dimensionless
    sag: Metre
    sag_at: tuple[Metre, Metre]
    linear: bool

    @property
    def solved(self) -> bool:
        """True when the numbers may be read."""
        return self.status == "solved"

    @property
    def where(self) -> Literal["surface", "edge", "strip", "hole"]:
        """What governs, and of an edge whether it is the glass's own or that of the strip glued along it."""
        strip = self.governs == "edge" and self.solution.strip > self.solution.top_edge
        return "strip" if strip else self.governs

    @property
    def needed(self) -> Metre | None:
        """The least thickness that would keep its use at 1: stress goes with the square of it. Where the quick
        screening of a pane that nothing braces asks for more, that. None where it was not worked out, and beside a
        strip all round: thicker glass then takes over what the strip carried, so it cannot be told in one step.
        """
        if not self.solved or self.case.held == "euro":
            return None
        here = math.ceil(self.case.thickness.value * math.sqrt(self.use) / STEP - 1e-9) * STEP
        quick = self.screen.needed if self.screen is not None and self.case.held != "cross" else None
        return max(here, quick or 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleSurroundings:
    """What a hole of this pane must clear, in the pane's frame. `uprights` are (from, to) along x of whatever a rack
    stands in front of it, over all tanks of the case; `floor` is the height of the bed or the base inside above y = 0.

    `reach` and `bore` are the elbow's, None where no elbow stands in the hole; `level` is the wanted still water above
    y = 0. `hose` is the room outside the pane at the least, None where it is not known; `uprights_known` is False
    where no rack is described.
    """

    uprights: tuple[tuple[Metre, Metre], ...] = ()
    uprights_known: bool = True
    reach: Metre | None = None
    bore: Metre | None = None
    floor: Metre = 0.0
    level: Metre = 0.0
    hose: Metre | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleSpot:
    """One place the hole could have: its centre (`x`, `y`) in the pane's frame, and as it is drilled.

    `from_left` is from the tank's outside left edge (on an end: from the front); `below_rim` is below the top edge (on
    a base: from the back edge). With the hole there `worst` is the tension that uses the most of its strength anywhere
    in the pane, `hole` that at its rim, `use` that share; None where it was not worked out. `kept_out` are the reasons
    why it may not be there, none when it may. `levels` are the lowest and the highest still water the elbow then gives,
    as depths below the rim (the low water first, the larger number); None without an elbow.
    """

    x: Metre
    y: Metre
    from_left: Metre
    below_rim: Metre
    worst: Pascal | None
    hole: Pascal | None
    use: Dimensionless | None
    kept_out: tuple[KeptOut, ...]
    levels: tuple[Metre, Metre] | None

    @property
    def allowed(self) -> bool:
        """True when nothing keeps the hole out and the place was worked out."""
        return not self.kept_out and self.worst is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleMap:
    """Worst stress of a pane against the place of one of its holes.

    `across` (x, left to right) and `up` (y, base to rim) are the lines of the grid; `spots` has one spot for each
    crossing, row by row from the base: spots[j * len(across) + i] stands at (across[i], up[j]). `plain` is the pane's
    worst tension without this hole. `present` is the hole as the plan has it, `best` the allowed place of least use
    from which the elbow holds the wanted level, the nearest to the present one among equals; `best_any_level` the same
    whatever the level. None where there is none.
    """

    case: PaneCase
    strengths: Strengths
    index: int
    diameter: Known
    around: HoleSurroundings
    across: tuple[Metre, ...]
    up: tuple[Metre, ...]
    spots: tuple[HoleSpot, ...]
    plain: Pascal
    present: HoleSpot | None
    best: HoleSpot | None
    best_any_level: HoleSpot | None
    status: str = "solved"

    def row(self, number: int) -> tuple[HoleSpot, ...]:
        """The spots of one height, from the base up."""
        width = len(self.across)
        return self.spots[number * width : (number + 1) * width]
