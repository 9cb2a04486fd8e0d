"""Tanks where they stand: shelf by shelf, from the left, with their holes, lips and water."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from tankwright.origin import Known
from tankwright.plan.ids import IdsError, expand_ids
from tankwright.plan.models import Plan, Standing, TankException
from tankwright.room.defaults import Defaults
from tankwright.room.frames import Flat, box_between
from tankwright.room.kinds import KindFacts, facts_of
from tankwright.room.mistakes import (
    NAME_USED_TWICE,
    NO_SUCH_SHELF,
    SECOND_LIP_OVER_RIM,
    TANKS_LONGER_THAN_SHELF,
    UNREADABLE_IDS,
    Mistakes,
    metres,
)
from tankwright.room.model import Box, HolePlace, OverflowPlace, SecondOverflow, Tank
from tankwright.room.racks import Stand
from tankwright.room.single_tanks import facts_of_one
from tankwright.room.spaces import ceiling_over
from tankwright.room.tank_glass import HoleOfKind
from tankwright.units import Metre

TOLERANCE = 1e-3
"""m by which a row of tanks may be longer than its shelf before it is said."""


@dataclass(slots=True, kw_only=True)
class _Laying:
    """What is carried from rack to rack while tanks are laid out."""

    plan: Plan
    defaults: Defaults
    mistakes: Mistakes
    facts: dict[str, KindFacts]
    at_height: dict[tuple[str, Metre], _AtHeight]
    tanks: dict[str, Tank]


@dataclass(frozen=True, slots=True)
class _AtHeight:
    """What tanks of one kind on shelves of one height share."""

    level: Known
    overflow: OverflowPlace | None


def lay_tanks(
    plan: Plan, stands: Mapping[str, Stand], defaults: Defaults, mistakes: Mistakes
) -> dict[str, Tank]:
    """Every tank that can be placed, by name, rack by rack in the plan's order; hoses come with the drain."""
    laying = _Laying(plan=plan, defaults=defaults, mistakes=mistakes, facts={}, at_height={}, tanks={})
    for stand in stands.values():
        for number, standings in _shelves(stand, mistakes):
            _lay_shelf(laying, stand, number, standings)
    return laying.tanks


def _shelves(stand: Stand, mistakes: Mistakes) -> list[tuple[int, tuple[Standing, ...]]]:
    found: list[tuple[int, tuple[Standing, ...]]] = []
    for key, standings in stand.table.shelf.items():
        number = int(key) if key.isascii() and key.isdigit() and len(key) < 4 else 0
        if 1 <= number <= len(stand.place.shelves):
            found.append((number, standings))
        elif standings:
            last = len(stand.place.shelves)
            mistakes.say(
                NO_SUCH_SHELF,
                f"rack {stand.place.id}",
                "has tanks on a shelf its kind does not have",
                line=standings[0].line or stand.place.line,
                reason="those tanks are not laid out",
                remedy="add the shelf to the kind of rack, or move the tanks",
                found=f"shelf.{key}",
                wanted=f"shelf.1 to shelf.{last}" if last else "a kind with shelves",
            )
    return sorted(found, key=lambda one: one[0])


def _lay_shelf(laying: _Laying, stand: Stand, number: int, standings: tuple[Standing, ...]) -> None:
    mistakes = laying.mistakes
    height = stand.place.shelves[number - 1]
    end = 0.0
    ids_here: list[str] = []
    for standing in standings:
        facts = _facts(laying, stand, standing)
        ids = _ids(laying, stand, standing)
        if facts is None or not ids:
            continue
        gap = laying.defaults.take("tank.gap", standing.gap).value
        wide = facts.depth if standing.end_on else facts.length
        deep = facts.length if standing.end_on else facts.depth
        off_back = standing.off_back.value if standing.off_back else max(stand.place.depth - deep, 0.0) / 2.0
        following = end + gap if ids_here else 0.0
        along = following if standing.from_left is None else standing.from_left.value
        for name in ids:
            if name in laying.tanks:
                mistakes.say(
                    NAME_USED_TWICE,
                    f"tank {name}",
                    f"stands on rack {laying.tanks[name].rack} already",
                    line=standing.line or stand.place.line,
                    places=(name,),
                    reason="a tank stands in one place; only the first is laid out",
                    remedy="give one of the two another name",
                )
                continue
            laying.tanks[name] = _tank(
                laying, stand, facts, standing, (number, height, along, off_back, name)
            )
            ids_here.append(name)
            end = along + wide
            along = end + gap
    if end > stand.place.length + TOLERANCE:
        mistakes.say(
            TANKS_LONGER_THAN_SHELF,
            f"rack {stand.place.id}",
            f"has tanks on shelf {number} that reach {{end}} from its left end, but it is {{length}} long",
            line=standings[0].line or stand.place.line,
            places=tuple(ids_here),
            numbers=(("end", metres(end)), ("length", metres(stand.place.length))),
            reason="the last of them hang over the end",
            remedy="take one off, use smaller gaps, or turn some end-on",
        )


def _facts(laying: _Laying, stand: Stand, standing: Standing) -> KindFacts | None:
    name = standing.kind
    kinds = laying.plan.tank_kind
    if name not in kinds:
        subject = f"rack {stand.place.id}"
        name = laying.mistakes.unknown(
            subject, "kind of tank", name, tuple(kinds), standing.line or stand.place.line
        )
        if not name:
            return None
    facts = laying.facts.get(name)
    if facts is None:
        facts = facts_of(name, kinds[name], laying.defaults, laying.mistakes)
        laying.facts[name] = facts
    return facts


def _ids(laying: _Laying, stand: Stand, standing: Standing) -> tuple[str, ...]:
    try:
        return expand_ids(standing.ids)
    except IdsError as error:
        laying.mistakes.say(
            UNREADABLE_IDS,
            f"rack {stand.place.id}",
            f'"{standing.ids}" {error.text}',
            line=standing.line or stand.place.line,
            reason="those tanks are not laid out",
            remedy="name tanks as A1..A4 or A1, A5",
            attempt=error.attempt,
        )
        return ()


def _tank(
    laying: _Laying,
    stand: Stand,
    facts: KindFacts,
    standing: Standing,
    spot: tuple[int, Metre, Metre, Metre, str],
) -> Tank:
    number, bottom, along, off_back, name = spot
    end_on = standing.end_on
    wide, deep = (facts.depth, facts.length) if end_on else (facts.length, facts.depth)
    frame = stand.frame
    own = laying.plan.tank.get(name)
    rim = bottom + facts.height
    box = box_between(frame.point(along, off_back), frame.point(along + wide, off_back + deep), bottom, rim)
    if own is not None and own.overflow is not None:
        facts = facts_of_one(name, own, facts, laying.defaults, laying.mistakes)
        shared = _at_height(facts, bottom)
    else:
        found = laying.at_height.get((facts.name, bottom))
        shared = found or laying.at_height.setdefault((facts.name, bottom), _at_height(facts, bottom))
    hole = None if facts.hole is None else _hole(facts, facts.hole, stand, end_on, (along, off_back, bottom))
    clear, under = _above(laying, stand, number, box)
    return Tank(
        id=name,
        kind=facts.name,
        room=stand.place.room,
        rack=stand.place.id,
        shelf=number,
        zone=stand.place.zone,
        state=own.state if own and own.state else standing.state,
        box=box,
        facing=stand.place.facing,
        end_on=end_on,
        length=wide,
        depth=deep,
        height=facts.height,
        glass_side=facts.side,
        glass_base=facts.base,
        toughened=facts.toughened,
        temper=facts.temper,
        top=facts.table.top,
        lid=own.lid if own and own.lid is not None else facts.table.lid,
        inside_area=facts.inside_area,
        floor_inside=bottom + facts.base.value,
        rim=rim,
        level=bottom + facts.level_up,
        level_known=shared.level,
        water_volume=facts.water_volume,
        freeboard=facts.freeboard,
        freeboard_volume=facts.freeboard * facts.inside_area,
        empty_mass=facts.empty_mass,
        fittings_mass=facts.fittings_mass,
        substrate_depth=facts.substrate_depth,
        substrate_mass=facts.substrate_mass,
        clear_above=clear,
        under=under,
        hole=hole,
        overflow=shared.overflow,
        second_overflow=_second_overflow(laying, name, own, facts, bottom),
        float_cutoff=(own.float_cutoff if own else None) or facts.table.float_cutoff,
        note=own.note if own else None,
        brace=facts.brace,
        base_on=facts.table.base_on,
        edges=facts.table.glass.edges if facts.table.glass else None,
        more_holes=tuple(
            _hole(facts, one, stand, end_on, (along, off_back, bottom)) for one in facts.more_holes
        ),
        line=standing.line or stand.place.line,
    )


def _second_overflow(
    laying: _Laying, name: str, own: TankException | None, facts: KindFacts, bottom: Metre
) -> SecondOverflow | None:
    said = (own.second_overflow if own else None) or facts.table.second_overflow
    if said is None:
        return None
    defaults = laying.defaults
    lip = bottom + facts.level_up + defaults.take("second_overflow.above_lip", said.above_lip).value
    if lip >= bottom + facts.height:
        laying.mistakes.say(
            SECOND_LIP_OVER_RIM,
            f"tank {name}",
            "has its second overflow at or above its rim, so it runs over first",
            line=said.line,
            places=(name,),
            reason="it is laid out without it",
            remedy="set its lip lower, or turn the first elbow for lower water",
        )
        return None
    bore = defaults.take("overflow.bore", said.bore)
    return SecondOverflow(lip=lip, bore=bore, to=said.to, line=said.line)


def _at_height(facts: KindFacts, bottom: Metre) -> _AtHeight:
    level = _lifted(facts.level, bottom)
    mouth = facts.mouth
    if mouth is None:
        return _AtHeight(level, None)
    overflow = OverflowPlace(
        kind="standpipe" if mouth.standpipe else "elbow",
        lip=bottom + mouth.lip_up,
        angle=mouth.angle,
        reach=mouth.reach,
        bore=mouth.bore,
        open_share=mouth.open_share,
        level_known=level,
        line=mouth.line,
    )
    return _AtHeight(level, overflow)


def _lifted(known: Known, by: Metre) -> Known:
    band = None if known.band is None else (known.band[0] + by, known.band[1] + by)
    return replace(known, value=known.value + by, band=band)


def _hole(
    facts: KindFacts, hole: HoleOfKind, stand: Stand, end_on: bool, corner: tuple[Metre, Metre, Metre]
) -> HolePlace:
    along, off_back, bottom = corner
    x, y = _hole_centre(facts, hole, stand, end_on, (along, off_back))
    return HolePlace(
        pane=hole.pane,
        centre=(x, y, bottom + hole.up),
        diameter=hole.diameter,
        edge_distances=hole.edge_distances,
        pane_thickness=hole.pane_thickness,
        flange=hole.flange,
        to_order=hole.to_order,
        number=hole.number,
        fitting=hole.fitting,
        line=hole.line,
    )


def _hole_centre(
    facts: KindFacts, hole: HoleOfKind, stand: Stand, end_on: bool, corner: tuple[Metre, Metre]
) -> Flat:
    """The hole on the floor plan. End-on, the drilled or else the left end is behind."""
    along, off_back = corner
    if not end_on:
        return stand.frame.point(along + hole.across, off_back + hole.from_back)
    if hole.pane == "right":
        return stand.frame.point(along + hole.from_back, off_back + facts.length - hole.across)
    return stand.frame.point(along + facts.depth - hole.from_back, off_back + hole.across)


def _above(laying: _Laying, stand: Stand, number: int, box: Box) -> tuple[Metre, str]:
    """Clear height over a tank's rim and what is there: the next shelf, a beam, or the ceiling."""
    shelves = stand.place.shelves
    space = stand.space
    if number < len(shelves):
        thickness = laying.defaults.take("rack.shelf_thickness", stand.kind.shelf_thickness)
        least = shelves[number] - thickness.value
        under = f"shelf {number + 1} of {stand.place.id}"
    else:
        least = ceiling_over(space, box)
        under = "ceiling" if space.slope_towards is None else "sloping ceiling"
    for name, beam in space.beams:
        if beam.z0 < least and _over(beam, box):
            least, under = beam.z0, name
    return least - box.z1, under


def _over(beam: Box, box: Box) -> bool:
    return beam.x0 < box.x1 and beam.x1 > box.x0 and beam.y0 < box.y1 and beam.y1 > box.y0
