"""A straight beam of one section under patches and points of weight, on two supports or several: exact.

Between the places where something changes, shear, moment, slope and deflection are polynomials; they are walked
from end to end, and the forces of middle supports follow from the beam not moving there. Joints carry no moment.

Source: Euler-Bernoulli beam theory, and Timoshenko's shear deflection where a shear stiffness is given; any textbook
of structural analysis.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Annotated, Final, NamedTuple

from tankwright.physics.ranges import require
from tankwright.units import Metre, Newton, NewtonMetre, NewtonPerMetre, Radian, Unit

NewtonSquareMetre = Annotated[float, Unit("N*m**2")]

NEAR: Final = 1e-9
"""m within which two places of a beam are one."""
HALVINGS: Final = 60
"""Enough that the place of the deepest sag is exact to the last digits of a float."""


class EvenLoad(NamedTuple):
    """Weight spread evenly from `start` to `end`."""

    start: Metre
    end: Metre
    load: NewtonPerMetre


class PointLoad(NamedTuple):
    """Weight at one place."""

    at: Metre
    force: Newton


class Stretch(NamedTuple):
    """A length of beam over which nothing changes, and the state at its left end; sag and slope times E I."""

    start: Metre
    load: NewtonPerMetre
    shear: Newton
    moment: NewtonMetre
    slope: float
    sag: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BeamAnswer:
    """What a beam does under its load; places are from its left end, sag and reactions count downwards and upwards.

    `moment` is the largest of either sign as a size, `sagging` the largest that pulls on the underside, `hogging` the
    one that pulls on the top, both as sizes. `shear` is the largest size.
    """

    length: Metre
    supports: tuple[Metre, ...]
    reactions: tuple[Newton, ...]
    moment: NewtonMetre
    moment_at: Metre
    sagging: NewtonMetre
    hogging: NewtonMetre
    shear: Newton
    shear_at: Metre
    sag: Metre
    sag_at: Metre
    curve: tuple[tuple[Metre, Metre], ...]
    stretches: tuple[Stretch, ...] = field(repr=False)
    bending_stiffness: NewtonSquareMetre
    shear_flexibility: float

    def shear_here(self, x: Metre) -> Newton:
        """Shear just right of a place, upwards on the left part."""
        one, t = self._at(x)
        return one.shear - one.load * t

    def moment_here(self, x: Metre) -> NewtonMetre:
        """Moment at a place, positive where it pulls on the underside."""
        return _moment(*self._at(x))

    def slope_here(self, x: Metre) -> Radian:
        """Slope at a place, positive where the beam falls to the right; without what shear adds."""
        return _slope(*self._at(x), 0.0) / self.bending_stiffness

    def sag_here(self, x: Metre) -> Metre:
        """How far the beam has come down at a place."""
        return _sag(*self._at(x), self.shear_flexibility) / self.bending_stiffness

    def _at(self, x: Metre) -> tuple[Stretch, Metre]:
        require("x", x, -NEAR, self.length + NEAR, "m")
        one = self.stretches[max(bisect_right(self.stretches, x, key=lambda each: each.start) - 1, 0)]
        return one, x - one.start


def simple_beam(
    *,
    span: Metre,
    patches: tuple[tuple[Metre, Metre, NewtonPerMetre], ...] = (),
    points: tuple[tuple[Metre, Newton], ...] = (),
    bending_stiffness: NewtonSquareMetre,
    shear_stiffness: Newton | None = None,
    steps: int = 40,
) -> BeamAnswer:
    """A beam on its two ends. `bending_stiffness` is E I; `shear_stiffness` is G A / 1.2 of a full rectangle,
    None for a beam that shear does not bend.

    `patches` are (start, end, load), `points` (at, force); weights only, so none below 0. Raises OutsideValidRange.

    Source: beam theory of Euler and Bernoulli, with Timoshenko's shear.

    >>> answer = simple_beam(span=2.0, patches=((0.0, 2.0, 600.0),), bending_stiffness=10e3)
    >>> answer.moment, answer.reactions, round(answer.sag * 1000, 2)
    (300.0, (600.0, 600.0), 12.5)
    """
    return continuous_beam(
        length=span,
        supports=(0.0, span),
        patches=patches,
        points=points,
        bending_stiffness=bending_stiffness,
        shear_stiffness=shear_stiffness,
        steps=steps,
    )


def continuous_beam(
    *,
    length: Metre,
    supports: tuple[Metre, ...],
    patches: tuple[tuple[Metre, Metre, NewtonPerMetre], ...] = (),
    points: tuple[tuple[Metre, Newton], ...] = (),
    bending_stiffness: NewtonSquareMetre,
    shear_stiffness: Newton | None = None,
    steps: int = 40,
) -> BeamAnswer:
    """A beam in one piece over two supports or more, which may stand in from its ends; they hold it down as well.

    A reaction below 0 is a support that must hold the beam down.

    Source: beam theory as above; the middle forces by the flexibility method.

    >>> two = continuous_beam(length=2.0, supports=(0, 1, 2), patches=((0, 2, 800.0),), bending_stiffness=1e4)
    >>> [round(one, 6) for one in two.reactions], round(two.hogging, 6)
    ([300.0, 1000.0, 300.0], 100.0)
    """
    require("length", length, 0.01, 100.0, "m")
    require("bending_stiffness", bending_stiffness, 1e-3, 1e13, "N*m**2")
    require("steps", steps, 1, 1000, "1")
    if shear_stiffness is not None:
        require("shear_stiffness", shear_stiffness, 1e-3, 1e13, "N")
    loads = _loads(length, patches, points)
    stands = _supports(length, supports)
    flexibility = 0.0 if shear_stiffness is None else bending_stiffness / shear_stiffness
    reactions = _reactions(length, stands, loads, flexibility)
    stretches = _held(_walked(length, stands, reactions, loads), stands, flexibility)
    places = [*sorted({each.start for each in stretches} | {length})]
    moment, moment_at, shear, shear_at = _extremes(stretches, places)
    sag, sag_at = _deepest(stretches, places, flexibility)
    answer = BeamAnswer(
        length=length,
        supports=stands,
        reactions=reactions,
        moment=max(moment),
        moment_at=moment_at,
        sagging=moment[0],
        hogging=moment[1],
        shear=shear,
        shear_at=shear_at,
        sag=sag / bending_stiffness,
        sag_at=sag_at,
        curve=(),
        stretches=stretches,
        bending_stiffness=bending_stiffness,
        shear_flexibility=flexibility,
    )
    xs = [length * index / steps for index in range(steps)] + [length]
    object.__setattr__(answer, "curve", tuple((x, answer.sag_here(x)) for x in xs))
    return answer


class _Loads(NamedTuple):
    patches: tuple[EvenLoad, ...]
    points: tuple[PointLoad, ...]

    @property
    def total(self) -> Newton:
        return sum(one.load * (one.end - one.start) for one in self.patches) + sum(
            one.force for one in self.points
        )

    def about(self, x: Metre) -> NewtonMetre:
        """Moment of the loads about a place, positive for loads right of it."""
        spread = sum(
            one.load * (one.end - one.start) * ((one.start + one.end) / 2.0 - x) for one in self.patches
        )
        return spread + sum(one.force * (one.at - x) for one in self.points)


def _loads(
    length: Metre, patches: tuple[tuple[float, float, float], ...], points: tuple[tuple[float, float], ...]
) -> _Loads:
    for start, end, load in patches:
        require("start", start, 0.0, length + NEAR, "m")
        require("end", end, start, length + NEAR, "m")
        require("load", load, 0.0, 1e7, "N/m")
    for at, force in points:
        require("at", at, 0.0, length + NEAR, "m")
        require("force", force, 0.0, 1e8, "N")
    return _Loads(
        tuple(
            EvenLoad(start, min(end, length), load) for start, end, load in patches if end > start and load
        ),
        tuple(PointLoad(min(at, length), force) for at, force in points if force),
    )


def _supports(length: Metre, supports: tuple[Metre, ...]) -> tuple[Metre, ...]:
    require("supports", len(supports), 2, 100, "1")
    before = -1.0
    for one in supports:
        require("supports", one, max(before + 1e-3, 0.0), length + NEAR, "m")
        before = one
    return tuple(min(float(one), length) for one in supports)


def _reactions(
    length: Metre, stands: tuple[Metre, ...], loads: _Loads, flexibility: float
) -> tuple[Newton, ...]:
    """Forces of the supports: by balance for two, and so that the beam does not move at those between."""
    first, *middle, last = stands
    if not middle:
        return _balanced(first, last, loads)
    ends = (first, last)

    def moved(some: _Loads) -> list[float]:
        stretches = _held(_walked(length, ends, _balanced(first, last, some), some), ends, flexibility)
        return [_sag_at(stretches, x, flexibility) for x in middle]

    by_one = [moved(_Loads((), (PointLoad(x, 1.0),))) for x in middle]
    forces = _solved([list(column) for column in zip(*by_one, strict=True)], moved(loads))
    lifted = _Loads(
        loads.patches,
        (*loads.points, *(PointLoad(x, -force) for x, force in zip(middle, forces, strict=True))),
    )
    left, right = _balanced(first, last, lifted)
    return (left, *forces, right)


def _balanced(first: Metre, last: Metre, loads: _Loads) -> tuple[Newton, Newton]:
    right = loads.about(first) / (last - first)
    return loads.total - right, right


def _solved(matrix: list[list[float]], wanted: list[float]) -> list[float]:
    """Unknowns of a small well-conditioned system, by elimination with the largest pivot."""
    size = len(wanted)
    rows = [[*row, value] for row, value in zip(matrix, wanted, strict=True)]
    for column in range(size):
        best = max(range(column, size), key=lambda at: abs(rows[at][column]))
        rows[column], rows[best] = rows[best], rows[column]
        for row in rows[column + 1 :]:
            factor = row[column] / rows[column][column]
            for at in range(column, size + 1):
                row[at] -= factor * rows[column][at]
    found = [0.0] * size
    for at in reversed(range(size)):
        known = sum(rows[at][other] * found[other] for other in range(at + 1, size))
        found[at] = (rows[at][size] - known) / rows[at][at]
    return found


def _walked(
    length: Metre, stands: tuple[Metre, ...], reactions: tuple[Newton, ...], loads: _Loads
) -> tuple[Stretch, ...]:
    """Stretches from left to right, as if the left end had neither sag nor slope."""
    ends = [place for one in loads.patches for place in (one.start, one.end)]
    breaks = sorted({0.0, length, *stands, *ends, *(one.at for one in loads.points)})
    places = [breaks[0]] + [right for left, right in pairwise(breaks) if right - left > NEAR]
    stretches: list[Stretch] = []
    shear, moment, slope, sag = 0.0, 0.0, 0.0, 0.0
    jumps = [*zip(stands, reactions, strict=True), *((one.at, -one.force) for one in loads.points)]
    for left, right in pairwise(places):
        shear += sum(force for at, force in jumps if left - NEAR <= at < right - NEAR)
        here = (left + right) / 2.0
        load = sum(one.load for one in loads.patches if one.start <= here <= one.end)
        one = Stretch(left, load, shear, moment, slope, sag)
        stretches.append(one)
        t = right - left
        shear, moment, slope, sag = shear - load * t, _moment(one, t), _slope(one, t, 0.0), _sag(one, t, 0.0)
        jumps = [jump for jump in jumps if jump[0] >= right - NEAR]
    return tuple(stretches)


def _held(
    stretches: tuple[Stretch, ...], stands: tuple[Metre, ...], flexibility: float
) -> tuple[Stretch, ...]:
    """The same beam turned and lifted so that it rests on its outer supports."""
    first, last = stands[0], stands[-1]
    left, right = (_sag_at(stretches, x, flexibility) for x in (first, last))
    turn = (left - right) / (last - first)
    return tuple(
        one._replace(slope=one.slope + turn, sag=one.sag - left + turn * (one.start - first))
        for one in stretches
    )


def _sag_at(stretches: tuple[Stretch, ...], x: Metre, flexibility: float) -> float:
    one = stretches[max(bisect_right(stretches, x, key=lambda each: each.start) - 1, 0)]
    return _sag(one, x - one.start, flexibility)


def _moment(one: Stretch, t: Metre) -> NewtonMetre:
    return one.moment + one.shear * t - one.load * t**2 / 2.0


def _slope(one: Stretch, t: Metre, flexibility: float) -> float:
    bent = one.slope - (one.moment * t + one.shear * t**2 / 2.0 - one.load * t**3 / 6.0)
    return bent + flexibility * (one.shear - one.load * t)


def _sag(one: Stretch, t: Metre, flexibility: float) -> float:
    bent = one.sag + one.slope * t
    bent -= one.moment * t**2 / 2.0 + one.shear * t**3 / 6.0 - one.load * t**4 / 24.0
    return bent + flexibility * _moment(one, t)


def _extremes(
    stretches: tuple[Stretch, ...], places: list[Metre]
) -> tuple[tuple[NewtonMetre, NewtonMetre], Metre, Newton, Metre]:
    """((largest sagging, largest hogging), place of the larger, largest shear, its place)."""
    moments, shears = [(0.0, 0.0)], [(0.0, 0.0)]
    for one, end in zip(stretches, places[1:], strict=True):
        t = end - one.start
        moments += [(one.moment, one.start), (_moment(one, t), end)]
        shears += [(one.shear, one.start), (one.shear - one.load * t, end)]
        if one.load and 0.0 < one.shear / one.load < t:
            top = one.shear / one.load
            moments.append((_moment(one, top), one.start + top))
    sagging, sagging_at = max(moments, key=lambda pair: pair[0])
    hogging, hogging_at = min(moments, key=lambda pair: pair[0])
    shear, shear_at = max(shears, key=lambda pair: abs(pair[0]))
    moment_at = sagging_at if sagging >= -hogging else hogging_at
    return (sagging, -hogging), moment_at, abs(shear), shear_at


def _deepest(stretches: tuple[Stretch, ...], places: list[Metre], flexibility: float) -> tuple[float, Metre]:
    """Largest sag times E I, and its place: where the slope changes its sign, or an end of a stretch."""
    found = [(0.0, places[0])]
    for one, end in zip(stretches, places[1:], strict=True):
        length = end - one.start
        quarters = [length * share / 4.0 for share in range(5)]
        slopes = [_slope(one, t, flexibility) for t in quarters]
        found += [(_sag(one, t, flexibility), one.start + t) for t in (0.0, length)]
        for (low, falls), (high, rises) in pairwise(zip(quarters, slopes, strict=True)):
            if falls > 0.0 >= rises:
                t = _level(one, low, high, flexibility)
                found.append((_sag(one, t, flexibility), one.start + t))
    return max(found, key=lambda pair: pair[0])


def _level(one: Stretch, low: Metre, high: Metre, flexibility: float) -> Metre:
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if _slope(one, middle, flexibility) > 0.0 else (low, middle)
    return low
