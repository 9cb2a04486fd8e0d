"""What glass comes to means: a screening, one small check a sentence.

A verdict is a problem where even the higher of the two published routes is passed, a warning between them and from four
fifths of the working value on: the band of that value is not the keeper's to measure.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Final

from tankwright.checks.grouping import length, rests, rests_of_all
from tankwright.finding import Finding, Number, Severity
from tankwright.origin import Known
from tankwright.room.model import Pane, Room, Tank
from tankwright.systems.glass_model import GlassResult, PaneCase, PaneScreen
from tankwright.systems.glass_panes import name_of

SCREENING: Final = (
    "a screening: the tank maker's rating, the local code and an engineer stand before it; drilled annealed glass lies"
    " outside the published standards of glass"
)
SOURCE: Final = (
    "Levy's series; strength by EN 16612 and by American practice for 50 years, neither written for tanks that are"
    " drilled"
)  # fmt: skip
HOLE_SOURCE: Final = f"Roark 7th ed. table 17.1 on {SOURCE}"

CLOSE: Final = 0.8  # of the working value, from which it is said; common practice, no source
MOST_SAG: Final = 1 / 65  # of the span; EN 16612's default for infill panels, by a secondary source
WORTH_SAYING: Final = 0.6  # use of a hole from which a better place is named though it holds; common practice

Check = Callable[[Room, GlassResult], Iterator[Finding]]


def check_glass(room: Room, result: GlassResult) -> tuple[Finding, ...]:
    """Everything there is to say about the glass.

    >>> from tankwright.systems.glass import solve_glass
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> check_glass(empty, solve_glass(empty))
    ()
    """
    return tuple(finding for check in CHECKS for finding in check(room, result))


def panes_keep_to_their_working_stress(room: Room, result: GlassResult) -> Iterator[Finding]:
    """GLASS-01: away from its holes no pane is pulled harder than its glass is let bear for years."""
    for screens in _by_kind(result):
        judged: dict[Severity, list[PaneScreen]] = {}
        for one in screens:
            if _is_plain(room, one):
                severity = _severity(*_plain(one))
                if severity is not None:
                    judged.setdefault(severity, []).append(one)
        for severity, found in judged.items():
            worst = max(found, key=_plain_use)
            stress, working = _plain(worst)
            where = "in the middle of its free top edge" if _at_edge(worst) else "away from its edges"
            yield Finding(
                code="GLASS-01", severity=severity, subject=_subject(found),
                text=f"is pulled by {{stress}} {where}{_worst_of(found, worst)}, {{use}} of the {{limit}} annealed"
                " glass is let bear for years",
                numbers=(("stress", _stress(stress)), ("use", _share(stress / working.value)),
                         ("limit", _stress(working.value)), *_needed(worst, worst.needed_plain)),
                value=_stress(stress), limit=_stress(working.value),
                reason="glass under water for years breaks from a scratch at a fraction of its strength of a minute;"
                f" {SCREENING}",
                remedy=_more_strength(worst),
                source=SOURCE, line=worst.case.line, places=_tanks(found), rests_on=_rests(room, found, working),
            )  # fmt: skip


def holes_are_where_the_pane_bears_them(room: Room, result: GlassResult) -> Iterator[Finding]:
    """GLASS-02: at the rim of no hole is its pane pulled harder than a drilled edge is let bear for years."""
    for one in result.panes:
        if not one.holes:
            continue
        hole = max(one.holes, key=lambda each: each.stress)
        working = one.strengths.working_edge
        severity = _severity(hole.stress, working)
        better = one.better
        if severity is None and better is not None and hole.use >= WORTH_SAYING:
            severity = Severity.NOTE
        if severity is None:
            continue
        if not _is_plain(room, one):
            continue  # what its brace does there only the full check knows: GLASS-03
        numbers: tuple[tuple[str, Number], ...] = (
            ("stress", _stress(hole.stress)), ("use", _share(hole.use)), ("limit", _stress(working.value)),
            ("plain", _stress(one.plain)),
        )  # fmt: skip
        remedy = (
            f"let the full check look at it (tankwright glass PLAN {one.case.kind}), then take a smaller fitting,"
            f" thicker glass or a brace{_thicker(one, one.needed)}"
        )
        if better is not None:
            numbers += (("left", length(better.from_left)), ("below", length(better.below_rim)),
                        ("there", _stress(better.stress)))  # fmt: skip
            remedy = (
                "drill it {left} " + _from_what(one.case.pane) + " instead, {below} "
                + ("from the back" if one.case.pane == "base" else "below the rim")
                + f": about {{there}} there; tankwright glass PLAN {one.case.kind} --map shows every place"
            )  # fmt: skip
        yield Finding(
            code="GLASS-02", severity=severity, subject=name_of(one.case.kind, one.case.pane),
            text="is pulled by {stress} at the rim of its hole, {use} of the {limit} a drilled edge is let bear for"
            " years; without the hole its worst is {plain}",
            numbers=(*numbers, *_needed(one, one.needed)), value=_stress(hole.stress), limit=_stress(working.value),
            reason="where a hole goes matters more than its distance from the edge: the pull there grows to 1.8 to 2"
            f" times, and it is greatest in the middle under an open rim; {SCREENING}",
            remedy=remedy, source=HOLE_SOURCE, line=hole.hole.line or one.case.line, places=one.case.tanks,
            rests_on=(*_rests(room, [one], working), *_guessed_place(room, one)),
        )  # fmt: skip


def what_holds_a_top_in_part_is_checked_in_full(_room: Room, result: GlassResult) -> Iterator[Finding]:
    """GLASS-03: a pane braced in part that would be near its strength without the brace is left to the full check; a
    brace nobody described cannot be counted on."""
    for screens in _by_kind(result):
        open_ = [
            one for one in screens
            if _held_in_part(one) and one.case.temper != "toughened" and one.use > CLOSE
            and one.held_use is not None and one.held_use <= 1.0
        ]  # fmt: skip
        if not open_:
            continue
        worst = max(open_, key=lambda one: one.use)
        unsaid = worst.case.brace is None
        yield Finding(
            code="GLASS-03", severity=Severity.NOT_COMPUTED, subject=_subject(open_),
            text="uses {use} of its strength as if its brace were not there and {held} as if it held the whole top",
            numbers=(("use", _share(worst.use)), ("held", _share(worst.held_use or 0.0))),
            value=_share(worst.use), limit=_share(1.0),
            reason="a brace holds a part of the edge only, and over a cross brace glass bends backwards and may be"
            f" pulled harder than without it; {SCREENING}",
            remedy='measure the brace, write brace = { kind = "cross", width = "..." } and run tankwright glass'
            if unsaid else f"run the full check: tankwright glass PLAN {worst.case.kind}",
            source=SOURCE, line=worst.case.line, places=_tanks(open_),
        )  # fmt: skip


def panes_hardly_bow(_room: Room, result: GlassResult) -> Iterator[Finding]:
    """GLASS-04: no pane bows by more than a 65th of its span, or by so much that these sums no longer fit it."""
    for screens in _by_kind(result):
        clear = [one for one in screens if not _held_in_part(one)]
        far = [one for one in clear if one.deflection > MOST_SAG * _span(one.case)]
        for found, limit, severity in (
            (far, None, Severity.WARNING),
            ([one for one in clear if not one.linear and one not in far], 0.5, Severity.NOTE),
        ):
            if not found:
                continue
            worst = max(found, key=lambda one: one.deflection)
            bound = MOST_SAG * _span(worst.case) if limit is None else limit * worst.case.thickness.value
            yield Finding(
                code="GLASS-04", severity=severity, subject=_subject(found),
                text=f"bows by {{bow}}{_worst_of(found, worst)}, more than "
                + ("a 65th of its span, {limit}" if limit is None else "half its thickness, {limit}"),
                numbers=(("bow", length(worst.deflection)), ("limit", length(bound))),
                value=length(worst.deflection), limit=length(bound),
                reason="silicone is pulled open at its ends and a lid no longer fits" if limit is None else
                "a plate that bows so far also pulls in its own plane: true stress and bow are less than worked out",
                remedy="glue a brace or a rim along its top, or take thicker glass"
                if worst.case.held == "free" else "take thicker glass",
                source="EN 16612's default for panes in buildings, by a secondary source" if limit is None else
                "theory of thin plates; common practice, no source",
                line=worst.case.line, places=_tanks(found), rests_on=rests(worst.case.stiffness),
            )  # fmt: skip


def nobody_guesses_what_carries_a_base(room: Room, result: GlassResult) -> Iterator[Finding]:
    """GLASS-05: where a base that bridges would be near its strength, it is said what carries it."""
    for one in result.panes:
        if not _of_unsaid_base(room, one) or one.case.temper == "toughened" or one.use <= CLOSE:
            continue
        working = one.strengths.working_edge if one.governs == "hole" else one.strengths.working_surface
        yield Finding(
            code="GLASS-05", severity=Severity.WARNING, subject=name_of(one.case.kind, "base"),
            text="is pulled by {stress}, {use} of what annealed glass is let bear for years, if only its edges carry"
            " it",
            numbers=(("stress", _stress(one.worst)), ("use", _share(one.use)), *_needed(one, one.needed)),
            value=_stress(one.worst), limit=_stress(working.value),
            reason="nobody has said what lies under it; on a flat board with a mat it does not bend at all;"
            f" {SCREENING}",
            remedy='look under the tank, then write base_on = "bed" for a flat board and a mat all over, or base_on ='
            ' "edges"',
            source=SOURCE, line=one.case.line, places=one.case.tanks, rests_on=_rests(room, [one], working),
        )  # fmt: skip


def toughened_panes_are_for_their_maker(_room: Room, result: GlassResult) -> Iterator[Finding]:
    """GLASS-06: a toughened pane that would be over if it were annealed is left to whoever made it."""
    for screens in _by_kind(result):
        hard = [one for one in screens if one.case.temper == "toughened" and one.use > 1.0]
        if hard:
            worst = max(hard, key=lambda one: one.use)
            yield Finding(
                code="GLASS-06", severity=Severity.NOT_COMPUTED, subject=_subject(hard),
                text="is toughened; annealed glass in its place would be pulled by {stress}, {use} of what it is let"
                " bear",
                numbers=(("stress", _stress(worst.worst)), ("use", _share(worst.use))),
                reason="toughened glass bears more, by how much its maker knows; a deep scratch, and the whole pane is"
                " gone",
                remedy="ask the tank's maker", source=SOURCE, line=worst.case.line, places=_tanks(hard),
            )  # fmt: skip


def panes_bear_water_to_the_rim_for_a_week(room: Room, result: GlassResult) -> Iterator[Finding]:
    """GLASS-07: with the overflow blocked and water to the rim no pane is over what glass bears for a week."""
    for screens in _by_kind(result):
        over = [
            one for one in screens
            if one.brim_use > one.strengths.week and not _held_in_part(one) and one.case.temper != "toughened"
            and not _of_unsaid_base(room, one)
        ]  # fmt: skip
        if over:
            worst = max(over, key=lambda one: one.brim_use)
            yield Finding(
                code="GLASS-07", severity=Severity.WARNING, subject=_subject(over),
                text=f"uses {{use}} of its strength for a week with water to the rim{_worst_of(over, worst)}",
                numbers=(("use", _share(worst.brim_use / worst.strengths.week)),),
                value=_share(worst.brim_use / worst.strengths.week), limit=_share(1.0),
                reason=f"a blocked overflow fills a tank to the rim until somebody looks; {SCREENING}",
                remedy="give the tank a second overflow, or thicker glass", source=f"{SOURCE}; duration by EN 16612",
                line=worst.case.line, places=_tanks(over),
                rests_on=_rests(room, over, worst.strengths.working_edge, worst.strengths.working_surface),
            )  # fmt: skip


def what_glass_was_not_worked_out(room: Room, result: GlassResult) -> Iterator[Finding]:
    """GLASS-08: panes and holes nothing is guessed about."""
    for subject, reason, remedy in result.not_computed:
        kind = subject.removeprefix("tank kind ").split(", ", 1)[0]
        tanks = [tank for tank in room.tanks if tank.kind == kind]
        yield Finding(
            code="GLASS-08", severity=Severity.NOT_COMPUTED, subject=subject, text="was not worked out: " + reason,
            reason="nothing here says that it holds", remedy=remedy,
            line=tanks[0].line if tanks else None, places=tuple(tank.id for tank in tanks),
        )  # fmt: skip


def glass_is_only_screened(room: Room, result: GlassResult) -> Iterator[Finding]:
    """GLASS-09: what these figures are not."""
    if not result.panes:
        return
    # a base of which nobody said what carries it is GLASS-05's affair
    said = [one for one in result.panes if not _of_unsaid_base(room, one)]
    worst = max(said or result.panes, key=lambda one: one.use)
    rim = any(one.case.held == "held" and one.case.pane != "base" for one in result.panes)
    yield Finding(
        code="GLASS-09", severity=Severity.NOTE, subject="glass of the whole plan",
        text="is screened: the most any pane uses of its strength is {use}"
        f" ({name_of(worst.case.kind, worst.case.pane)})",
        numbers=(("use", _share(worst.use)),),
        reason="clamped flanges, pipes that hang on a fitting, scratches, chips of the drill, silicone and the sideways"
        f" push of a bed are not in it{', and a rim is taken to hold the whole edge' if rim else ''}; {SCREENING}",
        remedy="before anything is drilled, run tankwright glass PLAN for the full check, and keep to the tank maker's"
        " rating",
        source=SOURCE,
        rests_on=_rests(room, result.panes, worst.strengths.working_surface, worst.strengths.working_edge),
    )  # fmt: skip


CHECKS: Final[tuple[Check, ...]] = (
    panes_keep_to_their_working_stress, holes_are_where_the_pane_bears_them,
    what_holds_a_top_in_part_is_checked_in_full, panes_hardly_bow, nobody_guesses_what_carries_a_base,
    toughened_panes_are_for_their_maker, panes_bear_water_to_the_rim_for_a_week, what_glass_was_not_worked_out,
    glass_is_only_screened,
)  # fmt: skip


def _by_kind(result: GlassResult) -> Iterator[list[PaneScreen]]:
    kinds: dict[str, list[PaneScreen]] = {}
    for one in result.panes:
        kinds.setdefault(one.case.kind, []).append(one)
    yield from kinds.values()


def _severity(stress: float, working: Known) -> Severity | None:
    most = working.band[1] if working.is_assumed and working.band is not None else working.value
    if stress > most:
        return Severity.PROBLEM
    return Severity.WARNING if stress > CLOSE * working.value else None


def _is_plain(room: Room, one: PaneScreen) -> bool:
    """Whether GLASS-01 judges a pane: not one of another check's, unless its brace cannot help it either."""
    if one.case.temper == "toughened" or _of_unsaid_base(room, one):
        return False
    return not _held_in_part(one) or (one.held_use is not None and one.held_use > 1.0)


def _held_in_part(one: PaneScreen) -> bool:
    return one.case.held in ("cross", "euro")


def _of_unsaid_base(room: Room, one: PaneScreen) -> bool:
    return one.case.pane == "base" and room.tank(one.case.tanks[0]).base_on is None


def _at_edge(one: PaneScreen) -> bool:
    strengths = one.strengths
    return one.edge / strengths.working_edge.value > one.plain / strengths.working_surface.value


def _plain(one: PaneScreen) -> tuple[float, Known]:
    strengths = one.strengths
    return (one.edge, strengths.working_edge) if _at_edge(one) else (one.plain, strengths.working_surface)


def _plain_use(one: PaneScreen) -> float:
    stress, working = _plain(one)
    return stress / working.value


def _span(case: PaneCase) -> float:
    """The length of a free top, or the shorter side of a pane held all round."""
    return case.length if case.held == "free" else min(case.length, case.height)


def _subject(found: Iterable[PaneScreen]) -> str:
    order: tuple[Pane, ...] = ("front", "back", "left", "right", "base")
    cases = [one.case for one in found]
    panes = {case.pane for case in cases}
    return name_of(cases[0].kind, *(pane for pane in order if pane in panes))


def _worst_of(found: list[PaneScreen], worst: PaneScreen) -> str:
    if len({one.case.pane for one in found}) < 2 or len({round(one.plain) for one in found}) < 2:
        return ""
    return f" at the worst ({worst.case.pane})"


def _tanks(found: Iterable[PaneScreen]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name for one in found for name in one.case.tanks))


def _needed(one: PaneScreen, thickness: float | None) -> tuple[tuple[str, Number], ...]:
    """The thickness to name, where it is more than the pane has."""
    if thickness is None or thickness <= one.case.thickness.value:
        return ()
    return (("needed", length(thickness)),)


def _thicker(one: PaneScreen, thickness: float | None) -> str:
    return " ({needed} by this screening)" if _needed(one, thickness) else ""


def _more_strength(one: PaneScreen) -> str:
    """What would help a pane that is pulled too hard, or is not far from it."""
    if one.case.pane == "base":
        return (
            'lay a flat board and a mat under it and write base_on = "bed", or take a thicker base'
            + _thicker(one, one.needed_plain)
        )
    over = _plain_use(one) > 1.0
    brace = "glue a brace or a rim along its top, " if one.case.held == "free" else ""
    thicker = f"hold the water lower, or take thicker glass{_thicker(one, one.needed_plain)}"
    return (
        brace + thicker
        if over
        else f"hold its water no higher and keep it free of scratches; to gain, {brace}{thicker}"
    )


def _from_what(pane: Pane) -> str:
    return "from the front" if pane in ("left", "right") else "from the left"


def _rests(room: Room, found: Iterable[PaneScreen], *working: Known) -> tuple[str, ...]:
    """The strength, how high the water stands, and the bed on a base."""
    knowns: list[Known | None] = [*working]
    tanks: dict[str, Tank] = {tank.id: tank for tank in room.tanks}
    for one in found:
        knowns += [tanks[name].level_known for name in one.case.tanks if name in tanks]
        if one.case.pane == "base":
            knowns += [room.glass_density]
            if any(tanks[name].substrate_depth > 0.0 for name in one.case.tanks if name in tanks):
                knowns += [known for known in room.assumed if known.key == "substrate.density"]
    return rests_of_all(knowns)


def _guessed_place(room: Room, one: PaneScreen) -> tuple[str, ...]:
    """Assumptions that stand where a hole is: where the plan does not say it, one of them is its place exactly."""
    assumed = {known.key: known.value for known in room.assumed}
    second = "hole.from_back" if one.case.pane == "base" else "hole.below_rim"
    found: dict[str, None] = {}
    for hole in one.case.holes:
        for key, value in zip(("hole.from_left", second), one.case.as_drilled(hole.x, hole.y), strict=True):
            if key in assumed and abs(assumed[key] - value) < 1e-6:
                found[key] = None
    return tuple(found)


def _stress(value: float) -> Number:
    return Number(value, "stress")


def _share(value: float) -> Number:
    return Number(value, "share")
