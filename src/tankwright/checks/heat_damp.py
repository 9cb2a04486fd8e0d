"""Damp: drops on cold faces, mould in corners, a dehumidifier's size, and air that brings more water than it takes.

A screening for damp, not a survey: a building's designer or a licensed surveyor judges a wall.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from tankwright.checks.heat_shared import MONTHS, a_day, damp_rests, kelvin, shell_rests, space_line, watt
from tankwright.finding import Finding, Number, Severity
from tankwright.physics.surfaces import CAUTION, MOULD_HUMIDITY
from tankwright.room.model import Room
from tankwright.systems.heat_model import ColdSurface, HeatResult, SpaceHeat

TOO_DAMP: Final = 0.80
"""Relative humidity of the air, in the mean of the hottest week, that asks for something. Common practice."""


WORTH_IT: Final = 1.0 / 86400.0
"""Water, kg/s, below which no dehumidifier is asked for: a litre a day. Common practice, no source."""


def nothing_drips(room: Room, result: HeatResult) -> Iterator[Finding]:
    """HEAT-10: no wall, pane or door is colder than the dew point of its room in the design cold."""
    for space in result.spaces:
        wet = [face for face in space.surfaces if face.drips]
        if not wet:
            continue
        worst = min(wet, key=lambda face: face.face)
        glass = all(face.kind in {"window", "door"} for face in wet)
        yield Finding(
            code="HEAT-10", severity=Severity.WARNING, subject=f"room {space.space}",
            text=f"drips on {_named(space, wet)} in the design cold: {{face}} there, dew point {{dew}}",
            numbers=(("face", kelvin(worst.face)), ("dew", kelvin(worst.dew_point)),
                     ("needed", Number(_undripping(space, wet), "thermal_transmittance")),
                     ("humidity", Number(space.day("coldest").relative_humidity, "share"))),
            value=kelvin(worst.face), limit=kelvin(worst.dew_point),
            reason="its air has {humidity} humidity then; water that runs down goes into frames, floor and wall."
            f" {CAUTION}",
            remedy=("a tray and a wipe, " if glass else "") + "lids, drier air, or {needed} or less for it by "
            + ("better glass" if glass else "insulation outside"),
            source="EN ISO 13788 surface resistances; heat and moisture balance", line=space_line(room, space.space),
            rests_on=_rests(room, space, wet),
        )  # fmt: skip


def nothing_grows(room: Room, result: HeatResult) -> Iterator[Finding]:
    """HEAT-11: no corner of a wall is moister than 80 % through the coldest month."""
    for space in result.spaces:
        moist = [
            face for face in space.surfaces
            if face.moisture > MOULD_HUMIDITY and face.kind not in {"window", "door"}
        ]  # fmt: skip
        if not moist:
            continue
        worst = moist[0]
        month = space.day("coldest month")
        better = ", or {needed} or less for it by insulation" if _enough(moist) > 0.0 else ""
        yield Finding(
            code="HEAT-11", severity=Severity.PROBLEM if worst.moisture > 1.0 else Severity.WARNING,
            subject=f"room {space.space}",
            text=f"may grow mould on {_named(space, moist)}: {{moisture}} humidity in its corners and behind racks"
            " through the coldest month",
            numbers=(
                ("moisture", Number(min(worst.moisture, 1.0), "share")), ("corner", kelvin(worst.corner)),
                ("humidity", Number(month.relative_humidity, "share")),
                ("needed", Number(_enough(moist), "thermal_transmittance")),
            ),
            value=Number(worst.moisture, "share"), limit=Number(MOULD_HUMIDITY, "share"),
            reason="{corner} there in air of {humidity} humidity; racks before a wall keep the room's warmth off it."
            f" {CAUTION}",
            remedy=f"lids first, a hand's breadth of air behind racks, drier air{better}",
            source="EN ISO 13788: 80 % at the surface, Rsi 0.25", line=space_line(room, space.space),
            rests_on=_rests(room, space, moist),
        )  # fmt: skip


def _undripping(space: SpaceHeat, wet: list[ColdSurface]) -> float:
    """A transmittance at which all of them stay over the dew point, a tenth under the least."""
    air = space.day("coldest").air
    return 0.9 * min(
        face.transmittance.value * max(air - face.dew_point, 0.0) / (air - face.face) for face in wet
    )


def _enough(moist: list[ColdSurface]) -> float:
    """A transmittance at which all of them stay dry, a tenth under the least for air that turns moister; 0: none."""
    return 0.9 * min(face.needed or 0.0 for face in moist)


def _named(space: SpaceHeat, faces: list[ColdSurface]) -> str:
    names = [face.id.removeprefix(f"{space.space} ") for face in faces]
    if len(names) > 3:
        return f"{', '.join(names[:3])} and {len(names) - 3} more"
    return " and ".join((", ".join(names[:-1]), names[-1])) if len(names) > 1 else names[0]


def _rests(room: Room, space: SpaceHeat, faces: list[ColdSurface]) -> tuple[str, ...]:
    walls = [face.transmittance.key for face in faces if face.transmittance.is_assumed]
    return tuple(dict.fromkeys((*walls, *damp_rests(room, space.space))))


def air_is_dry_enough(room: Room, result: HeatResult) -> Iterator[Finding]:
    """HEAT-16: every dehumidifier takes out what it must, and no room without one stays damp in the hottest week."""
    for space in result.spaces:
        worst = max(space.drying, key=lambda row: row.needed - (row.has or 0.0))
        damp = float(space.week("hottest").relative_humidity.mean())
        if not any(space.tanks) or worst.needed < WORTH_IT:
            continue
        if worst.has is not None and worst.has >= worst.needed:
            continue
        if worst.has is None and damp <= TOO_DAMP:
            continue
        when = "hottest day" if worst.case == "hottest" else "coldest month"
        none = worst.has is None
        yield Finding(
            code="HEAT-16", severity=Severity.NOTE if none else Severity.WARNING, subject=f"room {space.space}",
            text="stays at {damp} humidity through the hottest week; {need} a day would have to be taken out to hold"
            " {holds}" if none else
            f"has a dehumidifier that takes out {{has}} a day where the {when} asks for {{need}} to hold {{holds}}",
            numbers=(
                ("damp", Number(damp, "share")), ("need", a_day(worst.needed)), ("has", a_day(worst.has or 0.0)),
                ("holds", Number(worst.holds.value, "share")),
                ("rated", a_day(worst.rated or 0.0)),
                ("heat", watt(worst.needed * 2.44e6)),
            ),
            value=a_day(worst.has or 0.0), limit=a_day(worst.needed),
            reason="what evaporates and what damp outdoor air brings in; paper, timber and metal suffer first."
            + (" What its cooler dries by the way is not counted." if space.cooling.has is not None else "")
            + " Its condensed heat, {heat}, and its own power stay in the room",
            remedy="lids first: open water gives several times as much; then "
            + ("a dehumidifier rated {rated} a day or more, which takes out less in this air than in the 27 °C it is"
               " rated at" if worst.rated is not None else "a warmer room: in air so cold a dehumidifier ices up"),
            source="moisture balance; evaporation by Shah (2002)", line=space_line(room, space.space),
            rests_on=damp_rests(room, space.space),
        )  # fmt: skip


def changed_air_dries(room: Room, result: HeatResult) -> Iterator[Finding]:
    """HEAT-17: there is no month in which a fan brings more water than it takes away."""
    for space in result.spaces:
        kept = room.climate.space(space.space) if room.climate is not None else None
        if kept is None or kept.ventilation is None:
            continue
        harmful = [row for row in space.airing if row.dries < 0.0]
        if not harmful:
            continue
        worst = min(harmful, key=lambda row: row.dries)
        fan = kept.ventilation
        brings = -worst.dries * fan.rating.value * fan.hours / 24.0 * 1.19
        names = [MONTHS[row.month - 1] for row in harmful]
        yield Finding(
            code="HEAT-17", severity=Severity.NOTE, subject=f"room {space.space}",
            text=f"is made damper by its fan in {_months(names)}: up to {{brings}} a day in"
            f" {MONTHS[worst.month - 1]}",
            numbers=(("brings", a_day(brings)),),
            value=a_day(brings),
            reason="outdoor air then holds more water than air that is as moist as wanted; in other months it dries",
            remedy="run it by a humidity switch that compares inside and outside, or only in the dry months",
            source=f"mean humidity of each month of {result.weather}", line=kept.ventilation.line,
            rests_on=shell_rests(room, space.space),
        )  # fmt: skip


def _months(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


DAMP_CHECKS: Final[tuple[Callable[[Room, HeatResult], Iterator[Finding]], ...]] = (
    nothing_drips, nothing_grows, air_is_dry_enough, changed_air_dries,
)  # fmt: skip
