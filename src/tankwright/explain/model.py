"""The working behind one number: formula, inputs, source, and how each input is known."""

from __future__ import annotations

from dataclasses import dataclass

from tankwright.finding import Number
from tankwright.origin import Known


@dataclass(frozen=True, slots=True, kw_only=True)
class Input:
    """One input of a working. `known` says given, measured, derived or assumed; None for a computed input,
    whose own working is named by `see`."""

    name: str
    number: Number
    known: Known | None = None
    see: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Working:
    """How one number came about. `name` is what `tankwright explain` takes: "A3.air", "drain.main.depth"."""

    name: str
    title: str
    number: Number
    formula: str
    inputs: tuple[Input, ...]
    source: str
    note: str = ""
