"""Drains: the run, its nodes and inverts, and the hose from every overflow to where it joins."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from tankwright.finding import Severity
from tankwright.origin import Known, Origin, derived
from tankwright.plan.models import Drain, Hose, Plan
from tankwright.plan.models import DumpEvent as PlannedEvent
from tankwright.room.defaults import Defaults, scaled
from tankwright.room.frames import Flat
from tankwright.room.mistakes import (
    CAN_BE_TURNED,
    DRAIN_GATHERS_NOTHING,
    DRAIN_WITHOUT_LENGTH,
    PLACE_TAKEN,
    RACK_DRAINED_TWICE,
    THROUGH_A_WALL,
    TURNED_TO_ITSELF,
    TWO_FALLS_SAID,
    Mistakes,
)
from tankwright.room.model import DrainNode, DrainRun, DumpEvent, HosePlace, OutfallPlace, Space, Tank
from tankwright.room.powers import tanks_named
from tankwright.room.racks import Stand
from tankwright.room.routes import drain_loop, route_behind
from tankwright.room.spaces import place_in
from tankwright.room.tees import gathered
from tankwright.room.walls import Line
from tankwright.units import Metre

ONE_NODE = 0.005
"""m along the run within which hoses join at one tee."""

SAME_FALL = 0.02
"""Share by which a stated fall and a stated top height may disagree: what a level shows."""


def lay_outfalls(plan: Plan, spaces: Mapping[str, Space], mistakes: Mistakes) -> dict[str, OutfallPlace]:
    """Every outfall whose room exists."""
    placed: dict[str, OutfallPlace] = {}
    for name, one in plan.outfall.items():
        space = spaces.get(one.room)
        if space is None:
            close = mistakes.unknown(f"outfall {name}", "room", one.room, tuple(spaces), one.line)
            space = spaces.get(close)
        if space is not None:
            x, y = place_in(space, one.at)
            placed[name] = OutfallPlace(
                id=name,
                room=space.id,
                place=(x, y, one.height.value),
                to=one.to,
                capacity=one.capacity,
                line=one.line,
            )
    return placed


def lay_drains(
    plan: Plan,
    spaces: Mapping[str, Space],
    outfalls: Mapping[str, OutfallPlace],
    stands: Mapping[str, Stand],
    tanks: dict[str, Tank],
    defaults: Defaults,
    mistakes: Mistakes,
) -> tuple[DrainRun, ...]:
    """Every drain that reaches a known outfall; hangs the hoses on `tanks`."""
    runs: list[DrainRun] = []
    taken: dict[str, str] = {}
    by_rack: dict[str, list[Tank]] = {}
    for tank in tanks.values():
        by_rack.setdefault(tank.rack, []).append(tank)
    spoken_for = {rack for drain in plan.drain.values() for rack in drain.behind}
    for name, drain in plan.drain.items():
        subject = f"drain {name}"
        outfall = outfalls.get(drain.to)
        if outfall is None:
            close = mistakes.unknown(subject, "outfall", drain.to, tuple(outfalls), drain.line)
            outfall = outfalls.get(close) or (next(iter(outfalls.values())) if len(outfalls) == 1 else None)
        if outfall is None:
            continue
        behind = _racks(name, drain, outfall, stands, spoken_for, taken, mistakes)
        line = _line(name, drain, spaces, outfall, behind, mistakes)
        if line is None:
            continue
        drained = [tank for stand in behind for tank in by_rack.get(stand.place.id, ()) if tank.hole]
        run = _run(plan, name, drain, outfall, line, drained, tanks, defaults, mistakes)
        runs.append(replace(run, turned_to=_turned_to(name, drain, outfall, outfalls, mistakes)))
    return tuple(runs)


def _turned_to(
    name: str, drain: Drain, outfall: OutfallPlace, outfalls: Mapping[str, OutfallPlace], mistakes: Mistakes
) -> str | None:
    """The other outfall a drain can be turned to, said once so that nobody takes it for worked out."""
    other = drain.or_to
    subject = f"drain {name}"
    if other is not None and other not in outfalls:
        other = mistakes.unknown(subject, "outfall", other, tuple(outfalls), drain.line) or None
    if other is None:
        return None
    if other == outfall.id:
        mistakes.say(
            TURNED_TO_ITSELF,
            subject,
            f"can be turned to outfall {other}, where it ends anyway",
            line=drain.line,
            reason="there is nothing to turn",
            remedy="name another outfall, or take or_to out",
        )
        return None
    mistakes.say(
        CAN_BE_TURNED,
        subject,
        f"is worked out as it ends at outfall {outfall.id}; turned to {other}, only the height is looked at",
        severity=Severity.NOTE,
        line=drain.line,
        places=(other,),
        reason="the way to the other outfall is not drawn, so what flows there is not worked out",
        remedy="exchange to and or_to to work out the other way",
    )
    return other


def _racks(
    name: str,
    drain: Drain,
    outfall: OutfallPlace,
    stands: Mapping[str, Stand],
    spoken_for: set[str],
    taken: dict[str, str],
    mistakes: Mistakes,
) -> list[Stand]:
    """The racks of a drain in the order the water passes; derived when it names none."""
    subject = f"drain {name}"
    if drain.behind:
        chosen = []
        for rack in drain.behind:
            stand = stands.get(rack)
            if stand is None:
                stand = stands.get(mistakes.unknown(subject, "rack", rack, tuple(stands), drain.line))
            if stand is not None and stand not in chosen:
                chosen.append(stand)
    else:
        here = [one for one in stands.values() if one.place.id not in spoken_for | set(taken)]
        here = [one for one in here if one.space.id == outfall.room] or here
        chosen = _in_order(here, outfall)
        if chosen and not drain.path:
            order = ", ".join(stand.place.id for stand in chosen)
            mistakes.note(
                PLACE_TAKEN,
                subject,
                f"names no racks: it is taken behind {order}",
                line=drain.line,
                remedy="write behind = [...] in the order the water passes",
            )
    free = []
    for stand in chosen:
        rack = stand.place.id
        if rack in taken:
            mistakes.say(
                RACK_DRAINED_TWICE,
                subject,
                f"runs behind rack {rack}, which drain {taken[rack]} takes already",
                line=drain.line,
                places=(rack,),
                reason="a tank's hose joins one drain; it stays with the first",
                remedy="name the rack in one drain only",
            )
        else:
            taken[rack] = name
            free.append(stand)
    return free


def _in_order(stands: Sequence[Stand], outfall: OutfallPlace) -> list[Stand]:
    """Racks from the farthest along the walls to the nearest, the way round that is shorter."""
    if not stands:
        return []
    x, y, _ = outfall.place
    far = {
        stand.place.id: math.dist(stand.frame.point(stand.place.length / 2.0, 0.0), (x, y))
        for stand in stands
    }
    rooms = {stand.space.id for stand in stands}
    if len(rooms) > 1:
        return sorted(stands, key=lambda stand: (stand.space.id == outfall.room, -far[stand.place.id]))
    loop = drain_loop(stands[0].space, stands)
    end = loop.nearest(x, y)
    ways = []
    for direction in (1, -1):
        steps = {}
        for stand in stands:
            middle = loop.nearest(*stand.frame.point(stand.place.length / 2.0, 0.0))
            steps[stand.place.id] = loop.distance(middle, end, direction)
        order = sorted(stands, key=lambda stand: -steps[stand.place.id])
        ways.append((max(steps.values()), order))
    return min(ways, key=lambda way: way[0])[1]


def _line(
    name: str,
    drain: Drain,
    spaces: Mapping[str, Space],
    outfall: OutfallPlace,
    behind: Sequence[Stand],
    mistakes: Mistakes,
) -> Line | None:
    """The run on the floor plan, from its highest end to the outfall."""
    subject = f"drain {name}"
    end: Flat = outfall.place[:2]
    if drain.path:
        drawn = Line([*(place_in(spaces[outfall.room], point) for point in drain.path), end])
        return _with_length(drawn, subject, drain, mistakes)
    if not behind:
        mistakes.say(
            DRAIN_GATHERS_NOTHING,
            subject,
            "gathers from no rack",
            line=drain.line,
            reason="there is nothing to lay it behind",
            remedy="write behind = [...] or path = [...]",
        )
        return None
    rooms = {stand.space.id for stand in behind} | {outfall.room}
    if len(rooms) > 1:
        mistakes.note(
            THROUGH_A_WALL,
            subject,
            f"is taken straight through the wall between {' and '.join(sorted(rooms))}",
            line=drain.line,
            remedy="draw its path if it goes another way",
        )
    return _with_length(Line(route_behind(behind, end)), subject, drain, mistakes)


def _with_length(line: Line, subject: str, drain: Drain, mistakes: Mistakes) -> Line | None:
    """The line, unless it begins where it ends."""
    if line.length > 0.0:
        return line
    mistakes.say(
        DRAIN_WITHOUT_LENGTH,
        subject,
        "has no length: it begins at its outfall",
        line=drain.line,
        reason="it is left out, and nothing is known of what it would carry",
        remedy="draw its path from its highest end, or name the racks it passes",
    )
    return None


def _run(  # noqa: PLR0913, PLR0917 - all that one run is laid from
    plan: Plan,
    name: str,
    drain: Drain,
    outfall: OutfallPlace,
    line: Line,
    drained: Sequence[Tank],
    tanks: dict[str, Tank],
    defaults: Defaults,
    mistakes: Mistakes,
) -> DrainRun:
    fall, inverts_from = _fall(name, drain, outfall, line, defaults, mistakes)
    joins = sorted(
        ((line.nearest(*tank.hole.centre[:2])[0], tank.id) for tank in drained if tank.hole),
        key=lambda one: one[0],
    )
    if drain.tees:
        joins = gathered(name, drain, joins, tanks, mistakes)
    nodes = _nodes(name, line, joins, inverts_from, fall.value, outfall)
    slack = defaults.take("hose.slack")
    for node in nodes:
        for tank_name in node.tanks:
            tank = tanks[tank_name]
            own = plan.tank.get(tank_name)
            hoses = (own.hose if own else None, plan.tank_kind[tank.kind].hose, drain.hose)
            tanks[tank_name] = _with_hose(tank, name, node, hoses, slack, defaults)
    rough = drain.roughness_n
    return DrainRun(
        id=name,
        outfall=outfall.id,
        nodes=nodes,
        bore=defaults.bore("drain.bore", drain.bore, drain.pipe, f"drain {name}", drain.line),
        manning_n=defaults.take(
            "drain.manning_n", None if rough is None else Known(rough, Origin.GIVEN, line=drain.line)
        ),
        fall=fall,
        vented=drain.vented,
        derived=not drain.path,
        events=tuple(_event(name, event, drain, tanks, mistakes) for event in drain.dump),
        pipe=drain.pipe or "",
        line=drain.line,
    )


def _fall(
    name: str, drain: Drain, outfall: OutfallPlace, line: Line, defaults: Defaults, mistakes: Mistakes
) -> tuple[Known, Metre]:
    """The fall, and the invert at the highest end."""
    bottom = outfall.place[2]
    top = drain.top_height
    if top is None:
        fall = defaults.take("drain.fall", drain.fall)
        return fall, bottom + fall.value * line.length
    between = (top.value - bottom) / line.length
    if drain.fall is None:
        return derived(between, "from its top height to the outfall"), top.value
    if abs(between - drain.fall.value) > SAME_FALL * max(abs(between), drain.fall.value):
        mistakes.say(
            TWO_FALLS_SAID,
            f"drain {name}",
            "has a top height and a fall that do not meet the outfall's height",
            line=drain.line,
            reason="the fall is laid from the top; its last step to the outfall is what is left",
            remedy="measure the top, the outfall and the fall again, or take one of them out",
        )
    return drain.fall, top.value


def _nodes(
    name: str,
    line: Line,
    joins: Sequence[tuple[Metre, str]],
    top: Metre,
    fall: float,
    outfall: OutfallPlace,
) -> tuple[DrainNode, ...]:
    """Top end, corners, tees and outfall in the order the water passes; tees closer than 5 mm are one."""
    places: list[tuple[Metre, list[str]]] = []
    stops = sorted([(place, "") for place in line.along] + list(joins), key=lambda one: one[0])
    for place, tank in stops:
        if not places or place - places[-1][0] > ONE_NODE:
            places.append((place, []))
        if tank:
            places[-1][1].append(tank)
    if len(places) > 1:
        places[-1] = (line.length, places[-1][1])  # the outfall itself, also when a tee is within 5 mm of it
    nodes = []
    for number, (place, names) in enumerate(places):
        x, y = line.point(place)
        last = number + 1 == len(places)
        z = outfall.place[2] if last else top - fall * place
        nodes.append(
            DrainNode(
                id=f"{name}.outfall" if last else f"{name}.{number}",
                place=(x, y, z),
                chainage=place,
                tanks=tuple(names),
            )
        )
    return tuple(nodes)


def _with_hose(
    tank: Tank,
    drain: str,
    node: DrainNode,
    hoses: tuple[Hose | None, ...],
    slack: Known,
    defaults: Defaults,
) -> Tank:
    if tank.hole is None:
        return tank
    start, end = tank.hole.centre, node.place
    bore = next((hose.bore for hose in hoses if hose and hose.bore), None)
    length = next((hose.length for hose in hoses if hose and hose.length), None)
    return replace(
        tank,
        hose=HosePlace(
            drain=drain,
            node=node.id,
            bore=defaults.take("hose.bore", bore),
            length=length or scaled(slack, max(math.dist(start, end), 0.01)),
            start=start,
            end=end,
        ),
    )


def _event(
    name: str, event: PlannedEvent, drain: Drain, tanks: Mapping[str, Tank], mistakes: Mistakes
) -> DumpEvent:
    subject = f"drain {name}, {event.name}"
    line = event.line or drain.line
    hose_in = event.hose_in
    if hose_in is not None and hose_in not in tanks:
        hose_in = mistakes.unknown(subject, "tank", hose_in, tuple(tanks), line) or None
    return DumpEvent(
        name=event.name,
        hose_in=hose_in,
        hose_flow=event.flow,
        pulled=tanks_named(event.standpipes_pulled, subject, line, tanks, mistakes),
        line=line,
    )
