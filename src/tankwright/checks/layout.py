"""Whether the room can be built, walked in and worked in: one small check a sentence.

Least measures are common practice unless a check names its source; the owner's own aisle stands before it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from tankwright.checks.grouping import count, length, listed, rests, verb
from tankwright.checks.layout_clashes import nothing_stands_in_anything
from tankwright.checks.layout_holes import HOLE_CHECKS
from tankwright.finding import Finding, Number, Severity
from tankwright.origin import Known
from tankwright.room.model import Room, Tank
from tankwright.room.places import TankFit
from tankwright.systems.layout import Aisle, LayoutResult, RackFit

PRACTICE: Final = "common practice, no source"
GEOMETRY: Final = "geometry of the plan"

SLIP: Final = 0.001  # a millimetre is a matter of measuring
OVERHANG: Final = 0.005  # glass past the edge of its shelf; common practice, no source
SQUEEZE: Final = 0.45  # the narrowest gap a grown person passes sideways; common practice, no source
COMFORTABLE: Final = 0.75  # of an aisle; from memory
DOOR_HANDS: Final = 0.10  # for hands and elbows beside a carried tank; common practice, no source
DENSE: Final = 6.0  # tanks a square metre; rooms built by keepers hold 3.1 to 9.2 (common practice)
EYE_LEVEL: Final = (
    1.60  # rim above it: one looks up into the tank; racks are cut to 60 in for it (common practice)
)
OVERHEAD: Final = 1.85  # rim above it: no net reaches the base without a step; common practice, no source

Check = Callable[[Room, LayoutResult], Iterator[Finding]]


def check_layout(room: Room, result: LayoutResult) -> tuple[Finding, ...]:
    """Everything there is to say about how the room fits.

    >>> from tankwright.systems.layout import solve_layout
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> check_layout(empty, solve_layout(empty))
    ()
    """
    return tuple(finding for check in CHECKS for finding in check(room, result))


def everything_stands_inside_the_walls(room: Room, result: LayoutResult) -> Iterator[Finding]:
    """LAYOUT-01: no rack and no tank stands through a wall."""
    for rack in result.racks:
        if rack.outside > SLIP:
            yield Finding(
                code="LAYOUT-01", severity=Severity.PROBLEM, subject=f"rack {rack.rack}",
                text="stands {out} through a wall of its room",
                numbers=(("out", length(rack.outside)),), value=length(rack.outside), limit=length(0.0),
                reason="it cannot be built there", remedy="move it, shorten it, or measure the room again",
                source=GEOMETRY, line=_rack_line(room, rack.rack), places=(rack.rack,),
            )  # fmt: skip
    through = {rack.rack for rack in result.racks if rack.outside > SLIP}
    on_such = {tank.id for tank in room.tanks if tank.rack in through}
    alone = [fit for fit in result.tanks if fit.outside > SLIP and fit.tank not in on_such]
    if alone:
        worst = max(alone, key=lambda fit: fit.outside)
        yield _tanks(
            room, "LAYOUT-01", Severity.PROBLEM, alone, worst,
            "through a wall by {out} at the most ({worst})",
            out=length(worst.outside), limit=length(0.0), verbs=("stands", "stand"),
            reason="it cannot be put there", remedy="move it along its shelf or choose a smaller tank",
        )  # fmt: skip


def nothing_passes_the_ceiling(room: Room, result: LayoutResult) -> Iterator[Finding]:
    """LAYOUT-02: racks and tanks end below the ceiling, its slope and the beams."""
    for rack in result.racks:
        if rack.past_ceiling > SLIP:
            yield Finding(
                code="LAYOUT-02", severity=Severity.PROBLEM, subject=f"rack {rack.rack}",
                text=f"is {{over}} taller than the {rack.ceiling} leaves there",
                numbers=(("over", length(rack.past_ceiling)),), value=length(rack.past_ceiling),
                limit=length(0.0),
                reason="it cannot stand upright there", remedy="lower its uprights or move it",
                source=GEOMETRY, line=_rack_line(room, rack.rack), places=(rack.rack,),
            )  # fmt: skip
    high = [fit for fit in result.tanks if fit.past_ceiling > SLIP]
    if high:
        worst = max(high, key=lambda fit: fit.past_ceiling)
        yield _tanks(
            room, "LAYOUT-02", Severity.PROBLEM, high, worst,
            f"into the {worst.ceiling} by {{out}} at the most ({{worst}})",
            out=length(worst.past_ceiling), limit=length(0.0), verbs=("runs", "run"),
            reason="it cannot stand there", remedy="lower the shelf, drop a tier or move the rack",
        )  # fmt: skip


def tanks_stand_wholly_on_their_rack(room: Room, result: LayoutResult) -> Iterator[Finding]:
    """LAYOUT-05: no tank stands out over its rack's ends, front or back."""
    over = [fit for fit in result.tanks if fit.past_rack > SLIP]
    if over:
        worst = max(over, key=lambda fit: fit.past_rack)
        yield _tanks(
            room, "LAYOUT-05", Severity.PROBLEM if worst.past_rack > OVERHANG else Severity.WARNING,
            over, worst,
            "past the edge of its rack by {out} at the most ({worst})",
            out=length(worst.past_rack), limit=length(0.0), verbs=("stands", "stand"),
            reason="glass that is not carried along its whole base cracks or tips",
            remedy="make the rack longer or deeper, take a tank off the shelf, or put a board under it",
            source=PRACTICE,
        )  # fmt: skip


def tanks_are_lower_than_their_shelf_gap(room: Room, result: LayoutResult) -> Iterator[Finding]:
    """LAYOUT-06: no tank is taller than the gap it stands in.

    It is a warning while a thinner shelf than the assumed one would still let the worst tank in.
    """
    tall = [fit for fit in result.tanks if fit.clear_above < -SLIP and fit.past_ceiling <= SLIP]
    if tall:
        worst = min(tall, key=lambda fit: fit.clear_above)
        shelf = _assumed_shelf(room, tall)
        spare = shelf.value - shelf.band[0] if shelf is not None and shelf.band is not None else 0.0
        yield _tanks(
            room, "LAYOUT-06", Severity.PROBLEM if worst.clear_above + spare < -SLIP else Severity.WARNING,
            tall, worst,
            f"taller than its gap by {{out}} at the most ({worst.tank}, under {room.tank(worst.tank).under})",
            out=length(-worst.clear_above), limit=length(0.0), verbs=("is", "are"),
            reason="the shelf above is in its place", remedy="raise the shelf above or drop a tier",
            rests_on=rests(shelf),
        )  # fmt: skip


def doors_open_past_everything(_room: Room, result: LayoutResult) -> Iterator[Finding]:
    """LAYOUT-07: no door leaf strikes a rack or an obstacle."""
    for door in result.doors:
        if door.swept:
            yield Finding(
                code="LAYOUT-07", severity=Severity.PROBLEM, subject=door.name,
                text=f"strikes {', '.join(door.swept)} as it opens", reason="the door cannot be opened fully",
                remedy="hang it the other way, let it swing out or slide, or move the rack", source=GEOMETRY,
                line=door.line, places=_ids(door.swept),
            )  # fmt: skip
        if door.perhaps_swept:
            yield Finding(
                code="LAYOUT-07", severity=Severity.WARNING, subject=door.name,
                text=f"strikes {', '.join(door.perhaps_swept)} if it is hinged on that side",
                reason="the plan does not say which side its hinges are on", remedy='say it: hinged = "west"',
                source=GEOMETRY, line=door.line, places=_ids(door.perhaps_swept),
            )  # fmt: skip


def the_widest_tank_passes_each_door(_room: Room, result: LayoutResult) -> Iterator[Finding]:
    """LAYOUT-08: the widest tank can be carried in, upright and lengthwise."""
    for door in result.doors:
        if door.widest_tank is None or door.carried is None or door.carried + DOOR_HANDS <= door.width:
            continue
        stuck = door.carried > door.width
        yield Finding(
            code="LAYOUT-08", severity=Severity.PROBLEM if stuck else Severity.WARNING, subject=door.name,
            text=f"is {{door}} wide and tank {door.widest_tank} needs {{tank}} carried upright"
            + ("" if stuck else ", which leaves little for hands"),
            numbers=(("door", length(door.width)), ("tank", length(door.carried))),
            value=length(door.carried), limit=length(door.width),
            reason="a tank is carried level, by its ends, and glass does not give",
            remedy="measure the clear width with the door open; take the leaf off; choose another way in",
            source=PRACTICE, line=door.line, places=(door.widest_tank,),
        )  # fmt: skip


def aisles_are_wide_enough(room: Room, result: LayoutResult) -> Iterator[Finding]:
    """LAYOUT-09: each aisle is as wide as the owner asks, or as is usual."""
    narrow = [aisle for aisle in result.aisles if aisle.width < aisle.needed.value - SLIP]
    for severity in (Severity.PROBLEM, Severity.WARNING):
        aisles = [aisle for aisle in narrow if _severity_of(aisle) is severity]
        if not aisles:
            continue
        worst = min(aisles, key=lambda aisle: aisle.width)
        racks = tuple(rack for aisle in aisles for rack in aisle.racks)
        yield Finding(
            code="LAYOUT-09", severity=severity, subject=listed(racks, "rack"),
            text=f"{verb(racks, 'has', 'have')} too little clear in front, {{width}} at the least"
            f" (rack {worst.racks[0]}, to {_the(worst.to)}); {{needed}} is wanted",
            numbers=(("width", length(worst.width)), ("needed", length(worst.needed.value)),
                     ("comfort", length(COMFORTABLE))),
            value=length(worst.width), limit=length(worst.needed.value),
            reason="one kneels there to work the bottom tanks, with a bucket; {comfort} is comfortable",
            remedy="move the rack, make it shallower, or turn it", source=PRACTICE,
            line=_rack_line(room, worst.racks[0]), places=racks,
            rests_on=rests(*(aisle.needed for aisle in aisles)),
        )  # fmt: skip


def every_rack_can_be_walked_to(room: Room, result: LayoutResult) -> Iterator[Finding]:
    """LAYOUT-10: from a door to the front of each rack there is a way, as wide as an aisle.

    The search may be short by one step, so it is given that step; a way that is only as narrow as the rack's own
    aisle is that aisle's affair (LAYOUT-09).
    """
    aisles = {rack: aisle for aisle in result.aisles for rack in aisle.racks}
    found: dict[Severity, list[RackFit]] = {}
    for fit in result.racks:
        aisle = aisles.get(fit.rack)
        if fit.way is None or aisle is None:
            continue
        most = _most(fit)
        if most < SQUEEZE:
            found.setdefault(Severity.PROBLEM, []).append(fit)
        elif most < min(aisle.needed.value, aisle.width):
            found.setdefault(Severity.WARNING, []).append(fit)
    for severity, fits in found.items():
        worst = min(fits, key=_most)
        ids = [fit.rack for fit in fits]
        wanted = aisles[worst.rack].needed
        yield Finding(
            code="LAYOUT-10", severity=severity, subject=listed(ids, "rack"),
            text="cannot be walked to from a door" if _most(worst) <= 0 and len(ids) == 1 else
            f"{verb(ids, 'is', 'are')} reached by a way that narrows to about {{way}} at the worst"
            f" (rack {worst.rack}); {{needed}} is wanted",
            numbers=(("way", length((worst.way or 0.0) + worst.way_step / 2)), ("needed", length(wanted.value))),
            value=length(_most(worst)), limit=length(wanted.value),
            reason="nobody can feed, net or mend what nobody can get to" if severity is Severity.PROBLEM else
            "a tank or a bucket is carried along it",
            remedy="open a gap along the way, or move the door or the rack", source=PRACTICE,
            line=_rack_line(room, worst.rack), places=tuple(ids),
            rests_on=rests(*(aisles[name].needed for name in ids)),
        )  # fmt: skip


def hand_and_net_fit_over_each_tank(room: Room, result: LayoutResult) -> Iterator[Finding]:
    """LAYOUT-11: there is room over each rim for a hand and a net."""
    needed = result.clear_needed
    low = [fit for fit in result.tanks if -SLIP <= fit.clear_above < needed.value - SLIP]
    if low:
        worst = min(low, key=lambda fit: fit.clear_above)
        hard = needed.band is not None and worst.clear_above < needed.band[0]
        yield _tanks(
            room, "LAYOUT-11", Severity.WARNING if hard else Severity.NOTE, low, worst,
            "under {needed} clear over the rim, {out} at the least ({worst})",
            out=length(worst.clear_above), limit=length(needed.value), verbs=("has", "have"),
            reason="a hand, a net and a lid must pass between the rim and what is over it",
            remedy="raise the shelf above, drop a tier, or leave off the front rail",
            source=PRACTICE, rests_on=rests(needed, _assumed_shelf(room, low)),
            extra=(("needed", length(needed.value)),),
        )  # fmt: skip


def an_arm_reaches_the_back(room: Room, result: LayoutResult) -> Iterator[Finding]:
    """LAYOUT-12: the back of each tank, and its far lower corner, lie within an arm's reach."""
    arm = result.arm
    far = [fit for fit in result.tanks if fit.reach_back > arm.value + SLIP]
    if far:
        worst = max(far, key=lambda fit: fit.reach_back)
        yield _tanks(
            room, "LAYOUT-12", Severity.WARNING, far, worst,
            "beyond {arm} from the rack's front, {out} at the most ({worst})",
            out=length(worst.reach_back), limit=length(arm.value), verbs=("has its back pane", "have their back panes"),
            reason="the shoulder has to go in before the hand gets to the back",
            remedy="set the tank nearer the front, choose a shallower one, or leave a way in from behind",
            source=PRACTICE, rests_on=rests(arm), extra=(("arm", length(arm.value)),),
        )  # fmt: skip
    far_ids = {fit.tank for fit in far}
    deep = [fit for fit in result.tanks if fit.reach_corner > arm.value + SLIP and fit.tank not in far_ids]
    if deep:
        worst = max(deep, key=lambda fit: fit.reach_corner)
        yield _tanks(
            room, "LAYOUT-12", Severity.NOTE, deep, worst,
            "a far lower corner beyond {arm} over the front rim, {out} at the most ({worst})",
            out=length(worst.reach_corner), limit=length(arm.value), verbs=("has", "have"),
            reason="a snail or a dead fish in that corner is taken out with tongs",
            remedy="keep long tongs by it",
            source=PRACTICE, rests_on=rests(arm), extra=(("arm", length(arm.value)),),
        )  # fmt: skip


def every_tank_can_come_out(room: Room, result: LayoutResult) -> Iterator[Finding]:
    """LAYOUT-13: an empty tank can leave its place."""
    stuck = [fit for fit in result.tanks if fit.way_out == "none" and fit.clear_above >= -SLIP]
    if stuck:
        worst = min(stuck, key=lambda fit: fit.front_clear or 0.0)
        yield _tanks(
            room, "LAYOUT-13", Severity.WARNING, stuck, worst,
            "(not forward between the uprights, not up, not turned): {out} is clear before {worst}",
            out=length(worst.front_clear or 0.0), limit=length(room.tank(worst.tank).depth),
            verbs=("cannot be taken out as it stands", "cannot be taken out as they stand"),
            reason="a tank that leaks has to be taken out one day",
            remedy="leave more floor before it, more height over it, or make an upright that unbolts",
        )  # fmt: skip
    blocked = [fit for fit in result.tanks if fit.way_out == "front after neighbours"]
    if blocked:
        yield _tanks(
            room, "LAYOUT-13", Severity.NOTE, blocked, blocked[0],
            "an upright in front and can come out only after a neighbour",
            out=length(blocked[0].front_clear or 0.0), limit=None, verbs=("has", "have"),
            reason="the uprights stand before its ends",
            remedy="move the uprights or the tanks, or accept it",
        )  # fmt: skip


def top_tanks_can_be_seen_into(room: Room, result: LayoutResult) -> Iterator[Finding]:
    """LAYOUT-22: the rims of the top tanks are not over one's head."""
    high = [fit for fit in result.tanks if fit.over_floor > EYE_LEVEL]
    if high:
        worst = max(high, key=lambda fit: fit.over_floor)
        yield _tanks(
            room, "LAYOUT-22", Severity.WARNING if worst.over_floor > OVERHEAD else Severity.NOTE,
            high, worst,
            "a rim above eye level, {out} over the floor at the most ({worst})",
            out=length(worst.over_floor), limit=length(EYE_LEVEL), verbs=("has", "have"),
            reason="one looks up into it, and nets and lifts it overhead",
            remedy="keep a steady step there, put small tanks on top, or lower the rack", source=PRACTICE,
        )  # fmt: skip


def a_dense_room_is_still_reachable(room: Room, result: LayoutResult) -> Iterator[Finding]:
    """LAYOUT-21: more tanks to the square metre than most rooms that were built."""
    for space in result.spaces:
        if space.tanks_per_area > DENSE:
            yield Finding(
                code="LAYOUT-21", severity=Severity.NOTE, subject=f"room {space.space}",
                text="holds {tanks} tanks, {density} to the square metre",
                numbers=(("tanks", count(space.tanks)), ("density", Number(space.tanks_per_area, "number"))),
                value=Number(space.tanks_per_area, "number"), limit=Number(DENSE, "number"),
                reason="rooms that keepers have built hold 3 to 9; above 6 aisles and reach decide",
                remedy="look at the aisles, the reach and the ways named here", source=PRACTICE,
                places=tuple(tank.id for tank in room.tanks if tank.room == space.space),
            )  # fmt: skip


def what_was_not_worked_out(_room: Room, result: LayoutResult) -> Iterator[Finding]:
    """LAYOUT-25: parts of the layout that could not be judged."""
    for subject, reason in dict.fromkeys(result.not_computed):
        yield Finding(
            code="LAYOUT-25", severity=Severity.NOT_COMPUTED, subject=subject, text="was not judged here",
            reason=reason, remedy="describe it in the plan",
        )  # fmt: skip


CHECKS: Final[tuple[Check, ...]] = (
    everything_stands_inside_the_walls, nothing_passes_the_ceiling, nothing_stands_in_anything,
    tanks_stand_wholly_on_their_rack, tanks_are_lower_than_their_shelf_gap, doors_open_past_everything,
    the_widest_tank_passes_each_door, aisles_are_wide_enough, every_rack_can_be_walked_to,
    hand_and_net_fit_over_each_tank, an_arm_reaches_the_back, every_tank_can_come_out, *HOLE_CHECKS,
    a_dense_room_is_still_reachable, top_tanks_can_be_seen_into, what_was_not_worked_out,
)  # fmt: skip


def _tanks(  # noqa: PLR0913 - the fields of one finding
    room: Room, code: str, severity: Severity, fits: list[TankFit], worst: TankFit, text: str, *,
    out: Number, limit: Number | None, verbs: tuple[str, str], reason: str, remedy: str,
    source: str = GEOMETRY, rests_on: tuple[str, ...] = (), extra: tuple[tuple[str, Number], ...] = (),
) -> Finding:  # fmt: skip
    """One finding for all tanks of a kind, naming the worst."""
    ids = [fit.tank for fit in fits]
    tank: Tank = room.tank(worst.tank)
    return Finding(
        code=code, severity=severity, subject=listed(ids),
        text=f"{verb(ids, *verbs)} {text.replace('{worst}', worst.tank)}",
        numbers=(("out", out), *extra), value=out, limit=limit, reason=reason, remedy=remedy, source=source,
        line=tank.line, places=tuple(ids), rests_on=rests_on,
    )  # fmt: skip


def _assumed_shelf(room: Room, fits: list[TankFit]) -> Known | None:
    """The assumed thickness of a shelf, when what is over one of these tanks is a shelf."""
    ids = {fit.tank for fit in fits}
    said = {rack.id for rack in room.racks if rack.shelf_thickness is not None}
    if not any(
        tank.id in ids and tank.rack not in said and tank.under.startswith("shelf ") for tank in room.tanks
    ):
        return None
    return next((known for known in room.assumed if known.key == "rack.shelf_thickness"), None)


def _severity_of(aisle: Aisle) -> Severity:
    """Under what the owner asks, or under the whole band of the assumption, it is a problem."""
    band = aisle.needed.band
    return Severity.PROBLEM if band is None or aisle.width < band[0] - SLIP else Severity.WARNING


def _most(fit: RackFit) -> float:
    return fit.way + fit.way_step if fit.way else 0.0


def _rack_line(room: Room, name: str) -> int | None:
    return next((rack.line for rack in room.racks if rack.id == name), None)


def _ids(names: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(name.removeprefix("rack ") for name in names)


def _the(name: str) -> str:
    return "the wall" if name == "wall" else name
