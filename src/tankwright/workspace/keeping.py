"""What every deed of a keeper that is written down goes through: who, when, under which key; recorded whole or refused.

The deeds stand in `keeping_coming`, `keeping_going`, `keeping_seen`, `keeping_groups`,
`keeping_places` and `keeping_mending`, one call for each, from names
as people type them. Findings name tanks and fish as their owner does; a deed sent again under its key is done once.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Final

from tankwright.finding import Finding
from tankwright.husbandry.facts import Tally
from tankwright.husbandry.records import Draft
from tankwright.logbook.outcome import By, NoLogbookError, Recorded, Refused
from tankwright.workspace.log import RoomLog
from tankwright.workspace.naming import WrongError
from tankwright.workspace.outcomes import trouble

if TYPE_CHECKING:
    from tankwright.logbook.store import Logbook

CANNOT: Final = "LOG-28"
MOST: Final = 1_000_000
"""Fish of one deed; more is a slip of the finger."""


LATE: Final = timedelta(minutes=10)
"""From when on what happened is told by somebody who may not know what happened since; our choice, no source."""
NOT_SO_MANY: Final = "LEDGER-01"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hand:
    """Who does it, when it happened (UTC, None for now), under which key, with what note.

    `sent_late` is for what lay in a phone that had no way to the book: more fish than there were by what others did
    meanwhile is then no slip of the finger. Both are kept, and the book lists what cannot have been.
    """

    log: RoomLog
    who: str
    at: datetime | None = None
    key: str = ""
    note: str = ""
    device: str = ""
    sent_late: bool = False

    @property
    def then(self) -> datetime | None:
        """The moment at which fish were as they are spoken of; None when that is now."""
        return None if self.at is None or self.log.now() - self.at <= LATE else self.at

    @property
    def moment(self) -> datetime:
        """When it happened."""
        return self.at if self.at is not None else self.log.now()


Made = Callable[["Logbook", datetime], Sequence[Draft]]


def do(hand: Hand, make: Made) -> Recorded | Refused:
    """Record what `make` drafts; what came before under the same key is given again and nothing is made."""
    from tankwright.logbook.listing import in_batch  # noqa: PLC0415 - brings the database along

    try:
        book = hand.log.book
        first = book.by_key(hand.key) if hand.key else None
        if first is not None:
            return Recorded(events=in_batch(book, first.batch) or (first,), repeated=True)
        drafts, by = make(book, hand.moment), By(who=hand.who, key=hand.key, device=hand.device)
        outcome = book.record(drafts, by)
        if hand.sent_late and hand.then is not None and is_only_short(outcome):
            outcome = book.record(drafts, by, checked=False)
        return outcome
    except WrongError as wrong:
        return Refused(findings=wrong.findings)
    except NoLogbookError as wrong:
        return Refused(findings=wrong.findings)
    except OSError as error:
        return Refused(findings=(wrong_value("logbook", f"cannot be written: {error.strerror or error}"),))


def is_only_short(outcome: Recorded | Refused) -> bool:
    """True when nothing is wrong but that there were not so many fish."""
    return isinstance(outcome, Refused) and all(one.code == NOT_SO_MANY for one in outcome.findings)


def wrong_value(subject: str, text: str, *, wanted: str = "", found: str = "", attempt: str = "") -> Finding:
    """What cannot be as it was asked."""
    return trouble(CANNOT, subject, text, wanted=wanted, found=found, attempt=attempt)


def checked_number(number: int, subject: str, *, least: int = 1) -> int:
    """A number of fish that can be. Raises WrongError."""
    if not least <= number <= MOST:
        raise WrongError(wrong_value(subject, f"cannot take {number} as a number of fish", found=str(number),
                                     wanted=f"{least} to {MOST}"))  # fmt: skip
    return number


def checked_tally(number: int, low: int | None, high: int | None, subject: str) -> Tally:
    """A number with bounds that hold it. Raises WrongError."""
    checked_number(number, subject)
    least, most = (number if low is None else low), (number if high is None else high)
    if not 0 <= least <= number <= most:
        raise WrongError(wrong_value(
            subject, f"has bounds that do not hold {number}", found=f"{least} to {most}",
            wanted=f"at least below and at most above {number}",
        ))  # fmt: skip
    return Tally(number=number, low=low, high=high)
