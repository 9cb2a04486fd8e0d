"""How fast the oxygen of a room is worked out: it is done at every edit of a plan.

Run: python -m benchmarks.oxygen. A hall with fish in every tank, the air solved before; best of several rounds.
"""

from __future__ import annotations

import time
from collections.abc import Callable

from benchmarks.hall import hall_plan
from tankwright.checks.oxygen import check_oxygen
from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.room.model import Room
from tankwright.systems.air import solve_air
from tankwright.systems.oxygen import solve_oxygen

GOALS = {60: 0.015, 600: 0.150}
"""Tanks: seconds their oxygen may take."""


def stocked(tanks: int) -> Room:
    """A hall of so many tanks, with fish in each of them."""
    text = hall_plan(tanks)
    names = [tank.id for tank in _laid_out(text).tanks]
    rows = [
        f'[[stock]]\ntanks = "{name}"\ncount = {5 + index % 40}\neach = "0.8 g"'
        for index, name in enumerate(names)
    ]
    return _laid_out("\n".join((text, *rows)))


def _laid_out(text: str) -> Room:
    read = read_plan_text(text, "hall.toml")
    room = lay_out(read.plan).room if read.plan is not None else None
    if room is None:
        raise ValueError([finding.text for finding in read.findings])
    return room


def _best(work: Callable[[], object], rounds: int = 7) -> float:
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def run() -> None:
    """Print the table."""
    print("oxygen of a room, best of 7\ntanks   solve ms   goal ms   judge ms")
    for tanks, goal in GOALS.items():
        room = stocked(tanks)
        flows = {one.tank: one.flow for one in solve_air(room, walk_through=False).tanks}
        result = solve_oxygen(room, flows)
        solved = _best(lambda room=room, flows=flows: solve_oxygen(room, flows))  # type: ignore[misc] # bound now
        judged = _best(lambda room=room, result=result: check_oxygen(room, result))  # type: ignore[misc] # bound now
        print(f"{tanks:5d}   {solved * 1e3:8.1f}   {goal * 1e3:7.0f}   {judged * 1e3:8.1f}")


if __name__ == "__main__":
    run()
