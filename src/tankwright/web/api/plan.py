"""The plan as it stands, and one value of it."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from starlette.responses import Response

from tankwright.plan.changes import current_value
from tankwright.plan.changes_core import read, resolved
from tankwright.web.api.asking import Looker, knows
from tankwright.web.api.described import FINDING, READING, UNCHANGED
from tankwright.web.api.problems import ProblemError, mistake, mistakes
from tankwright.web.api.shapes import PlanState, Value
from tankwright.web.api.shared import Here
from tankwright.web.api.wanted import Pointer
from tankwright.web.pointer import from_pointer
from tankwright.workspace.live import Snapshot

router = APIRouter(tags=["plan"])


def display_of(snapshot: Snapshot) -> str:
    """The plan's units: "metric" or "US"."""
    room = snapshot.good.room if snapshot.good else None
    return room.display if room else "metric"


def tag_of(snapshot: Snapshot) -> str:
    """The ETag of the plan: its number; with the trouble of its file, which is another state of one number."""
    return (
        f'"{snapshot.number}"' if snapshot.trouble is None else f'"{snapshot.number}-{snapshot.trouble.code}"'
    )


@router.get("/plan", response_model=PlanState, responses={**READING, **UNCHANGED})
def read_plan(request: Request, response: Response, here: Here, _: Looker) -> object:
    """The plan: number, text, who changed it last, and what is wrong with it."""
    now = here.live.snapshot
    headers = {"ETag": tag_of(now), "Cache-Control": "private, no-cache"}
    if knows(request, headers["ETag"]):
        return Response(status_code=304, headers=headers)
    response.headers.update(headers)
    display = display_of(now)
    return PlanState(
        number=now.number, text=now.text, hash=now.hash, at=now.at, who=now.who, what=now.what,
        mistakes=mistakes(now.read.mistakes, display),
        trouble=None if now.trouble is None else mistake(now.trouble, display),
        good_number=now.good_number, undo_steps=now.undo_steps, redo_steps=now.redo_steps,
    )  # fmt: skip


@router.get("/plan/value", response_model=Value, responses={**FINDING, **UNCHANGED})
def read_value(
    request: Request, response: Response, here: Here, _: Looker, pointer: Annotated[Pointer, Query()]
) -> object:
    """One value of the plan, as a person types it and as it is written."""
    now = here.live.snapshot
    headers = {"ETag": tag_of(now), "Cache-Control": "private, no-cache"}
    path = from_pointer(pointer)
    typed = current_value(now.text, path)
    if typed is None:
        raise ProblemError("not-found", "The plan has no value there.")
    if knows(request, headers["ETag"]):
        return Response(status_code=304, headers=headers)
    response.headers.update(headers)
    positions = read(now.text)
    place = resolved(positions, path)
    return Value(
        number=now.number,
        pointer=pointer,
        typed=typed,
        toml=positions.source_of(place),
        line=positions.line_of(place),
    )
