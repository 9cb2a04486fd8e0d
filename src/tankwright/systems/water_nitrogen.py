"""From feed to nitrate: what each tank's filter and drip make of the nitrogen put in, and what holds its nitrate.

What plants take, what turns to gas in the bed, and what glass and gravel nitrify are left out: all three help. The
drip counts by its mean over the week; its pulses are far shorter than the weeks nitrate takes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tankwright.origin import Known, Origin
from tankwright.physics.disinfectants import NITROGEN_OF_CHLORAMINE
from tankwright.physics.nitrification import ALKALINITY_OF_NITROGEN, AMMONIA_OF_PROTEIN, NITRATE_OF_NITROGEN
from tankwright.physics.water_arrays import (
    acute_ammonia,
    approached,
    chronic_ammonia,
    media_capacity,
    settled_ammonia,
    time_to_approach,
    unionised_share,
)
from tankwright.room.model import Room, Tank
from tankwright.room.model_water import LifeLaws, TankLife
from tankwright.systems.feed_time import WEEK, seconds_a_week
from tankwright.systems.water_life_model import (
    NEVER,
    NOTHING,
    GivenWater,
    NitrateWant,
    RunNitrate,
    Span,
    TankNitrogen,
    span_of,
    spans,
)

Array = NDArray[np.float64]
Inflows = Mapping[str, Mapping[str, float]]

HALF_SATURATION: Final = Span(low=0.5e-3, value=1e-3, high=1e-3)
"""kg/m3 of ammonia nitrogen at which half the filter works. Source: activated sludge models, 0.5 to 1 mg/L, from
memory."""

AMMONIA_OF_ITS_NITROGEN: Final = 17.031 / 14.007
"""kg of NH3 a kg of its nitrogen. Source: molar masses."""

HARM: Final = 5.0e-5
"""kg/m3 (0.05 mg/L) of NH3, above which it harms. Source: University of Florida IFAS, FA-16."""

DAY: Final = WEEK / 7.0


_COLDEST, _WARMEST = 278.15, 308.15
_WARMEST_LIMIT: Final = 303.15
"""Where the rate of a filter and the limits of ammonia hold, as their formulas in `physics` say."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    """What one tank's nitrogen rests on."""

    tank: Tank
    life: TankLife
    feed: Known
    protein: Known
    inflow: float
    waters: tuple[tuple[float, GivenWater | None], ...]
    ph: Known | None
    wanted: Known | None


def solve_nitrogen(
    room: Room,
    inflows: Inflows,
    waters: Mapping[str, GivenWater],
    ph: Mapping[str, Known],
    missing: list[tuple[str, str]],
) -> tuple[TankNitrogen, ...]:
    """Every tank whose feed is known, in the room's order; what is not goes to `missing`."""
    if room.laws is None:
        return ()
    found: dict[str, TankNitrogen] = {}
    brought: dict[str, list[tuple[float, GivenWater | None]]] = {}
    for names in _in_turn(room):
        for run in room.feeds:
            open_share = seconds_a_week(run.openings) / WEEK
            for name, flow in inflows.get(run.id, {}).items():
                if name in names and flow * open_share > 0.0:
                    water = waters.get(run.id)
                    if run.source_kind == "tank" and water is not None:
                        water = _out_of(run.source, water, found, brought)
                    brought.setdefault(name, []).append((flow * open_share, water))
        rows = tuple(_rows(room, names, brought, waters.get(""), ph, missing))
        found |= {one.tank: one for one in (_work_out(rows, room.laws) if rows else ())}
    return tuple(found[life.tank] for life in room.lives if life.tank in found)


def _in_turn(room: Room) -> Iterator[frozenset[str]]:
    """The tanks in turns, each after all those it is fed from; what is fed in a circle comes last."""
    before: dict[str, set[str]] = {}
    for run in room.feeds:
        if run.source_kind == "tank":
            for outlet in run.outlets:
                before.setdefault(outlet.tank, set()).add(run.source)
    left = frozenset(life.tank for life in room.lives)
    while left:
        ready = frozenset(tank for tank in left if left.isdisjoint(before.get(tank, ()))) or left
        yield ready
        left -= ready


def _out_of(
    tank: str,
    water: GivenWater,
    found: Mapping[str, TankNitrogen],
    brought: Mapping[str, Sequence[tuple[float, GivenWater | None]]],
) -> GivenWater:
    """The water that leaves a tank for another, with what the tank has made of it. The nitrogen of its chloramine was
    counted where it ran in."""
    one = found.get(tank)
    if one is None:
        into = brought.get(tank, ())
        return water if not into else replace(
            water, nitrate=_mixed(into, lambda part: part.nitrate), ammonia=_mixed(into, lambda part: part.ammonia),
            carbonate_hardness=_mixed(into, lambda part: part.carbonate_hardness),
        )  # fmt: skip
    if one.inflow <= 0.0:  # what is drawn from it is never made up for, so it settles at nothing
        return replace(water, nitrate=None, ammonia=None, carbonate_hardness=None, disinfectant="none")
    return replace(
        water, disinfectant="none", ammonia=_leaves(tank, one.ammonia), nitrate=_leaves(tank, one.nitrate),
        carbonate_hardness=_leaves(tank, one.hardness),
    )  # fmt: skip


def _leaves(tank: str, span: Span | None) -> Known | None:
    if span is None:
        return None
    low, value, high = (max(end, 0.0) for end in (span.low, span.value, span.high))
    return Known(
        value, Origin.DERIVED, band=(low, high) if high > low else None, reason=f"as tank {tank} settles"
    )


def _rows(
    room: Room,
    names: frozenset[str],
    brought: Mapping[str, Sequence[tuple[float, GivenWater | None]]],
    carried: GivenWater | None,
    ph: Mapping[str, Known],
    missing: list[tuple[str, str]],
) -> Iterator[_Row]:
    tanks = {tank.id: tank for tank in room.tanks}
    wants = {zone.id: zone.wants for zone in room.zones}
    by_hand = ((0.0, carried),)
    for life in room.lives:
        if life.tank not in names:
            continue
        tank = tanks[life.tank]
        if life.stock is None:
            continue
        subject = f"tank {life.tank}"
        if life.stock.feed is None:
            missing.append((subject, "neither fish nor feed are counted, so no nitrogen is"))
        elif tank.water_volume <= 0.0:
            missing.append((subject, "it holds no water"))
        elif not _COLDEST <= life.wanted_temperature.value <= _WARMEST:
            missing.append((subject, "no filter's rate is published for so warm or so cold a water"))
        else:
            given, zone = tuple(brought.get(tank.id, by_hand)), wants.get(tank.zone)
            yield _Row(
                tank=tank, life=life, feed=life.stock.feed, protein=life.stock.protein, waters=given,
                inflow=sum(inflow for inflow, _ in given), ph=_within(ph.get(tank.id), 4.0, 11.0),
                wanted=zone.nitrate if zone is not None else None,
            )  # fmt: skip


def _work_out(rows: Sequence[_Row], laws: LifeLaws) -> tuple[TankNitrogen, ...]:
    """All tanks at once; the first axis of every array is the band: low, value, high."""
    inflow = np.array([row.inflow for row in rows])
    volume = np.array([row.tank.water_volume for row in rows])
    temperature = np.array([row.life.wanted_temperature.value for row in rows])
    from_feed = _bands(row.feed for row in rows) * _bands(row.protein for row in rows) * AMMONIA_OF_PROTEIN
    from_chloramine = NITROGEN_OF_CHLORAMINE * _carried(rows, _chloramine)
    from_source = _carried(rows, lambda water: NOTHING if water.ammonia is None else span_of(water.ammonia))
    load = from_feed + from_chloramine + from_source
    capacity = media_capacity(
        _bands(row.life.filter_media for row in rows), _bands([laws.filter_rate]), temperature
    )
    half = np.array([[HALF_SATURATION.low], [HALF_SATURATION.value], [HALF_SATURATION.high]])
    ammonia = settled_ammonia(load, capacity[::-1], half, inflow)  # most load with least filter
    kept = settled_ammonia(load, capacity, HALF_SATURATION.value, inflow)
    lost = np.where(inflow > 0.0, inflow * np.where(np.isinf(kept), 0.0, kept), 0.0)
    nitrified = np.where(np.isinf(kept), capacity, np.maximum(load - lost, 0.0))
    rise = nitrified * NITRATE_OF_NITROGEN / volume
    hardness_from = [_mixed(row.waters, lambda water: water.carbonate_hardness) for row in rows]
    nitrate_from = [_mixed(row.waters, lambda water: water.nitrate) for row in rows]
    drip = np.where(inflow > 0.0, inflow, np.nan)
    used = nitrified * ALKALINITY_OF_NITROGEN
    hard = _bands(hardness_from)
    with np.errstate(divide="ignore"):
        lasts = hard * volume / used[::-1]
    ph = _bands(row.ph for row in rows)
    fraction = unionised_share(ph, temperature)
    careful = np.maximum(ph[1], 6.5)  # the limits' table begins there; below it ammonia harms less
    judged = (careful <= 9.0) & (temperature <= _WARMEST_LIMIT)
    acute, chronic = acute_ammonia(careful, temperature), chronic_ammonia(careful, temperature)
    columns = zip(
        rows, spans(from_feed), spans(from_chloramine), spans(from_source), spans(load), spans(capacity),
        spans(nitrified), spans(ammonia), spans(fraction * ammonia * AMMONIA_OF_ITS_NITROGEN),
        hardness_from, spans(np.where(inflow > 0.0, hard - used[::-1] / drip, -np.inf)), spans(lasts),
        nitrate_from, spans(rise),
        spans(np.where(inflow > 0.0, _bands(nitrate_from) + rise * volume / drip, np.inf)),
        judged.tolist(), acute.tolist(), chronic.tolist(),
        (HARM / (fraction[1] * AMMONIA_OF_ITS_NITROGEN)).tolist(), strict=True,
    )  # fmt: skip
    return tuple(
        TankNitrogen(
            tank=row.tank.id, volume=row.tank.water_volume, temperature=row.life.wanted_temperature,
            media=row.life.filter_media, feed=row.feed, protein=row.protein, inflow=row.inflow,
            from_feed=fed, from_chloramine=released, from_source=sourced, load=loaded, capacity=filtered,
            nitrified=turned, ammonia=stays, ph=row.ph, unionised=poison if row.ph else None,
            acute=sharp if row.ph and known else None, chronic=slow if row.ph and known else None,
            harm=harms if row.ph else None,
            source_hardness=hardness, hardness=left if hardness else None,
            hardness_lasts=lasting if hardness else None,
            source_nitrate=nitrate, rise=risen, nitrate=settled if nitrate else None, wanted_nitrate=row.wanted,
        )
        for (row, fed, released, sourced, loaded, filtered, turned, stays, poison, hardness, left, lasting, nitrate,
             risen, settled, known, sharp, slow, harms) in columns
    )  # fmt: skip


def nitrate_course(one: TankNitrogen, weeks: int) -> tuple[tuple[float, float, float, float], ...]:
    """Nitrate of a tank from new water on, a point a week: (seconds, low, value, high)."""
    if one.source_nitrate is None:
        return ()
    source, turnover = span_of(one.source_nitrate), one.inflow / one.volume
    times: Array = np.arange(weeks + 1, dtype=np.float64) * WEEK
    columns = [
        approached(
            getattr(source, end), getattr(one.rise, end) + turnover * getattr(source, end), turnover, times
        )
        for end in ("low", "value", "high")
    ]
    rows = zip(times.tolist(), *(column.tolist() for column in columns), strict=True)
    return tuple((time, low, value, high) for time, low, value, high in rows)


# --- what holds the nitrate ------------------------------------------------------------------------------------


def nitrate_wants(tanks: Sequence[TankNitrogen], usual: Known) -> tuple[NitrateWant, ...]:
    """What each tank needs for the nitrate its zone wants, or for the `usual` limit where nothing is said."""
    known = [(one, one.source_nitrate) for one in tanks if one.source_nitrate is not None]
    if not known:
        return ()
    wanted = [one.wanted_nitrate or usual for one, _ in known]
    limit = np.array([one.value for one in wanted])
    source, rise = _bands(nitrate for _, nitrate in known), _stacked(one.rise for one, _ in known)
    turnover = np.array([one.inflow / one.volume for one, _ in known])
    passes = time_to_approach(source, rise + turnover * source, turnover, limit)
    passes = np.where(source >= limit, 0.0, passes)[::-1]
    room_for = limit - source
    share = np.where(room_for > 0.0, rise * WEEK / np.where(room_for > 0.0, room_for, 1.0), np.inf)
    volume = np.array([one.volume for one, _ in known])
    return tuple(
        NitrateWant(tank=one.tank, wanted=want, passes=passing, weekly=weekly, share=changed)
        for (one, _), want, passing, weekly, changed in zip(
            known, wanted, spans(passes), spans(share * volume), spans(share), strict=True
        )
    )


def nitrate_programs(
    room: Room, inflows: Inflows, tanks: Sequence[TankNitrogen], wants: Sequence[NitrateWant]
) -> tuple[RunNitrate, ...]:
    """For each feed, the time a day that brings every tank of it the new water its nitrate asks for."""
    by_tank = {want.tank: want.weekly for want in wants}
    now = {one.tank: one.inflow for one in tanks}
    found: list[RunNitrate] = []
    for run in room.feeds:
        seconds = seconds_a_week(run.openings)
        asking = [
            (name, flow) for name, flow in inflows.get(run.id, {}).items() if flow > 0.0 and name in by_tank
        ]
        if not asking:
            continue
        flows = np.array([flow for _, flow in asking])
        others = np.array([now[name] for name, _ in asking]) - flows * seconds / WEEK
        weekly = _stacked(by_tank[name] for name, _ in asking)
        needed = np.maximum(weekly / WEEK - np.maximum(others, 0.0), 0.0) / flows * DAY
        reachable = np.isfinite(needed[1])
        worst = int(np.argmax(np.where(reachable, needed[1], -1.0)))
        found.append(RunNitrate(
            run=run.id, minutes_now=seconds / 7.0, worst=asking[worst][0] if reachable.any() else "",
            needed=spans(needed)[worst] if reachable.any() else NEVER,
            beyond=tuple(name for (name, _), can in zip(asking, reachable.tolist(), strict=True) if not can),
        ))  # fmt: skip
    return tuple(found)


# --- spans -----------------------------------------------------------------------------------------------------


def _bands(knowns: Iterable[Known | None]) -> Array:
    """Low, value and high of each as the columns of an array; what is not known counts as nought."""
    return _stacked(NOTHING if one is None else span_of(one) for one in knowns)


def _stacked(spans: Iterable[Span]) -> Array:
    return np.array([(one.low, one.value, one.high) for one in spans], dtype=np.float64).T


def _carried(rows: Sequence[_Row], what: Callable[[GivenWater], Span]) -> Array:
    """What all feeds of each tank carry in, kg/s."""
    found = np.zeros((3, len(rows)))
    known: dict[int, Array] = {}
    for number, row in enumerate(rows):
        for inflow, water in row.waters:
            if water is not None:
                if id(water) not in known:
                    known[id(water)] = _stacked([what(water)])[:, 0]
                found[:, number] += inflow * known[id(water)]
    return found


def _chloramine(water: GivenWater) -> Span:
    """The chlorine that is chloramine: all of it, none, or either where the supplier's way is not known."""
    if water.chlorine is None or water.disinfectant in ("chlorine", "none"):
        return NOTHING
    whole = span_of(water.chlorine)
    return whole if water.disinfectant == "chloramine" else Span(low=0.0, value=0.0, high=whole.high)


def _within(known: Known | None, least: float, most: float) -> Known | None:
    """A value, or nothing where it lies beyond what a formula covers."""
    if known is None:
        return None
    span = span_of(known)
    return known if least <= span.low and span.high <= most else None


def _mixed(
    brought: Sequence[tuple[float, GivenWater | None]], what: Callable[[GivenWater], Known | None]
) -> Known | None:
    """What several feeds bring together, by their inflows; None when it is not known of one of them."""
    known: list[tuple[float, Known]] = []
    for inflow, water in brought:
        one = what(water) if water is not None else None
        if one is None:
            return None
        known.append((inflow, one))
    if len(known) == 1:
        return known[0][1]
    whole = sum(inflow for inflow, _ in known)
    spans = [(inflow / whole, span_of(one)) for inflow, one in known]
    low, value, high = (
        sum(share * getattr(span, end) for share, span in spans) for end in ("low", "value", "high")
    )
    first = next((one for _, one in known if one.is_assumed), known[0][1])
    return Known(
        value, first.origin, key=first.key, band=(low, high) if high > low else None, reason="mixed by inflow"
    )
