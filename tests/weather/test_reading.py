"""A good file read, and every way of spoiling it: a finding or the same year, never an exception."""

from __future__ import annotations

import codecs
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pvlib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankwright.finding import Finding, Severity
from tankwright.weather import reading
from tankwright.weather.model import SERIES, WeatherYear
from tankwright.weather.reading import read_weather, read_weather_bytes
from tankwright.weather.shipped import SHIPPED, _folder

Write = Callable[[str | bytes], Path]
HEADER_LINES = 8
RH, PRESSURE, DRY, GHI = 8, 9, 6, 13


def _read(text: str | bytes, name: str = "town.epw") -> tuple[WeatherYear | None, tuple[Finding, ...]]:
    year, findings = read_weather_bytes(text if isinstance(text, bytes) else text.encode(), name)
    assert (year is None) == any(one.severity is Severity.PROBLEM for one in findings)
    for one in findings:
        assert one.code.startswith("WEATHER-")
        assert one.subject == name
        assert "{" not in one.text
        if one.severity is Severity.PROBLEM and "more places" not in one.text:
            assert one.wanted
            assert one.attempt
    return year, findings


def _codes(findings: tuple[Finding, ...]) -> set[str]:
    return {one.code for one in findings}


def _with(text: str, column: int, value: str, first: int, count: int = 1) -> str:
    """The text with a value put into a column of some rows, counted from the first hour."""
    lines = text.split("\n")
    for at in range(HEADER_LINES + first, HEADER_LINES + first + count):
        cells = lines[at].split(",")
        cells[column] = value
        lines[at] = ",".join(cells)
    return "\n".join(lines)


def _rows(text: str) -> tuple[list[str], list[str]]:
    lines = text.rstrip("\n").split("\n")
    return lines[:HEADER_LINES], lines[HEADER_LINES:]


def _joined(header: list[str], rows: list[str]) -> str:
    return "\n".join([*header, *rows]) + "\n"


@pytest.fixture(scope="session")
def good(epw: str) -> WeatherYear:
    year, findings = _read(epw)
    assert findings == ()
    assert year is not None
    return year


def test_a_year_written_as_epw_is_read_back(greensboro: WeatherYear, good: WeatherYear) -> None:
    for name in SERIES:
        np.testing.assert_allclose(getattr(good, name), getattr(greensboro, name), atol=1e-9, err_msg=name)
    assert good.place == "Greensboro, NC, USA"
    assert good.kind == "EPW"
    assert good.source == "hourly weather of Greensboro, NC, USA, EPW, from your file town.epw"


def test_an_epw_is_what_pvlib_reads(epw: str, good: WeatherYear, write: Write) -> None:
    table, place = pvlib.iotools.read_epw(write(epw))
    np.testing.assert_allclose(good.dry_bulb - 273.15, table["temp_air"].to_numpy(), atol=1e-9)
    np.testing.assert_allclose(good.relative_humidity * 100, table["relative_humidity"].to_numpy(), atol=1e-9)
    np.testing.assert_allclose(good.pressure, table["atmospheric_pressure"].to_numpy(), atol=1e-9)
    np.testing.assert_allclose(good.direct_normal, table["dni"].to_numpy(), atol=1e-9)
    np.testing.assert_allclose(good.wind_speed, table["wind_speed"].to_numpy(), atol=1e-9)
    assert np.degrees(good.longitude) == pytest.approx(place["longitude"])


SAME = {
    "windows lines": lambda text: text.replace("\n", "\r\n").encode(),
    "old macintosh lines": lambda text: text.replace("\n", "\r").encode(),
    "blank lines at the end": lambda text: (text + "\n\n \n").encode(),
    "rows in another order": lambda text: _joined(
        _rows(text)[0], _rows(text)[1][4000:] + _rows(text)[1][:4000]
    ).encode(),
    "blanks around values": lambda text: _joined(
        _rows(text)[0], [row.replace(",", " , ") for row in _rows(text)[1]]
    ).encode(),
    "commas at the ends": lambda text: text.replace("\n", ",,\n").encode(),
}


@pytest.mark.parametrize("how", sorted(SAME))
def test_what_does_not_matter_changes_nothing(epw: str, good: WeatherYear, how: str) -> None:
    year, findings = _read(SAME[how](epw))
    assert findings == ()
    assert year == good


ODD = {
    "utf-8 with a mark": (lambda text: codecs.BOM_UTF8 + text.encode(), "WEATHER-15"),
    "utf-16": (lambda text: text.encode("utf-16"), "WEATHER-15"),
    "utf-16 big, no mark": (lambda text: text.encode("utf-16-be"), "WEATHER-15"),
    "utf-16 little, no mark": (lambda text: text.encode("utf-16-le"), "WEATHER-15"),
    "latin-1": (
        lambda text: text.replace("COMMENTS 1,none", "COMMENTS 1,Münster").encode("latin-1"),
        "WEATHER-15",
    ),
    "semicolons, decimal commas": (
        lambda text: text.replace(",", ";").replace(".", ",").encode(),
        "WEATHER-16",
    ),
    "tabs": (lambda text: text.replace(",", "\t").encode(), "WEATHER-16"),
}


@pytest.mark.parametrize("how", sorted(ODD))
def test_an_odd_way_of_saving_is_read_and_noted(epw: str, good: WeatherYear, how: str) -> None:
    spoil, code = ODD[how]
    year, findings = _read(spoil(epw))
    assert year == good
    assert [(one.code, one.severity) for one in findings] == [(code, Severity.NOTE)]


def test_a_leap_day_is_left_out_and_noted(epw: str, good: WeatherYear) -> None:
    header, rows = _rows(epw)
    at = (31 + 28) * 24
    leap = [row.replace(",2,28,", ",2,29,", 1) for row in rows[at - 24 : at]]
    year, findings = _read(_joined(header, [*rows[:at], *leap, *rows[at:]]))
    assert year == good
    assert [(one.code, one.severity) for one in findings] == [("WEATHER-14", Severity.NOTE)]


def test_humidity_over_a_hundred_is_a_hundred(epw: str) -> None:
    year, findings = _read(_with(epw, RH, "104", 100))
    assert year is not None
    assert year.relative_humidity[100] == 1.0
    assert [one.code for one in findings] == ["WEATHER-18"]


@pytest.mark.parametrize(
    ("column", "missing", "field"),
    [
        (DRY, "99.9", "dry_bulb"),
        (RH, "999", "relative_humidity"),
        (PRESSURE, "999999", "pressure"),
        (GHI, "9999", "global_horizontal"),
        (14, "9999", "direct_normal"),
        (15, "9999", "diffuse_horizontal"),
        (21, "999", "wind_speed"),
        (DRY, "", "dry_bulb"),
    ],
)
def test_a_short_gap_is_bridged_and_told(
    epw: str, good: WeatherYear, column: int, missing: str, field: str
) -> None:
    year, findings = _read(_with(epw, column, missing, 500, 6))
    assert year is not None
    assert [(one.code, one.severity) for one in findings] == [("WEATHER-13", Severity.WARNING)]
    assert "6 hours from 21 January 20:00 on" in findings[0].text
    before, after = getattr(good, field)[[499, 506]]
    np.testing.assert_allclose(getattr(year, field)[499:507], np.linspace(before, after, 8))


def test_a_longer_gap_is_refused(epw: str) -> None:
    year, findings = _read(_with(_with(epw, RH, "999", 500, 7), DRY, "99.9", 900, 100))
    assert year is None
    assert [one.code for one in findings] == ["WEATHER-12", "WEATHER-12"]
    assert "7 hours" in findings[1].text


def test_a_gap_over_the_new_year_is_one_gap(epw: str) -> None:
    text = _with(_with(epw, DRY, "99.9", 0, 4), DRY, "99.9", 8756, 4)
    year, findings = _read(text)
    assert year is None
    assert "8 hours from 31 December 20:00 on" in findings[0].text


def test_many_short_gaps_are_too_many(epw: str) -> None:
    header, rows = _rows(epw)
    holed = [",".join([*row.split(",")[:6], "99.9", *row.split(",")[7:]]) if at % 4 == 0 else row
             for at, row in enumerate(rows)]  # fmt: skip
    year, findings = _read(_joined(header, holed))
    assert year is None
    assert any("2190 hours in all" in one.text for one in findings)
    assert len(findings) < 10


def test_missing_hours_are_bridged_when_few_and_refused_when_many(epw: str) -> None:
    header, rows = _rows(epw)
    year, findings = _read(_joined(header, rows[:1000] + rows[1006:]))
    assert year is not None
    assert [one.code for one in findings] == ["WEATHER-13"]
    assert _codes(_read(_joined(header, rows[:1000] + rows[1007:]))[1]) == {"WEATHER-11"}
    year, findings = _read(_joined(header, rows[:4380]))
    assert [one.code for one in findings] == ["WEATHER-11"]
    assert "4380 of the 8760 hours" in findings[0].text


BAD = {
    "no bytes": (lambda _: b"", "WEATHER-03"),
    "blanks only": (lambda _: b" \r\n \n", "WEATHER-03"),
    "a picture": (lambda _: b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "WEATHER-04"),
    "zero bytes inside": (lambda text: text.encode().replace(b"none", b"no\x00e"), "WEATHER-04"),
    "another text": (lambda _: b"[room]\nname = 'cellar'\n", "WEATHER-04"),
    "header only": (lambda text: "\n".join(text.split("\n")[:8]).encode(), "WEATHER-11"),
    "first line only": (lambda text: text.split("\n")[0].encode(), "WEATHER-11"),
    "no first line": (lambda text: text.split("\n", 1)[1].encode(), "WEATHER-04"),
    "no latitude": (lambda text: text.replace(",36.1,", ",,", 1).encode(), "WEATHER-05"),
    "a latitude beyond the pole": (lambda text: text.replace(",36.1,", ",136.1,", 1).encode(), "WEATHER-05"),
    "a short first line": (lambda text: ("LOCATION,Town\n" + text.split("\n", 1)[1]).encode(), "WEATHER-05"),
    "a row cut short": (lambda text: text[:-60].encode(), "WEATHER-06"),
    "decimal commas between commas": (lambda text: _joined(
        _rows(text)[0], [row.replace(".", ",") for row in _rows(text)[1]]).encode(), "WEATHER-06"),
    "a word": (lambda text: _with(text, DRY, "cold", 7).encode(), "WEATHER-07"),
    "not a number": (lambda text: _with(text, DRY, "nan", 7).encode(), "WEATHER-07"),
    "an endless number": (lambda text: _with(text, DRY, "1e999", 7).encode(), "WEATHER-07"),
    "too hot": (lambda text: _with(text, DRY, "75", 7).encode(), "WEATHER-08"),
    "minus humidity": (lambda text: _with(text, RH, "-3", 7).encode(), "WEATHER-08"),
    "pressure in mbar": (lambda text: _with(text, PRESSURE, "1013", 7).encode(), "WEATHER-08"),
    "sun below nothing": (lambda text: _with(text, GHI, "-20", 7).encode(), "WEATHER-08"),
    "month 13": (lambda text: _with(text, 1, "13", 7).encode(), "WEATHER-09"),
    "hour 25": (lambda text: _with(text, 3, "25", 7).encode(), "WEATHER-09"),
    "a month by name": (lambda text: _with(text, 1, "May", 7).encode(), "WEATHER-09"),
    "an hour twice": (lambda text: _with(text, 3, "8", 8).encode(), "WEATHER-10"),
    "no humidity in any hour": (lambda text: _with(text, RH, "999", 0, 8760).encode(), "WEATHER-17"),
    "all in fahrenheit": (lambda text: _with(text, DRY, "68", 0, 8760).encode(), "WEATHER-17"),
    "no sun": (lambda text: _with(text, GHI, "0", 0, 8760).encode(), "WEATHER-17"),
    "humidity column taken out": (lambda text: _joined(_rows(text)[0], [
        ",".join(row.split(",")[:RH] + row.split(",")[RH + 1 :]) for row in _rows(text)[1]]).encode(), "WEATHER-17"),
}  # fmt: skip


@pytest.mark.parametrize("how", sorted(BAD))
def test_a_bad_file_is_refused_with_its_reason(epw: str, how: str) -> None:
    spoil, code = BAD[how]
    year, findings = _read(spoil(epw))
    assert year is None
    assert code in _codes(findings)
    assert len(findings) < 30


def test_every_mistake_is_told_in_one_pass_with_its_line(epw: str) -> None:
    text = _with(_with(_with(epw, DRY, "cold", 0), RH, "140", 10), 1, "13", 20)
    _, findings = _read(text)
    assert [(one.code, one.line) for one in findings if one.line] == [
        ("WEATHER-07", 9), ("WEATHER-08", 19), ("WEATHER-09", 29),
    ]  # fmt: skip
    assert findings[1].found or findings[2].found


def test_a_wrong_place_shows_in_the_sun(epw: str) -> None:
    for wrong in (epw.replace(",-79.95,", ",79.95,", 1), epw.replace(",36.1,", ",-36.1,", 1),
                  epw.replace(",-5.0,", ",0.0,", 1)):  # fmt: skip
        year, findings = _read(wrong)
        assert year is not None
        assert [(one.code, one.severity) for one in findings] == [("WEATHER-19", Severity.WARNING)]


def test_a_column_too_few_at_the_end_is_told(epw: str, good: WeatherYear) -> None:
    header, rows = _rows(epw)
    year, findings = _read(_joined(header, [row.rsplit(",", 3)[0] for row in rows]))
    assert year == good
    assert [(one.code, one.severity) for one in findings] == [("WEATHER-20", Severity.WARNING)]


def test_a_file_with_rows_for_each_quarter_is_refused_shortly(epw: str) -> None:
    header, rows = _rows(epw)
    year, findings = _read(_joined(header, [row for row in rows for _ in range(4)]))
    assert year is None
    assert _codes(findings) == {"WEATHER-10"}
    assert len(findings) < 10


def test_what_is_no_readable_file_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for path, words in ((tmp_path / "none.epw", "is not there"), (tmp_path, "is a folder"),
                        (Path("a\x00b"), "cannot be read")):  # fmt: skip
        year, findings = read_weather(path)
        assert year is None
        assert findings[0].code == "WEATHER-01"
        assert words in findings[0].text
    monkeypatch.setattr(reading, "LARGEST_FILE", 1000)
    (tmp_path / "large.epw").write_bytes(b"LOCATION" * 1000)
    assert [one.code for one in read_weather(tmp_path / "large.epw")[1]] == ["WEATHER-02"]


@pytest.mark.parametrize("name", ["RHum (%)", "GHI (W/m^2)", "Dry-bulb (C)"])
def test_a_tmy3_without_a_column_is_refused(name: str) -> None:
    text = (_folder() / SHIPPED["Greensboro"].file).read_text()
    lines = text.split("\n")
    at = lines[1].split(",").index(name)
    without = [lines[0]]
    for line in lines[1:]:
        cells = line.split(",")
        without.append(",".join(cells[:at] + cells[at + 1 :]))
    year, findings = _read("\n".join(without), "town.csv")
    assert year is None
    assert [(one.code, one.line) for one in findings] == [("WEATHER-17", 2)]


@pytest.fixture(scope="session")
def sources(epw: str) -> list[bytes]:
    return [epw.encode(), *((_folder() / one.file).read_bytes() for one in SHIPPED.values())]


@settings(max_examples=15)
@given(data=st.data())
def test_nothing_in_a_file_raises(sources: list[bytes], data: st.DataObject) -> None:
    raw = bytearray(data.draw(st.sampled_from(sources)))
    raw = raw[: data.draw(st.one_of(st.just(len(raw)), st.integers(0, len(raw))))]
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.one_of(st.integers(0, 800), st.integers(0, len(raw))))
        raw[at : at + data.draw(st.integers(0, 50))] = data.draw(st.binary(max_size=30))
    _read(bytes(raw))


@settings(max_examples=25)
@given(raw=st.one_of(st.binary(max_size=200), st.text(max_size=200).map(str.encode), st.builds(
    lambda head, rest: (head + rest).encode(),
    st.sampled_from(["LOCATION,", "LOCATION;a\n" * 9, "x\nDate (MM/DD/YYYY),Time\n", 'LOCATION,"\n' * 9]),
    st.text("0123456789,.-\n\r\";/: ", max_size=300))))  # fmt: skip
def test_no_short_text_raises(raw: bytes) -> None:
    year, _ = _read(raw)
    assert year is None
