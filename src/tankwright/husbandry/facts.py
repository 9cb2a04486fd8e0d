"""Drafts of what happens to fish, each with flows that add up to nothing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final, Literal

from tankwright.husbandry.records import Account, Draft, Flow, Kind, Observed, Plain

Cause = Literal["sold", "given", "used", "escaped"]
_CAUSES: Final[dict[Cause, Account]] = {
    "sold": "sold", "given": "given", "used": "used", "escaped": "escaped"
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """A number of fish or eggs as it was seen: exact, or a guess between bounds; `method` says how."""

    number: int
    low: int | None = None
    high: int | None = None
    method: str = ""

    def observed(self, quantity: str = "count") -> tuple[Observed, ...]:
        """The tally as something observed."""
        return (
            Observed(
                quantity=quantity, value=float(self.number), method=self.method,
                low=None if self.low is None else float(self.low),
                high=None if self.high is None else float(self.high),
            ),
        )  # fmt: skip


def _between(stock: str, place: str, number: int, account: Account) -> tuple[Flow, ...]:
    """`number` fish out of an account into a place; below nothing the other way."""
    return (
        Flow(stock=stock, account="held", quantity=number, place=place),
        Flow(stock=stock, account=account, quantity=-number),
    )


def came(
    kind: Literal["born", "arrived", "found"], stock: str, place: str, tally: Tally, happened: datetime, *,
    note: str = "", details: Mapping[str, Plain] | None = None,
) -> Draft:  # fmt: skip
    """Fish that are there from now on.

    >>> from datetime import UTC
    >>> at = datetime(2026, 8, 2, tzinfo=UTC)
    >>> came("born", "s", "p", Tally(number=30, low=25, high=40), at).flows[0].quantity
    30
    """
    return Draft(
        kind=kind, happened=happened, place=place, stock=stock, note=note,
        flows=_between(stock, place, tally.number, kind), observed=tally.observed(), details=dict(details or {}),
    )  # fmt: skip


def died(
    stock: str, place: str, number: int, happened: datetime, *, note: str = "", cause: str = ""
) -> Draft:
    """Fish that died."""
    return _gone("died", "dead", stock, place, number, happened, note, {"cause": cause} if cause else {})


def culled(
    stock: str, place: str, number: int, happened: datetime, *, note: str = "", cause: str = ""
) -> Draft:
    """Fish that were culled."""
    return _gone("culled", "culled", stock, place, number, happened, note, {"cause": cause} if cause else {})


def left(
    stock: str, place: str, number: int, happened: datetime, how: Cause, *, note: str = "",
    details: Mapping[str, Plain] | None = None,
) -> Draft:  # fmt: skip
    """Fish that left the room: sold, given away, used, escaped."""
    return _gone("left", _CAUSES[how], stock, place, number, happened, note, dict(details or {}))


def _gone(
    kind: Kind, account: Account, stock: str, place: str, number: int, happened: datetime, note: str,
    details: Mapping[str, Plain],
) -> Draft:  # fmt: skip
    return Draft(
        kind=kind, happened=happened, place=place, stock=stock, note=note, details=details,
        flows=_between(stock, place, -number, account),
    )  # fmt: skip


def died_unassigned(place: str, number: int, happened: datetime, *, note: str = "") -> Draft:
    """Dead fish of which nobody said what they were: seen, told as a question, moved by nothing."""
    return Draft(
        kind="died", happened=happened, place=place, note=note, details={"unassigned": True},
        observed=Tally(number=number).observed(),
    )  # fmt: skip


def moved(
    stock: str, place: str, to: str, number: int, happened: datetime, *, tool: str = "", note: str = ""
) -> Draft:
    """Fish that went from a place to another."""
    return Draft(
        kind="moved", happened=happened, place=place, stock=stock, note=note,
        details={"to": to, **({"tool": tool} if tool else {})},
        flows=(
            Flow(stock=stock, account="held", quantity=-number, place=place),
            Flow(stock=stock, account="held", quantity=number, place=to),
        ),
    )  # fmt: skip


def regrouped(parts: Sequence[tuple[str, str, int]], happened: datetime, *, note: str = "") -> Draft:
    """Fish that are counted otherwise from now on: each part a stock, a place and how many it gains (or gives).

    >>> from datetime import UTC
    >>> regrouped([("a", "p", -4), ("b", "p", 4)], datetime(2026, 8, 2, tzinfo=UTC)).kind
    'regrouped'
    """
    flows = tuple(
        Flow(stock=stock, account="held", quantity=n, place=place) for stock, place, n in parts if n
    )
    return Draft(
        kind="regrouped", happened=happened, flows=flows, note=note, place=parts[0][1], stock=parts[0][0]
    )


def counted(
    stock: str, place: str, number: int, happened: datetime, *, method: str = "", note: str = ""
) -> Draft:
    """A count: so many were seen, all of them."""
    return Draft(
        kind="counted", happened=happened, place=place, stock=stock, note=note,
        observed=Tally(number=number, method=method).observed(),
    )  # fmt: skip


def estimated(stock: str, place: str, tally: Tally, happened: datetime, *, note: str = "") -> Draft:
    """A guess: about so many, at least `tally.low`, at most `tally.high`."""
    return Draft(
        kind="estimated", happened=happened, place=place, stock=stock, note=note, observed=tally.observed()
    )


def spawned(
    place: str, happened: datetime, *, breeding_set: str = "", stock: str = "", eggs: Tally | None = None,
    method: str = "", note: str = "",
) -> Draft:  # fmt: skip
    """A spawn that was seen, with its eggs when they were counted or guessed."""
    details: dict[str, Plain] = {}
    if breeding_set:
        details["set"] = breeding_set
    if method:
        details["method"] = method
    return Draft(
        kind="spawned", happened=happened, place=place, stock=stock, note=note, details=details,
        observed=() if eggs is None else eggs.observed("eggs"),
    )  # fmt: skip


def water_tested(place: str, happened: datetime, readings: Sequence[Observed], *, note: str = "") -> Draft:
    """Water that was tested."""
    return Draft(kind="tested", happened=happened, place=place, observed=tuple(readings), note=note)
