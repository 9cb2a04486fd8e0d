"""Cohorts of fry by chance: how much water each brood needs in every week of every draw."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tankwright.husbandry.fry_model import Coming, DensityBand, FryAsk, Standing, per_litre
from tankwright.husbandry.fry_rates import EARLY_DAYS, LATE_DAYS, FryRates, Rate

Numbers = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class FryNeed:
    """Water each cohort needs, m3, by draw, week and cohort; cohorts in the order of `ids`, each with its group."""

    ids: tuple[str, ...]
    groups: tuple[str, ...]
    volume: Numbers


def fry_need(ask: FryAsk) -> FryNeed:
    """The water every brood and spawn needs at the start of every week, by as many draws as asked.

    A cohort has a stream of chance of its own from the seed and its id, so that leaving one out changes no other.

    >>> from datetime import date
    >>> there = Standing(id="b", label="B", line="l", age=20, held=50, low=50, high=50)
    >>> need = fry_need(FryAsk(start=date(2026, 5, 1), standing=(there,), draws=100))
    >>> need.volume.shape, need.groups
    ((100, 13, 1), ('b',))
    """
    days: Numbers = np.arange(ask.weeks + 1, dtype=np.float64) * 7.0
    cohorts: list[Standing | Coming] = [*ask.standing, *ask.coming]
    volume = np.zeros((ask.draws, len(days), len(cohorts)))
    groups = []
    for number, one in enumerate(cohorts):
        chance = np.random.default_rng([ask.seed, *one.id.encode()])
        rates = ask.rates_of(one.line)
        alive, length, age = (
            _standing(one, rates, days, ask.draws, chance) if isinstance(one, Standing)
            else _coming(one, rates, days, ask.draws, chance)
        )  # fmt: skip
        # those that are old already still need the days it takes to find them a home
        gone = max(ask.rules.gone_days, one.age + ask.rules.lead_days if isinstance(one, Standing) else 0.0)
        alive = np.where(age > gone, 0.0, alive)
        volume[:, :, number] = _room(alive, length, ask.density)
        groups.append(f"{one.line} {one.shut}" if ask.rules.apart == "line" else one.id)
    return FryNeed(ids=tuple(one.id for one in cohorts), groups=tuple(groups), volume=volume)


def _standing(
    one: Standing, rates: FryRates, days: Numbers, draws: int, chance: np.random.Generator
) -> tuple[Numbers, Numbers, Numbers]:
    """How many are alive, how long they are, how old, by draw and week."""
    number = chance.triangular(one.low, min(max(one.held, one.low), one.high), one.high, draws) \
        if one.high > one.low else np.full(draws, one.held)  # fmt: skip
    early, late, gain = _lives(rates, draws, chance)
    age = one.age + days
    alive = number[:, None] * _alive(age, early, late) / _alive(np.array([one.age]), early, late)
    begin = rates.hatched_length if one.length is None else one.length
    since = age if one.length is None else days
    long = _long(since[None, :], gain, begin, rates.grown_length)
    return np.floor(alive + 0.5), long, np.broadcast_to(age, alive.shape)


def _coming(
    one: Coming, rates: FryRates, days: Numbers, draws: int, chance: np.random.Generator
) -> tuple[Numbers, Numbers, Numbers]:
    happens = chance.random(draws) < one.chance
    day = one.day + one.give * chance.standard_normal(draws)
    if one.day > 0.0:
        day = np.maximum(day, 0.0)
    hatched = day + _lognormal(rates.of("hatch_days"), draws, chance)
    young = np.floor(_eggs(one, rates, draws, chance) * _beta(rates.of("hatch"), draws, chance) + 0.5)
    early, late, gain = _lives(rates, draws, chance)
    age = days[None, :] - hatched[:, None]
    there = (age >= 0.0) & happens[:, None]
    lived = np.maximum(age, 0.0)
    alive = np.where(there, young[:, None] * _alive(lived, early, late), 0.0)
    return np.floor(alive + 0.5), _long(lived, gain, rates.hatched_length, rates.grown_length), age


def _eggs(one: Coming, rates: FryRates, draws: int, chance: np.random.Generator) -> Numbers:
    """Eggs that were seen, or a Poisson number about a mean that varies from spawn to spawn: more than Poisson."""
    if one.eggs is not None:
        low, high = one.eggs
        return chance.uniform(low, high, draws) if high > low else np.full(draws, low)
    return chance.poisson(np.minimum(_lognormal(rates.of("eggs"), draws, chance), 1e6)).astype(np.float64)


def _lives(rates: FryRates, draws: int, chance: np.random.Generator) -> tuple[Numbers, Numbers, Numbers]:
    """Share alive at 14 days, share over 30 days after that, length gained a day: one of each a draw."""
    return (
        _beta(rates.of("early"), draws, chance), _beta(rates.of("late"), draws, chance),
        _lognormal(rates.of("gain"), draws, chance),
    )  # fmt: skip


def _alive(age: Numbers, early: Numbers, late: Numbers) -> Numbers:
    """The share alive at an age in days: two phases, each at its own even rate."""
    first = np.clip(age / EARLY_DAYS, 0.0, 1.0)
    after = np.maximum(age - EARLY_DAYS, 0.0) / LATE_DAYS
    result: Numbers = early[:, None] ** first * late[:, None] ** after
    return result


def _long(days: Numbers, gain: Numbers, begin: float, grown: float) -> Numbers:
    """Length after so many days: `gain` a day at first, slower towards the grown length."""
    left = max(grown - begin, 1e-6)
    result: Numbers = begin + left * (1.0 - np.exp(-gain[:, None] * days / left))
    return result


def _room(alive: Numbers, length: Numbers, density: Sequence[DensityBand]) -> Numbers:
    """Water for so many fish of that length by the keeper's rule."""
    ends = np.array([one.up_to for one in density if one.up_to is not None])
    crowd = np.array([per_litre(one) for one in density])
    band = np.minimum(np.searchsorted(ends, length, side="left"), len(crowd) - 1)
    result: Numbers = alive / crowd[band]
    return result


def _lognormal(rate: Rate, draws: int, chance: np.random.Generator) -> Numbers:
    result: Numbers = rate.middle * np.exp(rate.spread * chance.standard_normal(draws))
    return result


def _beta(rate: Rate, draws: int, chance: np.random.Generator) -> Numbers:
    """Shares between broods with that mean and spread. A spread no beta can have is made one it can."""
    mean = min(max(rate.middle, 0.0), 1.0)
    if rate.spread <= 0.0 or mean in {0.0, 1.0}:
        return np.full(draws, mean)
    strength = max(mean * (1.0 - mean) / rate.spread**2 - 1.0, 0.5)
    result: Numbers = np.maximum(chance.beta(mean * strength, (1.0 - mean) * strength, draws), 1e-9)
    return result
