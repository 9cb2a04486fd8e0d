"""How a figure of the waters came about: pH after standing, a blend, a fall of temperature, gas."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from tankwright.explain.model import Input, Working
from tankwright.explain.water_life import workings_water_life
from tankwright.finding import Number
from tankwright.origin import Known
from tankwright.room.model import Room
from tankwright.systems.water_model import (
    Change,
    ColdFill,
    SourceWater,
    TankWater,
    WaterResult,
    Wish,
    ZoneBlend,
)

PH_SOURCE: Final = "equilibrium of carbonic acid with the air, Plummer and Busenberg (1982), Davies' equation"
HEAT_SOURCE: Final = "heat balance of a stirred tank, closed form"
DIMENSIONS: Final = {
    "ph": "ph", "general_hardness": "hardness", "carbonate_hardness": "hardness", "conductivity": "conductivity",
    "nitrate": "concentration",
}  # fmt: skip
ARRIVING: Final = (
    ("winter", "temperature in winter", "temperature"), ("summer", "temperature in summer", "temperature"),
    ("ph", "pH", "ph"), ("general_hardness", "general hardness", "hardness"),
    ("carbonate_hardness", "carbonate hardness", "hardness"), ("conductivity", "conductivity", "conductivity"),
    ("chlorine", "chlorine", "concentration"), ("nitrate", "nitrate", "concentration"),
)  # fmt: skip


def workings_water(room: Room, result: WaterResult) -> Iterator[Working]:
    """The workings of every water, tank, zone and change: "water.tap.settled_ph", "A3.water.drip_winter".

    >>> from tankwright.systems.water import solve_water
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> list(workings_water(empty, solve_water(empty, {})))
    []
    """
    sources = {water.name: water for water in result.sources}
    for water in result.sources:
        yield from _source(room, water, sources)
    for row in result.tanks:
        yield from _tank(row)
    for zone in result.zones:
        for wish in zone.wishes:
            if wish.value is not None:
                yield _wish(zone.zone, zone.water, zone.tanks[0], wish, wish.value)
    for blend in result.blends:
        yield from _blend(blend)
    for fill in result.cold_fills:
        for change in fill.changes:
            yield _change(fill, change)
    for gas in result.gases:
        for tank in gas.tanks:
            yield Working(
                name=f"{tank}.water.gas_{gas.season}",
                title=f"gas of water {gas.water} warmed in tank {tank}, {gas.season}",
                number=Number(gas.ratio, "share"),
                formula="sum over nitrogen, oxygen, argon of share of air x solubility cold / solubility warm, with"
                " vapour, over the air's pressure",
                inputs=(Input(name="temperature of the water", number=_warmth(gas.cold.value), known=gas.cold),
                        Input(name="temperature of the tank", number=_warmth(gas.warm))),
                source="R. F. Weiss (1970), Deep-Sea Research 17, 721-735",
                note="as if none had left on the way; water that fell through air or stood has let much of it go",
            )  # fmt: skip
    if result.life is not None:
        yield from workings_water_life(room, result.life)


def _source(room: Room, water: SourceWater, sources: dict[str, SourceWater]) -> Iterator[Working]:
    place = next(one for one in room.waters if one.id == water.name)
    if place.mix:
        for what, title, dimension in ARRIVING:
            known: Known | None = getattr(water, what)
            if known is None or getattr(place, what) is not None:
                continue
            ph = what == "ph"
            yield Working(
                name=f"water.{water.name}.{what}", title=f"{title} of the mix {water.name}",
                number=Number(known.value, dimension),
                formula="alkalinity and carbon of the parts added up by shares, then the pH that agrees with both"
                if ph else "sum of share x part",
                inputs=tuple(_part(name, share, sources[name], what, dimension) for name, share in place.mix
                             if name in sources),
                source=PH_SOURCE.replace("with the air", "in a closed vessel") if ph else "mass balance",
                note="pH does not add up by shares" if ph else "",
            )  # fmt: skip
    if (
        water.standing_ph is not None
        and water.carbonate_hardness is not None
        and water.standing_at is not None
    ):
        yield Working(
            name=f"water.{water.name}.settled_ph", title=f"pH of water {water.name} after standing in the room",
            number=Number(water.standing_ph[1], "ph"),
            formula="the pH at which its carbonate hardness agrees with the carbon dioxide of the air",
            inputs=(
                Input(name="carbonate hardness", number=Number(water.carbonate_hardness.value, "hardness"),
                      known=water.carbonate_hardness),
                Input(name="temperature", number=_warmth(water.standing_at)),
                Input(name="carbon dioxide it came with", number=Number(water.carbon_dioxide or 0.0, "concentration")),
                Input(name="in stale air, 1000 ppm", number=Number(water.standing_ph[0], "ph")),
                Input(name="in fresh air, 420 ppm", number=Number(water.standing_ph[1], "ph")),
            ),
            source=PH_SOURCE, note="shown in fresh air; a tank with fish runs lower",
        )  # fmt: skip


def _part(name: str, share: Known, part: SourceWater, what: str, dimension: str) -> Input:
    known: Known | None = getattr(part, what)
    return Input(name=f"{name}, {100.0 * share.value:.4g} %", number=Number(known.value if known else 0.0, dimension),
                 known=known)  # fmt: skip


def _tank(row: TankWater) -> Iterator[Working]:
    if row.settled_ph is not None and row.water is not None and row.water.carbonate_hardness is not None:
        low, high = row.settled_ph.band or (row.settled_ph.value, row.settled_ph.value)
        yield Working(
            name=f"{row.tank}.water.ph", title=f"pH the water of tank {row.tank} settles at",
            number=Number(row.settled_ph.value, "ph"),
            formula="the pH at which its carbonate hardness agrees with the carbon dioxide of the room's air, 600 ppm",
            inputs=(
                Input(name=f"carbonate hardness of {row.water.name}",
                      number=Number(row.water.carbonate_hardness.value, "hardness"),
                      known=row.water.carbonate_hardness),
                Input(name="in stale air, 1000 ppm", number=Number(low, "ph")),
                Input(name="in fresh air, 420 ppm", number=Number(high, "ph")),
            ),
            source=PH_SOURCE, note="a tank with fish runs between this and the pH the water came with",
        )  # fmt: skip


def _wish(zone: str, water: str, tank: str, wish: Wish, value: Known) -> Working:
    dimension = DIMENSIONS[wish.quantity]
    ends = [("at most", wish.high), *((("at least", wish.low),) if wish.low is not None else ())]
    return Working(
        name=f"zone.{zone}.{water}.{wish.quantity}",
        title=f"{wish.quantity.replace('_', ' ')} zone {zone} gets of water {water}",
        number=Number(value.value, dimension), formula="what arrives, beside what is wanted",
        inputs=(
            Input(name="arrives", number=Number(value.value, dimension), known=value,
                  see=f"{tank}.water.ph" if wish.quantity == "ph" else ""),
            *(Input(name=f"wanted {name}", number=Number(end, dimension)) for name, end in reversed(ends)),
            Input(name="outside by", number=Number(wish.by or 0.0, dimension)),
        ),
        source="the plan",
    )  # fmt: skip


def _blend(blend: ZoneBlend) -> Iterator[Working]:
    inputs = [
        Input(name=f"share of {name}", number=Number(share, "share")) for name, share in blend.shares
    ] + [Input(name="fed a day", number=Number(blend.volume_a_day, "volume"))]
    if blend.cost is not None:
        inputs.append(Input(name="price of a cubic metre", number=Number(blend.cost, "number")))
    if blend.cost_a_year is not None:
        yield Working(
            name=f"zone.{blend.zone}.blend.cost", title=f"what the blend for zone {blend.zone} costs a year",
            number=Number(blend.cost_a_year, "number"), formula="sum of share x price x litres a day x 365.25",
            inputs=tuple(inputs), source="prices of the plan",
            note="the cheapest blend that keeps to the wanted hardness and conductivity; all corners are tried",
        )  # fmt: skip
    for name, share in blend.shares:
        yield Working(
            name=f"zone.{blend.zone}.blend.{name}", title=f"litres of {name} a day for zone {blend.zone}",
            number=Number(share * blend.volume_a_day, "volume"), formula="share x what the feed gives its tanks a day",
            inputs=tuple(inputs), source="mass balance; linear programme, all corners tried",
        )  # fmt: skip


def _change(fill: ColdFill, change: Change) -> Working:
    drip = change.kind == "drip"
    name = "drip" if drip else f"batch{change.share * 100.0:.0f}"
    known = fill.rests[0 if change.season == "winter" else 1]
    return Working(
        name=f"{fill.tank}.water.{name}_{change.season}",
        title=f"fall of temperature of tank {fill.tank} "
        f"{'within an hour of its drip' if drip else 'by a change at a stroke'}, {change.season}",
        number=Number(change.in_an_hour if drip else change.drop, "temperature_difference"),
        formula="(tank - water) x (1 - exp(-inflow x time / volume)), less what panes and heater bring back meanwhile"
        if drip else "share x (tank - water)",
        inputs=(
            Input(name="tank before", number=_warmth(fill.before.value), known=fill.before),
            Input(name="new water", number=_warmth(change.water), known=known),
            Input(name="volume run in over the tank's own" if drip else "share changed",
                  number=Number(change.share, "share")),
            *((Input(name="one run", number=Number(change.taking, "duration")),) if drip else ()),
            *((Input(name="by the whole run", number=Number(change.drop, "temperature_difference")),) if drip else ()),
        ),
        source=HEAT_SOURCE, note="glass and gravel are left out: they soften the fall",
    )  # fmt: skip


def _warmth(value: float) -> Number:
    return Number(value, "temperature")
