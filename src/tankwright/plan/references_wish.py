"""What [wish] names must be in the plan: a room, kinds of tank and rack, racks that stay."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, Final

from tankwright.plan.pieces import tables, texts

if TYPE_CHECKING:
    from tankwright.plan.references import Look

AT_MOST_BELOW: Final = "PLAN-039"


def at_wish(look: Look) -> None:
    """Say which names of the wish lead nowhere, and which of its counts cannot be."""
    wish = look.positions.data.get("wish")
    if not isinstance(wish, Mapping):
        return
    for key, part, what in (
        ("room", "room", "room"),
        ("racks", "rack_kind", "rack kind"),
        ("keep", "rack", "rack"),
    ):
        for here, name in texts(wish.get(key), ("wish", key)):
            look.must_be(name, look.names(part), what, here)
    seen: dict[str, int] = {}
    for here, row in tables(wish.get("tanks"), ("wish", "tanks")):
        kind = row.get("kind")
        if isinstance(kind, str):
            look.must_be(kind, look.names("tank_kind"), "tank kind", (*here, "kind"))
            if seen.setdefault(kind, 1) > 1:
                text = f'names "{kind}" a second time'
                look.say(
                    AT_MOST_BELOW, (*here, "kind"), text, wanted="each kind once, with at_least and at_most"
                )
            seen[kind] = 2
        _counts(look, row, here)


def _counts(look: Look, row: Mapping[str, Any], here: tuple[str | int, ...]) -> None:
    least, most = row.get("at_least"), row.get("at_most")
    if isinstance(least, int) and isinstance(most, int) and most < least:
        text = f"is {most}, less than at_least, which is {least}"
        look.say(AT_MOST_BELOW, (*here, "at_most"), text, wanted="at_most not below at_least")
