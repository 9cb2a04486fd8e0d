"""How fast faults are followed: beside a fixed step of the same accuracy, as a room grows, and all of a room at once.

Run: python -m benchmarks.faults. Ratios within one run count, not seconds. What runs on one core is
counted in seconds of that core, what runs in two processes by the clock.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Final

import numpy as np

from benchmarks.hall import hall_plan
from tankwright.faults.breaking import broken_room
from tankwright.faults.listing import all_faults, find_fault
from tankwright.faults.model import Array, Fault, Setting
from tankwright.faults.simulate import outcome_of
from tankwright.faults.sweep import one_core, processes, sweep
from tankwright.faults.water import water_course
from tankwright.faults.water_laws import added
from tankwright.faults.water_routine import levels_at
from tankwright.faults.water_supply import supplies_of
from tankwright.faults.water_ways import Vessels
from tankwright.room.model import Room
from tankwright.study import Study
from tankwright.workspace.opened import open_plan, open_text

EXAMPLE: Final = Path(__file__).parent.parent / "examples" / "cellar.toml"
HALF_A_DAY: Final = 43_200.0
AGREED: Final = 1e-4
"""Share by which spill time and litres of the fixed step may differ from ours."""

EARLY: Final = 300.0
"""Seconds after the beginning at which the levels of all tanks are compared: they are on their way over the lip."""

LEVELS_AGREED: Final = 1e-9

SIZES: Final = (10, 40, 160, 600)
ONE_GOAL, ALL_GOAL, HALL_GOAL = 0.5, 60.0, 1800.0
"""Seconds at most: one fault, all of the cellar on two cores, all of a hall of 600."""


def run() -> int:
    """Print the tables; how many goals were missed is told at the end."""
    print(f"faults (load of the machine {os.getloadavg()[0]:.1f})")
    missed = _beside_a_fixed_step() + _growth() + _all_of_the_cellar()
    print("faults: all goals met" if not missed else f"faults: {missed} goals missed")
    return 1 if missed else 0


# --- beside a fixed step ----------------------------------------------------------------------------------------


def _beside_a_fixed_step() -> int:
    study = _studied(open_plan(EXAMPLE).study)
    tank, feed = study.room.tanks[0].id, next(one.id for one in study.room.feeds if one.programs)
    parts = [
        part
        for name in (f"overflow of {tank} blocked", f"feed {feed} stuck open")
        for part in find_fault(all_faults(study), name).broken
    ]
    ill = broken_room(study.room, tuple(parts))
    clocks = iter(range(100))

    def ours() -> tuple[float, float, Array]:
        """At another second of the day each time: nothing is kept from the last."""
        setting = Setting(clock=HALF_A_DAY + next(clocks), horizon=HALF_A_DAY)
        course = water_course(study, ill, setting)
        spill = next(one.time for one in course.events if one.what == "spill begins" and one.where == tank)
        soon = np.array([np.interp(EARLY, course.times, one) for one in course.level.T])
        return spill, float(course.spilled[-1, 0]), soon

    found = ours()
    mine = _best(ours, 5)
    print("one blocked overflow with the valve stuck, cellar, half a day")
    print("fixed step s    spill off   litres off   levels off m      took s    ours s   ratio")
    for step in (20.0, 10.0, 5.0, 2.5, 1.0, 0.5):
        began = time.process_time()
        theirs = _fixed_step(study, ill, step)
        took = time.process_time() - began
        off = [abs(a / b - 1.0) for a, b in zip(theirs[:2], found[:2], strict=True)]
        level = float(np.abs(theirs[2] - found[2]).max())
        print(
            f"{step:12.1f}   {off[0]:10.1e}   {off[1]:10.1e}   {level:11.1e}   {took:9.2f}   {mine:7.4f}"
            f"   {took / mine:5.0f}"
        )
        if max(off) < AGREED and level < LEVELS_AGREED:
            return 0
    return 1


def _fixed_step(study: Study, room: Room, step: float) -> tuple[float, float, Array]:
    """All tanks by the classic fourth-order method: when the first spills, what it has spilled, early levels."""
    setting = Setting(clock=HALF_A_DAY, horizon=HALF_A_DAY)
    ill = replace(study.room, broken=room.broken)
    vessels = Vessels(study=study, room=ill).all()
    laws = [added([sink.law for sink in one.sinks], one.bottom, one.tank.rim) for one in vessels]
    supplies = supplies_of(study, ill, setting, None)
    edges, fed = supplies.edges, supplies.fed()
    area = np.array([one.area for one in vessels])
    rim = np.array([one.tank.rim for one in vessels])

    def rise(level: Array, coming: Array) -> Array:
        return (
            coming - np.array([float(law.flow(one)) for law, one in zip(laws, level, strict=True)])
        ) / area

    level = soon = np.array(levels_at(study, HALF_A_DAY))
    now, spilled, begins = 0.0, 0.0, np.inf
    while now < HALF_A_DAY - 1e-9:
        part = min(int(np.searchsorted(edges, now + 1e-9, side="right")) - 1, len(fed) - 1)
        gap = min(step, float(edges[part + 1]) - now)
        a = rise(level, fed[part])
        b = rise(level + 0.5 * gap * a, fed[part])
        c = rise(level + 0.5 * gap * b, fed[part])
        d = rise(level + gap * c, fed[part])
        after = level + gap / 6.0 * (a + 2.0 * b + 2.0 * c + d)
        over = float(max(after[0] - rim[0], 0.0) * area[0])
        if over > 0.0 and np.isinf(begins):
            begins = now + gap * float((rim[0] - level[0]) / (after[0] - level[0]))
        spilled += over
        level, now = np.minimum(after, rim), now + gap
        if abs(now - EARLY) < 1e-6:
            soon = level
    return begins, spilled, soon


# --- as a room grows, and all at once ---------------------------------------------------------------------------


def _growth() -> int:
    print("tanks   faults   one of each kind, s   mean s   longest s   all on one core, s, estimated")
    missed = 0
    for tanks in SIZES:
        study = _studied(open_text(Path("hall.toml"), hall_plan(tanks)).study)
        faults = all_faults(study)
        kinds: dict[str, list[Fault]] = {}
        for one in faults:
            kinds.setdefault(one.group, []).append(one)
        middle = {group: here[len(here) // 2] for group, here in kinds.items()}
        for one in middle.values():  # what is worked out once for all
            if one.group in ("overflow blocked", "feed off its fitting"):
                outcome_of(study, one)
        took = {group: _best(partial(outcome_of, study, one), 1) for group, one in middle.items()}
        whole = sum(took[group] * len(here) for group, here in kinds.items())
        print(
            f"{tanks:5d}   {len(faults):6d}   {sum(took.values()):19.2f}   {whole / len(faults):6.3f}"
            f"   {max(took.values()):9.2f}   {whole:8.0f}"
        )
        missed += tanks == SIZES[-1] and whole > HALL_GOAL * 2.0
    return missed


def _all_of_the_cellar() -> int:
    study = _studied(open_plan(EXAMPLE).study)
    faults = all_faults(study)
    times = {}
    for workers in (1, 2):
        crew = one_core if workers == 1 else processes(workers)
        began = time.perf_counter()
        sweep(study, faults, outcome_of, crew=crew)
        times[workers] = time.perf_counter() - began
    mean = times[1] / len(faults)
    print(
        f"all {len(faults)} of the cellar: {times[1]:.1f} s on one core, {mean:.3f} s each (at most {ONE_GOAL})"
    )
    print(
        f"  with two processes {times[2]:.1f} s (at most {ALL_GOAL:.0f}), {times[1] / times[2]:.2f} times as fast"
    )
    return int(times[2] > ALL_GOAL) + int(mean > ONE_GOAL)


def _studied(study: Study | None) -> Study:
    if study is None:
        raise ValueError("a plan without a study")
    return study


def _best(work: Callable[[], object], rounds: int) -> float:
    took = []
    for _ in range(rounds):
        began = time.process_time()
        work()
        took.append(time.process_time() - began)
    return min(took)


if __name__ == "__main__":
    raise SystemExit(run())
