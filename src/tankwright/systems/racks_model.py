"""What racks and floors come to under their tanks: frozen, in metres, newtons and pascals.

A screening for someone licensed to judge. Joints, screws and the wall a rack is tied to are not in it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from tankwright.origin import Known
from tankwright.room.model_structure import Member
from tankwright.units import Dimensionless, Metre, Newton, NewtonMetre, NewtonPerMetre, Pascal, Second

Route = Literal["limit state", "allowable stress"]
Check = Literal["bending", "shear", "bearing", "sag", "buckling", "crushing"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """One thing that could give: the stress or force there, what it may be, and the share of it."""

    check: Check
    demand: float
    allowed: float
    share: Dimensionless
    dimension: Literal["stress", "force", "length"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Patch:
    """A load spread evenly over part of a beam, from its left support."""

    start: Metre
    end: Metre
    load: NewtonPerMetre
    tank: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BeamResult:
    """One bearer between two uprights, a piece from a front to a back upright that carries the bearers between them,
    or the board (a strip of it one metre wide): `part` says which.

    `index` counts bearers from the front, 0 first, and uprights from the left for an end piece; `bay` from the left,
    1 first. `sag_now` is elastic, `sag_later` with creep after years, None where no stiffness is known. `curve` is the
    sag now along it, (x, w) from the left support, for drawing. `uses` is empty where nothing could be judged.
    """

    rack: str
    shelf: int
    bay: int
    index: int
    part: Literal["bearer", "end piece", "board"]
    member: Member | None
    span: Metre
    patches: tuple[Patch, ...]
    moment: NewtonMetre
    shear: Newton
    reactions: tuple[Newton, Newton]
    sag_now: Metre | None
    sag_later: Metre | None
    uses: tuple[Use, ...]
    curve: tuple[tuple[Metre, Metre], ...]

    @property
    def worst(self) -> Use | None:
        """What uses most of what it may bear; None where nothing could be judged."""
        return max(self.uses, key=lambda one: one.share, default=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class PostResult:
    """One upright: `upright` counts from the left, 0 first, `force` is at its foot. `free_length` is the longest
    between shelves, and `loose_length` what stands in for it when nothing is known to keep the frame from leaning:
    twice the height of its highest loaded shelf.
    """

    rack: str
    upright: int
    side: Literal["front", "back"]
    member: Member | None
    force: Newton
    free_length: Metre
    loose_length: Metre
    uses: tuple[Use, ...]

    @property
    def worst(self) -> Use | None:
        """What uses most of what it may bear; None where nothing could be judged."""
        return max(self.uses, key=lambda one: one.share, default=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class TankTilt:
    """How far the water line of a tank leaves its rim's line because the two bearers under it sag unlike each other
    or its ends stand on different parts of the curve: lowest against highest corner of its base, after years.
    """

    tank: str
    now: Metre
    later: Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class SagCompared:
    """A sag read off a rack beside the one worked out for the same load and age; `share` is read over worked out.
    `aged` is False where nobody said how long it had carried that: then it is held against the sag after years.
    """

    rack: str
    shelf: int
    bearer: str
    read: Known
    expected: Metre
    share: Dimensionless
    aged: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RackStrength:
    """One rack. `leans` is True where no brace, board or tie keeps it from racking sideways, None where the plan does
    not say whether one does. `sway_push` is the level push that a frame out of plumb has to bear, `tip_full` the level
    pull at its highest loaded shelf that begins to tip it as it stands, `tip_worst` the same with only that shelf
    full. `judged` is False where nothing says what it is built of and no rating is given. `would_hold` is the
    smallest of the usual sections of its grade for its bearers, "" where its own is enough or none of them would be.
    `rated_share` is the heaviest shelf over the maker's rating, `bracketed` True where joints alone carry bearers.
    """

    rack: str
    beams: tuple[BeamResult, ...]
    posts: tuple[PostResult, ...]
    tilts: tuple[TankTilt, ...]
    readings: tuple[SagCompared, ...]
    rated_share: Dimensionless | None
    leans: bool | None
    sway_push: Newton
    tip_full: Newton | None
    tip_worst: Newton | None
    judged: bool
    route: Route | None
    service_class: Known | None
    would_hold: str = ""
    bracketed: bool = False

    @property
    def worst(self) -> Use | None:
        """What uses most of what it may bear, of all its parts."""
        uses = [one.worst for one in self.beams] + [one.worst for one in self.posts]
        return max((one for one in uses if one), key=lambda one: one.share, default=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class JoistLoad:
    """One joist under racks: what they put on it, the moment and sag of that alone, and the moment that the floor's
    own design load would make, for an engineer to compare. Never a verdict.
    """

    space: str
    index: int
    at: Metre
    span: Metre
    patches: tuple[Patch, ...]
    moment: NewtonMetre
    design_moment: NewtonMetre
    sag_now: Metre | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FootPlace:
    """One foot on the floor: its force, and the void or edge it stands over, "" where it stands on the floor."""

    rack: str
    upright: int
    side: Literal["front", "back"]
    x: Metre
    y: Metre
    force: Newton
    over: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FloorStrength:
    """One room's floor: `limit` is what someone licensed said, None where nobody did. `average` is all racks over the
    whole floor. `design` is what its joists are held beside: the limit, or what dwellings' floors are designed for.
    """

    space: str
    floor: str
    feet: tuple[FootPlace, ...]
    average: Pascal
    heaviest_footprint: Pascal
    heaviest_rack: str
    limit: Known | None
    design: Known
    joists: tuple[JoistLoad, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RacksResult:
    """Every rack and every floor. `not_computed` holds (subject, reason, remedy). `years` is what "later" means."""

    racks: tuple[RackStrength, ...]
    floors: tuple[FloorStrength, ...]
    years: Second
    not_computed: tuple[tuple[str, str, str], ...] = ()
