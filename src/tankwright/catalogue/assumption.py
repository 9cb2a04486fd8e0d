"""One default the tool falls back on: its value, its band, its reason, and how to replace it by a measurement."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from tankwright.origin import Known, Origin


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumption:
    """A default in SI units and the band it may really lie in. `systems` are the ones that use it."""

    key: str
    what: str
    value: float
    low: float
    high: float
    dimension: str
    systems: tuple[str, ...]
    reason: str
    source: str
    measure: str

    def known(self, value: float | None = None) -> Known:
        """This assumption as a value of the room; `value` stands in for the default (a trial at the band's end)."""
        return Known(
            self.value if value is None else value,
            Origin.ASSUMED,
            key=self.key,
            band=(self.low, self.high),
            reason=self.reason,
        )


PRACTICE: Final = "common practice, no source"
MEMORY: Final = "from memory"


def row(  # noqa: PLR0913, PLR0917 - one row of a table
    key: str,
    what: str,
    value: float,
    low: float,
    high: float,
    dimension: str,
    systems: str,
    reason: str,
    source: str,
    measure: str,
) -> Assumption:
    """A row of a table of assumptions; `systems` names them with spaces between."""
    return Assumption(
        key=key, what=what, value=value, low=low, high=high, dimension=dimension,
        systems=tuple(systems.split()), reason=reason, source=source, measure=measure,
    )  # fmt: skip
