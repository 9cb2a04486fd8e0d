"""What is said about a weather file: one place for its codes, its words and how many of a kind are listed.

WEATHER-01 cannot be read, -02 too large, -03 empty, -04 no weather file, -05 place, -06 columns, -07 no number,
-08 not believable, -09 no hour of the year, -10 hour twice, -11 hours missing, -12 values missing, -13 short gap
filled, -14 29 February left out, -15 encoding, -16 decimal comma, -17 a whole column, -18 humidity over 100 %,
-19 sun at night, -20 fewer columns than usual, -21 not beside the plan.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import Final

from tankwright.finding import Finding, Severity
from tankwright.units import clip

MOST_OF_A_KIND: Final = 5


@dataclass(slots=True)
class Mistakes:
    """The findings about one file as they gather; of each kind the first few are kept and the rest counted."""

    name: str
    found: list[Finding] = field(default_factory=list)
    counted: Counter[tuple[str, Severity, str]] = field(default_factory=Counter)

    def add(
        self,
        code: str,
        text: str,
        *,
        severity: Severity = Severity.PROBLEM,
        about: str = "",
        line: int | None = None,
        found: str = "",
        wanted: str = "",
        attempt: str = "",
    ) -> None:
        """Say one thing; `about` names what of the file it concerns, so that like mistakes are counted together."""
        self.counted[code, severity, about] += 1
        if self.counted[code, severity, about] > MOST_OF_A_KIND:
            return
        self.found.append(
            Finding(
                code=code,
                severity=severity,
                subject=self.name,
                text=text,
                line=line,
                found=clip(found, 60),
                wanted=wanted,
                attempt=attempt,
            )
        )

    @property
    def refuse(self) -> bool:
        """Whether one of them leaves no year to work with."""
        return any(one.severity is Severity.PROBLEM for one in self.found)

    def all(self) -> tuple[Finding, ...]:
        """Every finding in the order of the lines, with a last word on the kinds that were cut short."""
        rest = [
            Finding(
                code=code,
                severity=severity,
                subject=self.name,
                text=f"says the same of {count - MOST_OF_A_KIND} more places{f': {about}' if about else ''}",
            )
            for (code, severity, about), count in self.counted.items()
            if count > MOST_OF_A_KIND
        ]
        return (*sorted(self.found, key=lambda one: one.line or 0), *rest)
