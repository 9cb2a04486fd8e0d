"""The whole check as a user feels it: fresh process, and growth of time and memory with the number of tanks."""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path

from benchmarks.hall import hall_plan

CHILD = """
import sys, time
from pathlib import Path
start = time.perf_counter()
from tankwright.workspace.opened import open_plan
loaded = time.perf_counter()
opened = open_plan(Path(sys.argv[1]))
done = time.perf_counter()
opened.consequences()
ranked = time.perf_counter()
peak = next(int(row.split()[1]) / 1024 for row in open("/proc/self/status") if row.startswith("VmHWM"))
print(loaded - start, done - loaded, ranked - done, peak, len(opened.room.tanks))
"""


def _fresh(plan: Path) -> list[float]:
    shown = subprocess.run(
        [sys.executable, "-c", CHILD, str(plan)], capture_output=True, text=True, check=True
    )
    return [float(number) for number in shown.stdout.split()]


def _command(plan: Path) -> float:
    start = time.perf_counter()
    subprocess.run([sys.executable, "-m", "tankwright", "check", str(plan)], capture_output=True, check=False)
    return time.perf_counter() - start


def _median(values: list[float]) -> float:
    return sorted(values)[len(values) // 2]


def run() -> None:
    """Print the tables."""
    root = Path(__file__).parent.parent
    print("tankwright check in a fresh process, median of 5 (goal: demo 1 s, 600-tank hall 5 s)")
    for name in ("cellar", "cellar_mended", "garage", "hall"):
        plan = root / "examples" / f"{name}.toml"
        print(f"  {name:<14} {_median([_command(plan) for _ in range(5)]):6.2f} s")
    print("\ntanks   imports s   read + work out s   assumptions s   peak MB   ms a tank")
    for tanks in (40, 400, 2000):
        with tempfile.TemporaryDirectory() as folder:
            plan = Path(folder) / "hall.toml"
            plan.write_text(hall_plan(tanks), encoding="utf-8")
            loaded, worked, ranked, peak, count = _fresh(plan)
        row = f"{count:5.0f}   {loaded:9.2f}   {worked:17.2f}   {ranked:13.2f}   {peak:7.0f}"
        print(f"{row}   {worked / count * 1e3:9.2f}")


if __name__ == "__main__":
    run()
