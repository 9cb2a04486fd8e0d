"""What an event says in numbers, held against what can be: whole fish, bounds that hold their number, a day."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Final

from tankwright.finding import Finding, Severity
from tankwright.husbandry.records import Account, Draft, Kind, Observed, Plain

WRONG_VALUE: Final = "LOG-14"
NOT_A_NUMBER_OF_FISH: Final = "LEDGER-02"
WRONG_WAY: Final = "LEDGER-03"

MOST_FISH: Final = 10_000_000
"""More fish or eggs than this in one go are taken for a slip of the finger; our choice, no source."""

EARLIEST: Final = datetime(1970, 1, 1, tzinfo=UTC)
"""Before this day nothing is believed to have been logged; our choice, no source."""

_COUNTS: Final = ("count", "eggs")

_ACCOUNTS: Final[dict[Kind, tuple[Account, ...]]] = {
    "born": ("born",), "arrived": ("arrived", "transit"), "found": ("found",), "died": ("dead",), "culled": ("culled",),
    "left": ("sold", "given", "used", "escaped", "transit"), "moved": ("transit",), "regrouped": (),
}  # fmt: skip
"""With which account each kind changes fish for fish that are held; a kind that is not here moves none."""

_SEEN: Final[tuple[Kind, ...]] = ("counted", "estimated")
_COMES: Final[tuple[Kind, ...]] = ("born", "arrived", "found")
_GOES: Final[tuple[Kind, ...]] = ("died", "culled", "left")

_NUMBERS: Final[dict[str, tuple[float, float]]] = {
    "litres": (0, 1e7), "shelf": (-100, 1000), "order": (-1e9, 1e9), "least_breeders": (0, MOST_FISH),
    "most_inbreeding": (0, 1), "regenerate_days": (0, 36_525), "kinship": (0, 1), "number": (0, MOST_FISH),
    "grams": (0, 1e7), "days": (0, 3_653), "withdrawal_days": (0, 3_653), "share": (0, 1),
    "ready_hours": (0, 10_000), "lasts_hours": (0, 100_000), "every_days": (1e-3, 36_525),
    "window_days": (0, 36_525), "least_days": (0, 3_653), "wet_hours": (0, 10_000), "low": (-1e9, 1e9),
    "high": (-1e9, 1e9), "price": (-1e9, 1e9), "amount": (-1e9, 1e9),
}  # fmt: skip
"""Details that are numbers, and between what they are believed."""


def value_faults(draft: Draft) -> Iterator[Finding]:
    """What is wrong with the numbers and the moment of a draft, all of it.

    >>> from tankwright.husbandry.facts import died
    >>> at = datetime(2026, 8, 2, tzinfo=UTC)
    >>> [one.text for one in value_faults(died("s", "p", -3, at))]
    ['would bring fish, which "died" does not']
    """
    if draft.happened.tzinfo is not None and draft.happened < EARLIEST:
        yield _wrong(WRONG_VALUE, draft, "lies too long ago to be so", found=draft.happened.date().isoformat(),
                     wanted=f"a day since {EARLIEST.date().isoformat()}")  # fmt: skip
    yield from _flow_faults(draft)
    if draft.kind in _SEEN and not any(one.quantity == "count" for one in draft.observed):
        yield _wrong(NOT_A_NUMBER_OF_FISH, draft, "says no number", wanted="how many there are")
    for one in draft.observed:
        yield from _observed_faults(draft, one)
    for key, limits in _NUMBERS.items():
        if draft.details.get(key) is not None:
            yield from _number_faults(draft, key, draft.details[key], limits)


def _flow_faults(draft: Draft) -> Iterator[Finding]:
    allowed = _ACCOUNTS.get(draft.kind)
    if allowed is None:
        if draft.flows:
            yield _wrong(
                WRONG_WAY, draft, f'moves fish, which "{draft.kind}" does not', wanted="no fish moved"
            )
        return
    for one in draft.flows:
        if abs(one.quantity) > MOST_FISH:
            yield _wrong(NOT_A_NUMBER_OF_FISH, draft, "moves more fish than can be", found=str(one.quantity),
                         wanted=f"at most {MOST_FISH}")  # fmt: skip
        if one.account != "held" and one.account not in allowed:
            yield _wrong(WRONG_WAY, draft, f'has fish from or for "{one.account}", which "{draft.kind}" has not',
                         wanted=", ".join(allowed) or "fish that stay in the room")  # fmt: skip
    brought = sum(one.quantity for one in draft.flows if one.account == "held")
    if (draft.kind in _COMES and brought < 0) or (draft.kind in _GOES and brought > 0):
        way = "take" if brought < 0 else "bring"
        yield _wrong(WRONG_WAY, draft, f'would {way} fish, which "{draft.kind}" does not', found=str(-abs(brought)),
                     wanted="a number of fish, not below nothing")  # fmt: skip
    if draft.kind != "regrouped":
        yield from _stock_faults(draft)


def _stock_faults(draft: Draft) -> Iterator[Finding]:
    sums: Counter[str] = Counter()
    for one in draft.flows:
        sums[one.stock] += one.quantity
    if any(sums.values()) and not sum(sums.values()):
        yield _wrong(WRONG_WAY, draft, "makes fish of one stock into fish of another", wanted='a "regrouped"')
    if draft.kind == "moved":
        into = {one.place for one in draft.flows if one.account == "held" and one.quantity > 0}
        to = draft.details.get("to")
        if into and to not in (None, "") and to not in into:
            yield _wrong(WRONG_WAY, draft, 'says another place under "to" than the fish go to', found=str(to),
                         wanted=", ".join(sorted(into)))  # fmt: skip


def _observed_faults(draft: Draft, one: Observed) -> Iterator[Finding]:
    numbers = {"value": one.value, "low": one.low, "high": one.high}
    broken = [name for name, number in numbers.items() if number is not None and not math.isfinite(number)]
    if broken:
        yield _wrong(WRONG_VALUE, draft, f'has a "{one.quantity}" that is no number', found=", ".join(broken),
                     wanted="a number")  # fmt: skip
        return
    if one.low is not None and one.high is not None and one.low > one.high:
        yield _wrong(WRONG_VALUE, draft, f'has a "{one.quantity}" whose least is above its most',
                     found=f"{one.low:g} to {one.high:g}", wanted="the least first")  # fmt: skip
    if one.quantity not in _COUNTS:
        return
    if draft.kind in _SEEN and one.quantity == "count" and one.value is None:
        yield _wrong(NOT_A_NUMBER_OF_FISH, draft, "says no number", wanted="how many there are")
    for number in numbers.values():
        if number is not None and (number != math.floor(number) or not 0 <= number <= MOST_FISH):
            yield _wrong(NOT_A_NUMBER_OF_FISH, draft, f'has a "{one.quantity}" that cannot be',
                         found=f"{number:.12g}", wanted=f"a whole number from 0 to {MOST_FISH}")  # fmt: skip
    if one.value is not None and not (one.low or 0) <= one.value <= (
        math.inf if one.high is None else one.high
    ):
        yield _wrong(NOT_A_NUMBER_OF_FISH, draft, f'has a "{one.quantity}" outside its own bounds',
                     found=f"{one.value:g}", wanted="at least the least and at most the most")  # fmt: skip
    if draft.kind == "counted" and {one.low, one.high} - {None, one.value}:
        yield _wrong(NOT_A_NUMBER_OF_FISH, draft, "is a count with bounds", wanted='a guess: "estimated"')


def _number_faults(draft: Draft, key: str, value: Plain, limits: tuple[float, float]) -> Iterator[Finding]:
    least, most = limits
    wanted = f"a number from {least:g} to {most:g}"
    if isinstance(value, bool) or not isinstance(value, int | float):
        yield _wrong(
            WRONG_VALUE, draft, f'has a "{key}" that is no number', found=str(value)[:80], wanted=wanted
        )
    elif not least <= value <= most:
        yield _wrong(
            WRONG_VALUE, draft, f'has a "{key}" that cannot be', found=f"{value:.12g}", wanted=wanted
        )


def _wrong(code: str, draft: Draft, text: str, *, found: str = "", wanted: str = "") -> Finding:
    return Finding(
        code=code, severity=Severity.PROBLEM, subject=str(draft.kind), text=text, found=found, wanted=wanted
    )
