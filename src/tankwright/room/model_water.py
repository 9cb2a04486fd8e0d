"""The laid-out room as water and fish see it: waters one has, what each zone wants, what each tank holds."""

from __future__ import annotations

from dataclasses import dataclass

from tankwright.catalogue.species import Species
from tankwright.origin import Known

Wanted = tuple[Known, Known]
"""The lowest and the highest one wants."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterPlace:
    """A water one has. `mix` names others with their shares; its own values are then None unless measured.

    Concentrations are kg/m3: hardness and alkalinity as calcium carbonate, nitrate as NO3, ammonia as N, chlorine as
    Cl2. `comes_from` are water points, vats or tanks that give it.
    """

    id: str
    comes_from: tuple[str, ...]
    mix: tuple[tuple[str, Known], ...]
    winter: Known | None
    summer: Known | None
    ph: Known | None
    general_hardness: Known | None
    carbonate_hardness: Known | None
    conductivity: Known | None
    chlorine: Known | None
    disinfectant: str
    nitrate: Known | None
    ammonia: Known | None
    price: float | None
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WantedWater:
    """What a zone's tanks are meant to have; None: nothing is said."""

    temperature: Wanted | None = None
    ph: Wanted | None = None
    general_hardness: Wanted | None = None
    carbonate_hardness: Wanted | None = None
    conductivity: Wanted | None = None
    nitrate: Known | None = None
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StockPlace:
    """What one tank is meant to hold. `each` is the mass of one fish, `mass` of all, `feed` kg/s of dry feed; both
    None where the plan says neither count nor mass, so that nothing that rests on them is worked out.

    A tank the plan names no stock for has no `StockPlace`: it counts as empty of fish, and is told so.
    """

    tank: str
    species: str | None
    facts: Species | None
    count: int | None
    each: Known
    mass: Known | None
    feed: Known | None
    protein: Known
    activity: Known
    line: int | None = None

    @property
    def is_empty(self) -> bool:
        """Said to hold no fish."""
        return self.mass is not None and self.mass.value <= 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class HeaterPlace:
    """The heater in a tank. `holds` is what its thermostat is set to. `top` is its upper end above the inside of the
    base, None when not said; at `cuts_out_at` a thermostat of its own stops it though it sticks."""

    power: Known
    count: int
    holds: Known
    top: Known | None = None
    cuts_out_at: Known | None = None
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TankLife:
    """What one tank has for its life, beside its place: heater, filter, the temperature it is to have.

    `wanted_temperature` is the middle of its zone's range, or what is assumed.
    """

    tank: str
    wanted_temperature: Known
    filter_media: Known
    heater: HeaterPlace | None
    stock: StockPlace | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LifeLaws:
    """What the life of every tank is worked out with, one value for the whole room.

    `still` and `stirred` are transfer velocities of oxygen at 20 °C, m/s; `bubbles` the share of oxygen taken out of
    bubbles for a metre of depth; `trouble` a concentration; `mulm` kg of oxygen for a kg of feed. `filter_rate` is kg
    of ammonia nitrogen a m3 of media takes up a second, `filter_seed` nitrifiers in kg/m3, `chlorine_decay` 1/s,
    `chloramine` the share of it that passes fresh carbon, `wall_coat` W/m2K through a tank's panes. `each`,
    `activity` and `feed_share` are the fish one thinks of in a tank without stock: mass of one, breathing over
    resting, feed a day as a share of their mass.
    """

    still: Known
    stirred: Known
    bubbles: Known
    trouble: Known
    mulm: Known
    filter_rate: Known
    filter_seed: Known
    chlorine_decay: Known
    chloramine: Known
    wall_coat: Known
    each: Known
    activity: Known
    feed_share: Known
