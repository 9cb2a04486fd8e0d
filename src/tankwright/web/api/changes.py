"""Changes of the plan: each upon the revision it was made from, each done once."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any

from fastapi import APIRouter, Query
from starlette.responses import Response

from tankwright.plan.changes import Change, SetRaw, SetText, SetValue
from tankwright.web.api.asking import Write, Writing
from tankwright.web.api.described import WRITING
from tankwright.web.api.outcome import told
from tankwright.web.api.problems import unreadable
from tankwright.web.api.shapes import Written
from tankwright.web.api.shared import Here, Shared
from tankwright.web.api.together import Together
from tankwright.web.api.wanted import (
    ElbowTurned,
    Pointer,
    RackMoved,
    RestoreWanted,
    RowWanted,
    SystemBegun,
    TankMoved,
    TapSet,
    TapsSet,
    TextWanted,
    ValuesWanted,
    ValueWanted,
)
from tankwright.web.edits import CHANGES, Asked, BadFormError, perform
from tankwright.web.pointer import from_pointer

router = APIRouter(tags=["changes"])
_HOW: Mapping[str, Any] = {"response_model": Written, "responses": WRITING}


def _as_form(here: Shared, write: Writing, change: str, **fields: str | float | None) -> Response:
    """Send what a form of a page would send."""
    sent = {"change": change, **{name: str(value) for name, value in fields.items() if value is not None}}
    try:
        outcome = perform(here.live, Asked(fields=sent, base=write.base, key=write.key, who=write.who))
        asked = CHANGES[change](sent) if change in CHANGES else sent
    except BadFormError as error:
        raise unreadable("body", str(error)) from None
    return told(here.live, outcome, asked)


def _edited(here: Shared, write: Writing, change: Change) -> Response:
    outcome = here.live.edit(change, base=write.base, key=write.key, who=write.who)
    return told(here.live, outcome, change)


@router.put("/plan", **_HOW)
def put_plan(here: Here, write: Write, wanted: TextWanted) -> object:
    """The whole text. It is stored also with mistakes, which are told; `If-Match: "0"` writes the first plan."""
    return _edited(here, write, SetText(wanted.text))


def _change(wanted: ValueWanted) -> Change:
    path = from_pointer(wanted.pointer)
    if wanted.toml is not None:
        return SetRaw(path, wanted.toml)
    return SetValue(path, wanted.typed or "", wanted.measured)


@router.patch("/plan", **_HOW)
def change_values(here: Here, write: Write, wanted: ValuesWanted) -> object:
    """One value or several in one step; comments and everything else stay as they are."""
    changes = tuple(_change(one) for one in wanted.values)
    return _edited(here, write, changes[0] if len(changes) == 1 else Together(changes))


@router.post("/plan/moves/rack", **_HOW)
def move_rack(here: Here, write: Write, wanted: RackMoved) -> object:
    """Move a rack, and all that stands on it."""
    x, y = wanted.at_m if wanted.at_m is not None else (None, None)
    return _as_form(here, write, "rack", rack=wanted.rack, along=wanted.along_m, off=wanted.off_m, x=x, y=y)


@router.post("/plan/moves/tank", **_HOW)
def move_tank(here: Here, write: Write, wanted: TankMoved) -> object:
    """Move a tank along its shelf, and with it the row it stands in."""
    return _as_form(here, write, "tank", tank=wanted.tank, from_left=wanted.from_left_m)


@router.post("/plan/elbow", **_HOW)
def turn_elbow(here: Here, write: Write, wanted: ElbowTurned) -> object:
    """Turn the elbow of a tank's overflow, which sets its level."""
    return _as_form(here, write, "elbow", tank=wanted.tank, angle=f"{wanted.angle_deg:.4f}")


@router.post("/plan/tap", **_HOW)
def set_tap(here: Here, write: Write, wanted: TapSet) -> object:
    """Set the air tap of a tank."""
    return _as_form(here, write, "tap", tank=wanted.tank, typed=100 * wanted.opening_share)


@router.post("/plan/taps", **_HOW)
def set_taps(here: Here, write: Write, wanted: TapsSet) -> object:
    """Set many air taps in one step."""
    openings = "\n".join(f"{one.tank}={100 * one.opening_share!r}" for one in wanted.taps)
    return _as_form(here, write, "taps", openings=openings, shut="\n".join(wanted.shut_spare))


@router.post("/plan/rows", **_HOW)
def add_row(here: Here, write: Write, wanted: RowWanted) -> object:
    """One more row at the end of a list: a program, an event, a point of a curve, a rack."""
    return _as_form(here, write, "add", path=wanted.pointer, typed=wanted.toml)


@router.delete("/plan/rows", **_HOW)
def remove_row(
    here: Here,
    write: Write,
    pointer: Annotated[Pointer, Query(description="the list", examples=["/feed/drip/program"])],
    index: Annotated[int, Query(ge=0, le=99_999, description="which row, from 0", examples=[0])],
) -> object:
    """Take a row out of a list."""
    return _as_form(here, write, "remove", path=pointer, index=index)


@router.post("/plan/begin", **_HOW)
def begin_system(here: Here, write: Write, wanted: SystemBegun) -> object:
    """Give the plan its first section of a system, with remarks to fill in."""
    return _as_form(here, write, "begin", system=wanted.system)


@router.post("/plan/undo", **_HOW)
def undo(here: Here, write: Write) -> object:
    """Take the newest step back."""
    return _as_form(here, write, "undo")


@router.post("/plan/redo", **_HOW)
def redo(here: Here, write: Write) -> object:
    """Do the step again that was taken back last."""
    return _as_form(here, write, "redo")


@router.post("/plan/restore", **_HOW)
def restore(here: Here, write: Write, wanted: RestoreWanted) -> object:
    """Go back to the text of an old revision; also brings back a file that is gone."""
    return _as_form(here, write, "restore", number=wanted.number)
