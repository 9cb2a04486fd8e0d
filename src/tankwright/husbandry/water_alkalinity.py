"""Falling alkalinity: how fast it falls for certain, when little is left, and what the feed alone would use up.

pH is a late alarm: at an unchanged carbon dioxide half the alkalinity costs only 0.3 of it. So the fall itself is
watched, by ranges, and warns when the limit may come within two tests.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from tankwright.husbandry.water_limits import WaterLimit
from tankwright.husbandry.water_readings import DAY, WaterReading, days_after, usual_gap
from tankwright.husbandry.water_slope import Slopes, longest_straight
from tankwright.physics.nitrification import ALKALINITY_OF_NITROGEN, AMMONIA_OF_PROTEIN
from tankwright.systems.water_life_model import TankNitrogen

TESTS_AHEAD: Final = 2.0
"""A limit that may come within so many tests is warned of. Our choice, no source."""

USUAL_DAYS: Final = 7.0
"""Days between tests where there are too few to tell. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AlkalinityFall:
    """How a tank's alkalinity goes. `slopes` are a day, kg/m3; `soonest` and `latest` are days from now until `limit`
    (infinite: never). `every` are days between tests, `warns` that the limit may come within two of them. `again` is
    when to test next, `double` with twice the sample. `ph_down` is what pH has gone down by at an unchanged carbon
    dioxide, at least and at most. `used` is what nitrification uses a day, least and most, None where not known."""

    slopes: Slopes
    limit: float | None
    soonest: float
    latest: float
    every: float
    warns: bool
    again: datetime
    double: bool
    ph_down: tuple[float, float] | None
    used: tuple[float, float] | None = None

    @property
    def proved(self) -> bool:
        """Whether it falls by every line through the readings."""
        return self.slopes.proved == "falls"

    @property
    def rate(self) -> tuple[float, float]:
        """How much it falls a day, slow and fast; both above nothing where the fall is proved."""
        return -self.slopes.high, -self.slopes.low


def alkalinity_fall(
    readings: Sequence[WaterReading],
    limits: Sequence[WaterLimit],
    now: datetime,
    *,
    every_days: float | None = None,
    used: tuple[float, float] | None = None,
    slopes: Slopes | None = None,
) -> AlkalinityFall | None:
    """How the alkalinity of some tests goes, oldest first; None for fewer than two of different moments. `slopes` are
    those of the tests, where they are known already.

    >>> from datetime import UTC
    >>> start = datetime(2026, 8, 2, tzinfo=UTC)
    >>> tests = [WaterReading(at=start + timedelta(days=7 * n), value=v, low=v - 0.018, high=v)
    ...          for n, v in enumerate((0.09, 0.072, 0.054))]
    >>> limit = WaterLimit(quantity="kh", kind="hazard", low=0.02)
    >>> found = alkalinity_fall(tests, (limit,), start + timedelta(days=14))
    >>> found.proved, round(found.soonest), round(found.latest), found.warns
    (True, 4, 26, True)
    """
    days = days_after(readings)
    if len(set(days)) < 2:
        return None
    if slopes is None:
        slopes = longest_straight(
            tuple((day, one.low, one.high) for day, one in zip(days, readings, strict=True))
        )
    every = every_days or usual_gap(readings) or USUAL_DAYS
    limit = _next_limit(limits, readings[-1].middle)
    today = (now - readings[0].at).total_seconds() / DAY
    soonest = latest = math.inf
    if limit is not None and slopes.proved == "falls":
        past = readings[-1].middle < limit
        soonest, latest = (0.0, 0.0) if past else (max(day - today, 0.0) for day in slopes.reaches(limit))
    warns = slopes.proved == "falls" and soonest < TESTS_AHEAD * every
    newest = readings[-1]
    again = newest.at + timedelta(days=every)
    if math.isfinite(soonest):
        again = min(again, now + timedelta(days=max(soonest / 2.0, 1.0)))
    return AlkalinityFall(
        slopes=slopes, limit=limit, soonest=soonest, latest=latest, every=every, warns=warns,
        again=max(again, now), double=_is_coarse(newest), ph_down=_ph_down(slopes),
        used=used,
    )  # fmt: skip


def _next_limit(limits: Sequence[WaterLimit], now: float) -> float | None:
    """The limit a fall comes to next; the lowest where it is past all of them."""
    lows = [one.low for one in limits if one.low]
    return max((low for low in lows if low < now), default=min(lows, default=None))


def _is_coarse(newest: WaterReading) -> bool:
    """Whether twice the sample would tell more: the reading is wider than half a German degree and a bit."""
    return newest.high - newest.low > 0.012


def _ph_down(slopes: Slopes) -> tuple[float, float] | None:
    """What a proved fall has cost the pH since its first reading, were the carbon dioxide the same.

    Source: pH of bicarbonate water, log10 of the alkalinity at one carbon dioxide; textbook.
    """
    if slopes.proved != "falls" or not slopes.ranges:
        return None
    first, last = slopes.ranges[0], slopes.ranges[-1]
    least_now, most_now = slopes.at(last[0])
    if first[1] <= 0.0 or least_now <= 0.0:
        return None
    apart = last[0] - first[0]
    return (
        max(math.log10(1.0 - slopes.high * apart / most_now), 0.0),
        math.log10(1.0 - slopes.low * apart / least_now),
    )


def alkalinity_used(
    design: TankNitrogen | None, grams_a_day: float | None = None
) -> tuple[float, float] | None:
    """What nitrification uses up a day, kg/m3 as CaCO3, least and most; None where feed or water is not known.

    `grams_a_day` is the feed that was noted, which goes before the plan's. New water is left out: it brings some back.

    Source: stoichiometry, 7.14 kg of alkalinity a kg of ammonia nitrogen; nitrogen of the feed after Timmons and
    Ebeling, see `physics.nitrification`.

    >>> alkalinity_used(None) is None
    True
    """
    if design is None or design.volume <= 0.0:
        return None
    if grams_a_day is None:
        ends = (design.nitrified.low, design.nitrified.high)
    else:
        shares = design.protein.band or (design.protein.value, design.protein.value)
        feed = grams_a_day / 1000.0 / DAY
        ends = (feed * shares[0] * AMMONIA_OF_PROTEIN, feed * shares[1] * AMMONIA_OF_PROTEIN)
    return (
        ends[0] * ALKALINITY_OF_NITROGEN * DAY / design.volume,
        ends[1] * ALKALINITY_OF_NITROGEN * DAY / design.volume,
    )
