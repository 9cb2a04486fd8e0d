"""Pipes of a laid-out run as they are built: spots where something meets, and straight legs between spots.

The network that is solved has a node at every tap and may name one place twice; who builds it sees one pipe there.
So places that are the same are one spot, a way that two pipes of the network share is one leg, and every corner
of a drawn path is a spot.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise, product

from tankwright.room.model import Place
from tankwright.units import Metre

SAME_SPOT = 1e-3
"""m below which two places are one: no two fittings stand so close."""

STRAIGHT = math.radians(6.0)
"""How far a pipe may turn without a fitting: plastic pipe is sprung that much between two clips. Source: common
practice, no source."""

Away = tuple[float, float, float]
"""The direction in which a leg leaves a spot, of length 1."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Strand:
    """One pipe of the network. A `length` that is stated and not drawn makes one leg, in `towards` at its end."""

    id: str
    start: str
    end: str
    path: tuple[Place, ...]
    pipe: str
    bore: Metre
    length: Metre | None = None
    towards: Away = (0.0, 0.0, 1.0)


@dataclass(slots=True, kw_only=True)
class Spot:
    """One place where legs meet or end. `nodes` are the nodes of the network that lie there."""

    name: str
    place: Place
    nodes: list[str] = field(default_factory=list)
    legs: list[int] = field(default_factory=list)


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """A straight pipe from one spot to another. `strands` are the pipes of the network that run in it."""

    start: int
    end: int
    length: Metre
    away: tuple[Away, Away]
    pipe: str
    bore: Metre
    strands: tuple[str, ...]

    def other(self, spot: int) -> int:
        """The spot at its other end."""
        return self.end if spot == self.start else self.start

    def leaves(self, spot: int) -> Away:
        """The direction in which it leaves a spot."""
        return self.away[0] if spot == self.start else self.away[1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Web:
    """All spots and legs of one run. `spot_of` gives the spot of every node of the network."""

    spots: tuple[Spot, ...]
    legs: tuple[Leg, ...]
    spot_of: dict[str, int]

    @property
    def length(self) -> Metre:
        """Of all its legs."""
        return math.fsum(leg.length for leg in self.legs)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """Legs one after another with no fitting between them: one pipe, from one spot to another."""

    spots: tuple[int, ...]
    legs: tuple[int, ...]
    length: Metre


def web_of(nodes: Iterable[tuple[str, Place]], strands: Iterable[Strand]) -> Web:
    """The spots and legs of a run from the nodes and pipes of its network.

    >>> bent = Strand(id="p", start="a", end="b", path=((0, 0, 0), (2, 0, 0), (2, 1, 0)), pipe="", bore=0.02)
    >>> web = web_of((("a", (0, 0, 0)), ("b", (2, 1, 0))), (bent,))
    >>> [spot.name for spot in web.spots], [leg.length for leg in web.legs]
    (['a', 'b', 'corner 1 of p'], [2.0, 1.0])
    """
    places = _Places()
    for name, place in nodes:
        places.node(name, place)
    for strand in strands:
        places.strand(strand)
    legs = tuple(places.legs)
    for index, leg in enumerate(legs):
        places.spots[leg.start].legs.append(index)
        places.spots[leg.end].legs.append(index)
    return Web(spots=tuple(places.spots), legs=legs, spot_of=places.spot_of)


class _Places:
    """Spots found by their place, legs found by their ends."""

    def __init__(self) -> None:
        self.spots: list[Spot] = []
        self.legs: list[Leg] = []
        self.spot_of: dict[str, int] = {}
        self._cells: dict[tuple[int, int, int], list[int]] = {}
        self._between: dict[tuple[int, int], int] = {}

    def node(self, name: str, place: Place) -> None:
        spot = self._spot(place, name)
        self.spots[spot].nodes.append(name)
        self.spot_of[name] = spot

    def strand(self, strand: Strand) -> None:
        start, end = self.spot_of[strand.start], self.spot_of[strand.end]
        if strand.length is not None:
            self._stated(strand, start, end)
            return
        inner = [self._spot(place, f"corner {number} of {strand.id}")
                 for number, place in enumerate(strand.path[1:-1], start=1)]  # fmt: skip
        for one, other in pairwise((start, *inner, end)):
            if one != other:
                self._leg(strand, one, other)

    def _stated(self, strand: Strand, start: int, end: int) -> None:
        """A leg of stated length: a spot of its own at its start where the network has both ends in one place."""
        assert strand.length is not None
        x, y, z = self.spots[end].place
        along = strand.towards
        if start == end:
            here: Place = (
                x + along[0] * strand.length, y + along[1] * strand.length, z + along[2] * strand.length
            )  # fmt: skip
            start = len(self.spots)
            self.spots.append(Spot(name=strand.start, place=here, nodes=[strand.start]))
            self.spots[end].nodes.remove(strand.start)
            self.spots[end].name = self.spots[end].nodes[0]
            self.spot_of[strand.start] = start
        back: Away = (-along[0], -along[1], -along[2])
        self.legs.append(
            Leg(
                start=start,
                end=end,
                length=strand.length,
                away=(back, along),
                pipe=strand.pipe,
                bore=strand.bore,
                strands=(strand.id,),
            )
        )

    def _spot(self, place: Place, name: str) -> int:
        cell = tuple(math.floor(one / SAME_SPOT) for one in place)
        for step in product((0, -1, 1), repeat=3):
            near = (cell[0] + step[0], cell[1] + step[1], cell[2] + step[2])
            for spot in self._cells.get(near, ()):
                if math.dist(self.spots[spot].place, place) <= SAME_SPOT:
                    return spot
        self.spots.append(Spot(name=name, place=place))
        self._cells.setdefault((cell[0], cell[1], cell[2]), []).append(len(self.spots) - 1)
        return len(self.spots) - 1

    def _leg(self, strand: Strand, one: int, other: int) -> None:
        ends = (min(one, other), max(one, other))
        known = self._between.get(ends)
        if known is not None:
            leg = self.legs[known]
            self.legs[known] = Leg(
                start=leg.start,
                end=leg.end,
                length=leg.length,
                away=leg.away,
                pipe=leg.pipe if leg.bore >= strand.bore else strand.pipe,
                bore=max(leg.bore, strand.bore),
                strands=(*leg.strands, strand.id),
            )
            return
        self._between[ends] = len(self.legs)
        start, end = self.spots[one].place, self.spots[other].place
        length = math.dist(start, end)
        along: Away = (
            (end[0] - start[0]) / length,
            (end[1] - start[1]) / length,
            (end[2] - start[2]) / length,
        )
        self.legs.append(
            Leg(
                start=one,
                end=other,
                length=length,
                away=(along, (-along[0], -along[1], -along[2])),
                pipe=strand.pipe,
                bore=strand.bore,
                strands=(strand.id,),
            )
        )


def turn(one: Away, other: Away) -> float:
    """How far a pipe turns that comes by one leg and goes on by the other: 0 when it goes straight on.

    >>> round(math.degrees(turn((-1, 0, 0), (0, 1, 0))))
    90
    """
    return math.pi - math.acos(max(-1.0, min(1.0, sum(a * b for a, b in zip(one, other, strict=True)))))


def passes(web: Web, spot: int) -> bool:
    """Whether the pipe goes on through a spot uncut: two legs of one pipe in a straight line."""
    legs = [web.legs[leg] for leg in web.spots[spot].legs]
    if len(legs) != 2 or (legs[0].pipe, legs[0].bore) != (legs[1].pipe, legs[1].bore):
        return False
    return turn(legs[0].leaves(spot), legs[1].leaves(spot)) <= STRAIGHT


def stretches(web: Web, cut: Sequence[bool]) -> tuple[Stretch, ...]:
    """The pipes between the spots where it is `cut`. A ring cut nowhere is cut at its first spot."""
    found: list[Stretch] = []
    seen = [False] * len(web.legs)
    begins = [spot for spot in range(len(web.spots)) if cut[spot]]
    for begin in (*begins, *range(len(web.spots))):
        for first in web.spots[begin].legs:
            if not seen[first]:
                found.append(_from(web, cut, begin, first, seen))
    return tuple(found)


def _from(web: Web, cut: Sequence[bool], begin: int, first: int, seen: list[bool]) -> Stretch:
    spots, legs, leg = [begin], [first], first
    seen[first] = True
    while True:
        here = web.legs[leg].other(spots[-1])
        spots.append(here)
        onward = [one for one in web.spots[here].legs if not seen[one]]
        if cut[here] or here == begin or len(onward) != 1:
            break
        leg = onward[0]
        seen[leg] = True
        legs.append(leg)
    return Stretch(
        spots=tuple(spots), legs=tuple(legs), length=math.fsum(web.legs[one].length for one in legs)
    )
