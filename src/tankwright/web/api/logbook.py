"""Entries of the logbook: what was measured, seen and done at the tanks. They need a key, and no number of the plan."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Path, Query, Response

from tankwright.finding import Finding
from tankwright.web.api.asking import Enter, Looker
from tankwright.web.api.described import ENTERING, FINDING, READING, refusals
from tankwright.web.api.problems import ProblemError, mistakes
from tankwright.web.api.shapes import Entries, Entry, EntryKept
from tankwright.web.api.shared import LARGEST_ENTRY, PREFIX, Here, Shared, announce
from tankwright.web.api.wanted import EntryWanted
from tankwright.web.entering import Kept as Stored
from tankwright.web.entering import Sent, enter
from tankwright.workspace.entries import NOT_KEPT, EntryKind
from tankwright.workspace.entries import Entry as Kept

router = APIRouter(tags=["logbook"])
_Id = Annotated[int, Path(ge=1, le=LARGEST_ENTRY, description="its id")]


def _fields(one: Kept, taken_back: frozenset[int]) -> dict[str, object]:
    return {
        "id": one.id, "tank": one.tank, "kind": one.kind, "value": one.value, "unit": one.unit, "note": one.note,
        "happened": one.happened, "recorded": one.recorded, "who": one.who, "undoes": one.undoes,
        "taken_back": one.id in taken_back,
    }  # fmt: skip


@router.get("/entries", response_model=Entries, responses={**READING, **refusals("no-logbook")})
def list_entries(
    here: Here,
    _: Looker,
    tank: Annotated[str | None, Query(min_length=1, max_length=40, description="only of this tank")] = None,
    kind: Annotated[EntryKind | None, Query(description="only of this kind")] = None,
    limit: Annotated[int, Query(ge=1, le=500, description="at most so many")] = 100,
    before: Annotated[
        int | None, Query(ge=1, le=LARGEST_ENTRY, description="only those with smaller ids")
    ] = None,
) -> object:
    """Entries, the last stored first, those taken back among them and marked so."""
    here.entries.log.kept  # noqa: B018 - raises for a book that is shut: "no entries" would be a lie
    found = here.entries.page(tank=tank, kind=kind, before=before, limit=limit + 1)
    taken_back = here.entries.taken_back(found)
    shown = [Entry.model_validate(_fields(one, taken_back)) for one in found[:limit]]
    return Entries(entries=shown, next_before=shown[-1].id if len(found) > limit else None)


@router.get("/entries/{entry}", response_model=Entry, responses={**FINDING, **refusals("no-logbook")})
def read_entry(here: Here, _: Looker, entry: _Id) -> object:
    """One entry."""
    here.entries.log.kept  # noqa: B018 - as above
    found = here.entries.get(entry)
    if found is None:
        raise ProblemError("not-found", f"There is no entry {entry}.")
    return Entry.model_validate(_fields(found, here.entries.taken_back((found,))))


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
    good = here.live.snapshot.good
    typed = "" if wanted.value is None else f"{wanted.value!r} {wanted.unit}"
    sent = Sent(
        key=write.key, tank=wanted.tank, kind=wanted.kind, typed=typed, note=wanted.note,
        happened="" if wanted.happened is None else wanted.happened.isoformat(),
    )  # fmt: skip
    kept = _kept(enter(here.entries, good.room if good else None, sent, who=write.who))
    if kept.repeated and not _is_same(kept.entry, wanted):
        raise _other(kept.entry.id)
    if not kept.repeated:
        announce(here)
    response.headers["Location"] = f"{PREFIX}/entries/{kept.entry.id}"
    response.status_code = 200 if kept.repeated else 201
    return _told(here, kept)


def _is_same(entry: Kept, wanted: EntryWanted) -> bool:
    told = (entry.tank, entry.kind, entry.value, entry.note, entry.undoes)
    return told == (wanted.tank.strip(), wanted.kind, wanted.value, wanted.note.strip(), None)


@router.post(
    "/entries/{entry}/undo", response_model=EntryKept, responses={**ENTERING, **refusals("not-found")}
)
def undo_entry(here: Here, write: Enter, entry: _Id) -> object:
    """Take an entry back, by an entry that says so; taken back twice is once."""
    if here.entries.get(entry) is None:
        raise ProblemError("not-found", f"There is no entry {entry}.")
    undone = here.entries.undo(entry, key=write.key, who=write.who)
    kept = _kept(
        undone if isinstance(undone, Finding) else Stored(entry=undone.entry, repeated=undone.repeated)
    )
    if kept.entry.undoes != entry:
        raise _other(kept.entry.id)
    if not kept.repeated:
        announce(here)
    return _told(here, kept)


def _kept(kept: Stored | Finding) -> Stored:
    if isinstance(kept, Finding):
        kind = "not-stored" if kept.code == NOT_KEPT else "refused"
        raise ProblemError(kind, mistakes=mistakes((kept,), "metric"))
    return kept


def _told(here: Shared, kept: Stored) -> EntryKept:
    fields = _fields(kept.entry, here.entries.taken_back((kept.entry,)))
    return EntryKept.model_validate({**fields, "repeated": kept.repeated, "said": kept.said})


def _other(entry: int) -> ProblemError:
    return ProblemError("key-used", f"This key stored entry {entry}, which is another one.")
