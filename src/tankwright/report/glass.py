"""Glass in short, and in full for JSON. A screening."""

from __future__ import annotations

from typing import Final

from tankwright.finding import Number
from tankwright.report.model import SummaryLine
from tankwright.room.model import Room
from tankwright.systems.glass_model import GlassResult, HoleScreen, PaneCase, PaneScreen, Strengths
from tankwright.systems.glass_panes import name_of
from tankwright.units import convert

CAUTION: Final = (
    "screening figures: the tank maker's rating, local codes and an engineer stand before them; drilled annealed glass"
    " lies outside the published standards"
)
MOST_KINDS: Final = 4

WHERE: Final = {
    "surface": "away from its edges",
    "edge": "at its free top edge",
    "strip": "in the strip along its top",
    "hole": "at the rim of its hole",
}


def summary_glass(room: Room, result: GlassResult) -> tuple[SummaryLine, ...]:
    """In short: the pane that uses most of its strength of each kind, what was not worked out, the caution.

    >>> from tankwright.systems.glass import solve_glass
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> [line.text for line in summary_glass(empty, solve_glass(empty))] == [CAUTION]
    True
    """
    lines: list[SummaryLine] = []
    kinds = list(dict.fromkeys(one.case.kind for one in result.panes))
    for kind in kinds[:MOST_KINDS]:
        panes = [one for one in result.panes if one.case.kind == kind]
        hung = [one for one in panes if one.case.pane != "base"]
        for worst in (hung[:1], [one for one in panes if one.case.pane == "base"][:1]):
            lines += [_line(room, one) for one in worst]
    if len(kinds) > MOST_KINDS:
        more = Number(float(len(kinds) - MOST_KINDS), "number")
        lines.append(SummaryLine("and {more} more kinds", (("more", more),)))
    for case in result.bedded[:MOST_KINDS]:
        lines.append(
            SummaryLine(f"{_short(case)} lies on a flat bed: no bending while board and mat are flat")
        )
    if result.not_computed:
        lines.append(
            SummaryLine(f"not computed: {'; '.join(subject for subject, _, _ in result.not_computed)}")
        )
    lines.append(SummaryLine(CAUTION))
    return tuple(lines)


def json_glass(_room: Room, result: GlassResult) -> dict[str, object]:
    """In full; millimetres and megapascals, units in the key names; shares of strength are 1 at the working value.

    >>> from tankwright.systems.glass import solve_glass
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> json_glass(empty, solve_glass(empty))["panes"]
    []
    """
    return {
        "caution": CAUTION,
        "panes": [_pane(one) for one in result.panes],
        "bedded": [
            {"kind": case.kind, "pane": case.pane, "tanks": list(case.tanks)} for case in result.bedded
        ],
        "not_computed": [
            {"subject": subject, "reason": reason, "remedy": remedy}
            for subject, reason, remedy in result.not_computed
        ],
    }


def _short(case: PaneCase) -> str:
    return name_of(case.kind, case.pane).removeprefix("tank kind ")


def _line(room: Room, one: PaneScreen) -> SummaryLine:
    unsaid = one.case.pane == "base" and room.tank(one.case.tanks[0]).base_on is None
    note = ""
    if unsaid:
        note = ", if only its edges carry it"
    elif one.case.held in ("cross", "euro"):
        note = ", as if its brace were not there"
    return SummaryLine(
        f"{_short(one.case)}: {{use}} of its strength, {{stress}} {WHERE[one.governs]}; bows {{bow}}{note}",
        (
            ("use", Number(one.use, "share")),
            ("stress", Number(one.worst, "stress")),
            ("bow", Number(one.deflection, "length")),
        ),
    )


def _pane(one: PaneScreen) -> dict[str, object]:
    case = one.case
    return {
        "kind": case.kind,
        "pane": case.pane,
        "tanks": list(case.tanks),
        "line": case.line,
        "span_across_m": case.length,
        "span_up_m": case.height,
        "thickness_mm": _mm(case.thickness.value),
        "held": case.held,
        "temper": case.temper,
        "still_water_m": case.head,
        "brim_m": case.brim,
        "besides_kpa": convert(case.pressure, "Pa", "kPa"),
        "surface_mpa": _mpa(one.plain),
        "surface_at_m": list(one.plain_at),
        "free_edge_mpa": _mpa(one.edge),
        "holes": [_hole(case, hole) for hole in one.holes],
        "worst_mpa": _mpa(one.worst),
        "governs": one.governs,
        "use_share": one.use,
        "brim_use_share": one.brim_use,
        "held_use_share": one.held_use,
        "bow_mm": _mm(one.deflection),
        "linear": one.linear,
        "needed_mm": None if one.needed is None else _mm(one.needed),
        "better_place": None
        if one.better is None
        else {
            "from_left_m": one.better.from_left,
            "below_rim_m": one.better.below_rim,
            "stress_mpa": _mpa(one.better.stress),
            "use_share": one.better.use,
        },
        "strength": _strengths(one.strengths),
    }


def _hole(case: PaneCase, one: HoleScreen) -> dict[str, object]:
    from_left, below_rim = case.as_drilled(one.hole.x, one.hole.y)
    return {
        "from_left_m": from_left,
        "below_rim_m": below_rim,
        "diameter_mm": _mm(one.hole.diameter.value),
        "plain_first_mpa": _mpa(one.along),
        "plain_second_mpa": _mpa(one.across),
        "raiser": one.factor,
        "raiser_of_the_edge": one.edge_factor,
        "stress_mpa": _mpa(one.stress),
        "use_share": one.use,
        "line": one.hole.line,
    }


def _strengths(one: Strengths) -> dict[str, object]:
    return {
        "working_surface_mpa": _mpa(one.working_surface.value),
        "working_edge_mpa": _mpa(one.working_edge.value),
        "en_surface_mpa": _mpa(one.en_surface),
        "en_edge_mpa": _mpa(one.en_edge),
        "fifty_years_surface_mpa": _mpa(one.duration_surface),
        "fifty_years_edge_mpa": _mpa(one.duration_edge),
        "for_a_week_times": one.week,
    }


def _mpa(value: float) -> float:
    return convert(value, "Pa", "MPa")


def _mm(value: float) -> float:
    return convert(value, "m", "mm")
