"""Glass: every pane's worst stress, and one pane whose hole is moved by hand, by keys or by two typed measures. A
screening; the full check and the map of places are worked out when they are asked for."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from tankwright.drawing.colour import USE, step_for
from tankwright.drawing.pane_live import measured_down, measured_from, said_pane
from tankwright.plan.changes_glass import MoveHole
from tankwright.plan.changes_moves import written_length
from tankwright.room.model import Pane, Room, Tank
from tankwright.systems.glass_full_model import KEPT_OUT_WORDS, FullPane, HoleMap, HoleSpot
from tankwright.systems.glass_model import GlassResult, PaneScreen
from tankwright.web.glass_pictures import Chosen, full_picture, live_picture, map_picture, worst_place
from tankwright.web.page import Page, View
from tankwright.web.pointer import to_pointer
from tankwright.web.sheets import SheetField
from tankwright.workspace.glass_try import (
    HoleTried,
    place_of,
    tried_in,
    try_hole,
)
from tankwright.workspace.glass_work import CheckedPanes, Drilled, MadeMaps, drilled, known_map, known_pane
from tankwright.workspace.jobs import Job

FULL: Final = "glass"
MAP: Final = "hole_map"
GOVERNS: Final = {
    "surface": "in the pane", "edge": "at the free top edge", "hole": "at the hole",
}  # fmt: skip
STEPS: Final = tuple((step.fill.token, step.words) for step in USE)
SAME_PLACE: Final = 0.001
_METRES: Final = re.compile(r"\d{1,3}(\.\d{1,8})?", re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True)
class PaneRow:
    """A pane in the table; `full` is None where it was not checked in full."""

    screen: PaneScreen
    full: FullPane | None
    path: str
    chosen: bool
    step: str
    full_step: str
    stem: str
    working: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KindRows:
    """The panes of a kind of tank; `unknown` are those that were not computed: (subject, reason, remedy)."""

    kind: str
    tanks: int
    rows: tuple[PaneRow, ...]


def step_of(use: float | None) -> str:
    """The class of a share of strength.

    >>> step_of(0.3), step_of(1.1), step_of(None)
    ('use-2', 'use-6', 'none')
    """
    return "none" if use is None else step_for(use, USE).fill.token


def working_of(screen: PaneScreen) -> str:
    """The working of a screened pane's worst stress (`explain.glass`)."""
    stem = f"glass.{screen.case.kind}.{screen.case.pane}"
    if screen.governs != "hole":
        return f"{stem}.stress"
    number = max(range(len(screen.holes)), key=lambda at: screen.holes[at].stress)
    return f"{stem}.hole{number + 1 if number else ''}"


def show(view: View) -> Mapping[str, object]:
    """All panes, one of them closely; where a hand moves its hole, only what it comes to there."""
    room, study = view.room, view.study
    result = study.glass if study is not None else None
    if room is None or result is None or not room.tanks:
        return {"glass": None, "tried": None, "now": None, "chosen": None, "fields": ()}
    chosen = _chosen(view, room, result)
    tried = _tried(view, chosen)
    shown: dict[str, object] = {
        "glass": result, "chosen": chosen, "tried": tried, "words_of": KEPT_OUT_WORDS, "step_of": step_of,
        "governs": GOVERNS, "now": _now(view, room, chosen), "said_pane": said_pane,
        "measured_from": measured_from, "measured_down": measured_down,
        "worst_place": worst_place, "working_of": working_of, "steps": STEPS,
    }  # fmt: skip
    if "x" in view.query:
        return shown
    return shown | _whole(view, room, result, chosen, tried)


# --- which pane ---------------------------------------------------------------------------------------------


def _chosen(view: View, room: Room, result: GlassResult) -> Chosen | None:
    """The pane the address asks for; else the drilled one that uses the most of its strength, else the worst of all."""
    kind, pane = view.query.get("kind", ""), view.query.get("pane", "")
    of_kind = [one for one in result.panes if not kind or one.case.kind == kind]
    of_pane = [one for one in of_kind if one.case.pane == pane] or of_kind
    with_hole = [one for one in of_pane if one.case.holes] or of_pane
    screen = max(with_hole, key=lambda one: one.use, default=None)
    if screen is None:
        return None
    tank = next(tank for tank in room.tanks if tank.kind == screen.case.kind)
    numbers = tuple(_numbers(tank, screen.case.pane))
    asked = view.query.get("hole", "")
    number = int(asked) if asked in {str(one) for one in numbers} else next(iter(numbers), None)
    index = numbers.index(number) if number is not None else 0
    return Chosen(
        screen=screen,
        kind=screen.case.kind,
        pane=screen.case.pane,
        number=number,
        index=index,
        numbers=numbers,
    )


def _numbers(tank: Tank, pane: Pane) -> list[int]:
    """The holes of a pane, as the plan counts them."""
    places = ((number, place_of(tank, number)) for number in range(len(tank.more_holes) + 1))
    return [number for number, place in places if place is not None and place[0] == pane]


def _now(view: View, room: Room, chosen: Chosen | None) -> HoleTried | None:
    """The hole as the plan has it."""
    if chosen is None or chosen.number is None:
        return None
    number = chosen.number
    return view.made_once.keep(
        view.snapshot, ("hole now", chosen.kind, number), lambda _: tried_in(room, chosen.kind, number)
    )


def _tried(view: View, chosen: Chosen | None) -> HoleTried | None:
    """The place the address asks for: typed with its units, or moved there by hand, in metres."""
    good = view.snapshot.good
    if chosen is None or chosen.number is None or good is None:
        return None
    moved = [view.query.get(name, "") for name in ("x", "y")]
    typed = [view.query.get(name, "").strip()[:40] for name in ("across", "down")]
    if all(_METRES.fullmatch(one) for one in moved):
        across, down = (float(one) for one in moved)
        return try_hole(good, MoveHole(chosen.kind, across, down, chosen.number))
    if all(typed):
        return try_hole(good, MoveHole(chosen.kind, typed[0], typed[1], chosen.number))
    return None


# --- the whole page -----------------------------------------------------------------------------------------


def _whole(
    view: View, room: Room, result: GlassResult, chosen: Chosen | None, tried: HoleTried | None
) -> dict[str, object]:
    bedded = tuple(dict.fromkeys(case.kind for case in result.bedded))
    jobs = [job for job in view.jobs.list() if job.number == view.snapshot.good_number] if view.jobs else []
    kinds = _kinds(view, room, result, chosen)
    full = next((row.full for kind in kinds for row in kind.rows if row.chosen), None)
    left = sum(row.full is None for kind in kinds for row in kind.rows)
    shown: dict[str, object] = {
        "failed": _failed(jobs), "kinds": kinds, "bedded": bedded, "unknown": result.not_computed, "left": left,
        "full_kind": FULL, "full_job": _job(jobs, FULL), "full": full, "full_picture": full_picture(view, full),
        "map_kind": "", "map_job": None, "made": None, "map_picture": "", "picture": "", "fields": (),
        "typed": _typed(view, chosen), "better": _better(view, chosen), "best": None, "is_there": False, "hole": None,
    }  # fmt: skip
    if chosen is None:
        return shown
    hole = _drilled(view, chosen)
    made = (
        known_map(view.snapshot.good, hole) if hole is not None and view.snapshot.good is not None else None
    )
    return shown | {
        "picture": live_picture(view, room, chosen, tried), "fields": tuple(_fields(view, room, chosen)),
        "map_kind": f"{MAP}:{chosen.kind}", "map_job": _job(jobs, f"{MAP}:{chosen.kind}"), "made": made,
        "map_picture": map_picture(view, made), "best": _best(made), "is_there": _is_there(made), "hole": hole,
    }  # fmt: skip


def _job(jobs: list[Job], kind: str) -> Job | None:
    return next((job for job in jobs if job.kind == kind), None)


def _failed(jobs: list[Job]) -> tuple[str, ...]:
    """What slow work on this state of the plan could not do, each reason once."""
    told: dict[str, None] = {}
    for job in jobs:
        if isinstance(job.result, CheckedPanes):
            told.update((f"{kind}, {said_pane(pane)}: {why}", None) for kind, pane, why in job.result.failed)
        elif isinstance(job.result, MadeMaps):
            told.update((f"{job.kind.partition(':')[2]}: {why}", None) for why in job.result.failed)
    return tuple(told)[:12]


def _kinds(view: View, room: Room, result: GlassResult, chosen: Chosen | None) -> tuple[KindRows, ...]:
    """The worst case of each pane of each kind, the kinds as they stand."""
    kinds = dict.fromkeys(tank.kind for tank in room.tanks)
    return tuple(
        KindRows(
            kind=kind,
            tanks=sum(tank.kind == kind for tank in room.tanks),
            rows=tuple(_rows(view, result, kind, chosen)),
        )
        for kind in kinds
        if any(one.case.kind == kind for one in result.panes)
    )


def _rows(view: View, result: GlassResult, kind: str, chosen: Chosen | None) -> list[PaneRow]:
    seen: set[str] = set()
    rows = []
    for one in result.panes:
        if one.case.kind != kind or one.case.pane in seen:
            continue
        seen.add(one.case.pane)
        good = view.snapshot.good
        full = known_pane(good, one) if good is not None else None
        rows.append(
            PaneRow(
                screen=one,
                full=full,
                path=view.url("/glass", kind=kind, pane=one.case.pane) + "#pane",
                chosen=chosen is not None and (chosen.kind, chosen.pane) == (kind, one.case.pane),
                step=step_of(one.use),
                full_step=step_of(full.use if full is not None else None),
                stem=f"glass.{kind}.{one.case.pane}",
                working=working_of(one),
            )
        )
    return rows


def _typed(view: View, chosen: Chosen | None) -> tuple[str, str]:
    """What stands in the two fields: what was typed, else what the plan says."""
    if chosen is None or chosen.number is None:
        return "", ""
    error = view.errors.get("hole")
    here = MoveHole(chosen.kind, "", "", chosen.number).path
    far = "from_back" if chosen.pane == "base" else "below_rim"
    said = [view.value(*here, key) or "" for key in ("from_left", far)]
    asked = error.sent if error is not None else view.query
    across, down = (asked.get(name, "").strip()[:40] for name in ("across", "down"))
    return across or said[0], down or said[1]


def _better(view: View, chosen: Chosen | None) -> tuple[str, str] | None:
    """The better place of the quick screening, as the owner writes lengths."""
    better = chosen.screen.better if chosen is not None else None
    if better is None:
        return None
    like = _typed(view, chosen)
    return (
        written_length(better.from_left, like[0], view.display),
        written_length(better.below_rim, like[1], view.display),
    )


def _drilled(view: View, chosen: Chosen) -> Drilled | None:
    good = view.snapshot.good
    if good is None or chosen.number is None:
        return None
    return next(
        (
            one
            for one in drilled(good, chosen.kind)
            if (one.screen.case.pane, one.index) == (chosen.pane, chosen.index)
        ),
        None,
    )


def _best(made: HoleMap | None) -> HoleSpot | None:
    """The best place of a map, whatever the level where none holds the wanted one."""
    return None if made is None else made.best or made.best_any_level


def _is_there(made: HoleMap | None) -> bool:
    """Whether the hole is at its best place already, as near as a hand drills."""
    best, now = _best(made), made.present if made is not None else None
    return best is not None and now is not None and abs(best.x - now.x) + abs(best.y - now.y) < SAME_PLACE


# --- values of the plan -------------------------------------------------------------------------------------


def _fields(view: View, room: Room, chosen: Chosen) -> list[SheetField]:
    """What a pane's figures rest on, to say and to change."""
    tank = next(one for one in room.tanks if one.kind == chosen.kind)
    here = ("tank_kind", chosen.kind)
    side, base = tank.glass_side, tank.glass_base
    fields = [
        SheetField(pointer=to_pointer((*here, "glass", "sides")), label="Glass of the sides",
                   help="measure it with a caliper",
                   assumed=view.words(side.value, "length") if side.is_assumed else ""),
        SheetField(pointer=to_pointer((*here, "glass", "base")), label="Glass of the base",
                   assumed=view.words(base.value, "length") if base.is_assumed else ""),
        SheetField(pointer=to_pointer((*here, "glass", "temper")), label="Annealed or toughened",
                   help="toughened glass is never drilled", choices=("annealed", "toughened", "unknown"),
                   default="unknown"),
        SheetField(pointer=to_pointer((*here, "glass", "edges")), label="Edges worked",
                   choices=("polished", "seamed", "as cut"), default="taken as cut"),
        SheetField(pointer=to_pointer((*here, "top")), label="Top edge", choices=("open", "rim", "braced"),
                   default="open"),
        SheetField(pointer=to_pointer((*here, "base_on")), label="The base lies on", choices=("bed", "edges"),
                   default="taken as its edges"),
    ]  # fmt: skip
    if chosen.number is not None:
        hole = MoveHole(chosen.kind, "", "", chosen.number).path
        fields += [
            SheetField(
                pointer=to_pointer((*hole, "diameter")), label="Hole diameter", help="measure your fitting"
            ),
            SheetField(pointer=to_pointer((*hole, "flange")), label="Flange of the fitting"),
        ]
    return fields


PAGE = Page(
    name="glass",
    path="/glass",
    title="Glass",
    template="glass.html",
    show=show,
    group="system",
    layer="glass",
)
