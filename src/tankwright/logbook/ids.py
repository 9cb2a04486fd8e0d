"""Names of events and things, made where they are made: in the order of time, and never twice."""

from __future__ import annotations

import secrets
from datetime import UTC, datetime, timedelta
from typing import Final

_START: Final = datetime(1970, 1, 1, tzinfo=UTC)
_TIME: Final = 10  # the signs that hold nothing but time
_SIGNS: Final = "0123456789abcdefghjkmnpqrstvwxyz"  # without i, l, o, u, which are misread


def new_id(at: datetime) -> str:
    """A name of 26 signs: 48 bits of the moment in milliseconds, 80 bits of chance.

    Source: the layout follows RFC 9562, version 7 (time first, then random); the text is base 32, our own choice.

    >>> a, b = (new_id(datetime(2026, 8, day, tzinfo=UTC)) for day in (1, 2))
    >>> len(a), a < b
    (26, True)
    """
    number = (int((at - _START).total_seconds() * 1000) << 80) | secrets.randbits(80)
    return _text(number)


def new_ids(at: datetime, number: int, after: str = "") -> list[str]:
    """Names for what comes in one go, ascending in its order, and after an earlier name of the same millisecond.

    >>> one, two = new_ids(datetime(2026, 8, 2, tzinfo=UTC), 2)
    >>> one < two < new_ids(datetime(2026, 8, 2, tzinfo=UTC), 1, two)[0]
    True
    """
    names = sorted(new_id(at) for _ in range(number))
    if not names or names[0] > after or names[0][:_TIME] < after[:_TIME]:
        return names
    last = sum(_SIGNS.find(sign) << (5 * place) for place, sign in enumerate(reversed(after)))
    return [_text(last + step) for step in range(1, number + 1)]


def _text(number: int) -> str:
    return "".join(_SIGNS[(number >> shift) & 31] for shift in range(125, -1, -5))


def micros(at: datetime) -> int:
    """A moment as the book keeps it: microseconds since 1970, UTC.

    >>> micros(datetime(1970, 1, 1, 0, 0, 1, tzinfo=UTC))
    1000000
    """
    return (at - _START) // timedelta(microseconds=1)


def moment(at: int) -> datetime:
    """The moment of such a number.

    >>> moment(1_000_000).isoformat()
    '1970-01-01T00:00:01+00:00'
    """
    return _START + timedelta(microseconds=at)
