"""The hunt for proposals: solve, look whether all can be walked to, have it judged, forbid what was refused, again.

What racks shut in is forbidden in general (`walkable.Opening`); because that may take long where racks stand free, the
best answer is also looked for that leaves the ways open which some of its racks leave (`along_ways_to`). So there soon
is an answer, and the bound says how much better another could be.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection
from dataclasses import dataclass, field, replace
from typing import Final

from tankwright.arranging.first_fit import first_fit, long_side
from tankwright.arranging.formulation import Goal, is_least
from tankwright.arranging.ground import Ground, with_higher_drain
from tankwright.arranging.judged import Judged, judged
from tankwright.arranging.model import Best, Effort, Proposal
from tankwright.arranging.places import WALLS
from tankwright.arranging.program import Answer, Program, in_units
from tankwright.arranging.walkable import Walking

MOST_ROUNDS: Final = 40
"""Times a search goes on after what it found was refused, for one proposal."""

_SHUT_ROUNDS: Final = 10
"""Of these the times that racks were shut in, before the best that is not is taken."""

_DRAIN_ROUNDS: Final = 3
"""Of these the times that the drain was found to lie higher."""

_POLISH: Final = 3
_MOST_THOUGHTS: Final = 60
_NEIGHBOURS: Final = 2
_SECOND: Final = 0.5
"""Share of the work for what breaks a tie, and for each proposal after the first."""

_LEAST_WORK: Final = 6.0
"""Below it the program is hardly read in."""

_OVER: Final = 2.5
"""Times the work of one search that all rounds for one proposal may take together."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    """An answer and what it comes to, less being better: what is missing to the wish, then what is sought."""

    answer: Answer
    rank: tuple[int, int]


@dataclass(slots=True)
class Hunt:
    """One search for several proposals. `bound` and `proved` are of the first; `missing` says how many of each kind, or
    how much water ("") fit at the most where the wish cannot be met, and `impossible` that this is known."""

    ground: Ground
    text: str
    effort: Effort
    tell: Callable[[], None]
    step: Callable[[], None]
    rounds: int = 0
    bound: float | None = None
    proved: bool = False
    exhausted: bool = False
    impossible: bool = False
    missing: dict[str, tuple[float, bool]] = field(default_factory=dict)
    _soft: bool = False
    _least: int | None = None
    _learned: bool = False
    _drains: int = 0

    def proposals(self) -> tuple[Proposal, ...]:
        """The best first, each other one differing in which racks stand along which wall."""
        ground = self.ground
        program = Program(ground.places, ground.classes, ground.wanted, self.tell)
        walking = Walking(space=ground.space, kept=ground.kept, way=self._way(), places=ground.places)
        found: list[Proposal] = []
        for number in range(1, self.effort.proposals + 1):
            work = self.effort.work if number == 1 else self._less(self.effort.work)
            one = self._one(program, walking, work, number)
            self.step()
            if one is None:
                break
            proposal, best = one
            if number == 1 and self._least is not None and not self._soft:
                self.proved = best.rank[1] <= self._least
            found.append(proposal)
            program.differ(best.answer)
        sought = ground.wish.best
        order = sorted(found, key=lambda one: (self._rank(one, sought), one.number))
        return tuple(replace(one, number=place) for place, one in enumerate(order, start=1))

    def _rank(self, proposal: Proposal, best: Best) -> tuple[float, ...]:
        missing = sum(one.short for one in proposal.counts) + proposal.short_of
        value = proposal.value(best)
        return (missing, value if best in ("cost", "walking") else -value, float(len(proposal.racks)))

    def _way(self) -> float:
        own = self.ground.space.aisle
        return min(self.ground.floor.aisle, own.value) if own is not None else self.ground.floor.aisle

    def _one(
        self, program: Program, walking: Walking, work: float, number: int
    ) -> tuple[Proposal, _Found] | None:
        """The best answer that can be walked to and that the checks let pass."""
        before, shut = program.spent, 0
        second: _Found | None = None  # the best so far that can be walked to
        for _ in range(MOST_ROUNDS):
            best = self._best(program, work, first=number == 1)
            racks = [place for place, _ in best.answer.racks] if best is not None else []
            openings = walking.openings(racks)
            if best is not None and openings:
                shut += 1
                self.rounds += 1
                for opening in openings:
                    program.leave_open(opening)
                second = self._walkable(program, walking, racks, second)
                spent = program.spent - before > _OVER * work
                if not spent and shut < _SHUT_ROUNDS and (second is None or second.rank > best.rank):
                    continue
                best, second = second, None
            elif second is not None and (best is None or second.rank < best.rank):
                best = second
            if best is None:
                self.exhausted = shut > 0
                return None
            found = judged(self.ground, best.answer, self.text, number)
            if found.proposal is not None and not self._again(program, found):
                return found.proposal, best
            second = None
            self.rounds += 1
        self.exhausted = True
        return None

    def _again(self, program: Program, found: Judged) -> bool:
        """Forbid what was refused; False when nothing was, or nothing more can be done about it."""
        for racks in found.forbid:
            program.forbid(racks)
        for kind, mass in found.lighter:
            program.lighter(kind, mass)
        if found.higher and self._drains < _DRAIN_ROUNDS:
            self._drains += 1
            self._learned = True  # from here on no bound: another order of racks may let the drain lie lower
            self.ground = with_higher_drain(self.ground, found.higher)
            program.stand_anew(self.ground.classes)
            return True
        return found.refused

    def _walkable(
        self, program: Program, walking: Walking, racks: list[int], known: _Found | None
    ) -> _Found | None:
        """A good answer that leaves ways open: those to as many of these racks as can be walked to, or those a person
        going round the walls would leave; then one place after the other is thought over."""
        found = known
        starts = [walking.most_walkable(racks)]
        if known is None:
            starts.append(first_fit(self.ground.places, self._order(), walking))
        for start in starts:
            found = self._along(program, walking, start, found)
        return self._thought_over(program, walking, found)

    def _along(
        self, program: Program, walking: Walking, start: Collection[int], found: _Found | None
    ) -> _Found | None:
        kept = tuple(sorted(start))
        for _ in range(_POLISH):
            one = self._best(program, _LEAST_WORK, within=walking.along_ways_to(kept))
            if one is None or (found is not None and one.rank >= found.rank):
                break
            found = one
            kept = tuple(place for place, _ in one.answer.racks)
        return found

    def _thought_over(self, program: Program, walking: Walking, found: _Found | None) -> _Found | None:
        """Better answers near by: without the ways to one rack and its neighbours others may stand there."""
        better = found is not None
        left = _MOST_THOUGHTS
        while better and found is not None and left > 0:
            better = False
            racks = [place for place, _ in found.answer.racks]
            for out in racks:
                near = sorted(racks, key=lambda one: self._apart(one, out))[: 1 + _NEIGHBOURS]
                within = walking.along_ways_to([one for one in racks if one not in near])
                one = self._best(program, _LEAST_WORK, within=within)
                left -= 1
                if one is not None and one.rank < found.rank:
                    found, better = one, True
                    break
        return found

    def _apart(self, one: int, other: int) -> float:
        places = self.ground.places
        return math.dist(places[one].box.middle[:2], places[other].box.middle[:2])

    def _order(self) -> list[int]:
        """Places as a person goes round: wall by wall and then free, long racks first, from one end to the other."""
        places = self.ground.places
        walls = {wall: number for number, wall in enumerate((*WALLS, None))}
        able = sorted(number for one in self.ground.classes for number in one.places)
        return sorted(
            able,
            key=lambda one: (
                walls[places[one].wall], -long_side(places[one]), places[one].along or 0.0, one,
            ),
        )  # fmt: skip

    def _best(
        self, program: Program, work: float, *, first: bool = False, within: Collection[int] | None = None
    ) -> _Found | None:
        """The best for what is sought, and of those the neatest; where the wish cannot be met, what comes nearest."""
        goal: Goal = self.ground.wish.best
        if not self._soft:
            best = program.solve(goal, work, within=within)
            if best is not None:
                if first and not self._learned:
                    self._take_bound(best, goal)
                neat = program.solve("neat", self._less(work), hold=(goal, best.value), within=within)
                return _Found(answer=neat or best, rank=(0, best.value if is_least(goal) else -best.value))
            if not first or not self._has_least():
                return None
            self._soft, self.impossible, self.bound = True, program.proved_none, None
            self._look_what_is_missing(program, work)
        nearest = program.solve("short", work, soft=True, within=within)
        if nearest is None:
            return None
        best = program.solve(goal, self._less(work), hold=("short", nearest.value), soft=True, within=within)
        value = 0 if best is None else best.value if is_least(goal) else -best.value
        return _Found(answer=best or nearest, rank=(nearest.value, value))

    def _take_bound(self, best: Answer, goal: Goal) -> None:
        """The tightest bound there was: what is forbidden later only makes it tighter."""
        bound = best.bound if is_least(goal) else -best.bound
        if self._least is None or bound > self._least:
            self._least, self.bound = bound, self._whole(best.bound)

    def _less(self, work: float) -> float:
        return max(work * _SECOND, min(work, _LEAST_WORK))

    def _has_least(self) -> bool:
        return any(self.ground.wanted.least.values()) or self.ground.wanted.litres > 0.0

    def _look_what_is_missing(self, program: Program, work: float) -> None:
        """How many of each kind, or litres, fit at the most when nothing else is asked for."""
        for kind, least in self.ground.wanted.least.items():
            if least:
                self.missing[kind] = program.most_of(kind, self._less(work))
        if self.ground.wanted.litres > 0.0:
            self.missing[""] = program.most_of("", self._less(work))

    def _whole(self, bound: int) -> float:
        """A bound of the program's, with what stays counted in."""
        best = self.ground.wish.best
        value = in_units(best, bound)
        stays = self.ground.kept_tanks
        if best == "tanks":
            return value + len(stays)
        return value + sum(tank.water_volume for tank in stays) if best == "litres" else value
