"""Alarms that may tell somebody of a fault in time."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.faults.model import Outcome, Story
from tankwright.faults.remedies_water import spilling
from tankwright.faults.remedy import SMALL_PART, Remedy, free_name, given, listed, said, stepped
from tankwright.finding import Number
from tankwright.plan.changes_together import ROW
from tankwright.plan.editing import quoted
from tankwright.room.assumed import assumed
from tankwright.room.model import AlarmPlace, Room
from tankwright.room.model_alarms import Watched, Watches
from tankwright.study import Study

POWER_KINDS = frozenset({"power", "board", "circuit", "device"})
AIR_KINDS = frozenset({"air pump", "ring pipe", "air tap"})


def alarm_remedies(study: Study, story: Story, before: Outcome) -> Iterator[Remedy]:
    """An alarm for each thing of the fault one can watch, each with a battery: what stops the room must not stop it."""
    room = study.room
    if before.first is None or not assumed(room, "alarm.within").value < before.first.time < before.seen:
        return  # nobody can be there before the harm, or somebody is anyway
    kinds = {part.kind for part in story.fault.broken}
    wet = spilling(room, story)
    if story.water.floor.size and story.water.floor.max() > 0.0:
        spaces = [
            name for index, name in enumerate(story.water.spaces) if story.water.floor[:, index].max() > 0.0
        ]
        for space in spaces:
            yield _alarm(
                room, "floor water", "space", (space,), space,
                f"an alarm on the floor of {space}", depth=ASSUMPTIONS["alarm.depth"].value,
            )  # fmt: skip
    if wet:
        names = tuple(tank.id for tank in wet)
        above = stepped(
            min(ASSUMPTIONS["alarm.too_high"].value, 0.3 * min(tank.freeboard for tank in wet)), "mm", "m"
        )
        if above > 0.0:
            yield _alarm(
                room, "level", "tank", names, ", ".join(names),
                f"a level alarm in {listed(names)}, {{above}} over still water", above=above,
            )  # fmt: skip
    if before.first.kind in {"cold", "hot"}:
        names = tuple(name for name, _ in before.tank_times) or (before.first.where,)
        yield _warmth(room, names)
    if kinds & POWER_KINDS:
        yield from _power(room, story)
    if kinds & (AIR_KINDS | POWER_KINDS):
        for run in room.airs:
            yield _alarm(
                room, "air pressure", "air run", (run.id,), run.id, f"a pressure alarm on air {run.id}"
            )


def _power(room: Room, story: Story) -> Iterator[Remedy]:
    for part in story.fault.broken:
        if part.kind == "power":
            yield _alarm(room, "power", "supply", (), "", "a power alarm")
        elif part.kind in {"board", "circuit"}:
            of: Watched = "board" if part.kind == "board" else "circuit"
            yield _alarm(
                room, "power", of, (part.what,), part.what, f"a power alarm on {part.kind} {part.what}"
            )
        elif part.kind == "device" and room.power is not None:
            circuit = next((one.id for one in room.power.circuits if one.device == part.what), None)
            if circuit is not None:
                yield _alarm(
                    room, "power", "circuit", (circuit,), circuit, f"a power alarm on circuit {circuit}"
                )


def _warmth(room: Room, names: tuple[str, ...]) -> Remedy:
    """Of the tanks in trouble the one that is first, for one sensor is what people have."""
    first = names[0]
    wanted = next((one.wanted_temperature.value for one in room.lives if one.tank == first), None)
    degrees = ASSUMPTIONS["alarm.degrees"].value
    if wanted is None or first not in {tank.id for tank in room.tanks}:
        return _alarm(
            room, "temperature", "tank", names, ", ".join(names), "a temperature alarm in every tank"
        )
    low, high = wanted - degrees, wanted + degrees
    return _alarm(
        room, "temperature", "tank", (first,), first,
        f"a temperature alarm in {first}, {{degrees}} off what it is to have", low=low, high=high,
    )  # fmt: skip


def _alarm(  # noqa: PLR0913 - what one alarm is
    room: Room,
    watches: Watches,
    of: Watched,
    names: tuple[str, ...],
    where: str,
    words: str,
    *,
    depth: float | None = None,
    above: float | None = None,
    low: float | None = None,
    high: float | None = None,
) -> Remedy:
    within = assumed(room, "alarm.within").value
    name = free_name(watches, (alarm.id for alarm in room.alarms))
    keys = [("id", quoted(name)), ("watches", quoted(watches))]
    if where:
        keys.append(("where", quoted(where)))
    numbers = [("within", Number(within, "duration"))]
    if depth is not None:
        keys.append(("depth", said(depth, "mm", "m")))
    if above is not None:
        keys.append(("too_high", said(above, "mm", "m")))
        numbers.append(("above", Number(above, "length")))
    if low is not None and high is not None:
        keys += [("too_cold", said(low, "°C", "K")), ("too_warm", said(high, "°C", "K"))]
        numbers.append(("degrees", Number(0.5 * (high - low), "temperature_difference")))
    keys += [
        ("reaches", quoted("your telephone")),
        ("within", said(within, "min", "s")),
        ("battery_backed", "true"),
    ]
    lower = low if watches == "temperature" else None
    upper = next((one for one in (depth, above, high) if one is not None), None)
    share = assumed(room, "alarm.pressure_share") if watches == "air pressure" else None
    place = AlarmPlace(
        id=name,
        watches=watches,
        of=of,
        names=names,
        low=share or (None if lower is None else given(lower)),
        high=None if upper is None else given(upper),
        reaches="your telephone",
        within=given(within),
        battery_backed=True,
        of_running=share is not None,
    )
    return Remedy(
        words=f"{words}, with a battery, and somebody there within {{within}}",
        numbers=tuple(numbers),
        puts=((("alarm", ROW), f"{{ {', '.join(f'{key} = {toml}' for key, toml in keys)} }}"),),
        cost=SMALL_PART,
        change=lambda changed: replace(changed, alarms=(*changed.alarms, place)),
    )
