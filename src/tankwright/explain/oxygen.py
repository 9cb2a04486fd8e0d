"""The workings behind the oxygen of a tank: what it can hold, what uses it, what brings it, how long it lasts."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from tankwright.checks.oxygen import SCREENING
from tankwright.explain.model import Input, Working
from tankwright.finding import Number
from tankwright.origin import Known
from tankwright.room.model import Room
from tankwright.room.model_water import LifeLaws, TankLife
from tankwright.systems.oxygen_model import Banded, Demand, OxygenResult, TankOxygen

SATURATION: Final = "Benson and Krause (1984), as adopted by US Geological Survey memorandum 2011.03"
BREATHING: Final = "Clarke and Johnston (1999), a line between 69 species, drawn for fish of 50 g"
SURFACE: Final = (
    "Chin (2006), 0.6 m a day for still water, 1.025 a kelvin; our own proportion of stirring, no source"
)
BUBBLES: Final = "clean-water test of aerators (IS 13166) backwards"
BALANCE: Final = "oxygen balance of stirred water, textbook form"
COURSE: Final = "volume x change of level = transfer x (saturation - level) - demand"


def workings_oxygen(room: Room, result: OxygenResult) -> Iterator[Working]:
    """The workings of every tank: "A3.oxygen.time", ".steady", ".demand", ".saturation" and so on.

    >>> from tankwright.systems.oxygen import solve_oxygen
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> list(workings_oxygen(empty, solve_oxygen(empty, {})))
    []
    """
    laws = result.laws
    if laws is None:
        return
    yield _before_look(result)
    lives = {life.tank: life for life in room.lives}
    for one in result.tanks:
        life, base = lives[one.tank], f"{one.tank}.oxygen"
        yield _saturation(base, one, result)
        yield from _surfaces(base, one, laws)
        yield _each_kg(base, one, life, laws)
        if one.demand is not None:
            yield from _demand(base, one, one.demand, life, laws)
            yield from _course(base, one, one.demand, laws)
        yield from _held(base, one, laws)


def _before_look(result: OxygenResult) -> Working:
    aired = [(one, one.trouble) for one in result.in_order if one.stirring > 0.0 and one.trouble is not None]
    before = [(one, time) for one, time in aired if time.value <= result.gap]
    return Working(
        name="oxygen.before_look", title="tanks in trouble before the next look, should their air stop",
        number=Number(len(before), "number"),
        formula="tanks with air whose time to trouble is no longer than the longest time between two looks",
        inputs=(
            Input(name="tanks with air and described fish", number=Number(len(aired), "number")),
            Input(name="longest time between two looks", number=Number(result.gap, "duration")),
            *(Input(name=one.tank, number=Number(time.value, "duration"), see=f"{one.tank}.oxygen.time")
              for one, time in before),
        ),
        source=BALANCE, note=SCREENING,
    )  # fmt: skip


def _saturation(base: str, one: TankOxygen, result: OxygenResult) -> Working:
    return Working(
        name=f"{base}.saturation", title=f"oxygen that the water of {one.tank} can hold",
        number=_level(one.saturation), formula="by temperature and pressure, fresh water",
        inputs=(
            Input(name="temperature", number=Number(one.temperature.value, "temperature"), known=one.temperature),
            Input(name="pressure of the air", number=Number(result.pressure, "pressure")),
        ),
        source=SATURATION, note="about a ninth less for each 1000 m above the sea",
    )  # fmt: skip


def _surfaces(base: str, one: TankOxygen, laws: LifeLaws) -> Iterator[Working]:
    area = Input(name="surface of the water", number=Number(one.surface, "area"))
    warmth = Input(
        name="temperature", number=Number(one.temperature.value, "temperature"), known=one.temperature
    )
    yield Working(
        name=f"{base}.still", title=f"water of {one.tank} its still surface brings to saturation",
        number=_flow(one.still.value), formula="transfer velocity at 20 °C x 1.025 ^ (temperature - 20 °C) x surface",
        inputs=(Input(name="still water", number=_speed(laws.still), known=laws.still), area, warmth,
                *_ends(one.still, "flow")),
        source=SURFACE,
        note="a lid takes nothing off: a tight one, or a film, is the band's low end; swimming fish are its high end",
    )  # fmt: skip
    yield Working(
        name=f"{base}.aired", title=f"water of {one.tank} brought to saturation with the air on",
        number=_flow(one.aired.value + one.bubbles),
        formula="(still + (stirred - still) x stirring) x 1.025 ^ (temperature - 20 °C) x surface + bubbles",
        inputs=(
            Input(name="still water", number=_speed(laws.still), known=laws.still),
            Input(name="stirred water", number=_speed(laws.stirred), known=laws.stirred),
            Input(name="stirring, air over air wanted and at most 1", number=Number(one.stirring, "share")),
            area, warmth,
            Input(name="air", number=Number(one.air_flow, "air_flow")),
            Input(name="water over the diffuser", number=Number(one.depth or 0.0, "length")),
            Input(name="taken out of bubbles for each metre", number=Number(laws.bubbles.value, "share"),
                  known=laws.bubbles),
            Input(name="by bubbles alone", number=_flow(one.bubbles)),
        ),
        source=f"{SURFACE}; {BUBBLES}", note="bubbles do most by turning the surface over",
    )  # fmt: skip


def _each_kg(base: str, one: TankOxygen, life: TankLife, laws: LifeLaws) -> Working:
    stock = life.stock if not one.assumed_fish else None
    each, activity = (stock.each, stock.activity) if stock is not None else (laws.each, laws.activity)
    share = laws.feed_share if stock is None else None
    return Working(
        name=f"{base}.each", title=f"oxygen a kilogram of fish uses in {one.tank}, with its filter and mulm",
        number=Number(one.each_kg, "mass_per_time"),
        formula="breathing for its mass x activity + filter and mulm, for each kg of fish",
        inputs=(
            Input(name="mass of one fish", number=Number(each.value, "mass"), known=each),
            Input(name="temperature", number=Number(one.temperature.value, "temperature"), known=one.temperature),
            Input(name="breathing over resting", number=Number(activity.value, "number"), known=activity),
            Input(name="breathing of a kg", number=Number(one.rate, "mass_per_time")),
            *(() if share is None else (Input(name="feed a day, of their mass", number=Number(share.value, "share"),
                                              known=share),)),
            _mulm(laws),
        ),
        source=BREATHING,
        note=("fish nobody has named: " if stock is None else "")
        + "for fish under a few grams half as much or as little again is possible",
    )  # fmt: skip


def _demand(base: str, one: TankOxygen, demand: Demand, life: TankLife, laws: LifeLaws) -> Iterator[Working]:
    stock = life.stock
    yield Working(
        name=f"{base}.demand", title=f"oxygen used in {one.tank}",
        number=Number(demand.total, "mass_per_time"), formula="mass of fish x breathing + feed x filter and mulm",
        inputs=(
            Input(name="mass of fish", number=Number(demand.mass, "mass"), known=stock.mass if stock else None),
            Input(name="breathing of a kg", number=Number(one.rate, "mass_per_time"), see=f"{base}.each"),
            Input(name="by the fish", number=Number(demand.fish, "mass_per_time")),
            Input(name="feed", number=Number(demand.feed, "mass_per_time"), known=stock.feed if stock else None),
            _mulm(laws),
            Input(name="by filter and mulm", number=Number(demand.filter, "mass_per_time")),
            Input(name="of it to turn ammonia to nitrate", number=Number(demand.nitrifying, "mass_per_time")),
        ),
        source=f"{BREATHING}; filter and mulm by Timmons and Ebeling, from memory",
        note="nitrification, 4.57 kg for a kg of ammonia nitrogen, is part of what filter and mulm use: counted once",
    )  # fmt: skip


def _course(base: str, one: TankOxygen, demand: Demand, laws: LifeLaws) -> Iterator[Working]:
    steady, settles, trouble = one.steady, one.settles, one.trouble
    if steady is None or settles is None or trouble is None:
        return
    common = (
        Input(name="saturation", number=_level(one.saturation), see=f"{base}.saturation"),
        Input(name="demand", number=Number(demand.total, "mass_per_time"), see=f"{base}.demand"),
    )
    yield Working(
        name=f"{base}.steady", title=f"oxygen of {one.tank} as its air stands", number=_level(steady.value),
        formula="saturation - demand / transfer, and not below 0",
        inputs=(*common, Input(name="brought to saturation", number=_flow(one.aired.value + one.bubbles),
                               see=f"{base}.aired"), *_ends(steady, "concentration")),
        source=BALANCE, note=SCREENING,
    )  # fmt: skip
    still = Input(
        name="brought to saturation without air", number=_flow(one.still.value), see=f"{base}.still"
    )
    yield Working(
        name=f"{base}.settles", title=f"where the oxygen of {one.tank} ends without air", number=_level(settles.value),
        formula="saturation - demand / transfer, and not below 0",
        inputs=(*common, still, *_ends(settles, "concentration")), source=BALANCE,
        note=f"with the demand as it is; fish short of oxygen use less. {SCREENING}",
    )  # fmt: skip
    if math.isfinite(trouble.low):
        taken = trouble.value if math.isfinite(trouble.value) else trouble.low
        yield Working(
            name=f"{base}.time", title=f"time from the stop of the air until {one.tank} is in trouble"
            + ("" if taken == trouble.value else ", at the low end of still water; by the value taken it never is"),
            number=Number(taken, "duration"), formula=f"{COURSE}, solved for the time to the trouble level",
            inputs=(*common, Input(name="water", number=Number(one.volume, "volume"), see=f"{one.tank}.water"),
                    Input(name="level when the air stops", number=_level(steady.value), see=f"{base}.steady"), still,
                    Input(name="trouble level", number=_level(laws.trouble.value), known=laws.trouble),
                    *_ends(trouble, "duration")),
            source=f"{BALANCE}; trouble by EPA 440/5-86-003 (1986), from memory",
            note="transfer through still water decides it more than the volume: an oxygen drop test narrows the band."
            f" {SCREENING[0].upper()}{SCREENING[1:]}",
        )  # fmt: skip


def _held(base: str, one: TankOxygen, laws: LifeLaws) -> Iterator[Working]:
    for held in one.holds:
        yield Working(
            name=f"{base}.holds.{held.span.name.replace(' ', '-')}",
            title=f"fish {one.tank} can hold for {_SPANS.get(held.span.name, held.span.name)} without air",
            number=Number(held.mass.value, "mass"),
            formula="the demand that ends the span at the trouble level, over that of a kg of fish",
            inputs=(
                Input(name="without air for", number=Number(held.span.duration, "duration")),
                Input(name="water", number=Number(one.volume, "volume"), see=f"{one.tank}.water"),
                Input(name="saturation", number=_level(one.saturation), see=f"{base}.saturation"),
                Input(name="trouble level", number=_level(laws.trouble.value), known=laws.trouble),
                Input(name="brought to saturation with air", number=_flow(one.aired.value + one.bubbles),
                      see=f"{base}.aired"),
                Input(name="and without", number=_flow(one.still.value), see=f"{base}.still"),
                Input(name="a kg of fish uses", number=Number(one.each_kg, "mass_per_time"), see=f"{base}.each"),
                *_ends(held.mass, "mass"),
            ),
            source=f"{BALANCE}; {BREATHING}",
            note="no stocking number: it counts oxygen alone, for a failure of the air of that length. "
            f"{SCREENING[0].upper()}{SCREENING[1:]}",
        )  # fmt: skip


_SPANS: Final = {
    "between looks": "the longest time between two looks",
    "night": "the night",
    "absence": "the longest absence",
}


def _ends(band: Banded, dimension: str) -> tuple[Input, ...]:
    """Both ends of a band as inputs to read; none where it is no band, nor where it is never reached."""
    if band.low == band.high:
        return ()
    ends = (("at the low end of the surface's band", band.low), ("at its high end", band.high))
    return tuple(
        Input(name=name, number=Number(value, dimension)) for name, value in ends if math.isfinite(value)
    )


def _mulm(laws: LifeLaws) -> Input:
    return Input(
        name="filter and mulm, kg for a kg of feed", number=Number(laws.mulm.value, "number"), known=laws.mulm
    )


def _level(value: float) -> Number:
    return Number(value, "concentration")


def _flow(value: float) -> Number:
    return Number(value, "flow")


def _speed(known: Known) -> Number:
    return Number(known.value, "transfer_velocity")
