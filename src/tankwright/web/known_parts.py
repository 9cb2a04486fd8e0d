"""The parts of the plan as far as they are known, for every page that shows something of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from tankwright.web.page import View
from tankwright.workspace.jobs import Job
from tankwright.workspace.parts_work import WorkedParts, known_parts, mark_of

KIND: Final = "parts"


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownParts:
    """What is known of the parts, the newest work on them, and the number of the plan they are of when it is not
    this one."""

    worked: WorkedParts | None
    job: Job | None
    of_number: int | None = None


def parts_of(view: View) -> KnownParts:
    """The parts of this state of the plan and its price lists; until they are counted, the newest there are.

    Who has counted once sees what an edit does to it: the work for the new state is then begun here.
    """
    good, jobs, number = view.snapshot.good, view.jobs, view.snapshot.good_number
    if good is None or number is None:
        return KnownParts(worked=None, job=None)
    mark = mark_of(good)  # at each look: a price list may have come since
    every = [one for one in jobs.list() if one.kind == KIND] if jobs is not None else []
    mine = next((one for one in every if one.number == number), None)
    known = known_parts(mark) if mark else None
    if known is not None:
        return KnownParts(worked=known, job=None)
    before = next((one for one in every if isinstance(one.result, WorkedParts)), None)
    if jobs is not None and before is not None and mark and (mine is None or mine.state == "done"):
        mine = jobs.start(KIND, number)
    worked = before.result if before is not None and isinstance(before.result, WorkedParts) else None
    return KnownParts(worked=worked, job=mine, of_number=before.number if before is not None else None)
