"""The example rooms laid out and not worked out, and courses of water made by hand."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np

from tankwright.faults.model import WaterCourse
from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.room.model import Room
from tankwright.study import Study

EXAMPLES = Path(__file__).parent.parent.parent / "examples"


@cache
def example(name: str) -> Room:
    """The room of an example plan."""
    read = read_plan_text((EXAMPLES / f"{name}.toml").read_text("utf-8"), f"{name}.toml")
    assert read.plan is not None
    return lay_out(read.plan).room


@cache
def studied(name: str) -> Study:
    """A study of it in which no system was run: enough to list what can break."""
    return Study(room=example(name))


def course(
    room: Room,
    times: list[float],
    *,
    floor: dict[str, list[float]] | None = None,
    spilled: dict[str, list[float]] | None = None,
    **more: object,
) -> WaterCourse:
    """A course in which water lies on floors or left tanks as said, m3, and nothing else moves."""
    tanks, spaces = tuple(tank.id for tank in room.tanks), tuple(space.id for space in room.spaces)
    rows = len(times)

    def table(names: tuple[str, ...], said: dict[str, list[float]] | None) -> np.ndarray:
        made = np.zeros((rows, len(names)))
        for name, values in (said or {}).items():
            made[:, names.index(name)] = values
        return made

    arguments: dict[str, object] = {
        "times": np.array(times), "tanks": tanks, "spaces": spaces, "outfalls": (), "vats_named": (),
        "drains_named": (), "sources": (), "level": np.tile([tank.level for tank in room.tanks], (rows, 1)),
        "volume": np.tile([tank.water_volume for tank in room.tanks], (rows, 1)), "by_feed": {},
        "hand": np.zeros((rows - 1, len(tanks))), "floor": table(spaces, floor),
        "spilled": table(tanks, spilled), "gone": np.zeros((rows, 0)), "vats": np.zeros((rows, 0)),
        "drains": np.zeros((rows, 0)), "came": np.zeros((rows, 0)), "backwards": np.zeros((rows, 0)),
    }  # fmt: skip
    return WaterCourse(**{**arguments, **more})  # type: ignore[arg-type]
