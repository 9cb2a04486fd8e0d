"""How many of a brood are alive after so many days: the life table, its spread, and bounds for what nobody saw.

Days are ages or days since the first count; shares are of one. What is said of one brood holds for that brood: how
broods differ is told by `husbandry.between_broods`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist
from typing import Final

USUAL_LEVEL: Final = 0.95


@dataclass(frozen=True, slots=True, kw_only=True)
class LifeRow:
    """What happened among fish between two days: how many were there at its start, died, were taken out alive.

    `withdrawn` are fish sold, moved on, culled by choice: of them nobody knows how long they would have lived.
    """

    start: float
    end: float
    at_risk: float
    dead: float
    withdrawn: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Survived:
    """The share alive at a day, its standard error, and between what it lies at the level asked for.

    `low` and `high` hold for the chance within this one brood only.
    """

    day: float
    share: float
    standard_error: float
    low: float
    high: float


def life_table(rows: Sequence[LifeRow], *, level: float = USUAL_LEVEL) -> tuple[Survived, ...]:
    """Shares alive at the end of every row, fish withdrawn counted as half a row at risk: q = d / (n - w / 2).

    The error is Greenwood's; the interval is made on the scale of log(-log S), so it never leaves 0 to 1. Where none
    died its lower end is that of a binomial count with none among those at risk, where all did the upper one.
    Raises ValueError for rows that overlap, for more gone than were there, for numbers below nothing.
    Source: actuarial life table (Cutler and Ederer 1958), Greenwood 1926, log(-log) interval of Kalbfleisch and
    Prentice 1980; all three from memory.

    >>> table = life_table([LifeRow(start=0, end=7, at_risk=120, dead=36),
    ...                     LifeRow(start=7, end=14, at_risk=84, dead=9)])
    >>> [round(one.share, 3) for one in table], round(table[1].low, 3)
    ([0.7, 0.625], 0.532)
    """
    return _shares(rows, 0.5, level)


def product_limit(rows: Sequence[LifeRow], *, level: float = USUAL_LEVEL) -> tuple[Survived, ...]:
    """Shares alive after every day on which something happened, fish withdrawn at risk until after that day's deaths.

    Raises ValueError like `life_table`. Source: Kaplan and Meier 1958, Greenwood 1926; from memory.

    >>> product_limit([LifeRow(start=0, end=3, at_risk=10, dead=1, withdrawn=4)])[0].share
    0.9
    """
    return _shares(rows, 0.0, level)


def _shares(rows: Sequence[LifeRow], part: float, level: float) -> tuple[Survived, ...]:
    if not 0.0 < level < 1.0:
        raise ValueError("the level lies between 0 and 1")
    share, hazard, least = 1.0, 0.0, math.inf
    made: list[Survived] = []
    before = -math.inf
    for row in rows:
        _require(row, before)
        before = row.end
        exposed = row.at_risk - part * row.withdrawn
        if exposed <= 0.0:
            continue  # nobody was there any more: nothing is learnt, and nothing is told
        least = min(least, exposed)
        died = min(row.dead / exposed, 1.0)
        share *= 1.0 - died
        hazard += row.dead / (exposed * (exposed - row.dead)) if died < 1.0 else 0.0
        low, high = log_log_interval(share, hazard, least, level=level)
        made.append(
            Survived(day=row.end, share=share, standard_error=share * math.sqrt(hazard), low=low, high=high)
        )
    return tuple(made)


def _require(row: LifeRow, before: float) -> None:
    if not (row.start >= before and row.end >= row.start):
        raise ValueError("rows follow one another in time")
    if min(row.at_risk, row.dead, row.withdrawn) < 0.0:
        raise ValueError("no number of fish lies below nothing")
    if row.dead + row.withdrawn > row.at_risk * (1 + 1e-12):
        raise ValueError("more are gone than were there")


def log_log_interval(
    share: float, hazard: float, at_risk: float, *, level: float = USUAL_LEVEL
) -> tuple[float, float]:
    """Between what a share alive lies. `hazard` is Greenwood's sum d / (n (n - d)), `at_risk` the fewest at risk.

    Source: Kalbfleisch and Prentice 1980, from memory; at the ends Clopper and Pearson's limits with 0 of n.

    >>> [round(one, 3) for one in log_log_interval(0.7, 36 / (120 * 84), 120)]
    [0.609, 0.773]
    """
    if share >= 1.0:
        return ((1.0 - level) / 2.0) ** (1.0 / max(at_risk, 1.0)), 1.0
    if share <= 0.0:
        return 0.0, 1.0 - ((1.0 - level) / 2.0) ** (1.0 / max(at_risk, 1.0))
    wide = NormalDist().inv_cdf((1.0 + level) / 2.0) * math.sqrt(hazard) / -math.log(share)
    return share ** math.exp(wide), share ** math.exp(-wide)


def alive_at(table: Sequence[Survived], day: float) -> Survived | None:
    """The last row of a table at or before a day; None before the first and after the last: not known then.

    >>> table = life_table([LifeRow(start=0, end=7, at_risk=10, dead=1)])
    >>> alive_at(table, 7).share, alive_at(table, 9)
    (0.9, None)
    """
    if not table or day > table[-1].day:
        return None
    return next((one for one in reversed(table) if one.day <= day), None)
