"""Lines, stocks and sets as the logbook has them, worked out for a view; and a set that is made after it was tried."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TYPE_CHECKING, Final

from tankwright.finding import Finding, Severity
from tankwright.husbandry.closed_line import MOST_INBREEDING
from tankwright.husbandry.kinship import Kinships, kinships
from tankwright.husbandry.line_findings import pedigree_findings, standing_findings
from tankwright.husbandry.lines import Held, LineStanding, held_of, line_standing
from tankwright.husbandry.pedigree import Pedigree, pedigree_of
from tankwright.husbandry.records import Draft, Plain
from tankwright.husbandry.register import BreedingSet, Line, Member, Sex
from tankwright.logbook.outcome import By, Recorded, Refused
from tankwright.workspace.log import RoomLog

if TYPE_CHECKING:
    from tankwright.logbook.store import Logbook

NO_SET: Final = "LINE-20"
"""The code of a set that is typed wrongly."""

MOST_MEMBERS: Final = 12
_SEXES: Final[Mapping[str, Sex]] = {"male": "male", "female": "female", "": ""}


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptLines:
    """All lines of a book with their pedigree, and what lives."""

    lines: Mapping[str, Line]
    pedigree: Pedigree
    held: Mapping[str, Held]
    places: Mapping[str, str]

    @property
    def names(self) -> Mapping[str, str]:
        """What each stock is called."""
        return {key: one.label or key for key, one in self.pedigree.stocks.items()}

    def standing(self, line: Line, limit: float = MOST_INBREEDING) -> LineStanding:
        """How a line stands."""
        return line_standing(line, self.pedigree, self.held, limit=limit)

    def kinships_of(self, standing: LineStanding) -> Kinships | None:
        """The kinships of the living stocks of a line; None where they are too many."""
        return None if standing.too_many else kinships(self.pedigree, (one.stock for one in standing.held))

    def findings(self, standing: LineStanding, now: datetime) -> tuple[Finding, ...]:
        """What is to be said of a line, worst first: of its pedigree and of how it stands."""
        own = pedigree_findings(self.of_line(standing.line), self.lines)
        order = list(Severity)
        found = (*own, *standing_findings(standing, now.date()))
        return tuple(sorted(found, key=lambda one: order.index(one.severity)))

    def of_line(self, line: Line) -> Pedigree:
        """The part of the pedigree that a line's findings are about: its stocks, the sets they came from or are in,
        and the parents in those; what those came from themselves is left out."""
        every = self.pedigree
        own = {key for key, one in every.stocks.items() if one.line == line.id}
        named = {share.breeding_set for key in own for share in every.stocks[key].origin}
        sets = [
            one
            for key, one in every.sets.items()
            if key in named or any(member.stock in own for member in one.members)
        ]
        around = {member.stock for one in sets for member in one.members}
        around |= {share.founders for key in own for share in every.stocks[key].origin}
        stocks = [
            one if key in own else replace(one, origin=())
            for key, one in every.stocks.items()
            if key in own or key in around
        ]
        found = pedigree_of(stocks, sets)
        return replace(found, loops=tuple(loop for loop in every.loops if own & {key for _, key in loop}))


def kept_lines(book: Logbook) -> KeptLines:
    """What a book has of lines, stocks closed and open, and sets."""
    return KeptLines(
        lines={one.id: one for one in book.lines()},
        pedigree=pedigree_of(book.stocks(closed=True), book.sets()),
        held=held_of(book.holdings()),
        places={one.id: one.label for one in book.places(closed=True)},
    )


def typed_set(said: Mapping[str, str], kept: KeptLines, at: datetime) -> BreedingSet | tuple[Finding, ...]:
    """A set from the fields of a form or an address: `stock1`, `sex1`, `count1`, `low1`, `high1` and so on; all that is
    wrong with them in one pass. Rows without a stock are left out."""
    members: list[Member] = []
    wrong: list[Finding] = []
    for number in range(1, MOST_MEMBERS + 1):
        stock = said.get(f"stock{number}", "").strip()
        if not stock:
            continue
        known = kept.pedigree.stocks.get(stock)
        if known is None:
            wrong.append(
                _wrong(f"fish {number}", "is of no stock that is known", stock, "a stock of the list")
            )
            continue
        name = known.label or stock
        count = _whole(said.get(f"count{number}", ""))
        if count is None or count < 1:
            wrong.append(
                _wrong(
                    name, "has a number of fish that cannot be", said.get(f"count{number}", ""), "1 or more"
                )
            )
        elif known.kind == "individual" and count > 1:
            wrong.append(_wrong(name, "is a single fish", str(count), "1"))
        elif count > (living := kept.held[stock].high if stock in kept.held else 0):
            wrong.append(_wrong(name, f"has {living} living fish", str(count), f"at most {living}"))
        shares = [_part(said.get(f"{bound}{number}", "")) for bound in ("low", "high")]
        if any(one is False for one in shares):
            wrong.append(_wrong(name, "has a share that cannot be", " to ".join(
                said.get(f"{bound}{number}", "") for bound in ("low", "high")), "a share from 0 to 100 %"))  # fmt: skip
        sex = _SEXES.get(said.get(f"sex{number}", ""), "")
        if known.sex and sex and known.sex != sex:
            wrong.append(_wrong(name, f"is {known.sex}", sex, known.sex))
        low, high = (one if isinstance(one, float) else None for one in shares)
        members.append(
            Member(stock=stock, count=count or 1, sex=sex or known.sex, share_low=low, share_high=high)
        )
    if not members and not wrong:
        wrong.append(_wrong("the set", "has no fish in it", "", "a male and a female, or more"))
    if wrong:
        return tuple(wrong)
    return BreedingSet(id="", members=tuple(members), opened=at, label=said.get("label", "").strip()[:80])


def make_set(log: RoomLog, said: Mapping[str, str], by: By) -> Recorded | Refused:
    """Record that fish are put together, as the fields of a form say; refused with all that is wrong with them."""
    book, now = log.book, log.now()
    made = typed_set(said, kept_lines(book), now)
    if not isinstance(made, BreedingSet):
        return Refused(findings=made)
    members: tuple[Plain, ...] = tuple(
        {
            "stock": one.stock,
            "count": one.count,
            "sex": one.sex,
            **({"share_low": one.share_low} if one.share_low is not None else {}),
            **({"share_high": one.share_high} if one.share_high is not None else {}),
        }
        for one in made.members
    )
    details: dict[str, Plain] = {"set": log.new_id(), "members": members}
    if made.label:
        details["label"] = made.label
    return book.record([Draft(kind="set_made", happened=now, details=details)], by)


def _whole(text: str) -> int | None:
    text = text.strip() or "1"
    return int(text) if text.isascii() and text.isdigit() and len(text) < 7 else None


def _part(text: str) -> float | bool | None:
    """A share in per cent as typed; None when nothing is, False when it cannot be."""
    text = text.strip().removesuffix("%").strip().replace(",", ".")
    if not text:
        return None
    try:
        value = float(text) / 100
    except ValueError:
        return False
    return value if 0 <= value <= 1 else False


def _wrong(subject: str, text: str, found: str, wanted: str) -> Finding:
    return Finding(
        code=NO_SET, severity=Severity.PROBLEM, subject=subject, text=text, found=found[:80], wanted=wanted
    )
