"""The wet test worked out when it is asked for: what should come with its band, and what the readings say of the values
assumed. Both are kept by what they rest on, so a page that is opened again finds them."""

from __future__ import annotations

import hashlib
from collections import OrderedDict
from collections.abc import Callable, Mapping
from threading import Lock
from typing import Final, TypeVar

from tankwright.building.point import TestPoint
from tankwright.building.points import expected_points
from tankwright.workspace.disk import utcnow
from tankwright.workspace.measured_work import Measured, take_through
from tankwright.workspace.opened import Opened
from tankwright.workspace.readings_book import ReadingsBook, StoredReading
from tankwright.workspace.readings_text import filled_sheet

Progress = Callable[[int, int], None]
Points = tuple[TestPoint, ...]
Made = TypeVar("Made")

_KEPT: Final = 4
_POINTS: Final[OrderedDict[str, Points]] = OrderedDict()
_FITS: Final[OrderedDict[str, Measured]] = OrderedDict()
_LOCK: Final = Lock()


def mark_of(opened: Opened) -> str:
    """What the test points of a plan rest on, in short."""
    text = opened.read.text if opened.read is not None else ""
    return hashlib.sha256(text.encode("utf-8", "replace")).hexdigest()


def fit_mark(opened: Opened, standing: Mapping[str, StoredReading]) -> str:
    """What a fit rests on: the plan, and the readings that count."""
    told = hashlib.sha256(mark_of(opened).encode())
    for one in sorted(standing.values(), key=lambda one: one.id):
        told.update(f"\0{one.id}\0{one.point}\0{one.value!r}".encode("utf-8", "replace"))
    return told.hexdigest()


def known_points(mark: str) -> Points | None:
    """The test points of plans with that mark, with their bands, when they were worked out before."""
    return _known(_POINTS, mark)


def known_fit(mark: str) -> Measured | None:
    """The fit with that mark, when it was worked out before."""
    return _known(_FITS, mark)


def worked_out_points(opened: Opened, progress: Progress) -> Points | None:
    """The test points of a plan with their bands; None for a plan that was not worked out itself."""
    if opened.study is None or opened.plan is None:
        return None
    progress(0, 1)
    mark = mark_of(opened)
    return known_points(mark) or _kept(_POINTS, mark, expected_points(opened.study, opened.plan))


def worked_out_fit(opened: Opened, progress: Progress) -> Measured | None:
    """What the readings beside a plan say of what it assumes; None for a plan that was not worked out itself."""
    if opened.study is None or opened.plan is None:
        return None
    progress(0, 1)
    standing = ReadingsBook(opened.path).standing()
    mark = fit_mark(opened, standing)
    days = [one.happened for one in standing.values()] or [utcnow()]
    sheet = filled_sheet(expected_points(opened.study), standing)
    return known_fit(mark) or _kept(
        _FITS, mark, take_through(opened, sheet, max(days).astimezone().date(), progress)
    )


def _known(store: OrderedDict[str, Made], mark: str) -> Made | None:
    with _LOCK:
        if mark not in store:
            return None
        store.move_to_end(mark)
        return store[mark]


def _kept(store: OrderedDict[str, Made], mark: str, made: Made) -> Made:
    with _LOCK:
        store[mark] = made
        while len(store) > _KEPT:
            store.popitem(last=False)
    return made
