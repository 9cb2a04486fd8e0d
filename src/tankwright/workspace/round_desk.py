"""Much work done in one go, as a desk sends it: ticks and numbers, all kept together or none."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

from tankwright.finding import Finding
from tankwright.husbandry.rounds import done, is_unusual, read_number, unusual
from tankwright.logbook.outcome import By, Recorded, Refused
from tankwright.workspace.log import RoomLog
from tankwright.workspace.round_work import no_task


def do_many(
    log: RoomLog, ticked: Sequence[str], typed: Sequence[tuple[str, str]], by: By, *, happened: datetime,
    sure: str = "",
) -> Recorded | Refused | Mapping[str, Finding]:  # fmt: skip
    """Keep ticks and numbers; or what is wrong, or unusual, by task. `sure` lists the numbers that were asked about
    before and are as read, as "task=number"."""
    from tankwright.logbook.rounds_asked import tasks_named  # noqa: PLC0415 - loads the database

    book = log.book
    if by.key and (before := book.by_key(by.key)) is not None:
        return Recorded(events=(before,), repeated=True)
    wanted = [*dict.fromkeys(ticked), *(name for name, _ in typed)]
    if not wanted:
        return Refused(findings=(no_task("", "is none: nothing is ticked and nothing filled in"),))
    known = {one.task.id: one.task for one in tasks_named(book, wanted)}
    certain = set(sure.split(";"))
    wrong: dict[str, Finding] = {name: no_task(name) for name in wanted if name not in known}
    drafts = [done(known[name], happened, looked=bool(known[name].quantity))
              for name in dict.fromkeys(ticked) if name in known]  # fmt: skip
    for name, text in typed:
        task = known.get(name)
        if task is None:
            continue
        value = read_number(task, text)
        if isinstance(value, Finding):
            wrong[name] = value
        elif is_unusual(task, value) and f"{name}={text}" not in certain:
            wrong[name] = unusual(task, value)
        else:
            drafts.append(done(task, happened, value=value))
    return wrong or book.record(drafts, by)
