"""How fast a year of a room is worked out: the cellar hour by hour, every five minutes, with all measures, and a hall.

Run: python -m benchmarks.year. The laid-out room is there and the loop compiled; the integrator beside it, on the same
equations, is timed in `benchmarks.heat`. Best of several rounds.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Final

from benchmarks.hall import hall_plan
from tankwright.study import Study
from tankwright.systems.heat_build import build_spaces
from tankwright.systems.heat_year import room_year
from tankwright.thermal.engine import compiled_steps
from tankwright.workspace.opened import open_plan, open_text
from tankwright.year import daily_inflow, fingerprint, year_of

EXAMPLE: Final = Path(__file__).parent.parent / "examples" / "cellar_mended.toml"
CLIMATE: Final = """
[climate]
weather = "Greensboro"
energy_price = 0.3

[climate.room.hall]
heat_to = "24 °C"
heater = { power = "40 kW" }
"""
GOALS: Final = {"cellar, hourly": 0.5, "cellar, five minutes": 2.0, "hall of 600, hourly": 5.0}
"""Seconds at most, as the issue has them."""


def run() -> int:
    """Print the table; how many goals were missed is told at the end."""
    compiled_steps()
    cellar, hall = _study(open_plan(EXAMPLE).study), _study(open_text(Path("hall.toml"), _hall()).study)
    rows: list[tuple[str, Study, Callable[[Study], object], int]] = [
        ("cellar, hourly", cellar, _year, 5),
        ("cellar, five minutes", cellar, lambda study: _year(study, fine=True), 3),
        ("hall of 600, hourly", hall, _year, 3),
        ("cellar, all measures", cellar, year_of, 1),
        ("hall, all measures", hall, year_of, 1),
        ("hall, known again", hall, _mark, 3),
    ]
    print("year: of a plan, s              ours   at most   vessels")
    missed = 0
    for name, study, work, rounds in rows:
        took, goal = _best(lambda w=work, s=study: w(s), rounds), GOALS.get(name)
        missed += goal is not None and took > goal
        print(f"  {name:<26} {took:>8.3f} {goal if goal is not None else '':>9} {_vessels(study):>9}")
    print("year: all goals met" if not missed else f"year: {missed} goals missed")
    return 1 if missed else 0


def _hall() -> str:
    return hall_plan(600) + CLIMATE


def _study(study: Study | None) -> Study:
    if study is None or study.weather is None:
        raise ValueError("a plan without a year")
    return study


def _year(study: Study, *, fine: bool = False) -> object:
    assert study.weather is not None
    return room_year(study.room, study.weather, daily_inflow(study.feed), fine=fine)


def _mark(study: Study) -> object:
    return fingerprint(study.room, daily_inflow(study.feed), study.weather)


def _vessels(study: Study) -> int:
    assert study.weather is not None
    return sum(len(one.groups) for one in build_spaces(study.room, study.weather, daily_inflow(study.feed)))


def _best(work: Callable[[], object], rounds: int) -> float:
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


if __name__ == "__main__":
    sys.exit(run())
