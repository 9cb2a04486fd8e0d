r"""Changes of a plan's text: each a small frozen record that can be said in words, stored, and applied to a text.

A change is pure: a text goes in, a new text or the reasons why not come out (`EditResult`). What the change does not
touch stays as its owner wrote it, sign by sign. Nothing a person types raises.

>>> change = SetValue(("rack_kind", "a", "depth"), "1,8")
>>> before = '[rack_kind.a]\ndepth = "1.75 m"  # measured twice'
>>> print(change.apply(before).text)
[rack_kind.a]
depth = "1.8 m"  # measured twice
>>> change.says(before)
'rack kind a: depth "1.75 m" -> "1.8 m"'
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Protocol

from tankwright.finding import Finding
from tankwright.plan.changes_core import (
    apply_values,
    path_from_text,
    path_text,
    read,
    resolved,
    says_values,
)
from tankwright.plan.changes_moves import MoveRack, MoveTank, SetTap, TurnElbow
from tankwright.plan.changes_rows import AddRow, RemoveRow
from tankwright.plan.editing import EditResult, no_such_value, not_one_value
from tankwright.plan.positions import Positions
from tankwright.plan.typed import Puts, shown_value, typed_values
from tankwright.plan.values import Path

__all__ = [
    "AddRow",
    "Change",
    "MoveRack",
    "MoveTank",
    "RemoveRow",
    "SetRaw",
    "SetTap",
    "SetText",
    "SetValue",
    "TurnElbow",
    "current_value",
    "path_from_text",
    "path_text",
]


class Change(Protocol):
    """One change of a plan's text."""

    @property
    def path(self) -> Path:
        """What it touches, for comparing versions and for `current_value`; () for the whole text."""

    def says(self, before: str) -> str:
        """The change in words for the history, at most 120 signs."""

    def apply(self, text: str) -> EditResult:
        """The changed text, or the findings that say why nothing was changed."""


def current_value(text: str, path: Path) -> str | None:
    """How a value stands in a text, as a person reads it and may type it; None when it is not there.

    Of a measured value it is the value, of a plain list its items with commas, of a table its text.

    >>> current_value('a = { value = "2.8 bar", measured = 2026-09-12 }', ("a",)), current_value("a = true", ("b",))
    ('2.8 bar', None)
    """
    positions = read(text)
    return shown_value(positions, resolved(positions, path))


@dataclass(frozen=True, slots=True)
class SetValue:
    """A value as a person types it: "54 L", "1,8 m", "12", "true", "1:60", "daily"; "" takes an optional key out.

    `measured` is the day a quantity was measured on. Without it a value that was measured becomes a given one, for
    the old date does not hold for the new value.
    """

    path: Path
    typed: str
    measured: date | None = None

    def says(self, before: str) -> str:
        """The change in words for the history, at most 120 signs."""
        return says_values(before, self._puts)

    def apply(self, text: str) -> EditResult:
        """The changed text, or the findings that say why nothing was changed."""
        return apply_values(text, self._puts)

    def _puts(self, positions: Positions) -> Puts | Finding:
        path = resolved(positions, self.path)
        if not path:
            return no_such_value(path, positions)
        return typed_values(positions, path, self.typed, self.measured)


@dataclass(frozen=True, slots=True)
class SetRaw:
    """A value written as TOML, for lists and tables: replaced or put in; "" takes it out."""

    path: Path
    toml: str

    def says(self, before: str) -> str:
        """The change in words for the history, at most 120 signs."""
        return says_values(before, self._puts)

    def apply(self, text: str) -> EditResult:
        """The changed text, or the findings that say why nothing was changed."""
        return apply_values(text, self._puts)

    def _puts(self, positions: Positions) -> Puts | Finding:
        path, toml = resolved(positions, self.path, raw=True), self.toml.strip()
        if not path:
            return no_such_value(path, positions)
        if not toml:
            return [(path, None)]
        return not_one_value(toml) or [(path, toml)]


@dataclass(frozen=True, slots=True)
class SetText:
    """The whole text, as it came from an editor; it is taken also when it has mistakes."""

    text: str

    @property
    def path(self) -> Path:
        """The whole text."""
        return ()

    def says(self, before: str) -> str:
        """Which lines it changes: `text: lines 12 to 15 changed`."""
        old, new = before.splitlines(), self.text.splitlines()
        if old == new:
            return "nothing changed" if before == self.text else "text: line ends changed"
        same, most = 0, min(len(old), len(new))
        while same < most and old[same] == new[same]:
            same += 1
        tail = 0
        while tail < most - same and old[-1 - tail] == new[-1 - tail]:
            tail += 1
        gone, come = len(old) - same - tail, len(new) - same - tail
        count = gone or come
        word = "changed" if gone and come else "taken out" if gone else "added"
        return (
            f"text: line {same + 1} {word}"
            if count == 1
            else f"text: lines {same + 1} to {same + count} {word}"
        )

    def apply(self, text: str) -> EditResult:  # noqa: ARG002 - what was there before does not matter
        """The new text."""
        return EditResult(text=self.text)
