"""A whole room as five links and one inner mass, and the same room without the surface in between.

The hourly method of the standard knows three temperatures: air, inner surfaces, mass. The surfaces store
nothing, so they can be taken out by hand (star to triangle); what is left is the room of `model`.

Two readings of a wall's U value differ by some five per cent here: this method lets heat pass the inner surface
first, a sizing by U times area does not. The second is the safe one for a heater's size.

Source: EN ISO 13790:2008, 7.2 and annex C, from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

from tankwright.units import Dimensionless, SquareMetre, WattPerKelvin

SURFACE_TO_AIR = 3.45
"""W/(m2 K). Source: EN ISO 13790:2008, 7.2.2.2, from memory."""

SURFACE_TO_MASS = 9.1
"""W/(m2 K). Source: EN ISO 13790:2008, 12.2.2, from memory."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WholeRoom:
    """The links of a room without its surfaces, and where a gain that falls on the surfaces ends.

    Of each watt on the surfaces `to_air` goes to the air and `to_mass` to the mass; the rest leaves by the windows.
    """

    air_to_mass: WattPerKelvin
    air_to_outside: WattPerKelvin
    mass_to_outside: WattPerKelvin
    to_air: Dimensionless
    to_mass: Dimensionless
    mass_share: Dimensionless
    surface_share: Dimensionless

    def gains(self, *, radiant: float) -> tuple[float, float]:
        """What of a radiant gain or of sun inside the room reaches air and mass, W.

        >>> room = whole_room(inner_surface=87.6, mass_surface=52.5, opaque=23.13, windows=0.0)
        >>> [round(part, 1) for part in room.gains(radiant=100.0)]
        [15.5, 84.5]
        """
        on_surface = self.surface_share * radiant
        return self.to_air * on_surface, self.mass_share * radiant + self.to_mass * on_surface


def whole_room(
    *,
    inner_surface: SquareMetre,
    mass_surface: SquareMetre,
    opaque: WattPerKelvin,
    windows: WattPerKelvin,
    surface_to_air: float = SURFACE_TO_AIR,
    surface_to_mass: float = SURFACE_TO_MASS,
) -> WholeRoom:
    """The links of a room from all its inner surface, the mass's share of it, and the losses U times area.

    `opaque` must be less than what reaches the mass, `surface_to_mass` times `mass_surface`.

    >>> room = whole_room(inner_surface=87.6, mass_surface=52.5, opaque=23.13, windows=0.0)
    >>> round(room.air_to_mass, 1), round(room.mass_to_outside, 2)
    (185.1, 24.31)
    """
    to_air, to_mass = surface_to_air * inner_surface, surface_to_mass * mass_surface
    if not 0.0 <= opaque < to_mass:
        raise ValueError("the walls lose more than reaches the mass")
    through = opaque / (1.0 - opaque / to_mass)
    star = to_air + to_mass + windows
    mass_share = mass_surface / inner_surface
    return WholeRoom(
        air_to_mass=to_air * to_mass / star,
        air_to_outside=to_air * windows / star,
        mass_to_outside=through + to_mass * windows / star,
        to_air=to_air / star,
        to_mass=to_mass / star,
        mass_share=mass_share,
        surface_share=1.0 - mass_share - windows / (surface_to_mass * inner_surface),
    )
