"""Feeds counted: what stands at the source, trunk, risers and manifolds with their pieces, an outlet for every tank."""

from __future__ import annotations

import math

from tankwright.finding import Severity
from tankwright.plan.models import Plan
from tankwright.room.model import FeedOutletPlace, FeedRun, Room
from tankwright.takeoff.bridging import bridged
from tankwright.takeoff.counted import Counted, merged
from tankwright.takeoff.ends import End, mates, read_end
from tankwright.takeoff.fittings import Fitting
from tankwright.takeoff.joints import Joiner, Made, Offtake, PipeKind, rests, tube_of
from tankwright.takeoff.laying import Layer
from tankwright.takeoff.model import Kind
from tankwright.takeoff.piping import Piping
from tankwright.takeoff.place_words import web_words
from tankwright.takeoff.putting import in_words, joined, put_made, tally_of
from tankwright.takeoff.sticks import Sticks
from tankwright.takeoff.tally import Tally, listed
from tankwright.takeoff.webs import Strand, web_of
from tankwright.units import Metre

PORT = "3/4 in BSP G female"
PORT_US = "3/4 in NPT female"
"""What filters, valves and pumps are taken to have at both ends. Common practice, no source."""

TAP = "3/4 in BSP G male"
TAP_US = "3/4 in GHT male"
"""What a water point is taken to have. Common practice, no source."""

OUTLET_TUBE = 0.004
"""m, the bore of the tube from a dripper or tap to its tank. Source: common practice, no source."""


def count_feeds(plan: Plan, room: Room, joiner: Joiner) -> Counted:
    """Every feed, and every vat that one is fed from."""
    sticks = Sticks(plan.buy, room, joiner.longest)
    return merged(*(_Feed(room, run, joiner, sticks).count() for run in room.feeds), _vats(plan))


class _Feed:
    """One feed while it is counted."""

    def __init__(self, room: Room, run: FeedRun, joiner: Joiner, sticks: Sticks) -> None:
        self.room, self.run, self.joiner = room, run, joiner
        self.tally = tally_of(room, "feed", run)
        self.layer = Layer(room=room, tally=self.tally, joiner=joiner, sticks=sticks)
        self.port, self.begin = (PORT_US, TAP_US) if room.display == "US" else (PORT, TAP)

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
        self._source(pipe)
        places = dict(run.nodes)
        for outlet in run.outlets:
            self._outlet(outlet, pipe, math.dist(places[outlet.node], outlet.place))
        return tally.counted()

    # --- at the source --------------------------------------------------------------------------------------

    def _source(self, pipe: PipeKind) -> None:
        """From the tap, vat or tank through everything that stands in the line to the first piece of pipe."""
        run, tally = self.run, self.tally
        begin = self.port
        if run.source_kind == "water point":
            begin, words = self.begin, f"water point {run.source}"
        elif run.pump is not None:
            words = f"pump {run.pump}"
        else:
            words = f"{run.source_kind} {run.source}"
            key = tally.article(f"bulkhead {self.port}", "bulkhead", note="measure its body before drilling")
            tally.need(key, f"in the wall of {words}", joint=run.inlet)
        self._thread(begin, pipe, run.inlet, f"from {words} to the pipe")
        units = self._units()
        for name, kind in units:
            key = tally.article(name, kind, note=f"taken to have {self.port} at both ends")
            node = f"{run.id}.{name}"
            tally.words[node] = f"the {name}"
            tally.need(key, f"in the line of {tally.subject}, behind {words}", joint=node)
            tally.joint(node, (), (key,))
            for side in ("into", "out of"):
                self._thread(self.port, pipe, node, f"{side} {name} of {tally.subject}")
        tally.find(
            "PART-06",
            Severity.NOTE,
            f"is counted with {begin} at {words}"
            + (f", and {self.port} at both ends of {listed(name for name, _ in units)}" if units else ""),
            reason="the plan does not say what ends they have, and adapters are bought for ends",
            remedy="look at each before buying; what stands in the line also takes up a piece of pipe",
        )

    def _thread(self, text: str, pipe: PipeKind, node: str, where: str) -> None:
        end = read_end(text)
        assert isinstance(end, End), text
        keys, why = joined(self.tally, self.joiner, end, pipe.end, node, where)
        self.tally.joint(node, (text, pipe.words), keys, why)

    def _units(self) -> list[tuple[str, Kind]]:
        """What stands in the line, in the order the water passes."""
        run, display = self.run, self.room.display
        units: list[tuple[str, Kind]] = [("check valve", "valve")] if run.check_valve else []
        for one in run.filters:
            is_valve = "valve" in one.name
            name = one.name if is_valve or "filter" in one.name else f"{one.name} filter"
            units.append((name, "valve" if is_valve else "filter"))
        if run.regulated_to is not None:
            to = in_words(run.regulated_to.value, "Pa", ("kPa", "psi"), display)
            units.append((f"pressure regulator to {to}", "valve"))
        if run.limit is not None:
            most = in_words(run.limit.value, "m3/s", ("L/min", "US gal/min"), display)
            units.append((f"flow limiter {most}", "valve"))
        if run.shuts_after is not None or run.shuts_after_volume is not None:
            units.append(("valve that shuts by itself", "valve"))
        return units

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
