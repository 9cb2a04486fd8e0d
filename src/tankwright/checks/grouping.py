"""What the checks have in common: one finding for many things of a kind, and what a verdict stands on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from tankwright.finding import Number
from tankwright.origin import Known

NAMED = 3


def listed(ids: Sequence[str], kind: str = "tank", plural: str = "") -> str:
    """Things of one kind as the subject of a sentence; many are named in part.

    >>> listed(["A1"]), listed(["A1", "A2"]), listed(["A1", "A2", "A3", "A4", "A5"])
    ('tank A1', 'tanks A1 and A2', 'tanks A1, A2, A3 and 2 more')
    """
    if len(ids) == 1:
        return f"{kind} {ids[0]}"
    several = plural or f"{kind}s"
    if len(ids) <= NAMED:
        return f"{several} {', '.join(ids[:-1])} and {ids[-1]}" if ids else several
    return f"{several} {', '.join(ids[:NAMED])} and {len(ids) - NAMED} more"


def verb(ids: Sequence[str], single: str, several: str) -> str:
    """The verb that fits the number of things.

    >>> verb(["A1"], "is", "are"), verb(["A1", "A2"], "is", "are")
    ('is', 'are')
    """
    return single if len(ids) == 1 else several


def rests(*knowns: Known | None) -> tuple[str, ...]:
    """Keys of the assumptions among some values, each once.

    >>> from tankwright.origin import Origin
    >>> rests(Known(1.0, Origin.ASSUMED, key="glass.sides"), Known(1.0, Origin.GIVEN), None)
    ('glass.sides',)
    """
    return tuple(
        dict.fromkeys(known.key for known in knowns if known is not None and known.is_assumed and known.key)
    )


def rests_of_all(knowns: Iterable[Known | None]) -> tuple[str, ...]:
    """The same for any number of values."""
    return rests(*knowns)


def ends(low: float, high: float, names: str = "{low} to {high}") -> str:
    """A band in brackets, or nothing where there is none.

    >>> ends(1.0, 2.0), ends(1.0, 1.0)
    (' ({low} to {high})', '')
    """
    return f" ({names})" if low < high else ""


def length(value: float) -> Number:
    """A length of a finding."""
    return Number(value, "length")


def count(value: int) -> Number:
    """A plain count of a finding."""
    return Number(float(value), "number")
