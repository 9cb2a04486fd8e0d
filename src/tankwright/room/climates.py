"""What every space loses its warmth through, and what heats, cools and dries it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from tankwright.catalogue.materials import Fact, all_materials, find_material
from tankwright.catalogue.openings import all_opening_kinds, find_opening_kind
from tankwright.finding import Number, Severity
from tankwright.origin import Known, Origin, derived
from tankwright.physics.basement import basement_wall_transmittance
from tankwright.physics.conduction import slab_transmittance, wall_transmittance
from tankwright.physics.ranges import OutsideValidRange
from tankwright.plan.models import (
    Dehumidifier,
    Door,
    Heater,
    Layer,
    Plan,
    RoomClimate,
    RoomTable,
    ShellPart,
    Window,
)
from tankwright.plan.suggest import listed, nearest
from tankwright.room.defaults import Defaults
from tankwright.room.mistakes import LAYERS_OUT_OF_REACH, OPENING_LARGER_THAN_WALL, UNKNOWN_MATERIAL, Mistakes
from tankwright.room.model import Space, Wall
from tankwright.room.model_climate import (
    ClimatePlace,
    Faces,
    LayerPlace,
    MachinePlace,
    SpaceClimate,
    Surface,
    SurfaceKind,
    Towards,
)
from tankwright.room.shell_sizes import floor_area, roof_area, wall_area, wall_length
from tankwright.units import clip

WALLS: Final[tuple[Wall, ...]] = ("north", "east", "south", "west")
WALL_THICKNESS: Final = 0.3
"""m, of the walls a floor slab ends at. Source: EN ISO 13370 examples, from memory; it matters little."""
FILMS: Final = 0.21
"""m2 K/W, of the air films inside and outside a floor. Source: EN ISO 13370, from memory."""

BELOW_GROUND: Final = 2.0
"""m from the ground's face to the floor, for a wall in the ground. Source: common practice, no source."""

DOOR_HEIGHT: Final = 2.0
"""m, the plan asks for none. Source: common practice, no source."""


def lay_climate(
    plan: Plan, spaces: Mapping[str, Space], defaults: Defaults, mistakes: Mistakes
) -> ClimatePlace | None:
    """The climate of every space, or None when the plan has no [climate]."""
    table = plan.climate
    if table is None:
        return None
    for name in table.room:
        if name not in spaces:
            mistakes.unknown(f"climate of {name}", "room", name, tuple(spaces), table.room[name].line)
    return ClimatePlace(
        weather=table.weather or "",
        weather_line=table.line,
        currency=table.currency or "",
        energy_price=table.energy_price,
        water_price=table.water_price,
        spaces=tuple(
            _space(space, plan.room[name], table.room.get(name), defaults, mistakes)
            for name, space in spaces.items()
        ),
        covered=defaults.take("climate.covered"),
        bubbling=defaults.take("climate.bubbling"),
        ground_conductivity=defaults.take("shell.ground"),
        absorptance=defaults.take("shell.absorptance"),
        line=table.line,
    )


def _space(
    space: Space, room: RoomTable, kept: RoomClimate | None, defaults: Defaults, mistakes: Mistakes
) -> SpaceClimate:
    shell = room.shell
    climate = kept or RoomClimate()
    heater = climate.heater
    return SpaceClimate(
        space=space.id,
        surfaces=tuple(_surfaces(space, room, defaults, mistakes)),
        air_change=defaults.take("climate.air_change", shell.air_change if shell else None),
        indoors=defaults.take("climate.indoors", climate.indoors),
        heat_to=climate.heat_to,
        cool_to=climate.cool_to,
        night_lower=climate.night_lower,
        heater=_heater(heater) if heater else None,
        cooler=MachinePlace(
            rating=climate.cooler.cooling,
            per_power=defaults.take("climate.cooler_ratio", _plain(climate.cooler.per_power, climate.cooler.line)),
            line=climate.cooler.line,
        ) if climate.cooler else None,
        ventilation=MachinePlace(
            rating=climate.ventilation.flow, hours=climate.ventilation.hours, recovery=climate.ventilation.recovery,
            line=climate.ventilation.line,
        ) if climate.ventilation else None,
        dehumidifier=_dryer(climate.dehumidifier, defaults) if climate.dehumidifier else None,
        people_hours=defaults.take("climate.people_hours", _plain(climate.hours_with_people, climate.line)),
        gradient=defaults.take("climate.gradient"),
        mass=defaults.take("shell.mass"),
        described=kept is not None,
        top_up=climate.top_up,
        line=climate.line,
    )  # fmt: skip


def _plain(value: float | None, line: int | None) -> Known | None:
    return None if value is None else Known(value, Origin.GIVEN, line=line)


def _heater(table: Heater) -> MachinePlace:
    return MachinePlace(rating=table.power, per_power=derived(1.0), count=table.count, line=table.line)


def _dryer(table: Dehumidifier, defaults: Defaults) -> MachinePlace:
    """A litre a day is a kilogram a day: the flow of the plan is taken at 1000 kg/m3."""
    removes = Known(table.removes.value * 1000.0, table.removes.origin, line=table.removes.line)
    return MachinePlace(
        rating=removes,
        per_power=None if table.power else defaults.take("climate.dryer_ratio"),
        power=table.power,
        holds=defaults.take("climate.holds_damp", table.holds),
        line=table.line,
    )


# --- the shell ----------------------------------------------------------------------------------------------------


def _surfaces(space: Space, room: RoomTable, defaults: Defaults, mistakes: Mistakes) -> Iterator[Surface]:
    shell = room.shell
    outer = 0.0
    for wall in WALLS:
        part = (getattr(shell, wall) or shell.walls) if shell else None
        faces: Faces = (part.to if part else None) or "outside"
        whole = wall_area(space, wall)
        holes = list(_openings(space, room, wall, faces, defaults, mistakes))
        rest = whole - sum(hole.area for hole in holes)
        if rest < 0.0:
            mistakes.say(
                OPENING_LARGER_THAN_WALL,
                f"room {space.id}",
                f"has {{openings}} of doors and windows in its {wall} wall, which is only {{wall}}",
                line=next((hole.line for hole in holes if hole.area > whole), space.line),
                reason="the wall is counted as nothing but its openings",
                remedy="correct the sizes of its doors and windows, or those of the room",
                numbers=(("openings", Number(whole - rest, "area")), ("wall", Number(whole, "area"))),
            )
        if faces != "indoors":
            outer += wall_length(space, wall)
        transmittance, layers = _transmittance(space.id, part, "shell.wall", 0.13, faces, defaults, mistakes)
        yield Surface(
            id=f"{space.id} {wall} wall", kind="wall", towards=wall, faces=faces, area=max(rest, 0.0),
            transmittance=transmittance, layers=layers, line=(part.line if part else None) or space.line,
        )  # fmt: skip
        yield from holes
    roof = shell.roof if shell else None
    above: Faces = (roof.to if roof else None) or "outside"
    transmittance, layers = _transmittance(space.id, roof, "shell.roof", 0.10, above, defaults, mistakes)
    yield Surface(
        id=f"{space.id} roof", kind="roof", towards="up", faces=above, area=roof_area(space),
        transmittance=transmittance, layers=layers, line=(roof.line if roof else None) or space.line,
    )  # fmt: skip
    yield _floor(space, shell.floor if shell else None, outer, defaults, mistakes)


def _floor(
    space: Space, part: ShellPart | None, outer: float, defaults: Defaults, mistakes: Mistakes
) -> Surface:
    """The floor; on the ground by EN ISO 13370, its own layers counted in."""
    faces: Faces = (part.to if part else None) or "ground"
    area = floor_area(space)
    layers = _layers(space.id, part, mistakes)
    if faces == "ground" and (part is None or part.transmittance is None):
        ground = defaults.take("shell.ground")
        edge = max(outer, 0.5)  # a floor with no outer wall at all still has an edge somewhere
        try:
            value = slab_transmittance(
                area=area, exposed_perimeter=edge, wall_thickness=WALL_THICKNESS,
                ground_conductivity=ground.value, insulation_resistance=_resistance(layers),
            )  # fmt: skip
            transmittance = derived(value, "EN ISO 13370, a slab on the ground")
        except OutsideValidRange as error:
            transmittance = _out_of_reach(space.id, error, "shell.roof", part, defaults, mistakes)
    else:
        transmittance, layers = _transmittance(space.id, part, "shell.roof", 0.17, faces, defaults, mistakes)
    return Surface(
        id=f"{space.id} floor", kind="floor", towards="down", faces=faces, area=area, transmittance=transmittance,
        layers=layers, perimeter=outer, line=(part.line if part else None) or space.line,
    )  # fmt: skip


def _transmittance(
    space: str,
    part: ShellPart | None,
    key: str,
    inside: float,
    faces: Faces,
    defaults: Defaults,
    mistakes: Mistakes,
) -> tuple[Known, tuple[LayerPlace, ...]]:
    """U from air to air: said, from layers by EN ISO 6946, or assumed; a wall in the ground with the ground."""
    layers = _layers(space, part, mistakes)
    if part is not None and part.transmittance is not None:
        return part.transmittance, layers
    if not layers:
        return defaults.take(key), ()
    try:
        return _from_layers(layers, inside, faces, defaults), layers
    except OutsideValidRange as error:
        return _out_of_reach(space, error, key, part, defaults, mistakes), layers


def _from_layers(layers: tuple[LayerPlace, ...], inside: float, faces: Faces, defaults: Defaults) -> Known:
    if faces == "ground":
        ground = defaults.take("shell.ground").value
        value = basement_wall_transmittance(
            depth=BELOW_GROUND, wall_resistance=_resistance(layers),
            floor_thickness=WALL_THICKNESS + ground * FILMS, ground_conductivity=ground,
        )  # fmt: skip
        return derived(value, "from its layers and the ground, EN ISO 13370")
    value = wall_transmittance(
        layers_resistance=_resistance(layers), inner_surface_resistance=inside,
        outer_surface_resistance=0.04 if faces == "outside" else inside,
    )  # fmt: skip
    return derived(value, "from its layers, EN ISO 6946")


def _out_of_reach(
    space: str,
    error: OutsideValidRange,
    key: str,
    part: ShellPart | None,
    defaults: Defaults,
    mistakes: Mistakes,
) -> Known:
    """What is assumed in place of what no formula gives, which is said."""
    mistakes.say(
        LAYERS_OUT_OF_REACH,
        f"room {space}",
        f"has a part of its shell that no formula reaches, and what is usual stands in for it: {error}",
        severity=Severity.NOT_COMPUTED,
        line=part.line if part else None,
        reason="a formula used outside its range would give a number that means nothing",
        remedy="correct its layers or the size of the room, or say its transmittance",
    )
    return defaults.take(key)


def _resistance(layers: tuple[LayerPlace, ...]) -> float:
    return sum(layer.thickness / layer.conductivity.value for layer in layers)


def _layers(space: str, part: ShellPart | None, mistakes: Mistakes) -> tuple[LayerPlace, ...]:
    found = (_layer(space, one, mistakes) for one in (part.layers if part else ()))
    return tuple(layer for layer in found if layer is not None)


def _layer(space: str, table: Layer, mistakes: Mistakes) -> LayerPlace | None:
    known = find_material(table.material)
    if known is None and table.conductivity is None:
        names = [one.name for one in all_materials()]
        close = nearest(table.material, names)
        mistakes.say(
            UNKNOWN_MATERIAL,
            f"room {space}",
            f'has a layer of "{clip(table.material)}", a material the table does not have; it is left out',
            severity=Severity.WARNING,
            line=table.line,
            reason="without its conductivity nothing can be worked out for it, and the shell looks worse than it is",
            remedy=f'write material = "{close}", or say its own conductivity = "0.04 W/(m K)" beside it'
            if close
            else 'say its own conductivity = "0.04 W/(m K)" beside it, or name a material of the table',
            found=f'"{table.material}"',
            wanted=listed(names),
            attempt=f'"{close}"' if close else "",
        )
        return None
    conductivity = table.conductivity
    if conductivity is None and known is not None:
        conductivity = _looked_up(known.conductivity, known.name, table.line)
    return None if conductivity is None else LayerPlace(
        material=table.material,
        thickness=table.thickness.value,
        conductivity=conductivity,
        density=known.density.value if known else None,
        specific_heat=known.specific_heat.value if known else None,
        vapour_factor=known.vapour_factor.value if known else None,
    )  # fmt: skip


def _looked_up(fact: Fact, name: str, line: int | None) -> Known:
    """A number of a table as a value of the room: not given, and known over its band."""
    reason = f"{name}, {fact.source}"
    return Known(fact.value, Origin.DERIVED, line=line, band=(fact.low, fact.high), reason=reason)


def _openings(
    space: Space, room: RoomTable, wall: Wall, faces: Faces, defaults: Defaults, mistakes: Mistakes
) -> Iterator[Surface]:
    if faces == "ground":
        faces = "outside"  # a door opens to steps, a window to a shaft
    for number, door in enumerate((one for one in room.doors if one.wall == wall), start=1):
        area = door.width.value * min(DOOR_HEIGHT, space.box.z1)
        yield _opening(space, wall, "door", number, area, door.to or faces, door, defaults, mistakes)
    for number, window in enumerate((one for one in room.windows if one.wall == wall), start=1):
        area = window.size[0].value * window.size[1].value
        yield _opening(space, wall, "window", number, area, faces, window, defaults, mistakes)


def _opening(  # noqa: PLR0913, PLR0917 - an opening and where it is
    space: Space, wall: Wall, kind: SurfaceKind, number: int, area: float, faces: Faces, table: Door | Window,
    defaults: Defaults, mistakes: Mistakes,
) -> Surface:  # fmt: skip
    named = find_opening_kind(table.kind) if table.kind else None
    if table.kind and named is None:
        mistakes.say(
            UNKNOWN_MATERIAL,
            f"{kind} in the {wall} wall of {space.id}",
            f"is a kind of {kind} the table does not have, so an ordinary one is assumed",
            severity=Severity.NOTE,
            line=table.line,
            reason="how much warmth it loses is not known",
            remedy="say its transmittance, or name a kind of the table",
            found=f'"{table.kind}"',
            wanted=listed(one.name for one in all_opening_kinds()),
        )
    said = table.transmittance
    if said is None and named is not None:
        said = _looked_up(named.transmittance, named.name, table.line)
    lets_in = _looked_up(named.sun_share, named.name, table.line) if named is not None else None
    unshaded = _unshaded(table, defaults)
    towards: Towards = wall
    return Surface(
        id=f"{space.id} {wall} {kind} {number}",
        kind=kind,
        towards=towards,
        faces=faces,
        area=area,
        transmittance=defaults.take("shell.door" if kind == "door" else "shell.window", said),
        sun_share=_sun(table, lets_in, unshaded, defaults),
        unshaded=unshaded,
        line=table.line or space.line,
    )


def _unshaded(table: Door | Window, defaults: Defaults) -> float:
    return 1.0 - defaults.take("shell.shaded", table.shaded).value if isinstance(table, Window) else 1.0


def _sun(table: Door | Window, named: Known | None, unshaded: float, defaults: Defaults) -> Known | None:
    if not isinstance(table, Window):
        return None
    share = defaults.take("shell.sun_share", table.sun_share or named)
    return derived(share.value * unshaded, "what the glass lets in, less what is kept off it")
