"""The years that come with the program against what was published or read of them elsewhere."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pvlib
import pytest

from tankwright.weather import shipped
from tankwright.weather.model import WeatherYear
from tankwright.weather.shipped import SHIPPED, shipped_year


def _celsius(year: WeatherYear) -> tuple[float, float, float]:
    inside = year.dry_bulb - 273.15
    return round(float(inside.mean()), 2), round(float(inside.min()), 1), round(float(inside.max()), 1)


def test_the_facts_of_greensboro(greensboro: WeatherYear) -> None:
    # read off the same file by pvlib.iotools.read_tmy3 and pandas: mean, least, most, humidity, degree-hours
    assert _celsius(greensboro) == (14.42, -16.7, 35.6)
    assert round(float(greensboro.relative_humidity.mean()), 3) == 0.695
    assert round(greensboro.kelvin_seconds_below(299.15) / 3600) == 104307


def test_the_facts_of_sand_point(sand_point: WeatherYear) -> None:
    assert _celsius(sand_point) == (4.42, -10.6, 19.4)
    assert round(sand_point.kelvin_seconds_below(299.15) / 3600) == 189035


def test_the_facts_of_miami(miami: WeatherYear) -> None:
    assert _celsius(miami)[0] == 24.31
    assert miami.kind == "TMY2"


@pytest.mark.parametrize(
    ("name", "stamped", "by_day"), [("Greensboro", 2161, 2146), ("Sand Point", 5090, 5066)]
)
def test_heating_degree_days(name: str, stamped: int, by_day: int) -> None:
    """2161 and 5090 are had by taking each hour's end as its day, which makes 366 days, the last of one hour."""
    year, _ = shipped_year(name)
    assert year is not None
    inside = year.dry_bulb - 273.15
    by_stamp = [inside[:23], *inside[23:-1].reshape(-1, 24), inside[-1:]]
    assert round(sum(max(18.3 - float(day.mean()), 0.0) for day in by_stamp)) == stamped
    assert round(sum(max(18.3 - float(day.mean()), 0.0) for day in inside.reshape(-1, 24))) == by_day


@pytest.mark.parametrize("name", ["Greensboro", "Sand Point"])
def test_every_hour_is_what_pvlib_reads(name: str) -> None:
    year, _ = shipped_year(name)
    assert year is not None
    table, place = pvlib.iotools.read_tmy3(shipped._folder() / SHIPPED[name].file, map_variables=True)
    assert np.degrees(year.latitude) == pytest.approx(place["latitude"])
    assert np.degrees(year.longitude) == pytest.approx(place["longitude"])
    assert year.utc_offset == place["TZ"] * 3600
    for ours, theirs in (
        (year.dry_bulb - 273.15, "temp_air"),
        (year.relative_humidity * 100, "relative_humidity"),
        (year.pressure / 100, "pressure"),
        (year.global_horizontal, "ghi"),
        (year.direct_normal, "dni"),
        (year.diffuse_horizontal, "dhi"),
        (year.wind_speed, "wind_speed"),
    ):
        np.testing.assert_allclose(ours, table[theirs].to_numpy(), atol=1e-9)


def test_an_hour_of_a_tmy2_file_is_what_pvlib_reads(miami: WeatherYear, tmp_path: Path) -> None:
    lines = (shipped._folder() / SHIPPED["Miami"].file).read_text().splitlines(keepends=True)
    (tmp_path / "head.tm2").write_text("".join(lines[:501]))  # 500 hours: pvlib takes two seconds for a year
    table, place = pvlib.iotools.read_tmy2(tmp_path / "head.tm2")
    assert np.degrees(miami.latitude) == pytest.approx(place["latitude"])
    assert np.degrees(miami.longitude) == pytest.approx(place["longitude"])
    for ours, theirs in (
        ((miami.dry_bulb - 273.15) * 10, "DryBulb"),
        (miami.relative_humidity * 100, "RHum"),
        (miami.pressure / 100, "Pressure"),
        (miami.global_horizontal, "GHI"),
        (miami.direct_normal, "DNI"),
        (miami.diffuse_horizontal, "DHI"),
        (miami.wind_speed * 10, "Wspd"),
    ):
        np.testing.assert_allclose(ours[:500], table[theirs].to_numpy(dtype=float), atol=1e-9)


def test_a_shipped_year_says_that_it_is_not_the_owners_town(greensboro: WeatherYear) -> None:
    assert greensboro.source == (
        "typical year of Greensboro NC, TMY3, US public data, shipped with pvlib; not your town"
    )


def test_a_year_worked_out_before_needs_neither_pandas_nor_pvlib(greensboro: WeatherYear) -> None:
    code = (
        "import sys; from tankwright.weather.shipped import shipped_year; "
        f"assert shipped_year()[0].identity == {greensboro.identity!r}; "
        "assert not {'pandas', 'pvlib', 'scipy'} & set(sys.modules)"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


def test_a_file_pvlib_ships_no_more_is_a_finding(monkeypatch: pytest.MonkeyPatch) -> None:
    def gone(_: str) -> None:
        raise shipped.PackageNotFoundError

    monkeypatch.setattr(shipped, "distribution", gone)
    year, findings = shipped_year()
    assert year is None
    assert [one.code for one in findings] == ["WEATHER-01"]
