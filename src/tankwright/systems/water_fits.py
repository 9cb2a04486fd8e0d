"""What the fish of a tank are said to keep in, against the water of the tank."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from tankwright.catalogue.species import Range, Species
from tankwright.origin import Known
from tankwright.room.model import Room
from tankwright.room.model_water import TankLife
from tankwright.systems.water_model import Fit, TankWater, Unfit
from tankwright.systems.water_wants import outside, tank_ph

QUANTITIES: Final = ("temperature", "ph", "hardness")


def fits_of(room: Room, tanks: Sequence[TankWater]) -> tuple[tuple[Fit, ...], tuple[Unfit, ...]]:
    """Every species against every different water it is in, and what could not be compared, with its reason."""
    waters = {row.tank: row for row in tanks}
    fits: dict[tuple[str, str, float], list[tuple[str, Range, Known]]] = {}
    unknown: dict[tuple[str, str, str], list[str]] = {}
    for life in room.lives:
        for species, quantity, span, found, why in _pairs(life, waters):
            if span is None or found is None:
                unknown.setdefault((species, quantity, why), []).append(life.tank)
            else:
                fits.setdefault((species, quantity, found.value), []).append((life.tank, span, found))
    compared = []
    for (species, quantity, _), rows in fits.items():
        _, span, found = rows[0]
        by = outside(found.value, span.low, span.high)
        ends = {outside(end, span.low, span.high) > 0.0 for end in (found.band or (found.value,))}
        compared.append(Fit(
            species=species, tanks=tuple(tank for tank, _, _ in rows), quantity=quantity, low=span.low, high=span.high,
            source=span.source, from_memory=span.from_memory, found=found, by=by, sure=ends == {by > 0.0},
        ))  # fmt: skip
    return tuple(compared), tuple(
        Unfit(species=species, quantity=quantity, why=why, tanks=tuple(names))
        for (species, quantity, why), names in unknown.items()
    )


def _pairs(
    life: TankLife, waters: Mapping[str, TankWater]
) -> Iterator[tuple[str, str, Range | None, Known | None, str]]:
    """Species, quantity, what it is said to keep in, what its tank has, and why the two are not compared."""
    if life.stock is None or life.stock.is_empty:
        return
    name, facts = life.stock.species or "", life.stock.facts
    if facts is None:
        yield name, "", None, None, "no facts about it" if name else "the plan names no species"
        return
    row = waters.get(life.tank)
    for quantity in QUANTITIES:
        span, found = _said(facts, quantity), _had(life, row, quantity)
        why = "nobody says what it keeps in" if span is None else "its water is not known"
        yield facts.name, quantity, span, found, why


def _said(facts: Species, quantity: str) -> Range | None:
    return {"temperature": facts.temperature, "ph": facts.ph, "hardness": facts.hardness}[quantity]


def _had(life: TankLife, row: TankWater | None, quantity: str) -> Known | None:
    if quantity == "temperature":
        return life.wanted_temperature
    if row is None:
        return None
    if quantity == "ph":
        return tank_ph(row)
    return row.water.general_hardness if row.water is not None else None
