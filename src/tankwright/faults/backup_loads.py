"""What a room takes in a power cut, load by load: which keep fish breathing, which keep them warm, which can wait."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from tankwright.faults.electric import unplugged
from tankwright.origin import Known
from tankwright.room.model import Room
from tankwright.study import Study
from tankwright.units import Dimensionless, Watt

HOURS_A_DAY: Final = 24.0

_MOTORS: Final = frozenset({"air", "pump", "feed", "cool"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """Something that takes power. `board` is "" where it hangs on none of the plan. `power` is what it takes running,
    all like ones together, `largest` what one motor of it takes (0: no motor), `share` how much of the day it runs."""

    name: str
    board: str
    does: str
    power: Watt
    largest: Watt
    share: Dimensionless


def loads_of(room: Room) -> tuple[tuple[Load, ...], tuple[tuple[str, str], ...]]:
    """Every load, those on boards first, and what is left out as (subject, reason).

    >>> loads_of(Room(title="", display="metric", spaces=(), racks=(), tanks=()))
    ((), ())
    """
    found = [
        Load(
            name=load.name, board=board.id, does=load.does, power=load.power.value * load.count,
            largest=load.power.value if load.does in _MOTORS else 0.0, share=load.hours / HOURS_A_DAY,
        )
        for board in (room.power.boards if room.power else ())
        for load in board.loads
    ]  # fmt: skip
    missing: list[tuple[str, str]] = []
    heaters = {life.tank: life.heater for life in room.lives if life.heater is not None}
    for kind, name in unplugged(room):
        if kind == "pump":
            pump = next((one for one in room.pumps if one.id == name), None)
            air = any(name in run.pumps for run in room.airs)
            power = pump.power if pump is not None else None
            if power is None:
                missing.append((f"pump {name}", "the plan does not say its power, so it is not counted"))
            else:
                found.append(_unplugged(f"pump {name}", "air" if air else "feed", power.value, 1.0))
        elif kind == "heater":
            one = heaters[name]
            found.append(_unplugged(f"heater of {name}", "heat", one.power.value * one.count, 1.0))
        else:
            machine = _machine(room, name, kind)
            if machine is None:
                missing.append((f"{kind} of {name}", "the plan does not say its power, so it is not counted"))
            else:
                does = "heat" if kind == "heating" else "cool"
                found.append(_unplugged(f"{kind} of {name}", does, machine, 1.0))
    return tuple(found), tuple(missing)


def _unplugged(name: str, does: str, power: Watt, share: float) -> Load:
    largest = power if does in _MOTORS else 0.0
    return Load(name=name, board="", does=does, power=power, largest=largest, share=share)


def _machine(room: Room, space: str, kind: str) -> Watt | None:
    """What a space's heater or cooler takes from the mains."""
    kept = room.climate.space(space) if room.climate is not None else None
    machine = None if kept is None else kept.heater if kind == "heating" else kept.cooler
    if machine is None:
        return None
    per_power = machine.per_power.value if machine.per_power is not None else 1.0
    one = machine.power.value if machine.power is not None else machine.rating.value / max(per_power, 0.1)
    return one * machine.count


def running(loads: Iterable[Load]) -> Watt:
    """All of them at once."""
    return sum(one.power for one in loads)


def mean_power(loads: Iterable[Load], heat: Watt | None) -> Watt:
    """What they take over the hours: each for its share of the day, heating as much as the coldest day asks for.

    `heat` is that heat as power taken; None where it is not known: then each heater its share of the day.
    """
    every = tuple(loads)
    heating = [one for one in every if one.does == "heat"]
    others = sum(one.power * one.share for one in every if one.does != "heat")
    if heat is None:
        return others + sum(one.power * one.share for one in heating)
    return others + min(running(heating), heat)


def heat_asked(study: Study) -> Watt | None:
    """Power the heaters of the room and of its tanks take together in the design cold; None: not computed."""
    if study.heat is None:
        return None
    taken = 0.0
    for space in study.heat.spaces:
        kept = study.room.climate.space(space.space) if study.room.climate is not None else None
        ratio: Known | None = kept.heater.per_power if kept is not None and kept.heater is not None else None
        need = min(space.heat_need or 0.0, space.heat_has)
        taken += need / max(ratio.value if ratio is not None else 1.0, 0.1)
    return taken + sum(min(one.need, one.has) for one in study.heat.tanks if one.has is not None)
