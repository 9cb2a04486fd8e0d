"""What fits in a room: arrangements of racks and tanks by the plan's wish, best first, with the bound.

The constraint search proposes, the room's own checks judge: what they refuse is forbidden, and the search goes on. So
the bound holds for every arrangement on the places tried that the checks let pass.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Final

from tankwright.arranging.formulation import Goal
from tankwright.arranging.ground import Ground, ground_for
from tankwright.arranging.judged import judged
from tankwright.arranging.model import Arrangements, Best, Effort, Prices, Progress, Proposal
from tankwright.arranging.program import Answer, Program, in_units
from tankwright.arranging.telling import about_grounds, about_search, nothing_to_arrange, what_is_missing
from tankwright.arranging.walkable import Walking
from tankwright.checks.all import worst_first
from tankwright.finding import Finding
from tankwright.plan.models import Plan, Wish
from tankwright.room.model import Room

MOST_ROUNDS: Final = 40
"""Times a search goes on after what it found was refused, for one proposal."""

_SECOND: Final = 0.5
"""Share of the work for what breaks a tie, and for each proposal after the first."""

_LEAST_WORK: Final = 6.0
"""Below it the program is hardly read in."""


def arrange(
    plan: Plan, room: Room, text: str, *,
    prices: Prices | None = None, effort: Effort | None = None, progress: Progress | None = None,
) -> Arrangements:  # fmt: skip
    """Arrangements of a plan's room by its [wish]. `text` is the plan's own, `room` as it is laid out.

    `progress` is told done and whole, again and again while it searches, and may raise to stop it.

    >>> from tankwright.room.layout import lay_out
    >>> plan = Plan.model_validate({"room": {"shed": {"size": {"length": "3 m", "width": "2 m", "height": "2 m"}}}})
    >>> arrange(plan, lay_out(plan).room, "").findings[0].code
    'FIT-11'
    """
    wish, effort, prices = plan.wish or Wish(), effort or Effort(), prices or Prices()
    name = wish.room or next(iter(plan.room))
    space = next((one for one in room.spaces if one.id == name), room.spaces[0])
    empty = Arrangements(wish=wish, room=space.id, best=wish.best, currency=prices.currency)
    refused = nothing_to_arrange(plan, wish)
    if refused:
        return replace(empty, findings=refused)
    clock = _Progress(progress, 2 + 2 * effort.proposals)
    ground = ground_for(plan, room, space, prices, effort, clock.tell)
    clock.step()
    findings = list(about_grounds(ground))
    if not ground.classes:
        return replace(empty, findings=worst_first(tuple(findings)), step=ground.step)
    hunt = _Hunt(ground, text, effort, clock)
    proposals = hunt.proposals()
    findings += about_search(ground, hunt.bound, proposals, hunt.rounds, exhausted=hunt.exhausted)
    findings += what_is_missing(ground, hunt.missing, proposals)
    return replace(
        empty, proposals=proposals, places=len(ground.places), step=ground.step, rounds=hunt.rounds, bound=hunt.bound,
        proved=hunt.proved and bool(proposals), findings=worst_first(tuple(findings)),
    )  # fmt: skip


class _Progress:
    """How far it is, told to whoever asked."""

    def __init__(self, progress: Progress | None, of: int) -> None:
        self._progress, self._of, self._done = progress, of, 0

    def tell(self) -> None:
        if self._progress is not None:
            self._progress(self._done, self._of)

    def step(self) -> None:
        self._done = min(self._done + 1, self._of)
        self.tell()


@dataclass(slots=True)
class _Hunt:
    """One search for several proposals."""

    ground: Ground
    text: str
    effort: Effort
    clock: _Progress
    rounds: int = 0
    bound: float | None = None
    proved: bool = False
    exhausted: bool = False
    missing: dict[str, tuple[float, bool]] = field(default_factory=dict)
    refused: tuple[Finding, ...] = ()
    _soft: bool = False

    def proposals(self) -> tuple[Proposal, ...]:
        """The best first, each other one differing in which racks stand along which wall."""
        ground = self.ground
        program = Program(ground.places, ground.classes, ground.wanted, self.clock.tell)
        walking = Walking(space=ground.space, kept=ground.kept, way=self._way(), places=ground.places)
        found: list[Proposal] = []
        for number in range(1, self.effort.proposals + 1):
            work = self.effort.work if number == 1 else self._less(self.effort.work)
            one = self._one(program, walking, work, number)
            self.clock.step()
            if one is None:
                break
            proposal, answer = one
            found.append(proposal)
            program.differ(answer)
        best = ground.wish.best
        order = sorted(found, key=lambda one: (self._rank(one, best), one.number))
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
    ) -> tuple[Proposal, Answer] | None:
        """The best answer that can be walked to and that the checks let pass."""
        for _ in range(MOST_ROUNDS):
            answer = self._answer(program, work, first=number == 1)
            if answer is None:
                return None
            blocks = walking.blocks([place for place, _ in answer.racks])
            for block in blocks:
                program.forbid(block)
            if not blocks:
                found = judged(self.ground, answer, self.text, number)
                if found.proposal is not None:
                    return found.proposal, answer
                for racks in found.forbid:
                    program.forbid(racks)
                for kind, mass in found.lighter:
                    program.lighter(kind, mass)
                if not found.forbid and not found.lighter:
                    self.refused = found.findings
                    return None
            self.rounds += 1
        self.exhausted = True
        return None

    def _answer(self, program: Program, work: float, *, first: bool) -> Answer | None:
        """The best for what is sought, and of those the neatest; where the wish cannot be met, what comes nearest."""
        goal: Goal = self.ground.wish.best
        if not self._soft:
            best = program.solve(goal, work)
            if best is not None:
                if first:
                    self.proved, self.bound = best.proved, self._whole(best.bound)
                return program.solve("neat", self._less(work), hold=(goal, best.value)) or best
            if not first or not self._has_least():
                return None
            self._soft = True
            self._look_what_is_missing(program, work)
        nearest = program.solve("short", work, soft=True)
        if nearest is None:
            return None
        hold: tuple[Goal, int] = ("short", nearest.value)
        return program.solve(goal, self._less(work), hold=hold, soft=True) or nearest

    def _less(self, work: float) -> float:
        return max(work * _SECOND, min(work, _LEAST_WORK))

    def _has_least(self) -> bool:
        return any(self.ground.wanted.least.values()) or self.ground.wanted.litres > 0.0

    def _look_what_is_missing(self, program: Program, work: float) -> None:
        """How many of each kind, or litres, fit at the most when nothing else is asked for."""
        for kind, least in self.ground.wanted.least.items():
            if least:
                found = program.most_of(kind, self._less(work))
                self.missing[kind] = found
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
