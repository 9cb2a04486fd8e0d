"""What can be broken in the laid-out room: a piece of data, so that a broken room is a room like any other."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

BrokenKind = Literal[
    "overflow",
    "second overflow",
    "drain",
    "outfall",
    "feed valve",
    "feed line",
    "feed outlet",
    "hand hose",
    "mains pressure",
    "mains off",
    "vat pump",
    "air pump",
    "ring pipe",
    "air tap",
    "diffuser",
    "power",
    "board",
    "circuit",
    "device",
    "heater on",
    "heater off",
    "room heater",
    "room cooler",
    "carbon",
    "chloramine",
    "pane",
    "hose",
    "lights",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Broken:
    """One thing broken.

    `what` is its owner's name for it: the tank, drain, outfall, feed, water point, pump, air run, board, circuit,
    device, space or water. `at` says where in it: the node of a drain, feed line or ring, the tap, the outlet, the
    pane. `left` is the share of its way that is still open (overflow, drain, outfall, diffuser: 0 shut, 0.5 half) or
    the factor on its pressure (mains pressure: 2). `flow` is what a hand hose gives, m3/s.
    """

    kind: BrokenKind
    what: str
    at: str = ""
    left: float = 0.0
    flow: float | None = None
