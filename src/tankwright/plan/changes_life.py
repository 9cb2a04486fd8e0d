"""Changes of what a plan says of waters, fish and walls, from what a person types into a form of several fields."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from tankwright.finding import Finding, Severity
from tankwright.plan.changes import SetRaw, current_value
from tankwright.plan.changes_core import read
from tankwright.plan.changes_rows import AddRow
from tankwright.plan.editing import EditResult, quoted
from tankwright.plan.ids import IdsError, expand_ids
from tankwright.plan.statements import key_text, stands
from tankwright.plan.typed import MUST_STAND, RefusedError, quantity_toml
from tankwright.plan.values import Path
from tankwright.units import clip

_BARE_SHARE: Final = re.compile(r"\d{1,3}([.,]\d{1,4})?", re.ASCII)
_WHOLE: Final = re.compile(r"\d{1,6}", re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True)
class AddStock:
    """One more row of stock: so much in each of some tanks, every field as it was typed.

    >>> AddStock(tanks="A1..A2", species="Danio rerio", count="12", each="0.5 g").toml
    '{ tanks = "A1..A2", species = "Danio rerio", count = 12, each = "0.5 g" }'
    """

    tanks: str
    species: str = ""
    count: str = ""
    each: str = ""

    @property
    def path(self) -> Path:
        """The list of stock."""
        return ("stock",)

    @property
    def toml(self) -> str:
        """The row as it is written; raises RefusedError for what cannot be one."""
        tanks, count, each = self.tanks.strip(), self.count.strip(), self.each.strip()
        try:
            expand_ids(tanks)
        except IdsError as error:
            raise RefusedError(
                MUST_STAND, f'tanks "{clip(tanks)}" {error.text}', 'tanks: "A1", "A1..A4" or "A1, B2"'
            ) from None
        keys = [f"tanks = {quoted(tanks)}"]
        if self.species.strip():
            keys.append(f"species = {quoted(self.species.strip())}")
        if count:
            if not _WHOLE.fullmatch(count):
                raise RefusedError(
                    MUST_STAND, f'count "{clip(count)}" is not a whole number', "a whole number"
                )
            keys.append(f"count = {int(count)}")
        if each:
            keys.append(f"each = {quantity_toml(each, 'mass', None)[0]}")
        return f"{{ {', '.join(keys)} }}"

    def says(self, before: str) -> str:  # noqa: ARG002 - what was there before does not matter
        """The change in words for the history, at most 120 signs."""
        fish = " ".join(one for one in (self.count.strip(), self.species.strip()) if one) or "fish"
        return clip(f"stock, tanks {self.tanks.strip()}: {fish} added", 120)

    def apply(self, text: str) -> EditResult:
        """The changed text, or the findings that say why nothing was changed."""
        try:
            return AddRow(self.path, self.toml).apply(text)
        except RefusedError as error:
            return _refused("stock", error)


@dataclass(frozen=True, slots=True, kw_only=True)
class AddWater:
    """One more water under a name of its own; `comes_from` is a water point or a vat, "" for water that is brought."""

    name: str
    comes_from: str = ""

    @property
    def path(self) -> Path:
        """The new water."""
        return ("water", self.name.strip())

    def says(self, before: str) -> str:  # noqa: ARG002 - what was there before does not matter
        """The change in words for the history, at most 120 signs."""
        return clip(f"water {self.name.strip()}: added", 120)

    def apply(self, text: str) -> EditResult:
        """The changed text, or the findings that say why nothing was changed."""
        name, source = self.name.strip(), self.comes_from.strip()
        taken = bool(name) and bool(stands(read(text), self.path))
        if taken or not name or len(name) > 80:
            why = (
                f'name "{clip(name)}" is already taken'
                if taken
                else "must have a name"
                if not name
                else "is too long"
            )
            return _refused("water", RefusedError(MUST_STAND, why, "a name of its own: tap, rain, pure"))
        return SetRaw(self.path, f"{{ comes_from = [{quoted(source) if source else ''}] }}").apply(text)


@dataclass(frozen=True, slots=True, kw_only=True)
class SetMix:
    """What a water is mixed of: the share of each other one, as typed; a bare number is per cent, "" is none of it.

    >>> SetMix(name="soft", shares={"tap": "60", "pure": "40 %"}).toml
    '{ tap = "60 %", pure = "40 %" }'
    """

    name: str
    shares: Mapping[str, str] = field(default_factory=dict)

    @property
    def path(self) -> Path:
        """The mix of the water."""
        return ("water", self.name.strip(), "mix")

    @property
    def toml(self) -> str:
        """The mix as it is written; raises RefusedError for what is no share."""
        parts = []
        for name, typed in self.shares.items():
            share = typed.strip()
            if not share or (_BARE_SHARE.fullmatch(share) and not float(share.replace(",", "."))):
                continue
            if _BARE_SHARE.fullmatch(share):
                share = f"{share} %"
            parts.append(f"{key_text(name)} = {quantity_toml(share, 'share', None)[0]}")
        if not parts:
            raise RefusedError(MUST_STAND, "has no shares", "the share of each water, 100 % together")
        return f"{{ {', '.join(parts)} }}"

    def says(self, before: str) -> str:  # noqa: ARG002 - what was there before does not matter
        """The change in words for the history, at most 120 signs."""
        parts = ", ".join(f"{name} {share.strip()}" for name, share in self.shares.items() if share.strip())
        return clip(f"water {self.name.strip()}: mixed of {parts or 'nothing'}", 120)

    def apply(self, text: str) -> EditResult:
        """The changed text, or the findings that say why nothing was changed."""
        name = self.name.strip()
        try:
            if not name:
                raise RefusedError(MUST_STAND, "must have a name", "a name of its own: soft")
            toml = self.toml
        except RefusedError as error:
            return _refused(f"water {clip(name)}".strip(), error)
        there = stands(read(text), ("water", name))
        return (SetRaw(self.path, toml) if there else SetRaw(self.path[:2], f"{{ mix = {toml} }}")).apply(
            text
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class SetTransmittance:
    """A part of a room's shell by its heat transmittance instead of its layers; what is beyond it stays as said."""

    room: str
    part: str
    typed: str

    @property
    def path(self) -> Path:
        """The part of the shell."""
        return ("room", self.room, "shell", self.part)

    def says(self, before: str) -> str:  # noqa: ARG002 - what was there before does not matter
        """The change in words for the history, at most 120 signs."""
        return clip(f"room {self.room}: shell.{self.part} {self.typed.strip()} instead of its layers", 120)

    def apply(self, text: str) -> EditResult:
        """The changed text, or the findings that say why nothing was changed."""
        try:
            toml, value = quantity_toml(self.typed.strip(), "thermal_transmittance", None)
            if value <= 0:
                raise RefusedError(
                    MUST_STAND, f'"{clip(self.typed)}" must be more than zero', "more than zero"
                )
        except RefusedError as error:
            return _refused(f"room {clip(self.room)}", error)
        beyond = current_value(text, (*self.path, "to"))
        keys = [f"to = {quoted(beyond)}"] if beyond else []
        return SetRaw(self.path, f"{{ {', '.join([*keys, f'transmittance = {toml}'])} }}").apply(text)


def _refused(subject: str, error: RefusedError) -> EditResult:
    finding = Finding(
        code=error.code, severity=Severity.PROBLEM, subject=subject, text=error.text, wanted=error.wanted,
        attempt=error.attempt,
    )  # fmt: skip
    return EditResult(text=None, findings=(finding,))
