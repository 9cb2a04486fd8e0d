"""The kinds of quantity a plan may hold: how each is called, written, shown and bounded."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final

_USUAL_UNITS: Final = {"length": "cm", "duration": "h", "power": "W", "hardness": "°dH"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Dimension:
    """A kind of quantity a plan may hold.

    `noun` is its name in a sentence ("a volume"), `examples` are good texts, `usual_unit` the unit
    proposed for a bare number. `metric` and `us` are the units a view may show it in, smallest first.
    `least` and `most` are the SI values outside which a text is a slip of the pen. `extra` are spellings
    with a meaning here alone.
    """

    name: str
    noun: str
    si_unit: str
    examples: tuple[str, ...]
    metric: tuple[str, ...]
    us: tuple[str, ...]
    least: float | None = 0.0
    most: float
    plain_number: bool = False
    extra: Mapping[str, float] = field(default_factory=dict)

    @property
    def usual_unit(self) -> str:
        """The unit proposed when a number comes without one."""
        return _USUAL_UNITS.get(self.name, self.metric[-1])

    @property
    def wanted(self) -> str:
        """What a reader of the plan expected, as a phrase.

        >>> DIMENSIONS["volume"].wanted
        'a volume with its unit: "54 L", "0.054 m3" or "14 US gal"'
        """
        shown = [
            one if self.plain_number and one.replace(".", "").isdigit() else f'"{one}"'
            for one in self.examples
        ]
        listed = ", ".join(shown[:-1]) + " or " + shown[-1]
        return f"{self.noun}: {listed}" if self._is_ratio else f"{self.noun} with its unit: {listed}"

    @property
    def _is_ratio(self) -> bool:
        return self.si_unit == "1"


# As kg of CaCO3 in a m3. 1 °dH is 10 mg of CaO in a litre, 1 °fH 10 mg of CaCO3, 1 °e (Clark) 1 grain of
# CaCO3 in a UK gallon; molar masses CaO 56.077, CaCO3 100.087 g/mol. Source: from memory.
_GERMAN_DEGREE: Final = 0.01 * 100.087 / 56.077
_HARDNESS: Final = {
    **dict.fromkeys(
        ("°dH", "dH", "dGH", "dKH", "°dGH", "°dKH", "deg dH", "°d", "°KH", "°GH"), _GERMAN_DEGREE
    ),
    **dict.fromkeys(("°fH", "fH"), 0.01),
    **dict.fromkeys(("°e", "°Clark", "Clark"), 6.479891e-5 / 0.00454609),
    **dict.fromkeys(("mmol/L", "mmol/l"), 0.100087),
    **dict.fromkeys(("meq/L", "meq/l", "mval/L", "mval/l"), 0.100087 / 2),
    **dict.fromkeys(("ppm", "ppm CaCO3", "mg/L CaCO3", "mg/l CaCO3", "mg/L as CaCO3"), 0.001),
}
# People write W/mK and mean W/(m K); read by the letter it is watts in a millikelvin.
_WRITTEN_CONDUCTIVITY: Final = {"W/mK": 1.0, "mW/mK": 0.001}
_CHANGES_OF_AIR: Final = {
    **dict.fromkeys(("/h", "ACH", "ach", "an hour", "per hour", "times an hour"), 1.0 / 3600.0),
    **dict.fromkeys(("/day", "a day", "per day", "times a day"), 1.0 / 86400.0),
}


def _dimension(
    name: str, noun: str, si_unit: str, examples: str, metric: str, us: str, **limits: object
) -> tuple[str, Dimension]:
    # `limits` are the optional fields of a Dimension, each of its own type
    split = tuple(examples.split("; ")), tuple(metric.split(", ")), tuple(us.split(", "))
    made = Dimension(
        name=name, noun=noun, si_unit=si_unit, examples=split[0], metric=split[1], us=split[2], **limits  # type: ignore[arg-type] # said above
    )  # fmt: skip
    return name, made


_ANY: Final = None
DIMENSIONS: Final[Mapping[str, Dimension]] = MappingProxyType(
    dict(
        [
            _dimension(
                "length",
                "a length",
                "m",
                "90 cm; 0.9 m; 3 ft 2 1/2 in",
                "mm, cm, m",
                "in, ft",
                least=_ANY,
                most=1e4,
            ),
            _dimension(
                "area", "an area", "m**2", "0.34 m2; 3400 cm2; 3.7 sq ft", "cm2, m2", "sq in, sq ft", most=1e6
            ),
            _dimension(
                "volume",
                "a volume",
                "m**3",
                "54 L; 0.054 m3; 14 US gal",
                "ml, L",
                "US fl oz, US gal",
                most=1e5,
            ),
            _dimension(
                "flow",
                "a flow",
                "m**3/s",
                "60 L/h; 1.5 L/min; 14 US gal/h",
                "L/h, L/min",
                "US gal/h, US gal/min",
                most=100.0,
            ),
            _dimension(
                "air_flow",
                "a flow of air",
                "m**3/s",
                "1.5 L/min; 0.05 cfm",
                "L/min",
                "L/min",
                most=100.0,
            ),
            _dimension(
                "speed", "a speed", "m/s", "0.6 m/s; 2 ft/s", "cm/s, m/s", "ft/s", least=_ANY, most=1e3
            ),
            _dimension(
                "transfer_velocity",
                "a velocity of a gas through the surface",
                "m/s",
                "0.6 m/day; 2.5 cm/h",
                "m/day",
                "m/day",
                most=1.0,
            ),
            _dimension(
                "pressure",
                "a pressure",
                "Pa",
                "2.8 bar; 12 kPa; 40 psi",
                "Pa, kPa, bar",
                "inH2O, psi",
                least=_ANY,
                most=1e8,
            ),
            _dimension(
                "floor_load",
                "a load on a floor",
                "Pa",
                "1.9 kPa; 40 psf",
                "kPa",
                "psf",
                most=1e8,
            ),
            _dimension(
                "stress",
                "a stress or a stiffness",
                "Pa",
                "24 MPa; 7.9 GPa; 1400 psi",
                "MPa, GPa",
                "psi",
                least=_ANY,
                most=1e13,
            ),
            _dimension(
                "line_load",
                "a load along a line",
                "N/m",
                "500 N/m; 1.2 kN/m; 40 lbf/ft",
                "N/m, kN/m",
                "lbf/ft",
                least=_ANY,
                most=1e9,
            ),
            _dimension(
                "second_moment", "a second moment of area", "m**4", "321 cm4; 7.7 in4", "cm4", "in4", most=1.0
            ),
            _dimension(
                "section_modulus", "a section modulus", "m**3", "68 cm3; 4.1 in3", "cm3", "in3", most=1.0
            ),
            _dimension("share", "a share", "1", "40 %; 0.4", "%", "%", most=1.0, plain_number=True),
            _dimension("slope", "a fall", "1", "1:60; 2 %; 1/4 in/ft", "%", "%", least=-1.0, most=1.0),
            _dimension(
                "temperature", "a temperature", "K", "25 °C; 77 °F", "°C", "°F", least=0.0, most=1500.0
            ),
            _dimension(
                "temperature_difference",
                "a difference of temperature",
                "K",
                "2 °C; 2 K; 4 °F",
                "K",
                "°F",
                least=_ANY,
                most=1500.0,
            ),
            _dimension("mass", "a mass", "kg", "54 kg; 120 lb", "g, kg", "oz, lb", most=1e7),
            _dimension(
                "mass_per_time", "a mass per time", "kg/s", "5 g/day; 0.2 oz/day", "g/day", "oz/day", most=1e3
            ),
            _dimension("power", "a power", "W", "71 W; 1.2 kW", "W, kW", "W, kW", most=1e8),
            _dimension("energy", "an energy", "J", "3.4 kWh; 500 J", "Wh, kWh", "Wh, kWh", most=1e12),
            _dimension(
                "bending_moment",
                "a bending moment",
                "N*m",
                "120 N*m; 1.2 kN*m; 90 lbf*ft",
                "N*m, kN*m",
                "lbf*ft",
                least=_ANY,
                most=1e9,
            ),
            _dimension("current", "a current", "A", "10 A; 30 mA", "mA, A", "mA, A", most=1e5),
            _dimension("voltage", "a voltage", "V", "230 V; 120 V", "V", "V", least=_ANY, most=1e6),
            _dimension("charge", "a charge", "A*s", "100 Ah; 4.5 Ah", "Ah", "Ah", most=1e10),
            _dimension("clock", "a time after midnight", "s", "2 h 30 min", "h", "h", most=86400.0),
            _dimension(
                "duration",
                "a duration",
                "s",
                "90 min; 1 h 30 min; 60 h",
                "s, min, h, day",
                "s, min, h, day",
                most=4e9,
            ),
            _dimension("angle", "an angle", "rad", "30 °; 0.5 rad", "°", "°", least=_ANY, most=1e3),
            _dimension(
                "conductivity",
                "an electrical conductivity",
                "S/m",
                "350 µS/cm; 0.35 mS/cm",
                "µS/cm",
                "µS/cm",
                most=1e4,
            ),
            _dimension(
                "thermal_conductivity",
                "a thermal conductivity",
                "W/m/K",
                "0.035 W/(m K); 35 mW/(m K)",
                "W/(m K)",
                "W/(m K)",
                most=1e4,
                extra=_WRITTEN_CONDUCTIVITY,
            ),
            _dimension(
                "thermal_transmittance",
                "a heat transmittance",
                "W/m**2/K",
                "0.4 W/(m2 K); 2.8 W/m2K; 0.3 BTU/(h ft2 °F)",
                "W/(m2 K)",
                "BTU/(h ft2 °F)",
                most=1e5,
            ),
            _dimension(
                "heat_conductance",
                "a heat loss per degree",
                "W/K",
                "7 W/K; 25 BTU/(h °F)",
                "W/K",
                "BTU/(h °F)",
                most=1e6,
            ),
            _dimension(
                "heat_flux",
                "a heat flow per area",
                "W/m**2",
                "120 W/m2; 38 BTU/(h ft2)",
                "W/m2",
                "BTU/(h ft2)",
                least=_ANY,
                most=1e5,
            ),
            _dimension(
                "concentration",
                "a concentration",
                "kg/m**3",
                "25 mg/L; 25 ppm",
                "mg/L",
                "mg/L",
                most=1e4,
                extra={"ppm": 0.001, "ppb": 1e-6, "ppt": 1.0},
            ),
            _dimension(
                "hardness",
                "a hardness or alkalinity",
                "kg/m**3",
                "8 °dH; 140 mg/L; 2.8 meq/L",
                "mg/L, °dH",
                "ppm, °dH",
                most=1e2,
                extra=_HARDNESS,
            ),
            _dimension(
                "density",
                "a density",
                "kg/m**3",
                "1600 kg/m3; 1.6 kg/L; 100 lb/cu ft",
                "kg/m3",
                "lb/cu ft",
                most=1e5,
            ),
            _dimension("force", "a force", "N", "500 N; 110 lbf", "N, kN", "lbf", least=_ANY, most=1e9),
            _dimension(
                "molar_concentration",
                "an amount in a volume",
                "mol/m**3",
                "2.8 mmol/L; 0.5 mol/m3",
                "mmol/L",
                "mmol/L",
                most=1e5,
            ),
            _dimension("frequency", "a rate", "1/s", "2 1/h; 50 Hz", "1/h, 1/s", "1/h, 1/s", most=1e6),
            _dimension(
                "air_change",
                "a change of air",
                "1/s",
                "0.5 1/h; 0.5 ACH; 12 a day",
                "1/h",
                "1/h",
                most=1.0,
                extra=_CHANGES_OF_AIR,
            ),
            _dimension(
                "ph",
                "a pH",
                "1",
                "6.5; 7.2",
                "1",
                "1",
                most=14.0,
                plain_number=True,
                extra={"pH": 1.0},
            ),
        ]
    )
)
