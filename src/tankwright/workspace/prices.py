"""Price lists: a table a keeper brings along as CSV, checked line by line and kept under a name made here.

The first line names the columns: `item` (the article, as the parts list calls it), `price`, and if wanted `pack`,
`unit`, `currency`, `shop`, `date`, `note`, `free_from`. Columns are parted by comma, semicolon or tab; with the last
two a price may have a decimal comma. What a line means for a basket is read by `takeoff.prices`; a list is kept only
when all of it can be.
"""

from __future__ import annotations

import json
import re
import secrets
from collections.abc import Callable, Iterator
from contextlib import ExitStack, suppress
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from pathlib import Path
from threading import Lock
from typing import Any, Final

from tankwright.finding import Finding, Severity
from tankwright.takeoff.prices import read_offers
from tankwright.takeoff.table_text import (
    LARGEST,
    LONGEST_CELL,
    NotATable,
    Row,
    is_currency,
    read_amount,
    read_table,
    table_text,
)
from tankwright.units import clip
from tankwright.workspace.disk import (
    BusyError,
    folder_of,
    held,
    settled,
    utc_from_text,
    utc_text,
    utcnow,
    why,
    write_json,
    write_whole,
)
from tankwright.workspace.outcomes import trouble

__all__ = ["COLUMNS", "LARGEST", "MOST_LISTS", "Price", "PriceBook", "PriceList", "read_prices"]

MOST_LISTS: Final = 50
NOT_KEPT: Final = "PRICE-01"
NO_TABLE: Final = "PRICE-02"
BAD_LINE: Final = "PRICE-03"
COLUMNS: Final = ("item", "article", "price", "pack", "unit", "currency", "shop", "date", "note", "free_from")
_WANTED: Final = "item, price, and if wanted pack, unit, currency, shop, date, note"
_MOST_MISTAKES: Final = 100
_ID: Final = re.compile(r"[0-9a-f]{16}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """One line of a list: what a `pack` of a thing costs, counted in `unit`, when it was seen."""

    item: str
    price: Decimal
    pack: str = ""
    unit: str = ""
    currency: str = ""
    shop: str = ""
    date: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceList:
    """One list. `title` is what its owner calls it, only ever shown; `shop` whose its lines are that name none."""

    id: str
    title: str
    added: datetime
    who: str
    prices: tuple[Price, ...]

    @property
    def shop(self) -> str:
        """The title without the end of a file's name."""
        return re.sub(r"(?i)\.(csv|txt|tsv)$", "", self.title) or self.title


def read_prices(raw: bytes) -> tuple[Price, ...] | tuple[Finding, ...]:
    """The prices of a CSV file, or all that is wrong with it, by line. Never raises for what it holds.

    >>> read_prices(b"item;price\\nelbow 25 mm;1,20\\n")[0].price
    Decimal('1.20')
    >>> read_prices(b"%PDF-1.4")[0].text
    'is a PDF, not a table in CSV'
    """
    text = table_text(raw)
    if isinstance(text, NotATable):
        return (_no_table(text),)
    table = read_table(text)
    wrong = _wrong_columns(table.columns, table.line) if table.columns else None
    if wrong is not None:
        return (wrong,)
    read = [(row.line, _price(row, table.sign)) for row in table.rows if not _passed_over(row)]
    prices = tuple(one for _, one in read if isinstance(one, Price))
    findings = [_at(line, *one) for line, one in read if not isinstance(one, Price)][:_MOST_MISTAKES]
    if table.broken is not None:
        findings.append(_no_table(table.broken))
    if not prices and not findings:
        findings.append(trouble(NO_TABLE, "the list", "holds no prices", wanted="a line for each thing"))
    return tuple(findings) or prices


def _no_table(what: NotATable) -> Finding:
    if what.line is None:
        return trouble(NO_TABLE, "the list", what.text, wanted=what.wanted)
    return _at(what.line, what.text, what.wanted)


def _wrong_columns(columns: tuple[str, ...], line: int) -> Finding | None:
    unknown = [name for name in columns if name not in COLUMNS]
    named = sum(name in ("item", "article") for name in columns)
    if unknown or named != 1 or "price" not in columns or len(set(columns)) < len(columns):
        text = (
            "is not the names of the columns" if len(unknown) > 1 else "does not name the columns it should"
        )
        return _at(line, text, _WANTED, ", ".join(columns))
    return None


def _passed_over(row: Row) -> bool:
    """True for a line of a list to be filled in that nobody gave a price."""
    named = row.cells.get("item", "") or row.cells.get("article", "")
    return bool(named) and not row.cells.get("price", "") and row.too_many <= 0


def _price(of: Row, sign: str) -> Price | tuple[str, str, str]:
    """The price of a row; or what is wrong, what is wanted, what was found."""
    if of.too_many > 0:
        return "has more cells than there are columns", 'quotes round a text with a "," in it', ""
    row = of.cells
    long = next((cell for cell in row.values() if len(cell) > LONGEST_CELL), None)
    if long is not None:
        return "has a cell that is too long", f"at most {LONGEST_CELL} letters", clip(long)
    item = row.get("item", "") or row.get("article", "")
    if not item:
        return "names no thing", "what it is that costs so much", ""
    typed = row.get("price", "")
    price = read_amount(typed, sign)
    if price is None or price < 0 or price > 1_000_000:
        return f'"{clip(typed)}" is no price', "a number from 0 up, such as 1.20", clip(typed)
    currency = row.get("currency", "")
    if currency and not is_currency(currency):
        return f'"{clip(currency)}" is no currency', "three capitals, such as EUR, or a sign", clip(currency)
    return Price(
        item=item, price=price, pack=row.get("pack", ""), unit=row.get("unit", ""), currency=currency,
        shop=row.get("shop", ""), date=row.get("date", ""), note=row.get("note", ""),
    )  # fmt: skip


def _cannot_be_bought_by(raw: bytes) -> tuple[Finding, ...]:
    """What a basket could not read in a list that is one: a unit that is none, a box that holds nobody knows what."""
    return tuple(
        _at(one.line or 1, one.text, one.wanted, one.found)
        for one in read_offers(raw, name="the list", shop="the list").findings
        if one.severity is Severity.PROBLEM
    )


def _at(line: int, text: str, wanted: str, found: str = "") -> Finding:
    return Finding(
        code=BAD_LINE, severity=Severity.PROBLEM, subject=f"line {line}", text=text, line=line, found=clip(found, 80),
        wanted=wanted,
    )  # fmt: skip


class PriceBook:
    """The price lists of one plan."""

    def __init__(self, plan: Path, *, now: Callable[[], datetime] = utcnow) -> None:
        self._beside = folder_of(settled(plan))
        self.folder = self._beside / "prices"
        self._now = now
        self._lock = Lock()

    def add(self, raw: bytes, *, title: str, who: str) -> PriceList | tuple[Finding, ...]:
        """Keep a list, all of it or, when anything is wrong with it, nothing."""
        read = read_prices(raw)
        prices = tuple(one for one in read if isinstance(one, Price))
        if not prices:
            return tuple(one for one in read if isinstance(one, Finding))
        wrong = _cannot_be_bought_by(raw)
        if wrong:
            return wrong
        name = secrets.token_hex(8)
        shown = clip(re.split(r"[\\/]", title.strip())[-1] or "price list", 80)
        about = {"title": shown, "added": utc_text(self._now()), "who": clip(who, 80)}
        with self._lock, ExitStack() as stack:
            try:
                self._beside.mkdir(exist_ok=True)
                stack.enter_context(held(self._beside))
                self.folder.mkdir(exist_ok=True)
                if len(tuple(self._names())) >= MOST_LISTS:
                    many = trouble(NOT_KEPT, "price lists", "are too many", wanted=f"at most {MOST_LISTS}")
                    return (many,)
                write_whole(self.folder / f"{name}.csv", raw)
                write_json(self.folder / f"{name}.json", about)  # last: a list without it is not there
            except OSError as error:
                busy = isinstance(error, BusyError)
                said = "is held by another program" if busy else f"cannot be written: {clip(why(error))}"
                return (trouble(NOT_KEPT, clip(self._beside.name), said, wanted="a folder you may write"),)
        kept = self.get(name)
        return kept if kept is not None else (trouble(NOT_KEPT, clip(shown), "was taken away at once"),)

    def get(self, name: str) -> PriceList | None:
        """The list of that id; None when there is none, or it cannot be read any more."""
        if not _ID.fullmatch(name):
            return None
        try:
            about: Any = json.loads((self.folder / f"{name}.json").read_bytes()[:LARGEST])
            read = read_prices((self.folder / f"{name}.csv").read_bytes())
            prices = tuple(one for one in read if isinstance(one, Price))
            return PriceList(
                id=name, title=str(about["title"]), added=utc_from_text(about["added"]), who=str(about["who"]),
                prices=prices,
            ) if prices else None  # fmt: skip
        except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
            return None

    def text(self, name: str) -> bytes | None:
        """The list of that id as it was sent; None when there is none."""
        if not _ID.fullmatch(name):
            return None
        with suppress(OSError):
            return (self.folder / f"{name}.csv").read_bytes()
        return None

    def lists(self) -> tuple[PriceList, ...]:
        """All lists, the newest first."""
        found = (self.get(name) for name in self._names())
        return tuple(
            sorted((one for one in found if one is not None), key=lambda one: one.added, reverse=True)
        )

    def remove(self, name: str) -> bool:
        """Take a list out; False when there is none of that id or it cannot be taken out."""
        if not _ID.fullmatch(name):
            return False
        with self._lock:
            try:
                (self.folder / f"{name}.json").unlink()
            except OSError:
                return False
            with suppress(OSError):
                (self.folder / f"{name}.csv").unlink()
            return True

    def _names(self) -> Iterator[str]:
        with suppress(OSError):
            for place in sorted(self.folder.glob("*.json")):
                if _ID.fullmatch(place.stem):
                    yield place.stem
