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
        broken = tuple(replace(one, severity=Severity.PROBLEM) for one in positions.findings)
        return EditResult(
            text=None,
            findings=(_mistake(BROKEN_FILE, "the plan cannot be edited: it has broken lines"), *broken),
        )
    steps = _with_numbers(steps, positions)
    span = positions.spans.get(steps)
    if span is None or not _is_plain_value(positions, steps):
        return EditResult(text=None, findings=(_no_such_value(steps, positions),))
    wanted = read_positions(f"v = {new_value}\n")
    if wanted.findings or set(wanted.data) != {"v"} or wanted.source_of(("v",)) != new_value:
        shown = clip(new_value, 60)
        finding = _mistake(
            NOT_ONE_VALUE,
            f'"{shown}" is not one value',
            found=shown,
            wanted='one value: "54 L" with its quotes, or 4',
        )
        return EditResult(text=None, findings=(finding,))
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


def _with_numbers(path: Path, positions: Positions) -> Path:
    """A path whose steps into lists are numbers, also when they came as text."""
    value: object = positions.data
    steps: list[str | int] = []
    for step in path:
        if isinstance(value, list):
            number = (
                int(step)
                if isinstance(step, int) or (step.isascii() and step.isdigit() and len(step) < 9)
                else -1
            )
            steps.append(number)
            value = value[number] if 0 <= number < len(value) else None
        else:
            steps.append(step)
            value = value.get(str(step)) if isinstance(value, dict) else None
    return tuple(steps)


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


def _no_such_value(path: Path, positions: Positions) -> Finding:
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
