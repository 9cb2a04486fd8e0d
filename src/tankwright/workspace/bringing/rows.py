"""Rows of a table to events: what each says, or why it is not understood."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta, tzinfo
from typing import Final

from tankwright.finding import Finding, Severity
from tankwright.husbandry.facts import (
    Tally,
    came,
    counted,
    culled,
    died,
    died_unassigned,
    left,
    moved,
    spawned,
)
from tankwright.husbandry.records import Draft, Plain
from tankwright.units import clip
from tankwright.workspace.bringing.columns import QUANTITIES, Role, TableReading, TableSort
from tankwright.workspace.bringing.dates import read_date
from tankwright.workspace.bringing.tables import Cell, Table
from tankwright.workspace.bringing.values import UnclearError, read_cell

NOT_UNDERSTOOD: Final = "TAKE-04"
NO_COLUMN: Final = "TAKE-05"

# What people write for what happened: common practice, no source.
_DEEDS: Final[dict[str, tuple[str, ...]]] = {
    "died": ("died", "dead", "death", "deaths", "loss", "lost", "doa"),
    "culled": ("culled", "cull"),
    "born": ("born", "birth", "fry", "drop", "dropped", "hatch", "hatched"),
    "spawned": ("spawn", "spawned", "eggs", "laid", "laid eggs"),
    "arrived": ("arrived", "bought", "added", "new", "in", "purchase", "purchased", "got", "received"),
    "sold": ("sold", "sale"),
    "given": ("given", "gave", "gave away", "given away", "gift"),
    "moved": ("moved", "move", "transfer", "transferred"),
    "counted": ("counted", "count", "census"),
    "fed": ("fed", "feeding", "feed"),
    "cleaned": ("water change", "wc", "filter", "cleaned", "rinsed", "filter rinse"),
    "treated": ("treated", "treatment", "medicated"),
    "noted": ("note", "noted", "remark"),
}  # fmt: skip
_NEEDED: Final[dict[TableSort, tuple[Role, ...]]] = {
    "tests": ("date", "tank"), "events": ("date", "tank", "what"), "tanks": ("tank", "number"),
}  # fmt: skip
_WITH_NUMBER: Final = frozenset({"died", "culled", "born", "arrived", "sold", "given", "moved", "counted"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Understood:
    """A row and the events it says, with the words that tell its owner so."""

    row: int
    drafts: tuple[Draft, ...]
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What a table is read against: ids of places, lines and stocks by label, which stocks are in which place, now,
    the zone its times are in, and a maker of names."""

    places: Mapping[str, str]
    lines: Mapping[str, str]
    stocks: Mapping[str, str]
    living: Mapping[str, tuple[str, ...]]
    now: datetime
    zone: tzinfo
    new_id: Callable[[], str]


@dataclass(slots=True)
class _Reader:
    """One pass over a table; what earlier rows opened is known to later ones."""

    reading: TableReading
    known: Known
    places: dict[str, str] = field(default_factory=dict)
    lines: dict[str, str] = field(default_factory=dict)
    stocks: dict[str, str] = field(default_factory=dict)
    living: dict[str, list[str]] = field(default_factory=dict)
    opened: list[tuple[dict[str, str], str]] = field(default_factory=list)
    """What the row that is being read opened: a row that fails in the end opened nothing."""

    def open(self, names: dict[str, str], label: str, new: str) -> None:
        """A place, line or stock that is there from this row on."""
        names[label.casefold()] = new
        self.opened.append((names, label.casefold()))

    def forget(self) -> None:
        """Take back what the row opened."""
        for names, label in self.opened:
            del names[label]

    def __post_init__(self) -> None:
        self.places = {label.casefold(): one for label, one in self.known.places.items()}
        self.lines = {label.casefold(): one for label, one in self.known.lines.items()}
        self.stocks = {label.casefold(): one for label, one in self.known.stocks.items()}
        self.living = {place: list(stocks) for place, stocks in self.known.living.items()}


def understood_rows(
    table: Table, reading: TableReading, known: Known, progress: Callable[[int, int], None] | None = None
) -> tuple[tuple[Understood, ...], tuple[Finding, ...]]:
    """Every row as events, and every row that is not understood with why. A row is understood whole or not at all.

    Rows are taken in the order of their dates, so that fish arrive before they die.
    """
    missing = _missing(reading)
    if missing is not None:
        return (), (missing,)
    reader = _Reader(reading, known)
    found: list[Understood] = []
    wrong: list[Finding] = []
    dated: list[tuple[datetime, int, tuple[Cell, ...]]] = []
    for number, row in table.rows:
        try:
            dated.append((_moment(reader, row), number, row))
        except UnclearError as error:
            wrong.append(_told(number, error))
    dated.sort(key=lambda one: (one[0], one[1]))
    for done, (at, number, row) in enumerate(dated):
        if progress is not None and done % 500 == 0:
            progress(done, len(dated))
        reader.opened.clear()
        try:
            found.append(_row(reader, at, number, row))
        except UnclearError as error:
            reader.forget()
            wrong.append(_told(number, error))
    return tuple(found), tuple(sorted(wrong, key=lambda one: one.line or 0))


def _missing(reading: TableReading) -> Finding | None:
    needed = _NEEDED[reading.sort]
    lacking = [role for role in needed if reading.column(role) is None]
    if reading.sort == "tests" and not any(role in QUANTITIES for role in reading.roles):
        lacking.append("ph")
    if not lacking:
        return None
    return Finding(
        code=NO_COLUMN, severity=Severity.PROBLEM, subject="table", wanted=" and ".join(lacking),
        text=f"has no column that is known to say the {lacking[0]}", remedy="say which column it is",
    )  # fmt: skip


def _told(number: int, error: UnclearError) -> Finding:
    return Finding(
        code=NOT_UNDERSTOOD, severity=Severity.WARNING, subject=f"row {number}", line=number, text=error.text,
        found=f"{error.column}: {clip(error.found)}" if error.column else clip(error.found), wanted=error.wanted,
    )  # fmt: skip


def _said(reader: _Reader, row: tuple[Cell, ...], role: Role) -> str:
    at = reader.reading.column(role)
    if at is None:
        return ""
    cell = row[at]
    return cell.date().isoformat() if isinstance(cell, datetime) else cell


def _moment(reader: _Reader, row: tuple[Cell, ...]) -> datetime:
    at = reader.reading.column("date")
    if at is None:
        return reader.known.now
    cell = row[at]
    local = read_date(cell, reader.reading.day_order)
    if local is None:
        raise UnclearError(
            "date", str(cell), "has a date that cannot be read" if cell else "has no date",
            "2026-08-02, or say whether the day or the month stands first",
        )  # fmt: skip
    hour = _said(reader, row, "time")
    if hour:
        parts = hour.replace(".", ":").split(":")
        try:
            local = local.replace(hour=int(parts[0]), minute=int(parts[1]) if len(parts) > 1 else 0)
        except ValueError:
            raise UnclearError("time", hour, "has a time that cannot be read", "18:30") from None
    moment = local.replace(tzinfo=reader.known.zone).astimezone(UTC)
    if moment > reader.known.now + timedelta(hours=12):
        raise UnclearError("date", str(cell), "lies ahead of today", "a day that has been")
    return min(moment, reader.known.now)


def _place(
    reader: _Reader, row: tuple[Cell, ...], at: datetime, role: Role = "tank"
) -> tuple[str, list[Draft]]:
    label = _said(reader, row, role)
    if not label:
        raise UnclearError(role, "", "names no tank", "the tank's name")
    known = reader.places.get(label.casefold())
    if known is not None:
        return known, []
    if not reader.reading.opens_places:
        raise UnclearError(role, label, "names a tank the room does not have",
                            "a tank of the plan, or let places of old be opened")  # fmt: skip
    place = reader.known.new_id()
    reader.open(reader.places, label, place)
    return place, [
        Draft(kind="place_opened", happened=at, place=place, details={"label": label, "kind": "outside"})
    ]


def _whole(reader: _Reader, row: tuple[Cell, ...], *, otherwise: int | None = None) -> int:
    text = _said(reader, row, "number")
    if not text and otherwise is not None:
        return otherwise
    number = text.replace(" ", "")
    if not number.isdecimal() or len(number) > 6:
        raise UnclearError(
            "number", text, "has no whole number of fish" if text else "does not say how many", "12"
        )
    return int(number)


def _row(reader: _Reader, at: datetime, number: int, row: tuple[Cell, ...]) -> Understood:
    if reader.reading.sort == "tests":
        return _test(reader, at, number, row)
    if reader.reading.sort == "events":
        return _event(reader, at, number, row)
    return _tank(reader, at, number, row)


def _test(reader: _Reader, at: datetime, number: int, row: tuple[Cell, ...]) -> Understood:
    place, before = _place(reader, row, at)
    read = []
    for column, role in enumerate(reader.reading.roles):
        if role in QUANTITIES and row[column]:
            read.append(read_cell(role, str(row[column]), reader.reading.units[column]))
    if not read:
        raise UnclearError("", "", "has no value in any column of a test", "a value")
    draft = Draft(
        kind="tested", happened=at, place=place, observed=tuple(read), note=_said(reader, row, "note"),
    )  # fmt: skip
    said = ", ".join(f"{one.quantity} {one.value:g} {one.unit}".strip() for one in read)
    return Understood(row=number, drafts=(*before, draft), says=f"{_said(reader, row, 'tank')}: {said}")


def _event(reader: _Reader, at: datetime, number: int, row: tuple[Cell, ...]) -> Understood:
    said = " ".join(_said(reader, row, "what").casefold().split())
    deed = next((name for name, words in _DEEDS.items() if said in words), "")
    if not deed:
        raise UnclearError("what", said, "says something that is not known", ", ".join(_DEEDS))
    place, before = _place(reader, row, at)
    note = _said(reader, row, "note")
    many = (
        _whole(reader, row, otherwise=None if deed in {"counted", "arrived", "born"} else 1)
        if deed in _WITH_NUMBER
        else 0
    )
    says = f"{_said(reader, row, 'tank')}: {deed}{f' {many}' if deed in _WITH_NUMBER else ''}"
    if deed not in _WITH_NUMBER:
        return Understood(row=number, drafts=(*before, _plain_deed(deed, place, at, said, note)), says=says)
    stock, opened = _stock_of(reader, row, at, place, opens=deed in {"arrived", "born"})
    draft = _with_fish(reader, row, deed, stock, place, many, at, note)
    to: list[Draft] = []
    if deed == "moved":
        target, to = _place(reader, row, at, "to")
        draft = moved(stock, place, target, many, at, note=note)
        reader.living.setdefault(target, []).append(stock)
    return Understood(row=number, drafts=(*before, *opened, *to, draft), says=says)


def _plain_deed(deed: str, place: str, at: datetime, said: str, note: str) -> Draft:
    if deed == "spawned":
        return spawned(place, at, note=note)
    if deed == "cleaned":
        return Draft(kind="cleaned", happened=at, place=place, note=note, details={"what": said})
    if deed == "treated":
        return Draft(
            kind="treated", happened=at, place=place, note=note, details={"with": note or "not said"}
        )
    if deed == "fed":
        return Draft(kind="fed", happened=at, place=place, note=note)
    return Draft(kind="noted", happened=at, place=place, note=note or said)


def _with_fish(
    reader: _Reader, row: tuple[Cell, ...], deed: str, stock: str, place: str, many: int, at: datetime, note: str,
) -> Draft:  # fmt: skip
    if not stock:
        if deed == "died":
            return died_unassigned(place, many, at, note=note)
        raise UnclearError("stock", "", "does not say which fish, and the tank has none or several",
                            "a column with the name of the stock")  # fmt: skip
    price = _said(reader, row, "price").replace(",", ".")
    more: dict[str, Plain] = {}
    if price.replace(".", "", 1).isdecimal():
        more["price"] = float(price)
    match deed:
        case "died":
            return died(stock, place, many, at, note=note)
        case "culled":
            return culled(stock, place, many, at, note=note)
        case "arrived" | "born":
            who = _said(reader, row, "from")
            extra = {**more, **({"from": who} if who else {})} if deed == "arrived" else {}
            return came("arrived" if deed == "arrived" else "born", stock, place, Tally(number=many), at, note=note,
                        details=extra)  # fmt: skip
        case "sold" | "given":
            return left(
                stock, place, many, at, "sold" if deed == "sold" else "given", note=note, details=more
            )
        case _:
            return counted(stock, place, many, at, note=note)


def _stock_of(
    reader: _Reader, row: tuple[Cell, ...], at: datetime, place: str, *, opens: bool
) -> tuple[str, list[Draft]]:
    """The stock a row is of: named, or the only one in its tank, or opened when its fish come from outside."""
    label = _said(reader, row, "stock")
    known = reader.stocks.get(label.casefold()) if label else None
    living = reader.living.setdefault(place, [])
    if known is None and not label and len(set(living)) == 1:
        known = living[0]
    if known is not None:
        if opens and known not in living:
            living.append(known)
        return known, []
    if not opens and not label:
        return "", []
    return _opened_stock(reader, row, at, place, label)


def _opened_stock(
    reader: _Reader, row: tuple[Cell, ...], at: datetime, place: str, label: str
) -> tuple[str, list[Draft]]:
    line, drafts = _line(reader, row, at)
    name = label or _free(
        reader, _said(reader, row, "line") or _said(reader, row, "species") or _said(reader, row, "tank")
    )
    stock = reader.known.new_id()
    sex = _said(reader, row, "sex").casefold()[:1]
    details: dict[str, Plain] = {
        "label": name, "kind": "group", "sex": {"m": "male", "f": "female"}.get(sex, ""),
    }  # fmt: skip
    born = read_date(_said(reader, row, "born"), reader.reading.day_order)
    if born is not None:
        details["born"] = born.date().isoformat()
    if _said(reader, row, "from"):
        details["came_from"] = _said(reader, row, "from")
    drafts.append(Draft(kind="stock_opened", happened=at, stock=stock, line=line, details=details))
    reader.open(reader.stocks, name, stock)
    reader.living.setdefault(place, []).append(stock)
    return stock, drafts


def _line(reader: _Reader, row: tuple[Cell, ...], at: datetime) -> tuple[str, list[Draft]]:
    species = _said(reader, row, "species")
    name = _said(reader, row, "line") or species
    if not name:
        return "", []
    known = reader.lines.get(name.casefold())
    if known is not None:
        return known, []
    line = reader.known.new_id()
    reader.open(reader.lines, name, line)
    return line, [
        Draft(kind="line_opened", happened=at, line=line, details={"name": name, "species": species or name})
    ]


def _free(reader: _Reader, base: str) -> str:
    names: Iterable[str] = (f"{base} {at}" if at > 1 else base for at in range(1, 10_000))
    return next(name for name in names if name.casefold() not in reader.stocks)


def _tank(reader: _Reader, at: datetime, number: int, row: tuple[Cell, ...]) -> Understood:
    place, before = _place(reader, row, at)
    many = _whole(reader, row)
    label = _said(reader, row, "tank")
    if many == 0:
        return Understood(row=number, drafts=tuple(before), says=f"{label}: empty")
    stock, opened = _opened_stock(reader, row, at, place, _unused(reader, _said(reader, row, "stock")))
    came_in = came("found", stock, place, Tally(number=many), at, note=_said(reader, row, "note"))
    return Understood(row=number, drafts=(*before, *opened, came_in), says=f"{label}: {many} there")


def _unused(reader: _Reader, label: str) -> str:
    return _free(reader, label) if label and label.casefold() in reader.stocks else label
