"""A drilled hole of a kind of tank put elsewhere in its pane, by hand in the drawing or typed."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from tankwright.finding import Finding
from tankwright.plan.changes_core import apply_values, no_such_thing, refusal, says_values
from tankwright.plan.changes_moves import CANNOT_STAND_THERE, written_length
from tankwright.plan.editing import EditResult, quoted
from tankwright.plan.positions import Positions
from tankwright.plan.statements import value_at
from tankwright.plan.typed import Puts, shown_value, typed_values
from tankwright.plan.values import Path
from tankwright.units import Metre, QuantityError, clip, parse_quantity

_SAME: Final = 0.0005  # half a millimetre: a hand that drills comes no nearer
_LONGEST: Final = 20.0  # m; no pane is


@dataclass(frozen=True, slots=True)
class MoveHole:
    """The hole of every tank of a kind moved to a place in its pane; both its measures in one step.

    `across` is its centre from the left outside edge (on an end from the front); `down` is below the top edge, on a
    base from the back edge. A length is written as the owner wrote the one before; a text as it was typed. `number`
    counts the further holes of a kind (`more_holes`) from 1; 0 is the one that sets the level.

    >>> change = MoveHole("cube", across=0.12, down=0.0704)
    >>> before = '[tank_kind.cube]\\nhole = { pane = "back", from_left = "75 mm", below_rim = "65 mm" }'
    >>> print(change.apply(before).text.splitlines()[1])
    hole = { pane = "back", from_left = "120 mm", below_rim = "70 mm" }
    """

    kind: str
    across: Metre | str
    down: Metre | str
    number: int = 0

    @property
    def path(self) -> Path:
        """The table of the hole."""
        here: Path = ("tank_kind", self.kind)
        return (*here, "more_holes", self.number - 1) if self.number else (*here, "hole")

    def says(self, before: str) -> str:
        """The change in words for the history, at most 120 signs."""
        return says_values(before, self._puts)

    def apply(self, text: str) -> EditResult:
        """The changed text, or the findings that say why nothing was changed."""
        return apply_values(text, self._puts)

    def _puts(self, positions: Positions) -> Puts | Finding:
        kinds = positions.data.get("tank_kind")
        known = list(kinds) if isinstance(kinds, Mapping) else []
        if self.kind not in known:
            return no_such_thing(positions, "kind of tank", self.kind, known)
        hole = value_at(positions, self.path)
        subject = f"tank kind {clip(self.kind, 24)}"
        if not isinstance(hole, Mapping):
            told = {"subject": subject, "found": "no hole", "wanted": "a kind of tank with a hole"}
            text = "has no such hole to move"
            return refusal(positions, self.path[:2], CANNOT_STAND_THERE, text, **told)
        far = "from_back" if hole.get("pane") == "base" else "below_rim"
        puts: Puts = []
        for key, wanted in (("from_left", self.across), (far, self.down)):
            more = _written(positions, (*self.path, key), wanted, subject)
            if isinstance(more, Finding):
                return more
            puts += more
        return puts


def _written(positions: Positions, path: Path, wanted: Metre | str, subject: str) -> Puts | Finding:
    """One measure: nothing when it stands there already."""
    if isinstance(wanted, str):
        if not wanted.strip():
            told = {"found": "nothing", "wanted": "a length", "attempt": "75 mm"}
            text = f"{path[-1]} must be said to move its hole"
            return refusal(positions, path, CANNOT_STAND_THERE, text, subject=subject, **told)
        return typed_values(positions, path, wanted)
    if not math.isfinite(wanted) or not 0.0 <= wanted <= _LONGEST:
        told = {"found": f"{wanted * 1000:.4g} mm", "wanted": "a length inside its pane"}
        text = "cannot have its hole outside its pane"
        return refusal(positions, path, CANNOT_STAND_THERE, text, subject=subject, **told)
    source = shown_value(positions, path) or ""
    text = written_length(wanted, source or "1 mm", str(positions.data.get("display", "metric")))
    if source and abs(_length(source) - parse_quantity(text, "length").value) < _SAME:
        return []
    return [(path, quoted(text))]


def _length(text: str) -> Metre:
    try:
        return parse_quantity(text, "length").value
    except QuantityError:
        return math.inf
