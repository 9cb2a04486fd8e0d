"""Racks and the floor under them in short, and in full for JSON. A screening."""

from __future__ import annotations

from tankwright.finding import Number
from tankwright.report.model import SummaryLine
from tankwright.room.model import Room
from tankwright.systems.racks_model import (
    BeamResult,
    FloorStrength,
    JoistLoad,
    Patch,
    PostResult,
    RacksResult,
    RackStrength,
    Use,
)
from tankwright.units import convert

CAUTION = "screening figures: the maker's rating, local codes and an engineer stand before them"


def summary_racks(_room: Room, result: RacksResult) -> tuple[SummaryLine, ...]:
    """Two to five lines: what uses most of what it may bear, the deepest sag, the heaviest foot, what is not known.

    >>> from tankwright.systems.racks import solve_racks
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> [line.text for line in summary_racks(empty, solve_racks(empty, {}))] == [CAUTION]
    True
    """
    lines: list[SummaryLine] = []
    beams = [(one, use) for rack in result.racks for one in rack.beams for use in one.uses]
    strongest = [pair for pair in beams if pair[1].check != "sag"]
    if strongest:
        beam, use = max(strongest, key=lambda pair: pair[1].share)
        lines.append(
            SummaryLine(
                f"{beam.part}s use {{share}} of what they may bear at most (rack {beam.rack}, shelf {beam.shelf},"
                f" {use.check})",
                (("share", Number(use.share, "share")),),
            )
        )
    posts = [(one, use) for rack in result.racks for one in rack.posts for use in one.uses]
    if posts:
        post, use = max(posts, key=lambda pair: pair[1].share)
        lines.append(
            SummaryLine(
                f"uprights use {{share}} of what they may bear at most (rack {post.rack}, {use.check})",
                (("share", Number(use.share, "share")),),
            )
        )
    sags = [
        one
        for rack in result.racks
        for one in rack.beams
        if one.part == "bearer" and one.sag_later is not None
    ]
    if sags:
        deepest = max(sags, key=lambda one: one.sag_later or 0.0)
        lines.append(
            SummaryLine(
                f"bearers sag {{now}} at once and {{later}} after years at most (rack {deepest.rack})",
                (
                    ("now", Number(deepest.sag_now or 0.0, "length")),
                    ("later", Number(deepest.sag_later or 0.0, "length")),
                ),
            )
        )
    unjudged = sum(not one.judged for one in result.racks)
    if unjudged:
        lines.append(
            SummaryLine(
                "{count} of {all} racks were not judged: nothing stands on them, or too little is said of what they are"
                " built of or rated for",
                (
                    ("count", Number(float(unjudged), "number")),
                    ("all", Number(float(len(result.racks)), "number")),
                ),
            )
        )
    lines.append(SummaryLine(CAUTION))
    return tuple(lines)


def json_racks(_room: Room, result: RacksResult) -> dict[str, object]:
    """In full; newtons, newton metres, millimetres and megapascals, units in the key names.

    >>> from tankwright.systems.racks import solve_racks
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> json_racks(empty, solve_racks(empty, {}))["racks"]
    []
    """
    return {
        "caution": CAUTION,
        "after_days": convert(result.years, "s", "day"),
        "racks": [_rack(one) for one in result.racks],
        "floors": [_floor(one) for one in result.floors],
        "not_computed": [
            {"subject": subject, "reason": reason, "remedy": remedy}
            for subject, reason, remedy in result.not_computed
        ],
    }


def _rack(one: RackStrength) -> dict[str, object]:
    return {
        "rack": one.rack,
        "judged": one.judged,
        "rules": one.route,
        "service_class": one.service_class.value if one.service_class else None,
        "share_of_rating": one.rated_share,
        "leans": one.leans,
        "sway_push_n": one.sway_push,
        "tipping_pull_as_it_stands_n": one.tip_full,
        "tipping_pull_top_alone_full_n": one.tip_worst,
        "would_hold": one.would_hold or None,
        "beams": [_beam(beam) for beam in one.beams],
        "uprights": [_post(post) for post in one.posts],
        "tilts": [
            {"tank": tilt.tank, "now_mm": _mm(tilt.now), "later_mm": _mm(tilt.later)} for tilt in one.tilts
        ],
        "sags_read": [
            {
                "shelf": read.shelf,
                "bearer": read.bearer,
                "read_mm": _mm(read.read.value),
                "worked_out_mm": _mm(read.expected),
                "aged": read.aged,
            }
            for read in one.readings
        ],
    }


def _beam(one: BeamResult) -> dict[str, object]:
    return {
        "part": one.part,
        "shelf": one.shelf,
        "bay": one.bay,
        "index": one.index,
        "section": one.member.text if one.member else None,
        "span_m": one.span,
        "loads": [_patch(patch) for patch in one.patches],
        "moment_n_m": one.moment,
        "shear_n": one.shear,
        "reactions_n": list(one.reactions),
        "sag_now_mm": _mm(one.sag_now),
        "sag_later_mm": _mm(one.sag_later),
        "uses": [_use(use) for use in one.uses],
    }


def _post(one: PostResult) -> dict[str, object]:
    return {
        "upright": one.upright,
        "side": one.side,
        "section": one.member.text if one.member else None,
        "force_n": one.force,
        "free_length_m": one.free_length,
        "loose_length_m": one.loose_length,
        "uses": [_use(use) for use in one.uses],
    }


def _patch(one: Patch) -> dict[str, object]:
    return {"from_m": one.start, "to_m": one.end, "load_n_per_m": one.load, "of": one.tank or None}


def _use(one: Use) -> dict[str, object]:
    pair: dict[str, object]
    if one.dimension == "stress":
        pair = {
            "stress_mpa": convert(one.demand, "Pa", "MPa"),
            "allowed_mpa": convert(one.allowed, "Pa", "MPa"),
        }
    elif one.dimension == "length":
        pair = {"sag_mm": _mm(one.demand), "allowed_mm": _mm(one.allowed)}
    else:
        pair = {"force_n": one.demand, "allowed_n": one.allowed}
    return {"check": one.check, "share": one.share, **pair}


def _floor(one: FloorStrength) -> dict[str, object]:
    return {
        "room": one.space,
        "floor": one.floor,
        "average_kpa": convert(one.average, "Pa", "kPa"),
        "heaviest_footprint_kpa": convert(one.heaviest_footprint, "Pa", "kPa"),
        "heaviest_rack": one.heaviest_rack,
        "limit_kpa": convert(one.limit.value, "Pa", "kPa") if one.limit else None,
        "feet": [
            {
                "rack": foot.rack,
                "upright": foot.upright,
                "side": foot.side,
                "at_xy_m": [foot.x, foot.y],
                "force_n": foot.force,
                "over": foot.over or None,
            }
            for foot in one.feet
        ],
        "joists": [_joist(joist, one) for joist in one.joists],
    }


def _joist(one: JoistLoad, floor: FloorStrength) -> dict[str, object]:
    return {
        "index": one.index,
        "at_m": one.at,
        "span_m": one.span,
        "loads": [_patch(patch) for patch in one.patches],
        "moment_n_m": one.moment,
        "moment_of_design_load_n_m": one.design_moment,
        "design_load_kpa": convert(floor.design.value, "Pa", "kPa"),
        "sag_now_mm": _mm(one.sag_now),
    }


def _mm(value: float | None) -> float | None:
    return None if value is None else convert(value, "m", "mm")
