"""Racks and floor: what every bearer, board and upright of one rack uses of what it may bear, what section would do,
how it leans and tips, sags read off it, and what comes down on the floor. A screening, never a verdict."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from tankwright.checks.load import FLOOR_VALUES
from tankwright.drawing.fronts import walking_order
from tankwright.explain.model import Input, Working
from tankwright.explain.rack_parts import workings_of_joists, workings_of_rack
from tankwright.finding import Number
from tankwright.room.assumed import assumed
from tankwright.room.model import RackPlace, Room, Space
from tankwright.study import Study
from tankwright.systems.racks_model import FloorStrength, RackStrength, Use
from tankwright.web import clock
from tankwright.web.floor_shown import MOST_JOISTS, floor_picture, hangs, joists_of
from tankwright.web.page import Page, View
from tankwright.web.plan_values import plan_of
from tankwright.web.rack_fields import floor_groups, rack_groups, sentence_of
from tankwright.web.rack_sections import Choices, choices_for
from tankwright.web.rack_shown import (
    STRENGTH,
    built_of,
    masses_of,
    parts_of,
    posts_of,
    rack_picture,
    sags_of,
    step_of,
    tilts_of,
)
from tankwright.workspace.opened import Opened
from tankwright.workspace.parts_work import mark_of

EXAMPLES: Final = {
    "metric": 'timber = { uprights = "45 mm x 95 mm C24", bearers = "45 mm x 95 mm C24", board = "18 mm plywood", '
    'brace = "9 mm plywood", bearers_rest = "block" }',
    "US": 'timber = { uprights = "2x4 SPF No.2", bearers = "2x6 SPF No.2", board = "3/4 in plywood", '
    'brace = "3/8 in plywood", bearers_rest = "block" }',
}
OF_WEIGHTS: Final = ("LOAD-04", "LOAD-05", "LOAD-06")
"""Findings of the weights that are of racks, too: the maker's rating, none said, tipping."""
MOST_ROWS: Final = 90
MOST_CHOICES: Final = 8
MOST_TILTS: Final = 30


@dataclass(frozen=True, slots=True, kw_only=True)
class Tab:
    """One rack among the links to all of them; `share` is the most it uses, None where that is not known."""

    id: str
    share: float | None
    step: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """The rack one looks at, and the floor it stands on."""

    room: Room
    study: Study
    rack: RackPlace
    strength: RackStrength
    space: Space
    floor: FloorStrength | None


def show(view: View) -> Mapping[str, object]:
    """One rack in full, the others as links; the floor under it."""
    looked = _looked(view)
    if looked is None:
        return {"rack": None}
    return {
        "told": tuple(one for one in view.findings if one.code.startswith("RACKS-") or one.code in OF_WEIGHTS),
        "step_of": step_of, "columns": (*STRENGTH, "sag"), "values": FLOOR_VALUES, "today": clock.today().isoformat(),
        "tabs": _tabs(view, looked), "lost": _lost(view, looked),
        **_rack(view, looked), **_floor(view, looked),
    }  # fmt: skip


def _looked(view: View) -> Looked | None:
    room, study = view.room, view.study
    if room is None or study is None or study.racks is None or not room.racks:
        return None
    strengths = {one.rack: one for one in study.racks.racks}
    places = [rack for rack in walking_order(room) if rack.id in strengths]
    asked, of = view.query.get("rack", ""), view.query.get("room", "")
    rack = next((one for one in places if one.id == asked), None)
    rack = rack or next((one for one in places if one.room == of), None) or next(iter(places), None)
    space = next((one for one in room.spaces if rack is not None and one.id == rack.room), None)
    if rack is None or space is None:
        return None
    floor = next((one for one in study.racks.floors if one.space == space.id), None)
    return Looked(room=room, study=study, rack=rack, strength=strengths[rack.id], space=space, floor=floor)


def _lost(view: View, looked: Looked) -> str:
    asked = view.query.get("rack", "")
    return asked[:80] if asked and asked != looked.rack.id else ""


def _tabs(view: View, looked: Looked) -> tuple[Tab, ...]:
    def make(_: Opened) -> tuple[Tab, ...]:
        strengths = {one.rack: one for one in looked.study.racks.racks} if looked.study.racks else {}
        return tuple(
            Tab(id=rack.id, share=share, step=step_of(share))
            for rack in walking_order(looked.room)
            if rack.id in strengths
            for share in (_share(strengths[rack.id]),)
        )

    return view.made_once.keep(view.snapshot, "strength tabs", make) or ()


def _share(strength: RackStrength) -> float | None:
    """The most a rack uses of what its parts, or its maker's rating, may bear."""
    worst = _strongest(strength)
    shares = [one for one in (worst.share if worst else None, strength.rated_share) if one is not None]
    return max(shares, default=None)


def _strongest(strength: RackStrength) -> Use | None:
    uses = [use for beam in strength.beams for use in beam.uses if use.check in STRENGTH]
    uses += [use for post in strength.posts for use in post.uses]
    return max(uses, key=lambda use: use.share, default=None)


# --- the rack --------------------------------------------------------------------------------------------------------


def _rack(view: View, looked: Looked) -> dict[str, object]:
    room, rack, strength = looked.room, looked.rack, looked.strength
    ids = [tab.id for tab in _tabs(view, looked)]
    at = ids.index(rack.id)
    plan = plan_of(view)
    kind = plan.rack_kind.get(rack.kind) if plan is not None else None
    missing = looked.study.racks.not_computed if looked.study.racks else ()
    parts = parts_of(rack, strength)
    rows = sum(len(one.rows) for one in parts)
    worst_sag = max(
        (use for beam in strength.beams if beam.part == "bearer" for use in beam.uses if use.check == "sag"),
        key=lambda use: use.share, default=None,
    )  # fmt: skip
    return {
        "rack": rack, "strength": strength, "picture": rack_picture(view, looked.study, rack, strength),
        "before": ids[at - 1] if at else "", "after": ids[at + 1] if at + 1 < len(ids) else "",
        "parts_of_rack": parts if rows <= MOST_ROWS else _one_shelf(view, parts), "long": rows > MOST_ROWS,
        "shelves_with_parts": tuple(one.shelf for one in parts), "posts": posts_of(strength), "built": built_of(rack),
        "worst": _strongest(strength), "worst_sag": worst_sag, "worst_working": _worst_working(view, strength),
        "missing": tuple((why, do) for subject, why, do in missing if subject == f"rack {rack.id}"),
        "bought": kind is not None and rack.built is None and bool(kind.made_of),
        "example": f"[rack_kind.{rack.kind}]\n{EXAMPLES.get(view.display, EXAMPLES['metric'])}",
        "carries": any(tank.rack == rack.id for tank in room.tanks),
        "tilts": tilts_of(strength, assumed(room, "racks.tilt").value)[:MOST_TILTS],
        "tilt_most": assumed(room, "racks.tilt"), "sag_share": assumed(room, "racks.sag_share"),
        "plumb": assumed(room, "racks.out_of_plumb"), "sags": sags_of(view, strength),
        "choices": _choices(view, looked),
        "most_choices": MOST_CHOICES, "sentence": sentence_of(plan, rack.kind),
        "same": sum(one.kind == rack.kind for one in room.racks), "groups": tuple(rack_groups(view, plan, rack)),
    }  # fmt: skip


def _one_shelf(view: View, parts: tuple[object, ...]) -> tuple[object, ...]:
    """The shelf the address asks for, of a rack with very many parts."""
    asked = view.query.get("shelf", "")
    return tuple(one for one in parts if str(getattr(one, "shelf", "")) == asked) or parts[:1]


def _worst_working(view: View, strength: RackStrength) -> str:
    """The working of what a rack uses most of, as `explain.racks` names it."""
    stem, worst = f"racks.{strength.rack}", _strongest(strength)
    known = view.made_once.workings(view.snapshot)
    names = (f"{stem}.{name}" for name in ("bearer", "piece", "board", "upright"))
    found = (name for name in names if name in known and worst is not None)
    return next((name for name in found if known[name].number.value == (worst.demand if worst else None)), "")


def _choices(view: View, looked: Looked) -> Choices | None:
    def make(opened: Opened) -> Choices | None:
        return choices_for(opened, looked.rack.kind, masses_of(looked.study))

    good = view.snapshot.good
    return None if good is None else view.made_once.keep(
        view.snapshot, ("rack choices", looked.rack.kind, mark_of(good)), make
    )  # fmt: skip


# --- the floor -------------------------------------------------------------------------------------------------------


def _floor(view: View, looked: Looked) -> dict[str, object]:
    floor, space = looked.floor, looked.space
    count = len(floor.joists) if floor is not None else 0
    start = _start(view.query.get("joist", ""), count)
    weight = looked.study.load
    return {
        "floor": floor, "space": space, "joists": joists_of(floor, start) if floor is not None else (),
        "joist_count": count, "joist_start": start, "joist_most": MOST_JOISTS, "hangs": hangs(space),
        "floor_picture": floor_picture(view, looked.room, floor) if floor is not None else "",
        "heaviest_foot": max((foot.force for foot in floor.feet), default=None) if floor is not None else None,
        "over": tuple(foot for foot in floor.feet if foot.over) if floor is not None else (),
        "rooms": tuple(one.space for one in looked.study.racks.floors) if looked.study.racks else (),
        "brim": next((one.brim_pressure for one in weight.spaces if one.space == space.id), None) if weight else None,
        "floor_fields": tuple(floor_groups(view, space)),
        "voids": tuple((number, name) for number, (name, _) in enumerate(space.voids)),
    }  # fmt: skip


def _start(asked: str, count: int) -> int:
    """Where a page of joists begins, by the first of its numbers."""
    number = int(asked) - 1 if asked.isdecimal() and len(asked) < 6 else 0
    return number // MOST_JOISTS * MOST_JOISTS if 0 <= number < count else 0


# --- workings --------------------------------------------------------------------------------------------------------


def workings(view: View) -> Mapping[str, Working]:
    """The workings of everything that the rack and the floor one looks at come to, by name."""
    looked = _looked(view)
    if looked is None:
        return {}

    def make(_: Opened) -> dict[str, Working]:
        made = [*workings_of_rack(looked.room, looked.strength)]
        if looked.floor is not None:
            made += workings_of_joists(looked.room, looked.floor)
        return {one.name: one for one in made}

    known = view.made_once.keep(view.snapshot, ("workings of rack", looked.rack.id), make) or {}
    return {**known, **{one.name: one for one in _tried(_choices(view, looked))}}


def _tried(choices: Choices | None) -> list[Working]:
    """The workings of sections that were tried, by their place in the list."""
    made: list[Working] = []
    for number, one in enumerate(choices.made if choices is not None else (), start=1):
        for what, use in (("strength", one.strength), ("sag", one.sag)):
            if use is None:
                continue
            after = " after years" if use.check == "sag" else ""
            made.append(
                Working(
                    name=f"racks.try.{number}.{what}",
                    title=f"{use.check}{after} of bearers of {one.section.name}, tried in every rack of the kind",
                    number=Number(use.share, "share"), formula=f"worst {use.check} of any bearer / what it may be",
                    inputs=(
                        Input(name=f"worst {use.check}", number=Number(use.demand, use.dimension)),
                        Input(name="allowed", number=Number(use.allowed, use.dimension)),
                        Input(name="section modulus", number=Number(one.section.section_modulus, "section_modulus")),
                        Input(name="second moment of area", number=Number(one.section.second_moment, "second_moment")),
                    ),
                    source="beam theory; strengths by the code of the grade",
                    note="under the same tanks, resting and as damp as the bearers there are; a screening",
                )
            )  # fmt: skip
    return made


PAGE = Page(
    name="strength", path="/strength", title="Racks and floor", template="strength.html", show=show, group="system",
    layer="racks", workings=workings,
)  # fmt: skip
