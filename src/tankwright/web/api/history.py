"""The history of the plan: revisions, their texts, and what changed between two."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Path, Query

from tankwright.report.finding import json_finding
from tankwright.web.api.asking import Looker
from tankwright.web.api.described import FINDING, READING
from tankwright.web.api.problems import ProblemError
from tankwright.web.api.shapes import Compared, FigureChanged, Revision, Revisions, RevisionText, TankShifted
from tankwright.web.api.shared import LARGEST_NUMBER, Here
from tankwright.workspace.compare import TankMove
from tankwright.workspace.revisions import Revision as Kept

router = APIRouter(tags=["history"])
_Number = Annotated[int, Path(ge=1, le=LARGEST_NUMBER, description="its number")]
_Asked = Annotated[int, Query(ge=1, le=LARGEST_NUMBER, description="number of a revision", examples=[1])]


def _fields(one: Kept) -> dict[str, object]:
    return {
        "number": one.number, "at": one.at, "kind": one.kind, "who": one.who, "what": one.what, "hash": one.hash,
        "of": one.of,
    }  # fmt: skip


@router.get("/revisions", response_model=Revisions, responses=READING)
def list_revisions(
    here: Here,
    _: Looker,
    limit: Annotated[int, Query(ge=1, le=200, description="at most so many")] = 50,
    before: Annotated[
        int | None, Query(ge=1, le=LARGEST_NUMBER, description="only those with smaller numbers")
    ] = None,
) -> object:
    """Every state the plan had, newest first."""
    found = here.live.revisions(limit + 1, before)
    shown = [Revision.model_validate(_fields(one)) for one in found[:limit]]
    return Revisions(revisions=shown, next_before=shown[-1].number if len(found) > limit else None)


@router.get("/revisions/{number}", response_model=RevisionText, responses=FINDING)
def read_revision(here: Here, _: Looker, number: _Number) -> object:
    """One state with its text."""
    found = next(iter(here.live.revisions(1, number + 1)), None)
    text = here.live.text_at(number)
    if found is None or found.number != number or text is None:
        raise ProblemError("not-found", f"There is no revision {number}, or its lines are damaged.")
    return RevisionText.model_validate({**_fields(found), "text": text})


@router.get("/comparison", response_model=Compared, responses=FINDING)
def compare(here: Here, _: Looker, a: _Asked, b: _Asked) -> object:
    """What changed from revision a to revision b: lines, figures, findings, tanks."""
    found = here.live.compare(a, b)
    if found is None:
        raise ProblemError(
            "not-found", f"There is no revision {a} or no revision {b}, or its lines are damaged."
        )
    return Compared(
        a=found.a, b=found.b, text_lines=list(found.text_lines), comparable=found.comparable,
        figures=[FigureChanged(layer=one.layer, name=one.name, old=one.old, new=one.new) for one in found.figures],
        findings_gone=[json_finding(one) for one in found.findings_gone],
        findings_come=[json_finding(one) for one in found.findings_come],
        tanks_moved=[_shifted(one) for one in found.tanks_moved],
        tanks_added=list(found.tanks_added), tanks_removed=list(found.tanks_removed),
    )  # fmt: skip


def _shifted(one: TankMove) -> TankShifted:
    return TankShifted(
        tank=one.tank, old_middle_m=list(one.old), new_middle_m=list(one.new), old_rack=one.old_rack,
        new_rack=one.new_rack, old_shelf=one.old_shelf, new_shelf=one.new_shelf,
    )  # fmt: skip
