"""The waters one has, mixes worked out from their parts, and which tank gets which of them.

Hardness, alkalinity, nitrate and heat add up when waters meet; pH does not, it follows from alkalinity and carbon
(`systems/blending.py`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.origin import Known, Origin, derived
from tankwright.physics.carbonate_balance import (
    CALCIUM_CARBONATE_MOLAR_MASS,
    co2_from_ph_and_alkalinity,
    co2_in_equilibrium_with_air,
    ph_in_equilibrium_with_air,
)
from tankwright.physics.ranges import OutsideValidRange
from tankwright.physics.water_mix import conductivity_from_ions, ionic_strength_from_conductivity
from tankwright.room.model import FeedRun, Room
from tankwright.room.model_water import WaterPlace
from tankwright.systems.blending import Water, blend
from tankwright.systems.feed_time import longest_run, seconds_a_week
from tankwright.systems.water_model import SourceWater, TankWater
from tankwright.units import CubicMetrePerSecond, Dimensionless, Kelvin, SiemensPerMetre

FRESH_AIR, ROOM_AIR, STALE_AIR = 420e-6, 600e-6, 1000e-6
"""Shares of carbon dioxide: outdoors, a room that breathes a little, one with people and a shut door. Source: outdoor
air of the 2020s; 1000 ppm is where rooms are called stale, common practice, no source."""

ADDED_UP: Final = (
    "winter", "summer", "general_hardness", "carbonate_hardness", "conductivity", "chlorine", "nitrate", "ammonia",
)  # fmt: skip
"""What adds up by shares when waters are poured together. Conductivity nearly does, see `blending.blend`."""

SETTLED: Final = "settled with the room's air, 420 to 1000 ppm of carbon dioxide"
DAYS_A_WEEK: Final = 7.0
Parts = tuple[tuple[str, Dimensionless], ...]


@dataclass(slots=True)
class Waters:
    """The waters of a room by name, and the settled pH of each at a temperature, worked out once."""

    by_name: dict[str, SourceWater] = field(default_factory=dict)
    missing: list[tuple[str, str]] = field(default_factory=list)
    mixed: dict[Parts, SourceWater] = field(default_factory=dict)
    settled: dict[tuple[float, float, float, float], Known] = field(default_factory=dict)

    def of_parts(self, parts: Parts) -> SourceWater | None:
        """The water that runs from several; shares are taken to a thousandth."""
        shares = [(self.by_name[name], share) for name, share in parts if name in self.by_name]
        if not shares or len(shares) < len(parts):
            return None
        if len(shares) == 1:
            return shares[0][0]
        if parts not in self.mixed:
            name = " and ".join(name for name, _ in parts)
            self.mixed[parts] = pour(name, shares, self.missing)
        return self.mixed[parts]

    def settled_ph(self, water: SourceWater, temperature: Kelvin) -> Known | None:
        """The pH a water settles at in a room's air: stale, fresh, and a value between."""
        if water.carbonate_hardness is None or water.general_hardness is None:
            return None
        hard, kept, ionic = water.general_hardness.value, water.carbonate_hardness.value, _ionic(water)
        key = (round(temperature, 2), kept, hard, ionic)
        if key not in self.settled:
            stale, between, fresh = (
                self._standing(temperature, kept, hard, ionic, share)
                for share in (STALE_AIR, ROOM_AIR, FRESH_AIR)
            )
            self.settled[key] = Known(between, Origin.DERIVED, band=(stale, fresh), reason=SETTLED)
        return self.settled[key]

    @staticmethod
    def _standing(temperature: float, kept: float, hard: float, ionic: float, share: float) -> float:
        return ph_in_equilibrium_with_air(
            alkalinity=kept, temperature=temperature, carbon_dioxide_share=share, hardness=hard,
            ionic_strength=ionic_strength_from_conductivity(ionic),
        )  # fmt: skip


def waters_of(room: Room) -> Waters:
    """Every water of the plan, mixes worked out from their parts.

    >>> waters_of(Room(title="", display="metric", spaces=(), racks=(), tanks=())).by_name
    {}
    """
    found = Waters()
    for place in room.waters:
        if not place.mix:
            found.by_name[place.id] = settle(_measured(place), found.missing)
    for place in room.waters:
        parts = [(found.by_name[name], share.value) for name, share in place.mix if name in found.by_name]
        if place.mix and len(parts) == len(place.mix):
            total = sum(share for _, share in parts)
            poured = pour(place.id, [(one, share / total) for one, share in parts], found.missing)
            found.by_name[place.id] = settle(_own_values_first(place, poured), found.missing)
    return found


def _measured(place: WaterPlace) -> SourceWater:
    return SourceWater(
        name=place.id, mixed=False, winter=place.winter, summer=place.summer, ph=place.ph,
        general_hardness=place.general_hardness, carbonate_hardness=place.carbonate_hardness,
        conductivity=place.conductivity, chlorine=place.chlorine, nitrate=place.nitrate, ammonia=place.ammonia,
        disinfectant=place.disinfectant, price=place.price,
    )  # fmt: skip


def _own_values_first(place: WaterPlace, poured: SourceWater) -> SourceWater:
    """What was measured of a mix stands before what its parts let expect."""
    measured = {name: value for name in (*ADDED_UP, "ph") if (value := getattr(place, name)) is not None}
    if place.price is not None:
        measured["price"] = place.price
    if place.disinfectant != "not known":
        measured["disinfectant"] = place.disinfectant
    return replace(poured, **measured)


def pour(
    name: str, parts: Sequence[tuple[SourceWater, Dimensionless]], missing: list[tuple[str, str]]
) -> SourceWater:
    """Waters poured together; what one of them does not say, the mix does not know."""
    added = {
        what: _added(what, [(getattr(water, what), share) for water, share in parts]) for what in ADDED_UP
    }
    ph: Known | None = None
    chemical = [as_water(water) for water, _ in parts]
    if all(water is not None for water in chemical):
        try:
            poured = blend([water for water in chemical if water is not None], [share for _, share in parts])
            ph = derived(poured.water.ph, "from its parts by alkalinity and carbon, at once")
        except OutsideValidRange as outside:
            missing.append((f"water {name}", f"its pH is not worked out: {outside}"))
    prices = [water.price for water, share in parts if share > 0.0]
    price = None if None in prices else sum((water.price or 0.0) * share for water, share in parts)
    kind = _worst([water.disinfectant for water, share in parts if share > 0.0])
    return SourceWater(
        name=name, mixed=True, ph=ph, disinfectant=kind, price=price, winter=added["winter"], summer=added["summer"],
        general_hardness=added["general_hardness"], carbonate_hardness=added["carbonate_hardness"],
        conductivity=added["conductivity"], chlorine=added["chlorine"], nitrate=added["nitrate"],
        ammonia=added["ammonia"],
    )  # fmt: skip


def _added(what: str, parts: Iterable[tuple[Known | None, Dimensionless]]) -> Known | None:
    counted = [(known, share) for known, share in parts if share > 0.0]
    if any(known is None for known, _ in counted):
        return None
    knowns = [(known, share) for known, share in counted if known is not None]
    if len(knowns) == 1:
        return knowns[0][0]
    value = sum(known.value * share for known, share in knowns)
    guessed = next((known for known, _ in knowns if known.is_assumed), None)
    if guessed is None:
        return derived(value, "its parts, by their shares")
    bands = [(known.band or (known.value, known.value), share) for known, share in knowns]
    low, high = (sum(band[end] * share for band, share in bands) for end in (0, 1))
    return Known(
        value, Origin.ASSUMED, key=guessed.key, band=(low, high), reason=f"a part has its {what} assumed"
    )


def _worst(kinds: Sequence[str]) -> str:
    """What a mix of disinfected waters is to be taken for: the one that is hardest to be rid of."""
    return next((kind for kind in ("chloramine", "not known", "chlorine") if kind in kinds), "none")


# --- the chemistry of one water ------------------------------------------------------------------------------


def as_water(water: SourceWater) -> Water | None:
    """A water as the blending takes it; None where something of it is not known."""
    temperature = mean_temperature(water)
    knowns = (water.ph, water.general_hardness, water.carbonate_hardness)
    if temperature is None or any(known is None for known in knowns):
        return None
    ph, hard, kept = (known.value for known in knowns if known is not None)
    return Water(temperature=temperature, ph=ph, hardness=hard, alkalinity=kept, conductivity=_ionic(water))


def mean_temperature(water: SourceWater) -> Kelvin | None:
    """Half way between winter and summer."""
    if water.winter is None or water.summer is None:
        return None
    return (water.winter.value + water.summer.value) / 2.0


def _ionic(water: SourceWater) -> SiemensPerMetre:
    """Conductivity as measured, or what hardness and alkalinity let expect."""
    if water.conductivity is not None:
        return water.conductivity.value
    hard = water.general_hardness.value if water.general_hardness else 0.0
    kept = water.carbonate_hardness.value if water.carbonate_hardness else 0.0
    return expected_conductivity(hard, kept)


def expected_conductivity(hardness: float, alkalinity: float) -> SiemensPerMetre:
    """Conductivity of a water of calcium and bicarbonate, the rest of either made up by sodium or chloride.

    Source: balance of charges; `water_mix.conductivity_from_ions`. Salts beyond it make the true one higher.

    >>> round(expected_conductivity(0.25, 0.18) * 1e4)  # 14 °dGH, 10 °dKH, in µS/cm
    507
    """
    metal, bound = (2.0 * value / CALCIUM_CARBONATE_MOLAR_MASS for value in (hardness, alkalinity))
    return conductivity_from_ions(
        calcium=min(metal / 2.0, 20.0), bicarbonate=min(bound, 100.0), chloride=max(metal - bound, 0.0),
        sodium=max(bound - metal, 0.0),
    )  # fmt: skip


def settle(water: SourceWater, missing: list[tuple[str, str]]) -> SourceWater:
    """The water with what its carbon does: dioxide it brings, pH and dioxide after standing in a room."""
    known = as_water(water)
    if known is None:
        return water
    at = ASSUMPTIONS["tank.temperature"].value
    try:
        strength = ionic_strength_from_conductivity(known.conductivity)
        brought = co2_from_ph_and_alkalinity(
            ph=known.ph, alkalinity=known.alkalinity, temperature=known.temperature, ionic_strength=strength,
            hardness=known.hardness,
        )  # fmt: skip
        stale, fresh = (
            ph_in_equilibrium_with_air(alkalinity=known.alkalinity, temperature=at, carbon_dioxide_share=share,
                                       ionic_strength=strength, hardness=known.hardness)
            for share in (STALE_AIR, FRESH_AIR)
        )  # fmt: skip
    except OutsideValidRange as outside:
        missing.append((f"water {water.name}", f"what its carbon dioxide does is not worked out: {outside}"))
        return water
    kept = (
        co2_in_equilibrium_with_air(temperature=at, carbon_dioxide_share=share)
        for share in (FRESH_AIR, STALE_AIR)
    )
    low, high = kept
    return replace(
        water, ionic=derived(known.conductivity, "as measured" if water.conductivity else "from its hardness"),
        standing_at=at, standing_ph=(stale, fresh), carbon_dioxide=brought, standing_dioxide=(low, high),
    )  # fmt: skip


# --- which tank gets which -----------------------------------------------------------------------------------


def water_of_tanks(
    room: Room, waters: Waters, inflows: Mapping[str, Mapping[str, CubicMetrePerSecond]]
) -> tuple[TankWater, ...]:
    """Which water every tank gets, in the order of the tanks."""
    look = _Tanks(room=room, waters=waters, inflows=inflows)
    return tuple(look.water_of(tank.id) for tank in room.tanks)


@dataclass(slots=True)
class _Tanks:
    room: Room
    waters: Waters
    inflows: Mapping[str, Mapping[str, CubicMetrePerSecond]]
    found: dict[str, TankWater] = field(default_factory=dict)
    open: list[str] = field(default_factory=list)
    runs: dict[str, list[FeedRun]] = field(init=False)
    points: dict[str, str] = field(init=False)
    zones: dict[str, str] = field(init=False)
    wanted: dict[str, float] = field(init=False)

    def __post_init__(self) -> None:
        self.runs = {}
        for run in self.room.feeds:
            for name in dict.fromkeys(outlet.tank for outlet in run.outlets):
                self.runs.setdefault(name, []).append(run)
        self.points = {}
        for place in self.room.waters:
            for point in place.comes_from:
                self.points.setdefault(point, place.id)
        self.zones = {tank.id: tank.zone for tank in self.room.tanks}
        self.wanted = {life.tank: life.wanted_temperature.value for life in self.room.lives}

    def water_of(self, tank: str) -> TankWater:
        if tank not in self.found:
            self.open.append(tank)
            self.found[tank] = self._water_of(tank)
            self.open.pop()
        return self.found[tank]

    def _water_of(self, tank: str) -> TankWater:
        runs = self.runs.get(tank, [])
        if not runs:
            only = by_hand(self.room)
            return self._row(tank, ((only, 1.0),) if only else (), by_hand=only is not None)
        flows = [self.inflows.get(run.id, {}).get(tank, 0.0) for run in runs]
        days = [
            flow * seconds_a_week(run.openings) / DAYS_A_WEEK for run, flow in zip(runs, flows, strict=True)
        ]
        weights = days if sum(days) > 0.0 else flows if sum(flows) > 0.0 else [1.0] * len(runs)
        through: tuple[str, ...] = ()
        shares: dict[str, float] = {}
        for run, weight in zip(runs, weights, strict=True):
            if weight <= 0.0:
                continue
            name = self.points.get(run.source, "")
            if run.source_kind == "tank":
                name = self._from_tank(run.source)
                through = (*self.found[run.source].through, run.source) if name else through
            shares[name] = shares.get(name, 0.0) + weight / sum(weights)
        return self._row(
            tank, _thousandths(shares), by_hand=False, through=through, inflow=sum(flows),
            longest=max(longest_run(run.openings) for run in runs), volume=sum(days),
        )  # fmt: skip

    def _from_tank(self, tank: str) -> str:
        """The name of the water that leaves a tank; "" where it goes round in a circle or is not known."""
        if tank in self.open or tank not in self.zones:
            self.waters.missing.append((f"tank {tank}", "is fed, through other tanks, from itself"))
            return ""
        water = self.water_of(tank).water
        if water is None:
            return ""
        name = of_tank(tank)
        at = self.wanted.get(tank)
        warm = derived(at, f"it has stood in tank {tank}") if at is not None else None
        self.waters.by_name[name] = replace(water, name=name, winter=warm, summer=warm, price=None)
        return name

    def _row(
        self, tank: str, parts: Parts, *, by_hand: bool, through: tuple[str, ...] = (), inflow: float = 0.0,
        longest: float = 0.0, volume: float = 0.0,
    ) -> TankWater:  # fmt: skip
        parts = () if any(not name for name, _ in parts) else parts
        water = self.waters.of_parts(parts) if parts else None
        settled = None
        if water is not None and tank in self.wanted:
            try:
                settled = self.waters.settled_ph(water, self.wanted[tank])
            except OutsideValidRange as outside:
                self.waters.missing.append((f"water {water.name}", f"its settled pH: {outside}"))
        return TankWater(
            tank=tank, zone=self.zones[tank], parts=parts, by_hand=by_hand, through=through, inflow=inflow,
            longest_run=longest, volume_a_day=volume, water=water, settled_ph=settled,
        )  # fmt: skip


def of_tank(tank: str) -> str:
    """What the water is called that leaves a tank for another.

    >>> of_tank("A3")
    'tank A3'
    """
    return f"tank {tank}"


def fresh_parts(row: TankWater) -> Parts:
    """The parts of a tank's water that come from a source, not out of another tank."""
    passed = {of_tank(tank) for tank in row.through}
    return tuple((name, share) for name, share in row.parts if name not in passed)


def by_hand(room: Room) -> str | None:
    """The water a tank without a feed is taken to be changed with: the only one that comes from a tap or vat."""
    drawn = [water.id for water in room.waters if water.comes_from]
    if len(drawn) == 1:
        return drawn[0]
    return room.waters[0].id if len(room.waters) == 1 else None


def _thousandths(shares: Mapping[str, float]) -> Parts:
    """Shares that still make a whole, so that tanks whose feeds differ by a hair share one water."""
    rounded = {name: round(share, 3) for name, share in shares.items()}
    total = sum(rounded.values())
    return tuple((name, share / total) for name, share in rounded.items() if share > 0.0)
