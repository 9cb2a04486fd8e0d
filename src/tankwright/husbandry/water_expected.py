"""Expected against seen: the nitrate the plan's own figures lead to beside what the tests show."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median
from typing import Final

from tankwright.husbandry.water_readings import WaterReading
from tankwright.systems.water_life_model import Span, TankNitrogen

NEWEST: Final = 3
"""Of how many of the newest tests the middle is taken. Our choice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """Nitrate as expected and as seen, kg/m3, and seen over expected with its band.

    `apart` is "above" or "below" where the bands do not meet, "" where they do.
    """

    expected: Span
    seen: Span
    ratio: Span
    tests: int

    @property
    def apart(self) -> str:
        """Which way the tests lie outside the band that is expected."""
        if self.ratio.low > 1.0:
            return "above"
        return "below" if self.ratio.high < 1.0 else ""


def nitrate_compared(design: TankNitrogen | None, readings: Sequence[WaterReading]) -> Compared | None:
    """The nitrate a tank settles at by the plan beside the middle of its newest tests.

    None without tests, without a feed that is known, or where no new water drips in: there nothing settles.

    >>> nitrate_compared(None, ()) is None
    True
    """
    expected = design.nitrate if design is not None else None
    if expected is None or not readings or not math.isfinite(expected.value) or expected.value <= 0.0:
        return None
    taken = readings[-NEWEST:]
    seen = Span(
        low=median(one.low for one in taken), value=median(one.middle for one in taken),
        high=median(one.high for one in taken),
    )  # fmt: skip
    return Compared(
        expected=expected, seen=seen, tests=len(taken),
        ratio=Span(
            low=seen.low / expected.high if math.isfinite(expected.high) else 0.0,
            value=seen.value / expected.value,
            high=seen.high / expected.low if expected.low > 0.0 else math.inf,
        ),
    )  # fmt: skip
