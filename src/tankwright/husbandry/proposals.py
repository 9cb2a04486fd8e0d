"""Work that a room of this plan asks for, proposed so that its keeper takes each with one tap; nothing is due before.

How often is common practice and has no source unless one stands beside it; the ranges are those of the plan.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

from tankwright.building.how_to_measure import WAYS
from tankwright.building.measurable import measurable
from tankwright.husbandry.records import Draft, Plain
from tankwright.husbandry.register import Task
from tankwright.husbandry.shared_water import units_of, water_links
from tankwright.room.model import Room, Tank
from tankwright.study import Study
from tankwright.units import Kelvin, convert, parse_quantity

PRACTICE: Final = "common practice, no source"
ROOM: Final = ""
"""The place of work that is of no tank."""

WARM_BAND: Final[Kelvin] = 2.0
"""How far off the middle a tank may be where its zone says nothing. Common practice, no source."""
RINSE_DAYS: Final = 28.0
MOST_LITRES_DAYS: Final = 180.0
"""Carbon that would last longer than this is changed by the calendar. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """One task of a proposal: its place by the plan's name, its usual range, the rotation it belongs to."""

    place: str
    low: float | None = None
    high: float | None = None
    rotation: str = ""
    rest_days: float = 0.0
    label: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """Work of one kind, at every place that asks for it. `why` says what for, `source` whose number the days are."""

    kind: str
    label: str
    every_days: float
    window_days: float
    wanted: tuple[Wanted, ...]
    why: str
    source: str = PRACTICE
    quantity: str = ""
    unit: str = ""
    litres: float | None = None
    feed: str = ""
    caution: str = ""


def proposals(study: Study) -> tuple[Proposal, ...]:
    """Everything a worked-out room asks for, most often first.

    >>> from tankwright.room.model import Room
    >>> proposals(Study(room=Room(title="", display="metric", spaces=(), racks=(), tanks=())))
    ()
    """
    room = study.room
    if not room.tanks:
        return ()
    here = replace(room, tanks=tuple(tank for tank in room.tanks if tank.state == "stands"))
    found = [
        *_daily(here), *_water(here), *_glass(study, here), *_sponges(here), *_feeds(study, here), *_power(room),
        *_stores(room),
    ]  # fmt: skip
    return tuple(sorted((one for one in found if one.wanted), key=lambda one: (one.every_days, one.kind)))


def _daily(room: Room) -> Iterator[Proposal]:
    yield Proposal(
        kind="look", label="Look", every_days=1, window_days=0, wanted=_each(room.tanks),
        why="every fish swimming, water at its mark, air, no drip heard; what is sick or dead is seen the same day",
        source="NRC Guide for the Care and Use of Laboratory Animals (2011): every animal, every day, weekends too",
    )  # fmt: skip
    fed = {
        one.tank for one in room.lives
        if one.stock is not None and not one.stock.is_empty and one.stock.feed is not None and one.stock.feed.value > 0
    }  # fmt: skip
    yield Proposal(
        kind="feed", label="Feed", every_days=1, window_days=0,
        wanted=_each(tank for tank in room.tanks if tank.id in fed), why="as much as the plan says, and no more",
    )  # fmt: skip


def _water(room: Room) -> Iterator[Proposal]:
    unit = "°F" if room.display == "US" else "°C"
    warm = dict(_warmth(room, unit))
    yield Proposal(
        kind="temperature", label="Temperature", every_days=7, window_days=2, quantity="temperature", unit=unit,
        wanted=tuple(Wanted(place=name, low=low, high=high) for name, (low, high) in warm.items()),
        why="a heater that sticks and a cold corner are found by the number, not by the hand",
    )  # fmt: skip
    zones = {zone.id: zone.wants for zone in room.zones if zone.wants is not None}
    sour, soft = [], []
    for tank in room.tanks:
        wants = zones.get(tank.zone)
        if wants is None:
            continue
        if wants.ph is not None:
            sour.append(Wanted(place=tank.id, low=wants.ph[0].value, high=wants.ph[1].value))
        if wants.carbonate_hardness is not None:
            low, high = (_degrees(one.value) for one in wants.carbonate_hardness)
            soft.append(Wanted(place=tank.id, low=low, high=high))
    yield Proposal(
        kind="ph", label="pH", every_days=14, window_days=4, quantity="ph", wanted=tuple(sour),
        why="it falls late: when it moves, what holds it is nearly gone",
    )  # fmt: skip
    yield Proposal(
        kind="kh", label="Carbonate hardness", every_days=14, window_days=4, quantity="kh", unit="°dH",
        wanted=tuple(soft), why="filters use it up, and it warns long before the pH does",
    )  # fmt: skip
    yield Proposal(
        kind="thermometer", label="Thermometer against a second one", every_days=90, window_days=14,
        wanted=(Wanted(place=ROOM),), why="a thermometer that drifts is believed until fish say otherwise",
    )  # fmt: skip


def _warmth(room: Room, unit: str) -> Iterator[tuple[str, tuple[float, float]]]:
    zones = {zone.id: zone.wants for zone in room.zones if zone.wants is not None}
    lives = {one.tank: one for one in room.lives}
    for tank in room.tanks:
        wants, life = zones.get(tank.zone), lives.get(tank.id)
        if wants is not None and wants.temperature is not None:
            low, high = (one.value for one in wants.temperature)
        elif life is not None:
            low, high = (life.wanted_temperature.value + way * WARM_BAND for way in (-1.0, 1.0))
        else:
            continue
        yield tank.id, (round(convert(low, "K", unit), 1), round(convert(high, "K", unit), 1))


def _glass(study: Study, room: Room) -> Iterator[Proposal]:
    yield Proposal(
        kind="glass", label="Glass wiped", every_days=14, window_days=5, wanted=_each(room.tanks),
        why="what cannot be seen through is not looked at",
    )  # fmt: skip
    runs_over = {one.tank for one in study.feed.tanks if one.overflows} if study.feed is not None else set()
    yield Proposal(
        kind="overflow", label="Overflow clear", every_days=7, window_days=2,
        wanted=_each(tank for tank in room.tanks if tank.id in runs_over),
        why="snails, plants and fry close a strainer; then a drip runs over the rim",
    )  # fmt: skip


def _sponges(room: Room) -> Iterator[Proposal]:
    aired = {tap.tank for air in room.airs for tap in air.taps if tap.tank is not None}
    tanks = [tank for tank in room.tanks if tank.id in aired]
    groups = _rotations(room, tanks)
    sizes: dict[str, int] = {}
    for name in groups.values():
        sizes[name] = sizes.get(name, 0) + 1
    yield Proposal(
        kind="sponge", label="Sponge rinsed in its own water", every_days=RINSE_DAYS, window_days=7,
        wanted=tuple(
            Wanted(place=tank.id, rotation=groups[tank.id],
                   rest_days=max(1.0, math.floor(RINSE_DAYS / sizes[groups[tank.id]])))
            for tank in tanks
        ),
        why="one at a time and never all of one water: the bacteria of the others carry on; in tank water, not in the"
        " tap's",
    )  # fmt: skip


def _rotations(room: Room, tanks: list[Tank]) -> Mapping[str, str]:
    """Tanks of one water in one rotation; those with their own water by rack, so that a rack is never done at once."""
    links = [link for link in water_links(room) if link.certain]
    found: dict[str, str] = {}
    for unit in units_of(links, [tank.id for tank in tanks]):
        if len(unit) > 1:
            found |= dict.fromkeys(unit, f"water of {unit[0]}")
    return {tank.id: found.get(tank.id, f"rack {tank.rack}") for tank in tanks}


def _feeds(study: Study, room: Room) -> Iterator[Proposal]:
    stands = {tank.id for tank in room.tanks}
    way = WAYS["drip"]
    unit = way.us if room.display == "US" else way.unit
    drips = [one for one in measurable(study) if one.kind == "drip" and one.tank in stands]
    step = convert(1.0, "m3/s", unit) if drips else 1.0
    yield Proposal(
        kind="drip", label="Drip in a measuring jug", every_days=30, window_days=10, quantity="drip", unit=unit,
        wanted=tuple(
            Wanted(place=one.tank, low=_round((one.value - one.tolerance) * step),
                   high=_round((one.value + one.tolerance) * step))
            for one in drips
        ),
        why="drippers clog one by one, and a tank without fresh water looks like the others for weeks",
    )  # fmt: skip
    for feed in room.feeds:
        if any(
            "sediment" in one.name.casefold() or "prefilter" in one.name.casefold() for one in feed.filters
        ):
            yield Proposal(
                kind="sediment", label=f"Sediment filter of {feed.id}", every_days=90, window_days=14,
                wanted=(Wanted(place=ROOM),), why="it clogs, and every outlet then gives less",
            )  # fmt: skip
        if any(one.carbon for one in feed.filters):
            yield _carbon(study, feed.id)


def _carbon(study: Study, feed: str) -> Proposal:
    life = study.water.life if study.water is not None else None
    carbon = next((one for one in life.carbons if one.run == feed), None) if life is not None else None
    days, litres = 28.0, None
    why = "spent carbon lets chlorine through at once and everywhere; the plan does not say how long it lasts"
    if carbon is not None and math.isfinite(carbon.lasts.low):
        soonest = carbon.lasts.low / 86_400.0
        litres = _round(convert(carbon.volume_a_day, "m3", "L") * soonest)
        days = min(max(1.0, math.floor(soonest)), MOST_LITRES_DAYS)
        why = "spent carbon lets chlorine through at once and everywhere; its litres are the fewest of the plan's band"
    return Proposal(
        kind="carbon", label=f"Carbon of {feed} changed", every_days=days, window_days=0, wanted=(Wanted(place=ROOM),),
        why=why, litres=litres, feed=feed, source="the plan's own filling and chlorine" if litres else PRACTICE,
    )  # fmt: skip


def _power(room: Room) -> Iterator[Proposal]:
    devices = list(dict.fromkeys(one.device or one.id for one in room.power.circuits if one.rcd is not None)) \
        if room.power is not None else []  # fmt: skip
    yield Proposal(
        kind="rcd", label="Residual current device: test button", every_days=90, window_days=14,
        wanted=tuple(Wanted(place=ROOM, label=f"Test button of {one}") for one in devices),
        why="a device that sticks protects nobody; it must trip, and everything on it must come back",
        source="makers' labels and national rules differ (a month to half a year): yours counts",
        caution="The button cuts the power of all that hangs on it, air too: stand by until it runs again. One that"
        " does not trip is a case for an electrician, at once. Open no mains box.",
    )  # fmt: skip
    backup = room.power.backup if room.power is not None else None
    if backup is not None:
        yield Proposal(
            kind="backup", label="Battery or generator tried under load", every_days=30, window_days=7,
            wanted=(Wanted(place=ROOM),), why="a battery that is never tried is flat when it is needed",
            caution="An engine runs outdoors only, and never into a wall socket.",
        )  # fmt: skip
    if room.alarms:
        yield Proposal(
            kind="alarm", label="Alarm set off on purpose", every_days=30, window_days=7,
            wanted=tuple(Wanted(place=ROOM, label=f"Alarm {one.id} set off on purpose") for one in room.alarms),
            why="an alarm nobody heard for a year may be no alarm any more",
        )  # fmt: skip


def _stores(room: Room) -> Iterator[Proposal]:
    if room.airs:
        yield Proposal(
            kind="pump", label="Air pump: filter, sound, spare tried", every_days=90, window_days=14,
            wanted=(Wanted(place=ROOM),), why="a diaphragm gives notice by its sound and by weak taps",
        )  # fmt: skip
    yield Proposal(
        kind="spares", label="Spares counted", every_days=90, window_days=14, wanted=(Wanted(place=ROOM),),
        why="a diaphragm, a seal, a solenoid, drippers, carbon: what fails on a Sunday",
    )  # fmt: skip


def _each(tanks: Iterable[Tank]) -> tuple[Wanted, ...]:
    return tuple(Wanted(place=tank.id) for tank in tanks)


def _degrees(hardness: float) -> float:
    return _round(hardness / parse_quantity("1 °dH", "hardness").value)


def _round(value: float) -> float:
    """To three figures, as a range that is printed is read."""
    return float(f"{value:.3g}")


# --- taken ---------------------------------------------------------------------------------------------------------


def task_draft(task: Task, happened: datetime) -> Draft:
    """A task as it is recorded, made or changed.

    >>> from datetime import UTC
    >>> task_draft(Task(id="t", label="Look", kind="look"), datetime(2026, 8, 2, tzinfo=UTC)).details["every_days"]
    1.0
    """
    said: dict[str, Plain] = {
        "task": task.id, "label": task.label, "every_days": task.every_days, "window_days": task.window_days,
        "quantity": task.quantity, "unit": task.unit, "low": task.low, "high": task.high, "kind": task.kind,
        "weekdays": task.weekdays, "by": task.by, "rotation": task.rotation, "rest_days": task.rest_days,
        "litres": task.litres, "feed": task.feed,
    }  # fmt: skip
    return Draft(kind="task_set", happened=happened, place=task.place, details=said)


def tasks_of(
    proposal: Proposal, places: Mapping[str, str], new_id: Mapping[int, str] | None = None
) -> tuple[Task, ...]:
    """The tasks of a proposal, at places that are in the book (`places`: their ids by label); ids by their number."""
    made = []
    for number, one in enumerate(proposal.wanted):
        place = places.get(one.place, "") if one.place else ""
        if one.place and not place:
            continue
        made.append(Task(
            id=(new_id or {}).get(number, f"{proposal.kind} {number}"), label=one.label or proposal.label, place=place,
            every_days=proposal.every_days, window_days=proposal.window_days, quantity=proposal.quantity,
            unit=proposal.unit, low=one.low, high=one.high, kind=proposal.kind, rotation=one.rotation,
            rest_days=one.rest_days, litres=proposal.litres, feed=proposal.feed,
        ))  # fmt: skip
    return tuple(made)
