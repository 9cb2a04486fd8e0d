"""Workings of a year: what each sum is made of, and what it stands on."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from tankwright.explain.model import Input, Working
from tankwright.finding import Number
from tankwright.origin import Known, derived
from tankwright.room.model import Room
from tankwright.room.model_climate import ClimatePlace
from tankwright.systems.heat_energy import Use
from tankwright.systems.heat_year import RoomYear
from tankwright.systems.heat_year_model import INTERACTION, KWH, METHOD, Saving, YearResult

ENGINE: Final = "EN ISO 13790:2008, five links, from memory; evaporation by M. M. Shah (2002)"
_PLUGGED: Final = (Use.LIGHTS, Use.AIR, Use.PUMPS, Use.OTHER)
_HEAT: Final[dict[Use, str]] = {
    Use.ROOM: "each hour the heat that holds the air at heat_to, up to the heater's power; added up",
    Use.TANKS: "each hour the heat that holds every tank at its heater's setting, up to its power; added up",
    Use.COOLING: "each hour the heat that holds the air at cool_to, over what the cooler moves for a unit of power",
    Use.DRYING: "kg taken out of the air times the energy a kg takes",
}


def use_name(use: Use) -> str:
    """The name of a use's working.

    >>> use_name(Use.ROOM)
    'year.room-heating'
    """
    return "year." + use.value.replace(" ", "-")


def workings_year(room: Room, year: YearResult) -> Iterator[Working]:
    """Every figure of the year that can be opened; none where it was not worked out."""
    base, climate = year.base, room.climate
    if base is None or climate is None:
        return
    yield Working(
        name="year.energy",
        title="energy of the year",
        number=Number(base.total, "energy"),
        formula="the sum of all uses",
        inputs=tuple(_seen(use.value, base.of(use), use_name(use)) for use, _ in base.uses),
        source="a sum",
        note=f"weather: {year.source}",
    )
    for use, _ in base.uses:
        yield _use(room, climate, base, use)
    yield Working(
        name="year.fresh-water",
        title="heat that fresh water takes in the year",
        number=Number(base.new_water, "energy"),
        formula="each hour: water that runs in x 4180 J/(kg K) x (temperature of the tank - that of the source)",
        inputs=(
            Input(name="fresh water of the year", number=Number(base.fresh_water, "volume")),
            *(_input(f"{water.id} in winter", water.winter, "temperature") for water in room.waters if water.winter),
            *(_input(f"{water.id} in summer", water.summer, "temperature") for water in room.waters if water.summer),
        ),
        source="definition; the source is coldest in the middle of the coldest month, common practice",
    )  # fmt: skip
    yield Working(
        name="year.evaporated",
        title="water that evaporates in the year",
        number=Number(base.evaporated, "mass"),
        formula="each hour surface x coefficient x (saturation pressure at the water - vapour pressure of the air)",
        inputs=(
            _input("left under a lid", climate.covered, "share"),
            _input("more where bubbles break the surface", climate.bubbling, "number"),
        ),
        source="M. M. Shah, HVAC&R Research 8 (2002), 125-146; constants from memory",
        note="published forms differ by more than two to one: the litres you top up in a week decide",
    )
    if year.energy_price is not None:
        yield _cost(year, base, year.energy_price)
    for one in (*year.savings, *(several for several in (year.pair, year.together) if several)):
        yield _saving(one, base)


def _seen(name: str, energy: float, see: str) -> Input:
    return Input(name=name, number=Number(energy, "energy"), see=see)


def _input(name: str, known: Known | None, dimension: str) -> Input:
    known = known or derived(float("nan"))
    return Input(name=name, number=Number(known.value, dimension), known=known)


def _use(room: Room, climate: ClimatePlace, base: RoomYear, use: Use) -> Working:
    inputs = tuple(_plugged(room, use) if use in _PLUGGED else _held(room, climate, use))
    return Working(
        name=use_name(use),
        title=f"{use.value} in the year",
        number=Number(base.of(use), "energy"),
        formula="power x hours a day x 365" if use in _PLUGGED else _HEAT[use],
        inputs=inputs,
        source="what the plan says of boards and loads" if use in _PLUGGED else ENGINE,
        note="" if use in _PLUGGED else METHOD,
    )


def _plugged(room: Room, use: Use) -> Iterator[Input]:
    does = {Use.LIGHTS: ("light",), Use.AIR: ("air",), Use.PUMPS: ("feed", "pump"), Use.OTHER: ("other",)}[
        use
    ]
    for board in room.power.boards if room.power else ():
        for load in board.loads:
            if load.does in does:
                yield Input(
                    name=f"{load.name}, {load.count} on {board.id}, {load.hours:g} h a day",
                    number=Number(load.power.value * load.count, "power"), known=load.power,
                )  # fmt: skip


def _held(room: Room, climate: ClimatePlace, use: Use) -> Iterator[Input]:
    for one in climate.spaces:
        if use is Use.ROOM and one.heat_to is not None:
            yield _input(f"{one.space} is heated to", one.heat_to, "temperature")
        if use is Use.COOLING and one.cool_to is not None:
            yield _input(f"{one.space} is cooled to", one.cool_to, "temperature")
            if one.cooler is not None and one.cooler.per_power is not None:
                yield _input("its cooler moves for a unit of power", one.cooler.per_power, "number")
        if use is Use.DRYING and one.dehumidifier is not None and one.dehumidifier.holds is not None:
            yield _input(f"{one.space} is dried to", one.dehumidifier.holds, "share")
        yield _input(f"air that leaks into {one.space}", one.air_change, "air_change")
    if use is Use.TANKS:
        heated = {life.heater.holds.value: life.heater.holds for life in room.lives if life.heater}
        for known in heated.values():
            yield _input("tank heaters hold", known, "temperature")
        if room.laws is not None:
            yield _input("heat through a tank's panes", room.laws.wall_coat, "thermal_transmittance")
    yield _input("evaporation left under a lid", climate.covered, "share")


def _cost(year: YearResult, base: RoomYear, price: float) -> Working:
    return Working(
        name="year.cost",
        title=f"cost of the year's energy, {year.currency or 'in the plan’s currency'}",
        number=Number(year.energy_cost or 0.0, "number"),
        formula="energy in kWh x energy_price",
        inputs=(
            _seen("energy of the year", base.total, "year.energy"),
            Input(name="energy_price, for a kWh", number=Number(price, "number")),
        ),
        source="what the plan says of prices",
    )


def _saving(one: Saving, base: RoomYear) -> Working:
    after = base.total - one.saved
    return Working(
        name=f"year.saves.{one.measure.key}",
        title=f"saved in a year: {one.measure.name}",
        number=Number(one.saved, "energy"),
        formula="energy of the year as it is - energy of the same year with the measure",
        inputs=(
            _seen("as it is", base.total, "year.energy"),
            Input(name="with the measure", number=Number(after, "energy")),
            *(
                Input(name=f"less {use.value}", number=Number(value, "energy"))
                for use, value in one.uses
                if abs(value) > 0.1 * KWH
            ),
        ),
        source=ENGINE,
        note=INTERACTION,
    )
