"""Several values of a plan put in, changed and taken out as one change, so that one step back undoes them all."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from tankwright.plan.changes import SetRaw
from tankwright.plan.changes_rows import AddRow
from tankwright.plan.editing import EditResult
from tankwright.plan.values import Path
from tankwright.units import clip

ROW: Final = "+"
"""The last step of a path under which one more row of a list is written."""


@dataclass(frozen=True, slots=True)
class PutTogether:
    """Paths with the TOML that goes there, one after the other: "" takes out what stands there, and under a path that
    ends in "+" one more row is written. `words` say what it is for.

    >>> puts = ((("feed", "drip", "limit"), '"2 L/min"'), (("alarm", "+"), '{ id = "a" }'))
    >>> print(PutTogether(puts, "a limiter").apply('[feed.drip]\\nfrom = "tap"').text)
    [feed.drip]
    from = "tap"
    limit = "2 L/min"
    <BLANKLINE>
    [[alarm]]
    id = "a"
    """

    puts: tuple[tuple[Path, str], ...]
    words: str = ""

    @property
    def path(self) -> Path:
        """What it touches first."""
        return self.puts[0][0][:2] if self.puts else ()

    def says(self, before: str) -> str:
        """The change in words for the history, at most 120 signs."""
        if self.words or not self.puts:
            return clip(self.words, 120) or "nothing changed"
        return self._changes()[0].says(before)

    def apply(self, text: str) -> EditResult:
        """The changed text, or the findings that say why nothing was changed."""
        result = EditResult(text=text)
        for change in self._changes():
            if result.text is None:
                break
            result = change.apply(result.text)
        return result

    def _changes(self) -> list[SetRaw | AddRow]:
        return [
            AddRow(path[:-1], toml) if path and path[-1] == ROW else SetRaw(path, toml)
            for path, toml in self.puts
        ]
