"""What is kept of a year, and what happens when the folder or the file is not as it should be."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from tankwright.finding import Severity
from tankwright.weather import cache, reading
from tankwright.weather.mistakes import Mistakes
from tankwright.weather.model import SERIES, WeatherYear
from tankwright.weather.reading import read_weather_bytes

RAW = b"what a weather file holds"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, greensboro: WeatherYear) -> Path:
    """An empty cache; what stands in for the reading of a file gives a year, or none for b"nothing"."""

    def read(raw: bytes, name: str) -> cache.Answer:
        mistakes = Mistakes(name)
        mistakes.add("WEATHER-15", "is saved in an odd way", severity=Severity.NOTE, line=3, found="“x”")
        return (None if raw == b"nothing" else replace(greensboro, file=name)), mistakes.all()

    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    monkeypatch.setattr(reading, "_recent", {})
    monkeypatch.setattr(reading, "_read", read)
    return tmp_path / "tankwright"


def _again(raw: bytes) -> cache.Answer:
    reading._recent.clear()
    return read_weather_bytes(raw, "town.epw")


def test_a_kept_year_is_the_year_with_all_that_was_said(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    year, findings = _again(RAW)
    assert year is not None
    assert findings
    assert len(list(folder.iterdir())) == 1

    def not_again(*_: object) -> cache.Answer:
        raise AssertionError("it was kept")

    monkeypatch.setattr(reading, "_read", not_again)
    kept, said = _again(RAW)
    assert kept is not None
    assert (kept, said, kept.file, kept.source) == (year, findings, year.file, year.source)
    for name in SERIES:
        np.testing.assert_array_equal(getattr(kept, name), getattr(year, name))
    assert (
        read_weather_bytes(RAW, "town.epw")[0] is kept
    )  # the second time in one process, not even from the disk


def test_a_refused_file_is_not_kept(folder: Path) -> None:
    assert _again(b"nothing")[0] is None
    assert not folder.exists()


def _cut(raw: bytes) -> bytes:
    return raw[: len(raw) // 2]


def _flip(raw: bytes) -> bytes:
    return raw[:5000] + bytes([raw[5000] ^ 1]) + raw[5001:]


@pytest.mark.parametrize(
    "spoil", [_cut, _flip, lambda _: b"", lambda _: b"PK\x03\x04 no", lambda raw: raw[:-3]]
)
def test_a_broken_cache_is_passed_over_and_mended(folder: Path, spoil: object) -> None:
    year, _ = _again(RAW)
    (place,) = folder.iterdir()
    whole = place.read_bytes()
    place.write_bytes(spoil(whole))  # type: ignore[operator] # one of the list above
    assert _again(RAW)[0] == year
    assert place.read_bytes() == whole


def test_a_cache_of_another_truth_is_not_believed(folder: Path) -> None:
    year, _ = _again(RAW)
    assert year is not None
    (place,) = folder.iterdir()
    with np.load(place) as file:
        table, told = file["hours"].copy(), file["told"].copy()
    table[0, 0] += 1.0
    np.savez(place, hours=table, told=told)
    assert _again(RAW)[0] == year


def test_no_folder_to_write_in_is_no_hindrance(folder: Path) -> None:
    folder.write_text("a file stands in the way")
    assert _again(RAW)[0] is not None


def test_no_home_is_no_hindrance(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def homeless() -> Path:
        raise RuntimeError

    monkeypatch.setenv("XDG_CACHE_HOME", "relative/is/ignored")
    monkeypatch.setattr(Path, "home", homeless)
    assert cache.cache_folder() is None
    assert _again(RAW)[0] is not None


def test_only_the_last_few_years_stay_in_memory(folder: Path) -> None:
    for number in range(20):
        read_weather_bytes(b"%d" % number, "town.epw")
    assert len(reading._recent) == 8
