"""How one article is sold and what of it is on hand, from what a person types into a form of several fields."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from tankwright.finding import Finding, Severity
from tankwright.plan.changes_core import apply_values, read, tables
from tankwright.plan.changes_rows import AddRow
from tankwright.plan.editing import EditResult, quoted
from tankwright.plan.positions import Positions
from tankwright.plan.statements import stands
from tankwright.plan.typed import MUST_STAND, Puts, RefusedError, quantity_toml
from tankwright.plan.values import Path
from tankwright.units import clip

ROWS: Final[Path] = ("buy", "sold")
_KEYS: Final = ("lengths", "sheets", "pack", "price", "offcuts", "sheet_offcuts", "have")
_BETWEEN: Final = re.compile(r"\s*(?:;|\n|,\s+)\s*")
_SIDES: Final = re.compile(r"\s*[x×*]\s*(?=\d)")
_PRICE: Final = re.compile(r"\d{1,7}([.,]\d{1,4})?", re.ASCII)
_WHOLE: Final = re.compile(r"\d{1,6}", re.ASCII)
_SOLD_IN: Final = "lengths or sheets with their prices: 6 m @ 14.40, 3 m @ 7.90"
_LEFT: Final = "lengths or pieces of sheets: 1.4 m, 60 x 40 cm"
_MOST: Final = 40  # lengths, sheets, offcuts in one field


@dataclass(frozen=True, slots=True, kw_only=True)
class AddSold:
    """How an article is sold, every field as it was typed; where the plan says so of it already, that is changed.

    `sold_in` are the lengths or sheets it is sold in, each with its price or without; `price` is of a pack, or of one.

    >>> AddSold(article="pipe 50 mm ISO PN6", sold_in="6 m @ 14.40, 3 m @ 7,90", offcuts="1.4 m").values["lengths"]
    '[{ length = "6 m", price = 14.4 }, { length = "3 m", price = 7.9 }]'
    >>> AddSold(article="plywood 18 mm", sold_in="2500 x 1250 mm @ 62", have="2").values
    {'sheets': '[{ size = ["2500 mm", "1250 mm"], price = 62 }]', 'have': '2'}
    """

    article: str
    sold_in: str = ""
    pack: str = ""
    price: str = ""
    have: str = ""
    offcuts: str = ""

    @property
    def path(self) -> Path:
        """The list of what is said to be sold."""
        return ROWS

    @property
    def values(self) -> dict[str, str]:
        """The keys of the row as they are written; raises RefusedError for what cannot be one."""
        said: dict[str, str] = {}
        for sides, price in _parts(self.sold_in):
            row = "size" if len(sides) == 2 else "length"
            size = f"[{', '.join(sides)}]" if len(sides) == 2 else sides[0]
            money = f", price = {price}" if price else ""
            key = "sheets" if len(sides) == 2 else "lengths"
            said[key] = _longer(said.get(key), f"{{ {row} = {size}{money} }}")
        for sides, price in _parts(self.offcuts, _LEFT):
            if price:
                raise RefusedError(MUST_STAND, "has a price for an offcut", _LEFT)
            key = "sheet_offcuts" if len(sides) == 2 else "offcuts"
            said[key] = _longer(said.get(key), f"[{', '.join(sides)}]" if len(sides) == 2 else sides[0])
        if self.pack.strip():
            said["pack"] = _count(self.pack, "pack", least=1)
        if self.price.strip():
            said["price"] = _money(self.price)
        if self.have.strip():
            said["have"] = _count(self.have, "on hand", least=0)
        return {
            key: f"[{said[key]}]" if said[key][:1] in '{["' else said[key] for key in _KEYS if key in said
        }

    def says(self, before: str) -> str:  # noqa: ARG002 - what was there before does not matter
        """The change in words for the history, at most 120 signs."""
        fields = (self.sold_in, self.pack and f"packs of {self.pack.strip()}",
                  self.price and f"at {self.price.strip()}", self.have and f"{self.have.strip()} on hand",
                  self.offcuts and f"offcuts {self.offcuts}")  # fmt: skip
        told = ", ".join(" ".join(one.split()) for one in fields if one.strip())
        return clip(f"buying {self.article.strip()}: {told or 'nothing said'}", 120)

    def apply(self, text: str) -> EditResult:
        """The changed text, or the findings that say why nothing was changed."""
        name = self.article.strip()
        try:
            if not name or len(name) > 200:
                raise RefusedError(MUST_STAND, "is no name of an article", "a name of the parts list")
            values = self.values
            if not values:
                wanted = "what it is sold in, its price, or what is on hand"
                raise RefusedError(MUST_STAND, "has nothing said of it", wanted)
        except RefusedError as error:
            return _refused(name, error)
        row = _row_of(read(text), name)
        if row is None:
            keys = "".join(f", {key} = {toml}" for key, toml in values.items())
            return AddRow(ROWS, f"{{ of = {quoted(name)}{keys} }}").apply(text)

        def puts(positions: Positions) -> Puts:
            new: Puts = [((*row, key), toml) for key, toml in values.items()]
            gone = (key for key in _KEYS if key not in values and stands(positions, (*row, key)))
            return [*new, *(((*row, key), None) for key in gone)]

        return apply_values(text, puts)


def sold_fields(row: Mapping[str, Any]) -> AddSold:
    """What a row of a plan's text says, as one types it.

    >>> sold_fields({"of": "pipe", "lengths": [{"length": "6 m", "price": 14.4}], "have": 2}).sold_in
    '6 m @ 14.4'
    """
    parts = [
        *(_typed(one, "length") for _, one in tables(row.get("lengths"))),
        *(_typed(one, "size") for _, one in tables(row.get("sheets"))),
    ]
    left = [*_items(row.get("offcuts")), *_items(row.get("sheet_offcuts"))]

    def plain(key: str) -> str:
        return "" if row.get(key) is None else str(row[key])

    return AddSold(
        article=plain("of"), sold_in=", ".join(parts), pack=plain("pack"), price=plain("price"),
        have=plain("have"), offcuts=", ".join(map(_side, left)),
    )  # fmt: skip


def sold_rows(text: str) -> tuple[AddSold, ...]:
    """All rows of a plan's text, in its order."""
    buy = read(text).data.get("buy")
    rows = buy.get("sold") if isinstance(buy, Mapping) else None
    return tuple(sold_fields(one) for _, one in tables(rows))


def _row_of(positions: Positions, article: str) -> Path | None:
    buy = positions.data.get("buy")
    for place, one in tables(buy.get("sold") if isinstance(buy, Mapping) else None):
        if str(one.get("of", "")).strip().casefold() == article.casefold():
            return (*ROWS, place)
    return None


def _typed(one: Mapping[str, Any], key: str) -> str:
    price = f" @ {one['price']}" if one.get("price") is not None else ""
    return f"{_side(one.get(key))}{price}"


def _items(value: object) -> list[object]:
    return value if isinstance(value, list) else []


def _side(value: object) -> str:
    if isinstance(value, list):
        return " x ".join(map(_side, value))
    return str(value.get("value", "") if isinstance(value, Mapping) else value)


def _parts(typed: str, wanted: str = _SOLD_IN) -> Iterator[tuple[tuple[str, ...], str]]:
    """Each length, or two sides, as it is written, and its price, "" when it has none."""
    items = [one for one in _BETWEEN.split(typed.strip()) if one]
    if len(items) > _MOST:
        raise RefusedError(MUST_STAND, "names too many at once", f"at most {_MOST}")
    for item in items:
        size, _, price = item.partition("@")
        sides = _SIDES.split(size.strip())
        if len(sides) > 2 or not sides[0]:
            raise RefusedError(MUST_STAND, f'"{clip(item)}" is no length', wanted)
        unit = re.sub(r"^[\d.,/\s]+", "", sides[-1])
        written = []
        for side in sides:
            toml, value = quantity_toml(
                side if re.search(r"[^\d.,/\s]", side) else f"{side} {unit}", "length", None
            )
            if value <= 0:
                raise RefusedError(MUST_STAND, f'"{clip(item)}" must be more than zero', wanted)
            written.append(toml)
        yield tuple(written), _money(price) if price.strip() else ""


def _longer(before: str | None, more: str) -> str:
    return more if before is None else f"{before}, {more}"


def _money(typed: str) -> str:
    plain = typed.strip()
    if not _PRICE.fullmatch(plain):
        raise RefusedError(
            MUST_STAND, f'price "{clip(plain)}" is no number', "a number from 0 up, such as 14.40"
        )
    return f"{float(plain.replace(',', '.')):.10g}"


def _count(typed: str, what: str, *, least: int) -> str:
    plain = typed.strip()
    if not _WHOLE.fullmatch(plain) or not least <= int(plain) <= 100_000:
        raise RefusedError(
            MUST_STAND, f'{what} "{clip(plain)}" is no whole number', f"a whole number from {least} up"
        )
    return str(int(plain))


def _refused(subject: str, error: RefusedError) -> EditResult:
    finding = Finding(
        code=error.code, severity=Severity.PROBLEM, subject=clip(subject) or "the article", text=error.text,
        wanted=error.wanted, attempt=error.attempt,
    )  # fmt: skip
    return EditResult(text=None, findings=(finding,))
