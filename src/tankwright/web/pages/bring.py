"""Bring in: people's own tables into the logbook, looked at first, taken back if need be; and the whole book out."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, get_args

from tankwright.finding import Finding
from tankwright.web.page import Page, View
from tankwright.workspace.bringing.bring import Brought, Looked
from tankwright.workspace.bringing.columns import ROLES, Role, TableSort
from tankwright.workspace.bringing.dates import ORDERS
from tankwright.workspace.bringing.shelf import Shelf
from tankwright.workspace.jobs import Job

LOOK: Final = "look"
TAKE: Final = "take"
_ROLE_WORDS: Final[dict[Role, str]] = {
    "": "nothing that is taken", "date": "the day, or day and hour", "time": "the hour", "tank": "the tank",
    "to": "the tank moved to", "what": "what happened", "number": "how many", "stock": "which fish (stock)",
    "line": "the line or strain", "species": "the species", "sex": "the sex", "born": "the day they were born",
    "from": "from whom", "price": "the price", "who": "who did it", "note": "a note", "ph": "pH",
    "gh": "total hardness, GH", "kh": "carbonate hardness, KH", "no2": "nitrite, NO₂", "no3": "nitrate, NO₃",
    "nh4": "ammonium, NH₄", "temperature": "temperature",
}  # fmt: skip
_SHOWN: Final = 12
_WRONG: Final = 60
_PATIENCE: Final = 2.0
"""Seconds a page waits for a small table to be read, so that it is there without being asked for again."""


def show(view: View) -> Mapping[str, object]:
    """The table the address names as it is understood, its columns, what is not; or where to send one."""
    shelf = Shelf(view.log)
    sent = shelf.get(view.query.get("of", ""))
    number = view.snapshot.good_number or view.snapshot.number
    job = taking = None
    if sent is not None and view.jobs is not None:
        job = view.jobs.wait(view.jobs.start(f"{LOOK}:{sent.id}", number).id, _PATIENCE)
        taking = _taking(view, f"{TAKE}:{sent.id}")
    result = job.result if job is not None and job.state == "done" else None
    looked = result if isinstance(result, Looked) else None
    done = taking.result if taking is not None and taking.state == "done" else None
    return {
        "sent": sent, "gone": bool(view.query.get("of")) and sent is None, "job": job, "looked": looked,
        "fault": result if isinstance(result, Finding) else None,
        "taking": taking, "brought": done if isinstance(done, Brought) else None,
        "take_fault": done if isinstance(done, Finding) else None,
        "columns": _columns(looked) if looked else (), "roles": ROLES,
        "role_words": _ROLE_WORDS, "orders": ORDERS, "sorts": get_args(TableSort),
        "first": looked.understood[:_SHOWN] if looked else (), "wrong": looked.wrong[:_WRONG] if looked else (),
        "taken_back": view.query.get("back", ""), "error": view.errors.get("table"),
    }  # fmt: skip


def _taking(view: View, kind: str) -> Job | None:
    jobs = view.jobs.list() if view.jobs is not None else ()
    return next((one for one in jobs if one.kind == kind), None)


def _columns(looked: Looked) -> tuple[tuple[int, str, str, str], ...]:
    """Each column: its number, its head, what it is taken for, and a few of its cells."""
    rows = [row for _, row in looked.table.rows[:60]]
    found = []
    for at, name in enumerate(looked.table.head):
        cells = list(dict.fromkeys(str(row[at])[:24] for row in rows if row[at]))[:3]
        found.append((at + 1, name, looked.reading.roles[at], ", ".join(cells)))
    return tuple(found)


PAGE = Page(name="bring", path="/bring", title="Bring in", template="bring.html", show=show, group="life")
