"""Sweeps some faults with two processes and keeps them, until it is killed. Run by test_fault_store.py."""

from __future__ import annotations

import sys
from functools import partial
from pathlib import Path

from tankwright.faults.listing import all_faults
from tankwright.faults.sweep import processes, sweep
from tankwright.workspace.fault_store import FaultStore
from tankwright.workspace.opened import open_plan

# found by its bare name, by other processes too
sys.path.append(str(Path(__file__).parent.parent / "faults"))
from sweep_stand_ins import noted

HERE = Path(__file__).parent


def main(folder: Path, asked: str, count: int) -> None:
    study = open_plan(HERE.parent.parent / "examples" / "garage.toml").study
    assert study is not None
    store = FaultStore("a room", folder=folder)
    run = partial(noted, into=asked, lasts=0.05)
    sweep(study, all_faults(study)[:count], run, crew=processes(2), done=store.known(), keep=store.keep)


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2], int(sys.argv[3]))
