"""What the fish of a tank are said to keep in, against its water: a second look, never a verdict on a fish."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from tankwright.checks.grouping import listed, rests_of_all
from tankwright.finding import Finding, Number, Severity
from tankwright.origin import Known
from tankwright.room.model import Room
from tankwright.systems.water_model import Fit, WaterResult

NAMES: Final = {
    "temperature": ("temperature", "temperature"), "ph": ("pH", "ph"), "hardness": ("general hardness", "hardness"),
}  # fmt: skip
SETTLED: Final = (
    "; the pH is the one its water settles at in the room's air,"
    " and a tank runs between that and the one it came with"
)
FRESH: Final = 0.1
"""S/m (1000 µS/cm), about half a gram of salt in a litre."""

DIFFERENCES: Final = {"temperature": "temperature_difference", "ph": "ph", "hardness": "hardness"}


def fish_keep_in_the_water_of_their_tank(room: Room, result: WaterResult) -> Iterator[Finding]:
    """WATER-16: every species is in water it is said to keep in."""
    outside: dict[str, list[Fit]] = {}
    for fit in result.fits:
        if fit.by > 0.0 or not fit.sure:
            outside.setdefault(fit.species, []).append(fit)
    lines = {life.stock.facts.name: life.stock.line for life in room.lives
             if life.stock is not None and life.stock.facts is not None}  # fmt: skip
    for species, fits in outside.items():
        sure = [fit for fit in fits if fit.by > 0.0 and fit.sure]
        shown = _worst_each(sure or fits)
        names = tuple(dict.fromkeys(tank for fit in (sure or fits) for tank in fit.tanks))
        said, numbers = [], []
        for fit in shown:
            name, dimension = NAMES[fit.quantity]
            said.append(f"{name} {{{fit.quantity}}} ({{{fit.quantity}_low}} to {{{fit.quantity}_high}})")
            numbers += [
                (fit.quantity, Number(fit.found.value, dimension)),
                (f"{fit.quantity}_low", Number(fit.low, dimension)),
                (f"{fit.quantity}_high", Number(fit.high, dimension)),
                (f"{fit.quantity}_by", Number(fit.by, DIFFERENCES[fit.quantity])),
            ]
        first = shown[0]
        end = first.high if first.found.value > first.high else first.low
        dimension = NAMES[first.quantity][1]
        settled = any(fit.quantity == "ph" for fit in shown)
        yield Finding(
            code="WATER-16", severity=Severity.WARNING if sure else Severity.NOTE, subject=species,
            text=f"in {listed(names)} {'is' if sure else 'may be'} outside what it is said to keep in: "
            + ", ".join(said),
            numbers=tuple(numbers), value=Number(first.found.value, dimension), limit=Number(end, dimension),
            reason="a table's range mixes wild waters and aquaria and is no verdict on a fish; bred stock often bears"
            " more" + (SETTLED if settled else ""),
            remedy="look twice: a different water or tank for it, or write what you have kept it in under"
            f' [species."{species}"]' + ("; measure the pH in the tank first, it decides" if settled else ""),
            source="; ".join(dict.fromkeys(_source(fit) for fit in shown)), line=lines.get(species), places=names,
            rests_on=rests_of_all([fit.found for fit in shown]),
        )  # fmt: skip


def brackish_fish_have_salt(room: Room, result: WaterResult) -> Iterator[Finding]:
    """WATER-18: fish of brackish water are in water with salt."""
    found: dict[tuple[str, str], list[tuple[str, Known]]] = {}
    for life in room.lives:
        row = result.tank(life.tank)
        facts = life.stock.facts if life.stock is not None and not life.stock.is_empty else None
        water = row.water if row is not None else None
        salts = water.conductivity or water.ionic if water is not None else None
        if facts is not None and salts is not None and salts.value < FRESH and _is_brackish(facts.water_kind):
            found.setdefault((facts.name, facts.water_kind), []).append((life.tank, salts))
    for (species, kind), rows in found.items():
        names = [name for name, _ in rows]
        least = min((salts for _, salts in rows), key=lambda known: known.value)
        yield Finding(
            code="WATER-18", severity=Severity.WARNING, subject=species,
            text=f"in {listed(names)} is said to be a fish of {kind} water, and its water has {{salts}}, as fresh water"
            " has",
            numbers=(("salts", Number(least.value, "conductivity")), ("limit", Number(FRESH, "conductivity"))),
            value=Number(least.value, "conductivity"), limit=Number(FRESH, "conductivity"),
            reason="brackish water begins at half a gram of salt in a litre, about {limit}; the kind of water is our"
            " own reading of the table and no verdict on a fish",
            remedy="look twice: what it was bred in decides; where salt is added, oxygen, pH and ammonia are worked out"
            " here as for fresh water",
            source="kind of water: our own reading, no source; fresh below 0.5 g/kg: Venice system (1958), from memory",
            places=tuple(names), rests_on=rests_of_all([salts for _, salts in rows]),
        )  # fmt: skip


def _is_brackish(kind: str) -> bool:
    """Said to be of brackish water, not only to bear it."""
    return kind.startswith("brackish") and "tolerant" not in kind


def what_could_not_be_compared(_room: Room, result: WaterResult) -> Iterator[Finding]:
    """WATER-17: all fish of the plan could be compared with their water."""
    reasons: dict[str, list[tuple[str, str, tuple[str, ...]]]] = {}
    for one in result.not_compared:
        reasons.setdefault(one.why, []).append((one.species, one.quantity, one.tanks))
    for why, rows in reasons.items():
        names = list(dict.fromkeys(tank for _, _, tanks in rows for tank in tanks))
        of = sorted(
            {f"{species}: {NAMES[quantity][0]}" if quantity else species for species, quantity, _ in rows}
        )
        what = f" ({', '.join(of)})" if any(of) else ""
        yield Finding(
            code="WATER-17", severity=Severity.NOT_COMPUTED, subject=f"the fish of {listed(names)}",
            text=f"were not compared with the water: {why}{what}",
            reason="a guess about what a fish bears would look like a fact", places=tuple(names),
            remedy="name the species of that stock" if not any(of) else "say what it keeps in under [species.\"...\"]"
            if why != "its water is not known" else "describe the water that is fed to it under [water]",
        )  # fmt: skip


def _worst_each(fits: list[Fit]) -> list[Fit]:
    """Of each quantity the fit that is furthest outside, in the order of the names."""
    worst: dict[str, Fit] = {}
    for fit in fits:
        known = worst.get(fit.quantity)
        if known is None or fit.by > known.by:
            worst[fit.quantity] = fit
    return [worst[name] for name in NAMES if name in worst]


def _source(fit: Fit) -> str:
    return f"{NAMES[fit.quantity][0]}: {fit.source}"
