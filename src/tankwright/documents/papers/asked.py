"""What paper is asked for, of which line or brood and which days; all that is wrong with it in one pass."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from difflib import get_close_matches
from typing import TYPE_CHECKING, Final, Literal, get_args

from tankwright.finding import Finding, Severity
from tankwright.husbandry.register import Line, Stock
from tankwright.units import clip
from tankwright.workspace.wall_days import begin_of, end_of

if TYPE_CHECKING:
    from tankwright.logbook.store import Logbook

NO_PAPER: Final = "PAPER-01"
NO_LINE: Final = "PAPER-02"
NO_BROOD: Final = "PAPER-03"
NO_DAY: Final = "PAPER-04"
REVERSED: Final = "PAPER-05"
TO_COME: Final = "PAPER-06"
NOTHING_KEPT: Final = "PAPER-07"
LATER_THAN_THAT: Final = "PAPER-09"

What = Literal["strain", "breeding", "census", "treatments", "losses", "seller", "inspection"]
WHATS: Final[tuple[What, ...]] = get_args(What)
By = Literal["tank", "line", "stock"]
BYS: Final[tuple[By, ...]] = get_args(By)
FIELDS: Final = ("line", "brood", "from", "until", "by", "to")
"""What may be said of a paper, beside which one it is."""

LONGEST_TO: Final = 60
_SHOWN: Final = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A paper that can be made. `begin` is None for from the first entry on; `end` is the last moment it tells of: the
    end of the day asked for, or now. `to` narrows what left to one who got it."""

    what: What
    end: datetime
    until: date
    begin: datetime | None = None
    since: date | None = None
    line: Line | None = None
    stock: Stock | None = None
    by: By = "tank"
    to: str = ""


def asked_for(
    book: Logbook | None, said: Mapping[str, str], now: datetime, *, plan: str = "logbook"
) -> Asked | tuple[Finding, ...]:
    """The paper that is asked for by `what` and the fields of `FIELDS`, or everything that is wrong with it.

    A line and a brood may be named by their id or as their keeper calls them. Days are those of the clock on the wall.
    """
    wrong: list[Finding] = []
    typed = {name: said.get(name, "").strip() for name in ("what", *FIELDS)}
    what = next((one for one in WHATS if one == typed["what"]), None)
    if what is None:
        wrong.append(_wrong(NO_PAPER, "paper", f'there is no paper "{clip(typed["what"])}"', typed["what"],
                            ", ".join(WHATS), _near(typed["what"], WHATS)))  # fmt: skip
    since, until = (_day(typed[name], name, wrong) for name in ("from", "until"))
    today = now.astimezone().date()
    for name, day in (("from", since), ("until", until)):
        if day is not None and day > today:
            wrong.append(_wrong(TO_COME, name, "is still to come", day.isoformat(), f"{today} or earlier"))
    if since is not None and until is not None and since > until:
        wrong.append(_wrong(
            REVERSED, "from", "lies after until: nothing is between them", f"{since} to {until}",
            "an earlier day first", f"{until} to {since}",
        ))  # fmt: skip
    by = next((one for one in BYS if one == (typed["by"] or "tank")), None)
    if by is None:
        wrong.append(
            _wrong(
                NO_PAPER, "by", f'nothing is grouped by "{clip(typed["by"])}"', typed["by"], ", ".join(BYS)
            )
        )
    if book is None or not book.newest_serial():
        wrong.append(_wrong(
            NOTHING_KEPT, plan, "nothing was ever entered, so there is nothing to put on paper", "an empty logbook",
            "entries: fish, counts, treatments", "enter what lives where first, on the page Fish",
        ))  # fmt: skip
        return tuple(wrong)
    end = now if until is None or until >= today else end_of(until)
    line = _line(book, typed["line"], end, wrong) if typed["line"] else None
    stock = _brood(book, typed["brood"], end, wrong) if typed["brood"] else None
    if what == "strain" and not typed["line"]:
        wrong.append(_wrong(NO_LINE, "line", "is not named: a strain sheet is of one line", "", _names(
            [one.name for one in book.lines()], "a line that is kept")))  # fmt: skip
    if what == "breeding" and not typed["brood"]:
        broods = [one.label for one in book.stocks(closed=True) if one.kind == "brood"]
        wrong.append(_wrong(NO_BROOD, "brood", "is not named: a breeding report is of one brood", "",
                            _names(broods, "a brood that was born here")))  # fmt: skip
    if wrong or what is None or by is None:
        return tuple(wrong)
    begin = None if since is None else begin_of(since)
    return Asked(
        what=what, begin=begin, since=since, end=end, until=until or today, line=line, stock=stock, by=by,
        to=typed["to"][:LONGEST_TO],
    )  # fmt: skip


def _day(typed: str, name: str, wrong: list[Finding]) -> date | None:
    if not typed:
        return None
    try:
        return date.fromisoformat(typed)
    except ValueError:
        wrong.append(_wrong(NO_DAY, name, "is no day", clip(typed), "a day such as 2026-08-02"))
        return None


def _line(book: Logbook, typed: str, end: datetime, wrong: list[Finding]) -> Line | None:
    lines = book.lines()
    found = next((one for one in lines if one.id == typed), None)
    found = found or next((one for one in lines if one.name.casefold() == typed.casefold()), None)
    names = [one.name for one in lines]
    if found is None:
        wrong.append(_wrong(NO_LINE, "line", f'there is no line "{clip(typed)}"', clip(typed),
                            _names(names, "a line that is kept"), _near(typed, names)))  # fmt: skip
    elif found.opened > end:
        wrong.append(_wrong(LATER_THAN_THAT, found.name, "was not kept yet on that day", _date(end),
                            f"{_date(found.opened)} or later"))  # fmt: skip
    return found


def _brood(book: Logbook, typed: str, end: datetime, wrong: list[Finding]) -> Stock | None:
    stocks = book.stocks(closed=True)
    some = [one for one in stocks if one.id == typed]
    some = some or [one for one in stocks if one.label.casefold() == typed.casefold()]
    labels = [one.label for one in stocks if one.kind == "brood"]
    if not some:
        wrong.append(_wrong(NO_BROOD, "brood", f'there are no fish called "{clip(typed)}"', clip(typed),
                            _names(labels, "a brood that was born here"), _near(typed, labels)))  # fmt: skip
        return None
    if len(some) > 1:
        wrong.append(_wrong(NO_BROOD, clip(typed), f"is what {len(some)} stocks are called", clip(typed),
                            "the id of one of them", some[-1].id))  # fmt: skip
    found = some[-1]
    if found.opened > end:
        wrong.append(_wrong(LATER_THAN_THAT, found.label, "was not there yet on that day", _date(end),
                            f"{_date(found.opened)} or later"))  # fmt: skip
    return found


def _date(moment: datetime) -> str:
    return f"{moment.astimezone():%Y-%m-%d}"


def _names(names: list[str], otherwise: str) -> str:
    if not names:
        return otherwise
    told = ", ".join(clip(one) for one in sorted(names)[:_SHOWN])
    return f"{told} ..." if len(names) > _SHOWN else told


def _near(typed: str, names: list[str] | tuple[str, ...]) -> str:
    return ", ".join(get_close_matches(typed, names, n=3, cutoff=0.5))


def _wrong(code: str, subject: str, text: str, found: str, wanted: str, attempt: str = "") -> Finding:
    return Finding(code=code, severity=Severity.PROBLEM, subject=subject, text=text, found=clip(found), wanted=wanted,
                   attempt=attempt)  # fmt: skip
