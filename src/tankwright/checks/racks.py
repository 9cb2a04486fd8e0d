"""What racks come to means: a screening for someone licensed to judge. Floors are in `racks_floor`."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Final

from tankwright.checks.grouping import length, listed, rests, verb
from tankwright.checks.racks_floor import FLOOR_CHECKS
from tankwright.finding import Finding, Number, Severity
from tankwright.origin import Known
from tankwright.room.assumed import assumed
from tankwright.room.model import RackPlace, Room
from tankwright.systems.racks_model import BeamResult, PostResult, RacksResult, RackStrength, TankTilt, Use

SCREENING: Final = (
    "a screening, not a verdict: joints, screws, knots, notches and how straight it was built are not in it; the"
    " maker's rating, the local code and an engineer stand before it"
)
NEAR: Final = 0.8
"""Share of what something may bear above which it is said. Source: common practice, no source."""
READ_OFF: Final = 1.5
"""How far a sag read may be over the one worked out, or under it, before the two are said to differ."""

_PARTS: Final = {"bearer": "bearers", "end piece": "pieces between front and back", "board": "boards"}
_CHECKS: Final = {
    "bending": "in bending", "shear": "in shear", "bearing": "where their ends rest", "buckling": "before they buckle",
    "crushing": "where they stand",
}  # fmt: skip

CREEPS: Final = "timber creeps under weight that stays, the more the damper it is; "

Check = Callable[[Room, RacksResult], Iterator[Finding]]


def check_racks(room: Room, result: RacksResult) -> tuple[Finding, ...]:
    """Everything there is to say of racks and the floor under them.

    >>> from tankwright.systems.racks import solve_racks
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> check_racks(empty, solve_racks(empty, {}))
    ()
    """
    return tuple(finding for check in (*CHECKS, *FLOOR_CHECKS) for finding in check(room, result))


def bearers_bear_what_stands_on_them(room: Room, result: RacksResult) -> Iterator[Finding]:
    """RACKS-01: bending, shear and bearing of the bearers."""
    yield from _too_much(room, result, "RACKS-01", ("bearer",))


def boards_and_pieces_bear_what_stands_on_them(room: Room, result: RacksResult) -> Iterator[Finding]:
    """RACKS-02: the same of boards, and of the pieces from front to back that carry bearers in the middle."""
    yield from _too_much(room, result, "RACKS-02", ("end piece", "board"))


def _too_much(room: Room, result: RacksResult, code: str, parts: Sequence[str]) -> Iterator[Finding]:
    for racks in _by_kind(room, result):
        for part in parts:
            worst = _worst_beam(racks, part)
            if worst is None or worst[1].share <= NEAR:
                continue
            beam, use = worst
            ids = [one.rack for one in racks if _over(one, part)]
            rack, strength = _rack(room, beam.rack), _strength(racks, beam.rack)
            member = beam.member.text if beam.member else ""
            over = use.share > 1.0
            yield Finding(
                code=code, severity=Severity.PROBLEM if over else Severity.WARNING, subject=listed(ids, "rack"),
                text=f"{verb(ids, 'has', 'have')} {_PARTS[part]} of {member} that use {{share}} of what they may bear"
                f" {_CHECKS[use.check]}: {{demand}} of {{allowed}}, worst on shelf {{shelf}} of rack {beam.rack}",
                numbers=(
                    ("share", Number(use.share, "share")), ("demand", Number(use.demand, use.dimension)),
                    ("allowed", Number(use.allowed, use.dimension)), ("shelf", Number(float(beam.shelf), "number")),
                    ("span", length(beam.span)),
                ),
                value=Number(use.demand, use.dimension), limit=Number(use.allowed, use.dimension),
                reason="water is on them for years, and damp timber bears less: that is in the figure;"
                f" {SCREENING}" if rack.built and rack.built.material == "timber" else SCREENING,
                remedy=_stronger(strength, rack, part),
                source=_source(beam), line=_line(rack), places=tuple(ids),
                rests_on=rests(strength.service_class, rack.mass, *_end_length(room, use)),
            )  # fmt: skip


def _stronger(strength: RackStrength, rack: RackPlace, part: str) -> str:
    if part != "bearer":
        return "take a thicker one, or support it more closely"
    more = "an upright in the middle, one bearer more under each shelf, or lighter tanks"
    if (
        strength.would_hold
        and rack.built
        and rack.built.bearers
        and strength.would_hold != rack.built.bearers.text
    ):
        return (
            f"of the usual sizes {strength.would_hold} is the smallest that this screening passes; or {more}"
        )
    return f"none of the usual sizes of this grade passes: {more}"


def bearers_stay_straight(room: Room, result: RacksResult) -> Iterator[Finding]:
    """RACKS-03: what a bearer sags after years."""
    share = assumed(room, "racks.sag_share")
    for racks in _by_kind(room, result):
        sags = [(beam, use) for one in racks for beam in one.beams for use in beam.uses
                if use.check == "sag" and beam.part == "bearer"]  # fmt: skip
        beam, use = max(sags, key=lambda one: one[1].share, default=(None, None))
        if beam is None or use is None or use.share <= 1.0:
            continue
        ids = [one.rack for one in racks if _sags(one) > 1.0]
        rack, strength = _rack(room, beam.rack), _strength(racks, beam.rack)
        yield Finding(
            code="RACKS-03", severity=Severity.WARNING, subject=listed(ids, "rack"),
            text=f"{verb(ids, 'has', 'have')} bearers of {beam.member.text if beam.member else ''} that sag {{now}} at"
            f" once and {{later}} after years, worst on shelf {{shelf}} of rack {beam.rack}; a bearer of this span is"
            " left {allowed}",
            numbers=(
                ("now", length(beam.sag_now or 0.0)), ("later", length(use.demand)), ("allowed", length(use.allowed)),
                ("shelf", Number(float(beam.shelf), "number")),
            ),
            value=length(use.demand), limit=length(use.allowed),
            reason=f"{'' if _keeps_its_shape(beam) else CREEPS}tanks are twisted and water lines leave the rim;"
            f" {SCREENING}",
            remedy=_stronger(strength, rack, "bearer"), source=_source(beam), line=_line(rack), places=tuple(ids),
            rests_on=rests(strength.service_class, share, rack.mass),
        )  # fmt: skip


def _keeps_its_shape(beam: BeamResult) -> bool:
    """Whether a bearer sags no further than at once: steel."""
    return beam.sag_now is not None and beam.sag_later == beam.sag_now


def uprights_do_not_buckle(room: Room, result: RacksResult) -> Iterator[Finding]:
    """RACKS-04: uprights between their shelves, and as a whole where nothing is known to keep them from leaning."""
    for racks in _by_kind(room, result):
        posts = [(post, use) for one in racks for post in one.posts for use in post.uses]
        post, use = max(posts, key=lambda one: one[1].share, default=(None, None))
        if post is None or use is None or use.share <= NEAR:
            continue
        ids = [
            one.rack for one in racks if any(each.share > NEAR for part in one.posts for each in part.uses)
        ]
        rack, strength = _rack(room, post.rack), _strength(racks, post.rack)
        loose = strength.leans is not False
        yield Finding(
            code="RACKS-04", severity=Severity.PROBLEM if use.share > 1.0 else Severity.WARNING,
            subject=listed(ids, "rack"),
            text=f"{verb(ids, 'has', 'have')} uprights of {post.member.text if post.member else ''} that use {{share}}"
            f" of what they may bear {_CHECKS[use.check]}: {{demand}} of {{allowed}}, worst in rack {post.rack}",
            numbers=(("share", Number(use.share, "share")), ("demand", Number(use.demand, "force")),
                     ("allowed", Number(use.allowed, "force")), ("loose", length(post.loose_length))),
            value=Number(use.demand, "force"), limit=Number(use.allowed, "force"),
            reason=("nothing is known to keep the frame from leaning, so they count as {loose} long; " if loose else "")
            + SCREENING,
            remedy="brace the frame across its back, or tie it to the wall, and write it" if loose
            else "take a stouter section, or one upright more",
            source=_source(post), line=_line(rack), places=tuple(ids),
            rests_on=rests(strength.service_class, rack.mass),
        )  # fmt: skip


def frames_do_not_lean(room: Room, result: RacksResult) -> Iterator[Finding]:
    """RACKS-05: something keeps a frame that is built here from racking sideways."""
    for racks in _by_kind(room, result):
        loose = [one for one in racks if one.leans is not False and _rack(room, one.rack).built is not None]
        if not loose:
            continue
        worst = max(loose, key=lambda one: one.sway_push)
        sure = any(one.leans for one in loose)
        ids = [one.rack for one in loose]
        yield Finding(
            code="RACKS-05", severity=Severity.PROBLEM if sure else Severity.WARNING, subject=listed(ids, "rack"),
            text=f"{verb(ids, 'is', 'are')} kept from leaning sideways by nothing that the plan names: no brace across"
            f" the back, and {'not tied' if sure else 'no word of a tie'} to a wall",
            numbers=(("push", Number(worst.sway_push, "force")),),
            value=Number(worst.sway_push, "force"),
            reason="a frame of uprights and bearers stands by its corners alone, and brackets and screws give; as it"
            f" stands out of plumb it pushes {{push}} sideways by itself; {SCREENING}",
            remedy='screw a board or a diagonal across the back and write brace = "9 mm plywood", or tie it to the wall'
            " and write tied_to_wall = true",
            source="statics; out of plumb by EN 1995-1-1, 5.4.4, from memory",
            line=_line(_rack(room, worst.rack)), places=tuple(ids), rests_on=rests(assumed(room, "racks.out_of_plumb")),
        )  # fmt: skip


def water_lines_stay_level(room: Room, result: RacksResult) -> Iterator[Finding]:
    """RACKS-06: a tank whose water line leaves its rim's line as the bearers sag unlike each other."""
    most = assumed(room, "racks.tilt")
    tilts = [(one, tilt) for one in result.racks for tilt in one.tilts if tilt.later > most.value]
    if not tilts:
        return
    strength, worst = max(tilts, key=lambda one: one[1].later)
    ids = [tilt.tank for _, tilt in tilts]
    tanks: dict[str, TankTilt] = {tilt.tank: tilt for _, tilt in tilts}
    yield Finding(
        code="RACKS-06", severity=Severity.NOTE, subject=listed(ids),
        text=f"{verb(ids, 'stands', 'stand')} out of level as the bearers sag: {{now}} from corner to corner at once"
        f" and {{later}} after years (tank {worst.tank})",
        numbers=(("now", length(worst.now)), ("later", length(worst.later)), ("most", length(most.value))),
        value=length(worst.later), limit=length(most.value),
        reason="so much nearer the rim the water stands at the low end, and an overflow there takes more or less by it",
        remedy="shim the tank level when it is full, and again after some months",
        source="geometry of the sag", line=_line(_rack(room, strength.rack)), places=tuple(tanks),
        rests_on=rests(strength.service_class, most),
    )  # fmt: skip


def a_sag_read_is_as_worked_out(room: Room, result: RacksResult) -> Iterator[Finding]:
    """RACKS-07: a sag read off a bearer beside the one worked out."""
    for strength in result.racks:
        for one in strength.readings:
            agrees = 1.0 / READ_OFF <= one.share <= READ_OFF
            rack = _rack(room, strength.rack)
            yield Finding(
                code="RACKS-07", severity=Severity.NOTE if agrees or one.share < 1.0 else Severity.WARNING,
                subject=f"rack {one.rack}",
                text=f"was read to sag {{read}} at the {one.bearer} of shelf {{shelf}}; worked out are {{expected}}"
                + ("" if one.aged else " after years, as nobody wrote for how long it had carried that"),
                numbers=(("read", length(one.read.value)), ("expected", length(one.expected)),
                         ("shelf", Number(float(one.shelf), "number"))),
                value=length(one.read.value), limit=length(one.expected),
                reason=("the two agree within a half" if agrees else
                        "more than that: weaker timber, a joint that gives, more weight or more damp than the plan says"
                        if one.share > 1.0 else "less than that: the timber, or the board on it, is stiffer than its"
                        " grade, or the sag has not come yet") + f"; {SCREENING}",
                remedy="" if agrees or one.share < 1.0
                else "look at its joints and at its timber before anything is added",
                source="a straight edge", line=one.read.line or rack.line, places=(one.rack,),
                rests_on=rests(strength.service_class, assumed(room, "racks.creep_power")),
            )  # fmt: skip


def joints_are_not_worked_out(room: Room, result: RacksResult) -> Iterator[Finding]:
    """RACKS-08: brackets and screws that carry bearers."""
    held = [one for one in result.racks if one.bracketed and any(beam.part == "bearer" for beam in one.beams)]
    if not held:
        return
    ids = [one.rack for one in held]
    said = any(built.bearers_rest == "bracket" for one in held if (built := _rack(room, one.rack).built))
    end = max(max(beam.reactions) for one in held for beam in one.beams if beam.part == "bearer")
    yield Finding(
        code="RACKS-08", severity=Severity.NOT_COMPUTED, subject=listed(ids, "rack"),
        text=f"{verb(ids, 'has', 'have')} bearers whose ends"
        f" {'hang in brackets' if said else 'rest on nothing the plan names'}: such a joint was not worked out; the"
        " most loaded end brings {end}",
        numbers=(("end", Number(end, "force")),), value=Number(end, "force"),
        reason="screws and brackets carry by their maker's table, and creep in damp timber",
        remedy='hold the figure against the bracket\'s table for weight that stays, or rest the bearers on blocks or in'
        ' notches and write bearers_rest = "block"',
        line=_line(_rack(room, ids[0])), places=tuple(ids),
    )  # fmt: skip


def what_was_worked_out_is_told(room: Room, result: RacksResult) -> Iterator[Finding]:
    """RACKS-09: how much the racks that were worked out use at most, and by which rules."""
    judged = [(one, worst) for one in result.racks if (worst := _strongest_use(one)) is not None]
    if not judged:
        return
    strength, worst = max(judged, key=lambda one: one[1].share)
    ids = [one.rack for one, _ in judged]
    damp = {int(one.service_class.value) for one, _ in judged if one.service_class}
    classes = f", service class {', '.join(map(str, sorted(damp)))}" if damp else ""
    yield Finding(
        code="RACKS-09", severity=Severity.NOTE, subject=listed(ids, "rack"),
        text=f"{verb(ids, 'uses', 'use')} at most {{share}} of what bearers, boards and uprights may bear (rack"
        f" {strength.rack}, {worst.check}), with weight that stays for years{classes}",
        numbers=(("share", Number(worst.share, "share")),), value=Number(worst.share, "share"),
        limit=Number(1.0, "share"),
        reason=(
            "what made_of says can be misread, and two bearers are taken to lie under each shelf; "
            if any((built := _rack(room, one).built) and built.read_off for one in ids) else ""
        ) + SCREENING,
        remedy="show the load sheet and the rack's drawing to someone licensed before anything is filled",
        source="; ".join(dict.fromkeys(_source(beam) for one, _ in judged for beam in one.beams if _source(beam))),
        line=_line(_rack(room, strength.rack)), places=tuple(ids),
        rests_on=rests(*(one.service_class for one, _ in judged), *(_rack(room, one).mass for one in ids)),
    )  # fmt: skip


def what_was_not_worked_out(room: Room, result: RacksResult) -> Iterator[Finding]:
    """RACKS-10: racks, or parts of them, of which too little is known."""
    together: dict[tuple[str, str], list[str]] = {}
    for subject, reason, remedy in result.not_computed:
        together.setdefault((reason, remedy), []).append(subject.removeprefix("rack "))
    for (reason, remedy), ids in together.items():
        rack = next((one for one in room.racks if one.id == ids[0]), None)
        yield Finding(
            code="RACKS-10", severity=Severity.NOT_COMPUTED, subject=listed(ids, "rack"),
            text=f"{verb(ids, 'was', 'were')} not worked out in full: {reason}",
            reason="nothing here says that it holds", remedy=remedy, line=_line(rack) if rack else None,
            places=tuple(ids),
        )  # fmt: skip


CHECKS: Final[tuple[Check, ...]] = (
    bearers_bear_what_stands_on_them, boards_and_pieces_bear_what_stands_on_them, bearers_stay_straight,
    uprights_do_not_buckle, frames_do_not_lean, water_lines_stay_level, a_sag_read_is_as_worked_out,
    joints_are_not_worked_out, what_was_worked_out_is_told, what_was_not_worked_out,
)  # fmt: skip


# --- helpers ---------------------------------------------------------------------------------------------------------


def _by_kind(room: Room, result: RacksResult) -> Iterator[list[RackStrength]]:
    """Racks of one kind together: what is wrong with one is mended in its kind."""
    kinds: dict[str, list[RackStrength]] = {}
    names = {rack.id: rack.kind for rack in room.racks}
    for one in result.racks:
        kinds.setdefault(names[one.rack], []).append(one)
    yield from kinds.values()


def _strength_uses(beam: BeamResult) -> Iterator[Use]:
    return (use for use in beam.uses if use.check != "sag")


def _worst_beam(racks: Sequence[RackStrength], part: str) -> tuple[BeamResult, Use] | None:
    uses = [
        (beam, use)
        for one in racks
        for beam in one.beams
        if beam.part == part
        for use in _strength_uses(beam)
    ]
    return max(uses, key=lambda one: one[1].share, default=None)


def _sags(one: RackStrength) -> float:
    return max(
        (use.share for beam in one.beams if beam.part == "bearer" for use in beam.uses if use.check == "sag"),
        default=0.0,
    )


def _over(one: RackStrength, part: str) -> bool:
    return any(use.share > NEAR for beam in one.beams if beam.part == part for use in _strength_uses(beam))


def _strongest_use(one: RackStrength) -> Use | None:
    uses = [use for beam in one.beams for use in _strength_uses(beam)] + [
        use for post in one.posts for use in post.uses
    ]
    return max(uses, key=lambda use: use.share, default=None)


def _strength(racks: Sequence[RackStrength], name: str) -> RackStrength:
    return next(one for one in racks if one.rack == name)


def _rack(room: Room, name: str) -> RackPlace:
    return next(rack for rack in room.racks if rack.id == name)


def _line(rack: RackPlace) -> int | None:
    return (rack.built.line if rack.built else None) or rack.line


def _source(part: BeamResult | PostResult) -> str:
    grade = part.member.grade if part.member else None
    if grade is None:
        return ""
    return f"{grade.name}: {grade.source}" + (f" ({grade.note})" if grade.note else "")


def _end_length(room: Room, use: Use) -> tuple[Known, ...]:
    return (assumed(room, "racks.end_length"),) if use.check == "bearing" else ()
