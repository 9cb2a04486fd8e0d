"""Changes of lists: a row more, a row less; for programs of a feed, events of a drain, boards, racks."""

from __future__ import annotations

from dataclasses import dataclass

from tankwright.plan.changes_core import read, read_again, resolved
from tankwright.plan.editing import EditResult, no_such_value, not_one_value, refused_as_broken
from tankwright.plan.inserting import add_row
from tankwright.plan.models import Plan
from tankwright.plan.positions import Positions
from tankwright.plan.removing import take_out
from tankwright.plan.shape import place_of
from tankwright.plan.statements import ImpossibleError, value_at
from tankwright.plan.typed import shown_value
from tankwright.plan.values import Path
from tankwright.units import clip


@dataclass(frozen=True, slots=True)
class AddRow:
    """One more row at the end of a list, written as TOML; a list that is not there is begun."""

    path: Path
    toml: str

    def says(self, before: str) -> str:
        """The change in words for the history, at most 120 signs."""
        positions = read(before)
        path = resolved(positions, self.path)
        return clip(f"{_subject(positions, path)}: {clip(' '.join(self.toml.split()), 60)} added", 120)

    def apply(self, text: str) -> EditResult:
        """The changed text, or the findings that say why nothing was changed."""
        positions = read(text)
        if positions.findings:
            return refused_as_broken(positions)
        path, toml = resolved(positions, self.path), self.toml.strip()
        mistake = not_one_value(toml)
        if mistake or not path:
            return EditResult(text=None, findings=(mistake or no_such_value(path, positions),))
        try:
            return read_again(text, add_row(positions, path, toml))
        except ImpossibleError:
            return EditResult(text=None, findings=(no_such_value(path, positions),))


@dataclass(frozen=True, slots=True)
class RemoveRow:
    """The row of a list at an index, counted from 0, is taken out."""

    path: Path
    index: int

    def says(self, before: str) -> str:
        """The change in words for the history, at most 120 signs."""
        positions = read(before)
        path = resolved(positions, (*self.path, self.index))
        gone = clip(shown_value(positions, path) or f"number {self.index + 1}", 60)
        return clip(f"{_subject(positions, path[:-1])}: {gone} taken out", 120)

    def apply(self, text: str) -> EditResult:
        """The changed text, or the findings that say why nothing was changed."""
        positions = read(text)
        if positions.findings:
            return refused_as_broken(positions)
        path = resolved(positions, (*self.path, self.index))
        try:
            if not isinstance(value_at(positions, path[:-1]), list):
                raise ImpossibleError
            return read_again(text, take_out(positions, path))
        except ImpossibleError:
            return EditResult(text=None, findings=(no_such_value(path, positions),))


def _subject(positions: Positions, path: Path) -> str:
    place = place_of(path, Plan, positions.data)
    return f"{place.subject}, {place.key}" if place.key else place.subject
