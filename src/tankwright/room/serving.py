"""Which tanks a feed or an air ring serves, when the plan says it in full, in part, or not at all."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from tankwright.plan.models import Plan
from tankwright.room.mistakes import Mistakes
from tankwright.room.model import Tank


@dataclass(frozen=True, slots=True, kw_only=True)
class Claim:
    """What one feed or ring asks for. None means it does not say. `home` is the room it lies in."""

    name: str
    zones: frozenset[str] | None = None
    racks: frozenset[str] | None = None
    tanks: frozenset[str] | None = None
    home: str = ""

    @property
    def says(self) -> bool:
        """Whether it names what it serves."""
        return not (self.zones is None and self.racks is None and self.tanks is None)

    def takes(self, tank: Tank) -> bool:
        """Whether a tank is among what it names."""
        return (
            (self.zones is None or tank.zone in self.zones)
            and (self.racks is None or tank.rack in self.racks)
            and (self.tanks is None or tank.id in self.tanks)
        )


def share_out(claims: Iterable[Claim], tanks: Mapping[str, Tank]) -> dict[str, tuple[Tank, ...]]:
    """The tanks of each claim, in the room's order.

    One that names what it serves gets just that, shared with others if they name it too. One that names
    nothing gets what nobody names; when several name nothing, a tank goes to the one in its own room, else to
    the first.
    """
    claims = tuple(claims)
    saying = [claim for claim in claims if claim.says]
    silent = [claim for claim in claims if not claim.says]
    by_room = {claim.home: claim.name for claim in reversed(silent)}
    shares: dict[str, list[Tank]] = {claim.name: [] for claim in claims}
    for tank in tanks.values():
        named = False
        for claim in saying:
            if claim.takes(tank):
                shares[claim.name].append(tank)
                named = True
        if silent and not named:
            name = by_room.get(tank.room, silent[0].name) if len(silent) > 1 else silent[0].name
            shares[name].append(tank)
    return {name: tuple(share) for name, share in shares.items()}


def known_names(
    subject: str,
    what: str,
    names: Sequence[str],
    choices: Sequence[str],
    line: int | None,
    mistakes: Mistakes,
) -> frozenset[str] | None:
    """The names that exist, the nearest for a misspelt one; None when none were said."""
    if not names:
        return None
    found = set()
    for name in names:
        known = name if name in choices else mistakes.unknown(subject, what, name, tuple(choices), line)
        found.add(known or name)
    return frozenset(found)


def zone_names(plan: Plan) -> tuple[str, ...]:
    """Every zone a plan speaks of, the main one too."""
    return tuple(dict.fromkeys(["main", *plan.zone, *(rack.zone for rack in plan.rack if rack.zone)]))
