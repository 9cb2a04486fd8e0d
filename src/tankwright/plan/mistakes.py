"""What the models refuse, told to the owner of the plan: by the thing's own name, with what to try.

Each kind of mistake has its permanent code; `docs/reference/plan-mistakes.md` lists them all.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final, Literal, get_args, get_origin

from tankwright.finding import Finding, Severity
from tankwright.plan.positions import Positions
from tankwright.plan.quantities import NO_QUANTITY, PlanTable
from tankwright.plan.shape import bare_type, example_of, fields_by_key, place_of, written_keys
from tankwright.plan.suggest import listed, nearest
from tankwright.plan.values import Path
from tankwright.units import clip

LONGEST_SHOWN: Final = 80
UNKNOWN_KEY: Final = "PLAN-010"
IMPOSSIBLE: Final = "PLAN-016"
WRONG_KIND: Final = "PLAN-018"
NOT_A_CHOICE: Final = "PLAN-020"
MISSING_KEY: Final = "PLAN-021"
WRONG_COUNT: Final = "PLAN-022"
WRONG_FORM: Final = "PLAN-023"
AGAINST_A_RULE: Final = "PLAN-024"

_BOUNDS: Final = {
    "greater_than": ("gt", "more than"),
    "greater_than_equal": ("ge", "at least"),
    "less_than": ("lt", "less than"),
    "less_than_equal": ("le", "at most"),
    "finite_number": ("", "a number that ends"),
}
_A_NUMBER: Final = re.compile(r"(?<![\d.,])-?\d{1,9}(?:[.,]\d{1,9})?(?![\d.,])", re.ASCII)
MEASURED_IN_MM: Final = frozenset(
    ("sides", "base", "diameter", "bore", "flange", "elbow_reach", "water_below_rim", "below_rim", "gap")
)
_KINDS: Final = (
    ("string", "a text between quotes"),
    ("bool", "true or false"),
    ("int", "a whole number"),
    ("float", "a number"),
    ("tuple", "a list [ ... ]"),
    ("dict", "a table"),
    ("model", "a table"),
)


def finding_of_error(error: Mapping[str, Any], positions: Positions, root: type[PlanTable]) -> Finding:
    """One error of pydantic as a finding with its line and the owner's own names."""
    path: Path = tuple(error["loc"])
    if path[-1:] == ("[key]",):
        path = path[:-1]
    kind: str = error["type"]
    teller = _Teller(path, positions, root, error)
    if kind == "plan_mistake":
        return teller.own_mistake()
    if kind == "extra_forbidden":
        return teller.unknown_key()
    if kind == "missing":
        return teller.missing()
    if kind == "literal_error":
        return teller.not_a_choice()
    if kind in _BOUNDS:
        return teller.out_of_bounds()
    if kind in ("too_short", "too_long") and not isinstance(error.get("input"), str):
        return teller.wrong_count()
    if kind.startswith("string_") and kind != "string_type":
        return teller.wrong_form()
    if kind == "value_error":
        text = str(error.get("ctx", {}).get("error", "")) or "breaks a rule"
        return teller.finding(AGAINST_A_RULE, clip(text, 200))
    return teller.wrong_kind()


class _Teller:
    def __init__(
        self, path: Path, positions: Positions, root: type[PlanTable], error: Mapping[str, Any]
    ) -> None:
        self.path = path
        self.positions = positions
        self.root = root
        self.place = place_of(path, root, positions.data)
        self.error = error
        self.value = error.get("input")

    def finding(
        self, code: str, text: str, *, wanted: str = "", attempt: str = "", found: str = ""
    ) -> Finding:
        said = f"{self.place.key} {text}" if self.place.key else text
        return Finding(
            code=code,
            severity=Severity.PROBLEM,
            subject=self.place.subject,
            text=said,
            line=self.positions.line_of(self.path),
            found=found or self.found(),
            wanted=wanted,
            attempt=attempt,
        )

    def found(self) -> str:
        """The key and the value as written; for an item of a list, the whole list."""
        key, keyed = self.keyed()
        source = self.positions.source_of(keyed)
        if self._stands_alone(keyed):
            return clip(source, LONGEST_SHOWN)
        shown = clip(" ".join(source.split()), LONGEST_SHOWN)
        return f"{key} = {shown}" if shown and key else shown

    def _stands_alone(self, path: Path) -> bool:
        """True for a heading and for a dotted key: nothing but an indent is in front of it."""
        span = self.positions.spans.get(path)
        text = self.positions.text
        return span is not None and not text[text.rfind("\n", 0, span.start) + 1 : span.start].strip()

    def keyed(self) -> tuple[str, Path]:
        """The nearest key at or above the path, and its path."""
        for length in range(len(self.path), 0, -1):
            step = self.path[length - 1]
            if isinstance(step, str):
                return step, self.path[:length]
        return "", self.path

    def attempt(self, value: str) -> str:
        """What to try, `value` put where the wrong value stands."""
        if not value:
            return ""
        key, keyed = self.keyed()
        where = self.path
        if (*self.path, "value") in self.positions.spans:
            where = (*self.path, "value")
        outer = self.positions.spans.get(keyed)
        inner = self.positions.spans.get(where)
        if '" or "' in value or outer is None or inner is None or where == keyed:
            return f"{key} = {value}" if where == keyed else value
        text = self.positions.text
        whole = text[outer.start : inner.start] + value + text[inner.end : outer.end]
        return clip(f"{key} = {' '.join(whole.split())}", LONGEST_SHOWN)

    def own_mistake(self) -> Finding:
        details = self.error["ctx"]
        if details.get("keys"):
            return self.keys_together(details)
        proposed = str(details.get("attempt", ""))
        if self.keyed()[0] in MEASURED_IN_MM:
            proposed = proposed.replace(' cm"', ' mm"')
        attempt = self.attempt(proposed)
        wanted = str(details.get("wanted", ""))
        may_be_left_out = self.place.field is not None and not self.place.field.is_required()
        if details["code"] == NO_QUANTITY and may_be_left_out and not _has_digit(self.value):
            wanted += "; no line at all while it is not known"
        return self.finding(details["code"], details["text"], wanted=wanted, attempt=attempt)

    def keys_together(self, details: Mapping[str, Any]) -> Finding:
        """A mistake of a table: the keys that do not go together, as they are written, at the line of the last."""
        paths = [(*self.path, key) for key in details["keys"]]
        shown = [f"{path[-1]} = {' '.join(self.positions.source_of(path).split())}" for path in paths]
        made = self.finding(
            details["code"], details["text"], found=clip(", ".join(shown), LONGEST_SHOWN),
            wanted=details.get("wanted", ""), attempt=details.get("attempt", ""),
        )  # fmt: skip
        lines = [line for path in paths if (line := self.positions.line_of(path)) is not None]
        return replace(made, line=max(lines, default=made.line))

    def unknown_key(self) -> Finding:
        key = str(self.path[-1])
        above = place_of(self.path[:-1], self.root, self.positions.data)
        table = bare_type(above.expected) if len(self.path) > 1 else self.root
        is_table = isinstance(table, type) and issubclass(table, PlanTable)
        known = written_keys(table) if is_table else ()
        near = nearest(key, fields_by_key(table)) if is_table else ""
        found = self.found()
        within = f"{above.key} " if above.key else ""
        text = f'{within}has a key "{clip(key)}" that is not known'
        if near:
            text += f'; did you mean "{near}"?'
        return Finding(
            code=UNKNOWN_KEY,
            severity=Severity.PROBLEM,
            subject=above.subject,
            text=text,
            line=self.positions.line_of(self.path),
            found=found,
            wanted=f"one of {listed(known)}",
            attempt=found.replace(key, near, 1) if near else "",
        )

    def missing(self) -> Finding:
        if isinstance(self.path[-1], int):
            return self.wrong_count()
        key = str(self.path[-1])
        above = place_of(self.path[:-1], self.root, self.positions.data)
        table = bare_type(above.expected) if len(self.path) > 1 else self.root
        field = (
            fields_by_key(table).get(key)
            if isinstance(table, type) and issubclass(table, PlanTable)
            else None
        )
        example = example_of(field.annotation, field) if field else ""
        if key in MEASURED_IN_MM:
            example = example.replace(' cm"', ' mm"')
        within = f"{above.key} " if above.key else ""
        source = " ".join(self.positions.source_of(self.path[:-1]).split())
        about = field.description if field and field.description else "a value"
        return Finding(
            code=MISSING_KEY,
            severity=Severity.PROBLEM,
            subject=above.subject,
            text=f'{within}has no "{key}"',
            line=self.positions.line_of(self.path[:-1]),
            found=clip(source, LONGEST_SHOWN),
            wanted=f"{key}: {about}",
            attempt=f"{key} = {example}" if example else "",
        )

    def not_a_choice(self) -> Finding:
        expected = bare_type(self.place.expected)
        choices = [str(one) for one in get_args(expected)] if get_origin(expected) is Literal else []
        shown = clip(str(self.value))
        near = nearest(shown, choices) if isinstance(self.value, str) else ""
        attempt = self.attempt(f'"{near}"') if near else ""
        wanted = listed([f'"{one}"' for one in choices])
        return self.finding(
            NOT_A_CHOICE, f'"{shown}" is not one of the words it takes', wanted=wanted, attempt=attempt
        )

    def out_of_bounds(self) -> Finding:
        name, words = _BOUNDS[self.error["type"]]
        limit = self.error.get("ctx", {}).get(name, "")
        bound = f"{words} {limit:g}" if isinstance(limit, (int, float)) else words
        return self.finding(IMPOSSIBLE, f"{clip(str(self.value))} is not {bound}", wanted=bound)

    def wrong_count(self) -> Finding:
        if isinstance(self.path[-1], int) and self.error["type"] == "missing":
            return _Teller(self.path[:-1], self.positions, self.root, self.error).wrong_count()
        count = _length_at(self.positions.data, self.path)
        arguments = get_args(bare_type(self.place.expected))
        number = f"{len(arguments)} values" if Ellipsis not in arguments else "another number of values"
        held = "1 value" if count == 1 else f"{count} values"
        attempt = self.attempt(example_of(self.place.expected))
        return self.finding(
            WRONG_COUNT, f"has {held}, not {number}", wanted=f"a list of {number}", attempt=attempt
        )

    def wrong_form(self) -> Finding:
        shown = f'"{clip(str(self.value))}"'
        kind = self.error["type"]
        if kind == "string_pattern_mismatch":
            clock = re.fullmatch(r"(\d{1,2})[:.h](\d{2})", str(self.value), re.ASCII)
            good = clock and int(clock[1]) < 24 and int(clock[2]) < 60
            attempt = self.attempt(f'"{int(clock[1]):02d}:{clock[2]}"') if clock and good else ""
            return self.finding(
                WRONG_FORM,
                f"{shown} is not a time of day",
                wanted='hours and minutes: "06:45"',
                attempt=attempt,
            )
        why = "is empty" if kind == "string_too_short" else "is too long"
        return self.finding(WRONG_FORM, f"{shown} {why}", wanted="a short text between quotes")

    def wrong_kind(self) -> Finding:
        kind = self.error["type"]
        wanted = next((words for start, words in _KINDS if kind.startswith(start)), "another kind of value")
        key, _ = self.keyed()
        is_table, is_list = isinstance(self.value, Mapping), isinstance(self.value, list)
        attempt = ""
        if is_table and wanted.startswith("a list"):
            attempt = f"[[{key}]]" if self.found().startswith("[") else f"{key} = [ ... ]"
        elif is_list and wanted == "a table" and self.found().startswith("["):
            attempt = f"[{key}.name]"
        elif wanted.startswith("a list") and isinstance(self.value, str):
            attempt = self.attempt(f'["{clip(self.value)}"]')
        elif wanted.startswith("a text") and not is_table and not is_list:
            attempt = self.attempt(f'"{clip(str(self.value))}"')
        elif wanted == "a table" and isinstance(self.value, (str, int, float)):
            attempt = self.attempt(self.as_only_key())
        elif isinstance(self.value, str):
            attempt = self.attempt(_number_in(self.value, wanted))
        shown = "a table" if is_table else "a list" if is_list else _as_written(self.value)
        alone = f"{wanted}, no words or unit beside it" if attempt and wanted.endswith("number") else wanted
        return self.finding(WRONG_KIND, f"is {shown}, not {wanted}", wanted=alone, attempt=attempt)

    def as_only_key(self) -> str:
        """The value as the one key its table needs: `{ power = "1 kW" }`; "" when it needs another number of keys."""
        table = bare_type(self.place.expected)
        if not (isinstance(table, type) and issubclass(table, PlanTable)):
            return ""
        needed = [key for key, field in fields_by_key(table).items() if field.is_required()]
        return f"{{ {needed[0]} = {_as_written(self.value)} }}" if len(needed) == 1 else ""


def _has_digit(value: Any) -> bool:
    return any(sign.isdigit() for sign in str(value))


def _number_in(text: str, wanted: str) -> str:
    """The one number a text says with words or a unit around it: "0,30 EUR/kWh" is 0.30; "" for none or several."""
    numbers = _A_NUMBER.findall(text)
    if len(numbers) != 1 or (wanted == "a whole number" and not numbers[0].isdigit()):
        return ""
    return numbers[0].replace(",", ".") if wanted in ("a number", "a whole number") else ""


def _length_at(value: Any, path: Path) -> int:
    for step in path:
        if isinstance(value, Mapping):
            value = value.get(str(step))
        elif isinstance(value, list) and isinstance(step, int) and step < len(value):
            value = value[step]
    return len(value) if isinstance(value, (list, tuple)) else 0


def _as_written(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    return f'"{clip(value)}"' if isinstance(value, str) else clip(str(value))
