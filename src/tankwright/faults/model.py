"""What a fault is, when it begins, and what came of it: numbers only, courses as arrays over time.

Times are seconds since the fault. Arrays of a course hold a row for each of its `times`; what holds between two times
(flows) has a row less: row k is from times[k] to times[k + 1].
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from tankwright.finding import Number
from tankwright.room.model_broken import Broken
from tankwright.units import CubicMetre, Kelvin, Kilogram, Metre, Second

Array = NDArray[np.float64]
Season = Literal["coldest", "hottest", "usual"]

HarmKind = Literal["floor", "plug", "oxygen", "cold", "hot", "ammonia", "chlorine", "dry"]
"""What a fault can do: water on the floor, water at a plug, fish without oxygen, too cold, too hot, poisoned by
ammonia or chlorine, left without water."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """Something that breaks. `name` is how its owner asks for it ("overflow of A3 blocked"), one of a kind in a room.

    `group` gathers alike ones ("overflow blocked"). `cause` is what several share, "" for a single fault.
    """

    name: str
    group: str
    broken: tuple[Broken, ...]
    cause: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """When a fault begins: seconds after midnight; how long it is followed; in which weather.

    `coldest` and `hottest` repeat that day of the year; `usual` holds the room as it is kept.
    """

    clock: Second
    horizon: Second
    season: Season = "usual"


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """Something that happens at a moment, found exactly. `what` is a short word of its own ("spill begins"). `to` is
    where water goes by it: a tank, a source, a space ("" where it says nothing)."""

    time: Second
    what: str
    where: str
    value: float | None = None
    to: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Harm:
    """Harm begins. `earliest` and `latest` are the ends of the band it rests on (infinite: never), `time` the value
    taken. `where` is a tank, space or board; `value` the level, litres or temperature that counts as harm."""

    time: Second
    kind: HarmKind
    where: str
    earliest: Second
    latest: Second
    value: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WaterCourse:
    """Water in every tank, in vats and drains, on floors, and gone.

    `level` are heights of the surface in the frame of the room, `volume` the water of each tank over its bed (both
    T x tanks). `by_feed` is what each feed brings into each tank, `hand` what a hose adds (both T-1 x tanks).
    `floor` is water on the floor of each space (T x spaces), net of what its floor drain takes back, `spilled` what
    each tank has lost to the floor so far (T x tanks), `gone` what left by each outfall (T x outfalls), `vats` what
    is left in each vat (T x vats), `drains` what stands in each drain that is blocked (T x drains).
    `came` is what came from each source so far (T x sources), `backwards` what ran back into each source.
    """

    times: Array
    tanks: tuple[str, ...]
    spaces: tuple[str, ...]
    outfalls: tuple[str, ...]
    vats_named: tuple[str, ...]
    drains_named: tuple[str, ...]
    sources: tuple[str, ...]
    level: Array
    volume: Array
    by_feed: dict[str, Array]
    hand: Array
    floor: Array
    spilled: Array
    gone: Array
    vats: Array
    drains: Array
    came: Array
    backwards: Array
    events: tuple[Event, ...] = ()
    not_computed: tuple[tuple[str, str], ...] = ()

    def imbalance(self) -> CubicMetre:
        """The most by which water came from nowhere or went nowhere at any time."""
        held = (
            self.volume.sum(1) + self.vats.sum(1) + self.drains.sum(1) + self.floor.sum(1) + self.gone.sum(1)
        )
        net = self.came.sum(1) - self.backwards.sum(1)
        return float(np.abs((held - held[0]) - (net - net[0])).max(initial=0.0))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WarmthCourse:
    """Temperatures of every tank's water (T x tanks) and of the air of every space (T x spaces), K.

    A tank or space whose warmth is not known is not among `tanks` or `spaces`; `not_computed` says why. `walls` is the
    temperature of what stores heat behind the faces of each space, `moisture` the water in its air, kg a kg: what a
    later stretch goes on from. `imbalance` is the most by which heat came from nowhere, as a share of the heat that
    moved.
    """

    times: Array
    tanks: tuple[str, ...]
    spaces: tuple[str, ...]
    water: Array
    air: Array
    walls: Array = field(default_factory=lambda: np.zeros((0, 0)))
    moisture: Array = field(default_factory=lambda: np.zeros((0, 0)))
    events: tuple[Event, ...] = ()
    imbalance: float = 0.0
    not_computed: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LifeCourse:
    """Oxygen (3 x T x tanks: low end of the band of still water, value, high end), un-ionised ammonia as N and free
    chlorine (T x tanks), kg/m3. NaN where it is not known.

    `perhaps` are harms that come only at an end of their band (`time` infinite): something to measure. `held` is what
    a further stage goes on from (total ammonia, chlorine x 3 x tanks).
    """

    times: Array
    tanks: tuple[str, ...]
    oxygen: Array
    ammonia: Array
    chlorine: Array
    harms: tuple[Harm, ...] = ()
    perhaps: tuple[Harm, ...] = ()
    held: Array | None = None
    not_computed: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Story:
    """One fault from its beginning at `setting` to the end of the time it was followed.

    `seen` is when somebody looks for the first time after it began, or is told by an alarm that fired (`told`, a
    name of the plan's alarms, "" when it is a look). `harms` are sorted by time, the first of each kind and place.
    """

    fault: Fault
    setting: Setting
    water: WaterCourse
    warmth: WarmthCourse | None
    life: LifeCourse | None
    events: tuple[Event, ...]
    harms: tuple[Harm, ...]
    seen: Second
    told: str = ""
    not_computed: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What a fault comes to at its worst moment, small enough to keep for every fault of a room.

    `first` is the first harm, None when none comes while the fault is followed. `gap` is the time nobody looks that
    it is held against, `seen` when it is noticed. `floor` is the water on floors when it is noticed, `floor_absence`
    at the end of the longest absence (None: it is still running when following it ends, or none is said), `depth`
    how deep it then stands. `finite` is False where water, warmth or time would go on with no end of its own.
    `tanks` are those harmed by the time it is noticed, `tanks_absence` by the end of the absence.
    `ran` is what tanks have lost to floors when it is noticed, whatever a floor drain took back of it.
    """

    fault: str
    group: str
    clock: Second
    season: Season
    first: Harm | None
    seen: Second
    told: str
    gap: Second
    absence: Second | None
    floor: CubicMetre
    floor_absence: CubicMetre | None
    depth: Metre
    finite: bool
    tanks: tuple[str, ...]
    tanks_absence: tuple[str, ...]
    fish: Kilogram
    tank_times: tuple[tuple[str, Second], ...] = ()
    coldest: Kelvin | None = None
    hottest: Kelvin | None = None
    not_computed: tuple[tuple[str, str], ...] = ()
    cause: str = ""
    ran: CubicMetre = 0.0

    @property
    def kind(self) -> str:
        """The name alike faults are gathered under; several that share a cause are like no other."""
        return self.fault if self.cause else self.group

    @property
    def before_look(self) -> bool:
        """Whether harm comes before anybody can notice."""
        return self.first is not None and self.first.time < self.seen

    @property
    def in_absence(self) -> bool:
        """Whether harm comes before the longest absence is over."""
        return self.first is not None and self.absence is not None and self.first.time < self.absence


@dataclass(frozen=True, slots=True, kw_only=True)
class Faults:
    """Every fault of a room, worst first. `stated_gap` is True where the plan says when somebody looks."""

    outcomes: tuple[Outcome, ...]
    stated_gap: bool
    not_computed: tuple[tuple[str, str], ...] = ()
    failed: tuple[tuple[str, str], ...] = field(default=())


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """A change of the plan that was made, and the same fault run again with it.

    `words` say the change, with `{name}` for its `numbers`; `attempt` is what to write in the plan. `cost` ranks it
    among others: 0 a setting, 1 a part of small money, 2 an afternoon's work, 3 new equipment. `puts` are what it
    writes: paths of the plan with the TOML that goes there, "" to take out, under "+" one more row of a list.
    """

    fault: str
    words: str
    numbers: tuple[tuple[str, Number], ...]
    attempt: str
    cost: int
    before: Outcome
    after: Outcome
    puts: tuple[tuple[tuple[str | int, ...], str], ...] = ()

    @property
    def removes(self) -> bool:
        """Whether no harm is left."""
        return self.after.first is None

    @property
    def in_time(self) -> bool:
        """Whether somebody notices before any harm is left to come."""
        return not self.after.before_look

    @property
    def helps(self) -> bool:
        """Whether it is worth telling: harm gone, noticed in time, made finite, or clearly later."""
        first, then = self.before.first, self.after.first
        if first is None:
            return False
        if then is None or (self.before.before_look and not self.after.before_look):
            return True
        if self.after.finite and not self.before.finite:
            return True
        drier = self.before.floor > 1e-3 and self.after.floor < 0.5 * self.before.floor
        return then.time > 1.5 * first.time or drier
