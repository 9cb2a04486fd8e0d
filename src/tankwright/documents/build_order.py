"""The build order on paper: what is done when, by how many, what is waited for, and where one stops to look."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Final

from tankwright.building.model import Schedule, Task
from tankwright.display import sentence
from tankwright.documents.gathered import gathered, runs
from tankwright.documents.model import Block, Cell, Column, Paragraph, Sheet, Table, columns
from tankwright.drawing.model import Drawing
from tankwright.finding import Number

GROUPS: Final = {
    "order": "To order", "shell": "Walls, roof, insulation", "floor": "Floor", "power": "Power", "racks": "Racks",
    "tanks": "Tanks", "drilling": "Drilling", "drain": "Drain", "air": "Air", "feed": "Feed", "warmth": "Warmth",
    "proof": "Wet tests", "fish": "Fish",
}  # fmt: skip


def build_sheet(
    tasks: tuple[Task, ...], plan: Schedule, charts: tuple[Drawing, ...], display: str
) -> Sheet | None:
    """The order of the build with its timeline; None where there is nothing to do."""
    if not tasks:
        return None
    return Sheet(
        name="build-order",
        title="Build order",
        part="build",
        blocks=tuple(_blocks(tasks, plan, charts, display)),
    )


def _blocks(
    tasks: tuple[Task, ...], plan: Schedule, charts: tuple[Drawing, ...], display: str
) -> Iterator[Block]:
    by_id = {task.id: task for task in tasks}
    ordered = in_order(tasks, plan)
    numbers = {task.id: number for number, task in enumerate(ordered, start=1)}
    for finding in plan.findings:
        yield Paragraph(
            text=f"{finding.subject} {sentence(finding.text, finding.numbers, display)}.", caution=True
        )
    if plan.finish is not None:
        yield Paragraph(text=_in_short(plan))
    yield order_table(tasks, plan)
    holds = tuple(task for task in tasks if task.hold_point)
    if holds:
        yield Table(
            title="Stop here until it is seen",
            note="Nobody goes on past one of these before it is seen, measured and signed.",
            columns=(
                *columns("no.", "after*", "what must be seen or measured**"),
                Column(name="seen by", write=24.0),
                Column(name="on", write=18.0),
            ),
            rows=tuple(
                (numbers[task.id], task.title, sentence(task.hold_point, task.numbers, display), None, None)
                for task in sorted(holds, key=lambda task: numbers[task.id])
            ),
            file="hold-points",
        )
    if plan.days:
        yield Table(
            title="Day by day",
            columns=columns("day", "work", "tasks*"),
            rows=tuple(
                (
                    f"{one.day:%a %Y-%m-%d}", Number(one.hours, "duration"),
                    "; ".join(f"{numbers[name]} {by_id[name].title}" for name in one.tasks if name in by_id),
                )
                for one in plan.days
            ),
            file="day-by-day",
        )  # fmt: skip
    yield _how(ordered, numbers, display)
    yield from charts


def _how(ordered: tuple[Task, ...], numbers: Mapping[str, int], display: str) -> Table:
    """How the tasks are done; those done alike told once."""
    alike: dict[tuple[str, str], list[Task]] = {}
    for task in ordered:
        alike.setdefault((sentence(task.how, task.numbers, display), task.source), []).append(task)
    return Table(
        title="How each is done",
        columns=columns("no.*", "task**", "how*****", "source**"),
        rows=tuple(
            (
                runs([str(numbers[one.id]) for one in many]), gathered(one.title for one in many), how,
                source.rstrip("; ") or None,
            )
            for (how, source), many in alike.items()
        ),
    )  # fmt: skip


def in_order(tasks: tuple[Task, ...], plan: Schedule) -> tuple[Task, ...]:
    """The tasks as they are begun; what has no day, last."""
    starts = {slot.task: slot.start for slot in plan.slots}
    return tuple(sorted(tasks, key=lambda task: starts.get(task.id, datetime.max)))


def _in_short(plan: Schedule) -> str:
    text = f"The last wait is over on {_day(plan.finish)}"
    if plan.proved is not None:
        text += f", the last wet test before any fish on {_day(plan.proved)}"
    if plan.earliest is not None and plan.latest is not None:
        text += f"; by how long things may take, between {_day(plan.earliest)} and {_day(plan.latest)}"
    return text + "."


def _day(at: datetime | None) -> str:
    return "not known" if at is None else f"{at:%a %Y-%m-%d}"


def order_table(tasks: tuple[Task, ...], plan: Schedule) -> Table:
    """Every task in the order it is begun."""
    slots = {slot.task: slot for slot in plan.slots}
    ordered = in_order(tasks, plan)
    numbers = {task.id: number for number, task in enumerate(ordered, start=1)}
    rows: list[tuple[Cell, ...]] = []
    for number, task in enumerate(ordered, start=1):
        slot = slots.get(task.id)
        rows.append((
            number, task.title, GROUPS.get(task.group, task.group),
            None if slot is None else f"{slot.start:%Y-%m-%d}",
            None if slot is None else f"{slot.end:%Y-%m-%d}",
            Number(task.labour.value, "duration"), task.people,
            Number(task.wait.value, "duration") if task.wait.value else None,
            runs([str(one) for one in sorted(numbers[one.task] for one in task.after if one.task in numbers)]) or None,
            "done" if slot is not None and slot.done is not None else "no slack" if slot and slot.critical else None,
        ))  # fmt: skip
    return Table(
        title="What is done in which order",
        note="Hours are of one person. A wait begins when the work ends; nobody works in it. Tasks without slack set"
        " the last day.",
        columns=columns(
            "no.", "task******", "of**", "begins", "ends", "work", "hands", "wait", "after no.***", "**"
        ),
        rows=tuple(rows),
        file="build-order",
    )
