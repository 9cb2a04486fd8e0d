"""What a change would come to, without making it: the text as it would be, laid out and one system worked out."""

from __future__ import annotations

from pathlib import Path

from tankwright.plan.changes import Change
from tankwright.study import Study, work_out
from tankwright.workspace.opened import lay_text


def preview(text: str, change: Change, *, system: str) -> Study | None:
    """The study of one system after a change of a plan's text; None where the change or its room cannot be.

    Costly what-ifs are left out. Raises nothing for what the text holds.

    >>> from tankwright.plan.changes import SetValue
    >>> preview("", SetValue(("title",), "Shed"), system="air") is None
    True
    """
    made = change.apply(text)
    if made.text is None:
        return None
    laid = lay_text(Path("plan.toml"), made.text)
    return None if laid.room is None else work_out(laid.room, frozenset({system}), walk_through=False)
