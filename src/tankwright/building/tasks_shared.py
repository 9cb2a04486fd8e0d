"""What the tasks of every subject are made with: hours from rows of assumptions, waits, hands, what stands where."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Final

from tankwright.building.model import After, Hours, Wait
from tankwright.building.waits import cement_wait
from tankwright.catalogue.pipes import bore_of
from tankwright.origin import Known
from tankwright.physics.ranges import OutsideValidRange
from tankwright.plan.models import Plan
from tankwright.plan.models_build import Build
from tankwright.plan.models_tanks import TankKind
from tankwright.room.assumed import assumed
from tankwright.room.model import Room, Tank
from tankwright.takeoff.model import Takeoff
from tankwright.units import Dimensionless, Kelvin, Kilogram, Metre, Second

LONGEST_CEMENT: Final[Second] = 72 * 3600.0
"""The longest wait of the makers' table, in damp: taken where the table does not reach, and said so."""
AROUND: Final = 8
"""People who can stand around a tank and lift it. Common practice, no source."""
_WALL: Final[Metre] = (
    0.006  # added to a bore of which no pipe is named; a thicker pipe waits longer, so it errs long
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """The plan and its room, and what building it takes."""

    plan: Plan
    room: Room
    takeoff: Takeoff | None = None
    _counted: dict[str, dict[str, set[str]]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )
    """Articles by system and place, "" for all of a system: a hall asks for them five hundred times."""

    def __post_init__(self) -> None:
        for need in self.takeoff.needs if self.takeoff is not None else ():
            by_place = self._counted.setdefault(need.system, {})
            for place in ("", *need.places):
                by_place.setdefault(place, set()).add(need.article)

    @property
    def build(self) -> Build:
        """What the plan says of who builds and when."""
        return self.plan.build or Build()

    def known(self, key: str) -> Known:
        """An assumption of the build, or what the owner says instead."""
        return assumed(self.room, key)

    def hours(self, *parts: tuple[str, float]) -> Hours:
        """Labour of so many times each row: ("build.drill", 12) is twelve holes."""
        value = low = high = 0.0
        for key, times in parts:
            one = self.known(key)
            least, most = one.band or (one.value, one.value)
            value, low, high = value + one.value * times, low + least * times, high + most * times
        return Hours(value=value, low=low, high=high)

    def wait(self, key: str, why: str) -> Wait:
        """A wait as one row says it."""
        one = self.known(key)
        least, most = one.band or (one.value, one.value)
        return Wait(value=one.value, least=least, most=most, why=why)

    def hands(self, mass: Kilogram) -> int:
        """People who lift it, each what one lifts; no more than can stand around it."""
        return min(max(1, math.ceil(mass / one_lifts(self) - 1e-9)), AROUND)

    def kind_of(self, tank: Tank) -> TankKind | None:
        """The kind of a tank, as the plan has it."""
        return self.plan.tank_kind.get(tank.kind)

    def on_rack(self, rack: str) -> tuple[Tank, ...]:
        """The tanks that are to stand on a rack."""
        return tuple(tank for tank in self.tanks if tank.rack == rack)

    @property
    def tanks(self) -> tuple[Tank, ...]:
        """All tanks, those that are still wished for too: the parts list counts them and all their pipes."""
        return self.room.tanks

    def is_glued(self, tank: Tank) -> bool:
        """Whether it is still to be glued here: one that stands is."""
        kind = self.kind_of(tank)
        return tank.state != "stands" and kind is not None and kind.made == "glued here"

    def is_bought(self, tank: Tank) -> bool:
        """Whether it comes whole from a shop; one that stands has come."""
        return tank.state != "stands" and not self.is_glued(tank)

    def articles(self, system: str, places: tuple[str, ...]) -> tuple[str, ...]:
        """Keys of what the takeoff counted for these places of a system; all of the system for no places."""
        by_place = self._counted.get(system, {})
        return tuple(sorted({one for place in places or ("",) for one in by_place.get(place, ())}))


def lifting(work: Work) -> Known:
    """What one person lifts, by the plan or as usual."""
    return work.build.one_lifts or work.known("build.one_lifts")


def one_lifts(work: Work) -> Kilogram:
    """What one person lifts, kg."""
    return max(lifting(work).value, 0.1)


def air_while_gluing(work: Work) -> tuple[Known, Known]:
    """Temperature and relative humidity of the room while things are glued."""
    return (
        work.build.temperature or work.known("build.temperature"),
        work.build.humidity or work.known("build.humidity"),
    )


def rests(work: Work, *keys: str) -> tuple[str, ...]:
    """Those of the keys that nobody has said otherwise, each once."""
    return tuple(key for key in dict.fromkeys(keys) if work.known(key).is_assumed)


def rests_lifting(work: Work) -> tuple[str, ...]:
    """That assumption, where the plan does not say what one person lifts."""
    known = lifting(work)
    return (known.key,) if known.is_assumed else ()


def is_cemented(pipe: str) -> bool:
    """False for what is pushed together and clamped: polyethylene and hose.

    >>> is_cemented("50 mm ISO 0.6 MPa"), is_cemented("16 mm PE")
    (True, False)
    """
    words = pipe.casefold().replace("-", " ").split()
    return not {"pe", "hdpe", "ldpe", "hose", "polyethylene"}.intersection(words)


def outer_of(pipe: str, bore: Known) -> Metre:
    """Outer diameter of a pipe by its name, or by its bore."""
    size = bore_of(pipe)
    return bore.value + _WALL if size is None else size.outer_diameter


def cement_waits(work: Work, pipe: str, bore: Known) -> tuple[Wait, Wait, bool]:
    """Waits of a glued pipe until it may be moved and until it may be filled; False where the table does not reach.

    The band is that of the room's warmth and damp; of what the plan says there is none.
    """
    if not is_cemented(pipe):
        return Wait(), Wait(), True
    warmth, damp = air_while_gluing(work)
    outer = outer_of(pipe, bore)
    made = []
    for until in ("moved", "filled"):
        why = f"solvent cement, until it may be {until}"
        try:
            slow, usual, fast = (
                _cement(outer, one, other, until)
                for one, other in (
                    ((warmth.band or (warmth.value,))[0], (damp.band or (damp.value,))[-1]),
                    (warmth.value, damp.value),
                    ((warmth.band or (warmth.value,))[-1], (damp.band or (damp.value,))[0]),
                )
            )
        except OutsideValidRange:
            longest = Wait(value=LONGEST_CEMENT, least=LONGEST_CEMENT, most=LONGEST_CEMENT, why=why)
            return longest, longest, False
        made.append(Wait(value=usual, least=fast, most=slow, why=why))
    return made[0], made[1], True


def _cement(outer: Metre, temperature: Kelvin, humidity: Dimensionless, until: str) -> Second:
    return cement_wait(
        outer_diameter=outer, temperature=temperature, humidity=humidity,
        until="moved" if until == "moved" else "filled",
    )  # fmt: skip


def after(*tasks: str) -> tuple[After, ...]:
    """Each of these must be over."""
    return tuple(After(task=one) for one in tasks)


def several(number: int, one: str, more: str = "") -> str:
    """A count with its noun.

    >>> several(1, "tank"), several(3, "tank")
    ('1 tank', '3 tanks')
    """
    return f"{number} {one if number == 1 else more or one + 's'}"
