"""What a pane would come to with its hole elsewhere: the plan with the hole moved, laid out and screened, nothing
written. Quick enough to be asked for while a hand moves the hole."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from tankwright.finding import Finding, Severity
from tankwright.plan.changes_glass import MoveHole
from tankwright.room.model import Room, Tank
from tankwright.systems.glass_full_model import KeptOut
from tankwright.systems.glass_model import PaneCase, PaneScreen
from tankwright.units import Metre
from tankwright.workspace.opened import Opened, lay_text

if TYPE_CHECKING:
    from tankwright.systems.glass_field import FieldCell

NOT_HERE: Final = "GLASS-90"


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleTried:
    """A place tried. `screen` is the pane with the hole there, None where it was not computed: `findings` or
    `not_computed` (reason, remedy) say why.

    `across` and `down` are the place as it would be written. `kept_out` are the reasons against it. `water` is how far
    below the rim the still water then stands, `levels` the lowest and the highest the elbow can hold, as depths below
    the rim (the low water first), None without an elbow.
    """

    across: Metre
    down: Metre
    screen: PaneScreen | None = None
    kept_out: tuple[KeptOut, ...] = ()
    water: Metre | None = None
    levels: tuple[Metre, Metre] | None = None
    findings: tuple[Finding, ...] = ()
    not_computed: tuple[str, str] | None = None

    @property
    def holds(self) -> bool:
        """True when it was computed, nothing is against the place and the pane keeps below its working strength."""
        return self.screen is not None and self.screen.use <= 1.0 and not self.kept_out


def try_hole(opened: Opened, move: MoveHole) -> HoleTried | None:
    """The hole tried where the change would put it; None for a plan that was not worked out itself."""
    if opened.study is None or opened.read is None:
        return None
    made = move.apply(opened.read.text)
    room = None if made.text is None else lay_text(opened.path, made.text).room
    if made.text is None or room is None:
        return HoleTried(across=0.0, down=0.0, findings=made.findings or (_no_room(move.kind),))
    return tried_in(room, move.kind, move.number)


def tried_in(room: Room, kind: str, number: int) -> HoleTried | None:
    """A hole of a kind of tank as it is in a room; None where the room has none."""
    from tankwright.systems.glass import solve_glass  # noqa: PLC0415 - only here and in the study
    from tankwright.systems.glass_places import kept_out, levels_at, surroundings  # noqa: PLC0415 - likewise

    alike = tuple(tank for tank in room.tanks if tank.kind == kind)
    at = place_of(alike[0], number) if alike else None
    if at is None:
        return None
    pane, index = at
    result = solve_glass(replace(room, tanks=alike))
    screen = next(iter(result.of(kind, pane)), None)
    if screen is None:
        reason = next(((why, remedy) for _, why, remedy in result.not_computed), None)
        return HoleTried(across=0.0, down=0.0, not_computed=reason)
    case = screen.case
    hole = case.holes[index]
    around = surroundings(room, case, index)
    across, down = case.as_drilled(hole.x, hole.y)
    return HoleTried(
        across=across,
        down=down,
        screen=screen,
        kept_out=kept_out(case, around, hole.x, hole.y, index),
        water=None if pane == "base" else water_below(case),
        levels=levels_at(case, around, hole.y),
    )


def screened_field(room: Room, screen: PaneScreen, index: int | None) -> tuple[FieldCell, ...]:
    """What the quick screening says over a pane: of its hole elsewhere, or of the plain glass where it has none."""
    from tankwright.systems.glass_field import hole_field, plain_field  # noqa: PLC0415 - only for pictures
    from tankwright.systems.glass_places import surroundings  # noqa: PLC0415 - likewise

    case = screen.case
    if index is None or index >= len(case.holes):
        return plain_field(case, screen.strengths)
    return hole_field(case, screen.strengths, surroundings(room, case, index), index)


def place_of(tank: Tank, number: int) -> tuple[str, int] | None:
    """The pane of a tank's hole of a number (`MoveHole.number`), and which of the holes of that pane it is."""
    holes = (tank.hole, *tank.more_holes)
    hole = holes[number] if 0 <= number < len(holes) else None
    if hole is None:
        return None
    before = (one for one in holes[:number] if one is not None and one.pane == hole.pane)
    return hole.pane, sum(1 for _ in before)


def water_below(case: PaneCase) -> Metre:
    """How far below the rim the still water of a side pane stands."""
    return case.as_drilled(0.0, case.head)[1]


def _no_room(kind: str) -> Finding:
    return Finding(
        code=NOT_HERE, severity=Severity.NOT_COMPUTED, subject=f"tank kind {kind}",
        text="cannot be laid out with its hole there",
    )  # fmt: skip
