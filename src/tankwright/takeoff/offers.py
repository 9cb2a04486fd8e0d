"""What shops offer and what a room wants of it: the same article in the same form, told by one key."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from tankwright.units import Metre, QuantityError, parse_in_unit

Key = tuple[str, str, int, int]
"""An article as its name is read, its unit, and its length or size in tenths of a millimetre."""

_PIECES: Final = {"", "piece", "pieces", "each", "ea", "pc", "pcs", "no", "stick", "sheet"}
_PACKS: Final = {"pack", "packs", "box", "bag", "set", "bundle"}
_ROLLS: Final = {"roll", "coil", "reel"}
_MEASURES: Final = (("m", "m", 1.0), ("m2", "m**2", 1.0), ("L", "m**3", 1000.0))
_TENTHS: Final = 10_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """How an article is counted: in pieces (""), by "m", "m2" or "L"; a stick of a `length`, a sheet of a `size`."""

    unit: str = ""
    length: Metre | None = None
    size: tuple[Metre, Metre] | None = None

    def words(self) -> str:
        """The form as it stands behind the name of an article; nothing for plain pieces.

        >>> Form(length=6.0).words(), Form(size=(2.4, 1.2)).words(), Form(unit="m").words(), Form().words()
        ('6 m', '2.4 x 1.2 m', 'm', '')
        """
        if self.length is not None:
            return f"{_metres(self.length)} m"
        if self.size is not None:
            return f"{_metres(self.size[0])} x {_metres(self.size[1])} m"
        return self.unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """So much of an article, in the unit of its form; `on_hand` is used first and not bought."""

    article: str
    count: float
    form: Form = Form()
    on_hand: float = 0.0

    @property
    def key(self) -> Key:
        """By which offers are found."""
        return key_of(self.article, self.form)


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """One line of a shop: `price` is of one pack, which holds `pack` pieces, metres ... of the article. `date` is
    ISO, or empty."""

    article: str
    shop: str
    price: Decimal
    currency: str = ""
    pack: float = 1.0
    form: Form = Form()
    date: str = ""
    note: str = ""
    source: str = ""
    line: int | None = None

    @property
    def key(self) -> Key:
        """By which it meets what is wanted."""
        return key_of(self.article, self.form)


@dataclass(frozen=True, slots=True, kw_only=True)
class Freight:
    """What a shop asks to bring an order, nothing from goods of `free_from` on."""

    shop: str
    price: Decimal
    free_from: Decimal | None = None
    currency: str = ""
    source: str = ""
    line: int | None = None


def key_of(article: str, form: Form) -> Key:
    """Capitals and spaces do not tell articles apart, nor does which side of a sheet is named first.

    >>> key_of("Pipe 50mm", Form()) == key_of("pipe  50 mm", Form())
    True
    """
    name = re.sub(r"\s+", "", article).casefold()
    if form.length is not None:
        return name, "", round(form.length * _TENTHS), 0
    if form.size is not None:
        short, long = sorted(round(side * _TENTHS) for side in form.size)
        return name, "", long, short
    return name, form.unit, 0, 0


def currency_code(currency: str) -> str:
    """The code of a sign that belongs to one currency; anything else as it is.

    >>> currency_code("€"), currency_code("$")
    ('EUR', '$')
    """
    return {"€": "EUR", "£": "GBP"}.get(currency, currency)


def same_currency(one: str, other: str) -> bool:
    """False for two currencies. A bare sign is that of any dollar, or of yen and yuan; none at all is the job's.

    >>> same_currency("€", "EUR"), same_currency("$", "AUD"), same_currency("", "EUR"), same_currency("EUR", "GBP")
    (True, True, True, False)
    """
    first, second = sorted((currency_code(one), currency_code(other)), key=len)
    signs = {"$": "D", "¥": "Y"}
    return not first or first == second or (first in signs and second.endswith(signs[first]))


@dataclass(frozen=True, slots=True)
class Sold:
    """What unit and pack of a line mean: the form, how much of it a pack holds, and whether that was said where it
    must be."""

    form: Form
    pack: float
    pack_missing: bool = False


def read_sold(unit: str, pack: str, amount: Decimal | None) -> Sold | str:
    """How a line is sold; or what is wrong with its unit or pack. `amount` is the pack when it is a plain number.

    >>> read_sold("6 m", "", None)
    Sold(form=Form(unit='', length=6.0, size=None), pack=1.0, pack_missing=False)
    >>> read_sold("", "100 ft", None).pack, read_sold("2400 x 1200 mm", "", None).form.size
    (30.48, (2.4, 1.2))
    >>> read_sold("box", "", None).pack_missing, read_sold("mile stone", "", None)
    (True, 'the unit "mile stone" is none')
    """
    name = unit.strip()
    plain = name.casefold()
    if pack and amount is None:
        for shown, symbol, size in _MEASURES:
            try:
                held = parse_in_unit(pack, symbol) * size
            except QuantityError:
                continue
            if plain not in _PIECES | _PACKS | _ROLLS and name != shown:
                break
            return (
                Sold(Form(unit=shown), float(f"{held:.12g}"))
                if held > 0
                else f'the pack "{pack}" holds nothing'
            )
        return f'the pack "{pack}" is no number'
    count = 1.0 if amount is None else float(amount)
    if not 0 < count <= 1e6:
        return f'the pack "{pack}" is no number above 0'
    if plain in _PIECES:
        return (
            Sold(Form(), count) if count == int(count) else f'the pack "{pack}" is no whole number of pieces'
        )
    if plain in _PACKS | _ROLLS:
        return Sold(Form(unit="m" if plain in _ROLLS else ""), count, amount is None)
    return _measured(name, count)


def read_form(unit: str) -> Form | str:
    """The form of what is wanted; or what is wrong with it.

    >>> read_form("m"), read_form("piece").unit
    (Form(unit='m', length=None, size=None), '')
    """
    sold = read_sold(unit, "", None)
    if isinstance(sold, str):
        return sold
    return f'the unit "{unit}" does not say how many' if sold.pack_missing else sold.form


def _measured(name: str, count: float) -> Sold | str:
    bare = f"1 {name}"
    for shown, symbol, size in _MEASURES:
        try:
            one = parse_in_unit(bare, symbol) * size
        except QuantityError:
            continue
        return Sold(Form(unit=shown), float(f"{one * count:.12g}"))
    sides = re.split(r"\s*[x×*]\s*", name)
    try:
        if len(sides) == 2:
            if not re.search(r"[A-Za-z\"'′″]", sides[0]):
                sides[0] += re.sub(r"^[\d.,/\s]+", " ", sides[1])
            width, height = (parse_in_unit(side, "m") for side in sides)
            return Sold(Form(size=(width, height)), count) if min(width, height) > 0 else _none(name)
        length = parse_in_unit(name, "m")
    except QuantityError:
        return _none(name)
    return Sold(Form(length=length), count) if length > 0 else _none(name)


def _none(name: str) -> str:
    return f'the unit "{name}" is none'


def _metres(value: float) -> str:
    return f"{value:.4f}".rstrip("0").rstrip(".")
