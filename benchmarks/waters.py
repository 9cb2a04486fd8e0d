"""Water tests: how long the verdicts of a room take, how soon and how often wrongly they speak.

Beside them what a keeper would do instead: a spreadsheet's straight line through the rounded numbers, and a chart with
limits three standard deviations wide. Run: python -m benchmarks.waters.
"""

from __future__ import annotations

import math
import time
from datetime import UTC, datetime, timedelta
from statistics import fmean, stdev

import numpy as np
from scipy.stats import theilslopes

from tankwright.husbandry.register import Place
from tankwright.husbandry.water_limits import all_limits
from tankwright.husbandry.water_quantities import QUANTITIES, range_of
from tankwright.husbandry.water_readings import WaterReading, WaterSeries
from tankwright.husbandry.water_slope import slopes_through
from tankwright.husbandry.water_usual import departure, false_alarm_chance, usual_of
from tankwright.husbandry.water_verdicts import Setting, water_verdicts

START = datetime(2026, 1, 1, tzinfo=UTC)
STEP = 17.848  # mg/L of a drop, single sample
TESTED = ("ph", "kh", "no2", "no3")


def room(tanks: int, weeks: int) -> tuple[list[Place], list[WaterSeries]]:
    """A quiet room: four tests a week in each tank, read off kits."""
    lot = np.random.default_rng(1)
    places = [Place(id=f"p{n}", label=f"T{n}", kind="tank", opened=START) for n in range(tanks)]
    middles = {
        "ph": (7.2, 0.1, 0.1),
        "kh": (6.0, 0.4, 1.0),
        "no2": (0.02, 0.01, 0.05),
        "no3": (20.0, 4.0, 5.0),
    }
    made = []
    for place in places:
        for key in TESTED:
            quantity, (middle, spread, step) = QUANTITIES[key], middles[key]
            values = np.maximum(np.round((middle + spread * lot.standard_normal(weeks)) / step) * step, 0.0)
            made.append(WaterSeries(place=place.id, quantity=quantity, readings=tuple(
                _reading(key, week, float(round(value, 3))) for week, value in enumerate(values)
            )))  # fmt: skip
    return places, made


def _reading(key: str, week: int, value: float) -> WaterReading:
    quantity = QUANTITIES[key]
    low, high = range_of(quantity, value)
    return WaterReading(
        at=START + timedelta(weeks=week), value=quantity.to_si(value), low=quantity.to_si(low),
        high=quantity.to_si(high),
    )  # fmt: skip


def timed() -> None:
    """Verdicts of a room of 60 tanks and of a hall of 600, a year of weekly tests."""
    for tanks in (60, 600):
        places, series = room(tanks, 52)
        setting = Setting(
            now=START + timedelta(weeks=52), limits=all_limits(None, (one.label for one in places))
        )
        start = time.perf_counter()
        found = water_verdicts(places, series, setting)
        took = time.perf_counter() - start
        false = sum(
            one.departure is not None and (one.departure.jump or one.departure.drift) != 0 for one in found
        )
        tests = sum(len(one.readings) for one in series)
        print(
            f"{tanks:4d} tanks, {tests} tests: {len(found)} verdicts in {took:.2f} s; {false} out of their usual now"
        )


def days_to_proof(fall: float, every: int, step: float) -> tuple[int, int]:
    """The day on which a fall is certain: by the ranges, and by a robust slope whose 90 % interval leaves nought."""
    ours = theirs = 0
    for day in range(every, 400, every):
        days = np.arange(0, day + 1, every, dtype=float)
        drops = np.ceil((90.0 - fall * days) / step - 1e-9)
        if (
            not ours
            and slopes_through(
                [(d, (k - 1) * step, k * step) for d, k in zip(days, drops, strict=True)]
            ).proved
        ):
            ours = day
        if not theirs and len(days) > 2 and theilslopes(drops * step, days, 0.90)[3] < 0.0:
            theirs = day
        if ours and theirs:
            break
    return ours, theirs


def false_alarms(weeks: int = 156, series: int = 240) -> tuple[int, int, float]:
    """False alarms of a quiet room of 60 tanks: by the budget, and by three spreads of the first twelve tests."""
    lot = np.random.default_rng(4)
    values = lot.standard_normal((series, weeks))
    chance = false_alarm_chance(series * 365.25 / 7.0)
    ours = theirs = 0
    for row in values.tolist():
        centre, spread = fmean(row[:12]), stdev(row[:12])
        for end in range(13, weeks + 1):
            theirs += abs(row[end - 1] - centre) > 3.0 * spread
            usual = usual_of(row[:end], chance, 1e-9)
            if usual is not None:
                stands = departure(row[:end], usual)
                ours += stands.jump != 0 or stands.drift != 0
    return ours, theirs, weeks / 52.18


def run() -> None:
    """Print the figures."""
    print("Water tests")
    timed()
    print(
        "a fall of alkalinity from 90 mg/L: day on which it is certain, ranges beside a robust slope of rounded numbers"
    )
    for fall, every, step in ((0.9, 7, STEP / 2), (0.9, 7, STEP), (0.9, 1, STEP / 2), (0.45, 7, STEP / 2)):
        ours, theirs = days_to_proof(fall, every, step)
        at = 90.0 - fall * ours
        down = math.log10(90.0 / at)
        print(
            f"  {fall} mg/L a day, a test every {every} d, drops of {step:.1f}: day {ours} (pH down {down:.2f}) "
            f"beside {theirs}"
        )
    ours, theirs, years = false_alarms()
    print(f"quiet room, 60 tanks, four tests a week, {years:.1f} years: {ours / years:.1f} false alarms a year by the "
          f"budget of 6, beside {theirs / years:.0f} with three spreads of the first twelve tests")  # fmt: skip


if __name__ == "__main__":
    run()
