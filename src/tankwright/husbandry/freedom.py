"""How many fish to test, and how many could still be ill when none of those tested was.

Nothing here can say that a stock is free of a disease. It says what share could still have it and be missed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

CONFIDENCE: Final = 0.95
"""How sure one usually wants to be. Source: Cannon and Roe (1982), Livestock Disease Surveys, a field manual for
veterinarians, Bureau of Rural Science, Canberra, as restated in later papers."""

MOST_FISH: Final = 1_000_000
"""A group larger than this counts as this large: the number to test does not grow any more."""

SMALL_GROUP: Final = 30
"""In a group of so few fish a share is no whole number of fish worth speaking of. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """How many of `group` fish to test, so that at least one of `ill` ill ones is found with `confidence`.

    `ill` is the whole number that was taken for the share that was asked for; `asked_share` is None where a number was
    asked for. `fish` is None where no number will do, because the test misses too many. `detects` is the chance to find
    one with that number. `rounded` is True where the share was no whole number of fish, so that the answer jumps from
    group to group.
    """

    group: int
    ill: int
    asked_share: float | None
    confidence: float
    sensitivity: float
    fish: int | None
    detects: float
    rounded: bool

    @property
    def number_instead(self) -> bool:
        """Whether the group is so small that one should ask for a number of fish and not for a share."""
        return self.asked_share is not None and self.group <= SMALL_GROUP


@dataclass(frozen=True, slots=True, kw_only=True)
class CouldStillBe:
    """What could still be so after `positive` of `tested` fish were ill: the largest share, at that confidence.

    `share` is of an endless stock, `ill` the largest whole number of fish in the `group` the tested were taken of
    (None where its size is not known).
    """

    tested: int
    positive: int
    confidence: float
    sensitivity: float
    share: float
    group: int | None = None
    ill: int | None = None


def chance_to_find(group: int, ill: int, tested: int, sensitivity: float = 1.0) -> float:
    """The chance that at least one of `tested` fish, taken without putting back, is found ill; 0 to 1.

    `sensitivity` is the share of ill fish the test shows, above 0 to 1. Raises ValueError for numbers that cannot be.

    Source: the hypergeometric distribution; with a test that misses, the sum over how many ill fish are taken.

    >>> round(chance_to_find(100, 10, 25), 3)
    0.952
    >>> round(chance_to_find(200, 10, 64, sensitivity=0.8), 3)
    0.951
    """
    _look_at(group, ill, sensitivity)
    if not 0 <= tested <= group:
        raise ValueError(f"of {group} fish no {tested} can be tested")
    return 1.0 - _missed(group, ill, tested, sensitivity)


def _missed(group: int, ill: int, tested: int, sensitivity: float) -> float:
    """The chance that every ill fish that is taken is missed, or none is taken."""
    if sensitivity >= 1.0:
        if tested > group - ill:
            return 0.0
        few, many = sorted((ill, tested))
        return math.prod((group - many - i) / (group - i) for i in range(few))
    whole = _log_ways(group, tested)
    return math.fsum(
        math.exp(_log_ways(ill, k) + _log_ways(group - ill, tested - k) - whole) * (1.0 - sensitivity) ** k
        for k in range(max(0, tested - (group - ill)), min(ill, tested) + 1)
    )


def _log_ways(of: int, take: int) -> float:
    return math.lgamma(of + 1) - math.lgamma(take + 1) - math.lgamma(of - take + 1)


def _look_at(group: int, ill: int, sensitivity: float) -> None:
    if not 1 <= group <= MOST_FISH:
        raise ValueError(f"a group has 1 to {MOST_FISH} fish, not {group}")
    if not 1 <= ill <= group:
        raise ValueError(f"of {group} fish 1 to {group} can be ill, not {ill}")
    if not 0.0 < sensitivity <= 1.0:
        raise ValueError(f"a test shows a share above 0 up to 1 of the ill, not {sensitivity}")


def fish_to_test(
    group: int,
    *,
    share: float | None = None,
    ill: int | None = None,
    confidence: float = CONFIDENCE,
    sensitivity: float = 1.0,
) -> Sample:
    """The fewest fish to test of a group so that an illness of at least that share, or that number, would be found.

    Say either `share` (above 0 to 1) or `ill`. A share is taken as the nearest whole number of fish, a half as the
    lower one, and never as none: `Sample.rounded` says so. Raises ValueError for what cannot be.

    Source: exact hypergeometric distribution, as Cannon and Roe (1982) go by; `fish_to_test_formula` is their shortcut.

    >>> fish_to_test(100, share=0.10).fish, fish_to_test(20, ill=1).fish
    (25, 19)
    >>> fish_to_test(100, ill=10, sensitivity=0.6).fish
    43
    """
    if (share is None) == (ill is None):
        raise ValueError("either a share or a number of ill fish is asked for")
    if not 0.0 < confidence < 1.0:
        raise ValueError(f"a confidence lies between 0 and 1, not at {confidence}")
    if share is not None and not 0.0 < share <= 1.0:
        raise ValueError(f"a share lies above 0 up to 1, not at {share}")
    asked = group * share if share is not None else 0.0
    number = ill if ill is not None else max(1, math.ceil(asked - 0.5 - 1e-9))
    _look_at(group, number, sensitivity)
    rounded = share is not None and abs(asked - number) > 1e-9
    allowed = 1.0 - confidence + 1e-12
    made = Sample(
        group=group, ill=number, asked_share=share, confidence=confidence, sensitivity=sensitivity, fish=None,
        detects=1.0 - _missed(group, number, group, sensitivity), rounded=rounded,
    )  # fmt: skip
    if 1.0 - made.detects > allowed:
        return made
    low, high = 0, group
    while high - low > 1:  # more fish never find less
        middle = (low + high) // 2
        if _missed(group, number, middle, sensitivity) <= allowed:
            high = middle
        else:
            low = middle
    return Sample(
        group=group, ill=number, asked_share=share, confidence=confidence, sensitivity=sensitivity, fish=high,
        detects=1.0 - _missed(group, number, high, sensitivity), rounded=rounded,
    )  # fmt: skip


def fish_to_test_formula(group: int, ill: int, confidence: float = CONFIDENCE) -> float:
    """The shortcut in print for `fish_to_test` with a test that misses nothing; no whole number yet, round it up.

    Raises ValueError for what cannot be.

    Source: Cannon and Roe (1982), n = (1 - (1 - confidence)^(1/d)) (N - (d - 1)/2).

    >>> round(fish_to_test_formula(100, 10), 2)
    24.72
    """
    _look_at(group, ill, 1.0)
    return float((1.0 - (1.0 - confidence) ** (1.0 / ill)) * (group - (ill - 1) / 2.0))


def could_still_be(
    tested: int,
    *,
    positive: int = 0,
    group: int | None = None,
    confidence: float = CONFIDENCE,
    sensitivity: float = 1.0,
) -> CouldStillBe:
    """The largest share of ill fish that would still show no more than `positive` of `tested`, at that confidence.

    With a `group` also the largest whole number of ill fish in it. A test that misses some makes both larger; both stop
    at all. Raises ValueError for what cannot be.

    Source: Clopper and Pearson (1934), Biometrika 26, 404-413, the upper bound alone; for none positive it is
    1 - (1 - confidence)^(1/n). In a group: the hypergeometric distribution.

    >>> round(could_still_be(30).share, 3), could_still_be(30, group=40).ill
    (0.095, 2)
    """
    if not 0 <= positive <= tested or (group is not None and tested > group):
        raise ValueError(f"of {tested} fish tested out of {group or 'many'} no {positive} can be ill")
    if not 0.0 < confidence < 1.0 or not 0.0 < sensitivity <= 1.0:
        raise ValueError("a confidence lies between 0 and 1, a test shows a share above 0 up to 1")
    if positive == tested:
        share = 1.0
    elif positive == 0:
        share = 1.0 - (1.0 - confidence) ** (1.0 / tested)
    else:
        from scipy.stats import beta  # noqa: PLC0415 - takes a second to load, and is wanted only here

        share = float(beta.ppf(confidence, positive + 1, tested - positive))
    ill = None if group is None else _most_ill(group, tested, positive, confidence, sensitivity)
    return CouldStillBe(
        tested=tested, positive=positive, confidence=confidence, sensitivity=sensitivity,
        share=min(1.0, share / sensitivity), group=group, ill=ill,
    )  # fmt: skip


def _most_ill(group: int, tested: int, positive: int, confidence: float, sensitivity: float) -> int:
    """The largest number of ill fish with which no more than `positive` are found often enough not to wonder."""
    low, high = positive, group
    while low < high:  # more ill fish are never found less often
        middle = (low + high + 1) // 2
        if _found_at_most(group, middle, tested, positive, sensitivity) > 1.0 - confidence + 1e-12:
            low = middle
        else:
            high = middle - 1
    return low


def _found_at_most(group: int, ill: int, tested: int, positive: int, sensitivity: float) -> float:
    if positive == 0:
        return 1.0 if ill == 0 else _missed(group, ill, tested, sensitivity)
    whole = _log_ways(group, tested)
    total = 0.0
    for taken in range(max(0, tested - (group - ill)), min(ill, tested) + 1):
        chance = math.exp(_log_ways(ill, taken) + _log_ways(group - ill, tested - taken) - whole)
        found = sum(
            math.comb(taken, k) * sensitivity**k * (1.0 - sensitivity) ** (taken - k)
            for k in range(min(positive, taken) + 1)
        )
        total += chance * found
    return total
