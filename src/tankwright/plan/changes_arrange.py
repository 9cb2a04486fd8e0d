"""An arrangement of racks taken as the plan's: racks taken out and put in, and every name of what goes with them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from tankwright.plan.changes_core import apply_values, find_rack, find_tank, read, tables
from tankwright.plan.changes_rows import AddRow, RemoveRow
from tankwright.plan.editing import EditResult, quoted
from tankwright.plan.ids import IdsError, expand_ids, ids_text
from tankwright.plan.positions import Positions
from tankwright.plan.statements import value_at
from tankwright.plan.typed import Puts
from tankwright.plan.values import Path
from tankwright.units import clip

LONGEST: Final = 120
_SERVED: Final = frozenset({"racks", "behind"})
"""Lists of racks that a run serves; one that is empty would mean all of them."""

_RACK_LISTS: Final = (("feed", "racks"), ("air", "racks"), ("air", "isolated"))


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeArrangement:
    """Racks `out`, racks `put` in (each a table as TOML), the racks behind each drain in the order of the water.

    What the plan says elsewhere of racks and tanks that are not there any more goes too: stock, single tanks, boards'
    racks, events of drains, alarms. `drops` says what that would be.

    >>> change = TakeArrangement(out=("A",), put=('{ id = "B", kind = "k", room = "r" }',))
    >>> print(change.apply('[[rack]]\\nid = "A"\\nkind = "k"\\nroom = "r"\\n').text.strip())
    [[rack]]
    id = "B"
    kind = "k"
    room = "r"
    """

    out: tuple[str, ...]
    put: tuple[str, ...]
    behind: tuple[tuple[str, tuple[str, ...]], ...] = ()
    words: str = "an arrangement of racks taken"

    @property
    def path(self) -> Path:
        """The racks."""
        return ("rack",)

    def says(self, before: str) -> str:  # noqa: ARG002 - what was there before does not matter
        """The change in words for the history, at most 120 signs."""
        return clip(self.words, LONGEST)

    def drops(self, before: str) -> tuple[str, ...]:
        """What else of the plan goes with the racks and tanks that are not there any more, in words."""
        after = self._with_racks(before)
        if after.text is None:
            return ()
        behind = {("drain", name, "behind"): racks for name, racks in self.behind}
        left = [
            f"drain {path[1]}: taken out, it passes no rack" for path, racks in behind.items() if not racks
        ]
        gone = {path[1] for path, racks in behind.items() if not racks}
        loose = [
            one.words for one in _loose(read(after.text))
            if one.path not in behind and not (one.path[0] == "drain" and one.path[1] in gone)
        ]  # fmt: skip
        return (*left, *loose)

    def apply(self, text: str) -> EditResult:
        """The changed text, or the findings that say why nothing was changed."""
        result = self._with_racks(text)
        if result.text is None:
            return result
        result = apply_values(result.text, self._drains)
        while result.text is not None:
            loose = _loose(read(result.text))
            if not loose:
                break
            result = _mended(result.text, loose)
        return result

    def _with_racks(self, text: str) -> EditResult:
        """The racks exchanged, and nothing else."""
        result = EditResult(text=text)
        for rack in self.out:
            if result.text is None:
                return result
            path = find_rack(read(result.text), rack)
            if path is not None and isinstance(path[-1], int):
                result = RemoveRow(("rack",), path[-1]).apply(result.text)
        for toml in self.put:
            if result.text is None:
                return result
            result = AddRow(("rack",), toml).apply(result.text)
        return result

    def _drains(self, positions: Positions) -> Puts:
        puts: Puts = []
        for name, racks in self.behind:
            if value_at(positions, ("drain", name)) is None:
                continue
            if racks:
                listed = ", ".join(quoted(one) for one in racks)
                puts.append((("drain", name, "behind"), f"[{listed}]"))
            else:
                puts.append((("drain", name), None))
        return puts


@dataclass(frozen=True, slots=True)
class _Loose:
    """A name that leads nowhere: what to write instead, None to take its row or key out. `words` for the owner."""

    path: Path
    toml: str | None
    words: str


def _mended(text: str, loose: list[_Loose]) -> EditResult:
    """The text with what is written anew; when nothing is, without the last that goes: from the end, so that the
    numbers of the rows before stay."""
    puts: Puts = [(one.path, one.toml) for one in loose if one.toml is not None]
    if puts:
        return apply_values(text, lambda _: puts)
    path = loose[-1].path
    if isinstance(path[-1], int):
        return RemoveRow(path[:-1], path[-1]).apply(text)
    return apply_values(text, lambda _: [(path, None)])


def _loose(positions: Positions) -> list[_Loose]:
    """Every name of a rack or tank that is no longer there."""
    racks = {str(one.get("id")) for _, one in tables(positions.data.get("rack"))}
    return [*_loose_racks(positions, racks), *_loose_tanks(positions, racks)]


def _part(positions: Positions, part: str) -> Iterator[tuple[Path, Mapping[str, object]]]:
    value = positions.data.get(part)
    if isinstance(value, Mapping):
        yield from (((part, name), one) for name, one in value.items() if isinstance(one, Mapping))
    else:
        yield from (((part, place), one) for place, one in tables(value))


def _boards(positions: Positions) -> Iterator[tuple[Path, Mapping[str, object]]]:
    boards = value_at(positions, ("power", "boards"))
    yield from ((("power", "boards", place), one) for place, one in tables(boards))


def _loose_racks(positions: Positions, racks: set[str]) -> Iterator[_Loose]:
    for part, key in (*_RACK_LISTS, ("drain", "behind")):
        for path, table in _part(positions, part):
            named = table.get(key)
            if not isinstance(named, list):
                continue
            left = [one for one in named if one in racks]
            if len(left) == len(named):
                continue
            toml = "[" + ", ".join(quoted(str(one)) for one in left) + "]" if left else None
            gone = ", ".join(str(one) for one in named if one not in racks)
            if not left and key in _SERVED:  # without a list it would serve every rack
                yield _Loose(path, None, f"{part} {path[1]}: taken out, rack {gone} was all it served")
            else:
                yield _Loose((*path, key), toml, f"{part} {path[1]} no longer names rack {gone}")
    for path, board in _boards(positions):
        if isinstance(board.get("rack"), str) and board["rack"] not in racks:
            said = f"board {board.get('id')} no longer says which rack it is on (it was {board['rack']})"
            yield _Loose((*path, "rack"), None, said)


def _loose_tanks(positions: Positions, racks: set[str]) -> Iterator[_Loose]:
    for path, table in _part(positions, "feed"):
        yield from _row_of(positions, path, table.get("tanks"), f"feed {path[1]}", "tanks")
    for path, table in _part(positions, "drain"):
        tees = table.get("tees")
        for place, one in enumerate(tees if isinstance(tees, list) else ()):
            yield from _ids_at(positions, (*path, "tees", place), one, f"a tee of drain {path[1]}")
        for place, event in tables(table.get("dump")):
            here = (*path, "dump", place)
            said = f"drain {path[1]}, {event.get('name')}"
            yield from _row_of(positions, here, event.get("hose_in"), said)
            yield from _row_of(positions, here, event.get("standpipes_pulled"), said, "standpipes_pulled")
    for path, row in _part(positions, "stock"):
        what = f"stock {row.get('species') or row.get('tanks')}"
        yield from _row_of(positions, path, row.get("tanks"), what, "tanks")
    for path, board in _boards(positions):
        for place, load in tables(board.get("loads")):
            here = (*path, "loads", place, "serves")
            yield from _ids_at(positions, here, load.get("serves"), f"board {board.get('id')}")
    for path, row in _part(positions, "alarm"):
        where = row.get("where")
        known = racks | set(_names(positions, ("room", "vat", "air")))
        if isinstance(where, str) and where not in known and _was_of_racks(row, where):
            yield from _row_of(positions, path, where, f"alarm {row.get('id')}", "where")
    for path, _ in _part(positions, "tank"):
        if find_tank(positions, str(path[1])) is None:
            yield _Loose(path, None, f"what was said of tank {path[1]} alone")


def _was_of_racks(row: Mapping[str, object], where: str) -> bool:
    if row.get("watches") not in ("level", "temperature"):
        return False
    try:
        return bool(expand_ids(where))
    except IdsError:
        return False


def _names(positions: Positions, parts: tuple[str, ...]) -> Iterator[str]:
    for part in parts:
        yield from (str(path[1]) for path, _ in _part(positions, part))


def _there(positions: Positions, text: object) -> tuple[list[str], list[str]] | None:
    """The tanks a text names that are there, and those that are not; None for what is no list of ids."""
    if not isinstance(text, str):
        return None
    try:
        named = expand_ids(text)
    except IdsError:
        return None
    here = [one for one in named if find_tank(positions, one) is not None]
    return here, [one for one in named if one not in here]


def _ids_at(positions: Positions, path: Path, text: object, what: str) -> Iterator[_Loose]:
    """A text of ids that may be taken out by itself."""
    found = _there(positions, text)
    if found is None or not found[1]:
        return
    here, gone = found
    toml = quoted(ids_text(here)) if here else None
    yield _Loose(path, toml, f"{what} no longer names {ids_text(gone)}")


def _row_of(positions: Positions, row: Path, text: object, what: str, key: str = "") -> Iterator[_Loose]:
    """A text of ids without which its row is nothing; without `key` the row goes with the first that is gone."""
    found = _there(positions, text)
    if found is None or not found[1]:
        return
    here, gone = found
    if here and key:
        yield _Loose((*row, key), quoted(ids_text(here)), f"{what}: no longer in {ids_text(gone)}")
    else:
        many = "is" if len(gone) == 1 else "are"
        yield _Loose(row, None, f"{what}: taken out, {ids_text(gone)} {many} not there any more")
