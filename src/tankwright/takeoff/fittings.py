"""Fittings that can be bought: the open table of the catalogue, each with its ends, what it takes up and its bore.

The table is `catalogue/fittings.csv`. Most measures are rules of thumb and say so in their source: measure yours before
you cut to them. `effort` ranks what is common and cheap before what is rare and dear; it is no price.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Final

from tankwright.catalogue.tables import read_table
from tankwright.finding import Finding
from tankwright.takeoff.end_model import End, families, insertion_depth
from tankwright.takeoff.end_reading import read_end
from tankwright.units import Metre, Radian, convert

KINDS: Final = (
    "coupling", "reducing coupling", "reducing bush", "union", "adapter", "nipple", "hose tail", "joiner", "elbow",
    "tee", "reducing tee", "cap", "plug", "valve", "bulkhead", "saddle", "grommet", "take-off", "air tap", "dripper",
)  # fmt: skip
"""What a fitting can be."""

BETWEEN: Final = frozenset({
    "coupling", "reducing coupling", "reducing bush", "union", "adapter", "nipple", "hose tail", "joiner", "elbow",
    "saddle", "grommet", "take-off",
})  # fmt: skip
"""The kinds that join one end to another and do nothing else: a tee leaves a hole, a valve is there to be turned."""

SUREST_BORE: Final = 0.001  # below this no fitting of a fish room lets anything through


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitting:
    """One fitting. The first two ends are its way through, the third the branch of a tee.

    `depths` is how deep what goes on each end goes in; `take_ups` how far from its middle that stops, so that a piece
    between two middles is cut shorter by both. `turn` is by how much its way through bends. `bore` is None where nobody
    said. `effort` is 1 for the most common; a joint counts 1 as well.
    """

    key: str
    kind: str
    ends: tuple[End, ...]
    depths: tuple[Metre, ...]
    take_ups: tuple[Metre, ...]
    turn: Radian
    bore: Metre | None
    material: str
    effort: float
    source: str

    @property
    def from_memory(self) -> bool:
        """True when its measures could not be read in print."""
        return "from memory" in self.source or "no source" in self.source or "shop" in self.source


def all_fittings() -> tuple[Fitting, ...]:
    """Every fitting of the open table, in its order.

    >>> len(all_fittings()) > 300
    True
    """
    return _fittings()


def find_fitting(key: str) -> Fitting | None:
    """The fitting of that key; None when it is not in the open table.

    >>> find_fitting("coupling 50 mm ISO").ends[0].words
    '50 mm ISO socket'
    """
    return _by_key().get(key)


def fitting_of(cells: Mapping[str, str]) -> Fitting:
    """A line of a table as a fitting; raises ValueError when a cell cannot be right."""
    kind = cells["kind"].strip()
    key = cells["key"].strip()
    if not key or len(key) > 80:
        raise ValueError("a fitting needs a key of at most 80 signs")
    if kind not in KINDS:
        raise ValueError(f'no kind of fitting is called "{kind}"; the kinds are {", ".join(KINDS)}')
    material = cells.get("material", "").strip()
    ends = tuple(_end(text, material) for text in cells["ends"].split(";"))
    wanted = {"cap": (1,), "plug": (1,), "tee": (3,), "reducing tee": (3,), "dripper": (1, 2)}.get(kind, (2,))
    if len(ends) not in wanted:
        raise ValueError(f"a {kind} has {wanted[-1]} ends, not {len(ends)}")
    if not 0.0 <= (turn := _number(cells, "turn_deg", 90.0 if kind == "elbow" else 0.0)) <= 180.0:
        raise ValueError("turn_deg lies between 0 and 180")
    if kind == "elbow" and not turn:
        raise ValueError("an elbow that does not turn is a coupling")
    bore = _number(cells, "bore_mm", 0.0)
    if bore and not 0.2 <= bore <= 300.0:
        raise ValueError("bore_mm lies between 0.2 and 300, or is left empty")
    effort = _number(cells, "effort", 2.0)
    if not 0.1 <= effort <= 100.0:
        raise ValueError("effort lies between 0.1 and 100")
    depths = _lengths(cells, "depth_mm", tuple(map(insertion_depth, ends)))
    return Fitting(
        key=key,
        kind=kind,
        ends=ends,
        depths=depths,
        take_ups=_lengths(cells, "take_up_mm", tuple(_usual_take_up(end, turn, kind) for end in ends)),
        turn=convert(turn, "deg", "rad"),
        bore=convert(bore, "mm", "m") if bore else None,
        material=material,
        effort=effort,
        source=cells.get("source", "").strip() or "your shop's table",
    )


def _end(text: str, material: str) -> End:
    read = read_end(text.strip())
    if isinstance(read, Finding):
        raise ValueError(f'"{text.strip()}" {read.text}' + (f": try {read.attempt}" if read.attempt else ""))
    family = families().get(read.system)
    if family and family.weld and read.form in ("socket", "plain end") and material in ("PE", "PP"):
        raise ValueError(f'"{text.strip()}" is solvent welded, and cement does not hold on {material}')
    return End(read.system, read.size, read.form, read.outer, read.inner, material or read.material)


def _number(cells: Mapping[str, str], name: str, usual: float) -> float:
    text = cells.get(name, "").strip().replace(",", ".")
    if not text:
        return usual
    try:
        value = float(text)
    except ValueError:
        raise ValueError(f'{name} "{text}" is no number') from None
    if not -1e6 < value < 1e6:
        raise ValueError(f'{name} "{text}" is no number a fitting can have')
    return value


def _lengths(cells: Mapping[str, str], name: str, usual: tuple[Metre, ...]) -> tuple[Metre, ...]:
    text = cells.get(name, "").strip()
    if not text:
        return usual
    parts = [part.strip() for part in text.split(";")]
    if len(parts) == 1:
        parts *= len(usual)
    if len(parts) != len(usual):
        raise ValueError(f"{name} has {len(parts)} lengths for {len(usual)} ends")
    lengths = [_number({name: part}, name, 0.0) for part in parts]
    if not all(0.0 <= length <= 1000.0 for length in lengths):
        raise ValueError(f"{name} lies between 0 and 1000")
    return tuple(convert(length, "mm", "m") for length in lengths)


def _usual_take_up(end: End, turn: float, kind: str) -> Metre:
    """What an end takes of a run where nobody said: rules of thumb, no source."""
    thick = end.outer or end.inner or convert(21.0, "mm", "m")
    if end.form in ("plain end", "male"):
        return insertion_depth(end) + convert(3.0, "mm", "m")
    if turn or "tee" in kind:
        return 0.5 * thick + convert(1.0, "mm", "m")
    return convert(3.0, "mm", "m")


@cache
def _fittings() -> tuple[Fitting, ...]:
    return read_table("fittings.csv", fitting_of)


@cache
def _by_key() -> dict[str, Fitting]:
    keyed: dict[str, Fitting] = {}
    for fitting in _fittings():
        if keyed.setdefault(fitting.key, fitting) is not fitting:
            raise ValueError(f'two fittings are called "{fitting.key}"')
    return keyed
