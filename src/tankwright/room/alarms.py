"""Alarms where they watch: every name followed to what it stands for, every threshold said or assumed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from tankwright.finding import Severity
from tankwright.origin import Known
from tankwright.plan.ids import IdsError, expand_ids
from tankwright.plan.models import Alarm, Plan
from tankwright.room.defaults import Defaults
from tankwright.room.mistakes import SILENT_IN_A_CUT, Mistakes
from tankwright.room.model import Tank
from tankwright.room.model_alarms import AlarmPlace, Watched


def lay_alarms(
    plan: Plan, tanks: Mapping[str, Tank], defaults: Defaults, mistakes: Mistakes
) -> tuple[AlarmPlace, ...]:
    """Every alarm whose place is known."""
    laid = []
    for alarm in plan.alarm:
        found = _watched(plan, alarm, tanks, mistakes)
        if found is not None:
            if found[0] == "supply" and not alarm.battery_backed:
                _say_silent(alarm, mistakes)
            laid.append(_placed(alarm, *found, defaults))
    return tuple(laid)


def _say_silent(alarm: Alarm, mistakes: Mistakes) -> None:
    mistakes.say(
        SILENT_IN_A_CUT,
        f"alarm {alarm.id}",
        "watches the power and has no battery, so it is silent in the cut it is for",
        severity=Severity.WARNING,
        line=alarm.line,
        reason="what the room loses its power by, the alarm does too",
        remedy="write battery_backed = true when it, and what carries its call, run on a battery",
    )


def _watched(
    plan: Plan, alarm: Alarm, tanks: Mapping[str, Tank], mistakes: Mistakes
) -> tuple[Watched, tuple[str, ...]] | None:
    power = plan.power
    every: dict[Watched, tuple[str, ...]] = {
        "space": tuple(plan.room),
        "tank": tuple(tanks),
        "vat": tuple(plan.vat),
        "air run": tuple(plan.air),
        "board": tuple(board.id for board in power.boards) if power else (),
        "circuit": tuple(power.circuits) if power else (),
    }
    kinds = KINDS[alarm.watches]
    if alarm.where is None:
        return kinds[0], every.get(kinds[0], ())
    for kind in kinds:
        if alarm.where in every.get(kind, ()):
            return kind, (alarm.where,)
    if "tank" in kinds:
        named = _tanks(alarm.where, tanks)
        if named:
            return "tank", named
    choices = [name for kind in kinds for name in every.get(kind, ())]
    choices += [rack.id for rack in plan.rack] if "tank" in kinds else []
    mistakes.unknown(f"alarm {alarm.id}", "place", alarm.where, tuple(choices), alarm.line)
    return None


KINDS: Mapping[str, tuple[Watched, ...]] = {
    "floor water": ("space",),
    "level": ("tank", "vat"),
    "temperature": ("tank", "space"),
    "air pressure": ("air run",),
    "power": ("supply", "board", "circuit"),
}
"""What each kind of alarm may watch; the first is meant when it does not say where."""


def _tanks(where: str, tanks: Mapping[str, Tank]) -> tuple[str, ...]:
    """The tanks of a rack, or those a text names."""
    on_rack = tuple(name for name, tank in tanks.items() if tank.rack == where)
    if on_rack:
        return on_rack
    try:
        return tuple(name for name in expand_ids(where) if name in tanks)
    except IdsError:
        return ()


def _placed(alarm: Alarm, of: Watched, names: tuple[str, ...], defaults: Defaults) -> AlarmPlace:
    low: Known | None = None
    high: Known | None = None
    of_wanted = of_running = False
    if alarm.watches == "floor water":
        high = defaults.take("alarm.depth", alarm.depth)
    elif alarm.watches == "level":
        low = None if alarm.too_low is None else _negative(alarm.too_low)
        high = alarm.too_high if low is not None else defaults.take("alarm.too_high", alarm.too_high)
    elif alarm.watches == "temperature":
        low, high = alarm.too_cold, alarm.too_warm
        if low is None and high is None:
            high = defaults.take("alarm.degrees")
            low, of_wanted = _negative(high), True
    elif alarm.watches == "air pressure":
        low = alarm.pressure_under
        if low is None:
            low, of_running = defaults.take("alarm.pressure_share"), True
    return AlarmPlace(
        id=alarm.id,
        watches=alarm.watches,
        of=of,
        names=names,
        low=low,
        high=high,
        reaches=alarm.reaches,
        within=defaults.take("alarm.within", alarm.within),
        battery_backed=alarm.battery_backed,
        board=alarm.board or "",
        of_wanted=of_wanted,
        of_running=of_running,
        line=alarm.line,
    )


def _negative(known: Known) -> Known:
    band = None if known.band is None else (-known.band[1], -known.band[0])
    return replace(known, value=-known.value, band=band)
