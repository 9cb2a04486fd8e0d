"""Years that were worked out, kept by what they depend on: an edit that warmth does not feel throws none away."""

from __future__ import annotations

from collections import OrderedDict
from threading import Lock
from typing import Final

from tankwright.systems.heat_year_model import YearResult
from tankwright.workspace.opened import Opened
from tankwright.year import Progress, daily_inflow, fingerprint, year_of

_KEPT: Final = 12
_YEARS: Final[OrderedDict[str, YearResult]] = OrderedDict()
_LOCK: Final = Lock()


def mark_of(opened: Opened) -> str:
    """What a plan's year depends on, in short; "" for a plan that was not worked out."""
    study = opened.study
    return "" if study is None else fingerprint(study.room, daily_inflow(study.feed), study.weather)


def known_year(mark: str) -> YearResult | None:
    """The year of plans with that mark, when it was worked out before, for this or for another state of a plan."""
    with _LOCK:
        if mark not in _YEARS:
            return None
        _YEARS.move_to_end(mark)
        return _YEARS[mark]


def worked_out_year(opened: Opened, progress: Progress | None = None) -> YearResult | None:
    """The year of a plan, worked out unless it is known; None for a plan that was not worked out itself."""
    if opened.study is None:
        return None
    mark = mark_of(opened)
    year = known_year(mark)
    if year is None:
        year = year_of(opened.study, progress=progress)
        with _LOCK:
            _YEARS[mark] = year
            while len(_YEARS) > _KEPT:
                _YEARS.popitem(last=False)
    return year
