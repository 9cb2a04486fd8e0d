"""What is in the room and how it is kept: waters, what zones want of them, fish, warmth and damp, to be said and
changed without writing TOML. What follows from it stands on the pages of the systems."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from tankwright.catalogue.species import all_species
from tankwright.origin import Known
from tankwright.plan.models import Plan, ShellPart
from tankwright.room.model import Room
from tankwright.room.model_climate import SpaceClimate
from tankwright.room.model_water import WaterPlace
from tankwright.weather.shipped import DEFAULT, SHIPPED
from tankwright.web.page import Page, View
from tankwright.web.plan_values import FieldGroup, plan_of
from tankwright.web.pointer import to_pointer
from tankwright.web.sheets import SheetField

PARTS: Final = (("water", "Waters"), ("fish", "Fish"), ("warmth", "Warmth and damp"))

WATER: Final = (
    ("winter", "in the coldest month", "temperature"), ("summer", "in the hottest month", "temperature"),
    ("ph", "pH", "ph"), ("general_hardness", "GH, general hardness", "hardness"),
    ("carbonate_hardness", "KH, carbonate hardness", "hardness"), ("conductivity", "conductivity", "conductivity"),
    ("chlorine", "chlorine, total", "concentration"), ("nitrate", "nitrate", "concentration"),
    ("ammonia", "ammonia and ammonium, as N", "concentration"),
)  # fmt: skip
"""Keys of a water, what they are, and their dimension."""

DISINFECTANTS: Final = ("chlorine", "chloramine", "none", "not known")
WANTS: Final = (
    ("temperature", "temperature"), ("ph", "pH"), ("general_hardness", "GH"), ("carbonate_hardness", "KH"),
    ("conductivity", "conductivity"), ("nitrate", "nitrate, at most"),
)  # fmt: skip
STOCK: Final = (
    ("count", "fish in each"), ("each", "mass of one"), ("length", "or its length"), ("mass", "or mass of all"),
    ("feed", "feed a day"), ("protein", "protein in it"),
)  # fmt: skip
SHELL: Final = (("walls", "Walls"), ("roof", "Ceiling or roof"), ("floor", "Floor"))
SIDES: Final = (
    ("north", "North wall"),
    ("east", "East wall"),
    ("south", "South wall"),
    ("west", "West wall"),
)
BEYOND: Final = ("outside", "ground", "indoors")


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterColumn:
    """One water: its name, what it is mixed of as names and shares, and by key the words of what is assumed of it."""

    id: str
    mix: tuple[tuple[str, str], ...]
    assumed: Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShellRow:
    """A part of a room's shell: its layers in words, "" where its transmittance counts, which is `assumed` or said."""

    key: str
    label: str
    layers: str
    assumed: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomRow:
    """One room: its shell, and the fields of how it is kept."""

    id: str
    shell: tuple[ShellRow, ...]
    groups: tuple[FieldGroup, ...]


def show(view: View) -> Mapping[str, object]:
    """The part of the plan the address asks for: waters, fish or warmth."""
    plan, room = plan_of(view), view.room
    part = next((key for key, _ in PARTS if key == view.query.get("part")), PARTS[0][0])
    if plan is None or room is None:
        return {"plan": None, "part": part, "page_parts": PARTS}
    shown: dict[str, object] = {"plan": plan, "part": part, "page_parts": PARTS}
    if part == "water":
        return shown | _waters(view, plan, room)
    if part == "fish":
        return shown | _fish(view, plan, room)
    return shown | _warmth(view, plan, room)


# --- waters -------------------------------------------------------------------------------------------------------


def _waters(view: View, plan: Plan, room: Room) -> dict[str, object]:
    columns = tuple(_column(view, one) for one in room.waters if one.id in plan.water)
    sources = (*plan.water_point, *plan.vat)
    return {
        "waters": columns, "rows": WATER, "disinfectants": DISINFECTANTS, "sources": sources,
        "parts_of_mixes": tuple(one.id for one in columns if not one.mix),
        "zones": tuple(zone.id for zone in room.zones), "wants": WANTS,
        "free": next((name for name in sources if name not in plan.water), ""),
    }  # fmt: skip


def _column(view: View, water: WaterPlace) -> WaterColumn:
    known: dict[str, Known | None] = {key: getattr(water, key) for key, _, _ in WATER}
    dimensions = {key: dimension for key, _, dimension in WATER}
    return WaterColumn(
        id=water.id,
        mix=tuple((name, view.words(share.value, "share")) for name, share in water.mix),
        assumed={
            key: view.words(one.value, dimensions[key])
            for key, one in known.items() if one is not None and one.is_assumed
        },
    )  # fmt: skip


# --- fish ---------------------------------------------------------------------------------------------------------


def _fish(view: View, plan: Plan, room: Room) -> dict[str, object]:
    stocked = {life.tank for life in room.lives if life.stock is not None}
    kinds = tuple(kind for kind in plan.tank_kind if any(tank.kind == kind for tank in room.tanks))
    media = next((life.filter_media for life in room.lives if life.filter_media.is_assumed), None)
    return {
        "stock": tuple(range(len(plan.stock))), "columns": STOCK, "kinds": kinds,
        "empty": tuple(tank.id for tank in room.tanks if tank.id not in stocked),
        "species": tuple((one.name, one.trade_name) for one in all_species()),
        "media": "" if media is None else view.words(media.value, "volume"),
    }  # fmt: skip


# --- warmth -------------------------------------------------------------------------------------------------------


def _warmth(view: View, plan: Plan, room: Room) -> dict[str, object]:
    climate = room.climate
    general = FieldGroup(title="Weather and prices", fields=(
        SheetField(pointer="/climate/weather", label="Weather", default=DEFAULT,
                   help=f"a file beside the plan (EPW, TMY3 or TMY2), or {', '.join(SHIPPED)}"),
        SheetField(pointer="/climate/currency", label="Currency", default="not said"),
        SheetField(pointer="/climate/energy_price", label="Price of a kilowatt-hour", default="not said",
                   help="a number alone, such as 0.30"),
        SheetField(pointer="/climate/water_price", label="Price of a cubic metre of water", default="not said",
                   help="a number alone, waste water included"),
    ))  # fmt: skip
    rooms = tuple(
        RoomRow(id=name, shell=tuple(_shell(view, plan, name, climate.space(name) if climate else None)),
                groups=tuple(_kept(view, name, climate.space(name) if climate else None)))
        for name in plan.room
    )  # fmt: skip
    return {"general": general, "rooms": rooms, "beyond": BEYOND}


def _shell(view: View, plan: Plan, room: str, space: SpaceClimate | None) -> Iterator[ShellRow]:
    """Walls, ceiling and floor; a single wall only where the plan names it."""
    shell = plan.room[room].shell
    sides = [one for one in SIDES if shell is not None and getattr(shell, one[0]) is not None]
    for key, label in (SHELL[0], *sides, *SHELL[1:]):
        part: ShellPart | None = getattr(shell, key) if shell is not None else None
        kind = "wall" if key not in ("roof", "floor") else key
        meant = [one for one in (space.surfaces if space else ()) if one.kind == kind]
        assumed = next((one.transmittance for one in meant if one.transmittance.is_assumed), None)
        yield ShellRow(
            key=key, label=label, layers=", ".join(_layer(view, one) for one in (part.layers if part else ())),
            assumed="" if assumed is None else view.words(assumed.value, "thermal_transmittance"),
        )  # fmt: skip


def _layer(view: View, layer: object) -> str:
    material, thickness = getattr(layer, "material", ""), getattr(layer, "thickness", None)
    return (
        f"{material} {view.words(thickness.value, 'length')}"
        if isinstance(thickness, Known)
        else str(material)
    )


def _kept(view: View, room: str, space: SpaceClimate | None) -> Iterator[FieldGroup]:
    """How a room is kept; what is assumed of it is shown where the plan says nothing."""

    def field(
        *steps: str,
        label: str,
        help_: str = "",
        default: str = "none",
        known: Known | None = None,
        dimension: str = "",
    ) -> SheetField:
        assumed = view.words(known.value, dimension) if known is not None and known.is_assumed else ""
        return SheetField(pointer=to_pointer(("climate", "room", room, *steps)), label=label, help=help_,
                          assumed=assumed, default=default)  # fmt: skip

    yield FieldGroup(title="Kept at", fields=(
        field("heat_to", label="Air heated to", default="not heated"),
        field("night_lower", label="Lower at night by", help_="from 22 to 6 h"),
        field("cool_to", label="Air cooled to", default="not cooled"),
        field("indoors", label="Beyond the walls to the house", known=space.indoors if space else None,
              dimension="temperature"),
        SheetField(pointer=to_pointer(("room", room, "shell", "air_change")), label="Air that leaks in",
                   help="volumes of the room an hour, such as 0.5 1/h",
                   assumed=view.words(space.air_change.value, "air_change")
                   if space and space.air_change.is_assumed else ""),
        field("top_up", label="Topped up, drip off", help_="measured, such as 2.5 L/day", default="not measured"),
        field("hours_with_people", label="Person-hours a day", default="not said",
              known=space.people_hours if space else None, dimension="number"),
    ))  # fmt: skip
    yield FieldGroup(title="Machines", fields=(
        field("heater", "power", label="Heater, power of one"),
        field("heater", "count", label="How many", default="1"),
        field("cooler", "cooling", label="Cooler, heat it takes out"),
        field("ventilation", "flow", label="Fan, air it moves", help_="such as 60 m3/h"),
        field("ventilation", "hours", label="Hours a day it runs", default="24"),
        field("ventilation", "recovery", label="Warmth it gives back", help_="of the outgoing air, such as 70 %"),
        field("dehumidifier", "removes", label="Dehumidifier, water it takes out", help_="such as 12 L/day"),
        field("dehumidifier", "holds", label="Relative humidity it holds"),
    ))  # fmt: skip


PAGE = Page(name="life", path="/life", title="Life", template="life.html", show=show, group="plan")
