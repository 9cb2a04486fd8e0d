"""Fry space, beside what a person would write in a spreadsheet's place: 2,000 draws brood by brood in plain Python.

Both are given the same broods, spawns, rates, tanks and rule, and both lay every week of every draw into tanks.

Run: python -m benchmarks.fry. Seconds are of one core.
"""

from __future__ import annotations

import math
import random
import time
from dataclasses import replace
from datetime import date
from typing import Final

from tankwright.husbandry.fry_forecast import fry_forecast, fry_weeks
from tankwright.husbandry.fry_model import Coming, DensityBand, FryAsk, FryTank, Standing, per_litre
from tankwright.husbandry.fry_rates import EARLY_DAYS, LATE_DAYS, FryRates, Rate

GOAL: Final = 0.5
"""Seconds at most for twelve weeks of a room of some dozens of broods, compiled."""
LEAST: Final = 10.0
"""Times as fast as the plain way at least."""


def run() -> int:
    """Print the table; how many goals were missed is told at the end."""
    print("fry space, 2,000 draws of 13 weeks")
    print("broods  spawns  tanks  weeks alone   with causes   plain Python   ratio   middles off by")
    missed = 0
    fry_weeks(_ask(2, 2, 4))  # the compiler is loaded once
    for broods, spawns, tanks in ((3, 0, 8), (6, 6, 14), (20, 20, 30)):
        ask = _ask(broods, spawns, tanks)
        began = time.process_time()
        weeks = fry_weeks(ask)
        alone = time.process_time() - began
        began = time.process_time()
        fry_forecast(ask)
        whole = time.process_time() - began
        few = replace(ask, draws=ask.draws // 10)
        began = time.process_time()
        middles = plain(few)
        by_hand = 10.0 * (time.process_time() - began)
        off = max(abs(week.middle - middle) for week, middle in zip(weeks, middles, strict=True))
        missed += (alone > GOAL) + (by_hand / alone < LEAST) + (off > 1.0)
        print(
            f"{broods:6d}  {spawns:6d}  {tanks:5d}  {alone:9.3f} s  {whole:10.3f} s  {by_hand:11.2f} s"
            f"  {by_hand / alone:5.0f} x  {off:6.0f} tanks"
        )
    print("fry space: all goals met" if not missed else f"fry space: {missed} goals missed")
    return 1 if missed else 0


def _ask(broods: int, spawns: int, tanks: int) -> FryAsk:
    return FryAsk(
        start=date(2026, 5, 1),
        standing=tuple(
            Standing(id=f"b{n}", label="", line="l", age=3.0 + 80.0 * n / broods, held=60, low=50, high=80)
            for n in range(broods)
        ),
        coming=tuple(
            Coming(id=f"c{n}", label="", line="l", day=60.0 * n / spawns, give=4.0, chance=0.7) for n in range(spawns)
        ),
        tanks=tuple(FryTank(id=f"t{n}", label="", volume=0.03 + 0.03 * (n % 2)) for n in range(tanks)),
    )  # fmt: skip


def plain(ask: FryAsk) -> list[float]:
    """The middle of the tanks needed in every week, one draw, brood and week after another."""
    chance = random.Random(1)
    needed: list[list[int]] = [[] for _ in range(ask.weeks + 1)]
    for _ in range(ask.draws):
        lives = [_life(one, ask.rates_of(one.line), chance) for one in (*ask.standing, *ask.coming)]
        for week in range(ask.weeks + 1):
            volumes = sorted((_volume(life, 7.0 * week, ask) for life in lives), reverse=True)
            needed[week].append(_tanks([one for one in volumes if one > 0.0], ask))
    return [float(sorted(one)[(len(one) - 1) // 2]) for one in needed]


Life = tuple[float, float, float, float, float]
"""Hatched on day, young then, share to 14 days, share a month after that, growth a day."""


def _life(one: Standing | Coming, rates: FryRates, chance: random.Random) -> Life:
    early, late = _beta(rates.of("early"), chance), _beta(rates.of("late"), chance)
    gain = _lognormal(rates.of("gain"), chance)
    if isinstance(one, Standing):
        there = chance.triangular(one.low, one.high, one.held)
        return -one.age, there / _alive(one.age, early, late), early, late, gain
    if chance.random() > one.chance:
        return 0.0, 0.0, early, late, gain
    day = max(chance.gauss(one.day, one.give), 0.0) + _lognormal(rates.of("hatch_days"), chance)
    eggs = _lognormal(rates.of("eggs"), chance)
    eggs = max(chance.gauss(eggs, math.sqrt(eggs)), 0.0)  # about Poisson
    return day, float(round(eggs * _beta(rates.of("hatch"), chance))), early, late, gain


def _volume(life: Life, day: float, ask: FryAsk) -> float:
    hatched, young, early, late, gain = life
    age = day - hatched
    if age < 0.0 or age > max(ask.rules.gone_days, ask.rules.lead_days - hatched):
        return 0.0
    rates = ask.rates_of("l")
    left = rates.grown_length - rates.hatched_length
    length = rates.hatched_length + left * (1.0 - math.exp(-gain * age / left))
    return round(young * _alive(age, early, late)) / per_litre(_band(length, ask.density))


def _band(length: float, density: tuple[DensityBand, ...]) -> DensityBand:
    return next((one for one in density if one.up_to is None or length <= one.up_to), density[-1])


def _alive(age: float, early: float, late: float) -> float:
    return early ** min(age / EARLY_DAYS, 1.0) * late ** (max(age - EARLY_DAYS, 0.0) / LATE_DAYS)


def _beta(rate: Rate, chance: random.Random) -> float:
    strength = max(rate.middle * (1.0 - rate.middle) / rate.spread**2 - 1.0, 0.5)
    return max(chance.betavariate(rate.middle * strength, (1.0 - rate.middle) * strength), 1e-9)


def _lognormal(rate: Rate, chance: random.Random) -> float:
    return rate.middle * math.exp(chance.gauss(0.0, rate.spread))


def _tanks(volumes: list[float], ask: FryAsk) -> int:
    """Tanks by the smallest that is large enough, else the largest; beyond those there are, of the middle size."""
    free = sorted(one.volume for one in ask.tanks)
    typical = free[len(free) // 2]
    used, over = 0, 0.0
    for volume in volumes:
        need = volume
        while need > 0.0 and free:
            fit = next((number for number, one in enumerate(free) if one >= need), len(free) - 1)
            need -= free.pop(fit)
            used += 1
        over += max(need, 0.0)
    return used + math.ceil(over / typical)


if __name__ == "__main__":
    run()
