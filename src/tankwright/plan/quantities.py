"""Quantities as fields of the plan models: a text with its unit in, a `Known` in SI units out.

In the plan a quantity is a text, `"90 cm"`, or a table that says it was measured,
`{ value = "29 mm", measured = 2026-09-20 }`. A bare number has no unit and is refused; a share may be one.

    class Hole(PlanTable):
        diameter: Annotated[Length, Positive]
        below_rim: Length | None = None

`PlanTable` is the base of every table of the plan: frozen, unknown keys refused, `.line` is its line in the
file. Each `Known` carries its own line. Both come from the placed values the reader hands in (`plan.placed`).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated, Any, Final

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    GetCoreSchemaHandler,
    ModelWrapValidatorHandler,
    PrivateAttr,
    model_validator,
)
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from tankwright.origin import Known, Origin
from tankwright.plan.placed import line_of
from tankwright.units import DIMENSIONS, QuantityError, clip, parse_quantity

NO_QUANTITY: Final = "PLAN-011"
NO_UNIT: Final = "PLAN-012"
_WORDS_BEFORE: Final = re.compile(r"[^\d.,+-]+(?=\d)", re.ASCII)


class PlanTable(BaseModel):
    """The base of every table of the plan.

    >>> class Pump(PlanTable):
    ...     power: Power
    >>> Pump.model_validate({"power": "71 W"}).power.value
    71.0
    """

    # the validator of the whole plan holds those of its tables; building each by itself as well doubles the start
    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True, defer_build=True)

    _line: int | None = PrivateAttr(default=None)

    @model_validator(mode="wrap")
    @classmethod
    def _remember_line(cls, data: Any, handler: ModelWrapValidatorHandler[Any]) -> Any:
        made = handler(data)
        line = line_of(data)
        if line is not None and isinstance(made, PlanTable) and not isinstance(data, PlanTable):
            made._line = line
        return made

    @property
    def line(self) -> int | None:
        """The line of the plan this table starts on."""
        return self._line


def mistake(
    code: str, text: str, *, keys: tuple[str, ...] = (), found: str = "", wanted: str = "", attempt: str = ""
) -> PydanticCustomError:
    """An error a model validator may raise; the reader makes it a finding with these very fields.

    `text` is the end of a sentence whose start, the subject and the key, the reader adds: `"54" has no unit`.
    `keys` are those of the table that do not go together: the finding shows them as they are written.
    """
    details = {
        "code": code, "text": text, "keys": keys, "found": found, "wanted": wanted, "attempt": attempt
    }  # fmt: skip
    return PydanticCustomError("plan_mistake", "{text}", details)


def _read(dimension: str) -> Callable[[Any], Known]:
    def read(raw: Any) -> Known:
        if isinstance(raw, Known):
            return raw
        line = line_of(raw)
        measured: date | None = None
        value = raw
        if isinstance(raw, Mapping):
            value, measured = _read_measured(raw, dimension)
            line = line_of(value) or line
        number = _number(value, dimension)
        origin = Origin.GIVEN if measured is None else Origin.MEASURED
        return Known(number, origin, line=line, measured_on=measured)

    return read


def _read_measured(raw: Mapping[Any, Any], dimension: str) -> tuple[Any, date | None]:
    example = DIMENSIONS[dimension].examples[0]
    wanted = f'{{ value = "{example}", measured = 2026-09-20 }}'
    for key in raw:
        if key not in ("value", "measured"):
            text = f'has a key "{clip(str(key))}" that a quantity does not know'
            raise mistake("PLAN-017", text, found=f"{clip(str(key))} = ...", wanted=wanted)
    if "value" not in raw:
        raise mistake("PLAN-017", 'has no "value"', found="a table without value", wanted=wanted)
    measured = raw.get("measured")
    if isinstance(measured, datetime):
        measured = measured.date()
    if measured is not None and not isinstance(measured, date):
        text = f'"measured" is not a date: {clip(repr(measured))}'
        raise mistake(
            "PLAN-017", text, found=f"measured = {clip(repr(measured))}", wanted="a date: 2026-09-20"
        )
    return raw["value"], measured


def _number(value: Any, dimension: str) -> float:
    kind = DIMENSIONS[dimension]
    wanted = kind.wanted
    if isinstance(value, str):
        try:
            return parse_quantity(value, dimension).value
        except QuantityError as error:
            attempt = error.attempt or (
                _said_with_words(value, dimension) if error.code == NO_QUANTITY else ""
            )
            raise mistake(
                error.code, error.text, found=f'"{clip(value)}"', wanted=error.wanted, attempt=attempt
            ) from None
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        shown = "a list" if isinstance(value, (list, tuple)) else clip(str(value))
        raise mistake("PLAN-018", f"is not a text with a unit: {shown}", found=shown, wanted=wanted)
    if kind.plain_number:
        return _number(str(value), dimension)
    shown = clip(str(value))
    attempt = f'"{shown} {kind.usual_unit}"'
    raise mistake(NO_UNIT, f"{shown} has no unit", found=shown, wanted=wanted, attempt=attempt)


def _said_with_words(text: str, dimension: str) -> str:
    """The quantity in a text that says more than it: "pH 7.5", "about 24 °C", "< 0.1 mg/L"; "" without one."""
    words = _WORDS_BEFORE.match(text)
    if words is None:
        return ""
    part = text[words.end() :].strip()
    try:
        parse_quantity(part, dimension)
    except QuantityError:
        return ""
    return (
        part
        if DIMENSIONS[dimension].plain_number and part.replace(".", "", 1).isdigit()
        else f'"{clip(part)}"'
    )


def _value(known: Known) -> float:
    return known.value


@dataclass(frozen=True, slots=True)
class QuantityOf:
    """Marks a field as a quantity of a dimension of `units.DIMENSIONS`; reference pages read it too."""

    dimension: str

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """How pydantic reads such a field: by our own reader, and written back as its SI number."""
        return core_schema.no_info_plain_validator_function(
            _read(self.dimension), serialization=core_schema.plain_serializer_function_ser_schema(_value)
        )


def _positive(known: Known) -> Known:
    if known.value <= 0:
        raise mistake("PLAN-016", "must be more than zero", wanted="more than zero")
    return known


def _not_negative(known: Known) -> Known:
    if known.value < 0:
        raise mistake("PLAN-016", "must not be negative", wanted="zero or more")
    return known


def _liquid(known: Known) -> Known:
    if not 273.15 <= known.value <= 323.15:
        raise mistake(
            "PLAN-016",
            "is no temperature of water fish live in",
            wanted="0 to 50 °C, 32 to 122 °F",
            attempt=_degrees_meant(known.value, 273.15, 323.15),
        )
    return known


def _bearable(known: Known) -> Known:
    if not 233.15 <= known.value <= 333.15:
        raise mistake(
            "PLAN-016",
            "is no temperature a room is kept at",
            wanted="-40 to 60 °C, -40 to 140 °F",
            attempt=_degrees_meant(known.value, 233.15, 333.15),
        )
    return known


def _degrees_meant(kelvin: float, least: float, most: float) -> str:
    """What may have been meant: the number in degrees Fahrenheit, or with its decimal point where it was lost."""
    degrees = round(kelvin - 273.15, 6)
    if least <= (degrees - 32.0) / 1.8 + 273.15 <= most:
        return f'"{degrees:g} °F"'
    return f'"{degrees / 10:g} °C"' if least <= degrees / 10 + 273.15 <= most else ""


Positive: Final = AfterValidator(_positive)
NotNegative: Final = AfterValidator(_not_negative)

Length = Annotated[Known, QuantityOf("length")]
Area = Annotated[Known, QuantityOf("area")]
Volume = Annotated[Known, QuantityOf("volume")]
Flow = Annotated[Known, QuantityOf("flow")]
Speed = Annotated[Known, QuantityOf("speed")]
Pressure = Annotated[Known, QuantityOf("pressure")]
Share = Annotated[Known, QuantityOf("share")]
Slope = Annotated[Known, QuantityOf("slope")]
Temperature = Annotated[Known, QuantityOf("temperature")]
TemperatureDifference = Annotated[Known, QuantityOf("temperature_difference")]
Mass = Annotated[Known, QuantityOf("mass")]
MassPerTime = Annotated[Known, QuantityOf("mass_per_time")]
Power = Annotated[Known, QuantityOf("power")]
Energy = Annotated[Known, QuantityOf("energy")]
Current = Annotated[Known, QuantityOf("current")]
Charge = Annotated[Known, QuantityOf("charge")]
Voltage = Annotated[Known, QuantityOf("voltage")]
Duration = Annotated[Known, QuantityOf("duration")]
Angle = Annotated[Known, QuantityOf("angle")]
Conductivity = Annotated[Known, QuantityOf("conductivity")]
ThermalConductivity = Annotated[Known, QuantityOf("thermal_conductivity")]
ThermalTransmittance = Annotated[Known, QuantityOf("thermal_transmittance")]
HeatConductance = Annotated[Known, QuantityOf("heat_conductance")]
HeatFlux = Annotated[Known, QuantityOf("heat_flux")]
AirChange = Annotated[Known, QuantityOf("air_change")]
Ph = Annotated[Known, QuantityOf("ph")]
Concentration = Annotated[Known, QuantityOf("concentration")]
Hardness = Annotated[Known, QuantityOf("hardness")]
Density = Annotated[Known, QuantityOf("density")]
FloorLoad = Annotated[Known, QuantityOf("floor_load")]
Stress = Annotated[Known, QuantityOf("stress")]
SecondMoment = Annotated[Known, QuantityOf("second_moment")]
SectionModulus = Annotated[Known, QuantityOf("section_modulus")]
WaterTemperature = Annotated[Temperature, AfterValidator(_liquid)]
AirTemperature = Annotated[Temperature, AfterValidator(_bearable)]

Point = tuple[Length, Length]
_PositiveLength = Annotated[Length, Positive]
Size = tuple[_PositiveLength, _PositiveLength]
Box = tuple[_PositiveLength, _PositiveLength, _PositiveLength]
