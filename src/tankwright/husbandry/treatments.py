"""Treatments: how long a course runs, until when nothing of it may leave or be eaten, what a water change does to it.

Nothing here says what to give or how much: that is on the label, and with whoever may prescribe.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final, Literal

from tankwright.finding import Finding, Severity
from tankwright.husbandry.records import Draft, Event, Plain

WITHHELD: Final = "ROUND-09"
DILUTED: Final = "ROUND-12"

CAUTION: Final = (
    "Medicines: by the label and the word of a vet where you live; some may be had or used only so. Not for fish that"
    " are eaten unless the label says so. Gloves, no food or drink near; what is left over goes back to a pharmacy, not"
    " down the drain. Days and withdrawal are those you enter: nothing here was checked against a label."
)

State = Literal["running", "withdrawal", "over"]
_LEAVING: Final = frozenset({"left"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Treatment:
    """One course: of a place, or of a stock in it. `ends` is the end of its days (its own moment when none was said);
    `free` is when its withdrawal is over, None where nobody said how long that is."""

    id: str
    place: str
    stock: str
    what: str
    dose: str
    by: str
    why: str
    began: datetime
    ends: datetime
    free: datetime | None

    def state(self, now: datetime) -> State:
        """How it stands now. One whose withdrawal nobody said is over when its days are."""
        if now < self.ends:
            return "running"
        return "withdrawal" if self.free is not None and now < self.free else "over"


def treated(  # noqa: PLR0913 - what the record of a treatment holds
    place: str, what: str, happened: datetime, *, stock: str = "", dose: str = "", days: float | None = None,
    withdrawal_days: float | None = None, by: str = "", why: str = "", note: str = "",
) -> Draft:  # fmt: skip
    """A treatment as it is recorded.

    >>> from datetime import UTC
    >>> treated("p", "salt", datetime(2026, 8, 2, tzinfo=UTC), dose="2 g/L", days=10).details["days"]
    10
    """
    said: dict[str, Plain] = {
        "with": what, "dose": dose, "days": days, "withdrawal_days": withdrawal_days, "by": by, "why": why,
    }  # fmt: skip
    details = {key: value for key, value in said.items() if value not in ("", None)}
    return Draft(kind="treated", happened=happened, place=place, stock=stock, note=note, details=details)


def treatments(events: Iterable[Event]) -> tuple[Treatment, ...]:
    """Every course among events, in the order they began.

    >>> treatments(())
    ()
    """
    found = [_treatment(event) for event in events if event.kind == "treated"]
    return tuple(sorted(found, key=lambda one: (one.began, one.id)))


def _treatment(event: Event) -> Treatment:
    days, withdrawal = (_days(event.details.get(key)) for key in ("days", "withdrawal_days"))
    ends = event.happened + (days or timedelta())
    return Treatment(
        id=event.id, place=event.place, stock=event.stock, what=str(event.details.get("with", "")),
        dose=str(event.details.get("dose", "")), by=str(event.details.get("by", "")),
        why=str(event.details.get("why", "")), began=event.happened, ends=ends,
        free=None if withdrawal is None else ends + withdrawal,
    )  # fmt: skip


def _days(value: Plain) -> timedelta | None:
    return timedelta(days=float(value)) if isinstance(value, int | float) and 0 <= value < 1e5 else None


def withheld(
    courses: Iterable[Treatment], now: datetime, *, place: str = "", stock: str = ""
) -> tuple[Treatment, ...]:
    """The courses for which fish of that place or stock must not leave or be eaten now."""
    return tuple(
        one for one in courses
        if one.state(now) in ("running", "withdrawal") and one.began <= now
        and ((place and one.place == place and one.stock in ("", stock)) or (stock and one.stock == stock))
    )  # fmt: skip


def leaving_findings(drafts: Iterable[Draft], courses: Iterable[Treatment]) -> Iterator[Finding]:
    """What stands against fish that leave: a course that runs, or a withdrawal that is not over.

    >>> list(leaving_findings([], []))
    []
    """
    known = tuple(courses)
    for draft in drafts:
        if draft.kind not in _LEAVING:
            continue
        for one in withheld(known, draft.happened, place=draft.place, stock=draft.stock):
            until = one.free or one.ends
            yield Finding(
                code=WITHHELD, severity=Severity.WARNING, subject=one.what, places=(one.place,),
                text=f"was given here: nothing leaves or is eaten before {until:%Y-%m-%d}",
                reason="the withdrawal that was entered with the treatment is not over",
                remedy="wait, or record on whose word they leave", found=f"{draft.happened:%Y-%m-%d}",
                wanted=f"{until:%Y-%m-%d} or later",
            )  # fmt: skip


def dose_left(changed: Iterable[float], drip_a_day: float = 0.0, days: float = 0.0) -> float:
    """The share of a dose that water changes and a drip leave in the water, if nothing else takes it: each change
    takes its own share, a drip of `drip_a_day` tank volumes a day takes it evenly.

    Raises ValueError for a share outside 0 to 1.

    Source: mass balance of a well mixed volume; what plants, carbon, light and time take is not counted.

    >>> round(dose_left([0.5, 0.2]), 3), round(dose_left([], 0.1, 7.0), 3)
    (0.4, 0.497)
    """
    left = math.exp(-max(0.0, drip_a_day) * max(0.0, days))
    for share in changed:
        if not 0.0 <= share <= 1.0:
            raise ValueError("a water change is a share from 0 to 1")
        left *= 1.0 - share
    return left


def dilution_findings(
    courses: Iterable[Treatment], events: Iterable[Event], now: datetime, drip_a_day: float = 0.0
) -> Iterator[Finding]:
    """What water changes and a drip have done to the dose of each course that runs, where it is less than nine tenths.

    `events` are those of the places, water changes (`cleaned`, with its share) among them.
    """
    changes = [one for one in events if one.kind == "cleaned" and one.details.get("what") == "water"]
    for course in courses:
        if course.state(now) != "running" or course.began > now:
            continue
        shares = [
            float(share) for one in changes
            if one.place == course.place and course.began <= one.happened <= now
            and isinstance(share := one.details.get("share"), int | float) and 0.0 <= share <= 1.0
        ]  # fmt: skip
        left = dose_left(shares, drip_a_day, (now - course.began) / timedelta(days=1))
        if left < _HARDLY:
            yield Finding(
                code=DILUTED, severity=Severity.WARNING, subject=course.what, places=(course.place,),
                text=f"is down to about {100.0 * left:.0f} % of its dose by fresh water alone",
                reason="water changes and the drip carry it off, and what else takes it is not counted",
                remedy="by the label, or the word of whoever prescribed it: shut the drip, or dose again for the"
                " water that was changed",
            )  # fmt: skip


_HARDLY: Final = 0.9
"""From this share on a dose counts as thinned. Common practice, no source."""
