"""Price lists of shops as CSV: every line an offer, or a finding that says what is wrong with it.

The first line names the columns: `article`, `price`, and where wanted `shop`, `pack`, `unit`, `currency`, `date`,
`note`, `free_from`. A line whose article is "freight" is what its shop asks to bring an order, nothing for goods of
`free_from` or more. A line without a price offers nothing and is passed over. Cells are parted by comma, semicolon or
tab; a price may have a decimal comma and a currency sign. All mistakes of a list come in one pass; a line with one is
left out.
"""

from __future__ import annotations

import re
from calendar import monthrange
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from difflib import get_close_matches
from typing import Final

from tankwright.finding import Finding, Severity
from tankwright.takeoff.offers import Freight, Offer, currency_code, read_sold, same_currency
from tankwright.takeoff.table_text import (
    LONGEST_CELL,
    NotATable,
    Row,
    Table,
    is_currency,
    read_amount,
    read_table,
    table_text,
)
from tankwright.units import clip

NO_TABLE: Final = "BASKET-01"
BAD_LINE: Final = "BASKET-02"
MIXED: Final = "BASKET-03"
NO_PACK: Final = "BASKET-04"
LIKE: Final = "BASKET-05"
TWICE: Final = "BASKET-06"
BAD_DATE: Final = "BASKET-07"
NO_SHOP: Final = "BASKET-08"
COLUMNS: Final = ("article", "shop", "pack", "price", "currency", "unit", "date", "note", "free_from")
_OTHER_NAMES: Final = {"item": "article", "free from": "free_from", "free-from": "free_from"}
_WANTED: Final = "article, price, and if wanted shop, pack, unit, currency, date, note, free_from"
_FREIGHT: Final = {"freight", "shipping", "postage", "delivery"}
_MOST_MISTAKES: Final = 100
_DEAREST: Final = 1_000_000
_MOST_SOUGHT: Final = 60  # names nobody offers, looked for under other spellings
_ISO: Final = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})")
_OTHER_DATE: Final = re.compile(r"(\d{1,2})([./])(\d{1,2})\2(\d{4})")


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceLists:
    """What one list or several offer, in one currency (empty when no line names one), and what is wrong with them."""

    offers: tuple[Offer, ...] = ()
    freights: tuple[Freight, ...] = ()
    currency: str = ""
    findings: tuple[Finding, ...] = ()

    @property
    def refused(self) -> bool:
        """True when something must be mended before the lists can be gone by."""
        return any(one.severity is Severity.PROBLEM for one in self.findings)


def read_offers(raw: bytes | str, *, name: str = "prices", today: str = "", shop: str = "") -> PriceLists:
    """The offers of a list. `today` (ISO) tells prices of days to come; without it none is. `shop` is whose the lines
    are that name none.

    >>> got = read_offers("article;shop;price;pack\\nelbow 25 mm;Corner;£ 3,60;10\\nfreight;Corner;4.50;\\n")
    >>> got.offers[0].price, got.offers[0].pack, got.currency, got.freights[0].price, got.findings
    (Decimal('3.60'), 10.0, 'GBP', Decimal('4.50'), ())
    """
    text = (
        table_text(raw)
        if isinstance(raw, bytes)
        else raw.lstrip("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    )
    if isinstance(text, NotATable):
        return PriceLists(findings=(_no_table(name, text),))
    table = _renamed(read_table(text))
    reader = _Reader(name, table.sign, today, shop)
    if not reader.columns(table):
        return PriceLists(findings=tuple(reader.findings))
    for row in table.rows:
        reader.row(row)
    if table.broken is not None:
        reader.findings.append(_no_table(name, table.broken))
    if not reader.offers and not reader.freights and not reader.findings:
        reader.say(None, "holds no prices", code=NO_TABLE, wanted="a line for each thing")
    read = PriceLists(
        offers=tuple(reader.offers), freights=tuple(reader.freights),
        findings=tuple(reader.findings[:_MOST_MISTAKES]),
    )  # fmt: skip
    return together([read])


def together(lists: Sequence[PriceLists], *, currency: str = "", articles: Iterable[str] = ()) -> PriceLists:
    """Several lists as one: in one currency, nothing twice. `currency` is that of the job; `articles` are the names
    it wants, of which a near miss is told."""
    offers = [one for each in lists for one in each.offers]
    freights = [one for each in lists for one in each.freights]
    findings = [one for each in lists for one in each.findings]
    lines: list[Offer | Freight] = [*offers, *freights]
    told = Counter(one.currency for one in lines if one.currency)
    main = currency_code(currency) or (told.most_common(1)[0][0] if told else "")
    known = {(one.subject, one.line) for one in findings if one.code == MIXED}
    findings += [
        _mixed(one, main)
        for one in lines
        if not same_currency(one.currency, main) and (one.source, one.line) not in known
    ][:_MOST_MISTAKES]
    offers, twice = _once(offers)
    freights, again = _one_freight(freights)
    return PriceLists(
        offers=tuple(offers), freights=tuple(freights), currency=main,
        findings=(*findings, *twice, *again, *_near_misses(offers, tuple(articles))),
    )  # fmt: skip


class _Reader:
    """The lines of one list, one after the other."""

    def __init__(self, name: str, sign: str, today: str, shop: str) -> None:
        self.name, self.sign, self.today, self.shop = name, sign, today, shop
        self.offers: list[Offer] = []
        self.freights: list[Freight] = []
        self.findings: list[Finding] = []

    def say(self, line: int | None, text: str, *, code: str = BAD_LINE, wanted: str = "", found: str = "",
            attempt: str = "") -> None:  # fmt: skip
        """One mistake."""
        self.findings.append(Finding(
            code=code, severity=Severity.PROBLEM, subject=self.name, text=text, line=line, wanted=wanted,
            found=clip(found, 80), attempt=attempt,
        ))  # fmt: skip

    def columns(self, table: Table) -> bool:
        """True when there is something to read under the names of the columns."""
        names = table.columns
        if not names:
            self.say(None, "holds no prices", code=NO_TABLE, wanted="a line for each thing")
            return False
        for name in names:
            if name and name not in COLUMNS:
                near = get_close_matches(name, COLUMNS, 1)
                self.say(table.line, f'has a column "{clip(name)}" that means nothing here', code=NO_TABLE,
                         wanted=_WANTED, attempt=near[0] if near else "")  # fmt: skip
        for name, count in Counter(names).items():
            if count > 1 and name:
                self.say(table.line, f'has the column "{clip(name)}" twice', code=NO_TABLE, wanted=_WANTED)
        missing = [name for name in ("article", "price") if name not in names]
        if missing:
            shown = ", ".join(names)
            self.say(table.line, f"has no column {' and no column '.join(missing)}", code=NO_TABLE, wanted=_WANTED,
                     found=shown)  # fmt: skip
        return not missing

    def row(self, row: Row) -> None:
        """An offer or a freight, or all that is wrong with the line."""
        before = len(self.findings)
        cells = row.cells
        if row.too_many:
            self.say(
                row.line,
                "has more cells than there are columns",
                wanted='quotes round a text with a "," in it',
            )
            return
        long = next((cell for cell in cells.values() if len(cell) > LONGEST_CELL), None)
        if long is not None:
            self.say(
                row.line, "has a cell that is too long", wanted=f"at most {LONGEST_CELL} letters", found=long
            )
            return
        if cells.get("article", "") and not cells.get("price", ""):
            return  # of a list to be filled in: the shop does not have it
        article, shop = cells.get("article", ""), cells.get("shop", "") or self.shop
        if not article:
            self.say(row.line, "names no article", wanted="what it is that costs so much")
        if not shop:
            self.say(row.line, "names no shop", code=NO_SHOP, wanted="whose price it is, in a column shop")
        typed, sign = _without_sign(cells.get("price", ""))
        price = self._money(row.line, typed, "price", cells.get("price", ""))
        currency = self._currency(row.line, cells.get("currency", ""), sign)
        date = self._date(row.line, cells.get("date", ""))
        free = cells.get("free_from", "")
        free_from = self._money(row.line, _without_sign(free)[0], "free_from", free) if free else None
        if article.casefold() in _FREIGHT:
            if len(self.findings) == before and price is not None:
                self.freights.append(Freight(
                    shop=shop, price=price, free_from=free_from, currency=currency, source=self.name, line=row.line,
                ))  # fmt: skip
            return
        if free:
            self.say(
                row.line,
                "says free_from, which only a line of freight has",
                wanted="an empty cell",
                found=free,
            )
        pack = cells.get("pack", "")
        sold = read_sold(cells.get("unit", ""), pack, read_amount(pack, self.sign) if pack else None)
        if isinstance(sold, str):
            wanted = 'a pack such as 10 or "25 m"; a unit: piece, pack, roll, m, "6 m" or "2400 x 1200 mm"'
            self.say(row.line, sold, wanted=wanted)
        elif sold.pack_missing:
            text = f"does not say how much a {cells.get('unit', '')} holds"
            self.say(row.line, text, code=NO_PACK, wanted="a number in the column pack", found=article)
        elif len(self.findings) == before and price is not None:
            self.offers.append(Offer(
                article=article, shop=shop, price=price, currency=currency, pack=sold.pack, form=sold.form, date=date,
                note=cells.get("note", ""), source=self.name, line=row.line,
            ))  # fmt: skip

    def _money(self, line: int, typed: str, column: str, shown: str) -> Decimal | None:
        value = read_amount(typed, self.sign)
        if value is not None and 0 <= value <= _DEAREST:
            return value
        text = (
            f'"{clip(shown)}" is less than nothing'
            if value is not None and value < 0
            else f'"{clip(shown)}" is no {column}'
        )
        self.say(line, text, wanted="a number from 0 up, such as 1.20", found=shown)
        return None

    def _currency(self, line: int, written: str, sign: str) -> str:
        for one in (written, sign):
            if one and not is_currency(one):
                self.say(
                    line,
                    f'"{clip(one)}" is no currency',
                    wanted="three capitals, such as EUR, or a sign",
                    found=one,
                )
                return ""
        if written and sign and not same_currency(written, sign):
            self.say(
                line, f'says "{written}" and writes "{sign}"', code=MIXED, wanted="one currency", found=sign
            )
        return currency_code(written or sign)

    def _date(self, line: int, typed: str) -> str:
        if not typed:
            return ""
        date = read_date(typed)
        if date is None:
            self.say(line, f'"{clip(typed)}" is no date', code=BAD_DATE, wanted="year, month and day: 2026-05-31",
                     found=typed)  # fmt: skip
        elif self.today and date > self.today:
            self.say(line, f"is dated {date}, which is still to come", code=BAD_DATE, found=typed,
                     wanted=f"the day the price was seen, up to {self.today}")  # fmt: skip
        return date or ""


def read_date(typed: str) -> str | None:
    """A day as ISO; None when it is none, or could be read as two.

    >>> read_date("2026-5-31"), read_date("31.5.2026"), read_date("13/5/2026"), read_date("4/5/2026")
    ('2026-05-31', '2026-05-31', '2026-05-13', None)
    """
    if (iso := _ISO.fullmatch(typed)) is not None:
        year, month, day = (int(part) for part in iso.groups())
    elif (other := _OTHER_DATE.fullmatch(typed)) is not None:
        day, month, year = int(other[1]), int(other[3]), int(other[4])
        if other[2] == "/":
            if day <= 12 and month <= 12 and day != month:
                return None
            day, month = (day, month) if month <= 12 else (month, day)
    else:
        return None
    if not (1900 <= year <= 2999 and 1 <= month <= 12 and 1 <= day <= monthrange(year, month)[1]):
        return None
    return f"{year:04d}-{month:02d}-{day:02d}"


def _without_sign(typed: str) -> tuple[str, str]:
    """A price and the currency written with it."""
    match = re.fullmatch(r"([A-Z]{3}|[€£$¥])?\s*([^A-Z€£$¥]*?)\s*([A-Z]{3}|[€£$¥])?", typed)
    if match is None or (match[1] and match[3]):
        return typed, ""
    return match[2], match[1] or match[3] or ""


def _renamed(table: Table) -> Table:
    def name(column: str) -> str:
        return _OTHER_NAMES.get(column, column)

    rows = tuple(
        replace(row, cells={name(key): cell for key, cell in row.cells.items()}) for row in table.rows
    )
    return replace(table, columns=tuple(name(column) for column in table.columns), rows=rows)


def _no_table(name: str, what: NotATable) -> Finding:
    return Finding(
        code=NO_TABLE,
        severity=Severity.PROBLEM,
        subject=name,
        text=what.text,
        line=what.line,
        wanted=what.wanted,
    )


def _mixed(one: Offer | Freight, main: str) -> Finding:
    return Finding(
        code=MIXED, severity=Severity.PROBLEM, subject=one.source, line=one.line, found=one.currency,
        text=f"is in {one.currency}, where the job is in {main}", wanted=f"every price in {main}",
    )  # fmt: skip


def _once(offers: Sequence[Offer]) -> tuple[list[Offer], list[Finding]]:
    """Of two prices of one shop for the same pack the later counts; of one day, or of none, the dearer."""
    kept: dict[object, Offer] = {}
    findings = []
    for one in offers:
        key = (one.key, one.shop.casefold(), one.pack)
        other = kept.get(key)
        if other is None:
            kept[key] = one
            continue
        taken = max((other, one), key=lambda offer: (offer.date, offer.price))
        kept[key] = taken
        findings.append(Finding(
            code=TWICE, severity=Severity.WARNING, subject=one.source, line=one.line,
            text=f"offers {clip(one.article)} again at {clip(one.shop)}, at {one.price} after {other.price}"
                 f"; {taken.price} is taken",
            remedy="take the line out that does not hold any more",
        ))  # fmt: skip
    return list(kept.values()), findings


def _one_freight(freights: Sequence[Freight]) -> tuple[list[Freight], list[Finding]]:
    kept: dict[str, Freight] = {}
    findings = []
    for one in freights:
        other = kept.setdefault(one.shop.casefold(), one)
        if (other.price, other.free_from) != (one.price, one.free_from):
            findings.append(Finding(
                code=TWICE, severity=Severity.PROBLEM, subject=one.source, line=one.line,
                text=f"names another freight of {clip(one.shop)}: {one.price} after {other.price}",
                wanted="one line of freight a shop",
            ))  # fmt: skip
    return list(kept.values()), findings


def _near_misses(offers: Sequence[Offer], articles: tuple[str, ...]) -> list[Finding]:
    """Offers that nobody wants by that name, though something wanted is called almost so."""
    wanted = {_bare(name): name for name in articles}
    offered = {_bare(one.article): one for one in offers}
    missing = [name for name in wanted if name not in offered][:_MOST_SOUGHT]
    strange = [name for name in offered if name not in wanted]
    findings: dict[str, Finding] = {}
    for name in missing:
        for near in get_close_matches(name, strange, 1, 0.85):
            one = offered[near]
            findings[near] = Finding(
                code=LIKE, severity=Severity.WARNING, subject=one.source, line=one.line, found=clip(one.article),
                text=f'offers "{clip(one.article)}", which nothing of the job is called', attempt=wanted[name],
                remedy="write it as the parts list does, if it is the same thing",
            )  # fmt: skip
    return list(findings.values())


def _bare(name: str) -> str:
    return re.sub(r"\s+", "", name).casefold()
