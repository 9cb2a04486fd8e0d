"""What a drawing shows of quarantines: the clocks of what is shut off by its tanks, and whose water joins it."""

from __future__ import annotations

from dataclasses import dataclass

from tankwright.finding import Finding
from tankwright.husbandry.quarantine import Clock


@dataclass(frozen=True, slots=True, kw_only=True)
class ShutFacts:
    """Clocks of what is shut off now with the tanks of each, tanks whose water certainly comes to one of them without
    being shut off, and what there is to say."""

    shut: tuple[tuple[Clock, tuple[str, ...]], ...] = ()
    joined: frozenset[str] = frozenset()
    findings: tuple[Finding, ...] = ()
