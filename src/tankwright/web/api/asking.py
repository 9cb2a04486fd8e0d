"""What a request says of itself: who asks, upon which revision, under which key, and what it knows already."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated, Final

from fastapi import Depends, Header, Request

from tankwright.web.access import Person, may, who
from tankwright.web.api.problems import ProblemError

KEY_PATTERN: Final = r"^[!-~]{8,80}$"
BASE_PATTERN: Final = r'^"[0-9]{1,6}"$'
_BASE: Final = re.compile(r'"([0-9]{1,6})(?:-[A-Z0-9-]{1,20})?"', re.ASCII)


def _person(request: Request, deed: str) -> Person:
    person = who(request.scope)
    if person is None:
        raise ProblemError("not-known")
    if not may(person, deed):
        raise ProblemError("not-allowed", f"Your part, {person.role}, may not {deed}.")
    return person


async def _looker(request: Request) -> Person:
    return _person(request, "look")


async def _enterer(request: Request) -> Person:
    return _person(request, "enter")


async def _editor(request: Request) -> Person:
    return _person(request, "edit")


Looker = Annotated[Person, Depends(_looker)]
Enterer = Annotated[Person, Depends(_enterer)]
Editor = Annotated[Person, Depends(_editor)]

BaseHeader = Annotated[
    str | None,
    Header(
        alias="If-Match",
        description='The number of the plan this change was made from, as its ETag gives it: `"41"`.',
        json_schema_extra={"examples": ['"41"']},
    ),
]
KeyHeader = Annotated[
    str | None,
    Header(
        alias="Idempotency-Key",
        description="8 to 80 printable signs of your own: new for each change, the same when it is sent again.",
        json_schema_extra={"examples": ["7d1f0a64c2"]},
    ),
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Writing:
    """A write: upon which number of the plan, under which key, by whom."""

    base: int
    key: str
    who: str


def base_of(header: str | None) -> int:
    """The revision an If-Match names; ProblemError for none.

    >>> base_of('"41"'), base_of('"41-LIVE-01"')
    (41, 41)
    """
    if header is None:
        raise ProblemError("no-base")
    told = _BASE.fullmatch(header.strip())
    if told is None:
        raise ProblemError("no-number")
    return int(told[1])


def key_of(header: str | None) -> str:
    """The key a write is known by; ProblemError for one that will not do.

    >>> key_of("7d1f0a64c2")
    '7d1f0a64c2'
    """
    if header is None or re.fullmatch(KEY_PATTERN, header) is None:
        raise ProblemError("no-key")
    return header


async def _writing(person: Editor, base: BaseHeader = None, key: KeyHeader = None) -> Writing:
    return Writing(base=base_of(base), key=key_of(key), who=person.name)


async def _entering(person: Enterer, key: KeyHeader = None) -> Writing:
    return Writing(base=0, key=key_of(key), who=person.name)


Write = Annotated[Writing, Depends(_writing)]
Enter = Annotated[Writing, Depends(_entering)]


def knows(request: Request, tag: str) -> bool:
    """True when the asker has this state already. Source: RFC 9110, section 13.1.2 (weak comparison)."""
    told = request.headers.get("if-none-match", "")
    return told.strip() == "*" or tag in (one.strip().removeprefix("W/") for one in told.split(","))
