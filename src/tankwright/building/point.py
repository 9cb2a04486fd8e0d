"""What can be measured in the built room, and what was read there. Frozen, SI numbers."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from tankwright.units import Metre

Kind = Literal[
    "level", "drip", "air", "spare air", "pump pressure", "ring pressure", "feed pressure", "drain time", "depth",
    "fall", "rise", "trip",
]  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Measurable:
    """One quantity of a worked-out room that somebody can measure: its id, its value, and where it belongs.

    `value` is in SI units of `dimension`. `least` and `most` are what nature allows: a reading beyond them is a slip of
    the pen. `tolerance` is how far a reading may lie from the truth by the instrument and by how alike parts are
    made, both at about 95 %. `run` is the ring, feed or drain it belongs to, `node` its node there.
    """

    id: str
    kind: Kind
    value: float
    dimension: str
    tolerance: float
    least: float
    most: float
    run: str = ""
    node: str = ""
    tank: str = ""
    place: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TestPoint:
    """One line of the test sheet, made before anything is read.

    `band` is where the expected value may lie by what the plan only assumes, None where that was not worked out.
    `unit` is the one to write readings in. `when` is the hold point of the build, `needs` what must be in force.
    `ceiling`: the expected value is the most allowed. `along` is the way of pipe from the run's beginning; `beside` how
    far along its rack's front, seen by its owner, a tank's middle stands.
    """

    __test__ = False  # the name is the trade's, not a test's

    id: str
    kind: Kind
    what: str
    how: tuple[str, ...]
    value: float
    dimension: str
    band: tuple[float, float] | None
    tolerance: float
    least: float
    most: float
    unit: str
    when: str
    needs: str
    caution: str = ""
    source: str = ""
    ceiling: bool = False
    places: tuple[str, ...] = ()
    rests_on: tuple[str, ...] = ()
    run: str = ""
    tank: str = ""
    rack: str = ""
    along: Metre | None = None
    beside: Metre | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What somebody read at a point: SI value, the unit it was told in, and the line it stands on."""

    point: str
    value: float
    unit: str
    line: int
    on: date | None = None
    who: str = ""
    note: str = ""
