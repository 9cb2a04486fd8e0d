"""What part of the young each member of a breeding set has: as said, as bounded, or all fish of a sex alike."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tankwright.husbandry.register import BreedingSet

Numbers = NDArray[np.float64]

SLACK = 1e-9
"""By how much shares may miss a whole and still be taken for one: far below what anybody writes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One member of a set as father or as mother: which member (its place in the set), how many fish it stands for,
    the share of the young that is reckoned with, and the least and the most it may be."""

    member: int
    fish: float
    share: float
    low: float
    high: float

    @property
    def said(self) -> bool:
        """True when the share is not known but bounded."""
        return self.high - self.low > SLACK


@dataclass(frozen=True, slots=True, kw_only=True)
class Sides:
    """Who may be father and who mother of the young of a set. A side without anybody is an unknown parent.

    `possible` is False when the bounds leave no way in which the shares of a side are a whole.
    """

    fathers: tuple[Part, ...]
    mothers: tuple[Part, ...]
    possible: bool = True


def sides_of(breeding_set: BreedingSet) -> Sides:
    """The fathers and mothers of a set with their shares, which are parts of 1 on each side.

    Fish whose sex nobody knows stand on the side that has nobody; where both sides have somebody, or neither has,
    half of them stand on each. One fish of unknown sex alone is a mother whose mate is unknown: it came with young.

    >>> from datetime import UTC, datetime
    >>> from tankwright.husbandry.register import Member
    >>> pair = BreedingSet(id="s", opened=datetime(2026, 1, 1, tzinfo=UTC), members=(
    ...     Member(stock="a", count=1, sex="male"), Member(stock="b", count=3, sex="female")))
    >>> [(part.fish, part.share) for part in sides_of(pair).mothers]
    [(3.0, 1.0)]
    """
    members = [(i, one) for i, one in enumerate(breeding_set.members) if one.count > 0]
    males = [(i, float(one.count)) for i, one in members if one.sex == "male"]
    females = [(i, float(one.count)) for i, one in members if one.sex == "female"]
    unknown = [(i, float(one.count)) for i, one in members if one.sex == ""]
    if unknown and males and not females:
        females = unknown
    elif unknown and females and not males:
        males = unknown
    elif unknown and (males or sum(count for _, count in unknown) > 1):
        males, females = males + unknown, females + unknown
    elif unknown:
        females = unknown
    fathers, first = _parts(breeding_set, males)
    mothers, second = _parts(breeding_set, females)
    return Sides(fathers=fathers, mothers=mothers, possible=first and second)


def _parts(breeding_set: BreedingSet, side: list[tuple[int, float]]) -> tuple[tuple[Part, ...], bool]:
    """The parts of one side, and whether there is a way to share."""
    if not side:
        return (), True
    members = [breeding_set.members[i] for i, _ in side]
    bounded = any(one.share_low is not None or one.share_high is not None for one in members)
    fish = np.array([count for _, count in side])
    if not bounded:
        even = fish / fish.sum()
        return tuple(
            Part(member=i, fish=count, share=float(share), low=float(share), high=float(share))
            for (i, count), share in zip(side, even, strict=True)
        ), True
    low = np.array([one.share_low if one.share_low is not None else 0.0 for one in members])
    high = np.array([one.share_high if one.share_high is not None else 1.0 for one in members])
    low, high = np.clip(low, 0.0, 1.0), np.clip(high, 0.0, 1.0)
    possible = bool((low <= high + SLACK).all() and low.sum() <= 1 + SLACK and high.sum() >= 1 - SLACK)
    high = np.maximum(low, high)
    silent = np.array([one.share_low is None and one.share_high is None for one in members])
    share = (low + high) / 2
    if silent.any():
        share[silent] = max(1 - share[~silent].sum(), 0.0) * fish[silent] / fish[silent].sum()
    share = whole(share, low, high) if possible else share / max(float(share.sum()), SLACK)
    # what others must have leaves no more than the rest
    tight_high = np.minimum(high, 1 - (low.sum() - low)) if possible else high
    tight_low = np.maximum(low, 1 - (high.sum() - high)) if possible else low
    return tuple(
        Part(member=i, fish=count, share=float(share[k]), low=float(tight_low[k]), high=float(tight_high[k]))
        for k, (i, count) in enumerate(side)
    ), possible


def whole(share: Numbers, low: Numbers, high: Numbers) -> Numbers:
    """Shares moved as little as need be so that they sum to 1 and keep within their bounds.

    What is missing goes to each in the measure in which it has room, what is over is taken likewise. The bounds must
    leave a way: `low` sums to 1 at the most, `high` to 1 at the least.

    >>> whole(np.array([0.7, 0.5]), np.array([0.6, 0.0]), np.array([0.8, 1.0])).round(3).tolist()
    [0.667, 0.333]
    """
    share = np.clip(share, low, high)
    missing = 1.0 - float(share.sum())
    room = high - share if missing > 0 else share - low
    if float(room.sum()) > 0:
        share = share + missing * room / room.sum()
    return share


def least(values: Numbers, parts: Sequence[Part]) -> Numbers:
    """The least that shares within their bounds can make of values, one row a part; for each column of its own.

    >>> parts = (Part(member=0, fish=1, share=0.5, low=0.2, high=1.0), Part(member=1, fish=1, share=0.5, low=0, high=1))
    >>> least(np.array([[1.0], [3.0]]), parts).item(), (-least(np.array([[-1.0], [-3.0]]), parts)).round(9).item()
    (1.0, 2.6)
    """
    low = np.array([part.low for part in parts])
    high = np.array([part.high for part in parts])
    if not any(part.said for part in parts):
        return np.asarray(np.array([part.share for part in parts]) @ values)
    order = np.argsort(values, axis=0)
    ordered = np.take_along_axis(values, order, axis=0)
    room = (high - low)[order]
    rest = 1.0 - low.sum()
    before = np.cumsum(room, axis=0) - room
    taken = np.clip(rest - before, 0.0, room)
    return np.asarray(low @ values + (taken * ordered).sum(axis=0))
