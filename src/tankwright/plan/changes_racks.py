"""Changes of what racks and floors are built of: bearers that are taken, a sag read off, joists, what is hollow."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Final

from tankwright.catalogue.sections import Said, read_made_of, read_section
from tankwright.finding import Finding, Severity
from tankwright.plan.changes import SetRaw
from tankwright.plan.changes_core import apply_values, find_rack, no_such_thing, read, says_values, tables
from tankwright.plan.changes_rows import AddRow
from tankwright.plan.editing import EditResult, quoted
from tankwright.plan.positions import Positions
from tankwright.plan.typed import MUST_STAND, Puts, RefusedError, quantity_toml
from tankwright.plan.values import Path
from tankwright.units import clip

BEARERS: Final = ("front", "middle", "back")
RUNS: Final = ("north-south", "east-west")
_PARTS: Final = ("uprights", "bearers", "cross", "board", "brace")
_BARE: Final = re.compile(r"\d{1,4}([.,]\d{1,4})?", re.ASCII)
_SHELF: Final = re.compile(r"[1-9]\d?", re.ASCII)
_SECTION: Final = 'sizes and a grade: "45x95 C24", "2x6 SPF No.2"'


@dataclass(frozen=True, slots=True)
class TakeBearers:
    """The bearers of every rack of a kind are of this section; what a sentence said it is built of is written out as a
    table, so that nothing of it is lost. With "" only that is done.

    >>> before = '[rack_kind.low]\\nmade_of = "45x95 C24 uprights, 45x70 C24 bearers"'
    >>> print(TakeBearers("low", "45x120 C24").apply(before).text.splitlines()[2])
    timber = { uprights = "45x95 C24", bearers = "45x120 C24" }
    """

    kind: str
    section: str = ""

    @property
    def path(self) -> Path:
        """The kind of rack."""
        return ("rack_kind", self.kind)

    def says(self, before: str) -> str:
        """The change in words for the history, at most 120 signs."""
        return says_values(before, self._puts)

    def apply(self, text: str) -> EditResult:
        """The changed text, or the findings that say why nothing was changed."""
        return apply_values(text, self._puts)

    def _puts(self, positions: Positions) -> Puts | Finding:
        kinds, own = positions.data.get("rack_kind"), positions.data.get("section")
        known = list(kinds) if isinstance(kinds, Mapping) else []
        kind = kinds.get(self.kind) if isinstance(kinds, Mapping) else None
        if not isinstance(kind, Mapping):
            return no_such_thing(positions, "kind of rack", self.kind, known)
        section, subject = self.section.strip(), f"rack kind {clip(self.kind, 24)}"
        mine = isinstance(own, Mapping) and section in own
        if section and not mine and read_section(section) is None:
            return _finding(subject, RefusedError(MUST_STAND, f'"{clip(section)}" is no section', _SECTION))
        for material in ("timber", "steel"):
            if material in kind:
                return [((*self.path, material, "bearers"), quoted(section))] if section else []
        made_of = kind.get("made_of")
        said = read_made_of(made_of if isinstance(made_of, str) else "")
        parts = _with(said, section)
        if not parts:
            return _finding(
                subject, RefusedError(MUST_STAND, "says nothing of what it is built of", _SECTION)
            )
        read_off = read_section(parts.get("bearers", parts.get("uprights", "")))
        material = "steel" if read_off is not None and read_off.is_tube else "timber"
        keys = ", ".join(f"{key} = {quoted(text)}" for key, text in parts.items())
        return [((*self.path, material), f"{{ {keys} }}")]


def _with(said: Said, bearers: str) -> dict[str, str]:
    parts = {key: str(getattr(said, key)) for key in _PARTS}
    return {key: text for key, text in (parts | ({"bearers": bearers} if bearers else {})).items() if text}


@dataclass(frozen=True, slots=True, kw_only=True)
class AddSag:
    """A sag read off a rack with a straight edge, every field as it was typed; a bare number is millimetres, and days.

    >>> print(AddSag(rack="A", shelf="2", bearer="front", sag="3", measured="2026-11-20", days="60").toml)
    { shelf = 2, bearer = "front", sag = { value = "3 mm", measured = 2026-11-20 }, days = "60 days" }
    """

    rack: str
    shelf: str
    bearer: str
    sag: str
    measured: str = ""
    days: str = ""

    @property
    def path(self) -> Path:
        """The list of sags of the rack."""
        return ("rack", f"id={self.rack}", "sag")

    @property
    def toml(self) -> str:
        """The row as it is written; raises RefusedError for what cannot be one."""
        if not _SHELF.fullmatch(self.shelf.strip()):
            raise RefusedError(
                MUST_STAND, f'shelf "{clip(self.shelf)}" is no shelf', "its number, 1 the lowest"
            )
        if self.bearer not in BEARERS:
            raise RefusedError(MUST_STAND, f'"{clip(self.bearer)}" is no bearer', "front, middle or back")
        sag, _ = quantity_toml(_unit(self.sag, "mm", "a sag"), "length", None)
        day = self.measured.strip()
        if day:
            try:
                sag = f"{{ value = {sag}, measured = {date.fromisoformat(day).isoformat()} }}"
            except ValueError:
                raise RefusedError(MUST_STAND, f'"{clip(day)}" is no day', "a day: 2026-11-20") from None
        carried = ""
        if self.days.strip():
            carried = f", days = {quantity_toml(_unit(self.days, 'days', ''), 'duration', None)[0]}"
        return f"{{ shelf = {int(self.shelf)}, bearer = {quoted(self.bearer)}, sag = {sag}{carried} }}"

    def says(self, before: str) -> str:  # noqa: ARG002 - what was there before does not matter
        """The change in words for the history, at most 120 signs."""
        read_off = f"{self.sag.strip()} read at the {self.bearer} of shelf {self.shelf.strip()}"
        return clip(f"rack {self.rack}: a sag of {read_off}", 120)

    def apply(self, text: str) -> EditResult:
        """The changed text, or the findings that say why nothing was changed."""
        try:
            toml = self.toml
        except RefusedError as error:
            return _refused(f"rack {clip(self.rack, 24)}", error)
        positions = read(text)
        if not positions.findings and find_rack(positions, self.rack) is None:
            racks = [str(one.get("id")) for _, one in tables(positions.data.get("rack"))]
            return EditResult(text=None, findings=(no_such_thing(positions, "rack", self.rack, racks),))
        return AddRow(self.path, toml).apply(text)


@dataclass(frozen=True, slots=True, kw_only=True)
class SetJoists:
    """What carries the floor of a room, every field as it was typed.

    >>> SetJoists(room="attic", section="45x195 C24", every="40 cm", run="north-south").toml
    '{ section = "45x195 C24", every = "40 cm", run = "north-south" }'
    """

    room: str
    section: str
    every: str
    run: str
    span: str = ""

    @property
    def path(self) -> Path:
        """The joists of the room."""
        return ("room", self.room, "joists")

    @property
    def toml(self) -> str:
        """The table as it is written; raises RefusedError for what cannot be one."""
        section = self.section.strip()
        if not section:
            raise RefusedError(
                MUST_STAND, "has joists without a section", '"45x195 C24", or what one sees of it'
            )
        if self.run not in RUNS:
            raise RefusedError(MUST_STAND, "has joists that run nowhere", "north-south or east-west")
        every = quantity_toml(_needed(self.every, "a distance of its joists"), "length", None)[0]
        span = f", span = {quantity_toml(self.span, 'length', None)[0]}" if self.span.strip() else ""
        return f"{{ section = {quoted(section)}, every = {every}, run = {quoted(self.run)}{span} }}"

    def says(self, before: str) -> str:  # noqa: ARG002 - what was there before does not matter
        """The change in words for the history, at most 120 signs."""
        return clip(f"room {self.room}: joists {self.section.strip()} every {self.every.strip()}", 120)

    def apply(self, text: str) -> EditResult:
        """The changed text, or the findings that say why nothing was changed."""
        try:
            toml = self.toml
        except RefusedError as error:
            return _refused(f"room {clip(self.room, 24)}", error)
        return _in_room(text, self.room) or SetRaw(self.path, toml).apply(text)


@dataclass(frozen=True, slots=True, kw_only=True)
class AddVoid:
    """A place of a floor that no foot may stand over, every field as it was typed.

    >>> AddVoid(room="attic", name="hatch", at=("1 m", "2 m"), size=("60 cm", "60 cm")).toml
    '{ name = "hatch", at = ["1 m", "2 m"], size = ["60 cm", "60 cm"] }'
    """

    room: str
    name: str
    at: tuple[str, str]
    size: tuple[str, str]

    @property
    def path(self) -> Path:
        """What is hollow under the floor of the room."""
        return ("room", self.room, "voids")

    @property
    def toml(self) -> str:
        """The row as it is written; raises RefusedError for what cannot be one."""
        name = self.name.strip()
        if not name:
            raise RefusedError(
                MUST_STAND, "has something hollow without a name", "what it is: hatch, pit, duct"
            )
        at, size = (
            ", ".join(quantity_toml(_needed(one, what), "length", None)[0] for one in pair)
            for pair, what in (
                (self.at, "a corner of what is hollow"),
                (self.size, "a size of what is hollow"),
            )
        )
        return f"{{ name = {quoted(name)}, at = [{at}], size = [{size}] }}"

    def says(self, before: str) -> str:  # noqa: ARG002 - what was there before does not matter
        """The change in words for the history, at most 120 signs."""
        return clip(f"room {self.room}: {self.name.strip()} is hollow underneath", 120)

    def apply(self, text: str) -> EditResult:
        """The changed text, or the findings that say why nothing was changed."""
        try:
            toml = self.toml
        except RefusedError as error:
            return _refused(f"room {clip(self.room, 24)}", error)
        return _in_room(text, self.room) or AddRow(self.path, toml).apply(text)


# --- helpers ---------------------------------------------------------------------------------------------------------


def _needed(typed: str, what: str) -> str:
    if not typed.strip():
        raise RefusedError(MUST_STAND, f"wants {what}", 'a length: "40 cm"')
    return typed.strip()


def _unit(typed: str, unit: str, what: str) -> str:
    """A text with its unit; a bare number gets one."""
    bare = _needed(typed, what)
    return f"{bare.replace(',', '.')} {unit}" if _BARE.fullmatch(bare) else bare


def _in_room(text: str, room: str) -> EditResult | None:
    """Why nothing can be written in a room: the plan has none of that name. None where it has."""
    positions = read(text)
    rooms = positions.data.get("room")
    if positions.findings or (isinstance(rooms, Mapping) and room in rooms):
        return None
    known = list(rooms) if isinstance(rooms, Mapping) else []
    return EditResult(text=None, findings=(no_such_thing(positions, "room", room, known),))


def _finding(subject: str, error: RefusedError) -> Finding:
    return Finding(
        code=error.code, severity=Severity.PROBLEM, subject=subject, text=error.text, wanted=error.wanted,
        attempt=error.attempt,
    )  # fmt: skip


def _refused(subject: str, error: RefusedError) -> EditResult:
    return EditResult(text=None, findings=(_finding(subject, error),))
