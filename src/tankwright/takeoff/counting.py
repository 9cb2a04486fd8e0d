"""All that a room takes, counted from the laid-out room: pipes and what hangs on them, tanks, racks, power, shell."""

from __future__ import annotations

from collections.abc import Mapping

from tankwright.plan.models import Plan
from tankwright.room.model import Room
from tankwright.takeoff.counted import merged
from tankwright.takeoff.counting_air import count_airs
from tankwright.takeoff.counting_drain import count_drains
from tankwright.takeoff.counting_feed import count_feeds
from tankwright.takeoff.counting_power import count_power
from tankwright.takeoff.counting_racks import count_racks
from tankwright.takeoff.counting_shell import count_shell
from tankwright.takeoff.counting_tanks import count_tanks
from tankwright.takeoff.fittings import Fitting
from tankwright.takeoff.joints import NOTHING_LISTED, Joiner
from tankwright.takeoff.model import Takeoff
from tankwright.takeoff.spares import spares_of
from tankwright.units import Metre


def count_parts(
    plan: Plan,
    room: Room,
    fittings: tuple[Fitting, ...] | None = None,
    *,
    longest: Mapping[str, Metre] = NOTHING_LISTED,
) -> Takeoff:
    """The whole list of a plan and its room. `fittings` are all there are to choose from; the open table where none
    are given. `longest` is the longest stick of each article on price lists, before what the plan says."""
    joiner = Joiner(fittings, longest)
    counted = merged(
        count_tanks(plan, room),
        count_drains(plan, room, joiner),
        count_airs(plan, room, joiner),
        count_feeds(plan, room, joiner),
        count_racks(plan, room),
        count_power(plan, room),
        count_shell(plan, room),
    )
    return Takeoff(
        articles=counted.articles,
        needs=counted.needs,
        joints=counted.joints,
        spares=spares_of(counted, plan, room),
        findings=counted.findings,
    )
