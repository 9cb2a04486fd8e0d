"""How pipe is sold: in sticks of a length, or off a roll."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from tankwright.plan.models_build import Buy
from tankwright.room.assumed import assumed
from tankwright.room.model import Room
from tankwright.takeoff.joints import NOTHING_LISTED, PipeKind, rests
from tankwright.takeoff.model import SoldBy
from tankwright.takeoff.offers import Form, Offer, key_of
from tankwright.units import Metre


class Sticks:
    """The longest stick of each pipe: by price lists first (`listed`, article to length), then by the plan, then the
    usual one. Pipe that bends comes off a roll, unless one of them says in which lengths it is sold."""

    def __init__(self, buy: Buy | None, room: Room, listed: Mapping[str, Metre] = NOTHING_LISTED) -> None:
        self._listed = {_name(article): length for article, length in listed.items()}
        self._planned = {
            one.of.casefold(): max(length.length.value for length in one.lengths)
            for one in (buy.sold if buy is not None else ())
            if one.lengths
        }
        self._usual = assumed(room, "buy.stick")
        self._trim = (buy.trim if buy is not None else None) or assumed(room, "buy.trim")

    def sold_by(self, pipe: PipeKind) -> SoldBy:
        """Whether it is cut from lengths or measured off a roll."""
        return "metre" if pipe.soft and self._said(pipe) is None else "length"

    def longest(self, pipe: PipeKind) -> Metre:
        """The longest piece that can be cut of it: without limit off a roll."""
        if self.sold_by(pipe) == "metre":
            return math.inf
        return (self._said(pipe) or self._usual.value) - self._trim.value

    def rests(self, pipe: PipeKind) -> tuple[str, ...]:
        """The assumptions that length stands on."""
        return rests(None if self._said(pipe) else self._usual, self._trim)

    def _said(self, pipe: PipeKind) -> Metre | None:
        return self._listed.get(_name(pipe.article)) or self._planned.get(pipe.article.casefold())


def longest_of(offers: Iterable[Offer]) -> dict[str, Metre]:
    """The longest stick of each article that shops offer in lengths.

    >>> longest_of(())
    {}
    """
    longest: dict[str, Metre] = {}
    for offer in offers:
        if offer.form.length is not None:
            longest[offer.article] = max(offer.form.length, longest.get(offer.article, 0.0))
    return longest


def _name(article: str) -> str:
    return key_of(article, Form())[0]
