"""Tanks too cold through the coldest week, told by why: nothing heats, a heater too small, or one set too low."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import Enum, auto
from typing import Final

from tankwright.checks.grouping import listed, verb
from tankwright.checks.heat_shared import (
    FAR,
    SLACK,
    SPARE,
    THERMOMETERS,
    all_rests,
    at_least,
    by_gradient,
    climate_of,
    difference,
    kelvin,
    space_line,
    to_buy,
    wanted_rests,
)
from tankwright.finding import Finding, Severity
from tankwright.physics.constants import ICE_POINT
from tankwright.room.model import Room
from tankwright.systems.heat_model import HeatResult, SpaceHeat, TankHeat


def something_heats(room: Room, result: HeatResult) -> Iterator[Finding]:
    """HEAT-07: no tank wants more warmth than a room has that nothing heats."""
    for space in result.spaces:
        cold = _unheated(result, space)
        if not cold:
            continue
        worst = min(cold, key=lambda row: row.coldest)
        ways = space.ways
        ids = [row.tank for row in cold]
        kept = climate_of(room, space)
        idle = kept is not None and kept.heater is not None
        yield Finding(
            code="HEAT-07", severity=Severity.PROBLEM, subject=listed(ids),
            text=f"{verb(ids, 'stands', 'stand')} in room {space.space}, where nothing heats air or water: {{least}}"
            f" in the coldest week ({worst.tank}), {{wanted}} wanted",
            numbers=(
                ("least", kelvin(worst.coldest)), ("wanted", kelvin(worst.aim)),
                ("each", to_buy(max(row.size for row in cold))), ("set", kelvin(max(row.wanted.value for row in cold))),
                ("room", to_buy(SPARE * ways.room_way if ways is not None else 0.0)),
                ("air", at_least(ways.room_air if ways is not None else worst.wanted.value)),
            ),
            value=kelvin(worst.coldest), limit=kelvin(worst.aim),
            reason="its heater has no temperature to hold, so it counts as off" if idle
            else "what is around it does not keep it warm enough",
            remedy=("write heat_to beside its heater" if idle else "say what heats it")
            + ", or put heaters of {each} set to {set} into the tanks, or {room} that hold the room's air at {air}",
            source=f"heat balance through the coldest week of the weather ({result.weather})",
            line=space_line(room, space.space), places=tuple(ids),
            rests_on=(*all_rests(room, space.space), *wanted_rests(cold)),
        )  # fmt: skip


def _unheated(result: HeatResult, space: SpaceHeat) -> list[TankHeat]:
    if space.heat_to is not None:
        return []
    rows = [row for row in result.tanks if row.space == space.space and row.has is None]
    return [row for row in rows if row.coldest < row.aim - SLACK]


TANKS_ALONE: Final = (
    "a heater of {need} set to {aim} in each such tank, or a lid and a fan that mixes the air: the {warmer} in the"
    " middle of the room that would do without would be too warm for the top row"
)


class Why(Enum):
    """Why a tank is cold although something heats."""

    ROOM_SHORT = auto()
    TANK_SET_LOW = auto()
    TANK_SHORT = auto()
    ROOM_SET_LOW = auto()


def why_cold(space: SpaceHeat, row: TankHeat) -> Why:
    """The first thing to put right for a tank that is too cold."""
    if row.holds is not None:
        return Why.TANK_SET_LOW if row.holds < row.aim - SLACK else Why.TANK_SHORT
    enough = row.cold_sized >= row.aim - SLACK
    short = space.heat_need is not None and space.heat_has < SPARE * space.heat_need
    return Why.ROOM_SHORT if enough and short else Why.ROOM_SET_LOW


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    text: str
    reason: str
    remedy: str


_WORDS: Final = {
    Why.ROOM_SHORT: _Told(
        text=", as the room's heater is too small",
        reason="with a heater that holds what it is set to they would be warm enough",
        remedy="a heater of {heater} for the room, or less loss",
    ),
    Why.TANK_SET_LOW: _Told(
        text=", which their heaters are not set to hold",
        reason="a heater warms a tank to what it is set to and no further",
        remedy="set the heaters to {aim}, of {need} each at that",
    ),
    Why.TANK_SHORT: _Told(
        text=", though set to more",
        reason="their heaters are on without end, too small for the air about them ({air} in the middle of the room)",
        remedy="a heater of {need} in each such tank, a lid, or a warmer room",
    ),
    Why.ROOM_SET_LOW: _Told(
        text="",
        reason="air by the floor is cooler than in the middle of the room ({air}), and water cools itself by"
        " evaporating",
        remedy="hold the room's air at {warmer} with {heater}, or put a heater of {need} set to {aim} into each such"
        " tank; a lid or a fan that mixes the air helps",
    ),
}


def cold_rows_are_warm_enough(room: Room, result: HeatResult) -> Iterator[Finding]:
    """HEAT-06 for each room and each cause."""
    for space in result.spaces:
        silent = {row.tank for row in _unheated(result, space)}
        cold = [
            row
            for row in result.tanks
            if row.space == space.space and row.tank not in silent and row.coldest < row.aim - SLACK
        ]
        for why in Why:
            rows = [row for row in cold if why_cold(space, row) is why]
            if rows:
                yield _too_cold(room, result, space, rows, why)


def _too_cold(room: Room, result: HeatResult, space: SpaceHeat, rows: list[TankHeat], why: Why) -> Finding:
    """HEAT-06: no tank falls below what is wanted in the coldest week although something heats."""
    worst = min(rows, key=lambda row: row.coldest - row.aim)
    short = worst.aim - worst.coldest
    ids = [row.tank for row in rows]
    low_down = why is Why.ROOM_SET_LOW and worst.room_air < space.day("coldest").air
    told = _WORDS[why]
    warmer = at_least(max(row.aim_air for row in rows) + _night(room, space))
    too_warm = warmer.value > space.cool_air + 0.5  # for the row above
    return Finding(
        code="HEAT-06", severity=Severity.PROBLEM if short > FAR else Severity.WARNING, subject=listed(ids),
        text=f"{verb(ids, 'falls', 'fall')} to {{least}} in the coldest week ({worst.tank}), {{short}} below"
        " what is wanted at least" + (", on a low shelf" if low_down else told.text),
        numbers=(
            ("least", kelvin(worst.coldest)), ("short", difference(short)),
            ("air", kelvin(float(space.week("coldest").air.mean()))),
            ("need", to_buy(max(row.aim_size if row.holds is None or row.holds < row.aim else row.size
                                for row in rows))),
            ("aim", at_least(max(row.aim for row in rows))), ("warmer", warmer),
            ("heater", to_buy(SPARE * _heat_at(space, warmer.value if why is Why.ROOM_SET_LOW else None))),
        ),
        value=kelvin(worst.coldest), limit=kelvin(worst.aim),
        reason=told.reason
        + (THERMOMETERS if by_gradient(room, space, worst, worst.coldest) >= worst.aim else ""),
        remedy=TANKS_ALONE if why is Why.ROOM_SET_LOW and too_warm else told.remedy,
        source=f"heat balance through the coldest week of the weather ({result.weather})",
        line=space_line(room, space.space), places=tuple(ids),
        rests_on=(*all_rests(room, space.space), *wanted_rests(rows)),
    )  # fmt: skip


def _night(room: Room, space: SpaceHeat) -> float:
    """What nights take off the mean of the air a heater is set to."""
    kept = climate_of(room, space)
    return kept.night_lower.value / 2.0 if kept is not None and kept.night_lower is not None else 0.0


def _heat_at(space: SpaceHeat, air: float | None) -> float:
    """The room's heat in the design cold, or with its air held warmer; a tenth is for what warmer water evaporates."""
    need = space.heat_need or 0.0
    if air is None or space.heat_to is None:
        return need
    return need + 1.1 * space.loss * max(air - space.heat_to.value, 0.0)


def nothing_freezes(room: Room, result: HeatResult) -> Iterator[Finding]:
    """HEAT-21: no tank freezes in the coldest week."""
    for space in result.spaces:
        frozen = [row for row in result.tanks if row.space == space.space and row.coldest < ICE_POINT]
        if not frozen:
            continue
        ids = [row.tank for row in frozen]
        yield Finding(
            code="HEAT-21", severity=Severity.PROBLEM, subject=listed(ids),
            text=f"{verb(ids, 'freezes', 'freeze')} in the coldest week of room {space.space}",
            reason="ice is not worked out here: what is told below {zero} only says that there is some, and it breaks"
            " glass",
            numbers=(("zero", kelvin(ICE_POINT)),),
            remedy="heat the room, or empty the tanks before winter", source=f"weather of {result.weather}",
            line=space_line(room, space.space), places=tuple(ids), rests_on=all_rests(room, space.space),
        )  # fmt: skip


COLD_CHECKS: Final[tuple[Callable[[Room, HeatResult], Iterator[Finding]], ...]] = (
    something_heats, nothing_freezes, cold_rows_are_warm_enough,
)  # fmt: skip
