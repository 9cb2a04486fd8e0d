"""What is bought and what each piece is for. Frozen, in SI units.

An `Article` is a thing as a shop sells it; a `Need` is so many of it, cut so long, for one place of the room. Every
need points to where it goes, so the same list reads by shop and by place, and nothing is counted twice: a piece
belongs to one need, a fitting to one joint.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from tankwright.finding import Finding
from tankwright.units import CubicMetre, Metre, SquareMetre

Kind = Literal[
    "tank", "glass", "pipe", "fitting", "bulkhead", "tap", "tube", "hose", "clip", "diffuser", "dripper", "filter",
    "valve", "pump", "timber", "steel", "board", "sheet", "screw", "board outlet", "cable", "plug", "light", "heater",
    "machine", "sensor", "glue", "other",
]  # fmt: skip
"""What kind of thing an article is; glue is also silicone and paint."""

SoldBy = Literal["piece", "length", "sheet", "metre", "area", "volume"]
"""How it is counted: pieces; cut from lengths; cut from sheets; so many metres off a roll; so many square metres off
one; litres or millilitres."""

State = Literal["to buy", "ordered", "stands", "made here"]
"""Whether it has to be bought: what was ordered, stands already or is made of other lines is counted and not bought."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Article:
    """A thing as a shop sells it; one that nobody needs is there to be kept as a spare.

    `key` names it once for all: parts list, price lists, stock on hand ("pipe 50 mm ISO PN6"). `rests_on` are the
    assumptions its size stands on; `source` is where its measures are from.
    """

    key: str
    kind: Kind
    sold_by: SoldBy
    source: str = ""
    note: str = ""
    rests_on: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """So many of an article for one place.

    `count` is pieces (or, of what is sold by the metre, 1). `length` is of each piece as it is cut, `size` of each
    piece of a sheet, `area` and `volume` of each of what is sold by them. `mark` is written on the piece ("main 3").
    `where` says in words where it goes, `places` are ids of things in the room that a drawing can light, `joint` is
    the node of the network it makes.
    """

    article: str
    count: int
    system: str
    where: str
    places: tuple[str, ...] = ()
    length: Metre | None = None
    size: tuple[Metre, Metre] | None = None
    area: SquareMetre | None = None
    volume: CubicMetre | None = None
    state: State = "to buy"
    mark: str = ""
    joint: str = ""
    rests_on: tuple[str, ...] = ()
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """One joint of a network: the ends that meet there (in the words of `takeoff.ends`) and the articles that join
    them, none where two pieces are one. `made` is False where no chain of fittings joins them."""

    node: str
    system: str
    ends: tuple[str, ...]
    articles: tuple[str, ...]
    made: bool = True
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spare:
    """So many of an article beyond what is counted, and why; `length`, `area` or `volume` of what is sold by them."""

    article: str
    count: int
    reason: str
    length: Metre | None = None
    area: SquareMetre | None = None
    volume: CubicMetre | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Takeoff:
    """All that a room takes. `findings` say what was not counted, or stands on a guess."""

    articles: tuple[Article, ...] = ()
    needs: tuple[Need, ...] = ()
    joints: tuple[Joint, ...] = ()
    spares: tuple[Spare, ...] = ()
    findings: tuple[Finding, ...] = ()

    def article(self, key: str) -> Article:
        """The article of that key; KeyError when there is none."""
        for one in self.articles:
            if one.key == key:
                return one
        raise KeyError(key)
