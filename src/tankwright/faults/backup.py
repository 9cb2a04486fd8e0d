"""A power cut of so many hours: what to keep on, what battery or generator that takes, which tanks to serve first.

    plan = power_cut_plan(study, 12 * 3600.0)

A screening. Times of the tanks are of a room with nothing on: oxygen at the low end of its band, warmth on the coldest
day of the year, the mains off all the while.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from tankwright.checks.grouping import listed
from tankwright.faults.backup_loads import Load, heat_asked, loads_of, mean_power, running
from tankwright.faults.electric import kept_loads
from tankwright.faults.life_harms import warmth_limits, with_fish
from tankwright.faults.model import Array
from tankwright.origin import Known
from tankwright.physics.batteries import (
    battery_capacity,
    battery_time,
    capacity_left,
    capacity_when_cold,
    generator_fuel,
    generator_rating,
    inverter_input,
)
from tankwright.room.assumed import assumed
from tankwright.room.model import Room
from tankwright.room.model_power import BackupPlace, BatteryPlace
from tankwright.study import Study
from tankwright.systems.water_life_model import Span, span_of
from tankwright.units import Coulomb, CubicMetre, Second, Volt, Watt

ChoiceName = Literal["air", "air and heating", "everything", "as the plan says"]
Reason = Literal["oxygen", "cold", "holds", "not known", "no fish"]

CAUTIONS: Final = (
    "A screening: ask a licensed person before anything feeds a circuit.",
    "Never back-feed: no generator or inverter into a wall socket. It kills people who mend the line.",
    "An engine's exhaust kills unseen: outdoors only, 6 m and more from doors, windows and vents, never in a garage or"
    " cellar, and a carbon monoxide alarm where people sleep.",
    "Refuel only when it is off and cold. Batteries: fuse at the battery, nothing metal on it, air for their gas.",
)
"""What stands beside every figure here. Source: common practice of fire services; the local code decides."""

_CHOICES: Final[tuple[tuple[ChoiceName, frozenset[str] | None], ...]] = (
    ("air", frozenset({"air"})),
    ("air and heating", frozenset({"air", "heat"})),
    ("everything", None),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class TankTime:
    """A tank without power. `oxygen` is the time to the trouble level at the low end of its band, `cold` to the
    first cold that may harm; infinite: not reached, None: not known. `first` is the lesser and `reason` which it is."""

    tank: str
    oxygen: Second | None
    cold: Second | None
    first: Second
    reason: Reason
    breathes_air: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """Loads kept on together. `running` is all of them at once, `mean` over the hours in the design cold.

    `capacity` is the charge on the label of the batteries that carry them for the cut, at `PowerCutPlan.voltage`;
    `lasts` how long the battery of the plan does, None without one. `generator` is the lasting power it must have,
    `enough` whether the plan's has it (None: no generator), `fuel` what one of that size drinks in the cut.
    """

    name: ChoiceName
    loads: tuple[Load, ...]
    running: Watt
    mean: Watt
    capacity: Span
    lasts: Span | None
    generator: Span
    enough: bool | None
    fuel: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerCutPlan:
    """What a cut of `duration` takes. `tanks` stand in the order to serve them. `followed` is how long the cold was
    followed (0: not at all); `not_computed` holds (subject, reason)."""

    duration: Second
    voltage: Volt
    choices: tuple[Choice, ...]
    tanks: tuple[TankTime, ...]
    followed: Second
    by_itself: bool
    rests_on: tuple[str, ...]
    not_computed: tuple[tuple[str, str], ...] = ()

    @property
    def in_trouble(self) -> tuple[TankTime, ...]:
        """The tanks in trouble before the cut is over, the first one first."""
        return tuple(one for one in self.tanks if one.first < self.duration)

    def choice(self, name: ChoiceName) -> Choice | None:
        """A choice by its name; None where there is nothing to keep on."""
        return next((one for one in self.choices if one.name == name), None)


def power_cut_plan(study: Study, duration: Second) -> PowerCutPlan:
    """What to keep on in a power cut, with what, and which tanks come first.

    Inputs:
        duration: how long the mains are off, s.
    """
    room = study.room
    loads, missing = loads_of(room)
    heat = heat_asked(study)
    backup = room.power.backup if room.power is not None else None
    battery = _Battery.of(room, backup)
    groups: list[tuple[ChoiceName, tuple[Load, ...]]] = [
        (name, tuple(one for one in loads if does is None or one.does in does)) for name, does in _CHOICES
    ]
    if backup is not None and (backup.boards or backup.loads):
        groups.append(("as the plan says", tuple(one for one in loads if _kept(backup, one))))
    choices = tuple(
        _choice(room, name, kept, heat if any(one.does == "heat" for one in kept) else 0.0, battery, duration)
        for name, kept in groups
        if kept
    )
    tanks, followed, unknown = _tank_times(study)
    if study.heat is None and any(one.does == "heat" for one in loads):
        unknown = (
            *unknown,
            ("heating", "warmth was not worked out, so heaters count for their hours of the plan"),
        )
    return PowerCutPlan(
        duration=duration,
        voltage=battery.voltage.value,
        choices=choices,
        tanks=tanks,
        followed=followed,
        by_itself=backup.by_itself if backup is not None else False,
        rests_on=tuple(dict.fromkeys(one.key for one in battery.known if one.is_assumed and one.key)),
        not_computed=(*missing, *unknown),
    )


def _kept(backup: BackupPlace, load: Load) -> bool:
    return load.board in backup.boards or (load.board, load.name) in backup.loads


def backup_lasts(room: Room) -> Second:
    """How long the plan's backup carries what it keeps running in a room as it is broken now
    (`faults.electric.kept_loads`): infinite for a generator, and where it keeps nothing."""
    backup = room.power.backup if room.power is not None else None
    kept = {(board.id, load.name) for board, load in kept_loads(room)}
    if backup is None or backup.battery is None or backup.generator is not None or not kept:
        return math.inf
    loads = [one for one in loads_of(room)[0] if (one.board, one.name) in kept]
    return _Battery.of(room, backup).lasts(mean_power(loads, None), 1)


# --- batteries and generators -------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class _Battery:
    """The plan's battery, or one as they usually are where it names none. `capacity` is all of them together."""

    capacity: Known | None
    count: int
    rated_time: Known
    voltage: Known
    usable: Known
    exponent: Known
    efficiency: Known
    idle: Known
    aged: Known
    temperature: Known
    generator: Known | None

    @classmethod
    def of(cls, room: Room, backup: BackupPlace | None) -> _Battery:
        said: BatteryPlace | None = backup.battery if backup is not None else None
        return cls(
            capacity=said.capacity if said is not None else None,
            count=said.count if said is not None else 1,
            rated_time=said.at_hours if said is not None else assumed(room, "battery.at_hours"),
            voltage=said.voltage if said is not None else assumed(room, "battery.voltage"),
            usable=said.usable if said is not None else assumed(room, "battery.usable"),
            exponent=said.peukert if said is not None else assumed(room, "battery.peukert"),
            efficiency=said.inverter_efficiency
            if said is not None
            else assumed(room, "battery.inverter_efficiency"),
            idle=said.inverter_idle if said is not None else assumed(room, "battery.inverter_idle"),
            aged=assumed(room, "battery.aged"),
            temperature=assumed(room, "battery.temperature"),
            generator=backup.generator if backup is not None else None,
        )

    @property
    def known(self) -> tuple[Known, ...]:
        """All it rests on."""
        return (
            self.rated_time, self.voltage, self.usable, self.exponent, self.efficiency, self.idle, self.aged,
            self.temperature,
        )  # fmt: skip

    def left(self, label: Coulomb, end: int) -> Coulomb:
        """What age and cold leave of a capacity; `end` 0 is the worst of the bands, 1 the value taken, 2 the best."""
        cold = capacity_when_cold(temperature=_end(self.temperature, end))
        return capacity_left(capacity=label, aged_share=_end(self.aged, end), cold_share=cold)

    def current(self, mean: Watt, end: int) -> float:
        """What the inverter takes from the battery."""
        taken = inverter_input(
            load=mean, efficiency=_end(self.efficiency, end), idle=_end(self.idle, 2 - end)
        )
        return max(taken / _end(self.voltage, end), 1e-3)

    def lasts(self, mean: Watt, end: int) -> Second:
        """How long the plan's battery carries a load."""
        assert self.capacity is not None
        return battery_time(
            capacity=self.left(_end(self.capacity, end) * self.count, end),
            rated_time=self.rated_time.value,
            current=self.current(mean, end),
            peukert_exponent=_end(self.exponent, 2 - end),
            usable_share=_end(self.usable, end),
        )

    def needed(self, mean: Watt, duration: Second, end: int) -> Coulomb:
        """Label capacity that carries a load for so long."""
        charge = battery_capacity(
            duration=duration,
            rated_time=self.rated_time.value,
            current=self.current(mean, end),
            peukert_exponent=_end(self.exponent, 2 - end),
            usable_share=_end(self.usable, end),
        )
        return charge / self.left(1.0, end)


def _end(known: Known, end: int) -> float:
    span = span_of(known)
    return (span.low, span.value, span.high)[end]


def _choice(
    room: Room, name: ChoiceName, loads: tuple[Load, ...], heat: Watt | None, battery: _Battery, duration: Second
) -> Choice:  # fmt: skip
    full, mean = running(loads), mean_power(loads, heat)
    needed = [battery.needed(mean, duration, end) for end in (2, 1, 0)]
    lasts = [battery.lasts(mean, end) for end in (0, 1, 2)] if battery.capacity is not None else None
    starting, loaded = assumed(room, "generator.starting"), assumed(room, "generator.loaded")
    largest = max((one.largest for one in loads), default=0.0)
    ratings = [
        generator_rating(
            running=full,
            largest_motor=largest,
            starting_factor=_end(starting, end),
            loaded_share=_end(loaded, 2 - end),
        )
        for end in (0, 1, 2)
    ]
    has = battery.generator
    return Choice(
        name=name,
        loads=loads,
        running=full,
        mean=mean,
        capacity=Span(low=needed[0], value=needed[1], high=needed[2]),
        lasts=Span(low=lasts[0], value=lasts[1], high=lasts[2]) if lasts is not None else None,
        generator=Span(low=ratings[0], value=ratings[1], high=ratings[2]),
        enough=None if has is None else has.value >= ratings[1],
        fuel=_fuel(room, mean, max(has.value, full) if has is not None else ratings[1], duration),
    )


def _fuel(room: Room, mean: Watt, rating: Watt, duration: Second) -> Span:
    efficiency, idle = assumed(room, "generator.efficiency"), assumed(room, "generator.idle")

    def drunk(end: int) -> CubicMetre:
        rate = generator_fuel(
            load=mean, rating=rating, efficiency=_end(efficiency, 2 - end), idle_share=_end(idle, end)
        )
        return rate * duration

    return Span(low=drunk(0), value=drunk(1), high=drunk(2))


# --- tanks without power ------------------------------------------------------------------------------------------


def _tank_times(study: Study) -> tuple[tuple[TankTime, ...], Second, tuple[tuple[str, str], ...]]:
    room = study.room
    cold, followed = _cold_times(study)
    fish = with_fish(room.lives)
    told = {one.tank for one in room.lives if one.stock is not None}
    found: list[TankTime] = []
    for tank in room.tanks:
        oxygen = study.oxygen.tank(tank.id) if study.oxygen is not None else None
        trouble = oxygen.trouble.low if oxygen is not None and oxygen.trouble is not None else None
        empty = tank.id in told and tank.id not in fish
        found.append(
            _tank_time(tank.id, trouble, cold.get(tank.id), empty, bool(oxygen and oxygen.breathes_air))
        )
    missing: list[tuple[str, str]] = []
    if found and study.oxygen is None:
        missing.append(("oxygen", "was not worked out, so no tank's time to trouble for want of it is known"))
    if found and not followed:
        missing.append(("warmth", "was not worked out, so no tank's time in the cold is known"))
    untold = [one.tank for one in found if one.oxygen is None and one.tank not in told]
    if untold and study.oxygen is not None:
        reason = "the plan does not say what fish live there, so when they lack oxygen is not known"
        missing.append((listed(untold), reason))
    return tuple(sorted(found, key=_order)), followed, tuple(missing)


def _tank_time(
    name: str, oxygen: Second | None, cold: Second | None, empty: bool, breathes_air: bool
) -> TankTime:
    times: list[tuple[Second, Reason]] = []
    if oxygen is not None:
        times.append((oxygen, "oxygen"))
    if cold is not None:
        times.append((cold, "cold"))
    first, reason = min(times, default=(math.inf, "not known"))
    if empty:
        first, reason = math.inf, "no fish"
    elif math.isinf(first):
        reason = "holds" if oxygen is not None and cold is not None else "not known"
    return TankTime(
        tank=name, oxygen=oxygen, cold=cold, first=first, reason=reason, breathes_air=breathes_air
    )


def _order(one: TankTime) -> tuple[float, int, float, float]:
    """First to trouble first; among those that hold, what is not known before what does, empty tanks last."""
    rank = {"no fish": 2, "holds": 1}.get(one.reason, 0)
    return (
        one.first,
        rank,
        one.oxygen if one.oxygen is not None else math.inf,
        one.cold if one.cold is not None else math.inf,
    )


def _cold_times(study: Study) -> tuple[dict[str, Second], Second]:
    """When each tank comes to the first cold that may harm its fish, from the course of a cut on the coldest day.

    Of the limit's band the warmest end counts that the tank does not stand under already; 0 where it stands under all.
    """
    if study.heat is None:
        return {}, 0.0
    room = study.room
    limits = dict(zip((tank.id for tank in room.tanks), warmth_limits(room)[0].T.tolist(), strict=True))
    times: dict[str, Second] = {}
    followed = 0.0
    for space in study.heat.spaces:
        course = space.cut
        if not len(course.times):
            continue
        followed = max(followed, float(course.times[-1]))
        for group, names in enumerate(space.tanks):
            for name in names:
                starts = float(course.water[0, group])
                ends = [one for one in limits.get(name, ()) if not math.isnan(one)]
                limit = max((one for one in ends if one < starts), default=None)
                if ends:
                    times[name] = (
                        0.0 if limit is None else _falls_to(course.times, course.water[:, group], limit)
                    )
    return times, followed


def _falls_to(times: Array, course: Array, limit: float) -> Second:
    """When a course first falls to a limit, between two steps in proportion; infinite when it does not."""
    below = np.flatnonzero(course <= limit)
    if not len(below):
        return math.inf
    after = int(below[0])
    if after == 0:
        return 0.0
    share = (course[after - 1] - limit) / (course[after - 1] - course[after])
    return float(times[after - 1] + share * (times[after] - times[after - 1]))
