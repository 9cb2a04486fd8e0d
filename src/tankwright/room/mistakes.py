"""Where the layout puts what it has to say: impossibilities of a plan, and what was derived in its place.

Codes LAYOUT-101 and up belong to the laying out itself; judgements of the laid-out room have lower numbers.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

from tankwright.finding import Finding, Number, Severity
from tankwright.plan.suggest import listed, nearest

NO_ROOM: Final = "LAYOUT-100"
UNKNOWN_NAME: Final = "LAYOUT-101"
RACK_PLACE_NOT_SAID: Final = "LAYOUT-102"
RACK_OUTSIDE_ROOM: Final = "LAYOUT-103"
NO_SUCH_SHELF: Final = "LAYOUT-104"
TANKS_LONGER_THAN_SHELF: Final = "LAYOUT-105"
UNREADABLE_IDS: Final = "LAYOUT-106"
NAME_USED_TWICE: Final = "LAYOUT-107"
LEVEL_OUT_OF_ELBOWS_REACH: Final = "LAYOUT-108"
OVERFLOW_WITHOUT_HOLE: Final = "LAYOUT-109"
ELBOW_IN_BASE: Final = "LAYOUT-110"
HOLE_OUTSIDE_PANE: Final = "LAYOUT-111"
GLASS_TOO_THICK: Final = "LAYOUT-112"
TWO_LEVELS_SAID: Final = "LAYOUT-113"
DRAIN_GATHERS_NOTHING: Final = "LAYOUT-114"
RACK_DRAINED_TWICE: Final = "LAYOUT-115"
THROUGH_A_WALL: Final = "LAYOUT-116"
TWO_FALLS_SAID: Final = "LAYOUT-117"
UNKNOWN_PIPE: Final = "LAYOUT-118"
NO_PUMP: Final = "LAYOUT-119"
TOO_FEW_TAPS: Final = "LAYOUT-120"
TOO_MANY_TAPS: Final = "LAYOUT-121"
UNKNOWN_ASSUMPTION: Final = "LAYOUT-122"
UNREADABLE_ASSUMPTION: Final = "LAYOUT-123"
PLACE_TAKEN: Final = "LAYOUT-124"
WRONG_WAY_ALONG_WALL: Final = "LAYOUT-125"
NOTHING_TO_SERVE: Final = "LAYOUT-126"
TEE_OF_NO_HOSE: Final = "LAYOUT-128"
TWO_TEES_SAID: Final = "LAYOUT-129"
CAN_BE_TURNED: Final = "LAYOUT-130"
TURNED_TO_ITSELF: Final = "LAYOUT-131"
TAPS_SHUT: Final = "LAYOUT-132"
NO_TAPS_TO_SHUT: Final = "LAYOUT-133"
FED_FROM_A_TANK: Final = "LAYOUT-134"
FEEDS_ITSELF: Final = "LAYOUT-135"
DRAIN_WITHOUT_LENGTH: Final = "LAYOUT-136"
NO_ELBOW_TO_TURN: Final = "LAYOUT-137"
NO_HOSE_TO_CHANGE: Final = "LAYOUT-138"
NO_TAP_TO_TURN: Final = "LAYOUT-139"
UNKNOWN_SPECIES: Final = "LAYOUT-140"
STOCKED_TWICE: Final = "LAYOUT-141"
WATER_OF_NOTHING: Final = "LAYOUT-142"
UNKNOWN_MATERIAL: Final = "LAYOUT-143"
OPENING_LARGER_THAN_WALL: Final = "LAYOUT-144"
LAYERS_OUT_OF_REACH: Final = "LAYOUT-145"
SECOND_LIP_OVER_RIM: Final = "LAYOUT-146"
SILENT_IN_A_CUT: Final = "LAYOUT-147"
BRACE_NOT_AS_TOP: Final = "LAYOUT-148"
HOLE_PLACE_NOT_SAID: Final = "LAYOUT-149"
HOLES_OVERLAP: Final = "LAYOUT-150"
HOLE_THROUGH_BRACE: Final = "LAYOUT-151"
UNREADABLE_SECTION: Final = "LAYOUT-160"
UNKNOWN_GRADE: Final = "LAYOUT-161"
TWO_MATERIALS: Final = "LAYOUT-162"
SAG_OF_NOTHING: Final = "LAYOUT-163"
JOISTS_UNDER_SLAB: Final = "LAYOUT-164"
VOID_OUTSIDE_ROOM: Final = "LAYOUT-165"
UPRIGHT_OUTSIDE_RACK: Final = "LAYOUT-166"
UPRIGHTS_TOO_SHORT: Final = "LAYOUT-167"


@dataclass(slots=True)
class Mistakes:
    """The findings of one laying out, in the order they were met; the same one is kept once."""

    findings: dict[tuple[str, str, str], Finding] = field(default_factory=dict)

    def say(  # noqa: PLR0913 - the fields of a finding
        self,
        code: str,
        subject: str,
        text: str,
        *,
        severity: Severity = Severity.PROBLEM,
        line: int | None = None,
        reason: str = "",
        remedy: str = "",
        numbers: tuple[tuple[str, Number], ...] = (),
        places: tuple[str, ...] = (),
        found: str = "",
        wanted: str = "",
        attempt: str = "",
    ) -> None:
        """Add one finding."""
        self.findings.setdefault(
            (code, subject, text),
            Finding(
                code=code,
                severity=severity,
                subject=subject,
                text=text,
                numbers=numbers,
                reason=reason,
                remedy=remedy,
                line=line,
                places=places,
                found=found,
                wanted=wanted,
                attempt=attempt,
            ),
        )

    def note(self, code: str, subject: str, text: str, *, line: int | None = None, remedy: str = "") -> None:
        """Add a note: something was derived that the plan does not say."""
        reason = "the plan does not say it, so it is derived"
        self.say(code, subject, text, severity=Severity.NOTE, line=line, reason=reason, remedy=remedy)

    def unknown(
        self, subject: str, what: str, name: str, choices: tuple[str, ...], line: int | None = None
    ) -> str:
        """Say that a name is unknown; the nearest known one, or "" when none is near."""
        close = nearest(name, choices)
        one = f"an {what}" if what.startswith(tuple("aeiou")) else f"a {what}"
        self.say(
            UNKNOWN_NAME,
            subject,
            f"names {one} that the plan does not have",
            line=line,
            reason="what it names cannot be laid out",
            remedy=f"write the name of {one} of the plan",
            found=f'"{name}"',
            wanted=listed(choices),
            attempt=f'"{close}"' if close else "",
        )
        return close

    def all(self) -> tuple[Finding, ...]:
        """Everything said so far."""
        return tuple(self.findings.values())


def metres(value: float) -> Number:
    """A length for a finding."""
    return Number(value, "length")


def count(value: int) -> Number:
    """A plain count for a finding."""
    return Number(float(value), "number")
