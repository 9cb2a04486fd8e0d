"""Oxygen of every tank: what is used, what surface and bubbles bring, and how it falls once the air stops.

What is assumed of every tank, beside the rows of the catalogue: its water is stirred; its demand stays as it is, fish
fed and moving; a lid changes nothing of the value for still water, as a tight one is the low end of its band; the
air stirs the surface in proportion to the air wanted, and no more than fully (our own, no source). Nitrification is
part of what filter and mulm use and is not added to it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tankwright.catalogue.species import breathes_air
from tankwright.origin import Known
from tankwright.physics import oxygen_course
from tankwright.physics.constants import STANDARD_PRESSURE
from tankwright.physics.nitrification import ammonia_from_feed, oxygen_for_nitrification
from tankwright.physics.oxygen import bubble_transfer, oxygen_saturation, reaeration_coefficient
from tankwright.physics.ranges import OutsideValidRange
from tankwright.physics.respiration import respiration_rate
from tankwright.room.model import Room, Tank
from tankwright.room.model_water import LifeLaws, StockPlace, TankLife
from tankwright.systems.oxygen_model import Banded, Demand, Held, OxygenResult, Span, TankOxygen
from tankwright.units import CubicMetrePerSecond, Metre, Pascal, Second

DAY = 86_400.0

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Air:
    """The taps of one tank together."""

    wanted: CubicMetrePerSecond
    depth: Metre


def solve_oxygen(
    room: Room, air_flows: Mapping[str, CubicMetrePerSecond], *, pressure: Pascal = STANDARD_PRESSURE
) -> OxygenResult:
    """The oxygen of every tank, with its air on and after it stops.

    Inputs:
        air_flows: free air each tank gets, m3/s; a tank that is not named gets none, or is not computed when it has
            an open tap.
        pressure: of the air, Pa; at a height above the sea it is less than the standard one.

    Source: the formulas of `physics.oxygen`, `physics.respiration` and `physics.nitrification`.

    >>> solve_oxygen(Room(title="", display="metric", spaces=(), racks=(), tanks=()), {}).tanks
    ()
    """
    spans = spans_without_air(room.looks, room.longest_absence)
    empty = OxygenResult(pressure=pressure, gap=spans[0].duration, spans=spans)
    laws = room.laws
    if laws is None or not room.lives:
        reason = "the plan says nothing of its fish, its waters or its climate"
        return replace(empty, not_computed=(("oxygen", reason),) if room.tanks else ())
    airs = _airs(room)
    made: list[TankOxygen] = []
    missing: list[tuple[str, str]] = []
    for tank, life in zip(room.tanks, room.lives, strict=True):
        if tank.id in airs and tank.id not in air_flows:
            missing.append((f"tank {tank.id}", "the air its tap gives was not worked out"))
            continue
        try:
            made.append(_tank(tank, life, laws, air_flows.get(tank.id, 0.0), airs.get(tank.id), pressure))
        except OutsideValidRange as outside:
            missing.append((f"tank {tank.id}", f"a formula does not reach it: {outside}"))
    for one in made:
        if one.demand is None:
            missing.append(
                (f"tank {one.tank}", "the plan does not say what fish live there, or how much they weigh")
            )
    return replace(
        empty, laws=laws, tanks=_run_down(made, laws.trouble.value, spans), not_computed=tuple(missing)
    )  # fmt: skip


def spans_without_air(looks: Sequence[Second], absence: Known | None) -> tuple[Span, ...]:
    """The longest time between two looks (a day without any), the night from the last look to the first where it is
    not that, and the longest absence.

    >>> [(one.name, one.duration / 3600) for one in spans_without_air((6 * 3600.0, 20 * 3600.0), None)]
    [('between looks', 14.0), ('night', 10.0)]
    """
    times = sorted({look % DAY for look in looks}) or [0.0]
    gaps = [later - earlier for earlier, later in zip(times, [*times[1:], times[0] + DAY], strict=True)]
    spans = [Span(name="between looks", duration=max(gaps))]
    if gaps[-1] < spans[0].duration:
        spans.append(Span(name="night", duration=gaps[-1]))
    if absence is not None:
        spans.append(Span(name="absence", duration=absence.value))
    return tuple(spans)


def levels_without_air(one: TankOxygen, times: Sequence[Second]) -> tuple[Floats, Floats, Floats]:
    """The oxygen of a tank at times after its air stopped, for the low end, the value and the high end of the
    transfer through still water. Nothing for a tank whose demand is not known."""
    if one.demand is None or one.steady is None:
        return (np.array([]), np.array([]), np.array([]))
    levels = oxygen_course.level_after(
        duration=np.asarray(times), transfer=_three([one.still])[:, 0, None], volume=one.volume,
        saturation=one.saturation, start=_three([_start(one)])[:, 0, None], demand=one.demand.total,
    )  # fmt: skip
    return levels[0], levels[1], levels[2]


def _airs(room: Room) -> dict[str, _Air]:
    """What the open taps of each tank want together, and how deep its diffusers hang in the mean."""
    taps: dict[str, list[tuple[float, float]]] = {}
    for tap in (tap for run in room.airs for tap in run.taps if tap.tank is not None and tap.open):
        wanted = tap.flow_wanted.value if tap.flow_wanted is not None else 0.0
        taps.setdefault(tap.tank or "", []).append((wanted, tap.water_depth))
    return {
        tank: _Air(wanted=sum(wanted for wanted, _ in found), depth=sum(depth for _, depth in found) / len(found))
        for tank, found in taps.items()
    }  # fmt: skip


def _tank(
    tank: Tank, life: TankLife, laws: LifeLaws, flow: CubicMetrePerSecond, air: _Air | None, pressure: Pascal
) -> TankOxygen:
    """One tank without its course."""
    warmth, area = life.wanted_temperature.value, tank.inside_area
    if area <= 0.0 or tank.water_volume <= 0.0:
        raise OutsideValidRange("water_volume", tank.water_volume, 1e-6, 1e6, "m**3")
    stock = life.stock
    each, activity = (stock.each, stock.activity) if stock is not None else (laws.each, laws.activity)
    rate = respiration_rate(fish_mass=each.value, water_temperature=warmth, activity=activity.value)
    demand = None if stock is None else _demand(stock, laws, rate)
    fed = demand is not None and demand.mass > 0.0
    stirring = (
        0.0 if flow <= 0.0 else min(1.0, flow / air.wanted) if air is not None and air.wanted > 0.0 else 1.0
    )
    still, stirred = (_through_surface(law, warmth, area) for law in (laws.still, laws.stirred))
    return TankOxygen(
        tank=tank.id, temperature=life.wanted_temperature, volume=tank.water_volume, surface=area,
        saturation=oxygen_saturation(warmth, pressure=pressure), lid=bool(tank.lid) and tank.lid != "none",
        air_flow=flow, depth=air.depth if air is not None else None, stirring=stirring, still=still,
        aired=Banded(
            low=_between(still.value, stirred.low, stirring), value=_between(still.value, stirred.value, stirring),
            high=_between(still.value, stirred.high, stirring),
        ) if stirring > 0.0 else still,
        bubbles=0.0 if air is None else bubble_transfer(
            air_flow=flow, depth=air.depth, water_temperature=warmth, efficiency_per_depth=laws.bubbles.value
        ),
        rate=rate,
        each_kg=demand.total / demand.mass if demand is not None and fed
        else rate + laws.mulm.value * laws.feed_share.value / DAY,
        assumed_fish=not fed,
        breathes_air=stock is not None and stock.species is not None and breathes_air(stock.species),
        demand=demand, steady=None, settles=None, trouble=None, holds=(),
    )  # fmt: skip


def _demand(stock: StockPlace, laws: LifeLaws, rate: float) -> Demand | None:
    if stock.mass is None:
        return None
    feed = stock.feed.value if stock.feed is not None else 0.0
    nitrogen = ammonia_from_feed(feed=feed, protein_share=stock.protein.value)
    filtered = laws.mulm.value * feed
    return Demand(
        mass=stock.mass.value, feed=feed, fish=rate * stock.mass.value, filter=filtered,
        nitrifying=min(oxygen_for_nitrification(nitrogen=nitrogen), filtered),
    )  # fmt: skip


def _through_surface(law: Known, warmth: float, area: float) -> Banded:
    low, high = law.band if law.band is not None else (law.value, law.value)
    low, value, high = (
        reaeration_coefficient(water_temperature=warmth, still_transfer=velocity) * area
        for velocity in (low, law.value, high)
    )
    return Banded(low=low, value=value, high=high)


def _between(nothing: float, full: float, share: float) -> float:
    return nothing + (full - nothing) * share


def _start(one: TankOxygen) -> Banded:
    """The level the air stops at, beside each end of the still water's band. A tank without air has no stop: its
    level stays where its surface keeps it."""
    if one.steady is None:
        raise ValueError("a tank without a demand has no level")
    if one.stirring == 0.0:
        return one.steady
    return Banded(low=one.steady.value, value=one.steady.value, high=one.steady.value)


def _run_down(made: Iterable[TankOxygen], level: float, spans: tuple[Span, ...]) -> tuple[TankOxygen, ...]:
    """The tanks with their levels, their times and what they hold: all of them and three transfers at once."""
    tanks = tuple(made)
    if not tanks:
        return ()
    saturation, volume = np.array([one.saturation for one in tanks]), np.array([one.volume for one in tanks])
    each_kg = np.array([one.each_kg for one in tanks])
    bubbles = np.array([one.bubbles for one in tanks])
    still, aired = _three([one.still for one in tanks]), _three([one.aired for one in tanks]) + bubbles
    demand = np.array([math.nan if one.demand is None else one.demand.total for one in tanks])
    steady = oxygen_course.steady_level(transfer=aired, saturation=saturation, demand=demand)
    settles = oxygen_course.steady_level(transfer=still, saturation=saturation, demand=demand)
    has_air = np.array([one.stirring > 0.0 for one in tanks])
    with_air = np.where(
        has_air, aired[1], still
    )  # without air the water settles at each end of the band by itself
    start = oxygen_course.steady_level(transfer=with_air, saturation=saturation, demand=demand)
    times = oxygen_course.time_to_level(
        level=level, transfer=still, volume=volume, saturation=saturation, start=start, demand=demand
    )
    times = np.where(start <= level, 0.0, times)
    durations = np.array([span.duration for span in spans])[:, None, None]
    borne = oxygen_course.largest_demand_with_air(
        duration=durations, level=level, with_air=with_air, transfer=still, volume=volume, saturation=saturation
    ) / each_kg  # fmt: skip
    return tuple(
        replace(
            one,
            steady=None if one.demand is None else _banded(steady[:, index]),
            settles=None if one.demand is None else _banded(settles[:, index]),
            trouble=None if one.demand is None else _banded(times[:, index]),
            holds=tuple(Held(span=span, mass=_banded(row[:, index])) for span, row in zip(spans, borne, strict=True)),
        )
        for index, one in enumerate(tanks)
    )  # fmt: skip


def _three(bands: Sequence[Banded]) -> Floats:
    """Rows of low, value and high; a column for each band."""
    return np.array([[one.low, one.value, one.high] for one in bands], dtype=np.float64).reshape(-1, 3).T


def _banded(values: Floats) -> Banded:
    low, value, high = (float(one) for one in values)
    return Banded(low=low, value=value, high=high)


def drop_test(
    one: TankOxygen, laws: LifeLaws, velocities: Sequence[float], times: Sequence[Second]
) -> Floats:
    """What a drop test of a tank would read: a row for each transfer velocity of still water at 20 °C, m/s, a column
    for each time after its air stopped. So a reading tells the velocity, if the demand is as it is taken."""
    rows = [
        levels_without_air(replace(one, still=Banded(low=still, value=still, high=still)), times)[1]
        for still in (one.still.value * velocity / laws.still.value for velocity in velocities)
    ]
    return np.array(rows)
