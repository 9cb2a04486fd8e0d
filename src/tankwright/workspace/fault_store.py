"""Faults that were worked out, kept in the user's cache folder: a sweep that was broken off goes on where it was.

A file for each state of a room, a line for each fault, written when it is done: whatever is killed at whatever moment,
what stands there is whole. The cache may be thrown away at any time. What cannot be read, written or believed is
passed over in silence: that fault is then worked out anew.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import asdict, fields, is_dataclass
from functools import cache
from pathlib import Path
from typing import Final

import numpy as np
from pydantic import TypeAdapter, ValidationError

import tankwright
from tankwright.faults.model import Outcome
from tankwright.study import Study
from tankwright.weather.cache import cache_folder
from tankwright.workspace.disk import held
from tankwright.workspace.journal import Journal

STATES: Final = 30
"""Rooms, or states of one, whose faults are kept; the one not looked at for longest goes first."""

_OUTCOME: Final = TypeAdapter(Outcome)
_WORDS: Final = frozenset({"line", "weather_line", "measured_on", "reason"})
"""Where a thing stands in the plan and what is said of it: no fault hangs on that."""


@cache
def program_mark() -> str:
    """The same for two programs that find the same: their files are alike, to the letter."""
    told = hashlib.sha256()
    folder = Path(tankwright.__file__).parent
    for place in sorted(folder.rglob("*")):
        if place.suffix in (".py", ".csv", ".txt", ".toml") and "web" not in place.parts:
            told.update(place.relative_to(folder).as_posix().encode() + b"\0" + place.read_bytes())
    return told.hexdigest()


def room_mark(study: Study) -> str:
    """The same for two rooms in which every fault comes to the same, by this program."""
    weather = study.weather.identity if study.weather is not None else ""
    told = hashlib.sha256(f"{program_mark()}\0{weather}".encode())
    for part in _bare(study.room):
        told.update(part.encode("utf-8", "surrogatepass") + b"\0")
    return told.hexdigest()


@cache
def _names(kind: type) -> tuple[str, ...]:
    return tuple(one.name for one in fields(kind) if one.name not in _WORDS)


def _bare(thing: object) -> Iterator[str]:
    """All that a thing says, in an order of its own."""
    if is_dataclass(thing) and not isinstance(thing, type):
        yield type(thing).__name__
        for name in _names(type(thing)):
            yield from _bare(getattr(thing, name))
        yield ")"
    elif isinstance(thing, tuple | list):
        yield "("
        for part in thing:
            yield from _bare(part)
        yield ")"
    elif isinstance(thing, Mapping):
        for key, value in thing.items():
            yield from _bare((key, value))
        yield ")"
    elif isinstance(thing, frozenset | set):
        yield repr(sorted(map(repr, thing)))
    elif isinstance(thing, np.ndarray):
        yield repr(thing.tolist())
    else:
        yield repr(thing)


class FaultStore:
    """What is known of one state of a room. `about` is what else outcomes hang on, such as a stated time of day."""

    def __init__(self, mark: str, about: str = "", *, folder: Path | None = None) -> None:
        home = folder or cache_folder()
        name = hashlib.sha256(f"{mark}\0{about}".encode()).hexdigest()
        self._path = home / "faults" / f"{name}.jsonl" if home is not None else None
        self._journal = Journal(self._path) if self._path is not None else None

    def known(self) -> dict[str, Outcome]:
        """What is kept, by the name of the fault."""
        found: dict[str, Outcome] = {}
        if self._path is not None:
            with suppress(OSError):
                os.utime(self._path)  # so that what is still looked at is not the first to go
            for line in Journal(self._path).news().lines:
                with suppress(ValidationError):
                    one = _OUTCOME.validate_python(line.record)
                    found[one.fault] = one
        return found

    def keep(self, outcome: Outcome) -> None:
        """Keep an outcome, whole or not at all; another program may be keeping the same."""
        if self._path is None or self._journal is None:
            return
        with suppress(OSError):
            self._path.parent.mkdir(parents=True, exist_ok=True)
            with held(self._path.parent):
                if not self._path.exists():
                    _make_room(self._path.parent)
                self._journal.news()  # what others added meanwhile stays
                self._journal.append([asdict(outcome)])

    def forget(self) -> None:
        """Drop what is kept, to work all out afresh."""
        if self._path is not None:
            with suppress(OSError):
                self._path.unlink(missing_ok=True)


def _make_room(folder: Path) -> None:
    kept = sorted(folder.glob("*.jsonl"), key=lambda one: one.stat().st_mtime, reverse=True)
    for place in kept[STATES - 1 :]:
        place.unlink(missing_ok=True)
