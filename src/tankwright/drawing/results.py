"""What a drawing shows of the results: plain numbers and words, so that drawing knows no system."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final, Literal

from tankwright.finding import Severity

RoomLayer = Literal[
    "layout", "air", "feed", "drain", "load", "glass", "racks", "power", "water", "oxygen", "heat"
]  # fmt: skip
LogLayer = Literal["fish", "due", "quarantine", "tests"]
Layer = RoomLayer | LogLayer | Literal["fault", "trace"]
LAYERS: Final[tuple[RoomLayer, ...]] = (
    "layout",
    "air",
    "feed",
    "drain",
    "load",
    "glass",
    "racks",
    "power",
    "water",
    "oxygen",
    "heat",
)
"""Layers of the room as it is. One moment of a fault and a trace of contacts are layers
of their own, which their pages alone draw."""

LOG_LAYERS: Final[tuple[LogLayer, ...]] = ("fish", "due", "quarantine", "tests")
"""Layers of what the logbook says, where a room has one; drawn by `draw_<layer>(room, facts)` of `layer_<layer>.py`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnTank:
    """One tank's result. `share` picks the colour (None: not computed, hatched); `figure` and `detail` are
    its numbers in words, `title` the sentence a screen reader says after the tank's id."""

    id: str
    share: float | None
    figure: str
    detail: str = ""
    title: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnSegment:
    """How full a drain is between two of its nodes (None: not computed); `label` in words, or empty.
    `levels` are the heights of the water, or of the pressure line where it is drowned, at both ends."""

    drain: str
    start: str
    end: str
    full: float | None
    label: str = ""
    levels: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnPipe:
    """The flow in a pressure pipe as a share of the largest of its run, negative against its direction.
    `label` is the flow in words; `told` when it is worth writing beside the pipe."""

    id: str
    share: float
    label: str = ""
    told: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnAisle:
    """A free width in the plan, between two points in metres in the frame of the plan."""

    start: tuple[float, float]
    end: tuple[float, float]
    label: str
    severity: Severity | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnFloor:
    """Water on the floor of a space: over which share of it, and the tank it comes from ("": elsewhere)."""

    space: str
    share: float
    source: str
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnMark:
    """The worst finding about a thing of the room."""

    place: str
    severity: Severity
    title: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnResults:
    """All results of one layer. `scale` names the colour scale: around enough, plain amounts, a share of
    strength that is used, or none.

    `about` says what the colours mean; `figures` are the live figures (name, value), most important first, and
    `workings` names the working of each ("" where it is a plain count).
    `sources` are pumps and water sources with the flow they give, in words.
    """

    layer: Layer
    about: str = ""
    scale: Literal["enough", "amount", "use", "none"] = "none"
    figures: tuple[tuple[str, str], ...] = ()
    workings: tuple[str, ...] = ()
    tanks: tuple[DrawnTank, ...] = ()
    segments: tuple[DrawnSegment, ...] = ()
    pipes: tuple[DrawnPipe, ...] = ()
    aisles: tuple[DrawnAisle, ...] = ()
    marks: tuple[DrawnMark, ...] = ()
    boards: tuple[tuple[str, str], ...] = ()
    sources: tuple[tuple[str, str], ...] = ()
    floors: tuple[DrawnFloor, ...] = ()
    _tanks: dict[str, DrawnTank] = field(init=False, repr=False, compare=False)
    _marks: dict[str, DrawnMark] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        # found by name, the first of a name: 600 tanks are asked for several times each
        object.__setattr__(self, "_tanks", {tank.id: tank for tank in reversed(self.tanks)})
        object.__setattr__(self, "_marks", {mark.place: mark for mark in reversed(self.marks)})

    def tank(self, name: str) -> DrawnTank | None:
        """The result of that tank, if there is one."""
        return self._tanks.get(name)

    def mark(self, place: str) -> DrawnMark | None:
        """The mark of that place, if there is one."""
        return self._marks.get(place)
