"""Tees of a drain that gather the hoses of several tanks, as their owner says."""

from __future__ import annotations

from collections.abc import Container, Sequence

from tankwright.plan.models import Drain
from tankwright.room.mistakes import TEE_OF_NO_HOSE, TWO_TEES_SAID, Mistakes
from tankwright.room.powers import tanks_named
from tankwright.units import Metre

Join = tuple[Metre, str]
"""How far along a run a tank's hose joins it (m), and the tank."""


def gathered(
    name: str, drain: Drain, joins: Sequence[Join], tanks: Container[str], mistakes: Mistakes
) -> list[Join]:
    """Where each hose joins once the tanks named for one tee join there; the others keep a tee of their own.

    A tee lies halfway along the run between the first and the last of its tanks, so that its longest hose is as
    short as it can be. A tank that is not there, is named for two tees, or has no hose into this drain is said
    and left where it would be without the tee.
    """
    subject = f"drain {name}"
    places = {tank: place for place, tank in joins}
    tee_of: dict[str, int] = {}
    for number, text in enumerate(drain.tees):
        named = tanks_named(text, f"{subject}, tee {number + 1}", drain.line, tanks, mistakes)
        strange = tuple(tank for tank in named if tank not in places)
        twice = tuple(tank for tank in named if tank in tee_of)
        if strange:
            mistakes.say(
                TEE_OF_NO_HOSE,
                subject,
                f"gathers in tee {number + 1} tanks that have no hose into this drain",
                line=drain.line,
                places=strange,
                reason="they are not drilled, or their rack is not one this drain passes",
                remedy="take them out of the tee, or name their rack in behind",
                found=", ".join(strange[:12]) + (" ..." if len(strange) > 12 else ""),
            )
        if twice:
            mistakes.say(
                TWO_TEES_SAID,
                subject,
                f"gathers in tee {number + 1} tanks that tee {tee_of[twice[0]] + 1} takes already",
                line=drain.line,
                places=twice,
                reason="a hose joins one tee; it stays with the first",
                remedy="name each tank in one tee only",
                found=", ".join(twice[:12]) + (" ..." if len(twice) > 12 else ""),
            )
        tee_of |= {tank: number for tank in named if tank in places and tank not in tee_of}
    ways: dict[int, list[Metre]] = {}
    for tank, number in tee_of.items():
        ways.setdefault(number, []).append(places[tank])
    middles = {number: (min(along) + max(along)) / 2.0 for number, along in ways.items()}
    moved = [(middles[tee_of[tank]] if tank in tee_of else place, tank) for place, tank in joins]
    return sorted(moved, key=lambda one: one[0])
