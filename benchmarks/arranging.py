"""What fits, beside what a person does with cardboard: how much more, how far from the bound, how long.

The cardboard way: go round the walls, set the longest rack that fits as far to the left as it goes, never in a door's
way nor where another rack can then not be walked to, and fill every shelf with the best row for it. It is given the
same places, rows and ways as the search.

Run: python -m benchmarks.arranging. Seconds are of one core.
"""

from __future__ import annotations

import os
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from tankwright.arranging.conflicts import conflict_pairs
from tankwright.arranging.ground import Ground, ground_for
from tankwright.arranging.model import Best, Effort, Prices
from tankwright.arranging.search import arrange
from tankwright.arranging.walkable import Walking
from tankwright.plan.models import Plan
from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.room.model import Room

EXAMPLES: Final = Path(__file__).parent.parent / "examples"
GOAL: Final = 20.0
"""Seconds at most for a proved best along the walls of an example's room."""

EFFORT: Final = Effort(proposals=1)
WALLS: Final = ("north", "east", "south", "west", None)

SHED: Final = """
title = "Shed"
[room.shed]
size = {{ length = "{0} m", width = "{1} m", height = "2.3 m" }}
doors = [{{ wall = "south", from_west = "30 cm", width = "80 cm", swing = "in", hinged = "west" }}]
obstacles = [{{ name = "chimney", at = ["{2} m", "0 m"], size = ["50 cm", "60 cm"] }}]
[tank_kind.long]
outside = ["90 cm", "38 cm", "38 cm"]
glass = {{ sides = "6 mm", base = "8 mm", temper = "annealed" }}
[tank_kind.mid]
outside = ["60 cm", "30 cm", "32 cm"]
glass = {{ sides = "6 mm", base = "6 mm", temper = "annealed" }}
[tank_kind.cube]
outside = ["30 cm", "30 cm", "30 cm"]
glass = {{ sides = "5 mm", base = "5 mm", temper = "annealed" }}
[rack_kind.wide]
length = "190 cm"
depth = "45 cm"
shelves = ["20 cm", "80 cm", "140 cm"]
height = "180 cm"
[rack_kind.narrow]
length = "125 cm"
depth = "40 cm"
shelves = ["20 cm", "80 cm", "140 cm"]
height = "180 cm"
[wish]
best = "{3}"
islands = {4}
"""
ROOMS: Final = (
    (3.1, 2.4, 2.6),
    (3.9, 2.7, 3.4),
    (4.4, 3.1, 2.2),
    (4.9, 2.9, 4.4),
    (5.6, 3.8, 3.0),
    (6.3, 3.3, 5.8),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Line:
    name: str
    best: Best
    by_hand: float
    found: float
    bound: float
    proved: bool
    seconds: float


def run() -> int:
    """Print the table; how many goals were missed is told at the end."""
    print(f"what fits (load of the machine {os.getloadavg()[0]:.1f})")
    print("room                 sought   by hand    found    bound  proved    more   seconds")
    missed, gains = 0, []
    for name, text, best, must in _jobs():
        line = _line(name, text, best)
        gains.append(line.found / line.by_hand)
        missed += line.found < line.by_hand * (1 - 1e-6) or (
            must and (not line.proved or line.seconds > GOAL)
        )
        print(
            f"{line.name:20} {line.best:8} {line.by_hand:8.1f} {line.found:8.1f} {line.bound:8.1f}  "
            f"{'yes' if line.proved else 'no':6} {line.found / line.by_hand - 1:6.0%}  {line.seconds:8.1f}"
        )
    print(
        f"more than by hand: {min(gains) - 1:.0%} at the least, {sum(gains) / len(gains) - 1:.0%} in the mean"
    )
    print("what fits: all goals met" if not missed else f"what fits: {missed} goals missed")
    return 1 if missed else 0


def _jobs() -> list[tuple[str, str, Best, bool]]:
    jobs: list[tuple[str, str, Best, bool]] = []
    sought: tuple[Best, ...] = ("tanks", "litres")
    for name in ("cellar_mended", "garage"):
        text = (EXAMPLES / f"{name}.toml").read_text(encoding="utf-8")
        jobs += [(name, _wishing(text, best), best, True) for best in sought]
    for size in ROOMS:
        name = f"shed {size[0]} x {size[1]}"
        jobs += [(name, SHED.format(*size, best, "false"), best, True) for best in sought]
    for size in ROOMS[1::2]:
        name = f"shed {size[0]} x {size[1]}, free"
        jobs.append((name, SHED.format(*size, "litres", "true"), "litres", False))
    return jobs


def _wishing(text: str, best: Best) -> str:
    before = text.split("[wish]", maxsplit=1)[0]
    return f'{before}\n[wish]\nbest = "{best}"\n'


def _line(name: str, text: str, best: Best) -> _Line:
    plan, room = _opened(text)
    start = time.process_time()
    found = arrange(plan, room, text, effort=EFFORT)
    seconds = time.process_time() - start
    ground = ground_for(plan, room, room.spaces[0], Prices(), EFFORT, lambda: None)
    factor = 1000.0 if best == "litres" else 1.0
    value = found.proposals[0].value(best) if found.proposals else 0.0
    bound = value if found.bound is None else found.bound
    return _Line(
        name=name, best=best, by_hand=by_hand(ground, best) * factor, found=value * factor, bound=bound * factor,
        proved=found.proved, seconds=seconds,
    )  # fmt: skip


def _opened(text: str) -> tuple[Plan, Room]:
    plan = read_plan_text(text, "plan.toml").plan
    assert plan is not None
    room = lay_out(plan).room
    assert room is not None
    return plan, room


def by_hand(ground: Ground, best: Best) -> float:
    """What the cardboard way comes to: tanks, or water in m3."""
    never = conflict_pairs(ground.places)
    walking = Walking(space=ground.space, kept=ground.kept, way=ground.floor.aisle, places=ground.places)
    rows = {place: one.rows for one in ground.classes for place in one.places}
    chosen: list[int] = []
    longest_first = sorted({-(_long(ground, place)) for place in rows})
    for wall in WALLS:
        for long in longest_first:
            here = [
                place for place in rows if ground.places[place].wall == wall and -_long(ground, place) == long
            ]
            for place in sorted(here, key=lambda one: (ground.places[one].along or 0.0, one)):
                if any((min(place, other), max(place, other)) in never for other in chosen):
                    continue
                if not walking.openings([*chosen, place]):
                    chosen.append(place)
    worth = 0.0
    for place in chosen:
        for shelf in rows[place]:
            worth += max(float(len(row.tanks)) if best == "tanks" else row.water for row in shelf)
    return worth


def _long(ground: Ground, place: int) -> float:
    box = ground.places[place].box
    return round(max(box.x1 - box.x0, box.y1 - box.y0), 3)


if __name__ == "__main__":
    run()
