"""The test points of a room as sheets one walks with: by hold point, kind and rack, and each point in words."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final
from urllib.parse import quote

from tankwright.building.comparing import Comparison, Outcome, compare
from tankwright.building.how_to_measure import WAYS
from tankwright.building.point import Kind, TestPoint
from tankwright.building.points import expected_points
from tankwright.building.readings import in_unit
from tankwright.display import figures
from tankwright.drawing.fronts import walking_order
from tankwright.room.model import Room
from tankwright.web.page import View
from tankwright.web.texts import N_
from tankwright.workspace.proof_work import known_points, mark_of
from tankwright.workspace.readings_book import ReadingsBook, StoredReading

MOST: Final = 24
"""Points on one sheet: a phone takes it over a thin line, and a wall of a hall is walked in parts."""
UPLOAD, WRITE, BACK = "upload", "write", "take-back"
"""Where the errors of the page's forms stand."""
_TOGETHER: Final = 12
"""Points of one kind that are no more stand on one sheet, whatever their racks."""

TITLES: Final[Mapping[Kind, str]] = {
    "level": N_("Water levels"), "drip": N_("Fresh water"), "air": N_("Air"), "spare air": N_("Spare taps"),
    "pump pressure": N_("Pressure at pumps"), "ring pressure": N_("Pressure of rings"),
    "feed pressure": N_("Pressure of feeds"), "drain time": N_("Overflows clear"), "depth": N_("Depth in drains"),
    "fall": N_("Falls of drains"), "rise": N_("Warmth"), "trip": N_("Residual current devices"),
}  # fmt: skip
_HOLDS: Final = tuple(dict.fromkeys(WAYS[kind].when for kind in ("fall", "trip", *WAYS)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """Points measured alike at one place: `when` is their hold point, `where` their rack or ""."""

    name: str
    kind: Kind
    when: str
    where: str
    points: tuple[TestPoint, ...]

    @property
    def title(self) -> str:
        """What is measured, in two words."""
        return TITLES[self.kind]

    @property
    def path(self) -> str:
        """Its address."""
        return sheet_path(self.name)


def sheet_path(name: str, point: str = "") -> str:
    """The address of a sheet, open at one of its points.

    >>> sheet_path("level A"), sheet_path("level A", "A3.level")
    ('/proof/level%20A', '/proof/level%20A?kind=A3.level')
    """
    path = f"/proof/{quote(name, safe='').replace('%2F', '%252F')}"
    return f"{path}?kind={quote(point, safe='')}" if point else path


def sheets_of(room: Room, points: Iterable[TestPoint]) -> tuple[Sheet, ...]:
    """Every sheet in the order of the build, and within a hold point as one walks."""
    order = {rack.id: number for number, rack in enumerate(walking_order(room))}
    stands = {tank.id: number for number, tank in enumerate(room.tanks)}
    by_kind: dict[Kind, list[TestPoint]] = {}
    for point in points:
        by_kind.setdefault(point.kind, []).append(point)
    made: list[Sheet] = []
    for kind, mine in by_kind.items():
        mine.sort(key=lambda one: (order.get(one.rack, -1), stands.get(one.tank, -1)))
        racks = list(dict.fromkeys(one.rack for one in mine)) if len(mine) > _TOGETHER else [""]
        for rack in racks:
            here = [one for one in mine if one.rack == rack] if len(racks) > 1 else mine
            for at in range(0, len(here), MOST):
                part = f" part {at // MOST + 1}" if len(here) > MOST else ""
                name = f"{kind} {rack}".strip() + part
                made.append(
                    Sheet(
                        name=name,
                        kind=kind,
                        when=here[0].when,
                        where=rack,
                        points=tuple(here[at : at + MOST]),
                    )
                )
    return tuple(sorted(made, key=lambda one: _HOLDS.index(one.when)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """The wet test as it stands: its sheets, what counts at each point, and every point beside what was expected.
    `banded` is True where the expected values have the bands of what the plan assumes."""

    points: tuple[TestPoint, ...]
    sheets: tuple[Sheet, ...]
    standing: Mapping[str, StoredReading]
    comparisons: tuple[Comparison, ...]
    banded: bool

    @property
    def read(self) -> int:
        """How many points were read."""
        return sum(one.reading is not None for one in self.comparisons)

    @property
    def off(self) -> tuple[Comparison, ...]:
        """Those beyond their tolerance and beyond what the plan assumes."""
        return tuple(one for one in self.comparisons if is_off(one))

    @property
    def unknown(self) -> int:
        """Readings of points the plan does not have any more."""
        return len(self.standing) - self.read


def is_off(one: Comparison) -> bool:
    """True for a reading that what the plan assumes does not explain."""
    return one.outcome in (Outcome.LOW, Outcome.HIGH) and not one.assumed


def proof_of(view: View) -> Proof | None:
    """The wet test of the last good plan; None without one."""
    good = view.snapshot.good
    if good is None or good.room is None or good.study is None:
        return None
    banded = known_points(view.made_once.keep(view.snapshot, "proof mark", mark_of) or "")
    room, study = good.room, good.study
    points = (
        banded or view.made_once.keep(view.snapshot, "test points", lambda _: expected_points(study)) or ()
    )
    sheets = view.made_once.keep(
        view.snapshot, ("test sheets", banded is not None), lambda _: sheets_of(room, points)
    )
    standing = ReadingsBook(view.live.path).standing()
    known = {point.id for point in points}
    readings = [one.reading() for name, one in standing.items() if name in known]
    return Proof(
        points=points, sheets=sheets or (), standing=standing, comparisons=compare(points, readings),
        banded=banded is not None,
    )  # fmt: skip


# --- one point in the unit of its instrument -------------------------------------------------------------------------


def told(point: TestPoint, value: float) -> str:
    """A value of a point in the unit of its sheet: "34 mL/min"."""
    return f"{number_told(point, value)} {point.unit}"


def number_told(point: TestPoint, value: float) -> str:
    """The same without its unit, as finely as its instrument shows."""
    return as_fine(in_unit(value, point.dimension, point.unit), step_of(point))


def step_of(point: TestPoint) -> float:
    """What + and − move a reading by: about a quarter of its tolerance, one, two or five of a place."""
    finest = max(point.tolerance / 4.0, abs(point.value) / 200.0, 1e-12)
    wanted = abs(in_unit(finest, point.dimension, point.unit))
    decade = 10.0 ** math.floor(math.log10(wanted) + 1e-9)
    return next(
        (times * decade for times in (1.0, 2.0, 5.0) if times * decade >= wanted * 0.999), 10.0 * decade
    )


def as_fine(value: float, step: float) -> str:
    """A number with the places of a step.

    >>> as_fine(33.96, 1.0), as_fine(1.8042, 0.05), as_fine(4738.8, 10.0), as_fine(-0.001, 0.1)
    ('34', '1.80', '4740', '0.0')
    """
    places = max(0, -math.floor(math.log10(step) + 1e-9))
    if step >= 1.0:
        value = round(value / 10.0 ** math.floor(math.log10(step))) * 10.0 ** math.floor(math.log10(step))
    text = f"{value:.{places}f}"
    return text[1:] if text.startswith("-") and not float(text) else text.replace("-", "−")


def expected_words(point: TestPoint) -> str:
    """What should come and how far off it may be."""
    if point.ceiling:
        return f"at most {told(point, point.value)}"
    return f"{told(point, point.value)} ± {number_told(point, point.tolerance)}"


def band_words(point: TestPoint) -> str:
    """Where it may lie by what the plan only assumes; "" where that is not known or nothing."""
    if point.band is None or point.ceiling:
        return ""
    low, high = (number_told(point, one) for one in point.band)
    return "" if low == high else f"{low} to {high} {point.unit}"


def verdict_words(one: Comparison) -> str:
    """Within, or high or low by how much, in the unit of the sheet."""
    if one.outcome is Outcome.WITHIN or one.outcome is Outcome.NOT_READ:
        return one.outcome.value
    by = abs(in_unit(abs(one.difference), one.point.dimension, one.point.unit))
    said = said_off(one.point)[one.outcome is Outcome.LOW]
    return said.replace("#", f"{as_fine(by, step_of(one.point))} {one.point.unit}")


def said_off(point: TestPoint) -> tuple[str, str]:
    """How a number that is high and one that is low are told, "#" standing for by how much. A high number below the rim
    is water that stands low, which is told as it is seen."""
    return ("water # too low", "water # too high") if point.kind == "level" else ("high by #", "low by #")


def typed_of(stored: StoredReading, point: TestPoint) -> str:
    """What stands in the field of a point: what was read, in the unit of the sheet."""
    assert stored.value is not None
    return figures(in_unit(stored.value, point.dimension, point.unit), 6).replace("−", "-")
