"""Entries of the logbook: what was measured, seen and done at the tanks. They need a key, and no number of the plan."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Annotated

from fastapi import APIRouter, Path, Query, Response

from tankwright.finding import Finding
from tankwright.plan.suggest import listed, nearest
from tankwright.web.api.asking import Enter, Looker
from tankwright.web.api.described import ENTERING, FINDING, READING, refusals
from tankwright.web.api.problems import KEY_USED, UNKNOWN_TANK, ProblemError, mistakes
from tankwright.web.api.shapes import Entries, Entry, EntryKept, EntryWanted
from tankwright.web.api.shared import LARGEST_NUMBER, PREFIX, Here, Shared
from tankwright.workspace.entries import Entry as Kept
from tankwright.workspace.entries import EntryKind, Stored
from tankwright.workspace.outcomes import NOT_STORED, trouble

router = APIRouter(tags=["logbook"])
_Id = Annotated[int, Path(ge=1, le=LARGEST_NUMBER, description="its id")]


def _fields(one: Kept, taken_back: frozenset[int]) -> dict[str, object]:
    return {
        "id": one.id, "tank": one.tank, "kind": one.kind, "value": one.value, "unit": one.unit, "note": one.note,
        "happened": one.happened, "recorded": one.recorded, "who": one.who, "undoes": one.undoes,
        "taken_back": one.id in taken_back,
    }  # fmt: skip


def _taken_back(everything: tuple[Kept, ...]) -> frozenset[int]:
    return frozenset(one.undoes for one in everything if one.undoes is not None)


@router.get("/entries", response_model=Entries, responses=READING)
def list_entries(
    here: Here,
    _: Looker,
    tank: Annotated[str | None, Query(min_length=1, max_length=40, description="only of this tank")] = None,
    kind: Annotated[EntryKind | None, Query(description="only of this kind")] = None,
    limit: Annotated[int, Query(ge=1, le=500, description="at most so many")] = 100,
    before: Annotated[
        int | None, Query(ge=1, le=LARGEST_NUMBER, description="only those with smaller ids")
    ] = None,
) -> object:
    """Entries, the last stored first, those taken back among them and marked so."""
    everything = here.entries.all()
    taken_back = _taken_back(everything)
    found = [
        one for one in reversed(everything)
        if (tank is None or one.tank == tank) and (kind is None or one.kind == kind)
        and (before is None or one.id < before)
    ]  # fmt: skip
    shown = [Entry.model_validate(_fields(one, taken_back)) for one in found[:limit]]
    return Entries(entries=shown, next_before=shown[-1].id if len(found) > limit else None)


@router.get("/entries/{entry}", response_model=Entry, responses=FINDING)
def read_entry(here: Here, _: Looker, entry: _Id) -> object:
    """One entry."""
    found = here.entries.get(entry)
    if found is None:
        raise ProblemError("not-found", f"There is no entry {entry}.")
    return Entry.model_validate(_fields(found, _taken_back(here.entries.all())))


_NEW = {
    **ENTERING,
    200: {"model": EntryKept, "description": "The key had come before: the entry it stored then"},
    201: {
        "description": "Stored",
        "headers": {"Location": {"description": "where the entry is", "schema": {"type": "string"}}},
    },
}


@router.post("/entries", status_code=201, response_model=EntryKept, responses=_NEW)
def add_entry(here: Here, write: Enter, wanted: EntryWanted, response: Response) -> object:
    """Store an entry. Sent again with its key it is not stored again."""
    unknown = _unknown_tank(here, wanted.tank)
    if unknown is not None:
        raise ProblemError("refused", mistakes=mistakes((unknown,), "metric"))
    stored = here.entries.add(
        key=write.key, tank=wanted.tank, kind=wanted.kind, who=write.who, value=wanted.value, unit=wanted.unit,
        note=wanted.note, happened=wanted.happened or datetime.now(UTC),
    )  # fmt: skip
    entry = _stored(stored)
    same = (entry.entry.tank, entry.entry.kind, entry.entry.undoes) == (
        wanted.tank.strip(),
        wanted.kind,
        None,
    )
    if entry.repeated and not (same and entry.entry.value == wanted.value):
        raise _other(entry.entry.id)
    response.headers["Location"] = f"{PREFIX}/entries/{entry.entry.id}"
    response.status_code = 200 if entry.repeated else 201
    return _kept(here, entry)


_UNDONE = {**ENTERING, **refusals("not-found")}


@router.post("/entries/{entry}/undo", response_model=EntryKept, responses=_UNDONE)
def undo_entry(here: Here, write: Enter, entry: _Id) -> object:
    """Take an entry back, by an entry that says so; taken back twice is once."""
    found = here.entries.get(entry)
    if found is None:
        raise ProblemError("not-found", f"There is no entry {entry}.")
    stored = _stored(here.entries.undo(entry, key=write.key, who=write.who))
    if stored.entry.undoes != entry:
        raise _other(stored.entry.id)
    return _kept(here, stored)


def _unknown_tank(here: Shared, tank: str) -> Finding | None:
    """Why a tank's name will not do: the room is known and has none of that name."""
    good = here.live.snapshot.good
    names = [one.id for one in good.room.tanks] if good and good.room else []
    if not names or tank in names:
        return None
    return trouble(
        UNKNOWN_TANK, "entry", "is of a tank the room does not have", found=tank, wanted=listed(names[:5]),
        attempt=nearest(tank, names),
    )  # fmt: skip


def _stored(stored: Stored | Finding) -> Stored:
    if isinstance(stored, Finding):
        kind = "not-stored" if stored.code in (NOT_STORED, "BOOK-01") else "refused"
        raise ProblemError(kind, mistakes=mistakes((stored,), "metric"))
    return stored


def _kept(here: Shared, stored: Stored) -> EntryKept:
    fields = _fields(stored.entry, _taken_back(here.entries.all()))
    return EntryKept.model_validate({**fields, "repeated": stored.repeated})


def _other(entry: int) -> ProblemError:
    return ProblemError("key-used", f"{KEY_USED}: this key stored entry {entry}, which is another one.")
