"""Alarms of the laid-out room: what each watches, when it goes off, whom it reaches."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from tankwright.origin import Known

Watches = Literal["floor water", "level", "temperature", "air pressure", "power"]
Watched = Literal["space", "tank", "vat", "air run", "supply", "board", "circuit"]


@dataclass(frozen=True, slots=True, kw_only=True)
class AlarmPlace:
    """An alarm. `of` is what kind of thing it watches, `names` which of them (the supply: none).

    `low` and `high` are what it calls below and above: height of water on the floor (`high`), height of the surface
    over still water (level; `low` is negative), K, Pa; None: not on that side. For a temperature alarm of tanks that
    says neither, both are K off what each tank is to have, and `of_wanted` is True; for air without a pressure `low`
    is a share of what the ring has, and `of_running` is True. `board` feeds it, "" when that is not said.
    """

    id: str
    watches: Watches
    of: Watched
    names: tuple[str, ...]
    low: Known | None
    high: Known | None
    reaches: str
    within: Known
    battery_backed: bool
    board: str = ""
    of_wanted: bool = False
    of_running: bool = False
    line: int | None = None
