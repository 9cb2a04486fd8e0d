"""Feeds counted: what stands at the source, trunk, risers and manifolds with their pieces, an outlet for every tank."""

from __future__ import annotations

import math

from tankwright.plan.models import Plan
from tankwright.room.model import FeedOutletPlace, FeedRun, Room
from tankwright.takeoff.bridging import bridged
from tankwright.takeoff.counted import Counted, merged
from tankwright.takeoff.counting_line import Lines
from tankwright.takeoff.ends import End, mates
from tankwright.takeoff.fittings import Fitting
from tankwright.takeoff.joints import Joiner, Made, Offtake, PipeKind, rests, tube_of
from tankwright.takeoff.laying import Layer
from tankwright.takeoff.piping import Piping
from tankwright.takeoff.place_words import web_words
from tankwright.takeoff.putting import in_words, put_made, tally_of
from tankwright.takeoff.sticks import Sticks
from tankwright.takeoff.tally import Tally
from tankwright.takeoff.webs import Strand, web_of
from tankwright.units import Metre

OUTLET_TUBE = 0.004
"""m, the bore of the tube from a dripper or tap to its tank. Source: common practice, no source."""


def count_feeds(plan: Plan, room: Room, joiner: Joiner) -> Counted:
    """Every feed, and every vat that one is fed from."""
    sticks = Sticks(plan.buy, room, joiner.longest)
    lines = Lines(plan, room, joiner)
    counted = [_Feed(room, run, lines, sticks).count() for run in room.feeds]
    return merged(*counted, Counted(findings=lines.said()), _vats(plan))


class _Feed:
    """One feed while it is counted."""

    def __init__(self, room: Room, run: FeedRun, lines: Lines, sticks: Sticks) -> None:
        joiner = lines.joiner
        self.room, self.run, self.joiner, self.lines = room, run, joiner, lines
        self.tally = tally_of(room, "feed", run)
        self.layer = Layer(room=room, tally=self.tally, joiner=joiner, sticks=sticks)

    def count(self) -> Counted:
        run, tally = self.run, self.tally
        if not run.pipes:  # it serves no tank, and the room has said so
            return tally.counted()
        bore = run.pipes[0].bore
        pipe = self.joiner.pipe(run.pipe, bore)
        self.layer.write(pipe)
        web = web_of(
            run.nodes,
            [
                Strand(id=one.id, start=one.start, end=one.end, path=one.path, pipe=run.pipe, bore=bore.value)
                for one in run.pipes
            ],
        )
        fixed = {web.spot_of[run.inlet], *(web.spot_of[outlet.node] for outlet in run.outlets)}
        measures = self.joiner.measures(pipe)
        bent = bridged(web, lambda _: measures if pipe.soft else None, fixed)
        web = bent.web
        tally.words |= web_words(self.room, run, web)
        tally.bent(bent)
        tally.apart = (
            "where a riser leaves the trunk, set its rack {missing} further off the wall (off_wall), or take pipe that "
            "bends; elsewhere set the two so much further apart"
        )
        tees: dict[int, tuple[Fitting, ...]] = {}
        drilled: set[int] = set()
        for outlet in run.outlets:
            tee, spot = self._offtake(outlet, pipe).tee, web.spot_of[outlet.node]
            if tee is None:
                drilled.add(spot)
            else:
                tees[spot] = (*tees.get(spot, ()), tee)
        begin = frozenset({web.spot_of[run.inlet]})
        kinds = {(run.pipe, bore.value): pipe}
        piping = Piping(
            layer=self.layer, web=web, kinds=kinds, open_ends=begin, tees=tees, drilled=frozenset(drilled)
        )
        piping.count()
        self.lines.count(run, tally, pipe)
        places = dict(run.nodes)
        for outlet in run.outlets:
            self._outlet(outlet, pipe, math.dist(places[outlet.node], outlet.place))
        return tally.counted()

    # --- at the tanks ---------------------------------------------------------------------------------------

    def _tube(self, outlet: FeedOutletPlace) -> End:
        return tube_of(outlet.bore.value if outlet.kind == "small tube" and outlet.bore else OUTLET_TUBE)

    def _dripper(self, outlet: FeedOutletPlace, pipe: PipeKind) -> Fitting | None:
        """A dripper that sits on the pipe itself, with an end for its tube."""
        wall = pipe.wall
        if "dripper" not in outlet.kind or wall is None:
            return None
        fits = (
            one
            for one in self.joiner.bought
            if one.kind == "dripper"
            and len(one.ends) == 2
            and mates(one.ends[0], wall).ok
            and mates(one.ends[1], self._tube(outlet)).ok
        )
        return next(fits, None)

    def _offtake(self, outlet: FeedOutletPlace, pipe: PipeKind) -> Offtake:
        if self._dripper(outlet, pipe) is not None:
            return Offtake(made=Made())
        return self.joiner.offtake(pipe, self._tube(outlet))

    def _outlet(self, outlet: FeedOutletPlace, pipe: PipeKind, way: Metre) -> None:
        """What leads off the pipe, the dripper or tap, and the tube to the tank."""
        tally, tank, tube = self.tally, outlet.tank, self._tube(outlet)
        where = f"{tally.subject}, over {tank}"
        rate = in_words(outlet.rate.value, "m3/s", ("L/h", "US gal/h"), self.room.display)
        dripper = self._dripper(outlet, pipe)
        keys, why = put_made(tally, self.joiner, self._offtake(outlet, pipe).made, outlet.id, where, (tank,))
        if dripper is not None:
            own = tally.article(f"{dripper.key}, {outlet.kind} {rate}", "dripper", source=dripper.source)
        elif outlet.kind == "tap":
            own = tally.article(f"small tap for {tube.words}", "tap")
        elif outlet.kind == "small tube":
            own = ""
        else:
            own = tally.article(f"{outlet.kind} {rate} for {tube.words}", "dripper")
        if own:
            tally.need(own, where, joint=outlet.id, places=(tank,), rests_on=rests(outlet.rate))
            keys = (*keys, own)
        tally.joint(outlet.id, (pipe.words, tube.words), keys, why)
        long, known = way, rests(outlet.gap)
        if outlet.kind == "small tube" and outlet.length is not None:
            long, known = outlet.length.value, rests(outlet.length)
        tally.article(tube.words, "tube", "metre", rests_on=rests(outlet.bore))
        tally.need(tube.words, where, length=long, places=(tank,), rests_on=known)


def _vats(plan: Plan) -> Counted:
    """Every vat of the plan, and the switch that stops its pump."""
    counted = []
    for name, vat in plan.vat.items():
        tally = Tally(system="feed", run=name, line=vat.line)
        holds = in_words(vat.volume.value, "m3", ("L", "US gal"), plan.display)
        key = tally.article(f"vat {holds}", "other", note="what of it can be used")
        tally.need(key, f"vat {name}")
        if vat.low_level_cutoff is not None:
            tally.need(
                tally.article("float switch for a vat", "sensor"),
                f"vat {name}",
                places=(name,),
                line=vat.line,
            )
        counted.append(tally.counted())
    return merged(*counted)
