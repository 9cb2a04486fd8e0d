"""What water may be: limits that hold whatever a chart says, and what a tank's zone wants."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final, Literal

from tankwright.husbandry.water_readings import WaterReading
from tankwright.physics.disinfectants import CHLORINE_LIMIT
from tankwright.room.model import Room
from tankwright.room.model_water import WantedWater

LimitKind = Literal["hazard", "wanted", "usual"]
Standing = Literal["past hazard", "past want", "may be past", "inside", "no limit", "not judged"]
STANDINGS: Final[tuple[Standing, ...]] = (
    "past hazard", "past want", "may be past", "not judged", "no limit", "inside"
)  # fmt: skip
"""Worst first."""

PRACTICE: Final = "common practice, no source"


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterLimit:
    """At least `low` and at most `high` of a quantity, in SI; None is open. A "hazard" harms fish, a "wanted" one is
    what the tank's zone wants, a "usual" one is common where the zone wants nothing."""

    quantity: str
    kind: LimitKind
    low: float | None = None
    high: float | None = None
    says: str = ""
    source: str = PRACTICE


LEAST_ALKALINITY: Final = 0.020
"""kg/m3 as CaCO3 (20 mg/L, 1.1 °dH) below which little holds the pH. Common practice, no source."""

USUAL_NITRATE: Final = 0.050
"""kg/m3 of nitrate where a zone wants nothing in particular. Common practice, no source."""

HAZARDS: Final = (
    WaterLimit(quantity="ph", kind="hazard", low=5.0, high=9.0, says="outside it most freshwater fish are harmed",
               source="EIFAC (1969), Report on extreme pH values and inland fisheries; from memory"),
    WaterLimit(quantity="no2", kind="hazard", high=6.0e-4, says="nitrite harms; the less chloride the sooner",
               source="EIFAC Technical Paper 46 (1984), other fish than salmon at 10 mg/L of chloride, 0.18 mg/L as N;"
               " from memory"),
    WaterLimit(quantity="chlorine", kind="hazard", high=CHLORINE_LIMIT, says="chlorine is already toxic to fish",
               source="WEF Manual of Practice 8 / ASCE 76"),
)  # fmt: skip
"""What holds for every tank. Ammonia is judged at the tank's own pH and warmth, by `water_ammonia`."""

_USUAL: Final = (
    WaterLimit(quantity="no2", kind="usual", high=2.0e-4, says="a grown-in filter leaves no more"),
    WaterLimit(quantity="nh4", kind="usual", high=2.5e-4, says="a grown-in filter leaves no more"),
)


def limits_of(room: Room | None, tank: str) -> tuple[WaterLimit, ...]:
    """The limits of one tank by its name in the plan, hazards first; of a place no plan knows the hazards alone.

    A zone that wants soft water is not told that its alkalinity is low.

    >>> [one.quantity for one in limits_of(None, "vat") if one.kind == "hazard"]
    ['ph', 'no2', 'chlorine', 'kh']
    """
    wants, oxygen = _wants(room, tank), None
    if room is not None and room.laws is not None:
        oxygen = room.laws.trouble.value
    hazards = list(HAZARDS)
    hard = wants.carbonate_hardness if wants is not None else None
    if hard is None or hard[0].value >= LEAST_ALKALINITY:
        hazards.append(WaterLimit(
            quantity="kh", kind="hazard", low=LEAST_ALKALINITY, says="little is left that holds the pH"))  # fmt: skip
    if oxygen is not None:
        hazards.append(WaterLimit(quantity="oxygen", kind="hazard", low=oxygen, says="fish are in trouble",
                                  source="the room's own assumption oxygen.trouble"))  # fmt: skip
    return (*hazards, *_wanted(wants), *_USUAL)


def all_limits(room: Room | None, tanks: Iterable[str]) -> Mapping[str, tuple[WaterLimit, ...]]:
    """The limits of many tanks, by their names.

    >>> sorted(all_limits(None, ("A1", "A2")))
    ['A1', 'A2']
    """
    zones = {tank.id: tank.zone for tank in room.tanks} if room is not None else {}
    made: dict[str | None, tuple[WaterLimit, ...]] = {}
    found = {}
    for tank in tanks:
        zone = zones.get(tank)
        if zone not in made:
            made[zone] = limits_of(room, tank)
        found[tank] = made[zone]
    return found


def _wants(room: Room | None, tank: str) -> WantedWater | None:
    if room is None:
        return None
    zone = next((one.zone for one in room.tanks if one.id == tank), "")
    return next((one.wants for one in room.zones if one.id == zone), None)


def _wanted(wants: WantedWater | None) -> tuple[WaterLimit, ...]:
    if wants is None:
        return (_nitrate(None),)
    pairs = (
        ("temperature", wants.temperature), ("ph", wants.ph), ("gh", wants.general_hardness),
        ("kh", wants.carbonate_hardness), ("conductivity", wants.conductivity),
    )  # fmt: skip
    found = tuple(
        WaterLimit(quantity=key, kind="wanted", low=pair[0].value, high=pair[1].value,
                   says="its zone wants otherwise", source="your plan")
        for key, pair in pairs if pair is not None
    )  # fmt: skip
    return (*found, _nitrate(wants.nitrate.value if wants.nitrate is not None else None))


def _nitrate(wanted: float | None) -> WaterLimit:
    if wanted is None:
        return WaterLimit(quantity="no3", kind="usual", high=USUAL_NITRATE, says="more than is usual")
    return WaterLimit(
        quantity="no3", kind="wanted", high=wanted, says="its zone wants less", source="your plan"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """How a reading stands: the worst of what its limits say, and which limit says it."""

    standing: Standing
    limit: WaterLimit | None = None
    side: Literal["low", "high", ""] = ""

    @property
    def bound(self) -> float | None:
        """The end of the limit that counts."""
        return None if self.limit is None or not self.side else getattr(self.limit, self.side)


def judged(reading: WaterReading, limits: Iterable[WaterLimit]) -> Judged:
    """How a reading stands against the limits of its quantity.

    Past a limit is what lies past it both as it was read and by the middle of what it may be. What may be past a hazard
    by its range alone is said so; a want is not so sharp that a kit's last drop decides it.

    >>> from datetime import UTC, datetime
    >>> at = datetime(2026, 8, 2, tzinfo=UTC)
    >>> wanted, hazard = (WaterLimit(quantity="no3", kind=kind, high=0.05) for kind in ("wanted", "hazard"))
    >>> judged(WaterReading(at=at, value=0.06, low=0.055, high=0.07), (wanted,)).standing
    'past want'
    >>> edge = WaterReading(at=at, value=0.05, low=0.045, high=0.055)
    >>> judged(edge, (wanted,)).standing, judged(edge, (hazard,)).standing
    ('inside', 'may be past')
    """
    known = tuple(limits)
    if not known:
        return Judged(standing="no limit")
    low, high = sorted((reading.value, reading.middle))
    may: Judged | None = None
    for limit in sorted(known, key=lambda one: one.kind != "hazard"):
        hazard = limit.kind == "hazard"
        side = _side(high, low, limit)
        if side:
            return Judged(standing="past hazard" if hazard else "past want", limit=limit, side=side)
        side = _side(reading.low, reading.high, limit) if hazard else ""
        if side and may is None:
            may = Judged(standing="may be past", limit=limit, side=side)
    return may or Judged(
        standing="inside", limit=next((one for one in known if one.kind != "hazard"), known[0])
    )


def _side(low: float, high: float, limit: WaterLimit) -> Literal["low", "high", ""]:
    """The end that the lower number is below, or the higher above."""
    if limit.low is not None and low < limit.low:
        return "low"
    return "high" if limit.high is not None and high > limit.high else ""
