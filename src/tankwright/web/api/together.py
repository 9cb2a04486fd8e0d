"""Several values changed in one step: one revision, one step back; all of them or none."""

from __future__ import annotations

from dataclasses import dataclass

from tankwright.plan.changes import Change
from tankwright.plan.editing import EditResult
from tankwright.plan.values import Path
from tankwright.units import clip


@dataclass(frozen=True, slots=True)
class Together:
    """Changes made one after the other, each upon the text the one before it gave."""

    changes: tuple[Change, ...]

    @property
    def path(self) -> Path:
        """What the first of them touches."""
        return self.changes[0].path

    def says(self, before: str) -> str:
        """The changes in words for the history, at most 120 signs."""
        said, text = [], before
        for change in self.changes:
            said.append(change.says(text))
            text = change.apply(text).text or text
        return clip("; ".join(said), 120)

    def apply(self, text: str) -> EditResult:
        """The changed text, or the findings of the first change that cannot be made."""
        for change in self.changes:
            made = change.apply(text)
            if made.text is None:
                return made
            text = made.text
        return EditResult(text=text)
