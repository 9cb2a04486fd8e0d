"""Changes by hand in the drawing: a rack or a row of tanks moved, an elbow turned, an air tap set.

They write lengths in the unit the owner used at that place, to the millimetre or the eighth of an inch: nobody sets
up a rack closer than that. What was measured before it moved is given afterwards, for the date no longer holds.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.finding import Finding
from tankwright.plan.changes_core import (
    LONGEST_LINE,
    apply_values,
    find_rack,
    find_tank,
    no_such_thing,
    read,
    refusal,
    resolved,
    rows,
    says_values,
    tables,
)
from tankwright.plan.editing import EditResult, quoted
from tankwright.plan.positions import Positions
from tankwright.plan.statements import stands, value_at
from tankwright.plan.typed import Puts, shown_value
from tankwright.plan.values import Path
from tankwright.units import Dimensionless, Metre, QuantityError, Radian, clip, convert, parse_quantity

CANNOT_STAND_THERE: Final = "PLAN-048"

_FEET: Final = frozenset(("ft", "foot", "feet", "'"))
_INCHES: Final = frozenset(("in", "inch", "inches", '"', "''"))
_METRIC: Final = frozenset(("mm", "cm", "dm", "m"))
_FINEST: Final = 0.0005  # half a millimetre: two places nearer than this are one


@dataclass(frozen=True, slots=True)
class MoveRack:
    """A rack moved along its wall and off it, or, of an island, to the place of its south-west corner."""

    rack: str
    along: Metre | None = None
    off: Metre | None = None
    at: tuple[Metre, Metre] | None = None

    @property
    def path(self) -> Path:
        """The rack, by its id."""
        return ("rack", f"id={self.rack}")

    def says(self, before: str) -> str:
        """The change in words for the history, at most 120 signs."""
        return says_values(before, self._puts)

    def apply(self, text: str) -> EditResult:
        """The changed text, or the findings that say why nothing was changed."""
        return apply_values(text, self._puts)

    def _puts(self, positions: Positions) -> Puts | Finding:
        path = find_rack(positions, self.rack)
        if path is None:
            known = [str(one.get("id")) for _, one in tables(positions.data.get("rack"))]
            return no_such_thing(positions, "rack", self.rack, known)
        rack = value_at(positions, path)
        is_island = isinstance(rack, Mapping) and "at" in rack
        if is_island and self.at is None:
            told = {"wanted": "the place of its south-west corner", "found": "a place along a wall"}
            return refusal(positions, path, CANNOT_STAND_THERE, "stands free, not along a wall", **told)
        if not is_island and self.at is not None:
            told = {"wanted": "a distance along its wall", "found": "a place in the room"}
            return refusal(positions, path, CANNOT_STAND_THERE, "stands along a wall, not free", **told)
        named: list[tuple[Path, Metre | None]]
        if self.at is not None:
            named = [((*path, "at", place), length) for place, length in enumerate(self.at)]
        else:
            named = [((*path, self._along(rack)), self.along), ((*path, "off_wall"), self.off)]
        puts: Puts = []
        for here, length in named:
            if length is None:
                continue
            if not _may_stand(length):
                told = {"found": _plainly(length), "wanted": "a place inside the room: zero or more"}
                return refusal(positions, here, CANNOT_STAND_THERE, "cannot stand outside its room", **told)
            puts += _moved(positions, here, length)
        return puts

    @staticmethod
    def _along(rack: object) -> str:
        wall = rack.get("wall") if isinstance(rack, Mapping) else None
        return "from_south" if wall in ("east", "west") else "from_west"


@dataclass(frozen=True, slots=True)
class MoveTank:
    """A tank moved along its shelf, and with it the row it stands in; the tanks of a row keep their distances.

    `from_left` is where the tank's left side is to stand, measured from the left end of the rack.
    """

    tank: str
    from_left: Metre

    @property
    def path(self) -> Path:
        """Where its row stands, found by the tank."""
        return ("rack", f"tank={self.tank}", "from_left")

    def says(self, before: str) -> str:
        """The change in words for the history, at most 120 signs."""
        said = says_values(before, self._puts)
        positions = read(before)
        row = find_tank(positions, self.tank)
        if row is None or len(row[1]) == 1 or said == "nothing changed":
            return said
        ids = clip(str(shown_value(positions, (*row[0], "ids"))), 30)
        return clip(f"{clip(said, 80)}, moves {ids} with {clip(self.tank, 24)}", LONGEST_LINE)

    def apply(self, text: str) -> EditResult:
        """The changed text, or the findings that say why nothing was changed."""
        return apply_values(text, self._puts)

    def _puts(self, positions: Positions) -> Puts | Finding:
        found = find_tank(positions, self.tank)
        if found is None:
            return no_such_tank(positions, self.tank)
        path, ids = found
        subject = f"tank {clip(self.tank, 24)}"
        before = _length_before(positions, path, ids.index(self.tank))
        if before is None:
            wanted = "a kind of tank with its outside size"
            text = "cannot be moved: how long the tanks before it are is not known"
            return refusal(positions, path, CANNOT_STAND_THERE, text, subject=subject, wanted=wanted)
        if not _may_stand(self.from_left - before):
            row = (
                "it"
                if len(ids) == 1
                else f"its row, {clip(str(shown_value(positions, (*path, 'ids'))), 30)},"
            )
            text = f"cannot stand there: {row} would begin left of the rack's end"
            least = f"{_plainly(before)} or more" if before else "zero or more"
            told = {"found": _plainly(self.from_left), "wanted": least}
            return refusal(positions, path, CANNOT_STAND_THERE, text, subject=subject, **told)
        return _moved(positions, (*path, "from_left"), self.from_left - before, like=(*path, "gap"))


def _length_before(positions: Positions, path: Path, number: int) -> Metre | None:
    """From the left side of a row to the left side of its tank of a number, as the room lays them out."""
    if number == 0:
        return 0.0
    row = value_at(positions, path)
    kind = row.get("kind") if isinstance(row, Mapping) else None
    end_on = isinstance(row, Mapping) and row.get("end_on") is True
    wide = _length_at(positions, ("tank_kind", str(kind), "outside", int(end_on)))
    gap = _length_at(positions, (*path, "gap"))
    if gap is None:
        gap = _length_at(positions, resolved(positions, ("assume", "tank.gap")))
    if gap is None:
        gap = ASSUMPTIONS["tank.gap"].value
    return None if wide is None else number * (wide + gap)


# --- elbows and taps ---


@dataclass(frozen=True, slots=True)
class TurnElbow:
    """The elbow of one tank turned, measured from straight up; written into the tank's own table."""

    tank: str
    angle: Radian

    @property
    def path(self) -> Path:
        """The angle in the tank's own table."""
        return ("tank", self.tank, "overflow", "angle")

    def says(self, before: str) -> str:
        """The change in words for the history, at most 120 signs."""
        return says_values(before, self._puts)

    def apply(self, text: str) -> EditResult:
        """The changed text, or the findings that say why nothing was changed."""
        return apply_values(text, self._puts)

    def _puts(self, positions: Positions) -> Puts | Finding:
        found = find_tank(positions, self.tank)
        if found is None:
            return no_such_tank(positions, self.tank)
        subject = f"tank {clip(self.tank, 24)}"
        kind = value_at(
            positions, ("tank_kind", str(value_at(positions, (*found[0], "kind"))), "overflow", "kind")
        )
        if kind == "standpipe":
            told = {"found": "an angle", "wanted": "another height of the standpipe"}
            text = "has a standpipe, and that is not turned"
            return refusal(positions, self.path, CANNOT_STAND_THERE, text, subject=subject, **told)
        if not math.isfinite(self.angle) or abs(self.angle) > math.pi:
            told = {"found": f"{self.angle:g} rad", "wanted": "an angle between -180 deg and 180 deg"}
            text = "cannot have its elbow turned so far"
            return refusal(positions, self.path, CANNOT_STAND_THERE, text, subject=subject, **told)
        degrees = (
            round(2.0 * convert(self.angle, "rad", "deg")) / 2.0
        )  # no hand turns an elbow closer than this
        puts: Puts = [(self.path, quoted(f"{degrees:g} deg"))]
        level = (*self.path[:-1], "water_below_rim")
        if stands(positions, level):
            puts.append((level, None))  # one of the two sets the level
        return puts


@dataclass(frozen=True, slots=True)
class SetTap:
    """How far the air tap of one tank is open, as a share of its open area; written into the tank's own table."""

    tank: str
    opening: Dimensionless

    @property
    def path(self) -> Path:
        """The opening in the tank's own table."""
        return ("tank", self.tank, "air_opening")

    def says(self, before: str) -> str:
        """The change in words for the history, at most 120 signs."""
        return says_values(before, self._puts)

    def apply(self, text: str) -> EditResult:
        """The changed text, or the findings that say why nothing was changed."""
        return apply_values(text, self._puts)

    def _puts(self, positions: Positions) -> Puts | Finding:
        if find_tank(positions, self.tank) is None:
            return no_such_tank(positions, self.tank)
        if not 0.0 <= self.opening <= 1.0:
            told = {"found": f"{100.0 * self.opening:g} %", "wanted": "0 % to 100 %"}
            text = "cannot have its tap opened so far"
            subject = f"tank {clip(self.tank, 24)}"
            return refusal(positions, self.path, CANNOT_STAND_THERE, text, subject=subject, **told)
        return [(self.path, quoted(f"{100.0 * self.opening:.3g} %"))]


def no_such_tank(positions: Positions, tank: str) -> Finding:
    """The answer for a tank that stands on no shelf."""
    return no_such_thing(positions, "tank", tank, [one for _, ids in rows(positions) for one in ids])


# --- lengths as the owner writes them ---


def _may_stand(length: Metre) -> bool:
    return math.isfinite(length) and -_FINEST <= length <= 1e4


def _plainly(length: Metre) -> str:
    return f"{length * 100:.4g} cm"


def _moved(positions: Positions, path: Path, length: Metre, like: Path = ()) -> Puts:
    """What to write for a new place; nothing when the thing stands there already."""
    present = _length_at(positions, path)
    source = shown_value(positions, path) or (shown_value(positions, like) if like else None) or ""
    text = written_length(length, source, str(positions.data.get("display", "metric")))
    if present is not None and abs(parse_quantity(text, "length").value - present) < _FINEST:
        return []
    return [(path, quoted(text))]


def _length_at(positions: Positions, path: Path) -> Metre | None:
    shown = shown_value(positions, path)
    try:
        return None if shown is None else parse_quantity(shown, "length").value
    except QuantityError:
        return None


def written_length(length: Metre, like: str, display: str) -> str:
    """A length as the owner wrote another: in its unit, to the millimetre or the eighth of an inch.

    >>> written_length(0.2034, "15 cm", "metric"), written_length(3.7, "3.60 m", "metric")
    ('20.3 cm', '3.70 m')
    >>> written_length(1.7526, "2 ft", "US"), written_length(0.0889, "", "US")
    ('5 ft 9 in', '3 1/2 in')
    """
    try:
        units = parse_quantity(like, "length").unit_text.split()
    except QuantityError:
        units = []
    if units and units[0] in _METRIC:
        number = f"{convert(round(max(length, 0.0) * 1000) / 1000, 'm', units[0]):.10g}"
        had, has = (len(one.partition(".")[2]) for one in (like.partition(units[0])[0].strip(), number))
        return f"{number}{'' if has or not had else '.'}{'0' * max(had - has, 0)} {units[0]}"
    if units and not set(units) <= _FEET | _INCHES:
        units = []
    if not units:
        units = ["in"] if display == "US" else ["cm"]
        return written_length(length, f"1 {units[0]}", display)
    eighths = round(convert(max(length, 0.0), "m", "in") * 8)
    feet, eighths = divmod(eighths, 96) if units[0] in _FEET else (0, eighths)
    inches = _inches(eighths)
    if feet:
        return f"{feet} ft {inches} in" if eighths else f"{feet} ft"
    return f"{inches} in"


def _inches(eighths: int) -> str:
    whole, rest = divmod(eighths, 8)
    if not rest:
        return str(whole)
    common = math.gcd(rest, 8)
    part = f"{rest // common}/{8 // common}"
    return f"{whole} {part}" if whole else part
