"""What the results stand on that nobody has given or measured: each value with its band, and what it would change."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from tankwright.catalogue.assumptions import ASSUMPTIONS, Assumption
from tankwright.sensitivity import Change, Consequence
from tankwright.web.page import Page, View
from tankwright.workspace.jobs import Job

KIND = "assumptions"


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One assumption in use, in the reader's units, and what came of trying its band (None: not tried yet)."""

    row: Assumption
    value: str
    low: str
    high: str
    pointer: str
    consequence: Consequence | None


def change_words(change: Change) -> str:
    """A change of verdict in words: which places a finding would come to name, which it would no longer name."""
    told = []
    for verb, places in (("would be named", change.comes), ("would no longer be named", change.goes)):
        if places:
            more = f" and {len(places) - 4} more" if len(places) > 4 else ""
            told.append(f"{', '.join(places[:4])}{more} {verb}")
    return f"{change.code} ({change.severity.value}): {'; '.join(told)}"


def show(view: View) -> Mapping[str, object]:
    """Every assumption in use, weightiest first once the bands were tried."""
    job = _job(view)
    tried = job.result if job is not None and job.state == "done" and isinstance(job.result, tuple) else ()
    consequences: dict[str, Consequence] = {one.assumption.key: one for one in tried}
    room = view.room
    keys = {known.key: known for known in room.assumed} if room is not None else {}
    order = list(consequences) + [key for key in keys if key not in consequences]
    rows = [
        Row(
            row=ASSUMPTIONS[key], consequence=consequences.get(key), pointer=view.pointer("assume", key),
            value=view.words(keys[key].value, ASSUMPTIONS[key].dimension),
            low=view.words(ASSUMPTIONS[key].low, ASSUMPTIONS[key].dimension),
            high=view.words(ASSUMPTIONS[key].high, ASSUMPTIONS[key].dimension),
        )
        for key in order
        if key in keys and key in ASSUMPTIONS
    ]  # fmt: skip
    return {"rows": rows, "job": job, "change_words": change_words, "kind": KIND}


def _job(view: View) -> Job | None:
    """The newest trial: of this state of the plan, or of one before it."""
    jobs = [job for job in view.jobs.list() if job.kind == KIND] if view.jobs is not None else []
    mine = [job for job in jobs if job.number == view.snapshot.good_number]
    return mine[0] if mine else next(iter(jobs), None)


PAGE = Page(
    name="assumptions", path="/assumed", title="Assumed", template="assumptions.html", show=show, group="plan"
)
