"""What cold new water means for a tank, and what tanks fed one from the other mean for each other."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.checks.grouping import count, listed, rests, verb
from tankwright.finding import Finding, Number, Severity
from tankwright.origin import Known
from tankwright.physics.dissolved_gas import GAS_LIMIT
from tankwright.room.model import Room
from tankwright.systems.water_cold import DROP_LIMIT, HOUR, SEASONS
from tankwright.systems.water_model import Change, ColdFill, WaterResult
from tankwright.units import Second

DROP_SOURCE: Final = "heat balance of a stirred tank; 2 K in an hour is common practice, no source"
GAS_SOURCE: Final = (
    "R. F. Weiss (1970), solubility of nitrogen, oxygen and argon; 110 % by US EPA, Quality Criteria for Water 1986,"
    " from memory"
)
CAUTION: Final = "a screening: sick, old and very young fish bear less"


def a_drip_does_not_chill(_room: Room, result: WaterResult) -> Iterator[Finding]:
    """WATER-12: no drip cools a tank by more than 2 K in an hour."""
    for season, number in (("winter", 0), ("summer", 1)):
        drips = [
            (fill, change) for fill in result.cold_fills for change in fill.changes
            if change.kind == "drip" and change.season == season
        ]  # fmt: skip
        cold = [(fill, change) for fill, change in drips if change.in_an_hour > DROP_LIMIT]
        maybe = [(fill, change) for fill, change in drips if change.in_an_hour <= DROP_LIMIT < change.band[1]]
        for group, sure in ((cold, True), (maybe, False)):
            if group:
                yield _drip(group, season, number, sure=sure)


def _drip(group: list[tuple[ColdFill, Change]], season: str, number: int, *, sure: bool) -> Finding:
    """WATER-12: no drip cools a tank by more than 2 K in an hour."""
    fill, worst = max(group, key=lambda one: one[1].in_an_hour)
    names = [one.tank for one, _ in group]
    water = fill.rests[number]
    flips = not sure or any(change.band[0] <= DROP_LIMIT for _, change in group)
    first = f"measure it first, which decides: {_measure(water)}; else " if flips and water.is_assumed else ""
    longest = max(_longer(one, change, number, sure=sure) for one, change in group)
    return Finding(
        code="WATER-12", severity=Severity.WARNING if sure else Severity.NOTE, subject=listed(names),
        text=f"{verb(names, 'cools', 'cool')} {'faster' if sure else 'perhaps faster'} than {{limit}} in an hour under"
        f" the drip in {season}: {fill.tank} falls {{hour}} in an hour and {{drop}} in all, to {{after}}",
        numbers=(("limit", _kelvin(DROP_LIMIT)), ("hour", _kelvin(worst.in_an_hour)), ("drop", _kelvin(worst.drop)),
                 ("after", Number(worst.after, "temperature")), ("water", Number(worst.water, "temperature")),
                 ("share", Number(worst.share, "share")), ("longer", Number(longest, "duration")),
                 ("count", count(len(names)))),
        value=_kelvin(worst.in_an_hour), limit=_kelvin(DROP_LIMIT),
        reason=f"{{share}} of its water comes new at {{water}} in one run; {CAUTION}",
        remedy=f"{first}let the same litres run over {{longer}} or more, in several runs, or let the water stand in a"
        " vat in the room until it is warm",
        source=DROP_SOURCE, places=tuple(names), rests_on=rests(water, fill.before),
    )  # fmt: skip


def _longer(fill: ColdFill, change: Change, number: int, *, sure: bool) -> Second:
    """How long the same litres have to take so that the first hour, in which it falls most, stays at the limit; to the
    next minute. What the walls and a heater bring in helps and is left out."""
    water = fill.rests[number]
    coldest = water.value if sure else min((water.value, *(water.band or ())))
    fall = fill.before.value - coldest
    return 60.0 * math.ceil(HOUR * change.share / -math.log1p(-DROP_LIMIT / fall) / 60.0)


def batches_do_not_chill(_room: Room, result: WaterResult) -> Iterator[Finding]:
    """WATER-13: a quarter of a tank can be changed at a stroke without cooling it by 2 K."""
    waters = dict.fromkeys(fill.water for fill in result.cold_fills)
    for water in waters:
        fills = [fill for fill in result.cold_fills if fill.water == water]
        fill = min(fills, key=lambda one: min(share for _, share in one.most_share))
        shares = dict(fill.most_share)
        season = min(SEASONS, key=lambda name: shares[name])
        quarter = next(
            one for one in fill.changes if one.kind == "batch" and one.season == season and one.share == 0.25
        )
        if shares[season] >= 0.25:
            continue
        names = [one.tank for one in fills]
        at = fill.rests[SEASONS.index(season)]
        warm = f"; {fill.tank} is warm again after {{warm}}" if quarter.warm_after is not None else ""
        numbers = [("limit", _kelvin(DROP_LIMIT)), ("share", Number(shares[season], "share")),
                   ("most", _percent(shares[season])),
                   ("drop", _kelvin(quarter.drop)), ("after", Number(quarter.after, "temperature")),
                   ("water", Number(at.value, "temperature")), ("count", count(len(names)))]  # fmt: skip
        if quarter.warm_after is not None:
            numbers.append(("warm", Number(quarter.warm_after, "duration")))
        yield Finding(
            code="WATER-13", severity=Severity.NOTE, subject=listed(names),
            text=f"{verb(names, 'cools', 'cool')} by {{limit}} when {{share}} of the water is changed at a stroke with"
            f" water {water} in {season}; a quarter brings {fill.tank} down by {{drop}}, to {{after}}",
            numbers=tuple(numbers), value=Number(shares[season], "share"), limit=Number(0.25, "share"),
            reason=f"it comes at {{water}}{warm}, if nothing but its panes and its heater warms it; {CAUTION}",
            remedy=f"change no more than {{most}} at a stroke in {season}, or warm the new water first",
            source=DROP_SOURCE, places=tuple(names), rests_on=rests(at, fill.before),
        )  # fmt: skip


def cold_water_does_not_bring_too_much_gas(_room: Room, result: WaterResult) -> Iterator[Finding]:
    """WATER-14: no cold water brings more gas than 110 % of the air's pressure."""
    runs = {
        fill.tank: max((change.share for change in fill.changes if change.kind == "drip"), default=0.0)
        for fill in result.cold_fills
    }
    worst: dict[str, list[int]] = {}
    for place, gas in enumerate(result.gases):
        if gas.ratio > GAS_LIMIT:
            worst.setdefault(gas.water, []).append(place)
    for water, places in worst.items():
        rows = [result.gases[place] for place in places]
        gas = max(rows, key=lambda one: one.ratio)
        names = list(dict.fromkeys(tank for row in rows for tank in row.tanks))
        dripping = [name for name in gas.tanks if runs.get(name, 0.0) > gas.most_share]
        yield Finding(
            code="WATER-14", severity=Severity.WARNING if dripping else Severity.NOTE, subject=f"water {water}",
            text=f"holds gas at {{ratio}} of the air's pressure once it is warm in {listed(names)}, in {gas.season};"
            " the limit is {limit}",
            numbers=(("ratio", Number(gas.ratio, "share")), ("limit", Number(GAS_LIMIT, "share")),
                     ("cold", Number(gas.cold.value, "temperature")), ("warm", Number(gas.warm, "temperature")),
                     ("share", _percent(gas.most_share))),
            value=Number(gas.ratio, "share"), limit=Number(GAS_LIMIT, "share"),
            reason="cold water takes up more air than it can keep at {warm}; it comes from the pipe at {cold} with"
            " all it took up there. Fish get bubbles in blood and fins, fry below the limit"
            " too; a screening, since a drip that falls through air loses much of it",
            remedy="let it fall through air, aerate it or let it stand a day; else change no more than {share} at a"
            " stroke with water straight from the pipe",
            source=GAS_SOURCE, places=tuple(names), rests_on=rests(gas.cold),
        )  # fmt: skip


def tanks_are_not_fed_in_a_row(_room: Room, result: WaterResult) -> Iterator[Finding]:
    """WATER-15: every tank is fed from a source, none through another tank."""
    if not result.rows:
        return
    longest = max(result.rows, key=lambda row: len(row.tanks))
    names = list(dict.fromkeys(tank for row in result.rows for tank in row.tanks[1:]))
    yield Finding(
        code="WATER-15", severity=Severity.WARNING, subject=listed(names),
        text=f"{verb(names, 'gets', 'get')} water that was in other tanks before: after one whole volume {{left}} of"
        f" the old is still in {longest.tanks[-1]}, the last of {{count}}; by itself it would be {{alone}}",
        numbers=(("left", Number(longest.remaining[0][1], "share")), ("alone", Number(longest.alone[0][1], "share")),
                 ("count", count(len(longest.tanks)))),
        value=Number(longest.remaining[0][1], "share"), limit=Number(longest.alone[0][1], "share"),
        reason="waste and germs of the first tank go through all the others; the row is "
        + " → ".join(longest.tanks),
        remedy="feed every tank from the source, side by side",
        source="stirred tanks in series, textbook form, as if all were as large as the first", places=longest.tanks,
    )  # fmt: skip


def _measure(known: Known) -> str:
    return ASSUMPTIONS[known.key].measure if known.key in ASSUMPTIONS else "measure it"


def _percent(share: float) -> Number:
    """The whole per cent below."""
    return Number(math.floor(100.0 * share + 1e-9) / 100.0, "share")


def _kelvin(value: float) -> Number:
    return Number(value, "temperature_difference")
