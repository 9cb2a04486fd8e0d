"""How the warmth of a space and of a tank came about: losses, heater, water, stuck heater, power cut, damp."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from tankwright.explain.model import Input, Working
from tankwright.finding import Number
from tankwright.physics.surfaces import CAUTION
from tankwright.room.model import Room
from tankwright.room.model_climate import SpaceClimate
from tankwright.systems.heat_model import ColdSurface, HeatResult, SpaceHeat, TankHeat

BALANCE: Final = "heat and moisture balance; U times area from air to air"
HOURLY: Final = "EN ISO 13790 annex C, hour by hour, from memory; evaporation by Shah (2002)"


def workings_heat(room: Room, result: HeatResult) -> Iterator[Working]:
    """The workings of every space ("heat.cellar.need") and every tank ("A3.heat", "A3.heat.need").

    >>> from tankwright.systems.heat import solve_heat
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> list(workings_heat(empty, solve_heat(empty, None, {})))
    []
    """
    if room.climate is None:
        return
    for space in result.spaces:
        kept = room.climate.space(space.space)
        if kept is not None:
            yield from _space(space, kept, result)
    for row in result.tanks:
        yield from _tank(room, row, result)


def _space(space: SpaceHeat, kept: SpaceClimate, result: HeatResult) -> Iterator[Working]:
    name = f"heat.{space.space}"
    cold, month, hot = (space.day(case) for case in ("coldest", "coldest month", "hottest"))
    yield Working(
        name=f"{name}.loss", title=f"warmth room {space.space} loses for a kelvin",
        number=Number(space.loss, "heat_conductance"), formula="sum of U x area + 1006 J/(kg K) x changed air",
        inputs=(
            *(Input(name=f"U of {one.id.removeprefix(space.space + ' ')}, {one.area:.2f} m2",
                    number=Number(one.transmittance.value, "thermal_transmittance"), known=one.transmittance)
              for one in kept.surfaces),
            Input(name="air that leaks in", number=Number(kept.air_change.value, "air_change"), known=kept.air_change),
        ),
        source=BALANCE, note="towards ground and house it counts in full, though those are warmer than outdoors",
    )  # fmt: skip
    if space.heat_need is not None and space.heat_to is not None:
        yield Working(
            name=f"{name}.need", title=f"heat that holds room {space.space} in the design cold",
            number=_watt(space.heat_need), formula="what leaves the air, less what heats it besides its heater",
            inputs=(
                Input(name="held at", number=_kelvin(space.heat_to.value), known=space.heat_to),
                Input(name="outdoors, design cold", number=_kelvin(result.winter_design)),
                *(Input(name=part.name, number=_watt(part.heat)) for part in cold.losses),
                Input(name="least, by the bands of what is not known", number=_watt(space.need_band[0])),
                Input(name="most", number=_watt(space.need_band[1])),
            ),
            source=BALANCE,
            note="the parts are those of the room as it is with the heater it has; without sun, people and lights",
        )  # fmt: skip
    for day, word in ((cold, "coldest"), (month, "month"), (hot, "hottest")):
        yield Working(
            name=f"{name}.{word}.air", title=f"air of room {space.space}, {day.case}", number=_kelvin(day.air),
            formula="where all that leaves equals all that comes",
            inputs=(
                Input(name="outdoors", number=_kelvin(day.outside)),
                *(Input(name=f"leaves by {part.name}", number=_watt(part.heat)) for part in day.losses),
                *(Input(name=f"comes from {part.name}", number=_watt(part.heat)) for part in day.gains),
            ),
            source=BALANCE,
        )  # fmt: skip
        yield Working(
            name=f"{name}.{word}.humidity", title=f"relative humidity of room {space.space}, {day.case}",
            number=Number(day.relative_humidity, "share"),
            formula="where water that evaporates equals water that changed air and a dehumidifier take away",
            inputs=(
                Input(name="evaporates in a day", number=Number(day.evaporation * 86400.0, "mass")),
                Input(name="dew point", number=_kelvin(day.dew_point)),
                Input(name="air that leaks in", number=Number(kept.air_change.value, "air_change"),
                      known=kept.air_change),
            ),
            source="moisture balance; Shah (2002)",
        )  # fmt: skip
    for face in space.surfaces:
        yield from _face(face, space)
    cooling = space.cooling
    yield Working(
        name=f"{name}.cooling", title=f"heat a cooler of room {space.space} would have to take",
        number=_watt(cooling.sensible + cooling.latent),
        formula="most dry heat of the hottest day + heat of the water above 60 % humidity",
        inputs=(
            Input(name="held at", number=_kelvin(cooling.holds)),
            Input(name="dry heat", number=_watt(cooling.sensible)),
            Input(name="heat of the water taken out", number=_watt(cooling.latent)),
        ),
        source=HOURLY,
    )  # fmt: skip
    for row in space.drying:
        word = "month" if row.case == "coldest month" else "hottest"
        yield Working(
            name=f"{name}.{word}.drying", title=f"water to take out of room {space.space} in a day, {row.case}",
            number=Number(row.needed * 86400.0, "mass"),
            formula="what evaporates into air held so dry + people - what changed air takes away",
            inputs=(Input(name="held at", number=Number(row.holds.value, "share"), known=row.holds),),
            source="moisture balance; Shah (2002)",
        )  # fmt: skip
    if space.ways is not None:
        yield Working(
            name=f"{name}.ways", title=f"heating room {space.space} for its tanks by air alone",
            number=_watt(space.ways.room_way), formula="heat balance in the design cold, no heaters in tanks",
            inputs=(
                Input(name="air it takes", number=_kelvin(space.ways.room_air)),
                Input(name="hottest tank then", number=_kelvin(space.ways.hottest_tank)),
                Input(name="by heaters in tanks alone", number=_watt(space.ways.tank_way)),
                Input(name="air then", number=_kelvin(space.ways.tank_way_air)),
            ),
            source=BALANCE,
        )  # fmt: skip


def _face(face: ColdSurface, space: SpaceHeat) -> Iterator[Working]:
    cold, month = space.day("coldest"), space.day("coldest month")
    u = Input(
        name="U", number=Number(face.transmittance.value, "thermal_transmittance"), known=face.transmittance
    )
    yield Working(
        name=f"heat.{face.id}.face", title=f"inner face of {face.id} in the design cold", number=_kelvin(face.face),
        formula="beyond + (1 - U x 0.13 m2K/W) x (air - beyond)",
        inputs=(u, Input(name="air", number=_kelvin(cold.air)), Input(name="outdoors", number=_kelvin(cold.outside)),
                Input(name="dew point of the air", number=_kelvin(cold.dew_point))),
        source="EN ISO 13788", note=CAUTION,
    )  # fmt: skip
    yield Working(
        name=f"heat.{face.id}.moisture", title=f"humidity in the corners of {face.id}, coldest month",
        number=Number(face.moisture, "share"), formula="vapour pressure of the room / what the corner's face can hold",
        inputs=(u, Input(name="corner, by Rsi 0.25 (glass and doors 0.13)", number=_kelvin(face.corner)),
                Input(name="air", number=_kelvin(month.air)),
                Input(name="its humidity", number=Number(month.relative_humidity, "share"))),
        source="EN ISO 13788, limit 80 %", note=CAUTION,
    )  # fmt: skip


def _tank(room: Room, row: TankHeat, result: HeatResult) -> Iterator[Working]:
    space = result.space(row.space)
    climate = room.climate
    kept = climate.space(row.space) if climate is not None else None
    if space is None or kept is None or climate is None:
        return
    coat = room.laws.wall_coat if room.laws is not None else None
    yield Working(
        name=f"{row.tank}.heat.loss", title=f"dry warmth tank {row.tank} loses for a kelvin",
        number=Number(row.dry_loss, "heat_conductance"), formula="wetted panes and base x U + surface x 8 W/(m2 K)",
        inputs=(Input(name="U of panes", number=Number(coat.value, "thermal_transmittance"), known=coat),)
        if coat is not None else (),
        source="free convection and radiation; Churchill and Chu (1975)",
        note="panes beside a neighbour count as if they stood free",
    )  # fmt: skip
    lid = (Input(name="evaporation left under a lid", number=Number(climate.covered.value, "share"),
                 known=climate.covered),) if row.covered else ()  # fmt: skip
    yield Working(
        name=f"{row.tank}.heat.evaporation", title=f"water tank {row.tank} gives off in a day, design cold",
        number=Number(row.evaporation * 86400.0, "mass"), formula="Shah's rate x surface x lid x bubbles",
        inputs=(
            Input(name="water", number=_kelvin(row.cold_design)), Input(name="air at it", number=_kelvin(row.room_air)),
            *lid,
        ),
        source="M. M. Shah, HVAC&R Research 8 (2002), 125-146",
        note="formulas differ by a factor of 2.5: the litres you top up in a week replace it",
    )  # fmt: skip
    yield Working(
        name=f"{row.tank}.heat", title=f"coldest hour of tank {row.tank} in the coldest week",
        number=_kelvin(row.coldest),
        formula="heat balance hour by hour: heater, panes, surface, evaporation, new water",
        inputs=(
            Input(name="wanted", number=_kelvin(row.wanted.value), known=row.wanted),
            Input(name="dry loss", number=Number(row.dry_loss, "heat_conductance"), see=f"{row.tank}.heat.loss"),
            Input(name="warmer air a metre higher", number=Number(kept.gradient.value, "temperature_difference"),
                  known=kept.gradient),
            Input(name="air of the room in the design cold", number=_kelvin(space.day("coldest").air),
                  see=f"heat.{row.space}.coldest.air"),
            *((Input(name="heaters in it", number=_watt(row.has)),) if row.has is not None else ()),
        ),
        source=f"{HOURLY}; weather: {result.weather}",
    )  # fmt: skip
    yield Working(
        name=f"{row.tank}.heat.hottest", title=f"hottest hour of tank {row.tank} in the hottest week",
        number=_kelvin(row.hottest), formula="heat balance hour by hour",
        inputs=(
            Input(name="warmer air a metre higher", number=Number(kept.gradient.value, "temperature_difference"),
                  known=kept.gradient),
            Input(name="height of its middle", number=Number(row.height, "length")),
        ),
        source=f"{HOURLY}; weather: {result.weather}",
    )  # fmt: skip
    yield Working(
        name=f"{row.tank}.heat.need", title=f"heat tank {row.tank} needs in the design cold", number=_watt(row.need),
        formula="dry loss x (wanted - air) + latent heat x evaporation + new water to warm",
        inputs=(
            Input(name="dry loss", number=Number(row.dry_loss, "heat_conductance"), see=f"{row.tank}.heat.loss"),
            Input(name="wanted", number=_kelvin(row.holds or row.wanted.value),
                  known=row.wanted if row.holds is None else None),
        ),
        source=BALANCE, note="in the air that heaters as large as needed would make; nothing where the room does it",
    )  # fmt: skip
    yield Working(
        name=f"{row.tank}.heat.size", title=f"size of a heater for tank {row.tank}", number=_watt(row.size),
        formula="1.25 x (need + heat store x 3 K / 24 h)",
        inputs=(Input(name="need", number=_watt(row.need), see=f"{row.tank}.heat.need"),
                Input(name="heat store, J/K", number=Number(row.capacity, "number"))),
        source="margin and warm-up common practice, no source",
    )  # fmt: skip
    yield from _failures(row, space)


def _failures(row: TankHeat, space: SpaceHeat) -> Iterator[Working]:
    stuck = row.stuck
    if stuck is not None:
        yield Working(
            name=f"{row.tank}.heat.stuck", title=f"tank {row.tank} with a heater that sticks on, in the end",
            number=_kelvin(stuck.final), formula="power = dry loss x (water - air) + latent heat x evaporation",
            inputs=(
                Input(name="power of one heater", number=_watt(stuck.power)),
                Input(name="rise in the first hour, nothing lost",
                      number=Number(stuck.rate * 3600.0, "temperature_difference")),
                Input(name="air of the hottest day", number=_kelvin(space.day("hottest").air),
                      see=f"heat.{row.space}.hottest.air"),
                Input(name="with half the power", number=_kelvin(stuck.halved)),
                Input(name="limit", number=_kelvin(stuck.limit)),
            ),
            source=BALANCE, note="34 °C, or 4 K over the most its zone wants: common practice, no source",
        )  # fmt: skip
    if row.cut_time is not None:
        yield Working(
            name=f"{row.tank}.heat.cut", title=f"time until tank {row.tank} cools to its limit without power",
            number=Number(row.cut_time, "duration"),
            formula="heat balance, heaters and fans off, coldest day again and again",
            inputs=(
                Input(name="limit", number=_kelvin(row.cut_limit)),
                Input(name="alone in still air it gives up two thirds in",
                      number=Number(row.time_constant, "duration")),
                Input(name="the whole room in", number=Number(space.time_constant, "duration")),
            ),
            source=HOURLY, note="tanks together keep their room warm: the whole is slower than one",
        )  # fmt: skip


def _kelvin(value: float) -> Number:
    return Number(value, "temperature")


def _watt(value: float) -> Number:
    return Number(value, "power")
