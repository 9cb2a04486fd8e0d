"""What fits in a room: arrangements of racks and tanks by the plan's wish, best first, with the bound.

The constraint search proposes, the room's own checks judge: what they refuse is forbidden, and the search goes on. So
the bound holds for every arrangement on the places tried that the checks let pass.
"""

from __future__ import annotations

from dataclasses import replace

from tankwright.arranging.ground import ground_for
from tankwright.arranging.hunt import Hunt
from tankwright.arranging.model import Arrangements, Effort, Prices, Progress
from tankwright.arranging.telling import about_grounds, about_search, nothing_to_arrange, what_is_missing
from tankwright.checks.all import worst_first
from tankwright.plan.models import Plan, Wish
from tankwright.room.model import Room


def arrange(
    plan: Plan, room: Room, text: str, *,
    prices: Prices | None = None, effort: Effort | None = None, progress: Progress | None = None,
) -> Arrangements:  # fmt: skip
    """Arrangements of a plan's room by its [wish]. `text` is the plan's own, `room` as it is laid out.

    `progress` is told done and whole, again and again while it searches, and may raise to stop it.

    >>> from tankwright.room.layout import lay_out
    >>> plan = Plan.model_validate({"room": {"shed": {"size": {"length": "3 m", "width": "2 m", "height": "2 m"}}}})
    >>> arrange(plan, lay_out(plan).room, "").findings[0].code
    'WISH-11'
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
    hunt = Hunt(ground, text, effort, clock.tell, clock.step)
    proposals = hunt.proposals()
    findings += about_search(ground, hunt.bound, proposals, hunt.rounds, exhausted=hunt.exhausted)
    findings += what_is_missing(ground, hunt.missing, proposals, known=hunt.impossible)
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
