"""Quick stand-ins for working a fault out. In a module of their own, so that other processes find them by name."""

from __future__ import annotations

import os
import signal
import time
import zlib
from multiprocessing import parent_process
from pathlib import Path

from tankwright.faults.model import Fault, Harm, Outcome
from tankwright.study import Study


def quick(study: Study, fault: Fault) -> Outcome:
    """An outcome that hangs on nothing but the room and the fault."""
    time_of_harm = zlib.crc32(fault.name.encode()) / 7.0
    harm = Harm(time=time_of_harm, kind="cold", where="A1", earliest=0.1, latest=float("inf"), value=1 / 3)
    return Outcome(
        fault=fault.name, group=fault.group, clock=0.0, season="usual", first=harm, seen=3600.0, told="",
        gap=7200.0, absence=None, floor=0.1, floor_absence=0.3, depth=0.0, finite=True, tanks=("A1",),
        tanks_absence=(), fish=float(len(study.room.tanks)), tank_times=(("A1", time_of_harm),),
        not_computed=(("warmth", "left out here"),),
    )  # fmt: skip


def noted(study: Study, fault: Fault, *, into: str, lasts: float = 0.0) -> Outcome:
    """Write the fault's name into a file before it is worked out."""
    with Path(into).open("a", encoding="utf-8") as file:
        file.write(fault.name + "\n")
    time.sleep(lasts)
    return quick(study, fault)


def weak(study: Study, fault: Fault, *, at: str) -> Outcome:
    """Fail at one fault."""
    if fault.name == at:
        raise ValueError(f"no root for {at}")
    return quick(study, fault)


def deadly(study: Study, fault: Fault, *, at: str, once: str = "") -> Outcome:
    """Die at one fault, in another process only; with `once` (a file that is made then) not again."""
    if fault.name == at and parent_process() is not None and not (once and Path(once).exists()):
        if once:
            Path(once).touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return quick(study, fault)
