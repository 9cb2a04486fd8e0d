"""The logbook of a plan for who needs no more of the plan than where its tanks stand."""

from __future__ import annotations

from pathlib import Path

from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.room.model import Room
from tankwright.workspace.log import RoomLog


def room_of(plan: Path) -> Room | None:
    """The room of a plan, laid out and not worked out; None when it has mistakes that keep it from that."""
    try:
        read = read_plan_text(plan.read_text("utf-8"), str(plan)).plan
    except (OSError, UnicodeError):
        return None
    return None if read is None else lay_out(read).room


def log_in_step(plan: Path) -> RoomLog:
    """The log of a plan, which follows its tanks."""
    room = room_of(plan)
    return RoomLog(plan, room=lambda: room)
