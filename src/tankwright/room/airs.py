"""Air: the ring or header, its taps, and the tube from a tap to every diffuser."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from tankwright.finding import Severity
from tankwright.plan.models import Air, Plan
from tankwright.plan.suggest import listed
from tankwright.room.air_pipes import AirPipes
from tankwright.room.air_taps import TapLine, hang_tubes
from tankwright.room.defaults import Defaults
from tankwright.room.mistakes import (
    NO_PUMP,
    NO_TAPS_TO_SHUT,
    NOTHING_TO_SERVE,
    TAPS_SHUT,
    TOO_MANY_TAPS,
    Mistakes,
    count,
)
from tankwright.room.model import AirRun, PumpPlace, Space, Tank, TapPlace
from tankwright.room.serving import Claim, known_names, share_out, zone_names
from tankwright.room.spaces import place_in
from tankwright.room.walls import Line, loop_of
from tankwright.units import Metre

INSET = 0.05
"""m from the walls to the ring. Source: common practice, no source."""

MOST_TAPS = 5000


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
    if pump and pump.room and pump.room in spaces:
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
            NOTHING_TO_SERVE,
            subject,
            "serves no tank",
            line=air.line,
            reason="its air can only leave by spare taps",
            remedy="check its zones and racks",
        )
    height = defaults.take("air.height", air.height)
    ring, closed = _ring(air, space)
    place = next((pumps[one].place for one in working if pumps[one].place is not None), None)
    start = ring.nearest(place[0], place[1])[0] if place is not None else 0.0
    if closed and start > ring.length - 1e-6:
        start = 0.0
    paths = [ring]
    leaves: list[Metre] = []
    pipes: list[str] = []
    for branch in air.branches:
        points = [place_in(space, point) for point in branch.path]
        at = ring.nearest(*points[0])[0]
        if closed and at > ring.length - 1e-6:
            at = 0.0
        line = Line([ring.point(at), *points])
        if line.length > 0.0:
            paths.append(line)
            leaves.append(at)
            pipes.append(branch.pipe or "")
    bore = defaults.bore("air.bore", air.bore, air.pipe, subject, air.line)
    bores = [bore] + [
        defaults.bore("air.bore", None, pipe, subject, air.line) if pipe else bore for pipe in pipes
    ]
    taps = _tap_places(name, air, paths, defaults, mistakes)
    web = AirPipes(name=name, height=height.value)
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
    hung = hang_tubes(plan, name, air, lines, height.value, served, defaults, mistakes)
    return AirRun(
        id=name,
        pumps=working,
        inlet=web.inlet,
        nodes=tuple(web.nodes.items()),
        pipes=tuple(web.pipes),
        taps=_shut(plan, name, air, hung, served, mistakes),
        roughness=defaults.take("feed.roughness"),
        height=height,
        relief=air.relief,
        derived=not air.path,
        closed_ring=closed,
        pipe=air.pipe or "",
        branch_pipes=tuple(pipe or air.pipe or "" for pipe in pipes),
        line=air.line,
    )


def _shut(
    plan: Plan, name: str, air: Air, taps: tuple[TapPlace, ...], served: Sequence[Tank], mistakes: Mistakes
) -> tuple[TapPlace, ...]:
    """The taps with those of shut-off racks closed; their tubes hang on, and their tanks get no air."""
    subject = f"air {name}"
    racks = known_names(
        subject, "rack", air.isolated, tuple(rack.id for rack in plan.rack), air.line, mistakes
    )
    if racks is None:
        return taps
    off = {tank.id for tank in served if tank.rack in racks}
    hung = {tap.tank for tap in taps}
    places = tuple(tank.id for tank in served if tank.id in off & hung)
    here = {tank.rack for tank in served if tank.id in hung}
    if racks & here:
        mistakes.say(
            TAPS_SHUT,
            subject,
            f"has the taps of rack {listed(sorted(racks & here), 'and')} shut off, {{taps}} in all",
            severity=Severity.NOTE,
            line=air.line,
            numbers=(("taps", count(sum(tap.tank in off for tap in taps))),),
            places=places,
            reason="what they would take goes to the other tanks, and theirs get none from this ring",
            remedy="take a rack out of isolated when its taps are opened again",
        )
    if racks - here:
        mistakes.say(
            NO_TAPS_TO_SHUT,
            subject,
            f"is to have the taps of rack {listed(sorted(racks - here), 'and')} shut off, and has none there",
            severity=Severity.WARNING,
            line=air.line,
            reason="nothing is shut off, so the result is not what was meant",
            remedy="name racks that this ring serves",
        )
    return tuple(replace(tap, open=False) if tap.tank in off else tap for tap in taps)


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
            NO_PUMP,
            f"air {name}",
            "has no pump",
            line=air.line,
            reason="without a pump's curve no flow can be computed",
            remedy='write pump = "..." and its [pump...]',
        )
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
                TOO_MANY_TAPS,
                f"air {name}",
                "would have {taps} taps, more than the tool lays out",
                line=air.line,
                numbers=(("taps", count(number)),),
                reason="its taps are laid out wider apart",
                remedy="check tap_every",
            )
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
