"""The search itself: which places have a rack and which rows stand on its shelves, as a constraint program (CP-SAT).

The search is stopped by its own count of work, not by a clock, so the same plan gives the same answer on any machine.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from threading import Event, Thread
from typing import TYPE_CHECKING, Final

from tankwright.arranging.conflicts import at_most_one
from tankwright.arranging.formulation import (
    CENTS,
    MILLILITRES,
    MILLIMETRES,
    Formulation,
    Goal,
    RackClass,
    Wanted,
    is_least,
    side_of,
)
from tankwright.arranging.model import Best, Place, Row
from tankwright.arranging.walkable import Opening
from tankwright.units import Kilogram

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpModel, CpSolver, CpSolverStatus

_LOOK: Final = 0.2  # seconds between two looks whether somebody stopped it


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """Places with a rack, and for each the row on every shelf. `value` and `bound` are of the goal, as it counts."""

    racks: tuple[tuple[int, tuple[Row, ...]], ...]
    value: int
    bound: int
    proved: bool


class Program:
    """One search. What is forbidden stays forbidden; every goal may be asked for in turn."""

    def __init__(
        self,
        places: Sequence[Place],
        classes: Sequence[RackClass],
        wanted: Wanted,
        tell: Callable[[], None] | None = None,
    ) -> None:
        from ortools.sat.python import cp_model  # noqa: PLC0415 - heavy, and only this search needs it

        self._cp = cp_model
        self._places, self._classes, self._wanted = places, classes, wanted
        self._tell = tell or (lambda: None)
        self._forbidden: list[tuple[int, ...]] = []
        self._others: list[dict[tuple[str, str], int]] = []
        self._lighter: dict[str, Kilogram] = {}
        self._openings: dict[Opening, None] = {}
        self.proved_none = False
        self.spent = 0.0
        self._cliques = at_most_one(places)
        self._last: Answer | None = None

    def forbid(self, racks: Sequence[int]) -> None:
        """These places never all have a rack together."""
        self._forbidden.append(tuple(racks))

    def leave_open(self, opening: Opening) -> None:
        """A way that must be left."""
        self._openings[opening] = None

    def stand_anew(self, classes: Sequence[RackClass]) -> None:
        """Other rows on the same places; what is forbidden stays so."""
        self._classes = classes

    def lighter(self, kind: str, mass: Kilogram) -> None:
        """No rack of that kind carries so much or more."""
        self._lighter[kind] = min(mass, self._lighter.get(kind, mass))

    def differ(self, answer: Answer) -> None:
        """Another number of some kind of rack along some wall than in that answer."""
        self._others.append(self.signature(answer))

    def signature(self, answer: Answer) -> dict[tuple[str, str], int]:
        """How many racks of each kind stand along each wall, or free."""
        counts: dict[tuple[str, str], int] = {}
        for number, _ in answer.racks:
            side = side_of(self._places[number])
            counts[side] = counts.get(side, 0) + 1
        return counts

    def most_of(self, kind: str, work: float) -> tuple[float, bool]:
        """How many of a kind of tank fit at most when nothing else is wished for ("" for litres, in m3), and whether so
        many do fit or that is the bound only."""
        found = self.solve("litres" if not kind else "tanks", work, soft=True, only=kind)
        if found is None:
            return 0.0, self.proved_none
        return (found.bound / MILLILITRES if not kind else float(found.bound)), found.proved

    def solve(
        self, goal: Goal, work: float, *, hold: tuple[Goal, int] | None = None, soft: bool = False,
        only: str = "", within: Collection[int] | None = None,
    ) -> Answer | None:  # fmt: skip
        """The best for a goal within so much work, with another goal held at a value; None when there is none. With
        `only` the tanks of that kind alone are counted, with `within` no other place has a rack: places
        that leave their ways open themselves.

        With `soft` what is wished for at least may be missed; the goal "short" is then what is missing.
        """
        built = Formulation(self._cp, self._places, self._classes, self._wanted, soft=soft)
        for clique in self._cliques:
            there = clique if within is None else [number for number in clique if number in within]
            if len(there) > 1:
                built.model.add_at_most_one(built.racks[number] for number in there)
        for racks in self._forbidden:
            built.model.add_bool_or(~built.racks[number] for number in racks)
        for counts in self._others:
            built.differ(counts)
        for opening in self._openings if within is None else ():
            built.open(opening)
        for kind, mass in self._lighter.items():
            built.lighter(kind, mass)
        if within is not None:
            built.only_at(within)
        if hold is not None:
            held = built.goal(hold[0])
            built.model.add(held <= hold[1] if is_least(hold[0]) else held >= hold[1])
        expression = built.of_kind(only) if only else built.goal(goal)
        if is_least(goal):
            built.model.minimize(expression)
        else:
            built.model.maximize(expression)
        if self._last is not None:
            built.hint({number for number, _ in self._last.racks})
        solver = self._cp.CpSolver()
        solver.parameters.random_seed = 1
        solver.parameters.num_workers = 1  # the same each time, and a core is left to whoever edits
        solver.parameters.linearization_level = 2  # groups of places bound best as a linear program
        solver.parameters.max_deterministic_time = work
        # its own handler of Ctrl-C ends the whole process, and leaves none behind; `_watched` hears it
        solver.parameters.catch_sigint_signal = False
        status = _watched(solver, built.model, self._tell)
        self.spent += solver.response_proto.deterministic_time
        self.proved_none = status == self._cp.INFEASIBLE
        if status not in (self._cp.OPTIMAL, self._cp.FEASIBLE):
            return None
        least = is_least(goal)
        value = round(solver.objective_value)
        limit = solver.best_objective_bound
        bound = math.ceil(limit - 1e-6) if least else math.floor(limit + 1e-6)
        self._last = Answer(
            racks=built.answer(solver), value=value, bound=bound,
            proved=status == self._cp.OPTIMAL or bound == value,
        )  # fmt: skip
        return self._last


def in_units(goal: Best, value: float) -> float:
    """What the program counted, in SI units or money.

    >>> in_units("litres", 1_234_500), in_units("tanks", 7)
    (1.2345, 7)
    """
    return {
        "tanks": value,
        "litres": value / MILLILITRES,
        "cost": value / CENTS,
        "walking": value / MILLIMETRES,
    }[goal]


def _watched(solver: CpSolver, model: CpModel, tell: Callable[[], None]) -> CpSolverStatus:
    """Solve on a thread of its own, so that a stop is heard while it searches."""
    over = Event()
    status: list[CpSolverStatus] = []

    def search() -> None:
        try:
            status.append(solver.solve(model))
        finally:
            over.set()

    thread = Thread(target=search, name="what fits", daemon=True)
    thread.start()
    try:
        while not over.wait(_LOOK):
            tell()
    except BaseException:
        solver.stop_search()
        raise
    finally:
        thread.join()
    return status[0]
