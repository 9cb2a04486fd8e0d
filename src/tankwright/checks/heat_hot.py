"""Tanks too warm through the hottest week, and coolers: large enough, and set to what the tanks are to have."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from tankwright.checks.grouping import listed, verb
from tankwright.checks.heat_shared import (
    FAR,
    SLACK,
    THERMOMETERS,
    all_rests,
    at_most,
    by_gradient,
    climate_of,
    difference,
    kelvin,
    space_line,
    to_buy,
    wanted_rests,
    watt,
)
from tankwright.finding import Finding, Number, Severity
from tankwright.room.model import Room
from tankwright.room.model_climate import SpaceClimate
from tankwright.systems.heat_model import HeatResult, SpaceHeat, TankHeat

OVER_WANTED: Final = 4.0
"""K a tank may be over what it is to have, where its zone says no highest. Common practice, no source."""


def hot_rows_are_cool_enough(room: Room, result: HeatResult) -> Iterator[Finding]:
    """HEAT-09 for each room: those their own heaters keep too warm, then the rest."""
    for space in result.spaces:
        hot = [row for row in result.tanks if row.space == space.space and row.hottest > _most(row) + SLACK]
        held = [row for row in hot if row.holds is not None and row.holds > _most(row) + SLACK]
        for rows, by_heaters in ((held, True), ([row for row in hot if row not in held], False)):
            if rows:
                yield _too_hot(room, result, space, rows, by_heaters=by_heaters)


def _too_hot(
    room: Room, result: HeatResult, space: SpaceHeat, rows: list[TankHeat], *, by_heaters: bool
) -> Finding:
    """HEAT-09: no tank rises above what is wanted in the hottest week."""
    worst = max(rows, key=lambda row: row.hottest - _most(row))
    over = worst.hottest - _most(worst)
    ids = [row.tank for row in rows]
    kept = climate_of(room, space)
    return Finding(
        code="HEAT-09", severity=Severity.PROBLEM if over > FAR else Severity.WARNING, subject=listed(ids),
        text=f"{verb(ids, 'rises', 'rise')} to {{most}} in the hottest week ({worst.tank}), {{over}} above"
        " what is wanted at most, for {hours} of it",
        numbers=(
            ("most", kelvin(worst.hottest)), ("over", difference(over)),
            ("hours", Number(worst.hot_hours * 3600.0, "duration")), ("size", to_buy(_size(space))),
            ("air", at_most(space.cool_air)), ("set", at_most(min(_most(row) for row in rows))),
        ),
        value=kelvin(worst.hottest), limit=kelvin(_most(worst)),
        reason="their own heaters are set to more than that" if by_heaters
        else "warm air collects under the ceiling, and warm water holds less oxygen while fish need more"
        + (THERMOMETERS if by_gradient(room, space, worst, worst.hottest) <= _most(worst) else ""),
        remedy="set the heaters in them to no more than {set}" if by_heaters
        else _what_cools(space, kept)
        + ", shade for roof and windows, or cool air through the room at night",
        source=f"heat balance through the hottest week of the weather ({result.weather})",
        line=space_line(room, space.space), places=tuple(ids),
        rests_on=(*all_rests(room, space.space), *wanted_rests(rows)),
    )  # fmt: skip


def _what_cools(space: SpaceHeat, kept: SpaceClimate | None) -> str:
    if kept is not None and kept.heat_to is not None and kept.heat_to.value > space.cool_air:
        return "heat the room to no more than {air}"
    if kept is None or kept.cooler is None:
        return "a cooler of about {size} that holds {air}"
    has = kept.cooler.rating.value * kept.cooler.count
    return "set the cooler to {air}" if has >= _size(space) else "a cooler of {size}, set to {air}"


def _size(space: SpaceHeat) -> float:
    return space.cooling_there.sensible + space.cooling_there.latent


def _most(row: TankHeat) -> float:
    return row.high if row.high is not None else row.wanted.value + OVER_WANTED


def coolers_are_large_enough(room: Room, result: HeatResult) -> Iterator[Finding]:
    """HEAT-14: the cooler of every room takes the dry and the humid heat of the hottest day."""
    for space in result.spaces:
        cooling = space.cooling
        need, has = cooling.sensible + cooling.latent, cooling.has or 0.0
        if not cooling.asked or has >= need or cooling.sensible <= 0.0:
            continue
        absent = cooling.has is None
        yield Finding(
            code="HEAT-14", severity=Severity.PROBLEM if has < cooling.sensible else Severity.WARNING,
            subject=f"room {space.space}",
            text=("is to be cooled to {set}, and nothing is said that cools it: the" if absent
                  else "has a cooler of {has} to hold {set}, where the")
            + " hottest day asks for {dry} of dry heat and {wet} to dry the air",
            numbers=(("has", watt(has)), ("dry", watt(cooling.sensible)), ("wet", watt(cooling.latent)),
                     ("set", kelvin(cooling.holds)), ("need", to_buy(need))),
            value=watt(has), limit=watt(need),
            reason="a rating holds for 35 °C outside; lids take most of the humid part away",
            remedy="a cooler of {need}, or lids, shade and less light by day",
            source=f"heat balance over the hottest day of {result.weather}", line=space_line(room, space.space),
            rests_on=all_rests(room, space.space),
        )  # fmt: skip


HOT_CHECKS: Final[tuple[Callable[[Room, HeatResult], Iterator[Finding]], ...]] = (
    hot_rows_are_cool_enough, coolers_are_large_enough,
)  # fmt: skip
