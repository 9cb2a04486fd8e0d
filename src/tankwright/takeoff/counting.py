"""All that a room takes, counted from the laid-out room: pipes and what hangs on them, tanks, racks, power, shell."""

from __future__ import annotations

from tankwright.plan.models import Plan
from tankwright.room.model import Room
from tankwright.takeoff.counted import merged
from tankwright.takeoff.counting_air import count_airs
from tankwright.takeoff.counting_drain import count_drains
from tankwright.takeoff.counting_feed import count_feeds
from tankwright.takeoff.fittings import Fitting
from tankwright.takeoff.joints import Joiner
from tankwright.takeoff.model import Takeoff


def count_parts(plan: Plan, room: Room, fittings: tuple[Fitting, ...] | None = None) -> Takeoff:
    """The whole list of a plan and its room. `fittings` are what can be bought; the open table where none are given."""
    joiner = Joiner(fittings)
    all_of_it = merged(
        count_drains(plan, room, joiner), count_airs(plan, room, joiner), count_feeds(plan, room, joiner)
    )
    return Takeoff(
        articles=all_of_it.articles,
        needs=all_of_it.needs,
        joints=all_of_it.joints,
        findings=all_of_it.findings,
    )
