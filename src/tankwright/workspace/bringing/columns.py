"""Which column of a table says what: guessed from its head and its cells, changed by its owner."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal, get_args

from tankwright.workspace.bringing.dates import DayOrder, column_order, read_date
from tankwright.workspace.bringing.tables import Cell, Table
from tankwright.workspace.entries import SCALES, EntryKind

TableSort = Literal["tests", "events", "tanks"]
"""A row is a test of water; something that happened; or a tank as it is now."""

Role = Literal[
    "", "date", "time", "tank", "to", "what", "number", "stock", "line", "species", "sex", "born", "from", "price",
    "who", "note", "ph", "gh", "kh", "no2", "no3", "nh4", "temperature",
]  # fmt: skip
ROLES: Final[tuple[Role, ...]] = get_args(Role)
QUANTITIES: Final[tuple[EntryKind, ...]] = ("ph", "gh", "kh", "no2", "no3", "nh4", "temperature")

# Words people write over such columns: common practice, no source.
_WORDS: Final[dict[Role, tuple[str, ...]]] = {
    "date": ("date", "day", "when", "datum"), "time": ("time", "hour"),
    "tank": ("tank", "aquarium", "place", "location", "from tank"), "to": ("to", "to tank", "moved to", "into"),
    "what": ("what", "event", "type", "action", "happened", "kind"),
    "number": ("number", "count", "qty", "quantity", "how many", "fish", "no", "n", "total", "eggs", "fry"),
    "stock": ("stock", "group", "batch", "brood", "pair", "name"), "line": ("line", "strain", "variety"),
    "species": ("species", "scientific name", "latin name"), "sex": ("sex", "gender"),
    "born": ("born", "hatched", "birth date", "dob", "spawn date"),
    "from": ("from", "source", "origin", "seller", "bought from"), "price": ("price", "cost", "paid"),
    "who": ("who", "by", "initials"), "note": ("note", "notes", "comment", "comments", "remarks"),
    "ph": ("ph",), "gh": ("gh", "general hardness", "total hardness"),
    "kh": ("kh", "carbonate hardness", "alkalinity"), "no2": ("no2", "nitrite"), "no3": ("no3", "nitrate"),
    "nh4": ("nh4", "ammonium", "ammonia", "nh3", "tan"), "temperature": ("temperature", "temp", "water temp"),
}  # fmt: skip
_UNITS: Final = {"°f": "°F", "deg f": "°F", "f": "°F", "°c": "°C", "c": "°C"}


@dataclass(frozen=True, slots=True, kw_only=True)
class TableReading:
    """How a table is to be read: what each column says, in which order its dates are, which sort of row it has.

    `units` are of columns whose head names one. `day_order` None: nobody knows, and dates that could be either are
    not understood. `opens_places`: tanks the plan does not have are opened as places of old.
    """

    roles: tuple[Role, ...]
    sort: TableSort
    day_order: DayOrder | None
    units: tuple[str, ...]
    opens_places: bool = False

    def column(self, role: Role) -> int | None:
        """Where the first column of a role is."""
        return next((at for at, one in enumerate(self.roles) if one == role), None)


def guessed_reading(table: Table, tanks: frozenset[str]) -> TableReading:
    """How a table seems to be meant. `tanks` are the labels of known places, which give a column of tanks away.

    >>> from tankwright.workspace.bringing.tables import Table
    >>> table = Table(name="t", head=("When", "Tank", "KH (°dH)"), rows=((2, ("1.8.2026", "A3", "4")),))
    >>> guessed_reading(table, frozenset({"A3"})).roles
    ('date', 'tank', 'kh')
    """
    roles: list[Role] = []
    for name in table.head:
        role = _by_word(_bare(name))
        roles.append(role if role and role not in roles else "")
    if "date" not in roles:
        _take(roles, "date", table, _has_date)
    if "tank" not in roles:
        _take(roles, "tank", table, lambda cell: isinstance(cell, str) and cell.casefold() in _folded(tanks))
    sort = _sort(roles)
    date = roles.index("date") if "date" in roles else None
    order = column_order(row[date] for _, row in table.rows).order if date is not None else None
    return TableReading(
        roles=tuple(roles), sort=sort, day_order=order, units=tuple(map(_unit_of, table.head)),
    )  # fmt: skip


def changed_reading(reading: TableReading, said: Mapping[str, str]) -> TableReading:
    """The reading with what its owner said of it: "column 3" (from 1) a role, "sort", "order", "places"; the rest of it
    stays. What is no choice is passed over."""
    roles = list(reading.roles)
    for at in range(len(roles)):
        wanted = said.get(f"column {at + 1}")
        role = next((one for one in ROLES if one == wanted), None) if wanted is not None else None
        if role is not None:
            roles[at] = role
    sort = next((one for one in get_args(TableSort) if one == said.get("sort")), _sort(roles))
    order = next((one for one in get_args(DayOrder) if one == said.get("order")), reading.day_order)
    places = said["places"] == "yes" if "places" in said else reading.opens_places
    return TableReading(
        roles=tuple(roles), sort=sort, day_order=order, units=reading.units, opens_places=places
    )


def _sort(roles: list[Role]) -> TableSort:
    if any(one in QUANTITIES for one in roles):
        return "tests"
    return "events" if "what" in roles else "tanks"


def _bare(name: str) -> str:
    without = re.sub(r"\(.*?\)|\[.*?\]|°\w+|mg/l|ppm", " ", name.casefold())
    return " ".join(re.sub(r"[^a-z0-9äöüß#]+", " ", without).split())


def _by_word(name: str) -> Role:
    for role, words in _WORDS.items():
        if name in words or name.removesuffix(" mg l") in words:
            return role
    return ""


def _unit_of(name: str) -> str:
    inside = re.search(r"[(\[](.+?)[)\]]", name)
    text = (
        (inside[1] if inside else name.rpartition(" ")[2] if " " in name.strip() else "").strip().casefold()
    )
    if text in _UNITS:
        return _UNITS[text]
    for scale in SCALES.values():
        for unit in scale.units:
            if unit and text == unit.casefold():
                return unit
    return text if text in {"ppm", "mmol/l", "°fh", "dkh", "mg/l caco3", "meq/l"} else ""


def _has_date(cell: Cell) -> bool:
    return read_date(cell, "day first") is not None


def _folded(names: frozenset[str]) -> frozenset[str]:
    return frozenset(name.casefold() for name in names)


def _take(roles: list[Role], role: Role, table: Table, fits: object) -> None:
    """Give a role to the first free column most of whose cells fit."""
    assert callable(fits)
    some = table.rows[:200]
    for at, taken in enumerate(roles):
        cells = [row[at] for _, row in some if row[at]]
        if not taken and cells and sum(bool(fits(cell)) for cell in cells) > 0.7 * len(cells):
            roles[at] = role
            return
