"""Every unit of our own table against pint, a general library of units (decision 2)."""

import math
import warnings

import pytest

from tankwright.units import convert

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import pint

PAIRS = [
    ("in", "inch", "m"), ("ft", "foot", "m"), ("yd", "yard", "m"), ("mm", "millimeter", "m"),
    ("L", "liter", "m**3"), ("US gal", "gallon", "m**3"), ("imp gal", "imperial_gallon", "m**3"),
    ("cu ft", "foot**3", "m**3"), ("US pt", "pint", "m**3"), ("imp pt", "imperial_pint", "m**3"),
    ("psi", "psi", "Pa"), ("bar", "bar", "Pa"), ("mbar", "millibar", "Pa"), ("kPa", "kilopascal", "Pa"),
    ("lb", "pound", "kg"), ("oz", "ounce", "kg"), ("g", "gram", "kg"),
    ("L/h", "liter/hour", "m**3/s"), ("US gal/min", "gallon/minute", "m**3/s"), ("cfm", "foot**3/minute", "m**3/s"),
    ("min", "minute", "s"), ("h", "hour", "s"), ("kWh", "kilowatt_hour", "J"), ("deg", "degree", "rad"),
    ("kg/m3", "kg/m**3", "kg/m**3"), ("hp", "horsepower", "W"),
]  # fmt: skip


@pytest.fixture(scope="module")
def registry() -> "pint.UnitRegistry":
    return pint.UnitRegistry()


@pytest.mark.parametrize(("ours", "theirs", "si"), PAIRS)
def test_a_unit_has_the_size_pint_gives_it(
    registry: "pint.UnitRegistry", ours: str, theirs: str, si: str
) -> None:
    size = registry.Quantity(1.0, theirs).to(si).magnitude
    # 1e-9: pint goes through products of floats; US and UK units are exact by definition in both
    assert math.isclose(convert(size, si, ours), 1.0, rel_tol=1e-9)


def test_temperatures_keep_their_zero(registry: "pint.UnitRegistry") -> None:
    for celsius in (-10.0, 0.0, 25.0):
        kelvin = registry.Quantity(celsius, "degC").to("K").magnitude
        fahrenheit = registry.Quantity(celsius, "degC").to("degF").magnitude
        assert convert(kelvin, "K", "°C") == pytest.approx(celsius, abs=1e-9)
        assert convert(kelvin, "K", "°F") == pytest.approx(fahrenheit, abs=1e-9)
