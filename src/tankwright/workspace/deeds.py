"""Every deed by its name: the fields a form, a program or a command line says it with, to the keeper's call."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from tankwright.husbandry.facts import Cause
from tankwright.husbandry.records import Observed
from tankwright.husbandry.register import Member, PlaceKind, Sex, StockKind
from tankwright.logbook.outcome import Recorded, Refused
from tankwright.units import clip
from tankwright.workspace.disk import utc_from_text
from tankwright.workspace.keeping import Hand, wrong_value
from tankwright.workspace.keeping_coming import NewFish, arrived, born
from tankwright.workspace.keeping_going import counted, culled, died, guessed, left, moved
from tankwright.workspace.keeping_groups import merged, set_ended, set_made, split
from tankwright.workspace.keeping_mending import corrected, struck
from tankwright.workspace.keeping_places import (
    line_opened,
    now_called,
    place_added,
    place_gone,
    stock_changed,
)
from tankwright.workspace.keeping_seen import measured, noted, spawned, went_wrong
from tankwright.workspace.naming import WrongError

SPREADS: Final[Mapping[str, float]] = {"tenth": 0.1, "third": 1 / 3}
"""How far a guess may be off, by what its button is called; our choice, no source."""

LARGEST: Final[Mapping[str, float]] = {"length": 2000, "mass": 100_000}
"""The longest fish of a room (mm) and the heaviest (g); what is more is a slip of the finger. Our choice, no source."""
_BASE: Final[Mapping[str, float]] = {"mm": 1, "cm": 10, "in": 25.4, "mg": 0.001, "g": 1, "oz": 28.349523125}


@dataclass(frozen=True, slots=True)
class Asked:
    """The fields of a deed."""

    fields: Mapping[str, str]

    def text(self, name: str, most: int = 200) -> str:
        """A field without the spaces around it."""
        return self.fields.get(name, "").strip()[:most]

    def number(self, name: str = "value") -> int | None:
        """A number of fish; None when the field is empty. Raises WrongError for what is none."""
        typed = self.text(name, 20)
        if not typed:
            return None
        if re.fullmatch(r"[0-9]{1,7}", typed) is None:
            raise WrongError(wrong_value("number", f'cannot be "{clip(typed)}"', found=clip(typed),
                                         wanted="a whole number of fish"))  # fmt: skip
        return int(typed)

    def needed(self, name: str = "value") -> int:
        """A number of fish that must be there. Raises WrongError."""
        number = self.number(name)
        if number is None:
            raise WrongError(wrong_value("number", "is not said", wanted="how many fish"))
        return number

    def number_or(self, usual: int, name: str = "value") -> int:
        """A number of fish, the usual one when the field is empty; a nought that is typed is a nought. Raises
        WrongError."""
        number = self.number(name)
        return usual if number is None else number

    def price(self) -> float | None:
        """A price; None when the field is empty. Raises WrongError for what is none."""
        typed = self.text("price", 20).replace(",", ".")
        if not typed:
            return None
        if re.fullmatch(r"[0-9]{1,9}(\.[0-9]{1,4})?", typed) is None:
            raise WrongError(
                wrong_value("price", f'cannot be "{clip(typed)}"', wanted="a number, such as 4.50")
            )
        return float(typed)


Do = Callable[[Hand, str, Asked], Recorded | Refused]


def _bounds(asked: Asked, number: int) -> tuple[int | None, int | None]:
    """At least and at most of a number, as typed, or by how far its button says it may be off."""
    low, high = asked.number("low"), asked.number("high")
    spread = SPREADS.get(asked.text("spread"))
    if spread is None or low is not None or high is not None:
        return low, high
    return round(number * (1 - spread)), round(number * (1 + spread))


def _guess(hand: Hand, tank: str, asked: Asked) -> Recorded | Refused:
    number = asked.needed()
    low, high = _bounds(asked, number)
    if low is None and high is None:
        low, high = (
            number // 2,
            number * 2,
        )  # a guess of which nothing more is said: common practice, no source
    return guessed(hand, tank, number, number if low is None else low, number if high is None else high,
                   stock=asked.text("stock"))  # fmt: skip


def _bear(hand: Hand, tank: str, asked: Asked) -> Recorded | Refused:
    low, high = _bounds(asked, asked.needed())
    return born(hand, tank, asked.needed(), label=asked.text("label"), parents=asked.text("parents"), low=low,
                high=high)  # fmt: skip


def _leave(how: Cause) -> Do:
    return lambda hand, tank, asked: left(
        hand, tank, asked.number(), how, stock=asked.text("stock"), to=asked.text("whom"), price=asked.price(),
        currency=asked.text("currency", 10),
    )  # fmt: skip


def _arrive(hand: Hand, tank: str, asked: Asked) -> Recorded | Refused:
    kinds: dict[str, StockKind] = {
        "individual": "individual",
        "pair": "pair",
        "group": "group",
        "brood": "brood",
    }
    sexes: dict[str, Sex] = {"male": "male", "female": "female"}
    fish = NewFish(
        label=asked.text("called") or asked.text("label"),
        kind=kinds.get(asked.text("sort"), "group"),
        line=asked.text("new_line") or asked.text("line"),
        species=asked.text("species"),
        sex=sexes.get(asked.text("sex"), ""),
        came_from=asked.text("new_whom") or asked.text("whom"),
    )
    return arrived(hand, tank, asked.needed(), fish, low=asked.number("low"), high=asked.number("high"),
                   price=asked.price(), currency=asked.text("currency", 10))  # fmt: skip


def _put_together(hand: Hand, tank: str, asked: Asked) -> Recorded | Refused:
    sexes: tuple[Sex, ...] = ("male", "female")
    members = [
        Member(stock=asked.text(f"{sex}_stock") or asked.text("stock"), count=number, sex=sex)
        for sex in sexes if (number := asked.number(f"{sex}s"))
    ]  # fmt: skip
    return set_made(hand, tank, members, label=asked.text("label"))


def _place(hand: Hand, tank: str, asked: Asked) -> Recorded | Refused:
    kinds: dict[str, PlaceKind] = {"tank": "tank", "rack": "rack", "vat": "vat", "outside": "outside"}
    litres = asked.number("litres")
    return place_added(hand, tank, kinds.get(asked.text("sort"), "outside"), zone=asked.text("zone"),
                       litres=None if litres is None else float(litres))  # fmt: skip


def _measure(hand: Hand, tank: str, asked: Asked) -> Recorded | Refused:
    read = re.fullmatch(r"([0-9]{1,5}(?:[.,][0-9]{1,4})?) *(mm|cm|in|mg|g|oz)", asked.text("value", 20))
    if read is None:
        raise WrongError(
            wrong_value("measure", f'cannot be "{clip(asked.text("value"))}"', wanted="2.1 cm or 0.4 g")
        )
    quantity = "length" if read[2] in {"mm", "cm", "in"} else "mass"
    value = float(read[1].replace(",", "."))
    if not 0 < value * _BASE[read[2]] <= LARGEST[quantity]:
        raise WrongError(wrong_value(
            "measure", f'of "{clip(asked.text("value"))}" is of no fish', found=asked.text("value", 20),
            wanted="more than nothing, at most 2000 mm or 100 kg",
        ))  # fmt: skip
    seen = Observed(quantity=quantity, value=value, unit=read[2])
    return measured(hand, tank, [seen], stock=asked.text("stock"), number=asked.number_or(1, "number"))


def moment_of(text: str) -> datetime | None:
    """The moment a field names; None for an empty one. Raises WrongError."""
    if not text.strip():
        return None
    try:
        return utc_from_text(text.strip())
    except (ValueError, OverflowError):
        raise WrongError(
            wrong_value("moment", f'cannot be "{clip(text)}"', wanted="2026-08-02T07:15:00Z")
        ) from None


DEEDS: Final[Mapping[str, Do]] = {
    "arrived": _arrive,
    "born": _bear,
    "counted": lambda hand, tank, asked: counted(hand, tank, asked.needed(), stock=asked.text("stock"),
                                                 method=asked.text("method")),
    "guessed": _guess,
    "died": lambda hand, tank, asked: died(hand, tank, asked.number_or(1), stock=asked.text("stock"),
                                           cause=asked.text("cause")),
    "culled": lambda hand, tank, asked: culled(hand, tank, asked.needed(), stock=asked.text("stock"),
                                               cause=asked.text("cause")),
    "sold": _leave("sold"), "given": _leave("given"), "used": _leave("used"), "escaped": _leave("escaped"),
    "moved": lambda hand, tank, asked: moved(hand, tank, asked.text("to"), asked.number(), stock=asked.text("stock")),
    "split": lambda hand, tank, asked: split(hand, tank, asked.needed(), stock=asked.text("stock"),
                                             to=asked.text("to"), label=asked.text("label")),
    "merged": lambda hand, tank, asked: merged(hand, tank, label=asked.text("label"),
                                               knowing=bool(asked.text("knowing"))),
    "set": _put_together,
    "parted": lambda hand, tank, asked: set_ended(hand, tank, parents=asked.text("parents")),
    "spawned": lambda hand, tank, asked: spawned(hand, tank, eggs=asked.number(), low=asked.number("low"),
                                                 high=asked.number("high"), parents=asked.text("parents")),
    "measured": _measure,
    "noted": lambda hand, tank, asked: noted(hand, tank, stock=asked.text("stock")),
    "incident": lambda hand, tank, asked: went_wrong(hand, tank, asked.text("what"), stock=asked.text("stock")),
    "struck": lambda hand, _, asked: struck(hand, asked.text("event"), asked.text("reason")),
    "corrected": lambda hand, _, asked: corrected(hand, asked.text("event"), asked.text("reason"),
                                                  number=asked.number(), happened=moment_of(asked.text("moment"))),
    "called": lambda hand, tank, asked: now_called(hand, tank, asked.text("to")),
    "place": _place,
    "gone": lambda hand, tank, _: place_gone(hand, tank),
    "line": lambda hand, _, asked: line_opened(hand, asked.text("line"), asked.text("species"),
                                               source=asked.text("whom"), locality=asked.text("locality")),
    "known": lambda hand, _, asked: stock_changed(hand, asked.text("stock"), label=asked.text("label"),
                                                  line=asked.text("line"), sex=asked.text("sex")),
}  # fmt: skip
"""Every deed that can be sent, by its name."""

AT_ONE_S_MOMENT: Final = frozenset({"struck", "called"})
"""Deeds that are always of now."""
