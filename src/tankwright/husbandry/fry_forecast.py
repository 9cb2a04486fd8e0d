"""How many tanks the fry will need, week by week, and the chance that there are too few.

Every draw is one way the weeks may go: which pairs spawn, how many hatch, live and grow. The same ask and seed give the
same answer, so a forecast of a past week need not be kept: it is made again from what was known then.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import timedelta
from typing import Final

import numpy as np

from tankwright.husbandry.fry_course import FryNeed, fry_need
from tankwright.husbandry.fry_model import Cause, Coming, FryAsk, FryForecast, FryWeek, Standing
from tankwright.husbandry.fry_packing import Packed, packed

LOW, HIGH = 0.1, 0.9
"""Ends of the band: eight weeks in ten should fall within."""

MOST_CAUSES: Final = 40
"""Broods and spawns that are left out one by one: those that need most water."""


def fry_forecast(ask: FryAsk) -> FryForecast:
    """The forecast of an ask.

    >>> from datetime import date
    >>> from tankwright.husbandry.fry_model import FryTank, Standing
    >>> there = Standing(id="b", label="B", line="l", age=20, held=50, low=50, high=50)
    >>> told = fry_forecast(FryAsk(start=date(2026, 5, 1), standing=(there,), draws=200,
    ...                            tanks=(FryTank(id="t", label="T", volume=0.02),)))
    >>> told.weeks[0].middle >= 1.0, told.chance > 0.5, told.causes[0].label
    (True, True, 'B')
    """
    need = fry_need(ask)
    tanks = tuple(one.volume for one in ask.tanks)
    full = packed(need.volume, need.groups, tanks)
    risk = _Risk(need, tanks, full)
    chance = _chance(full)
    out = full.is_out.mean(axis=0)
    causes = _causes(ask, need, risk, chance) if chance > 0.0 else ()
    hold, enough = _hold(ask, risk) if chance > ask.rules.limit else ((), True)
    first = _first_over(full, ask.rules.limit)
    decide = None
    if first is not None:
        last = ask.start + timedelta(days=max(7 * first - ask.rules.lead_days, 0.0))
        spawns = [one.day for one in causes[:1] if one.day is not None and one.day >= 0.0]
        decide = min([last, *(ask.start + timedelta(days=int(day)) for day in spawns)])
    return FryForecast(
        ask=ask, weeks=_weeks(ask, need, full), chance=chance,
        out_week=int(out.argmax()) if chance > 0.0 else None, decide=decide, causes=causes, hold=hold,
        enough_held=enough,
    )  # fmt: skip


def fry_weeks(ask: FryAsk) -> tuple[FryWeek, ...]:
    """The weeks alone, without what causes them and what to hold."""
    need = fry_need(ask)
    return _weeks(ask, need, packed(need.volume, need.groups, tuple(one.volume for one in ask.tanks)))


def _weeks(ask: FryAsk, need: FryNeed, full: Packed) -> tuple[FryWeek, ...]:
    volume = need.volume.sum(axis=2)
    tanks = np.quantile(full.needed, (LOW, 0.5, HIGH), axis=0, method="inverted_cdf")
    water = np.quantile(volume, (LOW, 0.5, HIGH), axis=0)
    out = full.is_out.mean(axis=0)
    return tuple(
        FryWeek(
            number=week, begins=ask.start + timedelta(days=7 * week), low=float(tanks[0, week]),
            middle=float(tanks[1, week]), high=float(tanks[2, week]), volume_low=float(water[0, week]),
            volume_middle=float(water[1, week]), volume_high=float(water[2, week]), chance_out=float(out[week]),
        )
        for week in range(volume.shape[1])
    )  # fmt: skip


def _chance(full: Packed) -> float:
    return float(full.is_out.any(axis=1).mean()) if full.short.size else 0.0


def _first_over(full: Packed, limit: float) -> int | None:
    """The first week by which the chance of having run out passes the limit."""
    by_then = np.logical_or.accumulate(full.is_out, axis=1).mean(axis=0)
    over = np.flatnonzero(by_then > limit)
    return int(over[0]) if over.size else None


class _Risk:
    """The chance to run out without some cohorts. Only weeks that run out with all of them are looked at again: with
    fewer fish no other does."""

    def __init__(self, need: FryNeed, tanks: tuple[float, ...], full: Packed) -> None:
        self._draw, week = np.nonzero(full.is_out)
        self._volume = need.volume[self._draw, week][:, None, :]
        self._groups, self._tanks, self._draws = need.groups, tanks, need.volume.shape[0]

    def without(self, cohorts: Iterable[int]) -> float:
        """The share of draws in which any week still runs out."""
        if not self._draw.size:
            return 0.0
        still = packed(self._volume, self._groups, self._tanks, without=cohorts).is_out[:, 0]
        return float(len(np.unique(self._draw[still])) / self._draws)


def _causes(ask: FryAsk, need: FryNeed, risk: _Risk, chance: float) -> tuple[Cause, ...]:
    """Each of the largest cohorts left out alone, on the same draws: those that make a difference, greatest first."""
    made = []
    cohorts: tuple[Standing | Coming, ...] = (*ask.standing, *ask.coming)
    largest = np.argsort(-need.volume.mean(axis=(0, 1)), kind="stable")[:MOST_CAUSES]
    for number in sorted(int(one) for one in largest):
        one = cohorts[number]
        without = risk.without((number,))
        if without < chance:
            day = one.day if isinstance(one, Coming) else None
            made.append(Cause(id=one.id, label=one.label, without=without, day=day))
    return tuple(sorted(made, key=lambda one: one.without))


def _hold(ask: FryAsk, risk: _Risk) -> tuple[tuple[str, ...], bool]:
    """Spawns not to raise: taken one after another in the order they come, each that still keeps within the limit is
    raised, all others are held. Whether that is enough."""
    first = len(ask.standing)
    coming = sorted(range(len(ask.coming)), key=lambda number: (ask.coming[number].day, number))
    held = {first + number for number in coming}
    for number in coming:
        held.discard(first + number)
        if risk.without(held) > ask.rules.limit:
            held.add(first + number)
    order = tuple(ask.coming[number].id for number in coming if first + number in held)
    return order, risk.without(held) <= ask.rules.limit
