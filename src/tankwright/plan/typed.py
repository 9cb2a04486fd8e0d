"""What a person types into a field, made a value of the plan: "1,8 m", "12", "yes", "1:60", "daily", "A, B, C".

The plan models say what a place takes. A text that has no chance there is answered with a finding. A bare number
takes the unit of the value it replaces, and where that is not clear the person is asked; nothing is guessed.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Final, Literal, get_args, get_origin

from pydantic.fields import FieldInfo

from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.finding import Finding, Severity
from tankwright.plan.editing import quoted
from tankwright.plan.mistakes import (
    IMPOSSIBLE,
    MEASURED_IN_MM,
    NOT_A_CHOICE,
    WRONG_COUNT,
    WRONG_FORM,
    WRONG_KIND,
)
from tankwright.plan.models import Plan
from tankwright.plan.positions import Positions
from tankwright.plan.quantities import NotNegative, PlanTable, Positive, QuantityOf
from tankwright.plan.shape import Place, bare_type, marks_of, place_of
from tankwright.plan.statements import stands, value_at
from tankwright.plan.suggest import listed, nearest
from tankwright.plan.values import Path
from tankwright.units import DIMENSIONS, QuantityError, clip, parse_quantity
from tankwright.units_text import UnitError, read_magnitude, straighten

NO_UNIT_TO_TAKE: Final = "PLAN-045"
MUST_STAND: Final = "PLAN-046"
NOT_ON_ONE_LINE: Final = "PLAN-047"

Puts = list[tuple[Path, str | None]]
"""Values to write as TOML, by their paths; None takes one out."""

_YES: Final = ("true", "yes", "on")
_NO: Final = ("false", "no", "off")
_CLOCK: Final = re.compile(r"(\d{1,2})[:.h](\d{2})", re.ASCII)
_NUMBER: Final = re.compile(r"([+-]?)(\d*)(?:[.,](\d+))?", re.ASCII)
_BETWEEN: Final = re.compile(r"\s*(?:,|;)\s*")
_BETWEEN_QUANTITIES: Final = re.compile(r"\s*(?:;|,\s+|\s[x×]\s)\s*")


_RANGE: Final = re.compile(r"(\S.*?)(?:\s+to\s+|\s*[\u2013\u2014]\s*|\s*\.\.\s*|(?<=[\w%])\s*-\s*)(\d.*)")


class RefusedError(Exception):
    """What was typed has no chance; `text` ends a sentence about the place."""

    def __init__(self, code: str, text: str, wanted: str = "", attempt: str = "") -> None:
        super().__init__(text)
        self.code = code
        self.text = text
        self.wanted = wanted
        self.attempt = attempt


def typed_values(
    positions: Positions, path: Path, typed: str, measured: date | None = None
) -> Puts | Finding:
    """What to write for a typed text; an empty list when that is what stands there already.

    An empty text takes a key out that need not be there. With `measured` a quantity is written with its date.
    """
    bare = typed.strip()
    place = place_of(path, Plan, positions.data)
    try:
        if measured is None and shown_value(positions, path) == bare:
            return []
        if not bare:
            return _taken_out(positions, path, place)
        return _Typing(positions, path, place, bare, measured).puts()
    except RefusedError as error:
        attempt = error.attempt
        if path[-1] in MEASURED_IN_MM:
            attempt = attempt.replace(' cm"', ' mm"')
        return Finding(
            code=error.code,
            severity=Severity.PROBLEM,
            subject=place.subject,
            text=f"{place.key} {error.text}" if place.key else error.text,
            line=positions.line_of(path),
            found=f'"{clip(bare, 60)}"',
            wanted=error.wanted,
            attempt=attempt,
        )


def shown_value(positions: Positions, path: Path) -> str | None:
    """A value as a person reads it: without quotes, of a measured one the value, of a list its items."""
    if not path or not stands(positions, path):
        return None
    if stands(positions, path) == "value":
        return _shown(value_at(positions, path), " ".join(positions.source_of(path).split()))
    made = [one for one in positions.statements if one.path[: len(path)] == path and not one.heading]
    return clip(", ".join(" ".join(positions.text[one.start : one.end].split()) for one in made[:20]), 200)


def _shown(value: object, source: str) -> str:
    if isinstance(value, str):
        return str(value)
    if isinstance(value, Mapping) and "value" in value and set(value) <= {"value", "measured", "plus_minus"}:
        return _shown(value["value"], str(value["value"]))
    if isinstance(value, list) and not any(isinstance(one, list) or _is_table(one) for one in value):
        return ", ".join(_shown(one, _plain(one)) for one in value)
    return source


def _is_table(value: object) -> bool:
    return isinstance(value, Mapping) and "value" not in value


def _plain(value: object) -> str:
    return str(value).lower() if isinstance(value, bool) else str(value)


def _taken_out(positions: Positions, path: Path, place: Place) -> Puts:
    if isinstance(path[-1], int):
        raise RefusedError(MUST_STAND, "has an item that is empty", "a value, or one item less in the list")
    field = place.field
    if field and place.expected is field.annotation and field.is_required():
        about = f"{path[-1]}: {field.description}" if field.description else "a value"
        raise RefusedError(MUST_STAND, "must be given", about)
    return [(path, None)] if stands(positions, path) else []


@dataclass(frozen=True, slots=True)
class _Typing:
    positions: Positions
    path: Path
    place: Place
    typed: str
    measured: date | None

    def puts(self) -> Puts:
        expected = bare_type(self.place.expected)
        is_table = isinstance(expected, type) and issubclass(expected, PlanTable)
        if self.dimension is None and self.measured is not None:
            raise RefusedError(WRONG_KIND, "is no quantity, so it has no date it was measured on")
        if get_origin(expected) is tuple:
            return self._list(expected)
        if is_table or get_origin(expected) is dict:
            raise RefusedError(NOT_ON_ONE_LINE, "is a table", "one of its keys at a time")
        if expected is None and isinstance(self.present, (list, Mapping)) and self.dimension is None:
            raise RefusedError(NOT_ON_ONE_LINE, "is a list or a table", "one of its values at a time")
        return [(self.path, self._toml(expected))]

    @property
    def present(self) -> object:
        value = value_at(self.positions, self.path)
        return value["value"] if isinstance(value, Mapping) and "value" in value else value

    @property
    def marks(self) -> list[Any]:
        field: FieldInfo | None = self.place.field
        own = field.metadata if field and self.place.expected is field.annotation else ()
        return [*marks_of(self.place.expected), *own]

    @property
    def dimension(self) -> str | None:
        """The kind of quantity the place takes; None for other values."""
        if self.path[:1] == ("assume",):
            assumption = ASSUMPTIONS.get(".".join(str(step) for step in self.path[1:]))
            return assumption.dimension if assumption and assumption.dimension in DIMENSIONS else None
        return next((one.dimension for one in self.marks if isinstance(one, QuantityOf)), None)

    def _toml(self, expected: Any) -> str:
        if self.dimension:
            value, size = quantity_toml(self.typed, self.dimension, self.present)
            self._refuse_sign(size)
            dated = self.measured
            return f"{{ value = {value}, measured = {dated:%Y-%m-%d} }}" if dated else value
        if get_origin(expected) is Literal:
            return self._choice(get_args(expected))
        if expected is bool or (expected is None and isinstance(self.present, bool)):
            return self._bool()
        if expected in (int, float):
            return self._number(whole=expected is int)
        if expected is None and isinstance(self.present, (int, float)):
            return self._number(whole=False)
        if expected is date or (expected is None and isinstance(self.present, date)):
            return self._date()
        if any(getattr(one, "pattern", None) and "[0-3]" in one.pattern for one in self.marks):
            return self._clock()
        return quoted(self.typed)

    def _refuse_sign(self, value: float) -> None:
        if Positive in self.marks and value <= 0:
            raise RefusedError(IMPOSSIBLE, f'"{clip(self.typed)}" must be more than zero', "more than zero")
        if NotNegative in self.marks and value < 0:
            raise RefusedError(IMPOSSIBLE, f'"{clip(self.typed)}" must not be negative', "zero or more")

    def _choice(self, choices: tuple[str | int, ...]) -> str:
        folded = {_fold(str(one)): str(one) if isinstance(one, int) else quoted(one) for one in choices}
        if _fold(self.typed) in folded:
            return folded[_fold(self.typed)]
        near = folded.get(_fold(nearest(self.typed, [str(one) for one in choices])), "")
        words = "words" if all(isinstance(one, str) for one in choices) else "numbers"
        raise RefusedError(
            NOT_A_CHOICE,
            f'"{clip(self.typed)}" is not one of the {words} it takes',
            listed(list(folded.values())),
            near,
        )

    def _bool(self) -> str:
        word = self.typed.lower()
        if word in _YES or word in _NO:
            return "true" if word in _YES else "false"
        raise RefusedError(WRONG_KIND, f'"{clip(self.typed)}" is neither true nor false', "true or false")

    def _number(self, *, whole: bool) -> str:
        wanted = "a whole number" if whole else "a number without a unit"
        parts = _NUMBER.fullmatch(self.typed)
        if parts is None or not (parts[2] or parts[3]) or (whole and parts[3]) or len(self.typed) > 18:
            figures = re.match(r"[+-]?\d+" if whole else r"[+-]?\d+(?:[.,]\d+)?", self.typed, re.ASCII)
            attempt = figures[0].replace(",", ".") if figures and len(figures[0]) < 10 else ""
            raise RefusedError(WRONG_KIND, f'"{clip(self.typed)}" is not {wanted}', wanted, attempt)
        toml = parts[1].replace("+", "") + str(int(parts[2] or 0)) + (f".{parts[3]}" if parts[3] else "")
        value = float(toml)
        for name, words, holds in (
            ("gt", "more than", value.__gt__),
            ("ge", "at least", value.__ge__),
            ("lt", "less than", value.__lt__),
            ("le", "at most", value.__le__),
        ):
            for mark in self.marks:
                limit = getattr(mark, name, None)
                if isinstance(limit, (int, float)) and not holds(float(limit)):
                    bound = f"{words} {limit:g}"
                    raise RefusedError(IMPOSSIBLE, f"{clip(self.typed)} is not {bound}", bound)
        return toml

    def _clock(self) -> str:
        clock = _CLOCK.fullmatch(self.typed)
        if clock and int(clock[1]) < 24 and int(clock[2]) < 60:
            return f'"{int(clock[1]):02d}:{clock[2]}"'
        text = f'"{clip(self.typed)}" is not a time of day'
        raise RefusedError(WRONG_FORM, text, 'hours and minutes: "06:45"')

    def _date(self) -> str:
        try:
            return date.fromisoformat(self.typed).isoformat()
        except ValueError:
            text = f'"{clip(self.typed)}" is not a date'
            raise RefusedError(WRONG_FORM, text, "year, month and day: 2026-09-20") from None

    def _list(self, expected: Any) -> Puts:
        """A list of values typed on one line; where it keeps its length only the items that differ are written."""
        arguments = get_args(expected)
        kinds = [bare_type(one) for one in arguments if one is not Ellipsis]
        if any(get_origin(one) in (tuple, dict) or _is_plan_table(one) for one in kinds):
            raise RefusedError(
                NOT_ON_ONE_LINE, "is a list of tables or of lists", "one of its values at a time"
            )
        held = any(isinstance(mark, QuantityOf) for one in arguments for mark in marks_of(one))
        text = self.typed[1:-1] if self.typed[0] == "[" and self.typed[-1] == "]" else self.typed
        items = [
            _unquoted(one, one) for one in (_BETWEEN_QUANTITIES if held else _BETWEEN).split(text.strip())
        ]
        if len(arguments) == 2 and len(items) == 1 and held:
            items = _both_ends(items[0])
        if Ellipsis not in arguments and len(items) != len(arguments):
            number = f"{len(arguments)} values"
            wanted = f"{number} with a comma between them" if held else number
            raise RefusedError(
                WRONG_COUNT, f"has {len(items)} value{'s' * (len(items) != 1)}, not {number}", wanted
            )
        present = value_at(self.positions, self.path)
        same_length = isinstance(present, list) and len(present) == len(items)
        puts: Puts = []
        for place, item in enumerate(items):
            here = (*self.path, place)
            if same_length and shown_value(self.positions, here) == item:
                continue
            if not item:
                raise RefusedError(
                    MUST_STAND, "has an empty place between its commas", "a value at each place"
                )
            inner = _Typing(self.positions, here, place_of(here, Plan, self.positions.data), item, None)
            puts += inner.puts()
        if same_length:
            return puts
        return [(self.path, f"[{', '.join(str(toml) for _, toml in puts)}]")]


def _both_ends(text: str) -> list[str]:
    """The two ends of a range as people write one: "6.5 to 7.5", "22-26 °C"; else the text alone."""
    ends = _RANGE.fullmatch(text)
    if ends is None:
        return [text]
    low, high = ends[1].strip(), ends[2].strip()
    unit = high.lstrip("+-0123456789., ")
    return [f"{low} {unit}" if unit and low[-1].isdigit() else low, high]


def _is_plan_table(expected: Any) -> bool:
    return isinstance(expected, type) and issubclass(expected, PlanTable)


def _unquoted(text: str, otherwise: str) -> str:
    """A text without the quotes somebody typed around it."""
    return text[1:-1].strip() if len(text) > 2 and text[0] == text[-1] == '"' else otherwise


def _fold(word: str) -> str:
    return " ".join(word.casefold().replace("_", " ").replace("-", " ").split())


# --- quantities ---


def quantity_toml(typed: str, dimension: str, present: object) -> tuple[str, float]:
    """A typed quantity as TOML and in SI, `present` being the value it replaces; raises RefusedError.

    >>> quantity_toml("1,8", "length", "1.75 m"), quantity_toml("70", "share", "60 %")
    (('"1.8 m"', 1.8), ('"70 %"', 0.7))
    """
    text = _with_point(_unquoted(typed, typed).replace("\u00a0", " ").replace("\u202f", " "), dimension)
    bare = _is_bare(text)
    if DIMENSIONS[dimension].plain_number and bare and not _has_unit(present, dimension):
        value = _parsed(text, dimension)
        plain = not isinstance(present, str) and re.fullmatch(r"\d+(\.\d+)?", text, re.ASCII)
        return (f"{value:.15g}" if plain else quoted(text)), value
    if bare and isinstance(present, str):
        text = _with_unit_of(present, text, dimension)
    return quoted(text), _parsed(text, dimension)


def _parsed(text: str, dimension: str) -> float:
    try:
        return parse_quantity(text, dimension).value
    except QuantityError as error:
        raise RefusedError(error.code, error.text, error.wanted, error.attempt) from None


def _is_bare(text: str) -> bool:
    try:
        return read_magnitude(text).unit_text == ""
    except (QuantityError, UnitError):
        return False


def _has_unit(present: object, dimension: str) -> bool:
    return isinstance(present, str) and _unit_of(present, dimension) not in ("", None)


def _unit_of(present: str, dimension: str) -> str | None:
    try:
        return parse_quantity(present, dimension).unit_text
    except QuantityError:
        return None


def _with_unit_of(present: str, text: str, dimension: str) -> str:
    """A bare number with the unit of the value it replaces, when there is no doubt about that unit."""
    unit, wanted = _unit_of(present, dimension), DIMENSIONS[dimension].wanted
    if not unit:
        return text
    shown = clip(present)
    if unit == ":":
        told = f'"{clip(text)}" has no unit, and "{shown}" is a ratio'
        raise RefusedError(NO_UNIT_TO_TAKE, told, wanted, f'"1:{clip(text)}"' if text.isdigit() else "")
    if not straighten(present).endswith(unit):  # 5 ft 9 in: which of the two?
        told = f'"{clip(text)}" has no unit, and "{shown}" has two'
        tries = " or ".join(f'"{clip(text)} {one}"' for one in unit.split())
        raise RefusedError(NO_UNIT_TO_TAKE, told, wanted, tries)
    value = read_magnitude(text).value
    if dimension == "share" and 0 < value <= 1:
        told = f'"{clip(text)}" can be a share of one or per cent'
        tries = f'"{value * 100:g} %" or "{value:g} %"'
        raise RefusedError(NO_UNIT_TO_TAKE, told, wanted, tries)
    return f"{text} {unit}"


def _with_point(text: str, dimension: str) -> str:
    """A decimal comma made a point, where that leaves the number what it was."""
    pointed = re.sub(
        r"(?<![\d,.])(\d*),(?=\d+(?![\d,.]))", lambda one: f"{one[1] or '0'}.", text, flags=re.ASCII
    )
    if pointed == text:
        return text
    try:
        before, after = read_magnitude(text), read_magnitude(pointed)
    except (QuantityError, UnitError):
        return pointed if _reads_same(text, pointed, dimension) else text
    return pointed if math.isclose(before.value, after.value) else text


def _reads_same(text: str, pointed: str, dimension: str) -> bool:
    try:
        return math.isclose(parse_quantity(text, dimension).value, parse_quantity(pointed, dimension).value)
    except QuantityError:
        return False
