"""How the materials of walls, floors and ceilings let heat and vapour through, each number with its band and source.

The table is `materials.csv`. A value "from memory" could not be read in print; the maker's sheet goes before any.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from tankwright.catalogue.tables import Cells, by_names, indexed, read_table


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """A number in SI units, what it may really be (`low` to `high`), and where the number was read.

    The band is from memory of other tables and makers' sheets even where the number was read.
    """

    value: float
    low: float
    high: float
    source: str

    def __post_init__(self) -> None:
        """The number lies in its band and has a source."""
        if not 0.0 <= self.low <= self.value <= self.high:
            raise ValueError(f"{self.value:g} does not lie in {self.low:g} to {self.high:g}")
        if not self.source:
            raise ValueError("a number without a source")

    @property
    def from_memory(self) -> bool:
        """True when it could not be read in print and must not pass as a fact."""
        return "from memory" in self.source


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """One material. `conductivity` in W/(m K), `density` in kg/m3, `specific_heat` in J/(kg K).

    `vapour_factor` is how many times as much a layer resists vapour as still air as thick; a million stands
    for a material vapour does not pass.
    """

    name: str
    other_names: tuple[str, ...]
    conductivity: Fact
    density: Fact
    specific_heat: Fact
    vapour_factor: Fact


def all_materials() -> tuple[Material, ...]:
    """Every material of the table, in its order.

    >>> len(all_materials()) > 30
    True
    """
    return _materials()


def find_material(name: str) -> Material | None:
    """The material of a name, in capitals or not; None when it is not in the table.

    >>> find_material("EPS").conductivity.value, find_material("cheese") is None
    (0.0355, True)
    """
    return by_names(_materials_by_name(), name)


def material_of(cells: Cells) -> Material:
    """A line of the table as a material; raises ValueError when a cell cannot be right."""
    if not cells["name"]:
        raise ValueError("a material without a name")
    made = Material(
        name=cells["name"],
        other_names=tuple(filter(None, cells["other_names"].split("; "))),
        conductivity=fact_of(cells, "conductivity", "_w_mk", cells["conductivity_source"]),
        density=fact_of(cells, "density", "_kg_m3", cells["capacity_source"]),
        specific_heat=fact_of(cells, "specific_heat", "_j_kgk", cells["capacity_source"]),
        vapour_factor=fact_of(cells, "vapour_factor", "", cells["vapour_source"]),
    )
    if not made.conductivity.low > 0 or not made.density.low > 0 or not made.specific_heat.low > 0:
        raise ValueError("nothing conducts, weighs and stores no heat at all")
    if made.vapour_factor.low < 1:
        raise ValueError("no layer resists vapour less than still air")
    return made


def fact_of(cells: Cells, what: str, unit: str, source: str) -> Fact:
    """A number of a line with its band; raises ValueError when they cannot be right."""
    value, low, high = (float(cells[f"{what}{end}{unit}"]) for end in ("", "_low", "_high"))
    return Fact(value=value, low=low, high=high, source=source)


@cache
def _materials() -> tuple[Material, ...]:
    return read_table("materials.csv", material_of)


@cache
def _materials_by_name() -> dict[str, Material]:
    return indexed(_materials(), lambda one: (one.name, *one.other_names))
