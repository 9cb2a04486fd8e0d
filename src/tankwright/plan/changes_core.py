"""What every change of a plan's text shares: paths that lead somewhere, the splice, the reading again, the words."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from functools import lru_cache
from typing import Any, Final

from tankwright.finding import Finding, Severity
from tankwright.plan.editing import EditResult, no_such_value, refused_as_broken, with_numbers
from tankwright.plan.ids import IdsError, expand_ids
from tankwright.plan.inserting import put
from tankwright.plan.models import Plan
from tankwright.plan.positions import Positions, read_positions
from tankwright.plan.references import UNKNOWN_NAME
from tankwright.plan.removing import take_out
from tankwright.plan.shape import place_of
from tankwright.plan.statements import ImpossibleError, dotted, stands, value_at
from tankwright.plan.suggest import listed, nearest
from tankwright.plan.typed import Puts, shown_value
from tankwright.plan.values import BrokenError, Path, Source, ValueReader
from tankwright.units import clip

LONGEST_LINE: Final = 120
LONGEST_VALUE: Final = 34
_DATED: Final = re.compile(r"\{\s*value\s*=\s*(\S.*?)\s*,\s*measured\s*=\s*(\d{4}-\d\d-\d\d)\s*\}")
_MOST_READ: Final = 400_000  # a longer text is not kept in memory

Make = Callable[[Positions], "Puts | Finding"]
"""What a change writes into a text, or why it cannot."""


@lru_cache(maxsize=3)
def _kept(text: str) -> Positions:
    return read_positions(text)


def read(text: str) -> Positions:
    """The positions of a text; the last few are kept, as a change and its words ask for the same text."""
    return _kept(text) if len(text) < _MOST_READ else read_positions(text)


# --- paths ---


def resolved(positions: Positions, path: Path, *, raw: bool = False) -> Path:
    """A path as the text has it.

    Steps into lists become numbers, also "id=A" (the rack A) and "tank=A3" (the row of tanks on a shelf in which A3
    stands). Unless `raw`, the `value` of a measured value is all of it. The key of an assumption may have its dots.
    """
    if len(path) > 1 and path[0] == "rack" and str(path[1]).startswith("tank="):
        row = find_tank(positions, str(path[1]).removeprefix("tank="))
        path = (*row[0], *path[2:]) if row else path
    if len(path) > 1 and path[0] == "assume":
        key = ".".join(str(step) for step in path[1:])
        path = ("assume", key) if ("assume", key) in positions.spans else ("assume", *key.split("."))
    path = with_numbers(path, positions)
    above = value_at(positions, path[:-1]) if path[-1:] == ("value",) and not raw else None
    holds_text = isinstance(above, (str, int, float)) or (isinstance(above, Mapping) and "value" in above)
    return path[:-1] if holds_text else path


def path_text(path: Path) -> str:
    """A path as one line of text, for a form: `rack.0.shelf.1`, `rack."id=A".from_west`.

    >>> path_text(("rack", 0, "id")), path_text(("zone", "the back")), path_from_text('zone."the back"')
    ('rack.0.id', 'zone."the back"', ('zone', 'the back'))
    """
    return ".".join(str(step) if isinstance(step, int) else dotted((step,)) for step in path)


def path_from_text(text: str) -> Path:
    """The path of a line made by `path_text`; () for what is none. Never raises."""
    source = Source(text)
    try:
        keys, end = ValueReader(source=source, say=lambda *_: None).keys(0)
    except BrokenError:
        return ()
    return tuple(keys) if end == len(text) else ()


def tables(value: object) -> Iterator[tuple[int, Mapping[str, Any]]]:
    """The tables of a list with their places."""
    for place, one in enumerate(value if isinstance(value, list) else ()):
        if isinstance(one, Mapping):
            yield place, one


def find_rack(positions: Positions, rack: str) -> Path | None:
    """The path of the rack with an id."""
    for place, one in tables(positions.data.get("rack")):
        if one.get("id") == rack:
            return ("rack", place)
    return None


def find_tank(positions: Positions, tank: str) -> tuple[Path, tuple[str, ...]] | None:
    """The path of the row of tanks a tank stands in, and the ids of that row."""
    return next(((path, ids) for path, ids in rows(positions) if tank in ids), None)


def rows(positions: Positions) -> Iterator[tuple[Path, tuple[str, ...]]]:
    """Every row of tanks on a shelf and its ids; a row whose ids cannot be read is left out."""
    for rack, table in tables(positions.data.get("rack")):
        shelves = table.get("shelf")
        for shelf, row in shelves.items() if isinstance(shelves, Mapping) else ():
            for place, standing in tables(row):
                ids = standing.get("ids")
                try:
                    yield (
                        ("rack", rack, "shelf", shelf, place),
                        expand_ids(ids) if isinstance(ids, str) else (),
                    )
                except IdsError:
                    continue


# --- applying ---


def apply_values(text: str, make: Make) -> EditResult:
    """The text with what a change writes; None and the reasons when it cannot. Never raises for what was typed."""
    positions = read(text)
    if positions.findings:
        return refused_as_broken(positions)
    puts = make(positions)
    if isinstance(puts, Finding):
        return EditResult(text=None, findings=(puts,))
    if not puts:
        return EditResult(text=text)
    try:
        changed = written(positions, puts)
    except ImpossibleError:
        return EditResult(text=None, findings=(no_such_value(puts[0][0], positions),))
    return read_again(text, changed)


def written(positions: Positions, puts: Puts) -> str:
    """The text with values put in and taken out; raises ImpossibleError."""
    new = [(path, toml) for path, toml in puts if toml is not None]
    gone = [path for path, toml in puts if toml is None]
    changed = put(positions, new) if new else positions.text
    for path in gone:
        changed = take_out(read(changed) if changed != positions.text else positions, path)
    return changed


def read_again(before: str, changed: str) -> EditResult:
    """The answer for a changed text: as it is when it reads, else what is wrong with it."""
    bom = "\ufeff" if before.startswith("\ufeff") else ""
    again = read(bom + changed)
    return (
        EditResult(text=None, findings=again.findings) if again.findings else EditResult(text=bom + changed)
    )


def refusal(
    positions: Positions, path: Path, code: str, text: str, *, subject: str = "", **told: str
) -> Finding:
    """Why a change cannot be; `told` are found, wanted and attempt."""
    place = place_of(path, Plan, positions.data)
    shown = {key: clip(one, 80) for key, one in told.items()}
    return Finding(
        code=code,
        severity=Severity.PROBLEM,
        subject=subject or place.subject,
        text=text,
        line=positions.line_of(path),
        found=shown.get("found", ""),
        wanted=told.get("wanted", ""),
        attempt=shown.get("attempt", ""),
    )


def no_such_thing(positions: Positions, what: str, name: str, known: list[str]) -> Finding:
    """The answer for a rack or a tank the plan does not have."""
    near = nearest(name, known)
    guess = f'; did you mean "{clip(near)}"?' if near else ""
    text = f'"{clip(name)}" is no {what} of this plan{guess}'
    told = {"found": f'"{clip(name)}"', "wanted": f"a {what}: {listed(known)}", "attempt": near}
    return refusal(positions, (), UNKNOWN_NAME, text, **told)


# --- words ---


def says_values(before: str, make: Make) -> str:
    """A change in words for the history, at most 120 signs: `rack A: from_west "15 cm" -> "20 cm"`."""
    positions = read(before)
    puts = [] if positions.findings else make(positions)
    if isinstance(puts, Finding) or not puts:
        return "nothing changed"
    subject = place_of(puts[0][0], Plan, positions.data).subject
    told = [_said(positions, path, toml) for path, toml in puts]
    return clip(f"{subject}: {', '.join(told)}", LONGEST_LINE)


def _said(positions: Positions, path: Path, toml: str | None) -> str:
    key = place_of(path, Plan, positions.data).key
    if key and isinstance(path[-1], int):
        key = f"{key}, number {path[-1] + 1}"
    old = _short(_source(positions, path)) if stands(positions, path) else None
    if toml is None:
        said = f"{old} taken out"
    else:
        said = f"{_short(toml)} added" if old is None else f"{old} -> {_short(toml)}"
    return f"{key} {said}" if key else said


def _source(positions: Positions, path: Path) -> str:
    if stands(positions, path) == "value":
        return positions.source_of(path)
    return str(shown_value(positions, path))


def _short(toml: str) -> str:
    dated = _DATED.fullmatch(toml)
    return (
        f"{clip(dated[1], 20)} measured {dated[2]}" if dated else clip(" ".join(toml.split()), LONGEST_VALUE)
    )
