"""The panes of a kind of tank, each seen from OUTSIDE: the face of the finished tank, and the glass it is glued from.

A pane is measured from its lower edge and from its left edge as one sees them standing outside in front of that pane.
So the back pane is mirrored against the front view in which a plan is written: what is left there is right here.
The base is seen from underneath, the tank turned over forwards onto its rim: its back edge is then the lower one.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from tankwright.origin import Known
from tankwright.room.model import HolePlace, Pane, Room, Tank
from tankwright.units import Metre

_SAME = 1e-9  # m
LOWER_EDGE: dict[Pane, str] = {
    "front": "bottom", "back": "bottom", "left": "bottom", "right": "bottom", "base": "back",
}  # fmt: skip
LEFT_EDGE: dict[Pane, str] = {
    "front": "left",
    "back": "right",
    "left": "back",
    "right": "front",
    "base": "left",
}
"""Which edge of the tank, named as from its front, is the lower and which the left one of a pane seen from outside."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PaneHole:
    """A hole: its centre from the left and from the lower edge of its pane, seen from outside.

    `guessed` is True where the plan does not say where it goes and an assumption stands in for that. `number` is which
    of its tank's holes it is, `to_order` True where whoever sells the glass drills it.
    """

    across: Metre
    up: Metre
    diameter: Known
    flange: Known | None
    guessed: bool = False
    number: int = 1
    to_order: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class TankPane:
    """One pane of a kind of tank, seen from outside. `finished` is a face of the glued tank, not a cut pane.

    `hole` is the hole that is looked at, `others` are the further ones of the same pane.
    """

    kind: str
    pane: Pane
    width: Metre
    height: Metre
    thickness: Known
    toughened: bool
    temper: str
    finished: bool
    hole: PaneHole | None = None
    others: tuple[PaneHole, ...] = ()

    @property
    def holes(self) -> tuple[PaneHole, ...]:
        """Every hole of the pane, the one that is looked at first."""
        return (*((self.hole,) if self.hole is not None else ()), *self.others)

    def at_hole(self, number: int) -> TankPane:
        """The same pane, looking at another of its holes; ValueError where it has no hole of that number."""
        hole = next((one for one in self.holes if one.number == number), None)
        if hole is None:
            raise ValueError(f"the {self.pane} pane of {self.kind} has no hole {number}")
        return replace(self, hole=hole, others=tuple(one for one in self.holes if one is not hole))

    @property
    def edges(self) -> tuple[tuple[str, Metre], ...]:
        """Clear glass from the hole's rim to the left, right, lower and upper edge as seen; nothing without a hole."""
        if self.hole is None:
            return ()
        radius = self.hole.diameter.value / 2.0
        return (
            ("left", self.hole.across - radius),
            ("right", self.width - self.hole.across - radius),
            ("lower", self.hole.up - radius),
            ("upper", self.height - self.hole.up - radius),
        )


def kinds_of(room: Room) -> tuple[Tank, ...]:
    """The first tank of each kind, in the order they stand."""
    first: dict[str, Tank] = {}
    for tank in room.tanks:
        first.setdefault(tank.kind, tank)
    return tuple(first.values())


def sides_of(tank: Tank) -> tuple[Metre, Metre, Metre]:
    """Length, depth and height of a tank's kind, however it is turned on its shelf."""
    length, depth = (tank.depth, tank.length) if tank.end_on else (tank.length, tank.depth)
    return length, depth, tank.height


def finished_pane(tank: Tank, pane: Pane, assumed: Iterable[Known] = ()) -> TankPane:
    """One face of the finished tank, measured from its outside edges: that of the base from its underside.

    `assumed` are the room's assumptions: a hole exactly where one of them puts it is taken as guessed.
    """
    length, depth, height = sides_of(tank)
    width, tall = {"base": (length, depth), "left": (depth, height), "right": (depth, height)}.get(
        pane, (length, height)
    )
    known = {one.key: one.value for one in assumed}
    holes = [_hole(hole, width, tall, known) for hole in tank.holes if hole.pane == pane]
    return TankPane(
        kind=tank.kind,
        pane=pane,
        width=width,
        height=tall,
        thickness=tank.glass_base if pane == "base" else tank.glass_side,
        toughened=pane in tank.toughened,
        temper=tank.temper,
        finished=True,
        hole=holes[0] if holes else None,
        others=tuple(holes[1:]),
    )


def _hole(hole: HolePlace, width: Metre, tall: Metre, assumed: Mapping[str, float]) -> PaneHole:
    """A hole as it lies in its pane. The plan measures from the left seen from the front, from the front on an end, and
    from the back on the base: that edge is the left one as seen for some panes, the right one for others."""
    pane = hole.pane
    clear, radius = dict(hole.edge_distances), hole.diameter.value / 2.0
    near = clear["front" if pane in ("left", "right") else "left"] + radius
    across = near if pane in ("front", "right", "base") else width - near
    up = clear["back"] + radius if pane == "base" else tall - clear["top"] - radius
    far = ("hole.from_back", up) if pane == "base" else ("hole.below_rim", tall - up)
    guessed = hole.number == 1 and any(  # the place of a further one is always said
        key in assumed and abs(assumed[key] - said) < _SAME for key, said in (("hole.from_left", near), far)
    )
    return PaneHole(
        across=across, up=up, diameter=hole.diameter, flange=hole.flange, guessed=guessed, number=hole.number,
        to_order=hole.to_order,
    )  # fmt: skip


def cut_panes(tank: Tank, assumed: Iterable[Known] = ()) -> tuple[TankPane, ...]:
    """The five panes a tank of this kind is glued from: the base under the walls, front and back over the whole
    length, the ends between them. Nothing is taken off for silicone.

    Source: common practice, no source; a tank whose walls stand around its base has other panes.
    """
    side, base = tank.glass_side.value, tank.glass_base.value
    panes: list[TankPane] = []
    names: tuple[Pane, ...] = ("base", "front", "back", "left", "right")
    for name in names:
        face = finished_pane(tank, name, assumed)
        if name == "base":
            panes.append(replace(face, finished=False))
            continue
        between = side if name in ("left", "right") else 0.0
        holes = [replace(one, across=one.across - between, up=one.up - base) for one in face.holes]
        panes.append(
            replace(
                face, finished=False, width=face.width - 2.0 * between, height=face.height - base,
                hole=holes[0] if holes else None, others=tuple(holes[1:]),
            )
        )  # fmt: skip
    return tuple(panes)
