"""Change one value of a plan's text and leave every other sign of it as it was.

Comments, spacing and order are the owner's. Only the text of the value is replaced, and the result is read
again before it is given back. `plan.writing` puts it on the disk.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace
from typing import Final

from tankwright.finding import Finding, Severity
from tankwright.plan.positions import Positions, read_positions
from tankwright.plan.suggest import listed, nearest
from tankwright.plan.values import Path
from tankwright.units import clip

NO_SUCH_VALUE: Final = "PLAN-040"
NOT_ONE_VALUE: Final = "PLAN-041"
BROKEN_FILE: Final = "PLAN-042"


@dataclass(frozen=True, slots=True, kw_only=True)
class EditResult:
    """The changed text, or None and the findings that say why nothing was changed."""

    text: str | None
    findings: tuple[Finding, ...] = ()


def plan_hash(text: str) -> str:
    """A short name for one state of a text, to see that nobody changed it meanwhile.

    >>> plan_hash("a = 1") == plan_hash("a = 1"), plan_hash("a = 1") == plan_hash("a = 2")
    (True, False)
    """
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:32]


def set_value(text: str, path: Path | str, new_value: str) -> EditResult:
    """Replace the value at a path by another, written as TOML (`'"54 L"'`, `'["90 cm", "38 cm"]'`, `'4'`).

    The path is a tuple, or a dotted text for keys without dots. Never raises.

    >>> set_value('a.b = "1 m"  # keep', "a.b", '"2 m"').text
    'a.b = "2 m"  # keep'
    """
    steps = tuple(path.split(".")) if isinstance(path, str) else path
    positions = read_positions(text)
    if positions.findings:
        return refused_as_broken(positions)
    steps = with_numbers(steps, positions)
    span = positions.spans.get(steps)
    if span is None or not _is_plain_value(positions, steps):
        return EditResult(text=None, findings=(no_such_value(steps, positions),))
    mistake = not_one_value(new_value)
    if mistake:
        return EditResult(text=None, findings=(mistake,))
    bom = "\ufeff" if text.startswith("\ufeff") else ""
    changed = bom + positions.text[: span.start] + new_value + positions.text[span.end :]
    again = read_positions(changed)
    if again.findings:
        return EditResult(text=None, findings=again.findings)
    return EditResult(text=changed)


def set_text(text: str, path: Path | str, new_text: str) -> EditResult:
    """Replace the value at a path by a text, which is quoted here: `set_text(plan, "title", "Cellar")`."""
    return set_value(text, path, quoted(new_text))


def quoted(text: str) -> str:
    r"""A text as TOML writes it on one line.

    >>> quoted('3 ft 2"')
    '"3 ft 2\\""'
    """
    escapes = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\t": "\\t", "\r": "\\r"}
    return '"' + "".join(escapes.get(sign) or _escaped(sign) for sign in text) + '"'


def _escaped(sign: str) -> str:
    if "\ud800" <= sign <= "\udfff":
        return "\\uFFFD"
    return sign if ord(sign) >= 0x20 and ord(sign) != 0x7F else f"\\u{ord(sign):04X}"


def refused_as_broken(positions: Positions) -> EditResult:
    """The answer to a change of a text that has broken lines."""
    broken = tuple(replace(one, severity=Severity.PROBLEM) for one in positions.findings)
    told = _mistake(BROKEN_FILE, "the plan cannot be edited: it has broken lines")
    return EditResult(text=None, findings=(told, *broken))


def not_one_value(toml: str) -> Finding | None:
    """What to say when a text is not one value of TOML; None when it is.

    >>> not_one_value('"54 L"') is None, not_one_value("54 L") is None
    (True, False)
    """
    read = read_positions(f"v = {toml}\n")
    if not read.findings and set(read.data) == {"v"} and read.source_of(("v",)) == toml:
        return None
    shown = clip(toml, 60)
    wanted = 'one value: "54 L" with its quotes, or 4'
    return _mistake(NOT_ONE_VALUE, f'"{shown}" is not one value', found=shown, wanted=wanted)


def with_numbers(path: Path, positions: Positions) -> Path:
    """A path whose steps into lists are numbers and into tables are texts, however they came.

    In a list of tables a step may also be an id ("A", or "id=A" for an id that is a number).
    """
    value: object = positions.data
    steps: list[str | int] = []
    for step in path:
        if isinstance(value, list):
            number = _place_in_list(step, value)
            steps.append(number)
            value = value[number] if 0 <= number < len(value) else None
        else:
            steps.append(str(step) if isinstance(value, dict) else step)
            value = value.get(str(step)) if isinstance(value, dict) else None
    return tuple(steps)


def _place_in_list(step: str | int, items: list[object]) -> int:
    if isinstance(step, int):
        return step
    if step.isascii() and step.isdigit() and len(step) < 9:
        return int(step)
    name = step.removeprefix("id=")
    ids = [one.get("id") if isinstance(one, dict) else None for one in items]
    return ids.index(name) if name in ids else -1


def _is_plain_value(positions: Positions, path: Path) -> bool:
    """True for what stands behind a "=" or in a list; a heading cannot be replaced by a value."""
    span = positions.spans[path]
    before = positions.text[: span.start].rstrip()
    is_item = isinstance(path[-1], int) and positions.text[span.start : span.start + 2] != "[["
    return before.endswith("=") or (
        (is_item and before[-1:] in ("[", ",")) or (is_item and _in_array(positions, path))
    )


def _in_array(positions: Positions, path: Path) -> bool:
    """True for an item of a written list, also behind a comment."""
    outer = positions.spans.get(path[:-1])
    span = positions.spans[path]
    return outer is not None and outer.start < span.start and span.end < outer.end


def no_such_value(path: Path, positions: Positions) -> Finding:
    """What to say when a path leads to no value."""
    shown = ".".join(str(step) for step in path)
    names = [".".join(str(step) for step in one) for one in positions.spans]
    near = nearest(shown, names)
    return _mistake(
        NO_SUCH_VALUE, f'there is no value "{clip(shown, 60)}" to change', found=clip(shown, 60),
        wanted=f"the path of a value: {listed(names[:5])}" if names else "a plan with values", attempt=near,
    )  # fmt: skip


def _mistake(code: str, text: str, *, found: str = "", wanted: str = "", attempt: str = "") -> Finding:
    return Finding(
        code=code,
        severity=Severity.PROBLEM,
        subject="the plan",
        text=text,
        found=found,
        wanted=wanted,
        attempt=attempt,
    )
