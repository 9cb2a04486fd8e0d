"""What is looked for and what is found: places, rows of tanks, proposals. Frozen, in SI units."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Final, Literal

from tankwright.finding import Finding
from tankwright.plan.changes_arrange import TakeArrangement
from tankwright.plan.models import Wish
from tankwright.room.model import Box, Room, Wall
from tankwright.study import Study
from tankwright.units import CubicMetre, Kilogram, Metre

Best = Literal["tanks", "litres", "cost", "walking"]
State = Literal["stands", "ordered", "wished"]
Progress = Callable[[int, int], None]

LEAST: Final = ("cost", "walking")
"""What is sought least of; of the others most."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Prices:
    """What one tank of a kind and one rack of a kind costs; kinds that nobody priced in full are in `unknown`."""

    tanks: Mapping[str, float] = field(default_factory=dict)
    racks: Mapping[str, float] = field(default_factory=dict)
    currency: str = ""
    unknown: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Effort:
    """How long to look. `work` is in the solver's own steps of work, about a second each on one core, so that the
    same plan gives the same answer on any machine. `places` is how many places for racks are tried at most."""

    work: float = 24.0
    proposals: int = 4
    places: int = 700


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """One place where a rack of a kind may stand: its block, the floor it needs before it and behind it.

    `along` is from the wall's west or south end (None for an island), `ceiling` the lowest thing over it. `drain` is
    how high the drain's invert lies there at the least (None without a drain). `walk` is from the nearest door to
    the middle of the floor before it, straight.
    """

    kind: str
    wall: Wall | None
    facing: Wall
    box: Box
    front: Box
    back: Box | None
    along: Metre | None
    off_wall: Metre
    ceiling: Metre
    drain: Metre | None
    walk: Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class TankSize:
    """One kind of tank as it stands on a shelf, `end_on` or not: what it takes, holds and weighs.

    `hole_at` is the centre of its hole from its left side, None where it faces no upright; `hole_up` is over its
    base. `beside` is the clear way it needs on its left and right for a hole in an end.
    """

    kind: str
    end_on: bool
    wide: Metre
    deep: Metre
    height: Metre
    water: CubicMetre
    mass: Kilogram
    hole_at: Metre | None = None
    hole_half: Metre = 0.0
    hole_up: Metre | None = None
    beside: tuple[Metre, Metre] = (0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """Tanks side by side on a shelf: each with the place of its left side from the rack's left end."""

    tanks: tuple[tuple[TankSize, Metre], ...] = ()

    @property
    def counts(self) -> dict[str, int]:
        """How many of each kind."""
        counts: dict[str, int] = {}
        for size, _ in self.tanks:
            counts[size.kind] = counts.get(size.kind, 0) + 1
        return counts

    @property
    def water(self) -> CubicMetre:
        """Of all its tanks."""
        return sum(size.water for size, _ in self.tanks)

    @property
    def mass(self) -> Kilogram:
        """Of all its tanks, full to the rim."""
        return sum(size.mass for size, _ in self.tanks)

    @property
    def height(self) -> Metre:
        """Of its highest tank."""
        return max((size.height for size, _ in self.tanks), default=0.0)

    @property
    def lowest_hole(self) -> Metre | None:
        """Over the shelf; None when no tank is drilled."""
        return min((size.hole_up for size, _ in self.tanks if size.hole_up is not None), default=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class TankRow:
    """Tanks of one kind side by side, as a plan says them. `gap` is None for a single tank, `wide` is of each."""

    kind: str
    ids: tuple[str, ...]
    from_left: Metre
    wide: Metre
    gap: Metre | None
    end_on: bool
    state: State


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedRack:
    """One rack of a proposal: along a wall, or as an island with the place of its south-west corner in its room."""

    id: str
    kind: str
    room: str
    zone: str | None
    wall: Wall | None
    along: Metre | None
    off_wall: Metre
    at: tuple[Metre, Metre] | None
    facing: Wall
    tied: bool | None
    shelves: tuple[tuple[TankRow, ...], ...]

    @property
    def tanks(self) -> int:
        """On all its shelves."""
        return sum(len(row.ids) for shelf in self.shelves for row in shelf)


@dataclass(frozen=True, slots=True, kw_only=True)
class KindCount:
    """How many tanks of a kind there are, how many are wished for at least, and how many are missing to that."""

    kind: str
    count: int
    wanted: int = 0

    @property
    def short(self) -> int:
        """How many are missing."""
        return max(self.wanted - self.count, 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """One arrangement, laid out and judged. Tanks and litres are of the whole room, racks that stay counted in.

    `racks` are those that are put in. `moved` are tanks that were there and stand elsewhere, `comes` and `goes` those
    that are new or no longer there; `drops` says what else of the plan goes. `cost` is of what is not there yet.
    `walking` is from the door to each rack, straight, and added up. `findings` are of `study`, worst first.
    """

    number: int
    racks: tuple[PlacedRack, ...]
    tanks: int
    litres: CubicMetre
    cost: float | None
    walking: Metre
    counts: tuple[KindCount, ...]
    short_of: CubicMetre
    change: TakeArrangement
    text: str
    room: Room
    study: Study
    findings: tuple[Finding, ...]
    moved: tuple[str, ...]
    comes: tuple[str, ...]
    goes: tuple[str, ...]
    drops: tuple[str, ...]

    def value(self, best: Best) -> float:
        """What it comes to in what was sought."""
        if best == "tanks":
            return float(self.tanks)
        return {"litres": self.litres, "cost": self.cost or 0.0, "walking": self.walking}[best]

    @property
    def meets_the_wish(self) -> bool:
        """True when nothing is missing to what was wished for at least."""
        return self.short_of <= 0.0 and not any(one.short for one in self.counts)


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrangements:
    """What fits in a room, best first.

    `bound` is what no arrangement on the places tried can pass, in the unit of `best`; None where even that is not
    known. `proved` says that the first proposal reaches it. `places` racks' places were tried, every `step` along
    walls; `rounds` times it was solved again because a rack could not be walked to or a check said no.
    """

    wish: Wish
    room: str
    best: Best
    proposals: tuple[Proposal, ...] = ()
    bound: float | None = None
    proved: bool = False
    places: int = 0
    step: Metre = 0.0
    rounds: int = 0
    currency: str = ""
    findings: tuple[Finding, ...] = ()
