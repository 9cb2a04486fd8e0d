"""Units as people write them, against printed conversion factors and an independent library."""

from __future__ import annotations

import contextlib
import math
from pathlib import Path

import pint
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

import tankwright
from tankwright.dimensions import DIMENSIONS
from tankwright.units import QuantityError, convert, parse_in_unit, parse_quantity
from tankwright.units_text import UnitError, clip, read_unit, unit_table

# Source: NIST Special Publication 811 (2008), appendix B.8, the figures from memory; seven printed digits.
NIST_FACTORS = [
    ("in", "m", 2.54e-2),
    ("ft", "m", 3.048e-1),
    ("sq ft", "m2", 9.290304e-2),
    ("cu ft", "m3", 2.831685e-2),
    ("US gal", "m3", 3.785412e-3),
    ("imp gal", "m3", 4.54609e-3),
    ("US fl oz", "m3", 2.957353e-5),
    ("lb", "kg", 4.535924e-1),
    ("oz", "kg", 2.834952e-2),
    ("lbf", "N", 4.448222),
    ("psi", "Pa", 6.894757e3),
    ("inH2O", "Pa", 2.490889e2),
    ("ftH2O", "Pa", 2.989067e3),
    ("mmHg", "Pa", 1.333224e2),
    ("atm", "Pa", 1.01325e5),
    ("BTU", "J", 1.055056e3),
    ("hp", "W", 7.456999e2),
    ("PS", "W", 7.354988e2),
    ("cfm", "m3/s", 4.719474e-4),
    ("US gpm", "m3/s", 6.309020e-5),
    ("kWh", "J", 3.6e6),
]


@pytest.mark.parametrize(("unit", "si", "printed"), NIST_FACTORS)
def test_a_unit_has_the_printed_size(unit: str, si: str, printed: float) -> None:
    half_of_last_digit = 0.5e-6 * 10 ** math.floor(math.log10(printed))
    assert (
        abs(convert(1.0, unit, si) - printed) <= half_of_last_digit * 1.000001
    )  # a tie may round either way


PINT_NAMES = {
    "US gal": "US_liquid_gallon",
    "imp gal": "imperial_gallon",
    "US qt": "US_liquid_quart",
    "US pt": "US_pint",
    "imp pt": "imperial_pint",
    "US fl oz": "US_fluid_ounce",
    "imp fl oz": "imperial_fluid_ounce",
    "lbf": "lbf",
    "kgf": "kilogram_force",
    "stone": "stone",
    "tonne": "metric_ton",
    "yd": "yard",
    "BTU": "Btu_it",
    "kWh": "kilowatt_hour",
    "mmHg": "mmHg",
    "cmH2O": "centimeter_H2O",
    "L/h": "liter/hour",
    "m3/h": "meter**3/hour",
    "g/day": "gram/day",
    "cP": "centipoise",
    "µS/cm": "microsiemens/cm",
    "W/(m2 K)": "watt/meter**2/kelvin",
}


@pytest.fixture(scope="module")
def their_units() -> pint.UnitRegistry[float]:
    return pint.UnitRegistry()


@pytest.mark.parametrize("unit", PINT_NAMES)
def test_a_unit_agrees_with_the_pint_library(unit: str, their_units: pint.UnitRegistry[float]) -> None:
    theirs = their_units(PINT_NAMES[unit]).to_base_units().magnitude
    tolerance = 3e-5 if "H2O" in unit else 1e-9  # their water is at 4 °C, ours the conventional 1000 kg/m3
    assert math.isclose(read_unit(unit).size, theirs, rel_tol=tolerance)


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("4 ft", "length", 1.2192),
        ("3 ft 2 1/2 in", "length", 0.9779),
        ("3'2 1/2\"", "length", 0.9779),
        ("3′ 2½″", "length", 0.9779),
        ("7.2", "ph", 7.2),
        ("6,5 pH", "ph", 6.5),
        ("0.035 W/mK", "thermal_conductivity", 0.035),
        ("35 mW/mK", "thermal_conductivity", 0.035),
        ("18 a day", "air_change", 18 / 86400),
        ("0.5 ACH", "air_change", 0.5 / 3600),
        ("0.5/h", "air_change", 0.5 / 3600),
        ("1 BTU/(h ft2 °F)", "thermal_transmittance", 1055.05585262 / 3600 / 0.09290304 * 1.8),
        ("1 W/(K m2)", "thermal_transmittance", 1.0),  # the power belongs to the metre alone
        ("450 µS/cm", "conductivity", 0.045),
        ("2 mg/L", "concentration", 0.002),
        ("3ft2in", "length", 0.9652),
        ("3-1/2 in", "length", 0.0889),
        ("1/2 in", "length", 0.0127),
        ("1 1/4 in", "length", 0.03175),
        ("¾ in", "length", 0.01905),
        ("2,5 cm", "length", 0.025),
        ("1 m 20 cm", "length", 1.2),
        ("1 000 mm", "length", 1.0),
        ("-3 cm", "length", -0.03),
        ("−3 cm", "length", -0.03),
        ("90cm", "length", 0.9),
        ("90 CM", "length", 0.9),
        ("54 L", "volume", 0.054),
        ("54 l", "volume", 0.054),
        ("14 US gal", "volume", 0.052995764976),
        ("14 imp gal", "volume", 0.06364526),
        ("14 UK gal", "volume", 0.06364526),
        ("0.054 m³", "volume", 0.054),
        ("60 L/h", "flow", 1 / 60000),
        ("85 L/min", "flow", 0.085 / 60),
        ("3 m3/h", "flow", 3 / 3600),
        ("5 cfm", "flow", 0.002359737216),
        ("4 L per hour", "flow", 0.004 / 3600),
        ("0.5 bar", "pressure", 50000.0),
        ("3 mH2O", "pressure", 29419.95),
        ("40 psi", "pressure", 275790.29172673),
        ("10 inH2O", "pressure", 2490.8891),
        ("2 %", "share", 0.02),
        ("0.4", "share", 0.4),
        ("1:60", "slope", 1 / 60),
        ("1 in 60", "slope", 1 / 60),
        ("2 %", "slope", 0.02),
        ("1 cm/m", "slope", 0.01),
        ("1/4 in/ft", "slope", 0.25 / 12),
        ("25 °C", "temperature", 298.15),
        ("25 C", "temperature", 298.15),
        ("77 °F", "temperature", 298.15),
        ("9 °F", "temperature_difference", 5.0),
        ("2 °C", "temperature_difference", 2.0),
        ("2 lb 4 oz", "mass", 1.0205828325),
        ("1 h 30 min", "duration", 5400.0),
        ("60 h", "duration", 216000.0),
        ("3 kWh", "energy", 1.08e7),
        ("30 °", "angle", math.pi / 6),
        ("25 ppm", "concentration", 0.025),
        ("350 µS/cm", "conductivity", 0.035),
        ("0.4 W/m²K", "thermal_transmittance", 0.4),
        ("2 mmol/L", "hardness", 0.200174),
    ],
)
def test_what_people_write_is_read(text: str, dimension: str, value: float) -> None:
    assert math.isclose(parse_quantity(text, dimension).value, value, rel_tol=1e-12)


@pytest.mark.parametrize(
    ("text", "dimension", "code", "said", "attempt"),
    [
        ("54", "volume", "PLAN-012", '"54" has no unit', '"54 L"'),
        ("0.02", "slope", "PLAN-012", '"0.02" has no unit', '"2 %"'),
        ("14 gal", "volume", "PLAN-013", '"14 gal" has a unit of two meanings: "gal", US or imperial?',
         '"14 US gal" or "14 imp gal"'),
        ("3 gph", "flow", "PLAN-013", '"3 gph" has a unit of two meanings: "gph", US or imperial?',
         '"3 US gph" or "3 imp gph"'),
        ("3 gal/h", "flow", "PLAN-013", '"3 gal/h" has a unit of two meanings: "gal", US or imperial?',
         '"3 US gal/h" or "3 imp gal/h"'),
        ("5 ton", "mass", "PLAN-013", '"5 ton" has a unit of two meanings: "ton", do you mean t?', '"5 t"'),
        ("14 gal", "length", "PLAN-015", '"14 gal" is a volume, not a length', ""),
        ("54 kg", "volume", "PLAN-015", '"54 kg" is a mass, not a volume', ""),
        ("4 fet", "length", "PLAN-014", '"4 fet" has an unknown unit "fet"', '"4 feet"'),
        ("5 parsec", "length", "PLAN-014", '"5 parsec" has an unknown unit "parsec"', ""),
        ("3 Mpa", "pressure", "PLAN-014", '"3 Mpa" has an unknown unit "Mpa"', '"3 MPa"'),
        ("1,000 L", "volume", "PLAN-019", '"1,000 L" can be read in two ways', '"1000 L" or "1.000 L"'),
        ("1.000,5 L", "volume", "PLAN-019", '"1.000,5 L" can be read in two ways', '"10005 L" or "1000.5 L"'),
        ("", "length", "PLAN-011", '"" is empty', ""),
        ("long", "length", "PLAN-011", '"long" is not a number with a unit', ""),
        ("nan m", "length", "PLAN-011", '"nan m" is not a number with a unit', ""),
        ("٣ cm", "length", "PLAN-011", '"٣ cm" is not a number with a unit', ""),
        ("\uff13 cm", "length", "PLAN-011", '"\uff13 cm" is not a number with a unit', ""),
        ("1/0 m", "length", "PLAN-011", '"1/0 m" divides by zero', ""),
        ("1:0", "slope", "PLAN-011", '"1:0" divides by zero', ""),
        ("3 ft 14 in", "length", "PLAN-011", '"3 ft 14 in" does not read as one quantity', ""),
        ("9" * 10000, "length", "PLAN-011", f'"{"9" * 39}…" is too long to be a quantity', ""),
        ("1e999 m", "length", "PLAN-016", '"1e999 m" is no number a computer can hold', ""),
        ("1e-999 m", "length", "PLAN-016", '"1e-999 m" is no number a computer can hold', ""),
        ("1e5 km", "length", "PLAN-016", '"1e5 km" is far outside what a room can hold', ""),
        ("-5 L", "volume", "PLAN-016", '"-5 L" must not be negative', ""),
        ("-300 °C", "temperature", "PLAN-016", '"-300 °C" is below absolute zero', ""),
        ("40", "share", "PLAN-016", '"40" is more than the whole', '"40 %"'),
        ("15", "ph", "PLAN-016", '"15" is more than 14, where the scale ends', ""),
        ("-1", "ph", "PLAN-016", '"-1" must not be negative', ""),
        ("7 %", "ph", "PLAN-015", '"7 %" is a plain ratio, not a pH', ""),
        ("1:7", "ph", "PLAN-015", '"1:7" is a plain ratio, not a pH', ""),
        ("7 °dH", "ph", "PLAN-014", '"7 °dH" has an unknown unit "°dH"', ""),
        ("450 ppm", "conductivity", "PLAN-015", '"450 ppm" is a plain ratio, not an electrical conductivity', ""),
        ("7 W", "heat_conductance", "PLAN-015", '"7 W" is a power, not a heat loss per degree', ""),
        ("0.5", "air_change", "PLAN-012", '"0.5" has no unit', '"0.5 1/h"'),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_answered(
    text: str, dimension: str, code: str, said: str, attempt: str
) -> None:
    with pytest.raises(QuantityError) as caught:
        parse_quantity(text, dimension)
    assert (caught.value.code, caught.value.text, caught.value.attempt) == (code, said, attempt)
    assert caught.value.wanted


def test_the_wanted_phrase_names_the_quantity_and_good_texts() -> None:
    wanted = 'a volume with its unit: "54 L", "0.054 m3" or "14 US gal"'
    assert DIMENSIONS["volume"].wanted == wanted
    assert DIMENSIONS["share"].wanted == 'a share: "40 %" or 0.4'
    assert DIMENSIONS["ph"].wanted == "a pH: 6.5 or 7.2"


@pytest.mark.parametrize("dimension", list(DIMENSIONS))
def test_every_example_and_display_unit_of_a_dimension_is_read(dimension: str) -> None:
    kind = DIMENSIONS[dimension]
    for text in kind.examples:
        assert math.isfinite(parse_quantity(text, dimension).value)
    for unit in (*kind.metric, *kind.us, kind.usual_unit):
        assert parse_quantity(f"0.5 {unit}", dimension).value > 0
        assert math.isfinite(convert(1.0, kind.si_unit, unit)) or unit in kind.extra


def test_a_formula_input_is_read_in_its_unit() -> None:
    assert parse_in_unit("52mm", "m") == 0.052
    assert parse_in_unit("1%", "1") == 0.01
    assert parse_in_unit("0.009", "1") == 0.009
    assert parse_in_unit("25 °C", "K") == 298.15
    assert parse_in_unit("9 °F", "K", difference=True) == 5.0
    assert parse_in_unit("0.01 s/m**(1/3)", "s/m**(1/3)") == 0.01
    assert parse_in_unit("1 cP", "Pa*s") == 0.001


def test_a_formula_input_of_another_kind_is_refused() -> None:
    with pytest.raises(QuantityError, match="is no number of m"):
        parse_in_unit("54 L", "m")
    with pytest.raises(QuantityError, match="has no unit"):
        parse_in_unit("54", "m")


def test_conversion_of_unlike_or_unknown_units_is_an_error_of_the_program() -> None:
    with pytest.raises(ValueError, match="different kinds"):
        convert(1.0, "m", "kg")
    with pytest.raises(ValueError, match="unknown unit"):
        convert(1.0, "m", "cubit")


def test_no_spelling_is_claimed_by_two_units() -> None:
    rows = (
        (Path(tankwright.__file__).parent / "units_definitions.txt").read_text(encoding="utf-8").splitlines()
    )
    spellings = [
        one
        for row in rows
        if row and not row.startswith("#")
        for one in row.split("|")[2].strip().split(", ")
    ]
    assert len(spellings) == len(set(spellings))
    assert "gal" in unit_table()
    assert unit_table()["gal"].choices == ("US gal", "imp gal")


unit_texts = st.sampled_from(sorted(unit_table()))
number_texts = st.one_of(
    st.floats().map(str), st.integers().map(str), st.fractions().map(str), st.from_regex(r"[0-9.,/ -]{1,12}")
)


@given(
    st.one_of(st.text(), st.tuples(number_texts, unit_texts).map(" ".join)),
    st.sampled_from(sorted(DIMENSIONS)),
)
@example("5 m**9999999", "length")
@example("1 ft 1 ft 1 ft", "length")
@example("1/3 (m)/(m)/(m", "length")
@example("5 %%%", "share")
@example("1e-320 m", "length")
def test_any_text_gives_a_finite_number_or_a_quantity_error(text: str, dimension: str) -> None:
    outcome: float | QuantityError
    try:
        outcome = parse_quantity(text, dimension).value
    except QuantityError as error:
        outcome = error
    if isinstance(outcome, float):
        assert math.isfinite(outcome)
    else:
        assert outcome.text
        assert outcome.wanted
        assert outcome.code.startswith("PLAN-")


@given(st.text(alphabet="mkgsAKL/*()²^ 123|-µ°%inft", max_size=30))
def test_any_unit_text_has_a_meaning_or_is_a_unit_error(text: str) -> None:
    with contextlib.suppress(UnitError):
        assert read_unit(text).size >= 0


@given(st.floats(min_value=1e-3, max_value=1e3), st.sampled_from(["cm", "in", "ft", "mm", "m", "yd"]))
def test_a_length_told_in_a_unit_reads_back_as_the_same_length(metres: float, unit: str) -> None:
    told = convert(metres, "m", unit)
    assert math.isclose(parse_quantity(f"{told!r} {unit}", "length").value, metres, rel_tol=1e-12)


@given(st.text())
def test_a_clipped_text_is_short_and_printable(text: str) -> None:
    shown = clip(text, 20)
    assert len(shown) <= 20
    assert shown.isprintable()


@pytest.mark.parametrize("text", ["²", "1² cm", "15² cm", "²5 cm", "15 ² cm", "1³"])
def test_a_raised_digit_without_a_unit_before_it_is_no_digit_of_the_number(text: str) -> None:
    with pytest.raises(QuantityError):
        parse_quantity(text, "length")
