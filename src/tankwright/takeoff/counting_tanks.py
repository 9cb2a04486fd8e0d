"""Tanks and what belongs to one: panes and silicone where it is glued here, lid, bulkhead and what stands in it, bed,
filter media, heater, foam under it. Pipes and hoses are counted with their runs.

A tank that stands has its lid, heater, bed and media with it; for one that was ordered they are bought all the same.
Its bulkhead and its foam belong to the room and are bought. The media of a sponge on an air tap come with that sponge.
Each line is one rack's.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from tankwright.catalogue.size_names import size_name
from tankwright.finding import Finding, Number, Severity
from tankwright.origin import Known
from tankwright.plan.models import Plan, TankException, TankHeater, TankKind
from tankwright.room.assumed import assumed
from tankwright.room.model import HolePlace, Room, Tank
from tankwright.takeoff.counted import Counted
from tankwright.takeoff.gathering import Line, gathered
from tankwright.takeoff.glued import silicone_of, strips_of
from tankwright.takeoff.model import Article, Kind, Need, SoldBy, State
from tankwright.takeoff.panes import PaneHole, cut_panes, kinds_of, sides_of
from tankwright.takeoff.tally import listed
from tankwright.units import Metre

PANE_RULE: Final = "walls on the base, ends between front and back; nothing is taken off for silicone"
EDGES: Final = "top edges of walls and braces ground, all others seamed"
PRACTICE: Final = "common practice, no source"
STATES: Final[dict[str, State]] = {"stands": "stands", "ordered": "ordered", "wished": "to buy"}
NO_LID: Final = frozenset({"", "none", "no", "open"})
PIECES: Final = {"two": 2, "three": 3, "four": 4, "2": 2, "3": 3, "4": 4}
OPEN_ALL: Final = 0.999
"""Share of a mouth that is open above which nothing guards it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Of:
    """A tank with what the plan says of it."""

    tank: Tank
    kind: TankKind
    own: TankException
    room: Room
    sponge: bool

    @property
    def state(self) -> State:
        return STATES.get(self.tank.state, "to buy")

    @property
    def of_its_things(self) -> State:
        """Whether what goes on and into it is bought: an order is for a tank or its panes, seldom for more."""
        return "stands" if self.tank.state == "stands" else "to buy"

    def take(  # noqa: PLR0913 - an article and a need have as many sides
        self,
        key: str,
        kind: Kind,
        sold_by: SoldBy = "piece",
        *,
        count: int = 1,
        state: State | None = None,
        size: tuple[Metre, Metre] | None = None,
        length: Metre | None = None,
        volume: float | None = None,
        mark: str = "",
        source: str = "",
        note: str = "",
        where: str = "",
        rests_on: tuple[str, ...] = (),
    ) -> Iterator[Line]:
        """So many of an article for this tank."""
        yield Article(key=key, kind=kind, sold_by=sold_by, source=source, note=note, rests_on=rests_on)
        yield Need(
            article=key, count=count, system="tanks", where=where or f"rack {self.tank.rack}", places=(self.tank.id,),
            size=size, length=length, volume=volume, mark=mark, rests_on=rests_on,
            state=self.of_its_things if state is None else state,
        )  # fmt: skip


def count_tanks(plan: Plan, room: Room) -> Counted:
    """Every tank once, and what belongs to it."""
    return gathered(_lines(plan, room))


def _lines(plan: Plan, room: Room) -> Iterator[Line]:
    plain, sponges = TankException(), _on_a_sponge(plan, room)
    for tank in room.tanks:
        kind = plan.tank_kind.get(tank.kind)
        if kind is None:
            continue
        one = _Of(
            tank=tank, kind=kind, own=plan.tank.get(tank.id, plain), room=room, sponge=tank.id in sponges
        )
        yield from _itself(one)
        yield from _lid(one)
        yield from _bulkheads(one)
        yield from _inside(one)
        foam = assumed(room, "buy.base_foam")
        yield from one.take(
            f"foam {size_name(foam.value, room.display)}", "sheet", "sheet", state="to buy", mark=f"under {tank.kind}",
            size=sides_of(tank)[:2], rests_on=_rests(foam), source=PRACTICE,
            note="under tanks that stand flat on their base; one with a frame below stands without",
        )  # fmt: skip
    yield from _said(plan, room)


def _rests(*values: Known) -> tuple[str, ...]:
    return tuple(dict.fromkeys(one.key for one in values if one.is_assumed))


# --- the tank, its panes, its lid ------------------------------------------------------------------------------------


def _itself(one: _Of) -> Iterator[Line]:
    tank = one.tank
    if one.kind.made == "bought" or one.state == "stands":
        made = "bought whole" if one.kind.made == "bought" else "glued here"
        yield from one.take(f"tank {tank.kind}", "tank", state=one.state, note=made)
        return
    yield from one.take(f"tank {tank.kind}", "tank", state="made here", note="glued here from its panes")
    display = one.room.display
    for pane in cut_panes(tank):
        hole = "".join(f"; {_hole_words(each, display)}" for each in pane.holes)
        yield from one.take(
            _glass(pane.thickness, pane.temper, display), "glass", "sheet", state=one.state,
            size=(pane.width, pane.height), mark=f"{tank.kind} {pane.pane}",
            where=f"rack {tank.rack}: {pane.pane} of {tank.kind}{hole}",
            rests_on=_rests(pane.thickness, *(each.diameter for each in pane.holes)), source=PRACTICE,
            note=f"{PANE_RULE}; {EDGES}",
        )  # fmt: skip
    width = assumed(one.room, "buy.brace_width")
    strips = strips_of(tank, width.value)
    for strip in strips:
        yield from one.take(
            _glass(tank.glass_side, tank.temper, display), "glass", "sheet", state=one.state, count=strip.count,
            size=(strip.length, strip.width), mark=f"{tank.kind} {strip.name}",
            where=f"rack {tank.rack}: {strip.name} of {tank.kind}", rests_on=_rests(tank.glass_side, width),
            source=PRACTICE, note=f"{PANE_RULE}; {EDGES}",
        )  # fmt: skip
    joint, fillet = assumed(one.room, "buy.silicone_joint"), assumed(one.room, "buy.silicone_fillet")
    yield from one.take(
        "silicone for glass tanks", "glue", "volume", source=PRACTICE,
        volume=silicone_of(tank, strips, joint.value, fillet.value), rests_on=_rests(joint, fillet),
        note="without fungicide, as its maker names for tanks; joints times film and fillet",
    )  # fmt: skip


def _glass(thickness: Known, temper: str, display: str) -> str:
    return f"glass {size_name(thickness.value, display)}" + ("" if temper == "unknown" else f" {temper}")


def _hole_words(hole: PaneHole, display: str) -> str:
    across, up, wide = (size_name(one, display) for one in (hole.across, hole.up, hole.diameter.value))
    return (
        f"hole of {wide}, its centre {across} from the left and {up} from the lower edge, seen from outside"
    )


def _lid(one: _Of) -> Iterator[Line]:
    text = (one.tank.lid or "").strip()
    if text.lower() in NO_LID:
        return
    if "glass" not in text.lower():
        yield from one.take(f"lid {text} for {one.tank.kind}", "other")
        return
    thickness, slot = assumed(one.room, "buy.lid_glass"), assumed(one.room, "buy.lid_slot")
    length, depth, _ = sides_of(one.tank)
    side = one.tank.glass_side.value
    pieces = next((PIECES[word] for word in re.findall(r"\w+", text.lower()) if word in PIECES), 1)
    yield from one.take(
        f"glass {size_name(thickness.value, one.room.display)} for lids", "glass", "sheet", count=pieces,
        size=((length - side) / pieces, depth - side - slot.value), mark=f"{one.tank.kind} lid",
        where=f"rack {one.tank.rack}: lid of {one.tank.kind}", rests_on=_rests(thickness, slot), source=PRACTICE,
        note="it lies on the middle of the walls and leaves a slot at the back; edges seamed",
    )  # fmt: skip


# --- what the water leaves by ----------------------------------------------------------------------------------------


def _bulkhead(one: _Of, hole: HolePlace, where: str = "") -> Iterator[Line]:
    fitting = hole.fitting
    wide = size_name(hole.diameter.value, one.room.display)
    yield from one.take(
        f"bulkhead for a {wide} hole" + (f", {fitting}" if fitting else ""), "bulkhead", state="to buy",
        rests_on=_rests(hole.diameter), note="with its gasket, on the wet side; drill only by the fitting in hand",
        where=where,
    )  # fmt: skip
    yield Article(
        key=f"gasket for a bulkhead of a {wide} hole",
        kind="bulkhead",
        sold_by="piece",
        rests_on=_rests(hole.diameter),
    )


def _bulkheads(one: _Of) -> Iterator[Line]:
    tank, hole = one.tank, one.tank.hole
    second = tank.second_overflow
    if second is not None and not tank.more_holes:
        bore = size_name(second.bore.value, one.room.display)
        yield from one.take(f"bulkhead of a second overflow, bore {bore}", "bulkhead", state="to buy",
                            note="measure its hole on the fitting you have")  # fmt: skip
    for index, further in enumerate(
        tank.more_holes
    ):  # as many bulkheads as holes: the second overflow is in one
        where = f"rack {tank.rack}: of the second overflow" if second is not None and index == 0 else ""
        yield from _bulkhead(one, further, where)
    if hole is None:
        return
    yield from _bulkhead(one, hole)
    mouth = tank.overflow
    if mouth is None:
        return
    bore = size_name(mouth.bore.value, one.room.display)
    rests = _rests(mouth.bore, mouth.reach)
    if mouth.kind == "elbow":
        yield from one.take(
            f"overflow elbow, bore {bore}", "fitting", state="to buy", rests_on=rests,
            note="turned on the bulkhead's wet side until the level is right",
        )  # fmt: skip
    else:
        yield from one.take(
            f"standpipe, bore {bore}", "pipe", "length", state="to buy", length=mouth.reach.value, rests_on=rests,
            mark=f"{tank.kind} standpipe", note="pushed in, not glued; add what the socket takes",
        )  # fmt: skip
    if mouth.open_share.value < OPEN_ALL and not mouth.open_share.is_assumed:
        yield from one.take(f"strainer for an overflow of bore {bore}", "fitting", state="to buy")


# --- what is in it ---------------------------------------------------------------------------------------------------


def _inside(one: _Of) -> Iterator[Line]:
    tank = one.tank
    if tank.substrate_depth > 0.0:
        yield from one.take(
            "gravel or sand", "other", "volume", volume=tank.inside_area * tank.substrate_depth
        )
    media = one.own.filter_media or one.kind.filter_media
    if media is not None and not one.sponge:
        yield from one.take("filter media", "filter", "volume", volume=media.value)
    heater = heater_of(tank, one.kind, one.own)
    if heater is not None:
        yield from one.take(f"tank heater {heater.power.value:g} W", "heater", count=heater.count)
        yield Article(
            key=f"tank heater {heater.power.value:g} W, in reserve", kind="heater", sold_by="piece",
            note="one that sticks on or dies is changed the same hour",
        )  # fmt: skip


def _on_a_sponge(plan: Plan, room: Room) -> frozenset[str]:
    """Tanks whose air ends in a sponge filter, which is counted with its tap."""
    return frozenset(
        tap.tank
        for run in room.airs
        if run.id in plan.air and plan.air[run.id].diffuser.kind == "sponge"
        for tap in run.taps
        if tap.tank
    )


def heater_of(tank: Tank, kind: TankKind, own: TankException | None) -> TankHeater | None:
    """The heater in a tank: its own, or its kind's."""
    return (own.heater if own else None) or (kind.heater if tank.kind else None)


# --- what the list has to say ----------------------------------------------------------------------------------------


def _said(plan: Plan, room: Room) -> Iterator[Finding]:
    standing = [tank.id for tank in room.tanks if tank.state == "stands"]
    if standing:
        yield Finding(
            code="PART-41", severity=Severity.NOTE, subject="tanks", places=tuple(standing),
            text=f"{len(standing)} of {len(room.tanks)} stand already: neither they nor their lids, heaters, beds and "
            "media are bought; their bulkheads and the foam under them are",
            reason="the plan says so, or says nothing, which is taken as standing",
            remedy='write state = "wished" or "ordered" where a tank is not there yet',
        )  # fmt: skip
    for tank in kinds_of(room):
        kind = plan.tank_kind.get(tank.kind)
        if kind is None:
            continue
        alike = [one for one in room.tanks if one.kind == tank.kind]
        ids = tuple(one.id for one in alike)
        glue = kind.made == "glued here" and any(one.state != "stands" for one in alike)
        guessed = _rests(tank.glass_side, tank.glass_base)
        if glue and guessed:
            yield Finding(
                code="PART-42", severity=Severity.WARNING, subject=f"tank kind {tank.kind}", line=kind.line, places=ids,
                text="is glued from panes whose thickness nobody gave: sides {sides}, base {base} are assumed",
                numbers=(("sides", _long(tank.glass_side)), ("base", _long(tank.glass_base))),
                reason="a pane too thin breaks under water; no glass is to be ordered on a guess",
                remedy="have the thickness worked out by whoever sells the glass, and write it in glass",
                rests_on=guessed,
            )  # fmt: skip
        unmeasured = [each for each in tank.holes if each.diameter.is_assumed]
        if unmeasured:
            hole = unmeasured[0]
            yield Finding(
                code="PART-43", severity=Severity.WARNING, subject=f"tank kind {tank.kind}", line=hole.line, places=ids,
                text="has {count} bulkheads counted for a hole of {diameter} that nobody measured",
                numbers=(("count", Number(len(ids) * len(unmeasured), "number")), ("diameter", _long(hole.diameter))),
                reason="holes of bulkheads of one name differ by maker",
                remedy="buy one, measure its body, and write diameter and fitting in hole",
                rests_on=_rests(hole.diameter),
            )  # fmt: skip
    sponges = _on_a_sponge(plan, room)
    silent = [
        tank.id for tank in room.tanks
        if tank.kind in plan.tank_kind and plan.tank_kind[tank.kind].filter_media is None
        and not ((own := plan.tank.get(tank.id)) and own.filter_media) and tank.id not in sponges
    ]  # fmt: skip
    if silent:
        yield Finding(
            code="PART-44", severity=Severity.NOTE, subject="tanks", places=tuple(silent),
            text=f"of kind {listed(sorted({room.tank(name).kind for name in silent}))} have no filter media counted",
            reason="the plan does not say how much there is", remedy="write filter_media in the kind of tank",
        )  # fmt: skip


def _long(known: Known) -> Number:
    return Number(known.value, "length")
