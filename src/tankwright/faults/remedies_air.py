"""What may mend a fault of the air: a pump more, check valves, a ring above the water."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from typing import Final

from tankwright.faults.model import Outcome, Story
from tankwright.faults.remedies_alarm import AIR_KINDS, POWER_KINDS
from tankwright.faults.remedy import (
    AFTERNOON,
    EQUIPMENT,
    SMALL_PART,
    Remedy,
    free_name,
    given,
    said,
    stepped,
)
from tankwright.finding import Number
from tankwright.origin import Origin, derived
from tankwright.plan.editing import quoted
from tankwright.room.air_taps import tube_way
from tankwright.room.model import AirRun, Place, PumpPlace, Room, TapPlace
from tankwright.study import Study
from tankwright.units import Metre

OVER_RIM: Final[Metre] = 0.10
"""How far over the highest rim a raised ring lies: a column that swings up a tube does not come over it. A choice."""

UNDER_CEILING: Final[Metre] = 0.05


def air_remedies(study: Study, story: Story, before: Outcome) -> Iterator[Remedy]:
    """What may help where air fails, or water runs back where the air stood."""
    room = study.room
    kinds = {part.kind for part in story.fault.broken}
    if before.first is None or not kinds & (AIR_KINDS | POWER_KINDS):
        return
    for run in room.airs:
        if kinds & AIR_KINDS:
            yield from _second_pump(room, run)
        if before.first.kind == "floor":
            yield from _nothing_runs_back(run)
            yield from _raised(room, run)


def _second_pump(room: Room, run: AirRun) -> Iterator[Remedy]:
    """Another pump like the first, beside it."""
    first = next((pump for pump in room.pumps if run.pumps and pump.id == run.pumps[0]), None)
    if first is None or len(first.curve) < 2:
        return
    name = free_name(f"{first.id} 2", {pump.id for pump in room.pumps})
    other = replace(first, id=name)

    def change(changed: Room) -> Room:
        airs = tuple(
            replace(one, pumps=(*one.pumps, name)) if one.id == run.id else one for one in changed.airs
        )
        return replace(changed, pumps=(*changed.pumps, other), airs=airs)

    named = ", ".join(quoted(pump) for pump in (*run.pumps, name))
    yield Remedy(
        words=f"a second pump like {first.id} on air {run.id}, running beside it",
        numbers=(),
        puts=(
            (("pump", name), _pump_toml(first, room)),
            (("air", run.id, "pump"), ""),
            (("air", run.id, "pumps"), f"[{named}]"),
        ),
        cost=EQUIPMENT,
        change=change,
        again=frozenset({"air"}),
    )


def _pump_toml(pump: PumpPlace, room: Room) -> str:
    points = ", ".join(
        f"[{said(pressure, 'kPa', 'Pa')}, {said(flow, 'L/min', 'm**3/s')}]" for pressure, flow in pump.curve
    )
    keys = [f"curve = [{points}]", f"height = {said(pump.height.value, 'cm', 'm')}"]
    if pump.power is not None:
        keys.append(f"power = {said(pump.power.value, 'W', 'W')}")
    if pump.highest_pressure is not None:
        keys.append(f"allowed = {{ to = {said(pump.highest_pressure.value, 'kPa', 'Pa')} }}")
    if pump.place is not None:
        space = next(
            (one for one in room.spaces
             if one.box.x0 <= pump.place[0] <= one.box.x1 and one.box.y0 <= pump.place[1] <= one.box.y1), None,
        )  # fmt: skip
        if space is not None:
            keys.append(f"room = {quoted(space.id)}")
    return f"{{ {', '.join(keys)} }}"


def _nothing_runs_back(run: AirRun) -> Iterator[Remedy]:
    if any(tap.tank is not None and not tap.check_valve for tap in run.taps):

        def change(room: Room) -> Room:
            def valved(one: AirRun) -> AirRun:
                return replace(one, taps=tuple(
                    replace(tap, check_valve=True) if tap.tank is not None else tap for tap in one.taps
                ))  # fmt: skip

            return replace(room, airs=tuple(valved(one) if one.id == run.id else one for one in room.airs))

        yield Remedy(
            words=f"a check valve in every line of air {run.id}",
            numbers=(),
            puts=((("air", run.id, "check_valves"), "true"),),
            cost=SMALL_PART,
            change=change,
            again=frozenset({"air"}),
        )


def _raised(room: Room, run: AirRun) -> Iterator[Remedy]:
    """The ring over every rim it serves, so that no water comes up to it."""
    rims = [room.tank(tap.tank).rim for tap in run.taps if tap.tank is not None]
    if not rims:
        return
    height = stepped(max(rims) + OVER_RIM, "cm", "m", step=5.0, up=True)
    ceilings = [space.box.z1 for space in room.spaces]
    if run.height.value >= max(rims) or height > min(ceilings) - UNDER_CEILING:
        return
    yield Remedy(
        words=f"air {run.id} raised to {{height}}, above every rim it serves",
        numbers=(("height", Number(height, "length")),),
        puts=((("air", run.id, "height"), said(height, "cm", "m")),),
        cost=AFTERNOON,
        change=lambda changed: replace(
            changed,
            airs=tuple(_at_height(changed, one, height) if one.id == run.id else one for one in changed.airs),
        ),
        again=frozenset({"air"}),
    )


def _at_height(room: Room, run: AirRun, height: Metre) -> AirRun:
    """A run whose ring lies at another height; its pump stays, and tubes and lead become as much longer."""
    old = run.height.value

    def lifted(place: Place) -> Place:
        return (place[0], place[1], height) if abs(place[2] - old) < 1e-9 else place

    def hung(tap: TapPlace) -> TapPlace:
        place = lifted(tap.place)
        length = tap.tube_length
        if tap.tank is not None and tap.diffuser is not None and length is not None:
            rim = room.tank(tap.tank).rim
            if length.origin is not Origin.GIVEN:
                way = tube_way(place, rim, tap.diffuser) / tube_way(tap.place, rim, tap.diffuser)
                length = derived(length.value * way, "from the raised ring down")
        return replace(tap, place=place, tube_length=length)

    pipes = []
    for pipe in run.pipes:
        path = tuple(lifted(place) for place in pipe.path)
        straight = _way(pipe.path)
        same = abs(straight - pipe.length) > 1e-6  # said by the plan, or an elbow's or adapter's own length
        pipes.append(replace(pipe, path=path, length=pipe.length if same else _way(path)))
    return replace(
        run,
        height=given(height),
        nodes=tuple((name, lifted(place)) for name, place in run.nodes),
        pipes=tuple(pipes),
        taps=tuple(hung(tap) for tap in run.taps),
    )


def _way(path: tuple[Place, ...]) -> Metre:
    """A pipe's length square to the walls."""
    return math.fsum(
        abs(one - other) for first, second in pairwise(path)
        for one, other in zip(first, second, strict=True)
    )  # fmt: skip
