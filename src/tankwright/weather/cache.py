"""Years already worked out, kept in the user's cache folder: opening one needs neither pandas nor pvlib.

The cache may be thrown away at any time. What cannot be read, written or believed is passed over in silence: the
year is then worked out anew from its file.
"""

from __future__ import annotations

import hashlib
import io
import json
import os
import tempfile
from contextlib import suppress
from pathlib import Path
from typing import Final

import numpy as np

from tankwright.finding import Finding, Severity
from tankwright.weather.model import SERIES, WeatherYear

FORMAT: Final = 1
"""Counted up whenever the reading, the sun or the layout of a kept year changes: old ones are then left alone."""

_WORDS: Final = ("place", "file", "kind", "source")
_PLACE: Final = ("latitude", "longitude", "elevation", "utc_offset")
_SAID: Final = ("code", "severity", "subject", "text", "line", "found", "wanted", "attempt")

Answer = tuple[WeatherYear | None, tuple[Finding, ...]]


def key_of(raw: bytes, name: str) -> str:
    """What a year is kept under: the file, its name and the format."""
    return hashlib.sha256(b"%d %s\x00%s" % (FORMAT, name.encode("utf-8", "replace"), raw)).hexdigest()


def cache_folder() -> Path | None:
    """The folder of this program below XDG_CACHE_HOME or ~/.cache; None when there is no home."""
    told = os.environ.get("XDG_CACHE_HOME", "")
    with suppress(RuntimeError):
        return (Path(told) if Path(told).is_absolute() else Path.home() / ".cache") / "tankwright"
    return None


def kept(key: str) -> Answer | None:
    """A year and what was said of it, if it is kept and whole."""
    place = _place_of(key)
    if place is None:
        return None
    try:
        with place.open("rb") as opened, np.load(opened, allow_pickle=False) as file:
            table = file["hours"]
            told = json.loads(file["told"].tobytes())
        told_findings, identity = told.pop("findings"), told.pop("identity")
        year = WeatherYear(**told, **dict(zip(SERIES, table, strict=True)))
        findings = tuple(Finding(**{**one, "severity": Severity(one["severity"])}) for one in told_findings)
    except Exception:  # a broken file fails in as many ways as there are layers below
        return None
    return (year, findings) if year.identity == identity else None


def keep(key: str, year: WeatherYear, findings: tuple[Finding, ...]) -> None:
    """Keep a year, whole or not at all."""
    place = _place_of(key)
    if place is None:
        return
    told = {name: getattr(year, name) for name in (*_WORDS, *_PLACE, "identity")}
    told["findings"] = [{name: getattr(one, name) for name in _SAID} for one in findings]
    file = io.BytesIO()
    table = np.array([getattr(year, name) for name in SERIES])
    np.savez(file, hours=table, told=np.frombuffer(json.dumps(told).encode("utf-8"), dtype=np.uint8))
    with suppress(OSError, ValueError):
        place.parent.mkdir(parents=True, exist_ok=True)
        _write_whole(place, file.getvalue())


def _place_of(key: str) -> Path | None:
    folder = cache_folder()
    return folder / f"weather-{key}.npz" if folder else None


def _write_whole(place: Path, content: bytes) -> None:
    handle, name = tempfile.mkstemp(prefix=".weather-", suffix=".new", dir=place.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        Path(name).replace(place)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
