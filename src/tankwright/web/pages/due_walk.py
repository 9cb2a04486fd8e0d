"""The round in a hand: one tank a screen, what is due there done with a tap or its number, then the next tank.

All tanks of a rack are on one page, so that a cut line stops nobody on the way.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from tankwright.web import clock
from tankwright.web.due_shown import ROOM, Part, TaskShown, due_now, parts_of, shown, shown_done
from tankwright.web.page import Page, View
from tankwright.workspace.round_work import Due, tasks_here


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """One tank of the walk (the room itself: name ""): ticks and numbers that are due, what waits, what is done today.
    `washes`: hands are washed and tools disinfected before it. `shut`: nothing of it goes elsewhere."""

    name: str
    kind: str
    washes: bool
    shut: bool
    ticks: tuple[TaskShown, ...]
    reads: tuple[TaskShown, ...]
    held: tuple[TaskShown, ...]
    done: tuple[TaskShown, ...]

    @property
    def left(self) -> int:
        """How much is still to do here."""
        return len(self.ticks) + len(self.reads)


def show(view: View) -> Mapping[str, object]:
    """Every tank of the part, the one the address asks for open, else the first with work."""
    due = due_now(view)
    name = view.params["part"]
    stops = _stops(view, due, name)
    parts = parts_of(due)
    asked = next((one.sent.get("point", "") for one in view.errors.values()), "") or view.query.get(
        "kind", ""
    )
    first = next((one.kind for one in stops if one.left), stops[0].kind if stops else "")
    kind = asked if any(one.kind == asked for one in stops) else first
    return {
        "part": name, "stops": stops, "kind": kind, "after": _after(parts, name),
        "left": sum(one.left for one in stops), "can": view.may("enter"), "room_part": name == ROOM,
        "value": view.query.get("value", "")[:40], "task": view.query.get("task", "")[:80],
    }  # fmt: skip


def _after(parts: tuple[Part, ...], name: str) -> Part | None:
    """The part that comes after this one and has work."""
    names = [one.name for one in parts]
    if name in names:
        at = names.index(name)
        return parts[at + 1] if at + 1 < len(parts) else None
    return parts[0] if parts else None


def _stops(view: View, due: Due, name: str) -> tuple[Stop, ...]:
    shut = {place for one in due.shut for place in one.places}
    here = [place for place in due.places.values() if (place.rack or ROOM) == name]
    order = {one.task.place: one.order for one in due.items}
    here.sort(key=lambda place: (order.get(place.id, 0), place.order))
    wanted = ([""] if name == ROOM else []) + [place.id for place in here]
    found = []
    for place in wanted:
        stop = _stop(view, due, place, shut)
        if stop is not None:
            found.append(stop)
    return tuple(found)


def _stop(view: View, due: Due, place: str, shut: set[str]) -> Stop | None:
    mine = [one for one in due.items if one.task.place == place]
    listed = {one.task.id for one in mine}
    done = [
        shown_done(one, due.today) for one in tasks_here(view.log, place)
        if one.task.id not in listed and one.last is not None and clock.day_of(one.last) == due.today
    ]  # fmt: skip
    if not mine and not done:
        return None
    told = [shown(one, due.today) for one in mine]
    open_ = [one for one in told if one.state in ("late", "due")]
    label = due.label(place)
    return Stop(
        name=label, kind=label or ROOM, washes=place in due.washes, shut=place in shut,
        ticks=tuple(one for one in open_ if not one.reads), reads=tuple(one for one in open_ if one.reads),
        held=tuple(one for one in told if one.state == "held"), done=tuple(done),
    )  # fmt: skip


PAGE: Final = Page(
    name="due_walk", path="/due/walk/{part}", title="Round", template="due_walk.html", show=show
)
