"""A round on paper: one row a tank as one walks, one column a kind of work, and what is read off it again.

A sheet is one page with a number of its own. Its cells are typed back in the order they are printed: nothing is not
done, "/" is looked at and done, a number is what was read. It holds for the time written on it, until it expires.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any, Final

from tankwright.finding import Finding, Severity
from tankwright.husbandry.check_digits import sheet_code
from tankwright.husbandry.records import Draft, Event
from tankwright.husbandry.register import Task
from tankwright.husbandry.rounds import DueItem, done, is_unusual, range_words, rank_of, read_number, unusual

NO_TASK: Final = "ROUND-03"
BAD_CELL: Final = "ROUND-04"
EXPIRED: Final = "ROUND-05"
TYPED_BEFORE: Final = "ROUND-06"

LOOKED: Final = ("/", "x", "ok")
MOST_ROWS: Final = 24
MOST_COLUMNS: Final = 7
"""What a page has room for, with boxes wide enough to write in."""
DAYS: Final = 7.0
"""How long a sheet may be written on. Our choice, no source: after a week other work is due."""

Cell = tuple[int, int]
"""A row and a column, both from 1."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetColumn:
    """One kind of work: its name, and the usual range that is printed over it, "" where rows differ or have none."""

    kind: str
    label: str
    quantity: str = ""
    unit: str = ""
    range: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetRow:
    """One tank (or the room, place ""): the id of its task in each column, "" where nothing is due."""

    place: str
    label: str
    tasks: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundSheet:
    """One printed page."""

    number: int
    printed: datetime
    expires: datetime
    columns: tuple[SheetColumn, ...]
    rows: tuple[SheetRow, ...]

    @property
    def code(self) -> str:
        """How it is called on paper, with its check digits."""
        return sheet_code(self.number)

    def row_code(self, row: int) -> str:
        """How a row is called on paper, with its check digits."""
        return sheet_code(self.number, row)

    def key(self, cell: Cell) -> str:
        """The key under which a cell is kept once."""
        return f"sheet/{self.number}/{cell[0]}/{cell[1]}"


def sheets(
    items: Iterable[DueItem],
    labels: Mapping[str, str],
    printed: datetime,
    first_number: int,
    *,
    room: str = "room",
) -> tuple[RoundSheet, ...]:
    """The pages of a round: what is due and not held, tanks in the order of `items`' turns, the room itself first.

    `labels` are the places' names by their ids. A place with more than one task of a kind has them in columns of
    their own.

    >>> from datetime import date
    >>> look = Task(id="t", label="Look", place="p", kind="look")
    >>> item = DueItem(task=look, state="due", day=date(2026, 8, 2), last=None, order=1)
    >>> sheet, = sheets([item], {"p": "A1"}, datetime(2026, 8, 2, tzinfo=UTC), 7)
    >>> sheet.code, sheet.rows[0].label, sheet.columns[0].label
    ('7-77', 'A1', 'Look')
    """
    due = sorted(
        (one for one in items if one.state in ("late", "due")),
        key=lambda one: (
            one.order,
            labels.get(one.task.place, ""),
            one.task.kind,
            one.task.label,
            one.task.id,
        ),
    )
    by_place: dict[str, list[Task]] = {}
    for one in due:
        by_place.setdefault(one.task.place, []).append(one.task)
    made: list[RoundSheet] = []
    for places, columns in _pages(by_place):
        rows = tuple(
            SheetRow(place=place, label=labels.get(place, room) if place else room,
                     tasks=tuple(_in_column(by_place[place], name) for name in columns))
            for place in places
        )  # fmt: skip
        tasks = {task.id: task for place in places for task in by_place[place]}
        made.append(RoundSheet(
            number=first_number + len(made), printed=printed, expires=printed + timedelta(days=DAYS),
            columns=tuple(_column([tasks[row.tasks[place]] for row in rows if row.tasks[place]])
                          for place in range(len(columns))),
            rows=rows,
        ))  # fmt: skip
    return tuple(made)


_Name = tuple[str, str]


def _name(task: Task) -> _Name:
    return task.kind or task.label, task.label if not task.place else ""


def _in_column(tasks: Sequence[Task], name: _Name) -> str:
    return next((task.id for task in tasks if _name(task) == name), "")


def _pages(by_place: Mapping[str, Sequence[Task]]) -> Iterator[tuple[list[str], list[_Name]]]:
    """Places and columns of each page. The room's own work has no tank beside it, so it stands on pages of its own."""
    for places in ([one for one in by_place if not one], [one for one in by_place if one]):
        ranked = sorted((task for place in places for task in by_place[place]), key=rank_of)
        names = list(dict.fromkeys(_name(task) for task in ranked))
        for at in range(0, len(names), MOST_COLUMNS):
            some = names[at : at + MOST_COLUMNS]
            here = [place for place in places if any(_name(task) in some for task in by_place[place])]
            for start in range(0, len(here), MOST_ROWS):
                rows = here[start : start + MOST_ROWS]
                there = {_name(task) for place in rows for task in by_place[place]}
                yield rows, [name for name in some if name in there]


def _column(tasks: Sequence[Task]) -> SheetColumn:
    first = tasks[0]
    ranges = {range_words(task) for task in tasks}
    return SheetColumn(
        kind=first.kind, label=first.label, quantity=first.quantity, unit=first.unit,
        range=ranges.pop() if len(ranges) == 1 else "",
    )  # fmt: skip


# --- kept in the book ------------------------------------------------------------------------------------------------


def printed_draft(sheet: RoundSheet) -> Draft:
    """A sheet as it is recorded when it is printed."""
    return Draft(kind="sheet_printed", happened=sheet.printed, details={
        "sheet": sheet.number, "expires": sheet.expires.isoformat(),
        "columns": tuple({"kind": one.kind, "label": one.label, "quantity": one.quantity, "unit": one.unit,
                          "range": one.range} for one in sheet.columns),
        "rows": tuple({"place": one.place, "label": one.label, "tasks": one.tasks} for one in sheet.rows),
    })  # fmt: skip


def sheet_of(event: Event) -> RoundSheet:
    """The sheet an event says was printed. Raises ValueError, KeyError or TypeError for one that says none.

    >>> from datetime import date
    >>> sheet = RoundSheet(number=7, printed=datetime(2026, 8, 2, tzinfo=UTC), columns=(), rows=(),
    ...                    expires=datetime(2026, 8, 9, tzinfo=UTC))
    >>> draft = printed_draft(sheet)
    >>> event = Event(**{name: getattr(draft, name) for name in Draft.__dataclass_fields__}, id="e", serial=1,
    ...               recorded=draft.happened, who="Ada")
    >>> sheet_of(event) == sheet
    True
    """
    details: Mapping[str, Any] = event.details
    return RoundSheet(
        number=int(details["sheet"]), printed=event.happened,
        expires=datetime.fromisoformat(str(details["expires"])).astimezone(UTC),
        columns=tuple(SheetColumn(**{key: str(one[key]) for key in ("kind", "label", "quantity", "unit", "range")})
                      for one in details["columns"]),
        rows=tuple(SheetRow(place=str(one["place"]), label=str(one["label"]),
                            tasks=tuple(str(task) for task in one["tasks"])) for one in details["rows"]),
    )  # fmt: skip


# --- typed back ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadSheet:
    """What typed cells say: the work done by cell, what is wrong and at which cell, which numbers are unusual."""

    drafts: tuple[tuple[Cell, Draft], ...] = ()
    mistakes: tuple[tuple[Cell | None, Finding], ...] = ()
    asks: tuple[tuple[Cell, Finding], ...] = ()


def read_sheet(
    sheet: RoundSheet, typed: Mapping[Cell, str], written: datetime, tasks: Mapping[str, Task], *,
    now: datetime, sure: Iterable[Cell] = (),
) -> ReadSheet:  # fmt: skip
    """Read all cells of a sheet in one pass, as of the time written on it.

    `tasks` are the tasks that are known by their ids; `sure` cells whose unusual number was said to be as read.
    """
    mistakes: list[tuple[Cell | None, Finding]] = list(_time_faults(sheet, written, now))
    drafts, asks, certain = [], [], set(sure)
    for cell, text in sorted(typed.items()):
        said = text.strip()
        if not said:
            continue
        came = _read_cell(sheet, cell, said, written, tasks)
        if isinstance(came, Finding):
            mistakes.append((cell, came))
            continue
        task, draft = came
        value = draft.observed[0].value if draft.observed else None
        if value is not None and is_unusual(task, value) and cell not in certain:
            asks.append((cell, unusual(task, value, sheet.rows[cell[0] - 1].label)))
        drafts.append((cell, draft))
    return ReadSheet(drafts=tuple(drafts), mistakes=tuple(mistakes), asks=tuple(asks))


def _time_faults(sheet: RoundSheet, written: datetime, now: datetime) -> Iterator[tuple[None, Finding]]:
    if written > now + timedelta(minutes=5):
        yield None, _finding(EXPIRED, f"sheet {sheet.code}", "has a time written on it that is still to come",
                             f"{now:%Y-%m-%d %H:%M} or before")  # fmt: skip
    elif not sheet.printed - timedelta(hours=1) <= written <= sheet.expires:
        yield None, _finding(
            EXPIRED, f"sheet {sheet.code}", "holds only from when it was printed until it expires",
            f"{sheet.printed:%Y-%m-%d} to {sheet.expires:%Y-%m-%d}", found=f"{written:%Y-%m-%d %H:%M}",
        )  # fmt: skip


def _read_cell(
    sheet: RoundSheet, cell: Cell, text: str, written: datetime, tasks: Mapping[str, Task]
) -> tuple[Task, Draft] | Finding:
    row, column = cell
    where = f"sheet {sheet.code}, row {row}"
    if not (1 <= row <= len(sheet.rows) and 1 <= column <= len(sheet.columns)):
        return _finding(BAD_CELL, where, f"has no column {column}", "a cell of the sheet")
    name = sheet.rows[row - 1].tasks[column - 1]
    where = f"{sheet.rows[row - 1].label}, {sheet.columns[column - 1].label}"
    if not name:
        return _finding(BAD_CELL, where, "was not due on this sheet", "nothing in this box", found=text)
    task = tasks.get(name)
    if task is None:
        return _finding(
            NO_TASK, where, "is work that is not known any more", "nothing in this box", found=text
        )
    if text.casefold() in LOOKED:
        return task, done(task, written, sheet=sheet.code, row=row, looked=bool(task.quantity))
    if not task.quantity:
        return _finding(BAD_CELL, where, f'takes no "{text[:40]}"', '"/" for done, or nothing', found=text)
    value = read_number(task, text)
    if isinstance(value, Finding):
        return _finding(
            BAD_CELL, where, value.text, value.wanted + ', or "/" for looked and fine', found=text
        )
    return task, done(task, written, value=value, sheet=sheet.code, row=row)


def cell_says(draft: Draft) -> str:
    """What a cell said, as it is told beside another that says something else.

    >>> cell_says(done(Task(id="t", label="Look"), datetime(2026, 8, 2, tzinfo=UTC)))
    '/'
    """
    if not draft.observed:
        return "/"
    read = draft.observed[0]
    return f"{read.value:g} {read.unit}".strip() if read.value is not None else "/"


def typed_before(sheet: RoundSheet, cell: Cell, before: Event, now: Draft) -> Finding | None:
    """The conflict of a cell that was typed before and said something else; None when it said the same."""
    was, says = cell_says(before), cell_says(now)
    if was == says:
        return None
    return Finding(
        code=TYPED_BEFORE, severity=Severity.WARNING,
        subject=f"{sheet.rows[cell[0] - 1].label}, {sheet.columns[cell[1] - 1].label}",
        text=f'was typed in before as "{was}" by {before.who}; the first stands, "{says}" was not kept',
        remedy="if the second is right, correct the first in what happened", found=says, wanted=was,
        places=(sheet.rows[cell[0] - 1].label,),
    )  # fmt: skip


def _finding(code: str, subject: str, text: str, wanted: str, *, found: str = "") -> Finding:
    return Finding(
        code=code, severity=Severity.PROBLEM, subject=subject, text=text, wanted=wanted, found=found[:40]
    )
