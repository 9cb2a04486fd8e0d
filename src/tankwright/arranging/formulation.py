"""The constraint program of one search: a place has a rack or not, a class of racks has so many of each row of tanks.

Racks of one kind that may hold the same rows are one class: rows of a class are counted, and it is not asked on which
of its racks each stands, for that changes nothing.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from types import ModuleType
from typing import TYPE_CHECKING, Final, Literal

from tankwright.arranging.model import Place, Prices, Row
from tankwright.arranging.walkable import Opening
from tankwright.units import CubicMetre, Kilogram

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpModel, CpSolver, IntVar, LinearExpr

MILLILITRES: Final = 1e6
CENTS: Final = 100
MILLIMETRES: Final = 1000
_GRAMS: Final = 1000
_TANK: Final = 100_000
"""A tank that is missing weighs as much as so many millilitres."""

_RACK: Final = 10**8
"""Millilitres that are never worth one rack more, where only the neatest is sought."""

_MOST_RACKS: Final = 400
Goal = Literal["tanks", "litres", "cost", "walking", "short", "neat"]
"""Most of tanks and litres; least of cost, walking, "short" (what the wish lacks) and "neat" (racks, then litres)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RackClass:
    """Places of one kind of rack on whose shelves the same rows may stand."""

    kind: str
    places: tuple[int, ...]
    rows: tuple[tuple[Row, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What is wished for over what stands already: least and most of each kind, litres at least."""

    least: Mapping[str, int]
    most: Mapping[str, int]
    litres: CubicMetre = 0.0
    have_tanks: Mapping[str, int] = field(default_factory=dict)
    have_racks: Mapping[str, int] = field(default_factory=dict)
    prices: Prices = field(default_factory=Prices)


def is_least(goal: Goal) -> bool:
    """Whether less of it is better."""
    return goal in ("cost", "walking", "short", "neat")


def side_of(place: Place) -> tuple[str, str]:
    """Its kind and the wall it stands along, or the way it faces."""
    return place.kind, place.wall or f"free, {place.facing}"


class Formulation:
    """One model: a place has a rack or not, a class has so many of each row on each shelf."""

    def __init__(
        self,
        cp: ModuleType,
        places: Sequence[Place],
        classes: Sequence[RackClass],
        wanted: Wanted,
        *,
        soft: bool,
    ) -> None:
        self._cp = cp
        self.model: CpModel = cp.CpModel()
        model = self.model
        self.places, self.classes, self.wanted = places, classes, wanted
        self.racks = [model.new_bool_var("") for _ in places]
        self.rows: list[list[list[IntVar]]] = []
        self._gaps: dict[tuple[int, ...], IntVar] = {}
        for one in classes:
            number = self._sum((1, self.racks[place]) for place in one.places)
            most = min(len(one.places), _MOST_RACKS)
            shelves = [[model.new_int_var(0, most, "") for _ in rows] for rows in one.rows]
            for counts in shelves:
                model.add(self._sum((1, count) for count in counts) == number)
            self.rows.append(shelves)
            model.add(self._of_class(len(self.rows) - 1, lambda _: 1) >= number)
        in_class = {place for one in classes for place in one.places}
        for place, rack in enumerate(self.racks):
            if place not in in_class:
                model.add(rack == 0)
        self.short: list[tuple[IntVar, int]] = []
        self._wish(soft=soft)

    def _over_rows(self, worth: Callable[[Row], int]) -> LinearExpr:
        return self._cp_sum([self._of_class(number, worth) for number in range(len(self.classes))])

    def _of_class(self, number: int, worth: Callable[[Row], int]) -> LinearExpr:
        """What the rows of one class come to, those with tanks on them."""
        return self._sum(
            (worth(row), count)
            for rows, counts in zip(self.classes[number].rows, self.rows[number], strict=True)
            for row, count in zip(rows, counts, strict=True)
            if row.tanks
        )

    def _sum(self, terms: Iterable[tuple[int, IntVar]]) -> LinearExpr:
        every = list(terms)
        whole: LinearExpr = self._cp.LinearExpr.weighted_sum(
            [one for _, one in every], [many for many, _ in every]
        )
        return whole

    def _cp_sum(self, parts: Sequence[LinearExpr]) -> LinearExpr:
        whole: LinearExpr = self._cp.LinearExpr.sum(list(parts))
        return whole

    def of_kind(self, kind: str) -> LinearExpr:
        """How many tanks of a kind there are."""
        return self._over_rows(lambda row: row.counts.get(kind, 0))

    def _wish(self, *, soft: bool) -> None:
        wanted = self.wanted
        for kind, least in wanted.least.items():
            if least > 0:
                self._at_least(self.of_kind(kind), least, _TANK, soft=soft)
        if wanted.litres > 0.0:
            litres = self._over_rows(_millilitres)
            self._at_least(litres, math.ceil(wanted.litres * MILLILITRES - 1e-6), 1, soft=soft)
        for kind, most in wanted.most.items():
            self.model.add(self.of_kind(kind) <= most)

    def _at_least(self, expression: LinearExpr, least: int, weight: int, *, soft: bool) -> None:
        if not soft:
            self.model.add(expression >= least)
            return
        short = self.model.new_int_var(0, least, "")
        self.model.add(expression + short >= least)
        self.short.append((short, weight))

    def goal(self, goal: Goal) -> LinearExpr:
        """What is counted for a goal."""
        if goal == "tanks":
            return self._over_rows(lambda row: len(row.tanks))
        if goal == "litres":
            return self._over_rows(_millilitres)
        if goal == "walking":
            return self._sum(
                (round(place.walk * MILLIMETRES), rack)
                for place, rack in zip(self.places, self.racks, strict=True)
            )
        if goal == "short":
            return self._sum((weight, short) for short, weight in self.short)
        if goal == "neat":  # fewest racks, of these the most litres
            racks = self._sum((_RACK, rack) for rack in self.racks)
            return racks - self._over_rows(_millilitres)
        return self._cost()

    def _cost(self) -> LinearExpr:
        """Of tanks and racks beyond those that stand already."""
        prices, wanted = self.wanted.prices, self.wanted
        kinds = sorted(
            {size.kind for one in self.classes for rows in one.rows for row in rows for size, _ in row.tanks}
        )
        parts = [
            self._bought(self.of_kind(kind), wanted.have_tanks.get(kind, 0), prices.tanks.get(kind, 0.0))
            for kind in kinds
        ]
        for kind in sorted({one.kind for one in self.classes}):
            racks = self._sum(
                (1, self.racks[place]) for one in self.classes if one.kind == kind for place in one.places
            )
            parts.append(self._bought(racks, wanted.have_racks.get(kind, 0), prices.racks.get(kind, 0.0)))
        return self._cp_sum(parts)

    def _bought(self, count: LinearExpr, have: int, price: float) -> LinearExpr:
        more = self.model.new_int_var(0, 10_000, "")
        self.model.add(more >= count - have)
        return self._sum([(round(price * CENTS), more)])

    def lighter(self, kind: str, mass: Kilogram) -> None:
        """The racks of a kind carry less than so much each: told of each class as a whole, where rows have no rack."""
        limit = math.ceil(mass * _GRAMS) - 1
        for number, one in enumerate(self.classes):
            if one.kind == kind:
                carried = self._of_class(number, lambda row: math.floor(row.mass * _GRAMS))
                self.model.add(carried <= self._sum((limit, self.racks[place]) for place in one.places))

    def open(self, opening: Opening) -> None:
        """If one of the places that need it has a rack, one of the gaps is free."""
        gaps = []
        for places in opening.gaps:
            gap = self._gaps.get(places)
            if gap is None:
                gap = self.model.new_bool_var("")
                self.model.add_bool_and([~self.racks[place] for place in places]).only_enforce_if(gap)
                self._gaps[places] = gap
            gaps.append(gap)
        if opening.always:
            self.model.add_bool_or(gaps)
            return
        needed = self.model.new_bool_var("")
        self.model.add_bool_or([*gaps, ~needed])
        for place in opening.needing:
            self.model.add_implication(self.racks[place], needed)

    def only_at(self, places: Collection[int]) -> None:
        """No rack anywhere else."""
        for number, rack in enumerate(self.racks):
            if number not in places:
                self.model.add(rack == 0)

    def differ(self, counts: Mapping[tuple[str, str], int]) -> None:
        """Another number of some kind of rack along some wall."""
        sides: dict[tuple[str, str], list[IntVar]] = {}
        for place, rack in zip(self.places, self.racks, strict=True):
            sides.setdefault(side_of(place), []).append(rack)
        differs = []
        for side, racks in sides.items():
            other = self.model.new_bool_var("")
            self.model.add(self._sum((1, rack) for rack in racks) != counts.get(side, 0)).only_enforce_if(
                other
            )
            differs.append(other)
        self.model.add_bool_or(differs)

    def hint(self, with_rack: Collection[int]) -> None:
        """Begin from an answer that is known: the places that have a rack."""
        for number, rack in enumerate(self.racks):
            self.model.add_hint(rack, number in with_rack)

    def answer(self, solver: CpSolver) -> tuple[tuple[int, tuple[Row, ...]], ...]:
        """The racks, each with its rows: a class deals them out so that no rack is left without any."""
        found: list[tuple[int, tuple[Row, ...]]] = []
        for one, shelves in zip(self.classes, self.rows, strict=True):
            chosen = [place for place in one.places if solver.boolean_value(self.racks[place])]
            dealt: list[list[Row]] = [[] for _ in chosen]
            for rows, counts in zip(one.rows, shelves, strict=True):
                pile = [
                    row for row, count in zip(rows, counts, strict=True) for _ in range(solver.value(count))
                ]
                pile.sort(key=lambda row: -len(row.tanks))
                # whoever has nothing yet takes the fuller rows
                order = sorted(
                    range(len(chosen)), key=lambda rack: (any(row.tanks for row in dealt[rack]), rack)
                )
                for rack, row in zip(order, pile, strict=True):
                    dealt[rack].append(row)
            found += [(place, tuple(rows)) for place, rows in zip(chosen, dealt, strict=True)]
        return tuple(sorted(found, key=lambda one: one[0]))


def _millilitres(row: Row) -> int:
    return round(row.water * MILLILITRES)
