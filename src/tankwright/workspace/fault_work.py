"""Every fault of a plan and what mends it, worked out when it is asked for, and kept by what it rests on."""

from __future__ import annotations

import os
from collections import OrderedDict
from collections.abc import Callable, Mapping
from contextlib import closing
from dataclasses import dataclass, replace
from functools import partial
from threading import Lock
from typing import Final

from tankwright.checks.all import worst_first
from tankwright.faults.judging import judge_faults, not_tried
from tankwright.faults.listing import all_faults, pairs
from tankwright.faults.model import Fault, Faults, Outcome, Tried
from tankwright.faults.noticing import gap_is_stated
from tankwright.faults.remedies import tried
from tankwright.faults.simulate import badness, outcome_of
from tankwright.faults.sweep import Crew, processes, sweep
from tankwright.study import Study
from tankwright.units import Second
from tankwright.workspace.fault_store import FaultStore, room_mark
from tankwright.workspace.opened import Opened

Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedFaults:
    """All faults of a plan, worst first, and the remedies tried on the worst of each kind (by `Outcome.kind`)."""

    faults: Faults
    tried: Mapping[str, tuple[Tried, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """How faults are to be worked out: at a stated time of day, by so many processes or a crew of another kind, with
    what mends them, without what is kept of an earlier run."""

    clock: Second | None = None
    workers: int | None = None
    crew: Crew | None = None
    remedies: bool = True
    afresh: bool = False


_KEPT: Final = 6
_WORKED: Final[OrderedDict[str, WorkedFaults]] = OrderedDict()
_LOCK: Final = Lock()


def mark_of(opened: Opened) -> str:
    """What a plan's faults depend on, in short; "" for a plan that was not worked out."""
    return "" if opened.study is None else room_mark(opened.study)


def known_faults(mark: str) -> WorkedFaults | None:
    """The faults of plans with that mark, when they were worked out before, for this or another state of a plan."""
    with _LOCK:
        if mark not in _WORKED:
            return None
        _WORKED.move_to_end(mark)
        return _WORKED[mark]


def worked_out_faults(opened: Opened, progress: Progress | None = None) -> WorkedFaults | None:
    """The faults of a plan, worked out unless they are known; None for a plan that was not worked out itself."""
    if opened.study is None:
        return None
    mark = mark_of(opened)
    worked = known_faults(mark)
    if worked is None:
        worked = work_out_faults(opened.study, Asked(), progress)
        with _LOCK:
            _WORKED[mark] = worked
            while len(_WORKED) > _KEPT:
                _WORKED.popitem(last=False)
    return worked


def faults_of(study: Study) -> tuple[Fault, ...]:
    """Everything that can break in a room, one thing at a time, then several that share a cause."""
    return (*all_faults(study), *pairs(study))


def work_out_faults(study: Study, asked: Asked, progress: Progress | None = None) -> WorkedFaults:
    """Break everything, one after the other, then try what mends the worst of each kind. `progress` counts both and
    may raise to stop it; the faults done by then are kept."""
    every = faults_of(study)
    crew = asked.crew or processes(asked.workers or os.cpu_count() or 1)
    store = FaultStore(room_mark(study), "" if asked.clock is None else f"{asked.clock:.0f}")
    groups = len({fault.name if fault.cause else fault.group for fault in every}) if asked.remedies else 0

    def told(done: int, _of: int) -> None:
        if progress is not None:
            progress(done, len(every) + groups)

    swept = sweep(
        study,
        every,
        partial(outcome_of, clock=asked.clock),
        crew=crew,
        done={} if asked.afresh else store.known(),
        keep=store.keep,
        progress=told,
    )
    faults = Faults(
        outcomes=tuple(sorted(swept.outcomes, key=badness)),
        stated_gap=gap_is_stated(study.room),
        failed=swept.failed,
    )
    mended: dict[str, tuple[Tried, ...]] = {}
    worst = tuple(_worst(every, faults).items()) if asked.remedies else ()
    found = crew(study, [fault for _, fault in worst], partial(tried, enough=True))
    with closing(found):
        for index, row in found:
            if isinstance(row, tuple):
                mended[worst[index][0]] = row
            told(len(every) + len(mended), 0)
    return WorkedFaults(faults=faults, tried=mended)


def kept_faults(study: Study) -> WorkedFaults | None:
    """All faults of this very room, when earlier runs have kept every one of them; what would mend them is not kept."""
    kept = FaultStore(room_mark(study)).known()
    names = [fault.name for fault in faults_of(study)] if kept else []
    if not names or not kept.keys() >= set(names):
        return None
    outcomes = tuple(sorted((kept[name] for name in names), key=badness))
    return WorkedFaults(faults=Faults(outcomes=outcomes, stated_gap=gap_is_stated(study.room)), tried={})


def with_faults(opened: Opened, worked: WorkedFaults | None) -> Opened:
    """A plan with what its faults mean among its findings, or, when nobody tried them, with that."""
    if opened.study is None:
        return opened
    if worked is not None:
        findings = judge_faults(opened.study.room, worked.faults, worked.tried)
    else:
        findings = (not_tried(len(faults_of(opened.study))),) if opened.study.room.tanks else ()
    return replace(opened, findings=worst_first(opened.findings + findings))


def _worst(every: tuple[Fault, ...], faults: Faults) -> dict[str, Fault]:
    """The worst fault of each kind that does harm."""
    by_name = {fault.name: fault for fault in every}
    worst: dict[str, Outcome] = {}
    for one in faults.outcomes:
        if one.first is not None:
            worst.setdefault(one.kind, one)
    return {group: by_name[one.fault] for group, one in worst.items() if one.fault in by_name}
