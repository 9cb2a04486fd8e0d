"""Which fittings join the legs that meet in one spot, and how much of each leg they take up.

The take-up is from the spot to where the pipe stops in the fitting's socket: a piece is as much shorter than the
way between two spots as its two fittings take up.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from tankwright.takeoff.webs import STRAIGHT, Away, turn
from tankwright.units import Metre

CRANKED = math.radians(12.0)
"""How far the nearest elbows may miss a drawn corner without a word: two joints take up that much. Source: common
practice, no source."""

SPRUNG = math.radians(15.0)
"""How far from square a branch may leave a tee. Source: common practice, no source."""

BENDS = (
    (45.0, ("elbow 45",)),
    (90.0, ("elbow 90",)),
    (135.0, ("elbow 90", "elbow 45")),
    (180.0, ("elbow 90",) * 2),
)
"""Degrees, and the elbows that make them one after the other."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measures:
    """What the fittings of one pipe take up, centre to the stop in the socket, and how deep their sockets are."""

    elbow_90: Metre
    elbow_45: Metre
    tee: Metre
    socket: Metre

    @property
    def stub(self) -> Metre:
        """The shortest piece that joins two fittings: it fills both sockets."""
        return 2.0 * self.socket

    @property
    def between_tees(self) -> Metre:
        """Centre to centre of two tees joined by the shortest piece."""
        return 2.0 * self.tee + self.stub

    def elbow(self, name: str) -> Metre:
        """What one side of an elbow takes up."""
        return self.elbow_45 if name == "elbow 45" else self.elbow_90


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """The fittings of a spot, what each leg loses to them, how many shortest pieces join them to each other, and by
    how much (rad) the nearest fittings miss the drawn angles."""

    fittings: tuple[str, ...] = ()
    reaches: tuple[Metre, ...] = ()
    stubs: int = 0
    missed: float = 0.0


def shape_of(legs: Sequence[Away], measures: Measures) -> Shape:
    """How the legs that leave a spot in these directions are joined.

    >>> small = Measures(elbow_90=0.011, elbow_45=0.005, tee=0.011, socket=0.016)
    >>> shape_of(((1, 0, 0), (0, 1, 0)), small).fittings
    ('elbow 90',)
    >>> shape_of(((1, 0, 0), (-1, 0, 0), (0, 0, 1), (0, 0, -1)), small).fittings
    ('tee', 'tee')
    """
    if len(legs) < 2:
        return Shape(reaches=(0.0,) * len(legs))
    if len(legs) == 2:
        return _corner(turn(legs[0], legs[1]), measures)
    return _tees(legs, measures)


def _corner(angle: float, measures: Measures) -> Shape:
    if angle <= STRAIGHT:
        return Shape(reaches=(0.0, 0.0))
    elbows, missed = _bend(angle)
    if len(elbows) == 1:
        reach = measures.elbow(elbows[0])
        return Shape(fittings=elbows, reaches=(reach, reach), missed=missed)
    # two elbows: the spot lies in the middle of the piece between them
    reaches = tuple(2.0 * measures.elbow(elbow) + measures.socket for elbow in elbows)
    return Shape(fittings=elbows, reaches=reaches, stubs=1, missed=missed)


def _tees(legs: Sequence[Away], measures: Measures) -> Shape:
    """A straight run of as many tees as there are further legs, their branches turned to those."""
    first, second = min(
        combinations(range(len(legs)), 2), key=lambda pair: turn(legs[pair[0]], legs[pair[1]])
    )
    tees = len(legs) - 2
    reaches = [measures.tee] * len(legs)
    for one in (first, second):
        reaches[one] += (tees - 1) / 2.0 * measures.between_tees
    fittings, stubs, missed = ["tee"] * tees, tees - 1, 0.0
    bends = {second: turn(legs[first], legs[second])}
    for one in range(len(legs)):
        if one not in (first, second):
            off = abs(math.pi / 2.0 - turn(legs[first], legs[one]))
            bends[one] = off if off > SPRUNG else 0.0
    for one, angle in bends.items():
        if angle > STRAIGHT:
            elbows, off = _bend(angle)
            fittings += elbows
            stubs += len(elbows)
            missed = max(missed, off)
            reaches[one] += sum(measures.stub + 2.0 * measures.elbow(elbow) for elbow in elbows)
    return Shape(fittings=tuple(fittings), reaches=tuple(reaches), stubs=stubs, missed=missed)


def _bend(angle: float) -> tuple[tuple[str, ...], float]:
    """The elbows nearest to an angle (rad), and by how much they miss it."""
    degrees, elbows = min(BENDS, key=lambda bend: abs(math.degrees(angle) - bend[0]))
    return elbows, abs(angle - math.radians(degrees))
