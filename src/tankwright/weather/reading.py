"""Read a weather file: the year out, or every reason why not. Nothing a file holds raises.

    year, findings = read_weather("Kassel.epw")

A file is read once: the year with its sun is kept in this process and in the user's cache folder.
"""

from __future__ import annotations

import codecs
from pathlib import Path
from typing import Final

from tankwright.finding import Finding, Severity
from tankwright.units import clip
from tankwright.weather import cache
from tankwright.weather.formats import Layout, delimiter_of, epw_layout, tmy2_layout, tmy3_layout
from tankwright.weather.mistakes import Mistakes
from tankwright.weather.model import WeatherYear
from tankwright.weather.places import is_tmy2, read_place
from tankwright.weather.rows import read_rows
from tankwright.weather.sun import share_in_the_dark, sun_of

LARGEST_FILE: Final = 20_000_000
"""Bytes: a year of hours is under 2 MB, and twice that when a spreadsheet saves it as UTF-16."""

MOST_SUN_IN_THE_DARK: Final = 0.01
"""Share of the year's sun in hours when the sun is down, above which the place or its time zone is doubted."""

_ANOTHER: Final = 'a file of your place, or a year that comes with the program, for example "Greensboro"'
_KEPT_HERE: Final = 8
_recent: dict[str, cache.Answer] = {}


def read_weather(path: str | Path) -> tuple[WeatherYear | None, tuple[Finding, ...]]:
    """Read an EPW, TMY3 or TMY2 file. The year is None when a problem stands among the findings."""
    place = Path(path)
    name = clip(place.name or str(path))
    try:
        with place.open("rb") as file:
            raw = file.read(LARGEST_FILE + 1)
    except (OSError, ValueError) as error:
        mistakes = Mistakes(name)
        mistakes.add(
            "WEATHER-01",
            _why_unread(error),
            found=str(path),
            wanted="a weather file of your place: EPW or TMY3",
            attempt=_ANOTHER,
        )
        return None, mistakes.all()
    return read_weather_bytes(raw, name)


def read_weather_bytes(raw: bytes, name: str) -> tuple[WeatherYear | None, tuple[Finding, ...]]:
    """Read a weather file from its bytes, or from the cache when these bytes were read before.

    >>> year, findings = read_weather_bytes(b"", "Kassel.epw")
    >>> year, findings[0].code, findings[0].text
    (None, 'WEATHER-03', 'is empty')
    """
    if len(raw) > LARGEST_FILE:
        mistakes = Mistakes(name)
        mistakes.add(
            "WEATHER-02",
            f"is larger than {LARGEST_FILE // 1_000_000} MB: no single year of hours",
            wanted="one year at one place, about 2 MB",
            attempt=_ANOTHER,
        )
        return None, mistakes.all()
    key = cache.key_of(raw, name)
    answer = _recent.get(key) or cache.kept(key)
    if answer is None:
        answer = _read(raw, name)
        if answer[0] is not None:
            cache.keep(key, answer[0], answer[1])
    while len(_recent) >= _KEPT_HERE and key not in _recent:
        _recent.pop(next(iter(_recent)), None)
    _recent[key] = answer
    return answer


def _why_unread(error: OSError | ValueError) -> str:
    if isinstance(error, FileNotFoundError):
        return "is not there"
    if isinstance(error, IsADirectoryError):
        return "is a folder, not a file"
    if isinstance(error, PermissionError):
        return "may not be read: you have no permission"
    return (
        f"cannot be read: {clip(getattr(error, 'strerror', None) or 'the name is not one a file can have')}"
    )


def _read(raw: bytes, name: str) -> cache.Answer:
    mistakes = Mistakes(name)
    text = _decoded(raw, mistakes)
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n") if text is not None else []
    recognised = _recognised(lines, mistakes) if text is not None else None
    if recognised is None:
        return None, mistakes.all()
    layout, delimiter = recognised
    place = read_place(layout.kind, lines[0], delimiter, mistakes)
    series = read_rows(lines, layout, mistakes)
    if mistakes.refuse or place is None:
        return None, mistakes.all()
    sun = sun_of(
        latitude=place.latitude,
        longitude=place.longitude,
        elevation=place.elevation,
        utc_offset=place.utc_offset,
        direct_normal=series["direct_normal"],
        diffuse_horizontal=series["diffuse_horizontal"],
    )
    dark = share_in_the_dark(sun, series["global_horizontal"])
    if dark > MOST_SUN_IN_THE_DARK:
        mistakes.add(
            "WEATHER-19",
            f"has {100 * dark:.0f} % of its sun in hours when the sun is down at its place",
            severity=Severity.WARNING,
            line=1,
            found=clip(lines[0], 60),
            wanted="latitude north and longitude east positive, the time zone of the hours, local standard time",
        )
    year = WeatherYear(
        place=place.name,
        file=name,
        kind=layout.kind,
        source=f"hourly weather of {place.name}, {layout.kind}, from your file {name}",
        latitude=place.latitude,
        longitude=place.longitude,
        elevation=place.elevation,
        utc_offset=place.utc_offset,
        **series,
        sun_zenith=sun.zenith,
        sun_azimuth=sun.azimuth,
        circumsolar=sun.circumsolar,
        horizon=sun.horizon,
    )
    return year, mistakes.all()


def _decoded(raw: bytes, mistakes: Mistakes) -> str | None:
    """The text of a file in whichever encoding it was saved; None when it is no text."""
    if not raw.strip(b" \t\r\n\x00\xef\xbb\xbf\xff\xfe"):
        mistakes.add(
            "WEATHER-03", "is empty", wanted="a weather file of your place: EPW or TMY3", attempt=_ANOTHER
        )
        return None
    encoding = "utf-8"
    if raw.startswith(codecs.BOM_UTF8):
        encoding = "utf-8-sig"
    elif raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        encoding = "utf-16"
    elif raw[1:2] == b"\x00":
        encoding = "utf-16-le"
    elif raw[:1] == b"\x00":
        encoding = "utf-16-be"
    try:
        text = raw.decode(encoding)
    except UnicodeDecodeError:
        encoding = "latin-1"
        text = raw.decode(encoding)
    if "\x00" in text:
        mistakes.add(
            "WEATHER-04",
            "is not a text",
            wanted="an EPW or TMY3 file, unpacked if it came in a ZIP",
            attempt=_ANOTHER,
        )
        return None
    if encoding != "utf-8":
        mistakes.add(
            "WEATHER-15",
            f"is saved as {encoding.removesuffix('-sig').upper()}"
            f"{' with a mark in front' if encoding == 'utf-8-sig' else ''}: read as that",
            severity=Severity.NOTE,
        )
    return text


def _recognised(lines: list[str], mistakes: Mistakes) -> tuple[Layout, str] | None:
    """The layout of a file and what stands between its values; None, and a mistake, when it is no weather file."""
    first = lines[0]
    second = lines[1] if len(lines) > 1 else ""
    delimiter = delimiter_of(second if second.startswith("Date") else first)
    layout: Layout | None = None
    if first[:8].upper() == "LOCATION":
        layout = epw_layout(delimiter)
    elif second.startswith("Date"):
        layout, absent = tmy3_layout(second, delimiter)
        for words in absent:
            mistakes.add(
                "WEATHER-17",
                f"has no column for {words}",
                line=2,
                wanted="a column of it: the heat of a room cannot be worked out without",
                attempt="another file of the place",
            )
    elif is_tmy2(first):
        layout, delimiter = tmy2_layout(), ""
    if layout is None:
        mistakes.add(
            "WEATHER-04",
            "is no weather file that can be read",
            line=1,
            found=clip(first, 60),
            wanted='EPW (its first line begins with LOCATION) or TMY3 (its second with "Date (MM/DD/YYYY)")',
            attempt=_ANOTHER,
        )
        return None
    if delimiter and delimiter != ",":
        mistakes.add(
            "WEATHER-16",
            f"was saved again by a spreadsheet, with {'semicolons' if delimiter == ';' else 'tabs'} between its "
            "values: read as that, and a comma inside a number as its decimal point",
            severity=Severity.NOTE,
        )
    return layout, delimiter
