"""The shipped years, and an EPW writer that makes good files to spoil."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tankwright.weather.model import HOURS, WeatherYear, month_day_hour
from tankwright.weather.shipped import shipped_year

HEADER = """LOCATION,Greensboro,NC,USA,TMY3,723170,36.1,-79.95,-5.0,273.0
DESIGN CONDITIONS,0
TYPICAL/EXTREME PERIODS,0
GROUND TEMPERATURES,0
HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0
COMMENTS 1,none
COMMENTS 2,none
DATA PERIODS,1,1,Data,Sunday,1/1,12/31
"""


def _shipped(name: str) -> WeatherYear:
    year, findings = shipped_year(name)
    assert findings == ()
    assert year is not None
    return year


@pytest.fixture(scope="session")
def greensboro() -> WeatherYear:
    return _shipped("Greensboro")


@pytest.fixture(scope="session")
def sand_point() -> WeatherYear:
    return _shipped("Sand Point")


@pytest.fixture(scope="session")
def miami() -> WeatherYear:
    return _shipped("Miami")


def epw_text(year: WeatherYear) -> str:
    """A year as EPW has it: 35 columns, of which the ones nobody reads say "missing"."""
    rows = []
    for hour in range(HOURS):
        month, day, clock = month_day_hour(hour)
        cells = ["1999", str(month), str(day), str(clock + 1), "60", "?9?9"]
        cells += [f"{year.dry_bulb[hour] - 273.15:.1f}", "99.9", f"{100 * year.relative_humidity[hour]:.0f}"]
        cells += [f"{year.pressure[hour]:.0f}", "9999", "9999", "9999"]
        for sun in (year.global_horizontal, year.direct_normal, year.diffuse_horizontal):
            cells.append(f"{sun[hour]:.0f}")
        cells += ["999999", "999999", "999999", "9999", "180", f"{year.wind_speed[hour]:.1f}"]
        cells += ["5", "5", "99", "99999", "9", "999999999", "99", "0.1", "0", "88", "0.2", "0", "0"]
        rows.append(",".join(cells))
    return HEADER + "\n".join(rows) + "\n"


@pytest.fixture(scope="session")
def epw(greensboro: WeatherYear) -> str:
    return epw_text(greensboro)


@pytest.fixture(scope="session")
def write(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str | bytes], Path]:
    """Put a text or bytes into a file called town.epw."""
    folder = tmp_path_factory.mktemp("files")

    def written(content: str | bytes) -> Path:
        place = folder / "town.epw"
        place.write_bytes(content if isinstance(content, bytes) else content.encode())
        return place

    return written
