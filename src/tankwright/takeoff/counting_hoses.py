"""Overflow hoses counted: each with its length, and what leads from the dry side of a bulkhead into it."""

from __future__ import annotations

import math

from tankwright.finding import Finding, Severity
from tankwright.origin import Known
from tankwright.plan.models import Plan
from tankwright.room.assumed import assumed
from tankwright.room.model import Room, Tank
from tankwright.takeoff.counted import Counted, merged
from tankwright.takeoff.ends import End, read_end
from tankwright.takeoff.joints import Joiner, hose_of, rests
from tankwright.takeoff.putting import joined
from tankwright.takeoff.tally import Tally, listed

BULKHEAD = "1/2 in BSP G female"
BULKHEAD_US = "1/2 in NPT female"
"""What a bulkhead is taken to have on its dry side where the plan does not say it. Common practice, no source."""


class Hoses:
    """The hoses of a room, hung one by one. `tanks` are the tanks by name."""

    def __init__(self, plan: Plan, room: Room, joiner: Joiner) -> None:
        self.plan, self.room, self.joiner = plan, room, joiner
        self.tanks = {tank.id: tank for tank in room.tanks}
        unit = " in" if room.display == "US" else " mm"
        self._sold = {
            end.size: end.inner
            for one in joiner.bought
            for end in one.ends
            if end.system == "hose" and end.inner is not None and end.size.endswith(unit)
        }
        self._hung: set[str] = set()
        self._assumed: list[str] = []
        self._unread: dict[str, list[str]] = {}

    def end(self, tank: Tank, *, second: bool) -> End:
        """The hose of a tank's overflow, or of its second one."""
        return hose_of(self._bore(tank, second=second).value, self.room.display, self._sold)

    def hang(self, tally: Tally, tank: Tank, *, second: bool, length: Known | None = None) -> None:
        """One hose: so many metres, and what leads into it from the bulkhead."""
        end, bore = self.end(tank, second=second), self._bore(tank, second=second)
        long = length or (tank.hose.length if tank.hose else None)
        hose = tally.article(end.words, "hose", "metre", rests_on=rests(bore))
        which = "second overflow" if second else "overflow"
        where = f"from the {which} of {tank.id}"
        if long is not None:
            tally.need(hose, where, length=long.value, places=(tank.id,), rests_on=rests(bore, long))
        node = f"{tank.id}.{'second bulkhead' if second else 'bulkhead'}"
        tally.words[node] = f"the {'second ' if second else ''}bulkhead of {tank.id}"
        start, why = self._dry_side(tank, second=second)
        if start is None:
            tally.unjoined(why, 'write the end as the parts list does, "1/2 in BSP G female"', node)
            tally.joint(node, (why, end.words), (), why)
            return
        keys, why = joined(tally, self.joiner, start, end, node, where, (tank.id,))
        tally.joint(node, (start.words, end.words), keys, why)
        self._hung.add(tank.id)

    def elsewhere(self) -> Counted:
        """Hoses that come to no drain, and what is said of all of them."""
        apart = []
        for tank in self.room.tanks:
            second = tank.second_overflow
            if second is not None and second.to == "own hose":
                apart.append(self._own(tank))
        return merged(*apart, Counted(findings=(*self._nowhere(), *self._said())))

    def _own(self, tank: Tank) -> Counted:
        """A hose of its own from a second overflow to the nearest outfall."""
        tally = Tally(
            system="drain", run=tank.id, line=tank.second_overflow.line if tank.second_overflow else None
        )
        place = tank.hole.centre if tank.hole else tank.box.middle
        slack = assumed(self.room, "hose.slack")
        ways = [math.dist(place, one.place) for one in self.room.outfalls]
        way = Known(min(ways) * slack.value, slack.origin, key=slack.key) if ways else None
        self.hang(tally, tank, second=True, length=way)
        return tally.counted()

    def _nowhere(self) -> tuple[Finding, ...]:
        """Drilled tanks whose rack no drain passes."""
        tanks = [tank for tank in self.room.tanks if tank.hole is not None and tank.hose is None]
        if not tanks:
            return ()
        return (
            Finding(
                code="PART-07",
                severity=Severity.WARNING,
                subject="hoses",
                text=f"of {listed(tank.id for tank in tanks)} are not counted: drilled, and no drain takes them",
                reason="their water has nowhere to go",
                remedy="name their racks in a drain",
                places=tuple(tank.id for tank in tanks),
                line=tanks[0].line,
            ),
        )

    def _bore(self, tank: Tank, *, second: bool) -> Known:
        if second and tank.second_overflow is not None:
            return tank.second_overflow.bore
        return tank.hose.bore if tank.hose else assumed(self.room, "hose.bore")

    def _dry_side(self, tank: Tank, *, second: bool) -> tuple[End | None, str]:
        """The end of the bulkhead; a second overflow stands in the first further hole where there is one."""
        hole = tank.more_holes[0] if second and tank.more_holes else tank.hole
        text = hole.fitting if hole is not None else None
        if text is None:
            self._assumed.append(tank.id)
            text = self._usual
        read = read_end(text)
        return (read, "") if isinstance(read, End) else (None, f'bulkhead "{text}" {read.text}')

    @property
    def _usual(self) -> str:
        return BULKHEAD_US if self.room.display == "US" else BULKHEAD

    def _said(self) -> tuple[Finding, ...]:
        if not self._assumed:
            return ()
        return (
            Finding(
                code="PART-05",
                severity=Severity.NOTE,
                subject="bulkheads",
                text=f"are taken to end in {self._usual} on their dry side, where the plan says nothing",
                reason="hose tails are bought for that end",
                remedy=f'look at one, and write fitting = "{self._usual}" in the hole of its tank kind',
                places=tuple(dict.fromkeys(self._assumed)),
            ),
        )
