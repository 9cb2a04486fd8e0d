"""Air: the ring or header, its taps, and the tube from a tap to every diffuser."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tankwright.origin import Known, derived
from tankwright.plan.models import Air, Plan
from tankwright.room.air_taps import TapLine, hang_tubes
from tankwright.room.defaults import Defaults
from tankwright.room.mistakes import NO_PUMP, NOTHING_TO_SERVE, TOO_MANY_TAPS, Mistakes, count
from tankwright.room.model import AirRun, PipeRun, Place, PumpPlace, Space, Tank
from tankwright.room.serving import Claim, share_out
from tankwright.room.spaces import place_in
from tankwright.room.walls import Line, loop_of
from tankwright.units import Metre

INSET = 0.05
"""m from the walls to the ring. Source: common practice, no source."""

MOST_TAPS = 5000
ELBOW_LOSS = 0.9
"""Loss coefficient of a 90 degree elbow. Source: Crane TP-410 gives 30 f_T for a standard elbow, about 0.75 in
small pipe; 0.9 for a threaded or sharp one, from memory."""

TEE_LOSS = 1.5
"""Loss coefficient of the branch of a tee. Source: Crane TP-410, 60 f_T, about 1.5 in small pipe, from memory."""

ADAPTER_LOSS = 0.5
"""Loss coefficient of a sudden step to a narrower bore. Source: Crane TP-410, sharp-edged entrance, from memory."""

ADAPTER_LENGTH = 0.05
"""m of each adapter. Source: common practice, no source."""


def lay_pumps(
    plan: Plan, spaces: Mapping[str, Space], defaults: Defaults, mistakes: Mistakes
) -> tuple[PumpPlace, ...]:
    """Every pump of the plan, those of vats too."""
    placed = []
    for name, pump in plan.pump.items():
        height = defaults.take("pump.height", pump.height)
        space = spaces.get(pump.room) if pump.room else next(iter(spaces.values()), None)
        if pump.room and space is None:
            close = mistakes.unknown(f"pump {name}", "room", pump.room, tuple(spaces), pump.line)
            space = spaces.get(close)
        place = (*place_in(space, pump.at), height.value) if pump.at and space else None
        limits = pump.allowed
        placed.append(
            PumpPlace(
                id=name,
                place=place,
                height=height,
                curve=tuple((pressure.value, flow.value) for pressure, flow in pump.curve),
                lowest_pressure=limits.lowest if limits else None,
                highest_pressure=limits.highest if limits else None,
                power=pump.power,
                reserve=pump.reserve,
                line=pump.line,
            )
        )
    return tuple(placed)


def lay_airs(
    plan: Plan,
    spaces: Mapping[str, Space],
    tanks: Mapping[str, Tank],
    pumps: Mapping[str, PumpPlace],
    defaults: Defaults,
    mistakes: Mistakes,
) -> tuple[AirRun, ...]:
    """Every air ring of the plan with its taps and tubes."""
    claims = [_claim(plan, name, air, mistakes) for name, air in plan.air.items()]
    shares = share_out(claims, tanks)
    runs = []
    for claim in claims:
        air = plan.air[claim.name]
        served = shares[claim.name]
        space = _home(plan, claim.name, air, spaces, served, mistakes)
        if space is not None:
            runs.append(_run(plan, claim.name, air, space, served, pumps, defaults, mistakes))
    return tuple(runs)


def known_names(
    subject: str,
    what: str,
    names: Sequence[str],
    choices: Sequence[str],
    line: int | None,
    mistakes: Mistakes,
) -> frozenset[str] | None:
    """The names that exist, the nearest for a misspelt one; None when none were said."""
    if not names:
        return None
    found = set()
    for name in names:
        known = name if name in choices else mistakes.unknown(subject, what, name, tuple(choices), line)
        found.add(known or name)
    return frozenset(found)


def zone_names(plan: Plan) -> tuple[str, ...]:
    """Every zone a plan speaks of, the main one too."""
    return tuple(dict.fromkeys(["main", *plan.zone, *(rack.zone for rack in plan.rack if rack.zone)]))


def _claim(plan: Plan, name: str, air: Air, mistakes: Mistakes) -> Claim:
    subject = f"air {name}"
    racks = tuple(rack.id for rack in plan.rack)
    first = next(iter(_pump_names(air)), "")
    pump = plan.pump.get(first)
    return Claim(
        name=name,
        zones=known_names(subject, "zone", air.zones, zone_names(plan), air.line, mistakes),
        racks=known_names(subject, "rack", air.racks, racks, air.line, mistakes),
        home=air.around or (pump.room if pump and pump.room else "") or "",
    )


def _pump_names(air: Air) -> tuple[str, ...]:
    return tuple(dict.fromkeys(((air.pump,) if air.pump else ()) + air.pumps))


def _home(
    plan: Plan, name: str, air: Air, spaces: Mapping[str, Space], served: Sequence[Tank], mistakes: Mistakes
) -> Space | None:
    """The room a ring lies in: said, or that of the first tank it serves, or the first room."""
    if air.around is not None:
        if air.around in spaces:
            return spaces[air.around]
        close = mistakes.unknown(f"air {name}", "room", air.around, tuple(spaces), air.line)
        if close:
            return spaces[close]
    if served:
        return spaces[served[0].room]
    pump = plan.pump.get(next(iter(_pump_names(air)), ""))
    if pump and pump.room in spaces:
        return spaces[pump.room]
    return next(iter(spaces.values()), None)


def _run(
    plan: Plan,
    name: str,
    air: Air,
    space: Space,
    served: Sequence[Tank],
    pumps: Mapping[str, PumpPlace],
    defaults: Defaults,
    mistakes: Mistakes,
) -> AirRun:
    subject = f"air {name}"
    working = _working_pumps(name, air, pumps, mistakes)
    if not served:
        mistakes.say(
            NOTHING_TO_SERVE, subject, "serves no tank", line=air.line,
            reason="its air can only leave by spare taps", remedy="check its zones and racks",
        )  # fmt: skip
    height = defaults.take("air.height", air.height)
    ring, closed = _ring(air, space)
    place = next((pumps[one].place for one in working if pumps[one].place is not None), None)
    start = ring.nearest(place[0], place[1])[0] if place is not None else 0.0
    if closed and start > ring.length - 1e-6:
        start = 0.0
    paths = [ring]
    leaves: list[Metre] = []
    for branch in air.branches:
        points = [place_in(space, point) for point in branch.path]
        at = ring.nearest(*points[0])[0]
        if closed and at > ring.length - 1e-6:
            at = 0.0
        line = Line([ring.point(at), *points])
        if line.length > 0.0:
            paths.append(line)
            leaves.append(at)
    bore = defaults.bore("air.bore", air.bore, air.pipe, subject, air.line)
    bores = [bore] + [
        defaults.bore("air.bore", None, branch.pipe, subject, air.line) if branch.pipe else bore
        for branch in air.branches
    ]
    taps = _tap_places(name, air, paths, defaults, mistakes)
    web = _Web(name=name, height=height.value)
    web.lead(air, start, ring, place, bore, defaults)
    marks = web.path(0, ring, bores[0], [*taps[0], *leaves, start], closed=closed, corners=True)
    for index, (line, at) in enumerate(zip(paths[1:], leaves, strict=True), start=1):
        web.branch(index, line, bores[index], taps[index], marks[at])
    web.join_lead(marks[start])
    lines = [
        TapLine(
            line,
            taps[index],
            tuple(web.node_at(index, place) for place in taps[index]),
            closed and index == 0,
        )
        for index, line in enumerate(paths)
    ]
    return AirRun(
        id=name,
        pumps=working,
        inlet=web.inlet,
        nodes=tuple(web.nodes.items()),
        pipes=tuple(web.pipes),
        taps=hang_tubes(plan, name, air, lines, height.value, served, defaults, mistakes),
        roughness=defaults.take("feed.roughness"),
        height=height,
        relief=air.relief,
        derived=not air.path,
        closed_ring=closed,
        pipe=air.pipe or "",
        line=air.line,
    )


def _working_pumps(
    name: str, air: Air, pumps: Mapping[str, PumpPlace], mistakes: Mistakes
) -> tuple[str, ...]:
    found = []
    for pump in _pump_names(air):
        known = (
            pump if pump in pumps else mistakes.unknown(f"air {name}", "pump", pump, tuple(pumps), air.line)
        )
        if known:
            found.append(known)
    if not found:
        mistakes.say(
            NO_PUMP, f"air {name}", "has no pump", line=air.line,
            reason="without a pump's curve no flow can be computed", remedy='write pump = "..." and its [pump...]',
        )  # fmt: skip
    return tuple(found)


def _ring(air: Air, space: Space) -> tuple[Line, bool]:
    """The ring on the floor plan and whether its ends meet."""
    if len(air.path) > 1:
        points = [place_in(space, point) for point in air.path]
        closed = air.closed_ring and len(points) > 2
        line = Line([*points, points[0]] if closed else points)
        if line.length > 0.0:
            return line, closed
    loop = loop_of(space, INSET)
    corners = [*loop.corners, loop.corners[0]] if air.closed_ring else list(loop.corners)
    return Line(corners), air.closed_ring


def _tap_places(
    name: str, air: Air, paths: Sequence[Line], defaults: Defaults, mistakes: Mistakes
) -> list[tuple[Metre, ...]]:
    """Evenly spaced taps on each line, the spacing running on from one line to the next."""
    whole = sum(line.length for line in paths)
    if air.taps is not None:
        number = air.taps
        every = whole / number
    else:
        every = defaults.take("air.tap_every", air.tap_every).value
        number = int(whole / every + 1e-9)
        if number > MOST_TAPS:
            mistakes.say(
                TOO_MANY_TAPS, f"air {name}", "would have {taps} taps, more than the tool lays out",
                line=air.line, numbers=(("taps", count(number)),),
                reason="its taps are laid out wider apart", remedy="check tap_every",
            )  # fmt: skip
            number, every = MOST_TAPS, whole / MOST_TAPS
    places: list[list[Metre]] = [[] for _ in paths]
    index, begin = 0, 0.0
    for tap in range(number):
        along = (tap + 0.5) * every
        while along > begin + paths[index].length and index + 1 < len(paths):
            begin += paths[index].length
            index += 1
        places[index].append(min(along - begin, paths[index].length))
    return [tuple(line) for line in places]


@dataclass(slots=True)
class _Web:
    """Nodes and pipes of one air run while they are drawn."""

    name: str
    height: Metre
    nodes: dict[str, Place]
    pipes: list[PipeRun]
    names: dict[tuple[int, float], str]
    inlet: str
    lead_end: tuple[str, Known, Metre]

    def __init__(self, *, name: str, height: Metre) -> None:
        self.name, self.height = name, height
        self.nodes, self.pipes, self.names = {}, [], {}
        self.inlet = f"{name}.pump"
        self.lead_end = (self.inlet, derived(0.02), 1.0)

    def node_at(self, index: int, place: Metre) -> str:
        """The node of a place on a line."""
        return self.names[index, place]

    def pipe(
        self, start: str, end: str, path: tuple[Place, ...], length: Metre, bore: Known, loss: float
    ) -> None:
        """One more pipe."""
        number = len(self.pipes) + 1
        self.pipes.append(
            PipeRun(
                id=f"{self.name}.pipe {number}",
                start=start,
                end=end,
                path=path,
                length=length,
                bore=bore,
                minor_loss=loss,
            )  # fmt: skip
        )

    def lead(
        self, air: Air, start: Metre, ring: Line, place: Place | None, bore: Known, defaults: Defaults
    ) -> None:
        """Pump and adapters; the pipe to the ring is joined when the ring has its nodes."""
        x, y = ring.point(start)
        here = place or (x, y, self.height)
        self.nodes[self.inlet] = here
        node = self.inlet
        for number, adapter in enumerate(air.adapters, start=1):
            following = f"{self.name}.adapter {number}"
            self.nodes[following] = here
            self.pipe(node, following, (here, here), ADAPTER_LENGTH, adapter.bore, ADAPTER_LOSS)
            node = following
        if air.lead is not None:
            length = air.lead.value
        elif place is not None:
            length = max(abs(place[0] - x) + abs(place[1] - y) + abs(place[2] - self.height), 0.05)
        else:
            length = defaults.take("air.lead").value
        self.lead_end = (node, bore, length)

    def join_lead(self, end: str) -> None:
        """The pipe from the last adapter to the ring."""
        node, bore, length = self.lead_end
        loss = ELBOW_LOSS + TEE_LOSS
        self.pipe(node, end, (self.nodes[node], self.nodes[end]), length, bore, loss)

    def path(
        self, index: int, line: Line, bore: Known, places: Sequence[Metre], *, closed: bool, corners: bool
    ) -> dict[Metre, str]:
        """Nodes and pipes along a line: one at every place asked for and at every corner."""
        turns = line.along if corners else line.along[1:]
        if closed:
            turns = turns[:-1]
        stops = sorted(set(places) | set(turns))
        corner_set = set(turns if closed else line.along[1:-1])
        merged: list[tuple[Metre, list[Metre]]] = []
        for stop in stops:
            if merged and stop - merged[-1][0] < 1e-6:
                merged[-1][1].append(stop)
            else:
                merged.append((stop, [stop]))
        names: dict[Metre, str] = {}
        before: tuple[str, Metre] | None = None
        first: tuple[str, Metre] | None = None
        turned = False
        for number, (stop, same) in enumerate(merged):
            node = f"{self.name}.{index}.{number}" if index else f"{self.name}.{number}"
            x, y = line.point(stop)
            self.nodes[node] = (x, y, self.height)
            for one in same:
                names[one] = node
                self.names[index, one] = node
            if before is not None:
                self._piece(line, before, (node, stop), bore, turned=turned)
            first = first or (node, stop)
            before = (node, stop)
            turned = any(one in corner_set for one in same)
        if closed and before is not None and first is not None and before[0] != first[0]:
            self._piece(line, before, (first[0], line.length + first[1]), bore, turned=turned)
        return names

    def branch(self, index: int, line: Line, bore: Known, places: Sequence[Metre], root: str) -> None:
        """A dead-end arm that leaves the ring at a node."""
        marks = self.path(index, line, bore, [*places, line.length], closed=False, corners=False)
        nearest = min(marks)
        self.pipe(
            root,
            marks[nearest],
            (self.nodes[root], self.nodes[marks[nearest]]),
            max(nearest, 0.01),
            bore,
            TEE_LOSS,
        )

    def _piece(
        self, line: Line, start: tuple[str, Metre], end: tuple[str, Metre], bore: Known, *, turned: bool
    ) -> None:
        length = max(end[1] - start[1], 1e-4)
        path = (self.nodes[start[0]], self.nodes[end[0]])
        self.pipe(start[0], end[0], path, length, bore, ELBOW_LOSS if turned else 0.0)
