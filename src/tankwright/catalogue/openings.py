"""What windows and doors lose and how much sun they let in, by their plain kind, each number with its band.

The table is `openings.csv`. All of it is from memory; the maker's sheet goes before it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from tankwright.catalogue.materials import Fact, fact_of
from tankwright.catalogue.tables import Cells, by_names, indexed, read_table


@dataclass(frozen=True, slots=True, kw_only=True)
class OpeningKind:
    """A kind of window or door: `transmittance` in W/(m2 K) of the whole opening with the air on both sides.

    `sun_share` is how much of the sun on it comes in.
    """

    name: str
    other_names: tuple[str, ...]
    transmittance: Fact
    sun_share: Fact


def all_opening_kinds() -> tuple[OpeningKind, ...]:
    """Every kind of window and door of the table, in its order."""
    return _opening_kinds()


def find_opening_kind(name: str) -> OpeningKind | None:
    """The window or door of a plain name, in capitals or not; None when it is not in the table.

    >>> find_opening_kind("double pane").transmittance.value
    2.8
    """
    return by_names(_opening_kinds_by_name(), name)


def opening_of(cells: Cells) -> OpeningKind:
    """A line of the table as a kind of opening; raises ValueError when a cell cannot be right."""
    made = OpeningKind(
        name=cells["name"],
        other_names=tuple(filter(None, cells["other_names"].split("; "))),
        transmittance=fact_of(cells, "transmittance", "_w_m2k", cells["source"]),
        sun_share=fact_of(cells, "sun_share", "", cells["source"]),
    )
    if not made.name or not made.transmittance.low > 0 or made.sun_share.high > 1:
        raise ValueError("no window loses nothing or lets in more sun than there is")
    return made


@cache
def _opening_kinds() -> tuple[OpeningKind, ...]:
    return read_table("openings.csv", opening_of)


@cache
def _opening_kinds_by_name() -> dict[str, OpeningKind]:
    return indexed(_opening_kinds(), lambda one: (one.name, *one.other_names))
