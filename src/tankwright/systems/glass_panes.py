"""Which panes a room has, as they are loaded: kinds of tank taken apart into plates that hang in silicone.

The tank is glued as `takeoff.panes` cuts it: the base under the walls, front and back over the whole length, the ends
between them. Where it is made otherwise the spans differ by a glass or two.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.origin import Known
from tankwright.physics.constants import STANDARD_GRAVITY, WATER_DENSITY
from tankwright.room.assumed import assumed
from tankwright.room.model import GlassLaws, HolePlace, Pane, Room, Tank
from tankwright.systems.glass_model import Held, PaneCase, PaneHole
from tankwright.units import Metre, Pascal

PANES: Final[tuple[Pane, ...]] = ("front", "back", "left", "right", "base")
THINNEST: Final = (
    0.003  # m; nobody glues a tank that stands full of thinner glass: it was measured wrong (practice)
)
SAME: Final = 6  # decimals of a metre: tanks whose levels differ by less are one case
MEASURE_GLASS: Final = "measure it with a caliper, and write it in the plan"


@dataclass(frozen=True, slots=True, kw_only=True)
class PanesOfRoom:
    """The cases, and the panes that cannot be one: (subject, reason, remedy)."""

    cases: tuple[PaneCase, ...]
    not_computed: tuple[tuple[str, str, str], ...]


def laws_of(room: Room) -> GlassLaws:
    """What the room's panes are worked out with: laid out with it, or the defaults."""
    return room.glass_laws or GlassLaws(
        stiffness=assumed(room, "glass.stiffness"),
        poisson=assumed(room, "glass.poisson"),
        working_surface=assumed(room, "glass.working_surface"),
        working_edge=assumed(room, "glass.working_edge"),
    )


def panes_of(room: Room) -> PanesOfRoom:
    """Every pane of the room that differs from the others, and what cannot be worked out.

    >>> panes_of(Room(title="", display="metric", spaces=(), racks=(), tanks=())).cases
    ()
    """
    laws = laws_of(room)
    density = (room.glass_density or ASSUMPTIONS["glass.density"].known()).value
    alike: dict[tuple[str, float, float, float], list[Tank]] = {}
    for tank in room.tanks:
        bed = tank.substrate_mass / tank.inside_area if tank.inside_area > 0.0 else 0.0
        level = tank.level - tank.floor_inside
        key = (tank.kind, round(level, SAME), round(tank.substrate_depth, SAME), round(bed, SAME))
        alike.setdefault(key, []).append(tank)
    cases: list[PaneCase] = []
    missing: dict[tuple[str, str, str], dict[Pane, None]] = {}
    unsized: dict[tuple[str, str, str], None] = {}
    for tanks in alike.values():
        for pane in PANES:
            why = _not_a_plate(tanks[0], pane)
            if why is not None:
                missing.setdefault((tanks[0].kind, *why), {})[pane] = None
                continue
            cases.append(_case(tanks, pane, laws, density))
            unsized.update(dict.fromkeys(_holes_not_screened(cases[-1])))
    unknown = [(name_of(kind, *panes), why, remedy) for (kind, why, remedy), panes in missing.items()]
    return PanesOfRoom(cases=tuple(cases), not_computed=(*unknown, *unsized))


def name_of(kind: str, *panes: Pane) -> str:
    """Panes as their owner calls them; all of them together are the kind.

    >>> name_of("long90", "left"), name_of("long90", "front", "back"), name_of("long90", *PANES)
    ('tank kind long90, left end', 'tank kind long90, front and back', 'tank kind long90')
    """
    if len(panes) == len(PANES):
        return f"tank kind {kind}"
    words = [f"{pane} end" if pane in ("left", "right") else pane for pane in panes]
    return f"tank kind {kind}, {' and '.join((', '.join(words[:-1]), words[-1])) if len(words) > 1 else words[0]}"


def temper_of(tank: Tank, pane: Pane) -> str:
    """Annealed, toughened or unknown, for one pane."""
    return "toughened" if pane in tank.toughened else tank.temper


def _not_a_plate(tank: Tank, pane: Pane) -> tuple[str, str] | None:
    """Why a pane is not worked out: nothing is guessed about glass that holds water over a floor."""
    thickness = tank.glass_base if pane == "base" else tank.glass_side
    if thickness.is_assumed:
        return "its thickness is not said, and stress goes with the square of it", MEASURE_GLASS
    if thickness.value < THINNEST:
        return "it is said to be thinner than 3 mm, thinner than any tank's glass", MEASURE_GLASS
    temper = temper_of(tank, pane)
    if temper == "unknown":
        return (
            "nobody has said whether it is annealed or toughened",
            'look for the maker\'s mark in a corner, or ask; then write temper = "annealed" or "toughened"',
        )
    if temper == "toughened" and any(hole.pane == pane for hole in _holes_of(tank)):
        return (
            "it is toughened and has a hole, and toughened glass is never drilled",
            "drill another pane, or ask whoever toughened it with the hole in it what it bears",
        )
    length, height = _spans(tank, pane)
    if length <= 0.0 or height <= 0.0:
        return "nothing is left of it between the glass that holds it", "measure the tank again"
    return None


def _holes_not_screened(case: PaneCase) -> list[tuple[str, str, str]]:
    found = []
    subject = f"{name_of(case.kind, case.pane)}, its hole"
    for hole in case.holes:
        if hole.diameter.is_assumed:
            found.append(
                (subject, "the size of the hole is not said, and fittings of one thread differ by 7 mm",
                 "measure your fitting with a caliper, and write the hole's diameter")
            )  # fmt: skip
        elif not on_pane(case, hole):
            found.append((subject, "it runs off its pane", "measure where it goes again"))
    return found


def on_pane(case: PaneCase, hole: PaneHole) -> bool:
    """Whether a whole hole lies between the lines that hold the pane."""
    radius = hole.diameter.value / 2.0
    return radius <= hole.x <= case.length - radius and radius <= hole.y <= case.height - radius


def _case(tanks: list[Tank], pane: Pane, laws: GlassLaws, density: float) -> PaneCase:
    tank = tanks[0]
    side, base = tank.glass_side.value, tank.glass_base.value
    length, height = _spans(tank, pane)
    wide, deep = _sides(tank)
    still = round(max(tank.level - tank.floor_inside, 0.0), SAME)
    brim = tank.height - base
    if pane == "base":
        outside, offset = (wide, deep), (side / 2.0, side / 2.0)
    elif pane in ("left", "right"):
        outside, offset = (deep, tank.height), (side, base)
    else:
        outside, offset = (wide, tank.height), (side / 2.0, base)
    held = _held(tank, pane)
    return PaneCase(
        kind=tank.kind,
        pane=pane,
        tanks=tuple(one.id for one in tanks),
        length=round(length, SAME),
        height=round(height, SAME),
        thickness=tank.glass_base if pane == "base" else tank.glass_side,
        held=held,
        head=still if pane == "base" else min(still, round(height, SAME)),
        brim=round(brim, SAME) if pane == "base" else round(height, SAME),
        pressure=_bed_and_glass(tank, density) if pane == "base" else 0.0,
        outside=outside,
        offset=offset,
        stiffness=laws.stiffness,
        poisson=laws.poisson,
        holes=tuple(_hole(hole, pane, outside, offset) for hole in _holes_of(tank) if hole.pane == pane),
        brace=tank.brace if held in ("cross", "euro") else None,
        temper=temper_of(tank, pane),
        edges=tank.edges,
        line=(tank.glass_base if pane == "base" else tank.glass_side).line or tank.line,
    )


def _held(tank: Tank, pane: Pane) -> Held:
    if pane == "base":
        return "bed" if tank.base_on == "bed" else "held"
    if tank.top == "rim":
        return "held"
    if tank.brace is not None:
        if tank.brace.kind == "euro":
            return "euro"
        return "cross" if pane in ("front", "back") else "free"
    if tank.top == "braced":
        return "cross" if pane in ("front", "back") else "free"
    return "free"


def _spans(tank: Tank, pane: Pane) -> tuple[Metre, Metre]:
    """Length and height between the lines that hold a pane."""
    wide, deep = _sides(tank)
    side = tank.glass_side.value
    tall = tank.height - tank.glass_base.value
    if pane == "base":
        return wide - side, deep - side
    if pane in ("left", "right"):
        return deep - 2.0 * side, tall
    return wide - side, tall


def _sides(tank: Tank) -> tuple[Metre, Metre]:
    return (tank.depth, tank.length) if tank.end_on else (tank.length, tank.depth)


def _bed_and_glass(tank: Tank, density: float) -> Pascal:
    """What lies on a base besides water to its floor: the bed in place of the water it pushes up, and its own glass."""
    bed = tank.substrate_mass * STANDARD_GRAVITY / tank.inside_area if tank.inside_area > 0.0 else 0.0
    drowned = min(tank.substrate_depth, max(tank.level - tank.floor_inside, 0.0))
    own = tank.glass_base.value * density * STANDARD_GRAVITY
    return max(bed - WATER_DENSITY * STANDARD_GRAVITY * drowned, 0.0) + own


def _holes_of(tank: Tank) -> tuple[HolePlace, ...]:
    return ((tank.hole,) if tank.hole else ()) + tank.more_holes


def _hole(hole: HolePlace, pane: Pane, outside: tuple[Metre, Metre], offset: tuple[Metre, Metre]) -> PaneHole:
    clear, radius = dict(hole.edge_distances), hole.diameter.value / 2.0
    from_left = clear["front" if pane in ("left", "right") else "left"] + radius
    below = clear["back" if pane == "base" else "top"] + radius
    return PaneHole(
        x=round(from_left - offset[0], SAME),
        y=round(outside[1] - offset[1] - below, SAME),
        diameter=hole.diameter,
        flange=hole.flange,
        line=hole.line,
    )


def knowns_of(case: PaneCase) -> tuple[Known, ...]:
    """What a verdict on a pane stands on, besides where its water stands."""
    return (
        case.thickness,
        case.stiffness,
        case.poisson,
        *(hole.diameter for hole in case.holes),
    )
