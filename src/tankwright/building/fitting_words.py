"""What there is to say of a fit beside its numbers: readings set aside, values beyond their band, no convergence."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from tankwright.building.fitted import Fitted
from tankwright.finding import Finding, Number, Severity

SCATTERED: Final = 1.5
"""Widening from which readings scatter more than their tolerances say."""


def about_fit(fitted: Fitted) -> Fitted:
    """A fit with its findings."""
    found: list[Finding] = []
    if not fitted.converged:
        found.append(
            Finding(
                code="PROOF-30", severity=Severity.NOT_COMPUTED, subject="the fit",
                text=f"gives no value: {fitted.why_not}",
                reason="a value from a search that did not end would look like a measurement",
                remedy="read more points, look after those farthest off, then try again",
            )
        )  # fmt: skip
    if fitted.set_aside:
        found.append(
            Finding(
                code="PROOF-31", severity=Severity.WARNING, subject=", ".join(fitted.set_aside),
                text="was left out of the fit: the other readings contradict it",
                reason="one clogged tap or slip of the pen would pull every value",
                remedy="read it again; when it reads the same, the fault is there", places=fitted.set_aside,
            )
        )  # fmt: skip
    if fitted.widened > SCATTERED:
        found.append(
            Finding(
                code="PROOF-32", severity=Severity.WARNING, subject="the readings",
                text="scatter {times} times as much as their tolerances say; uncertainties were widened by that",
                numbers=(("times", Number(fitted.widened, "number")),),
                reason="either they were read more coarsely, or something is wrong in the room that no value explains",
                remedy="see the patterns, and read some of them again",
            )
        )  # fmt: skip
    found += [
        Finding(
            code="PROOF-33", severity=Severity.WARNING, subject=one.row.key,
            text=f"{one.row.what} comes to {{value}}, outside {{low}} to {{high}} where it was thought to lie",
            numbers=(
                ("value", Number(one.value, one.row.dimension)), ("low", Number(one.row.low, one.row.dimension)),
                ("high", Number(one.row.high, one.row.dimension)),
            ),
            reason="a fault in the room can look like an odd value", remedy=f"measure it by itself: {one.row.measure}",
            rests_on=(one.row.key,),
        )
        for one in fitted.values if not one.in_band
    ]  # fmt: skip
    found += [
        Finding(
            code="PROOF-34", severity=Severity.WARNING, subject=one.row.key,
            text=f"{one.row.what} would have to lie beyond what is possible for these readings; it stays as assumed",
            reason="a leak, a blocked pipe or a wrong curve looks like an impossible value",
            remedy=f"measure it by itself: {one.row.measure}", rests_on=(one.row.key,),
        )
        for one in fitted.kept if one.beyond
    ]  # fmt: skip
    return replace(fitted, findings=tuple(found))
