"""What the logbook is made of: events with what they moved and what was read, and nothing that is worked out.

An event says what happened to which place, stock or line, when it happened and when it was recorded. What it moved
are flows that sum to nothing: a fish that dies leaves `held` and enters `dead`. A count is something seen; what it
means for the number held is worked out by `husbandry.ledger`, never written.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Final, Literal, get_args

Account = Literal[
    "held", "born", "arrived", "found", "dead", "culled", "sold", "given", "used", "escaped", "lost",
    "estimate", "transit",
]  # fmt: skip
"""Where fish are or have gone. `held`: in a place, never below nothing. `born`, `arrived`, `found`: whence they come.
`found` and `lost` are what a count shows and nobody can say why; `estimate` is what a guessed number was off by;
`transit` is in a bag on the way."""

SOURCES: Final[tuple[Account, ...]] = ("born", "arrived", "found")
SINKS: Final[tuple[Account, ...]] = ("dead", "culled", "sold", "given", "used", "escaped", "lost")

Kind = Literal[
    # the register
    "place_opened", "place_changed", "place_closed", "line_opened", "line_changed", "stock_opened", "stock_changed",
    "stock_closed", "set_made", "set_ended",
    # fish
    "born", "arrived", "found", "died", "culled", "left", "moved", "regrouped", "counted", "estimated", "spawned",
    "measured",
    # water and care
    "tested", "looked", "fed", "treated", "cleaned", "culture_started", "culture_ended",
    # rounds, quarantine, tools
    "task_set", "task_stopped", "task_done", "quarantine_opened", "quarantine_released", "tool_made", "tool_used",
    "tool_cleaned", "sheet_printed", "spares_counted",
    # all else
    "incident", "paid", "noted", "voided",
]  # fmt: skip
KINDS: Final[tuple[Kind, ...]] = get_args(Kind)

Plain = str | int | float | bool | None | tuple["Plain", ...] | Mapping[str, "Plain"]
"""What a detail of an event may hold: what JSON can say, frozen."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Flow:
    """So many fish of a stock into an account (or out of it, below nothing). `place` is where, "" outside `held`."""

    stock: str
    account: Account
    quantity: int
    place: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Observed:
    """One thing read or counted: a value as it was read, with what it may be at least and at most.

    `quantity` is what was read ("count", "ph", "kh", "no3", "temperature", "length" ...); `unit` as its reader wrote
    it; `low` and `high` are the bounds of a reading that is no single number, such as a drop kit's or a guess of fry.
    """

    quantity: str
    value: float | None
    unit: str = ""
    low: float | None = None
    high: float | None = None
    method: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """An event that is to be recorded. `happened` is UTC. The ids are those of the register, not names.

    `details` holds what only its kind has; `husbandry.kinds` says which keys and what they mean.
    """

    kind: Kind
    happened: datetime
    place: str = ""
    stock: str = ""
    line: str = ""
    note: str = ""
    reason: str = ""
    voids: str = ""
    flows: tuple[Flow, ...] = ()
    observed: tuple[Observed, ...] = ()
    details: Mapping[str, Plain] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Event(Draft):
    """An event as it stands in the logbook. `serial` is its place in the order it came to the book, from 1."""

    id: str
    serial: int
    recorded: datetime
    who: str
    device: str = ""
    key: str = ""
    batch: str = ""
    offset: int = 0
    """Minutes its maker's clock was ahead of UTC."""
    plan_revision: int | None = None
    hash: str = ""
