"""Forecasts of past weeks held against what came: made anew from what was known then, so none need be kept."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Final

from tankwright.husbandry.fry_broods import FryBook, Memory
from tankwright.husbandry.fry_course import fry_need
from tankwright.husbandry.fry_forecast import fry_weeks
from tankwright.husbandry.fry_inputs import fry_ask, standing_broods
from tankwright.husbandry.fry_model import FryAsk, FryRules, FryTank
from tankwright.husbandry.fry_packing import packed
from tankwright.husbandry.fry_rates import FryRates

AIMED: Final = (0.7, 0.9)
"""Of weeks that should lie within a band meant to hold eight in ten. Own choice."""
AHEAD: Final = 6
"""Weeks a forecast is held against: "where do the fry go in six weeks?"."""
DRAWS: Final = 500
"""Runs of chance of a past forecast: enough for the ends of a band of whole tanks."""
FEWEST: Final = 10
"""Weeks below which a share within the band says nothing. Own choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PastWeek:
    """What was forecast at `made` for a week later, and the tanks the fish that were then there needed by the rule."""

    made: date
    begins: date
    low: float
    middle: float
    high: float
    came: float

    @property
    def is_within(self) -> bool:
        """Whether it lay in the band."""
        return self.low <= self.came <= self.high


@dataclass(frozen=True, slots=True, kw_only=True)
class Backtest:
    """All past weeks looked at. Shares are None where there were too few."""

    weeks: tuple[PastWeek, ...]

    @property
    def within(self) -> float | None:
        """The share of weeks that lay in the band."""
        return self._share(sum(one.is_within for one in self.weeks))

    @property
    def within_a_tank(self) -> float | None:
        """The share of weeks in which the middle was off by a tank at most."""
        return self._share(sum(abs(one.came - one.middle) <= 1.0 for one in self.weeks))

    @property
    def is_as_aimed(self) -> bool | None:
        """Whether the band held as often as it should, give or take a week; None where too few weeks tell."""
        many = len(self.weeks)
        if many < FEWEST:
            return None
        within = sum(one.is_within for one in self.weeks)
        return AIMED[0] * many - 1.0 <= within <= AIMED[1] * many + 1.0

    def _share(self, many: int) -> float | None:
        return many / len(self.weeks) if len(self.weeks) >= FEWEST else None


def backtest(
    book: FryBook, now: datetime, tanks: Iterable[FryTank], *, rules: FryRules | None = None, back: int = 12,
    ahead: int = AHEAD, every: int = 1,
) -> Backtest:  # fmt: skip
    """Forecasts made in the last `back` weeks, `every` so many, each held against the week `ahead` weeks later.

    Only what was recorded by then goes into a forecast. What came is what the broods that were there needed, by the
    same rule and tanks: a test of spawns, survival and growth, not of what tanks the keeper put them in.
    """
    rules, tanks = rules or FryRules(), tuple(tanks)
    weeks, seen = [], Memory()
    for number in range(back, 0, -every):
        then = now - timedelta(days=7 * (number + ahead - 1))
        known = book.known_at(then)
        if not known.events:
            continue
        ask = fry_ask(known, then, tanks, rules=rules, weeks=ahead, memory=seen)
        last = fry_weeks(replace(ask, draws=min(ask.draws, DRAWS)))[-1]
        at = then + timedelta(days=7 * ahead)
        weeks.append(
            PastWeek(
                made=then.date(), begins=at.date(), low=last.low, middle=last.middle, high=last.high,
                came=tanks_that_came(book, at, tanks, rules, ask.rates),
            )
        )  # fmt: skip
    return Backtest(weeks=tuple(weeks))


def tanks_that_came(
    book: FryBook, at: datetime, tanks: tuple[FryTank, ...], rules: FryRules, rates: Mapping[str, FryRates]
) -> float:
    """Tanks that the broods which were there at a moment needed by the rule, as far as is known now."""
    still = {line: _middle_of(one) for line, one in rates.items()}
    then = replace(
        book,
        events=tuple(one for one in book.events if one.happened <= at),
        stocks=tuple(one for one in book.stocks if one.opened <= at),
    )
    there = tuple(
        replace(one, low=one.held, high=one.held) for one in standing_broods(then, at, rules, still, {})
    )
    ask = FryAsk(start=at.date(), standing=there, tanks=tanks, rules=rules, rates=still, weeks=0, draws=1)
    need = fry_need(ask)
    return float(packed(need.volume, need.groups, tuple(one.volume for one in tanks)).needed[0, 0])


def _middle_of(rates: FryRates) -> FryRates:
    """The same with every brood as the middle one."""
    return replace(rates, rates={key: replace(one, spread=0.0) for key, one in rates.rates.items()})
