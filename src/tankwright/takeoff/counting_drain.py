"""Drains counted: pipe pieces, what leads from each hose into the pipe, elbows, the top end with its vent, hoses.

Hoses hang loose, so what takes them on the drain is moved along it as far as it must be to have room, and no further;
corners, top and outfall stay where they are. The way is measured on the floor plan: the fall adds less than a
millimetre a metre. Bulkheads and what stands in them belong to the tanks.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from tankwright.finding import Number, Severity
from tankwright.plan.models import Plan
from tankwright.room.assumed import assumed
from tankwright.room.model import DrainNode, DrainRun, Room, Tank
from tankwright.takeoff.counted import Counted, merged
from tankwright.takeoff.counting_hoses import Hoses
from tankwright.takeoff.joints import Joiner, Offtake, PipeKind, rests
from tankwright.takeoff.laying import Layer
from tankwright.takeoff.place_words import drain_way, drain_words
from tankwright.takeoff.putting import put, put_made, tally_of
from tankwright.takeoff.shapes import Measures, Shape, shape_of
from tankwright.takeoff.sliding import spread_out
from tankwright.takeoff.sticks import Sticks
from tankwright.takeoff.straighter import in_plan, straighter
from tankwright.takeoff.tally import listed
from tankwright.takeoff.webs import STRAIGHT, turn
from tankwright.units import Metre

MOVED = 0.02
"""m by which a hose may join beside its hole without a word."""

SADDLE = 1.2
"""Width of a saddle along the pipe, in thicknesses of the pipe. Source: common practice, no source."""


def count_drains(plan: Plan, room: Room, joiner: Joiner) -> Counted:
    """Every drain with its hoses."""
    hoses = Hoses(plan, room, joiner)
    sticks = Sticks(plan.buy, room, joiner.longest)
    return merged(
        *(_Drain(room, run, hoses, joiner, sticks).count() for run in room.drains), hoses.elsewhere()
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Join:
    """A hose that comes to the drain: its tank, its node, and what takes it on the pipe."""

    tank: Tank
    node: DrainNode
    second: bool
    offtake: Offtake

    @property
    def name(self) -> str:
        return f"the {'tee' if self.offtake.tee else 'saddle'} of {self.tank.id}" + (
            ", second overflow" if self.second else ""
        )


class _Drain:
    """One drain while it is counted."""

    def __init__(self, room: Room, run: DrainRun, hoses: Hoses, joiner: Joiner, sticks: Sticks) -> None:
        self.room, self.run, self.hoses, self.joiner = room, run, hoses, joiner
        self.tally = tally_of(room, "drain", run)
        self.tally.length = run.nodes[-1].chainage
        self.tally.words |= drain_words(room, run)
        self.layer = Layer(room=room, tally=self.tally, joiner=joiner, sticks=sticks)
        self.pipe: PipeKind = joiner.pipe(run.pipe, run.bore)
        self.measures: Measures = joiner.measures(self.pipe)
        self.moved: list[tuple[Metre, str]] = []

    def count(self) -> Counted:
        self.layer.write(self.pipe)
        nodes = self.run.nodes
        hard = [0, *(one for one in range(1, len(nodes) - 1) if self._turn(one) > STRAIGHT), len(nodes) - 1]
        reaches = [self._top(), *(self._corner(one) for one in hard[1:-1]), 0.0]
        for number, (first, last) in enumerate(pairwise(hard)):
            joins = self._joins(nodes[first + 1 : last + 1] if first else nodes[: last + 1])
            self._stretch(joins, nodes[first], nodes[last], (reaches[number], reaches[number + 1]))
            for node in nodes[first + 1 : last]:
                if not node.tanks:
                    self.tally.joint(node.id, (self.pipe.words,) * 2, ())
        self._outfall(nodes[-1])
        self._say_moved()
        self._say_apart(hard)
        return self.tally.counted()

    # --- the run ------------------------------------------------------------------------------------------

    def _stretch(
        self, joins: Sequence[_Join], first: DrainNode, last: DrainNode, reaches: tuple[Metre, Metre]
    ) -> None:
        """The pieces of a straight part of the run, and where on it its hoses join."""
        begin, end = first.chainage + reaches[0], last.chainage - reaches[1]
        tees = [one.offtake.tee for one in joins if one.offtake.tee is not None]
        measures = replace(self.measures, tee=max(tee.take_ups[0] for tee in tees)) if tees else self.measures
        width = SADDLE * self.pipe.outer
        apart = measures.between_tees if tees else width
        beside = measures.stub + measures.tee if tees else measures.socket + width / 2.0
        places = spread_out([one.node.chainage for one in joins], apart, begin + beside, end - beside)
        self.tally.taken_up += reaches[0] + reaches[1]
        here, before, took = begin, first.id, reaches[0]
        clamped: list[Metre] = []
        for join, place in zip(joins, places, strict=True):
            self.moved.append((abs(place - join.node.chainage), join.tank.id))
            if join.offtake.tee is not None:
                at = place - measures.tee
                self._piece((here, at), (before, join.name), self.measures.stub, clamped, took + measures.tee)
                clamped = []
                here, before, took = place + measures.tee, join.name, measures.tee
                self.tally.taken_up += 2.0 * measures.tee
            else:
                clamped.append(place - here)
            self._take_in(join)
        outlet = last is self.run.nodes[-1]
        least = self.measures.socket if outlet else self.measures.stub
        self._piece((here, end), (before, last.id), least, clamped, took + reaches[1])

    def _piece(
        self,
        reach: tuple[Metre, Metre],
        between: tuple[str, str],
        least: Metre,
        clamped: Sequence[Metre],
        taken: Metre,
    ) -> None:
        asked, beside = reach[1] - reach[0], SADDLE * self.pipe.outer / 2.0
        self.layer.lay(self.pipe, asked, least, between, way=asked + taken, taps=clamped, beside=beside)

    def _joins(self, nodes: Iterable[DrainNode]) -> list[_Join]:
        joins = []
        for node in nodes:
            for name in node.tanks:
                tank = self.hoses.tanks[name]
                twice = tank.second_overflow is not None and tank.second_overflow.to == "drain"
                for second in (False, True)[: 2 if twice else 1]:
                    offtake = self.joiner.offtake(self.pipe, self.hoses.end(tank, second=second))
                    joins.append(_Join(tank=tank, node=node, second=second, offtake=offtake))
        return joins

    def _take_in(self, join: _Join) -> None:
        """What takes a hose on the drain, and the hose itself."""
        node, tank = join.node.id, join.tank
        where = f"{self.tally.subject}, {join.name}"
        keys: tuple[str, ...] = ()
        why = ""
        if join.offtake.tee is not None:
            keys, why = put(
                self.tally, self.joiner, self.pipe, Shape(fittings=("tee",)), node, (join.offtake.tee,)
            )
        more, missing = put_made(self.tally, self.joiner, join.offtake.made, node, where, (tank.id,))
        ends = (self.pipe.words, self.hoses.end(tank, second=join.second).words)
        self.tally.joint(node, ends, (*keys, *more), why or missing)
        self.hoses.hang(self.tally, tank, second=join.second)

    def _turn(self, index: int) -> float:
        one, here, other = self.run.nodes[index - 1 : index + 2]
        return turn(drain_way(here.place, one.place), drain_way(here.place, other.place))

    def _corner(self, index: int) -> Metre:
        """The elbow of a corner; what it takes up on either side."""
        one, here, other = self.run.nodes[index - 1 : index + 2]
        shape = shape_of(
            (drain_way(here.place, one.place), drain_way(here.place, other.place)), self.measures
        )
        keys, why = put(self.tally, self.joiner, self.pipe, shape, here.id)
        self.tally.joint(here.id, (self.pipe.words,) * 2, keys, why)
        return max(shape.reaches)

    # --- its two ends ---------------------------------------------------------------------------------------

    def _top(self) -> Metre:
        """A cap that can be screwed off for a rod, and a vent where there is one; what they take of the run."""
        node = self.run.nodes[0]
        made = self.joiner.rodding(self.pipe)
        keys, why = put_made(
            self.tally, self.joiner, made, node.id, f"{self.tally.subject}, rodding end at its top"
        )
        if not self.run.vented:
            self.tally.joint(node.id, (self.pipe.words, "rodding end"), keys, why)
            return 0.0
        shape = Shape(fittings=("tee",), stubs=1)  # the shortest piece leads from the tee to the cap
        tee, missing = put(self.tally, self.joiner, self.pipe, shape, node.id)
        self.tally.joint(node.id, (self.pipe.words, "vent", "rodding end"), (*tee, *keys), missing or why)
        self._vent(node)
        return self.measures.tee

    def _vent(self, node: DrainNode) -> None:
        """The vent pipe, up to above the highest water that drains here."""
        above = assumed(self.room, "build.vent_above")
        tanks = [self.hoses.tanks[name] for one in self.run.nodes for name in one.tanks]
        top = max((tank.level for tank in tanks), default=node.place[2]) + above.value
        length = max(top - node.place[2] - self.measures.tee, self.measures.stub)
        where = (
            f"{self.tally.subject}, vent up from its top, open above the highest water that drains into it"
        )
        self.layer.stand(self.pipe, length, where, f"{self.tally.marked_as} vent", rests(above))
        cowl = self.tally.article(
            f"vent cowl for {self.pipe.words}", "fitting", note="keeps snails and fingers out"
        )
        self.tally.need(cowl, where, joint=f"{self.run.id}.vent")
        self.tally.joint(f"{self.run.id}.vent", (self.pipe.words, "open air"), (cowl,))

    def _outfall(self, node: DrainNode) -> None:
        """What leads from the last piece into the outfall: of that nothing is known but where it is."""
        outfall = next((one for one in self.room.outfalls if one.id == self.run.outfall), None)
        to = outfall.to if outfall else "not said"
        key = self.tally.article(
            f"connector from {self.pipe.words} to an outfall", "fitting", note="measure the outfall"
        )
        self.tally.need(key, f"{self.tally.subject}, at outfall {self.run.outfall}: {to}", joint=node.id)
        self.tally.joint(node.id, (self.pipe.words, f"outfall {self.run.outfall}"), (key,))
        if self.run.turned_to is None:
            return
        tee, why = put(self.tally, self.joiner, self.pipe, Shape(fittings=("tee",)), node.id)
        valve = self.tally.article(f"shut-off valve for {self.pipe.words}", "valve", note="full bore")
        self.tally.need(valve, f"{self.tally.subject}, one to each outfall", 2, joint=node.id)
        self.tally.joint(node.id, (f"outfall {self.run.turned_to}",), (*tee, valve, valve), why)
        self.tally.find(
            "PART-08",
            Severity.NOTE,
            f"can be turned to outfall {self.run.turned_to}: a tee and two valves are counted, the pipe there is not",
            reason="its way is not drawn",
            remedy="measure it, and add its pipe and elbows",
            places=(self.run.turned_to,),
        )

    def _say_apart(self, hard: Sequence[int]) -> None:
        """What can be done where two fittings have no room between them: a corner less, or a tee less."""
        worst, nodes, tally = self.tally.short(), self.run.nodes, self.tally
        if worst is None:
            return
        names = [tally.called(nodes[one].id) for one in hard]
        short = next((at for at, pair in enumerate(pairwise(names)) if pair == worst.between), None)
        if short is None:
            tally.apart = 'let several hoses join in one tee, as tees = ["A1..A3"] in the drain says it'
            return
        points = [nodes[one].place[:2] for one in hard]
        better = straighter(points, short, self.measures)
        if better is None:
            return
        room = next((one.room for one in self.room.outfalls if one.id == self.run.outfall), "")
        space = next((one for one in self.room.spaces if one.id == room), None)
        origin = (space.box.x0, space.box.y0) if space is not None else (0.0, 0.0)
        path = in_plan(
            [one for at, one in enumerate(points[:-1]) if at not in better.without], origin, self.room.display
        )
        tally.apart = (
            f"leave out {listed(names[one] for one in better.without)}: the pipe then lies {{aside}} off the drawn "
            f"way at the most. Look that nothing stands there, and write path = {path} in [drain.{self.run.id}]"
        )
        tally.apart_by = (("aside", Number(better.aside, "length")),)

    def _say_moved(self) -> None:
        far = [(by, tank) for by, tank in self.moved if by > MOVED]
        if not far:
            return
        self.tally.find(
            "PART-03",
            Severity.NOTE,
            f"takes the hoses of {listed(tank for _, tank in far)} beside their holes, {{moved}} at the most",
            numbers=(("moved", Number(max(by for by, _ in far), "length")),),
            reason="what takes one hose needs room on the pipe, and so does its neighbour",
            remedy="set them where the cut list has them; the hoses have slack for it",
            places=tuple(tank for _, tank in far),
            rests_on=("hose.slack",),
        )
