"""From clean to dirty: which places come before which in a round, as a partial order of grades."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from tankwright.finding import Finding, Severity

CIRCLE: Final = "SHUT-09"

FRY: Final = "fry"
NORMAL: Final = "normal"
SUSPECT: Final = "suspect"
SHUT: Final = "quarantine"
TREATED: Final = "treated"
GRADES: Final = (FRY, NORMAL, SUSPECT, SHUT, TREATED)
"""The usual grades, cleanest first: what is most easily lost is worked in first, what is ill or shut off last. Common
practice, no source."""

WORDS: Final = {
    FRY: "fry and eggs", NORMAL: "usual", SUSPECT: "could have been reached by something",
    SHUT: "shut off", TREATED: "ill, treated or dying",
}  # fmt: skip
"""What each grade holds, in words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneOrder:
    """Which grade is cleaner than which: every pair of it, those that follow from others too."""

    pairs: frozenset[tuple[str, str]]

    def cleaner(self, one: str, other: str) -> bool:
        """Whether `one` has to come before `other`."""
        return (one, other) in self.pairs


def zone_order(said: Iterable[tuple[str, str]]) -> tuple[ZoneOrder, tuple[Finding, ...]]:
    """An order out of pairs of a cleaner and a dirtier grade. Pairs that would close a circle are left out and said.

    >>> order, findings = zone_order([("fry", "normal"), ("normal", "quarantine")])
    >>> order.cleaner("fry", "quarantine"), order.cleaner("quarantine", "fry"), findings
    (True, False, ())
    """
    closed: set[tuple[str, str]] = set()
    findings = []
    for clean, dirty in said:
        if clean == dirty or (dirty, clean) in closed:
            findings.append(Finding(
                code=CIRCLE, severity=Severity.WARNING, subject=f"zone {clean}",
                text=f"is said to be cleaner than {dirty}, which is cleaner than itself by what was said before",
                reason="no round can begin at either of them, so this pair is left out",
                remedy="take one of the pairs out", found=f"{clean} before {dirty}", wanted="no circle",
            ))  # fmt: skip
            continue
        before = {clean} | {one for one, other in closed if other == clean}
        after = {dirty} | {other for one, other in closed if one == dirty}
        closed |= {(one, other) for one in before for other in after}
    return ZoneOrder(pairs=frozenset(closed)), tuple(findings)


USUAL: Final = zone_order(pairwise(GRADES))[0]
"""The usual order: fry, all else, suspect, shut off, ill."""


def grade_of_zone(zone: str, *, quarantine: bool = False) -> str:
    """The grade of a zone of the plan by its name, where it bears that of a grade; otherwise the usual one.

    >>> grade_of_zone("fry"), grade_of_zone("soft water"), grade_of_zone("laundry", quarantine=True)
    ('fry', 'normal', 'quarantine')
    """
    if quarantine:
        return SHUT
    name = zone.strip().lower()
    return name if name in GRADES else NORMAL


def dirtiest(grades: Iterable[str], order: ZoneOrder = USUAL) -> str:
    """The dirtiest of several grades; of two that are not ordered the first. Nothing known is the usual grade.

    >>> dirtiest(["normal", "quarantine", "suspect"])
    'quarantine'
    """
    worst = ""
    for one in grades:
        if not worst or order.cleaner(worst, one):
            worst = one
    return worst or NORMAL
