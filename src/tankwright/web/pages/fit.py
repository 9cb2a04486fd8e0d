"""What fits: the wish, the search for arrangements of racks and tanks, each proposal drawn, judged, ready to take."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from markupsafe import Markup

from tankwright.arranging.model import Arrangements, Proposal
from tankwright.display import sentence
from tankwright.drawing.first_view import draw_first
from tankwright.drawing.layers import draw_results
from tankwright.finding import Severity
from tankwright.plan.editing import quoted
from tankwright.plan.models import Wish
from tankwright.report.fit import SCREENING, proposal_lines, rack_line, summary_fit
from tankwright.report.model import SummaryLine
from tankwright.web.page import Page, View
from tankwright.web.sheets import SheetField
from tankwright.workspace.arrange_work import known_arrangements, mark_of
from tankwright.workspace.jobs import Job

KIND: Final = "arrange"
SOUGHT: Final = ("tanks", "litres", "cost", "walking")


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One proposal in the list: its number, what it holds in short, how many problems it has."""

    number: int
    tanks: int
    litres: float
    problems: int
    meets: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """Names of kinds or racks that a list of the wish holds, with their place in it, and those it could hold."""

    pointer: str
    chosen: tuple[str, ...]
    others: tuple[str, ...]


def show(view: View) -> Mapping[str, object]:
    """The wish, the search as far as it is, and the proposal the address names."""
    plan = view.snapshot.good.plan if view.snapshot.good is not None else None
    able = plan is not None and view.room is not None and bool(plan.room)
    found, job, mark, stale = _found(view) if able else (None, None, "", False)
    asked = view.query.get("proposal", "1")
    proposals = found.proposals if found is not None else ()
    chosen = next((one for one in proposals if str(one.number) == asked), proposals[0] if proposals else None)
    wish = (plan.wish if plan is not None else None) or Wish()
    return {
        "able": able and plan is not None and bool(plan.tank_kind) and bool(plan.rack_kind),
        "found": found, "job": job, "kind": KIND, "stale": stale, "mark": mark, "screening": SCREENING,
        "summary": _said(view, summary_fit(found)[:-1]) if found is not None and found.proposals else (),
        "choices": tuple(_choice(one) for one in proposals), "chosen": chosen,
        "lines": _said(view, proposal_lines(chosen, found.best, found.currency)) if chosen and found else (),
        "racks": _said(view, (rack_line(one) for one in chosen.racks)) if chosen else (),
        "drawing": _drawing(view, chosen) if chosen else None,
        "told": tuple(one for one in chosen.findings if one.severity is not Severity.NOTE) if chosen else (),
        "error": view.errors.get("arrangement"),
        "wished": tuple(enumerate(wish.tanks)),
        "kinds": tuple(name for name in plan.tank_kind if name not in {one.kind for one in wish.tanks})
        if plan else (),
        "adding": lambda name: f"{{ kind = {quoted(name)}, at_least = 1 }}", "quoted": quoted,
        "lists": _lists(view, wish), "fields": _fields(view),
    }  # fmt: skip


def _found(view: View) -> tuple[Arrangements | None, Job | None, str, bool]:
    """What is known of this state of the plan; else the newest there is, which is then told to be of another."""
    good, number = view.snapshot.good, view.snapshot.good_number
    if good is None or number is None:
        return None, None, "", False
    mark = mark_of(good)
    known = known_arrangements(mark) if mark else None
    jobs = [one for one in view.jobs.list() if one.kind == KIND] if view.jobs is not None else []
    mine = next((one for one in jobs if one.number == number), None)
    if known is not None:
        return known, None, mark, False
    before = next((one.result for one in jobs if isinstance(one.result, Arrangements)), None)
    return before, mine, mark, before is not None


def _choice(one: Proposal) -> Choice:
    problems = sum(finding.severity is Severity.PROBLEM for finding in one.findings)
    return Choice(
        number=one.number, tanks=one.tanks, litres=one.litres, problems=problems, meets=one.meets_the_wish
    )


def _said(view: View, lines: Iterable[SummaryLine]) -> tuple[str, ...]:
    return tuple(sentence(line.text, line.numbers, view.display) for line in lines)


def _drawing(view: View, one: Proposal) -> tuple[Markup, Markup]:
    def make(_: object) -> tuple[Markup, Markup]:
        results = draw_results(one.study, one.findings, "layout")
        drawn = draw_first(one.room, results, door=True, tanks=True, spots=())
        return Markup(drawn.plan), Markup(drawn.fronts)

    return view.made_once.keep(view.snapshot, ("proposal", id(one), view.display), make) or (
        Markup(""), Markup("")
    )  # fmt: skip


def _lists(view: View, wish: Wish) -> tuple[tuple[str, Listed], ...]:
    plan = view.snapshot.good.plan if view.snapshot.good is not None else None
    kinds = tuple(plan.rack_kind) if plan is not None else ()
    racks = tuple(one.id for one in plan.rack) if plan is not None else ()
    return (
        ("racks", Listed(pointer="/wish/racks", chosen=tuple(wish.racks),
                         others=tuple(one for one in kinds if one not in wish.racks))),
        ("keep", Listed(pointer="/wish/keep", chosen=tuple(wish.keep),
                        others=tuple(one for one in racks if one not in wish.keep))),
    )  # fmt: skip


def _fields(view: View) -> tuple[SheetField, ...]:
    rooms = tuple(one.id for one in view.room.spaces) if view.room is not None else ()
    return (
        SheetField(pointer="/wish/room", label="Room to fill", help="the first when not said", choices=rooms),
        SheetField(pointer="/wish/best", label="Sought", help="most tanks or litres, least cost or walking",
                   choices=SOUGHT),
        SheetField(pointer="/wish/litres", label="Litres at least"),
        SheetField(pointer="/wish/islands", label="Racks may stand free", choices=("true", "false")),
        SheetField(pointer="/wish/aisle", label="Clear way before every rack", help="the room's own when not said"),
    )  # fmt: skip


PAGE = Page(name="fit", path="/fit", title="What fits", template="fit.html", show=show, group="plan")
