"""The water, warmth and size some commonly bred fish are said to take, each with where it was read.

The table is `species.csv`. A range is what a book or data bank reports, a mixture of wild waters and aquaria, and
no verdict on a fish: a tank outside it is worth a second look, no more. The owner's own experience goes first.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Final

from tankwright.catalogue.tables import Cells, by_names, indexed, read_table
from tankwright.units import Metre, parse_quantity

YOUR_PLAN: Final = "your plan"
WATER_KINDS: Final = (
    "soft acid", "soft", "neutral", "cool neutral", "wide", "hard", "hard alkaline", "brackish-tolerant",
    "brackish", "brackish alkaline", "fresh or brackish",
)  # fmt: skip
LENGTH_BASES: Final = ("SL", "TL", "")

_AIR_BREATHERS: Final = frozenset({
    "anabas", "betta", "colisa", "ctenopoma", "helostoma", "macropodus", "microctenopoma", "osphronemus",
    "parosphromenus", "sphaerichthys", "trichogaster", "trichopodus", "trichopsis",
    "aspidoras", "brochis", "callichthys", "corydoras", "dianema", "hoplosternum", "megalechis", "scleromystax",
    "ancistrus", "baryancistrus", "farlowella", "hypancistrus", "hypostomus", "loricaria", "otocinclus", "panaque",
    "peckoltia", "pterygoplichthys", "rineloricaria", "sturisoma",
})  # fmt: skip
"""Genera of labyrinth fishes, callichthyids and loricariids. That these families take air is from memory."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """From `low` to `high` in SI units, and who says so; `source` is `YOUR_PLAN` for the owner's own."""

    low: float
    high: float
    source: str

    def __post_init__(self) -> None:
        """A range runs upwards and has a source."""
        if not self.low <= self.high:
            raise ValueError(f"{self.low:g} to {self.high:g} is no range")
        if not self.source:
            raise ValueError("a range without a source")

    @property
    def from_memory(self) -> bool:
        """True when it could not be read in print and must not pass as a fact."""
        return _from_memory(self.source)


@dataclass(frozen=True, slots=True, kw_only=True)
class Species:
    """One kind of fish. What is None nobody has said.

    `hardness` is in kg of CaCO3 in a m3. `length` is the longest an adult of the longer sex is reported;
    `length_basis` is SL (without the tail fin), TL (with it) or empty where the source does not say.
    """

    name: str
    trade_name: str = ""
    other_names: tuple[str, ...] = ()
    water_kind: str = ""
    ph: Range | None = None
    hardness: Range | None = None
    temperature: Range | None = None
    length: Metre | None = None
    length_basis: str = ""
    length_source: str = ""
    note: str = ""
    note_source: str = ""

    @property
    def note_from_memory(self) -> bool:
        """True when the note could not be read in print."""
        return _from_memory(self.note_source)


def breathes_air(name: str) -> bool:
    """True for a fish that can take air at the surface, by the genus of its scientific name; less at risk, not free
    of it: it must be able to reach the surface.

    Source: labyrinth fishes, callichthyids and loricariids breathe air, from memory.

    >>> breathes_air("Corydoras paleatus"), breathes_air("Danio rerio")
    (True, False)
    """
    known = find_species(name)
    words = (known.name if known is not None else name).split()
    return bool(words) and words[0].casefold() in _AIR_BREATHERS


def all_species() -> tuple[Species, ...]:
    """Every species of the table, in its order.

    >>> len(all_species()) >= 29
    True
    """
    return _table()


def find_species(name: str) -> Species | None:
    """The species of a scientific or trade name, in capitals or not; None when it is not in the table.

    >>> find_species("guppy").name, find_species("POECILIA reticulata").ph.low
    ('Poecilia reticulata', 7.0)
    >>> find_species("shark") is None
    True
    """
    return by_names(_index(), name)


@cache
def _table() -> tuple[Species, ...]:
    return read_table("species.csv", species_of)


@cache
def _index() -> dict[str, Species]:
    return indexed(_table(), lambda one: (one.name, one.trade_name, *one.other_names))


def species_of(cells: Cells) -> Species:
    """A line of the table as a species; raises ValueError when a cell cannot be right."""
    if cells["water_kind"] not in WATER_KINDS:
        raise ValueError(f'no kind of water is called "{cells["water_kind"]}"')
    if cells["length_basis"] not in LENGTH_BASES:
        raise ValueError(f'no length is measured as "{cells["length_basis"]}"')
    if not cells["name"] or not cells["length_origin"] or bool(cells["note"]) != bool(cells["note_origin"]):
        raise ValueError("a name or an origin is missing")
    return Species(
        name=cells["name"],
        trade_name=cells["trade_name"],
        other_names=tuple(filter(None, cells["other_names"].split("; "))),
        water_kind=cells["water_kind"],
        ph=_range(cells, "ph", "", "ph", "ph_origin"),
        hardness=_range(cells, "hardness", "_dh", "hardness", "hardness_origin", " °dH"),
        temperature=_range(cells, "temperature", "_c", "temperature", "temperature_origin", " °C"),
        length=parse_quantity(cells["length_cm"] + " cm", "length").value,
        length_basis=cells["length_basis"],
        length_source=cells["length_origin"],
        note=cells["note"],
        note_source=cells["note_origin"],
    )


def _range(cells: Cells, what: str, ending: str, dimension: str, origin: str, unit: str = "") -> Range:
    low, high = (
        parse_quantity(cells[f"{what}_{end}{ending}"] + unit, dimension).value for end in ("low", "high")
    )
    return Range(low=low, high=high, source=cells[origin])


def _from_memory(source: str) -> bool:
    return "from memory" in source
