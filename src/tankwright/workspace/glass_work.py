"""Panes checked in full and maps of where their holes could be, worked out when they are asked for, spread over
processes, and kept beside the plan by what they hang on."""

from __future__ import annotations

import os
from collections import OrderedDict
from collections.abc import Callable, Iterable, Sequence
from contextlib import closing
from dataclasses import dataclass
from functools import partial
from threading import Lock
from typing import Final, Generic, TypeVar

from tankwright.room.model import Pane, Room
from tankwright.systems.glass_full_model import FullPane, HoleMap, HoleSpot, HoleSurroundings
from tankwright.systems.glass_model import GlassResult, PaneScreen
from tankwright.systems.glass_places import surroundings
from tankwright.units import Metre
from tankwright.workspace.glass_pieces import PanePiece, SpotsPiece, check_pane, try_places
from tankwright.workspace.glass_store import GlassStore, map_key, pane_key
from tankwright.workspace.opened import Opened
from tankwright.workspace.spread import Failed, spread

Progress = Callable[[int, int], None]

AT_ONCE: Final = 6
"""Places of a hole worked out in one piece: under a second, after which an edit may go first."""
MOST_SPOTS: Final = 1000
"""Spots kept of a map: its grid, and the rows of the places the hole has had."""

Thing = TypeVar("Thing")


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """How it is to be worked out: by so many processes, without what is kept of an earlier run."""

    workers: int | None = None
    afresh: bool = False

    @property
    def hands(self) -> int:
        """Processes at once."""
        return self.workers or os.cpu_count() or 1


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckedPanes:
    """Screened panes in the order of the study, each with its full check; `failed` are (kind, pane, why)."""

    panes: tuple[FullPane, ...]
    failed: tuple[tuple[str, Pane, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeMaps:
    """The maps of the holes of one kind of tank; `failed` says why one could not be made."""

    maps: tuple[HoleMap, ...]
    failed: tuple[str, ...] = ()


class _Memory(Generic[Thing]):
    """The newest few of what was worked out or read in this process, by what they hang on."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._things: OrderedDict[str, Thing] = OrderedDict()
        self._lock = Lock()

    def get(self, key: str) -> Thing | None:
        with self._lock:
            if key not in self._things:
                return None
            self._things.move_to_end(key)
            return self._things[key]

    def put(self, key: str, thing: Thing) -> Thing:
        with self._lock:
            self._things[key] = thing
            while len(self._things) > self._most:
                self._things.popitem(last=False)
        return thing


_PANES: Final[_Memory[FullPane]] = _Memory(40)
_MAPS: Final[_Memory[HoleMap]] = _Memory(12)


@dataclass(frozen=True, slots=True, kw_only=True)
class Drilled:
    """One hole of a kind of tank: the screened pane it is in, and its number there."""

    screen: PaneScreen
    index: int


# --- what is known ---------------------------------------------------------------------------------------------------


def screened(opened: Opened, kind: str = "") -> tuple[PaneScreen, ...]:
    """The panes that were screened, of all kinds of tank or of one, the kinds in their order, worst first in each."""
    result = _result(opened)
    return tuple(one for one in result.panes if not kind or one.case.kind == kind) if result else ()


def drilled(opened: Opened, kind: str) -> tuple[Drilled, ...]:
    """Every hole of a kind of tank, in the pane as it is filled the worst."""
    found: dict[str, PaneScreen] = {}
    for one in screened(opened, kind):
        if one.case.holes:
            found.setdefault(one.case.pane, one)
    return tuple(
        Drilled(screen=one, index=index) for one in found.values() for index in range(len(one.case.holes))
    )


def known_pane(opened: Opened, screen: PaneScreen) -> FullPane | None:
    """A screened pane checked in full, when that was done before, for this or another state of a plan."""
    key = pane_key(screen.case, screen.strengths)
    known = _PANES.get(key)
    if known is None or known.case != screen.case:  # the same glass of another tank: under its own name
        known = GlassStore(opened.path).pane(screen.case, screen.strengths, screen)
        if known is not None:
            _PANES.put(key, known)
    return known


def known_map(opened: Opened, hole: Drilled) -> HoleMap | None:
    """The map of a hole, when it was made before, wherever the hole was then; `present` is None where the place it
    has now was not tried."""
    if opened.room is None:
        return None
    around = _around(opened.room, hole)
    key = _key(hole, around)
    known = _MAPS.get(key)
    if known is not None and known.case == hole.screen.case:
        return known
    spots = GlassStore(opened.path).spots(key)
    return None if spots is None else _map_kept(key, hole, around, spots)


# --- panes ------------------------------------------------------------------------------------------------------------


def worked_out_glass(opened: Opened, progress: Progress | None = None) -> CheckedPanes | None:
    """Every pane of every kind in full, where it is not known; None for a plan that was not worked out itself."""
    return check_panes(opened, screened(opened), Asked(), progress) if opened.study is not None else None


def worked_out_panes(opened: Opened, kind: str, progress: Progress | None = None) -> CheckedPanes | None:
    """The same for the panes of one kind of tank."""
    if opened.study is None:
        return None
    return check_panes(opened, screened(opened, kind), Asked(), progress)


def check_panes(
    opened: Opened, panes: Sequence[PaneScreen], asked: Asked, progress: Progress | None = None
) -> CheckedPanes:
    """Those panes in full. `progress` counts them and may raise to stop; the panes done by then are kept."""
    known: dict[int, FullPane] = {}
    if not asked.afresh:
        known = {at: one for at, pane in enumerate(panes) if (one := known_pane(opened, pane)) is not None}
    left = [at for at in range(len(panes)) if at not in known]
    pieces = [PanePiece(case=panes[at].case, strengths=panes[at].strengths, screen=panes[at]) for at in left]
    store, failed = GlassStore(opened.path), {}
    _told(progress, len(known), len(panes))
    with closing(spread(check_pane, pieces, asked.hands)) as news:
        for place, done in news:
            at = left[place]
            if isinstance(done, Failed):
                failed[at] = done.reason
            else:
                known[at] = done
                store.keep_pane(done)
                _PANES.put(pane_key(done.case, done.strengths), done)
            _told(progress, len(known) + len(failed), len(panes))
    return CheckedPanes(
        panes=tuple(known[at] for at in sorted(known)),
        failed=tuple((panes[at].case.kind, panes[at].case.pane, why) for at, why in sorted(failed.items())),
    )


# --- maps -------------------------------------------------------------------------------------------------------------


def worked_out_maps(opened: Opened, kind: str, progress: Progress | None = None) -> MadeMaps | None:
    """The maps of every hole of a kind of tank, where they are not known; None for a plan that was not worked out."""
    if opened.study is None:
        return None
    return make_maps(opened, drilled(opened, kind), Asked(), progress)


def make_maps(
    opened: Opened, holes: Iterable[Drilled], asked: Asked, progress: Progress | None = None
) -> MadeMaps:
    """The maps of those holes. `progress` counts places and may raise to stop; what was tried by then is kept."""
    from tankwright.systems.glass_map import map_places, why_no_map  # noqa: PLC0415 - only for maps

    room, store = opened.room, GlassStore(opened.path)
    if room is None:
        return MadeMaps(maps=())
    jobs: list[_MapJob] = []
    failed: list[str] = []
    for hole in holes:
        around, case = _around(room, hole), hole.screen.case
        why = why_no_map(case, hole.index)
        if why:
            failed.append(why)
            continue
        spots = () if asked.afresh else store.spots(_key(hole, around)) or ()
        known = {_place(spot) for spot in spots}
        left = tuple(at for at in map_places(case, around, hole.index) if _near(at) not in known)
        jobs.append(_MapJob(hole=hole, around=around, spots=spots, left=left))
    done, of = 0, sum(len(job.left) for job in jobs)
    _told(progress, 0, of)
    maps: list[HoleMap] = []
    for job in jobs:
        made = _made(store, job, asked, partial(_further, progress, done, of))
        done += len(job.left)
        maps += [made] if isinstance(made, HoleMap) else []
        failed += [made] if isinstance(made, str) else []
    return MadeMaps(maps=tuple(maps), failed=tuple(failed))


@dataclass(frozen=True, slots=True, kw_only=True)
class _MapJob:
    """A map to make: the spots that are known, the places that are left."""

    hole: Drilled
    around: HoleSurroundings
    spots: tuple[HoleSpot, ...]
    left: tuple[tuple[Metre, Metre], ...]


def _made(store: GlassStore, job: _MapJob, asked: Asked, told: Callable[[int], None]) -> HoleMap | str:
    """One map, or why there is none."""
    case, strengths, index = job.hole.screen.case, job.hole.screen.strengths, job.hole.index
    pieces = [
        SpotsPiece(
            case=case,
            strengths=strengths,
            around=job.around,
            places=job.left[at : at + AT_ONCE],
            index=index,
        )
        for at in range(0, len(job.left), AT_ONCE)
    ]
    key, found = _key(job.hole, job.around), list(job.spots)
    try:
        with closing(spread(try_places, pieces, asked.hands)) as news:
            for _, done in news:
                if isinstance(done, Failed):
                    return done.reason
                found += done
                told(len(found) - len(job.spots))
    finally:
        if len(found) > len(job.spots):
            store.keep_spots(key, tuple(found[-MOST_SPOTS:]))
    return _map_kept(key, job.hole, job.around, tuple(found))


def _map_kept(key: str, hole: Drilled, around: HoleSurroundings, spots: tuple[HoleSpot, ...]) -> HoleMap:
    from tankwright.systems.glass_map import map_of  # noqa: PLC0415 - only for maps

    case, strengths = hole.screen.case, hole.screen.strengths
    made = map_of(case, strengths, around, spots, hole.index)
    return _MAPS.put(key, made)


def _around(room: Room, hole: Drilled) -> HoleSurroundings:
    return surroundings(room, hole.screen.case, hole.index)


def _key(hole: Drilled, around: HoleSurroundings) -> str:
    return map_key(hole.screen.case, hole.screen.strengths, around, hole.index)


def _place(spot: HoleSpot) -> tuple[float, float]:
    return _near((spot.x, spot.y))


def _near(place: tuple[Metre, Metre]) -> tuple[float, float]:
    return round(place[0], 6), round(place[1], 6)


def _result(opened: Opened) -> GlassResult | None:
    return opened.study.glass if opened.study is not None else None


def _further(progress: Progress | None, before: int, of: int, done: int) -> None:
    _told(progress, before + done, of)


def _told(progress: Progress | None, done: int, of: int) -> None:
    if progress is not None:
        progress(done, of)
