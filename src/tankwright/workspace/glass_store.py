"""Panes worked out in full and maps of their holes, kept in a folder beside the plan by all that they hang on.

A file for each, written whole. The folder may be thrown away at any time. What cannot be read, written or believed is
passed over in silence: it is then worked out anew. Whose pane it is, and where a mapped hole is today, is not in it.
"""

from __future__ import annotations

import hashlib
import io
import json
import os
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import fields
from functools import cache
from pathlib import Path
from typing import Any, Final

import numpy as np
from pydantic import TypeAdapter

import tankwright
from tankwright.plates.model import HoleStress, PlateSolution
from tankwright.systems.glass_full_model import FullPane, HoleFull, HoleSpot, HoleSurroundings
from tankwright.systems.glass_model import PaneCase, PaneScreen, Strengths
from tankwright.systems.glass_plate import whole_holes
from tankwright.workspace.disk import folder_of, settled, write_whole

FORMAT: Final = 1
"""Counted up whenever the layout of a kept file changes."""
KEPT: Final = 300
"""Files kept; the one not looked at for longest goes first."""

_ENGINE: Final = ("plates/*.py", "physics/*.py", "systems/glass*.py")
_ARRAYS: Final = ("nodes", "triangles", "deflection", "stress")
_SPOTS: Final = TypeAdapter(tuple[HoleSpot, ...])


@cache
def engine_mark() -> str:
    """The same for two programs whose engine for glass is the same, to the letter."""
    told = hashlib.sha256(b"%d" % FORMAT)
    folder = Path(tankwright.__file__).parent
    for pattern in _ENGINE:
        for place in sorted(folder.glob(pattern)):
            told.update(place.name.encode() + b"\0" + place.read_bytes())
    return told.hexdigest()


def pane_key(case: PaneCase, strengths: Strengths) -> str:
    """What a pane worked out in full hangs on, in short."""
    return _mark("pane", *_case(case), *_strengths(strengths))


def map_key(case: PaneCase, strengths: Strengths, around: HoleSurroundings, index: int) -> str:
    """What the map of one of a pane's holes hangs on, in short: not on where that hole is now."""
    return _mark("map", *_case(case, without=index), *_strengths(strengths), *_around(around), index)


class GlassStore:
    """What is kept beside one plan."""

    def __init__(self, plan: Path) -> None:
        self._folder = folder_of(settled(plan)) / "glass"

    def pane(self, case: PaneCase, strengths: Strengths, screen: PaneScreen | None) -> FullPane | None:
        """A pane worked out before, for these very numbers."""
        read = self._read(pane_key(case, strengths))
        if read is None:
            return None
        try:
            return _full(case, strengths, screen, *read)
        except Exception:  # a file that fits its sum and yet not us was made by another program
            return None

    def keep_pane(self, full: FullPane) -> None:
        """Keep a pane that was solved."""
        if not full.solved:
            return
        solution = full.solution
        told = {
            "pane": {name: getattr(full, name) for name in _PANE},
            "holes": [{name: getattr(one, name) for name in _HOLE} for one in full.holes],
            "solution": {name: getattr(solution, name) for name in _SOLUTION},
            "rims": [{name: getattr(one, name) for name in _RIM} for one in solution.holes],
        }
        arrays = {name: getattr(solution, name) for name in _ARRAYS}
        self._write(pane_key(full.case, full.strengths), told, arrays)

    def spots(self, key: str) -> tuple[HoleSpot, ...] | None:
        """The spots of a map (`map_key`) that was made before."""
        read = self._read(key)
        if read is None:
            return None
        try:
            return _SPOTS.validate_python(read[0]["spots"])
        except Exception:  # likewise
            return None

    def keep_spots(self, key: str, spots: tuple[HoleSpot, ...]) -> None:
        """Keep the spots of a map."""
        self._write(key, {"spots": _SPOTS.dump_python(spots, mode="json")}, {})

    def forget(self) -> None:
        """Drop all that is kept, to work it out afresh."""
        for place in self._all():
            with suppress(OSError):
                place.unlink(missing_ok=True)

    def _all(self) -> Iterator[Path]:
        with suppress(OSError):
            yield from self._folder.glob("*.npz")

    def _read(self, key: str) -> tuple[dict[str, Any], dict[str, np.ndarray[Any, Any]]] | None:
        place = self._folder / f"{key}.npz"
        try:
            with place.open("rb") as opened, np.load(opened, allow_pickle=False) as file:
                arrays = {name: file[name] for name in file.files}
            told = arrays.pop("told").tobytes()
            if arrays.pop("sum").tobytes() != _sum(told, arrays):
                return None
            os.utime(place)  # so that what is still looked at is not the first to go
            known: dict[str, Any] = json.loads(told)
        except Exception:  # a broken file fails in as many ways as there are layers below
            return None
        return known, arrays

    def _write(self, key: str, told: Mapping[str, Any], arrays: Mapping[str, np.ndarray[Any, Any]]) -> None:
        text = json.dumps(told, allow_nan=False).encode()
        file = io.BytesIO()
        whole: dict[str, Any] = {"told": _bytes(text), "sum": _bytes(_sum(text, arrays)), **arrays}
        np.savez_compressed(file, **whole)
        with suppress(OSError, ValueError):
            self._folder.mkdir(parents=True, exist_ok=True)
            self._make_room()
            write_whole(self._folder / f"{key}.npz", file.getvalue())

    def _make_room(self) -> None:
        kept = sorted(self._all(), key=lambda one: one.stat().st_mtime, reverse=True)
        for place in kept[KEPT - 1 :]:
            place.unlink(missing_ok=True)


_SOLUTION: Final = tuple(one.name for one in fields(PlateSolution) if one.name not in (*_ARRAYS, "holes"))
_HOLE: Final = tuple(one.name for one in fields(HoleFull) if one.name != "hole")
_RIM: Final = tuple(one.name for one in fields(HoleStress))
_PANE: Final = tuple(
    one.name
    for one in fields(FullPane)
    if one.name not in ("case", "strengths", "screen", "solution", "holes")
)


def _full(
    case: PaneCase,
    strengths: Strengths,
    screen: PaneScreen | None,
    told: Mapping[str, Any],
    arrays: Mapping[str, np.ndarray[Any, Any]],
) -> FullPane:
    """The pane of a file, under the numbers of today's plan."""
    rows: dict[str, Any] = {name: arrays[name] for name in _ARRAYS}
    solution = PlateSolution(
        **_plain(told["solution"], _SOLUTION),
        **rows,
        holes=tuple(HoleStress(**_plain(one, _RIM)) for one in told["rims"]),
    )
    holes = tuple(
        HoleFull(hole=hole, **_plain(one, _HOLE))
        for hole, one in zip(whole_holes(case), told["holes"], strict=True)
    )
    return FullPane(
        case=case,
        strengths=strengths,
        screen=screen,
        solution=solution,
        holes=holes,
        **_plain(told["pane"], _PANE),
    )


def _bytes(text: bytes) -> np.ndarray[Any, Any]:
    return np.frombuffer(text, dtype=np.uint8)


def _plain(told: Mapping[str, Any], names: tuple[str, ...]) -> dict[str, Any]:
    return {name: _thawed(told[name]) for name in names}


def _thawed(value: Any) -> Any:
    return tuple(value) if isinstance(value, list) else value


def _sum(told: bytes, arrays: Mapping[str, np.ndarray[Any, Any]]) -> bytes:
    sums = hashlib.sha256(told)
    for name in sorted(arrays):
        sums.update(f"\0{name} {arrays[name].dtype.str} {arrays[name].shape}\0".encode())
        sums.update(np.ascontiguousarray(arrays[name]).tobytes())
    return sums.digest()


# --- what they hang on ----------------------------------------------------------------------------------------------

_Part = float | int | str | None


def _mark(*parts: _Part) -> str:
    told = hashlib.sha256(engine_mark().encode())
    for part in parts:
        # nine figures: the same pane on two shelves differs in the last ones by rounding
        told.update(f"{part:.9g}\0".encode() if isinstance(part, float) else f"{part}\0".encode())
    return told.hexdigest()


def _case(case: PaneCase, without: int | None = None) -> Iterator[_Part]:
    yield from (case.pane, case.held, case.temper, case.edges or "")
    yield from (case.length, case.height, case.thickness.value, case.head, case.brim, case.pressure)
    yield from (*case.outside, *case.offset, case.stiffness.value, case.poisson.value)
    for number, hole in enumerate(case.holes):
        yield from () if number == without else (hole.x, hole.y)
        yield from (hole.diameter.value, hole.flange.value if hole.flange else None)
    if case.brace is not None:
        brace = case.brace
        yield from (brace.kind, brace.count, brace.width.value, brace.thickness.value)


def _strengths(strengths: Strengths) -> Iterator[_Part]:
    yield from (strengths.en_surface, strengths.en_edge)
    yield from (strengths.duration_surface, strengths.duration_edge)
    yield from (strengths.working_surface.value, strengths.working_edge.value)


def _around(around: HoleSurroundings) -> Iterator[_Part]:
    for start, end in around.uprights:
        yield from (start, end)
    yield from (str(around.uprights_known), around.reach, around.bore)
    yield from (around.floor, around.level, around.hose)
