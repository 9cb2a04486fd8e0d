"""What alarms watch and hang on, and what a reserve keeps running, must be in the plan."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, Final

from tankwright.plan.ids import IdsError, expand_ids
from tankwright.plan.pieces import tables, texts
from tankwright.plan.values import Path

if TYPE_CHECKING:
    from tankwright.plan.references import Look

_WATCHED: Final[Mapping[str, tuple[tuple[str, ...], str]]] = {
    "floor water": (("room",), "room"),
    "level": (("rack", "vat"), "tank, rack or vat"),
    "temperature": (("rack", "room"), "tank, rack or room"),
    "air pressure": (("air",), "air ring"),
    "power": ((), "board or circuit"),
}
"""By what an alarm watches: the parts of the plan it may name one of, and what that is called."""


def at_alarms(look: Look) -> None:
    """Say which names of alarms and of the reserve lead nowhere, and which ids come twice."""
    boards = [str(board["id"]) for _, board in look.boards() if isinstance(board.get("id"), str)]
    look.once(((*path, "id"), one.get("id")) for path, one in look.part("alarm"))
    for path, alarm in look.part("alarm"):
        board, where, watches = (alarm.get(key) for key in ("board", "where", "watches"))
        if isinstance(board, str):
            look.must_be(board, boards, "board", (*path, "board"))
        if isinstance(where, str) and isinstance(watches, str) and watches in _WATCHED:
            _at_place(look, where, watches, boards, (*path, "where"))
    power = look.positions.data.get("power")
    backup = power.get("backup") if isinstance(power, Mapping) else None
    keeps = backup.get("keeps") if isinstance(backup, Mapping) else None
    loads = [
        str(load["name"])
        for path, board in look.boards()
        for _, load in tables(board.get("loads"), (*path, "loads"))
        if isinstance(load.get("name"), str)
    ]
    for here, name in texts(keeps, ("power", "backup", "keeps")):
        look.must_be(name, [*boards, *loads], "board or load", here)


def _at_place(look: Look, where: str, watches: str, boards: list[str], path: Path) -> None:
    parts, called = _WATCHED[watches]
    known = [name for part in parts for name in look.names(part)]
    if watches == "power":
        power = look.positions.data.get("power")
        circuits = power.get("circuits") if isinstance(power, Mapping) else None
        known = [*boards, *(circuits if isinstance(circuits, Mapping) else ())]
    if "tank" in called and where not in known:
        if not look.tanks_are_known or _all_tanks(where, look.tanks):
            return
        known = [*look.tanks, *known]
    look.must_be(where, known, called, path)


def _all_tanks(text: str, tanks: Mapping[str, Any]) -> bool:
    try:
        named = expand_ids(text)
    except IdsError:
        return False
    return bool(named) and all(one in tanks for one in named)
