"""What all tanks of a kind have in common, worked out once: panes, hole, elbow, level, masses."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from tankwright.origin import Known, Origin, derived
from tankwright.physics.elbows import elbow_angle, elbow_level
from tankwright.plan.models import Overflow, TankKind
from tankwright.room.defaults import Defaults
from tankwright.room.mistakes import (
    ELBOW_IN_BASE,
    GLASS_TOO_THICK,
    LEVEL_OUT_OF_ELBOWS_REACH,
    TWO_LEVELS_SAID,
    Mistakes,
    metres,
)
from tankwright.room.model import Pane
from tankwright.room.model_structure import BracePlace
from tankwright.room.tank_glass import (
    HoleOfKind,
    brace_of,
    hole_of,
    more_holes_of,
    say_what_cannot_be_drilled,
)
from tankwright.units import CubicMetre, Kilogram, Metre, Radian, SquareMetre

PANES: tuple[Pane, ...] = ("front", "back", "left", "right", "base")
SAME_LEVEL = 0.003
"""m by which a stated level and a stated angle may disagree: what a ruler shows."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MouthOfKind:
    """What sets the level: the lip stands `lip_up` above the underside of the tank."""

    standpipe: bool
    lip_up: Metre
    angle: Radian
    reach: Known
    bore: Known
    open_share: Known
    level: Known
    line: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class KindFacts:
    """A kind of tank in numbers, measured from its own left, back and underside."""

    name: str
    table: TankKind
    length: Metre
    depth: Metre
    height: Metre
    side: Known
    base: Known
    toughened: tuple[Pane, ...]
    temper: str
    inside_area: SquareMetre
    level_up: Metre
    level: Known
    water_volume: CubicMetre
    freeboard: Metre
    empty_mass: Known
    fittings_mass: Known
    substrate_depth: Metre
    substrate_mass: Kilogram
    hole: HoleOfKind | None
    mouth: MouthOfKind | None
    brace: BracePlace | None
    more_holes: tuple[HoleOfKind, ...]

    def filled_to(self, level_up: Metre, level: Known, mouth: MouthOfKind | None) -> KindFacts:
        """The same with its still water at another height."""
        return replace(
            self,
            mouth=mouth,
            level_up=level_up,
            level=level,
            water_volume=self.inside_area * max(level_up - self.base.value - self.substrate_depth, 0.0),
            freeboard=self.height - level_up,
        )


def facts_of(name: str, table: TankKind, defaults: Defaults, mistakes: Mistakes) -> KindFacts:
    """Everything about a kind that does not depend on where a tank stands."""
    length, depth, height = (side.value for side in table.outside)
    smallest = min(length, depth)
    glass = table.glass
    side = defaults.take("glass.sides", glass.sides if glass else None)
    base = defaults.take("glass.base", glass.base if glass else None)
    side = _thin_enough(name, side, 0.4 * smallest, table.line, mistakes)
    base = _thin_enough(name, base, 0.8 * height, table.line, mistakes)
    area = (length - 2.0 * side.value) * (depth - 2.0 * side.value)
    hole = hole_of(name, table, side, base, defaults, mistakes)
    more = more_holes_of(name, table, side, base, defaults, mistakes)
    brace = brace_of(name, table, side, mistakes)
    say_what_cannot_be_drilled(name, table, ((hole,) if hole else ()) + more, brace, mistakes)
    mouth = _mouth(name, table, hole, defaults, mistakes) if hole else None
    if mouth is None:
        below = defaults.take(
            "tank.fill_below_rim", table.overflow.water_below_rim if table.overflow else None
        )
        level_up, level = filled_below_rim(below, height, base)
    else:
        level_up, level = mouth.lip_up, mouth.level
    bed = table.substrate
    bed_depth = min(bed.depth.value, height - base.value) if bed else 0.0
    bed_mass = bed_depth * area * defaults.take("substrate.density", bed.density).value if bed else 0.0
    outside = length * depth * height
    panes = (outside - area * (height - base.value)) * defaults.take("glass.density").value
    temper = glass.temper if glass else "unknown"
    toughened = PANES if temper == "toughened" else (glass.toughened_panes if glass else ())
    return KindFacts(
        name=name,
        table=table,
        length=length,
        depth=depth,
        height=height,
        side=side,
        base=base,
        toughened=toughened,
        temper=temper,
        inside_area=area,
        level_up=level_up,
        level=level,
        water_volume=area * max(level_up - base.value - bed_depth, 0.0),
        freeboard=height - level_up,
        empty_mass=table.empty_mass or _pane_mass(panes, side, base),
        fittings_mass=defaults.take("fittings.mass"),
        substrate_depth=bed_depth,
        substrate_mass=bed_mass,
        hole=hole,
        mouth=mouth,
        brace=brace,
        more_holes=more,
    )


def filled_below_rim(below: Known, height: Metre, base: Known) -> tuple[Metre, Known]:
    """The still water of a tank that is not drilled: its height above the underside, and how that is known."""
    return max(height - below.value, base.value), _as_level(below, height)


def _thin_enough(name: str, thickness: Known, most: Metre, line: int | None, mistakes: Mistakes) -> Known:
    if thickness.value <= most:
        return thickness
    mistakes.say(
        GLASS_TOO_THICK,
        f"tank kind {name}",
        "has glass of {thickness}, which leaves nothing of its inside",
        line=thickness.line or line,
        numbers=(("thickness", metres(thickness.value)),),
        reason="the tank is laid out with thinner glass, so its water is not to be trusted",
        remedy="measure the glass and the outside of the tank again",
    )
    return Known(
        most, thickness.origin, line=thickness.line, key=thickness.key, reason="cut to fit the outside"
    )


def _pane_mass(mass: Kilogram, side: Known, base: Known) -> Known:
    """Glass from its panes; as well known as their thickness."""
    for thickness in (side, base):
        if thickness.is_assumed:
            return Known(mass, Origin.ASSUMED, key=thickness.key, reason="panes of an assumed thickness")
    return derived(mass, "pane by pane")


def _mouth(
    name: str, table: TankKind, hole: HoleOfKind, defaults: Defaults, mistakes: Mistakes
) -> MouthOfKind:
    said = table.overflow or Overflow()
    standpipe = said.kind == "standpipe"
    if hole.pane == "base" and not standpipe:
        if "kind" in said.model_fields_set:
            mistakes.say(
                ELBOW_IN_BASE,
                f"tank kind {name}",
                "has an elbow in a hole of its base",
                line=said.line or table.line,
                reason="an elbow in the base would empty the tank",
                remedy='write kind = "standpipe", or drill the back',
            )
        standpipe = True
    return mouth_of(f"tank kind {name}", table, said, hole, standpipe, said.line, defaults, mistakes)


def mouth_of(
    subject: str,
    table: TankKind,
    said: Overflow,
    hole: HoleOfKind,
    standpipe: bool,
    line: int | None,
    defaults: Defaults,
    mistakes: Mistakes,
) -> MouthOfKind:
    """What sets the level in a tank with this hole; `line` is where its overflow is said."""
    bore = defaults.take("overflow.bore", said.bore)
    open_share = defaults.take("strainer.open", said.strainer_open)
    if standpipe:
        below = defaults.take("overflow.below_rim", said.water_below_rim)
        floor = defaults_floor(table, defaults)
        lip = max(hole.up, floor, hole_top(table) - below.value)
        reach = derived(max(lip - hole.up, 0.0), "from the hole to the lip")
        return MouthOfKind(
            standpipe=True,
            lip_up=lip,
            angle=0.0,
            reach=reach,
            bore=bore,
            open_share=open_share,
            level=_as_level(below, hole_top(table)),
            line=line or hole.line,
        )
    reach = defaults.take("overflow.reach", said.elbow_reach)
    lip, angle, level = _turn(subject, table, said, hole, reach, line, defaults, mistakes)
    return MouthOfKind(
        standpipe=False,
        lip_up=lip,
        angle=angle,
        reach=reach,
        bore=bore,
        open_share=open_share,
        level=level,
        line=line or hole.line,
    )


def defaults_floor(table: TankKind, defaults: Defaults) -> Metre:
    """Height of the inside of the base above the underside."""
    return defaults.take("glass.base", table.glass.base if table.glass else None).value


def hole_top(table: TankKind) -> Metre:
    """Height of the rim above the underside."""
    return table.outside[2].value


def _turn(
    subject: str,
    table: TankKind,
    said: Overflow,
    hole: HoleOfKind,
    reach: Known,
    line: int | None,
    defaults: Defaults,
    mistakes: Mistakes,
) -> tuple[Metre, Radian, Known]:
    """Lip above the underside, the elbow's angle, and how the level is known."""
    height = hole_top(table)
    centre = min(max(hole.up, -1.0), height + 1.0)  # a hole off its pane is said; it is laid out near it
    bore = defaults.take("overflow.bore", said.bore)
    arm, mouth = min(reach.value, 1.0), min(max(bore.value, 0.001), 0.2)
    if said.angle is not None:
        turn = abs(said.angle.value) % (2.0 * math.pi)
        angle = min(turn, 2.0 * math.pi - turn)
        lip = elbow_level(hole_height=centre, reach=arm, bore=mouth, angle=angle)
        level = Known(lip, said.angle.origin, line=said.angle.line, reason="from the angle of the elbow")
        stated = said.water_below_rim
        if stated is not None and abs(height - stated.value - lip) > SAME_LEVEL:
            mistakes.say(
                TWO_LEVELS_SAID,
                subject,
                "says water {stated} below the rim, but its elbow's angle gives {turned}",
                line=line or table.line,
                reason="only one can be true; the angle is used",
                remedy="take one of the two out",
                numbers=(
                    ("stated", metres(stated.value)),
                    ("turned", metres(height - lip)),
                ),
            )
        return lip, angle, level
    below = defaults.take("overflow.below_rim", said.water_below_rim)
    wanted = height - below.value
    lowest, highest = centre - mouth / 2.0, centre + arm
    lip = min(max(wanted, lowest), highest)
    angle = elbow_angle(hole_height=centre, reach=arm, bore=mouth, level=lip)
    if lip == wanted:
        return lip, angle, _as_level(below, height)
    if not below.is_assumed:
        mistakes.say(
            LEVEL_OUT_OF_ELBOWS_REACH,
            subject,
            "wants water {below} below the rim, but its elbow turns only from {least} to {most} below it",
            line=below.line or table.line,
            numbers=(
                ("below", metres(below.value)),
                ("least", metres(height - highest)),
                ("most", metres(height - lowest)),
            ),
            reason="the level is laid out at the nearest the elbow can give",
            remedy="drill elsewhere, take an elbow of another reach, or choose a level inside that range",
        )
    return lip, angle, derived(lip, "the nearest level the elbow can give")


def _as_level(below: Known, height: Metre) -> Known:
    """A depth below the rim as a height above the underside, known as well as the depth."""
    band = None if below.band is None else (height - below.band[1], height - below.band[0])
    return Known(
        height - below.value,
        below.origin,
        line=below.line,
        measured_on=below.measured_on,
        key=below.key,
        band=band,
        reason=below.reason,
    )
