"""The drain: one run at a time as a long-section with its water, what it must take, and what blocks tank by tank."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, TypeVar

from markupsafe import Markup

from tankwright.drawing.fronts import walking_order
from tankwright.drawing.layers import with_case, worst_case
from tankwright.drawing.section_screen import draw_screen_section
from tankwright.finding import Severity
from tankwright.plan.editing import quoted
from tankwright.room.model import DrainRun, Room, Tank
from tankwright.systems.drain_model import DrainCase, DrainRunResult, SegmentState, TankDrain
from tankwright.web.drawings import Swatch
from tankwright.web.page import Page, View
from tankwright.web.pointer import to_pointer
from tankwright.web.sheets import SheetField
from tankwright.workspace.opened import Opened

MOST_ROWS: Final = 40
"""Rows a table shows before all are asked for, so that a hall's page stays small."""

Row = TypeVar("Row")


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A long-section as inline SVG. `size` names the width it needs to be read."""

    svg: Markup
    legend: tuple[Swatch, ...]
    larger: str
    larger_above: str
    size: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseRow:
    """One load on the run: the feed alone, an event, or both. `index` is the event's place in the plan where its
    row may take it out. `case` is None when it was not computed."""

    name: str
    case: DrainCase | None
    index: int | None = None
    chosen: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class NodeRow:
    """One point of the run with what flows below it; `working` is the name of its depth's working, if it has one."""

    what: str
    tanks: tuple[str, ...]
    chainage: float
    invert: float
    state: SegmentState | None
    depth: float | None
    over_crown: float | None
    working: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TankRow:
    """A tank of the run and what it can pass and hold; `held` is its freeboard over what comes between two looks."""

    tank: Tank
    drain: TankDrain
    held: float | None


def show(view: View) -> Mapping[str, object]:
    """The run and the case the URL chooses; without a choice the first run in its worst case."""
    room, study = view.room, view.study
    solved = (
        {one.run: one for one in study.drain.runs} if study is not None and study.drain is not None else {}
    )
    runs = room.drains if room is not None else ()
    asked = view.query.get("run", "")
    run = next((one for one in runs if one.id == asked), runs[0] if runs else None)
    shown: dict[str, object] = {
        "case": None, "runs": tuple((one, _fullness(solved.get(one.id))) for one in runs), "run": run, "result": None,
        "warning": Severity.WARNING, "start": _start(room),
        "lost_run": asked if asked and (run is None or run.id != asked) else "",
    }  # fmt: skip
    if room is None or run is None:
        return shown
    result = solved.get(run.id)
    named = view.query.get("case", "")
    case = _chosen_case(result, named)
    reasons = study.drain.not_computed if study is not None and study.drain is not None else ()
    return shown | {
        "result": result, "case": case, "case_lost": named if case is None or case.name != named else "",
        "section": _section(view, run, case), "cases": _cases(run, result, case),
        "nodes": _cut(view, _nodes(run, case)), "tanks": _cut(view, _tanks(view, run)),
        "fields": _fields(view, room, run),
        "loose": tuple(tank for tank in room.tanks if tank.hose is None) if run is runs[0] else (),
        "not_computed": tuple(reason for subject, reason in reasons if subject == f"drain {run.id}"),
        "hosed": tuple(tank.id for tank in room.tanks if tank.hose is not None and tank.hose.drain == run.id),
    }  # fmt: skip


def _fullness(result: DrainRunResult | None) -> float | None:
    """How full a run gets at its worst; more than 1 when it drowns."""
    case = worst_case(result) if result is not None else None
    if case is None:
        return None
    return 2.0 if any(one.surcharged for one in case.segments) else case.greatest_share


def _chosen_case(result: DrainRunResult | None, name: str) -> DrainCase | None:
    if result is None:
        return None
    return next((one for one in result.cases if one.name == name), worst_case(result))


def _section(view: View, run: DrainRun, case: DrainCase | None) -> Section | None:
    display = view.display

    def make(opened: Opened) -> Section | None:
        if opened.room is None or not run.nodes:
            return None
        results = view.results("drain")
        solved = (
            opened.study.drain.runs if opened.study is not None and opened.study.drain is not None else ()
        )
        result = next((one for one in solved if one.run == run.id), None)
        if result is not None and case is not None:
            results = with_case(results, result, case.name, display)
        drawn = draw_screen_section(
            opened.room, run, results, link=lambda place: view.url("/", at=place, layer="drain")
        )
        return Section(
            svg=Markup(drawn.svg),
            legend=tuple(Swatch(swatch=Markup(item.swatch), words=item.words) for item in drawn.legend),
            larger=view.words(drawn.larger, "number"),
            larger_above="" if drawn.larger_above is None else view.words(drawn.larger_above, "number"),
            size="wide" if drawn.width > 300 else "long" if drawn.width > 205 else "",
        )  # fmt: skip

    return view.made_once.keep(view.snapshot, ("section", run.id, case.name if case else "", display), make)


def _cases(run: DrainRun, result: DrainRunResult | None, chosen: DrainCase | None) -> tuple[CaseRow, ...]:
    """Every case in its order; each event's first row carries its place in the plan."""
    cases = list(result.cases) if result is not None else []
    places: dict[int, int] = {}
    left: list[CaseRow] = []
    for index, event in enumerate(run.events):
        at = next(
            (n for n, one in enumerate(cases) if one.name == event.name and one.kind != "feed" and n not in places),
            None,
        )  # fmt: skip
        if at is None:
            left.append(CaseRow(name=event.name, case=None, index=index))
        else:
            places[at] = index
    rows = [
        CaseRow(name=one.name, case=one, index=places.get(n), chosen=one is chosen)
        for n, one in enumerate(cases)
    ]
    return (*rows, *left)


def _nodes(run: DrainRun, case: DrainCase | None) -> tuple[NodeRow, ...]:
    states = {one.start: one for one in case.segments} if case is not None else {}
    wet = [one for one in case.segments if one.flow > 0.0] if case is not None else []
    worst = max(wet, key=lambda one: 1.0 if one.share is None else one.share, default=None)
    rows: list[NodeRow] = []
    before: SegmentState | None = None
    for number, node in enumerate(run.nodes):
        state = states.get(node.id)
        invert = node.place[2]
        level = state.level_start if state is not None else before.level_end if before is not None else None
        drowned = level is not None and level > invert + run.bore.value + 1e-4
        named = case is not None and worst is not None and worst.start == node.id
        rows.append(NodeRow(
            what="outfall" if number == len(run.nodes) - 1 else "top end" if number == 0 else "corner",
            tanks=node.tanks, chainage=node.chainage, invert=invert, state=state,
            depth=None if level is None or drowned else max(level - invert, 0.0),
            over_crown=level - invert - run.bore.value if level is not None and drowned else None,
            working=_depth_working(run, case) if named and case is not None else "",
        ))  # fmt: skip
        before = state
    return tuple(rows)


def _depth_working(run: DrainRun, case: DrainCase) -> str:
    return f"drain.{run.id}.depth" if case.kind == "feed" else f"drain.{run.id}.depth.{case.name}"


def _tanks(view: View, run: DrainRun) -> tuple[TankRow, ...]:
    """The tanks of the run as the water passes them."""
    room, study = view.room, view.study
    if room is None or study is None or study.drain is None:
        return ()
    known = {tank.id: tank for tank in room.tanks}
    order = {name: number for number, node in enumerate(run.nodes) for name in node.tanks}
    rows = [
        TankRow(
            tank=known[one.tank], drain=one,
            held=one.freeboard_volume / one.fill_between_looks if one.fill_between_looks > 0 else None,
        )
        for one in study.drain.tanks
        if one.drain == run.id and one.tank in known
    ]  # fmt: skip
    return tuple(sorted(rows, key=lambda row: order.get(row.tank.id, len(order))))


def _fields(view: View, room: Room, run: DrainRun) -> tuple[SheetField, ...]:
    """The values of the plan that make this run."""
    here = ("drain", run.id)
    hose = next(
        (tank.hose for tank in room.tanks if tank.hose is not None and tank.hose.drain == run.id), None
    )
    bore = view.words(hose.bore.value, "length") if hose is not None and hose.bore.is_assumed else ""
    fields = [
        SheetField(pointer=to_pointer((*here, "pipe")), label="Pipe",
                   help='size and standard, as printed on it: "50 mm EN 1329"',
                   assumed=view.words(run.bore.value, "length") if run.bore.is_assumed else ""),
        SheetField(pointer=to_pointer((*here, "fall")), label="Fall", help='"1:60", or "1/4 in per ft"',
                   assumed=view.words(run.fall.value, "slope") if run.fall.is_assumed else ""),
        SheetField(pointer=to_pointer((*here, "vented")), label="Open to the air at its top",
                   assumed="" if run.vented is not None else "not known", choices=("true", "false")),
        SheetField(pointer=to_pointer((*here, "hose", "bore")), label="Bore of the hoses",
                   help="or of the barb, whichever is less", assumed=bore),
        SheetField(pointer=to_pointer((*here, "to")), label="Ends at",
                   choices=tuple(one.id for one in room.outfalls)),
        SheetField(pointer=to_pointer(("outfall", run.outfall, "height")), label=f"Height of {run.outfall}",
                   help="from the floor; negative below it"),
    ]  # fmt: skip
    return tuple(fields)


def _start(room: Room | None) -> tuple[str, str, str] | None:
    """Name of the outfall, the racks, and the drain as it would be written; None where there is no outfall."""
    if room is None or not room.outfalls:
        return None
    outfall = room.outfalls[0]
    racks = [rack.id for rack in walking_order(room) if rack.room == outfall.room and not rack.island]
    if not racks:
        return None
    behind = ", ".join(quoted(rack) for rack in racks)
    return outfall.id, ", ".join(racks), f"{{ to = {quoted(outfall.id)}, behind = [{behind}] }}"


def _cut(view: View, rows: tuple[Row, ...]) -> tuple[tuple[Row, ...], int]:
    """The rows a table shows at first, and how many there are: all of them when the URL asks for all."""
    return (rows if view.query.get("rows") == "all" else rows[:MOST_ROWS]), len(rows)


PAGE = Page(
    name="drain",
    path="/drain",
    title="Drain",
    template="drain.html",
    show=show,
    group="system",
    layer="drain",
)
