"""The fittings and the pipe pieces of a run of pressure pipe, from its spots and legs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from tankwright.finding import Number, Severity
from tankwright.takeoff.fittings import Fitting
from tankwright.takeoff.joints import Joiner, PipeKind
from tankwright.takeoff.laying import Layer
from tankwright.takeoff.putting import joined, put
from tankwright.takeoff.shapes import CRANKED, Shape, shape_of
from tankwright.takeoff.tally import Tally, listed
from tankwright.takeoff.webs import Stretch, Web, passes, stretches
from tankwright.units import Metre

TAP = 0.01
"""m to either side of its middle that a tap or a dripper takes of the pipe it sits on. Source: common practice, no
source."""

LEVEL = 0.5
"""Sine of the rise from which on a pipe counts as upright, and its outlets leave it sideways."""


@dataclass(slots=True)
class Piping:
    """One run while it is counted. `kinds` are its pipes by the text of the plan and bore; `open_ends` are spots
    where one leg ends and no cap goes on, because something else is joined there. `tees` are those that lead off to
    outlets, by spot; at the spots `drilled` something sits on the pipe, which goes on uncut."""

    layer: Layer
    web: Web
    kinds: Mapping[tuple[str, Metre], PipeKind]
    open_ends: frozenset[int] = frozenset()
    tees: Mapping[int, tuple[Fitting, ...]] = field(default_factory=dict)
    drilled: frozenset[int] = frozenset()
    tally: Tally = field(init=False)
    joiner: Joiner = field(init=False)
    _cut: list[bool] = field(init=False)
    _reach: dict[tuple[int, int], Metre] = field(init=False, default_factory=dict)
    _socket: dict[int, Metre] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        self.tally, self.joiner = self.layer.tally, self.layer.joiner

    def count(self) -> None:
        """Every joint, then every piece between two of them."""
        self.tally.length += self.web.length
        self._cut = [spot in self.tees or not passes(self.web, spot) for spot in range(len(self.web.spots))]
        cranked: list[tuple[float, str]] = []
        for spot in range(len(self.web.spots)):
            if not self._cut[spot]:
                self._through(spot)
                continue
            shape = self._joint(spot)
            if shape.missed > CRANKED:
                cranked.append((shape.missed, self.tally.called(self.web.spots[spot].name)))
        for stretch in stretches(self.web, self._cut):
            self._piece(stretch)
        if cranked:
            self._say_cranked(cranked)

    def kind(self, leg: int) -> PipeKind:
        """The pipe of a leg."""
        one = self.web.legs[leg]
        return self.kinds[one.pipe, one.bore]

    def main(self, spot: int) -> PipeKind:
        """The widest pipe that meets in a spot: its fittings are of that size."""
        return max((self.kind(leg) for leg in self.web.spots[spot].legs), key=lambda one: one.outer)

    def _through(self, spot: int) -> None:
        pipe = self.kind(self.web.spots[spot].legs[0])
        for node in self.web.spots[spot].nodes:
            self.tally.joint(node, (pipe.words,) * 2, ())

    def _joint(self, spot: int) -> Shape:
        here = self.web.spots[spot]
        if not here.legs:
            return Shape()
        main = self.main(spot)
        shape, capped = self._shape(spot, main)
        self._socket[spot] = self.joiner.measures(main).socket
        for leg, reach in zip(here.legs, shape.reaches, strict=False):
            self._reach[spot, leg] = reach
            self.tally.taken_up += reach
        articles, why = put(self.tally, self.joiner, main, shape, here.name, self.tees.get(spot, ()))
        if capped:
            cap = Shape(fittings=("cap",), stubs=1 if spot in self.tees else 0)
            more, missing = put(self.tally, self.joiner, main, cap, here.name)
            articles, why = (*articles, *more), why or missing
        for leg in here.legs:
            if self.kind(leg).article != main.article:
                more, missing = self._reduced(main, self.kind(leg), here.name, bare=not shape.fittings)
                articles, why = (*articles, *more), why or missing
        ends = [self.kind(leg).words for leg in here.legs]
        for number, node in enumerate(here.nodes or [here.name]):
            # the same place twice in the network is one joint; its other names have none of its parts
            self.tally.joint(node, ends, articles if number == 0 else (), why)
        return shape

    def _shape(self, spot: int, main: PipeKind) -> tuple[Shape, bool]:
        """The fittings of a spot, and whether a cap closes it."""
        legs = [self.web.legs[leg].leaves(spot) for leg in self.web.spots[spot].legs]
        measures = self.joiner.measures(main)
        capped = len(legs) == 1 and spot not in self.open_ends
        off = self.tees.get(spot, ())
        if off:
            measures = replace(measures, tee=max(tee.take_ups[0] for tee in off))
            x, y, z = legs[0]
            if len(legs) == 1:
                legs.append((-x, -y, -z))
            legs += [(0.0, 0.0, 1.0) if abs(z) < LEVEL else (1.0, 0.0, 0.0)] * len(off)
        return shape_of(legs, measures), capped

    def _reduced(
        self, main: PipeKind, other: PipeKind, at: str, *, bare: bool
    ) -> tuple[tuple[str, ...], str]:
        """What leads from a fitting of the wide pipe, or from its bare end, to a narrower pipe."""
        part = self.joiner.part(main, "tee")
        start = main.end if bare or part is None else part.ends[0]
        return joined(
            self.tally,
            self.joiner,
            start,
            other.end,
            at,
            f"{self.tally.subject}, where {other.words} goes on at {self.tally.called(at)}",
        )

    def _piece(self, stretch: Stretch) -> None:
        first, last = stretch.spots[0], stretch.spots[-1]
        pipe = self.kind(stretch.legs[0])
        way = stretch.length
        asked = way - self._reach.get((first, stretch.legs[0]), 0.0)
        if first != last or len(stretch.legs) > 1:
            asked -= self._reach.get((last, stretch.legs[-1]), 0.0)
        ends = (first, last)
        least = sum(self._socket.get(spot, 0.0) for spot in ends)
        between = (self.web.spots[first].name, self.web.spots[last].name)
        self.layer.lay(pipe, asked, least, between, way=way, taps=self._taps(stretch), beside=TAP)

    def _taps(self, stretch: Stretch) -> list[Metre]:
        """How far along a pipe something sits on it, from where it is cut."""
        along = -self._reach.get((stretch.spots[0], stretch.legs[0]), 0.0)
        found = []
        for spot, leg in zip(stretch.spots[1:-1], stretch.legs, strict=False):
            along += self.web.legs[leg].length
            if spot in self.drilled:
                found.append(along)
        return found

    def _say_cranked(self, cranked: list[tuple[float, str]]) -> None:
        self.tally.find(
            "PART-04",
            Severity.NOTE,
            f"turns at {listed([name for _, name in cranked])} by an angle that no fitting has; "
            "the nearest is {missed} off",
            numbers=(("missed", Number(max(missed for missed, _ in cranked), "angle")),),
            reason="elbows are sold for 45 and 90 degrees; two turned against each other make what lies between",
            remedy="draw the run square, or turn two elbows against each other and measure",
        )
