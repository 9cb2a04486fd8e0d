"""Read a plan: the text in, the checked plan and every mistake out. Nothing a user types raises.

The text becomes placed values (`positions`), the values become models (`models`), the names they use are
looked up (`references`). Each of the three says what it finds wrong, and none stops the next.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Any, Final

from pydantic import ValidationError

from tankwright.finding import Finding, Severity
from tankwright.plan.mistakes import finding_of_error
from tankwright.plan.models import Plan
from tankwright.plan.positions import Positions, read_positions
from tankwright.plan.references import reference_mistakes
from tankwright.plan.sizes import size_mistakes
from tankwright.plan.values import Path
from tankwright.units import clip

LARGEST_FILE: Final = 2_000_000
MOST_MISTAKES: Final = 300


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadResult:
    """What reading gave: the plan when no problem stands, and every finding in the order of the lines.

    `text` is the text as read, which `plan.editing` wants back when it changes a value.
    """

    plan: Plan | None
    findings: tuple[Finding, ...]
    text: str
    positions: Positions | None

    def line_of(self, path: Path) -> int | None:
        """The line a path of the plan stands on."""
        return self.positions.line_of(path) if self.positions else None


def read_plan_file(path: str | FilePath) -> ReadResult:
    """Read a plan file; the only function here that touches a disk. Never raises for what it finds there."""
    place = FilePath(path)
    name = clip(place.name or str(path))
    try:
        with place.open("rb") as file:
            raw = file.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        return _refused(
            "PLAN-001",
            name,
            "there is no such file",
            f"a plan file at {clip(str(path), 80)}",
            "tankwright new",
        )
    except IsADirectoryError:
        return _refused("PLAN-002", name, "is a folder, not a file", "a plan file", f"{name}/plan.toml")
    except PermissionError:
        return _refused("PLAN-002", name, "may not be read: you have no permission", "a file you may read")
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or "the name is not one a file can have"
        return _refused("PLAN-002", name, f"cannot be read: {clip(why)}", "a plan file")
    return read_plan_bytes(raw, name)


def read_plan_bytes(raw: bytes, name: str) -> ReadResult:
    """Read a plan from the bytes of a file.

    >>> read_plan_bytes(b"\\x00\\x01", "cellar.toml").findings[0].text
    'is not a text: it holds zero bytes'
    """
    if len(raw) > LARGEST_FILE:
        return _too_large(name)
    if b"\x00" in raw:
        return _refused(
            "PLAN-004", name, "is not a text: it holds zero bytes", "a plan in TOML, saved as UTF-8 text"
        )
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        start = raw.rfind(b"\n", 0, error.start) + 1
        shown = clip(raw[start : error.start + 20].splitlines()[0].decode("latin-1").strip())
        finding = _problem(
            "PLAN-005",
            name,
            f"is not UTF-8: byte {raw[error.start]:#04x} is no letter of it",
            line=line,
            found=shown,
            wanted="a text saved as UTF-8",
            attempt="save the file again as UTF-8",
        )
        return ReadResult(plan=None, findings=(finding,), text="", positions=None)
    return read_plan_text(text, name)


def read_plan_text(text: str, name: str) -> ReadResult:
    """Read a plan from its text; `name` is what messages about the whole file call it.

    >>> result = read_plan_text('[tank_kind.a]\\noutside = ["90 cm", "38", "38 cm"]', "cellar.toml")
    >>> result.plan, result.findings[0].subject, result.findings[0].text, result.findings[0].line
    (None, 'tank kind a', 'outside "38" has no unit', 2)
    """
    if len(text) > LARGEST_FILE:
        return _too_large(name)
    positions = read_positions(text)
    findings = list(positions.findings)
    if not positions.data and not findings:
        finding = _problem(
            "PLAN-006",
            name,
            "says nothing yet",
            wanted="rooms, kinds of tank and racks",
            attempt="tankwright new",
        )
        return ReadResult(plan=None, findings=(finding,), text=text, positions=positions)
    plan: Plan | None = None
    try:
        plan = Plan.model_validate(positions.data)
    except ValidationError as error:
        findings.extend(_model_mistakes(error, positions))
    except RecursionError:
        findings.append(_problem("PLAN-007", name, "is nested too deeply", wanted="a plan in TOML"))
    findings.extend(reference_mistakes(positions))
    findings.extend(size_mistakes(positions))
    findings = _in_order(findings, name)
    if any(one.severity is Severity.PROBLEM for one in findings):
        plan = None
    return ReadResult(plan=plan, findings=tuple(findings), text=text, positions=positions)


def _model_mistakes(error: ValidationError, positions: Positions) -> list[Finding]:
    findings: list[Finding] = []
    details: Mapping[str, Any]
    for details in error.errors(include_url=False)[: MOST_MISTAKES + 1]:
        path: Path = details["loc"]
        if not _below_broken(path, positions.broken):
            findings.append(finding_of_error(details, positions, Plan))
    return findings


def _below_broken(path: Path, broken: frozenset[Path]) -> bool:
    """True for a follow-up of a statement that is already reported: what it would have said is missing."""
    return any(path[:length] in broken for length in range(1, len(path) + 1)) or any(
        one[: len(path)] == path for one in broken
    )


def _in_order(findings: list[Finding], name: str) -> list[Finding]:
    """By line, each once, no more than a person can read."""
    unique = list(dict.fromkeys(findings))
    unique.sort(key=lambda one: one.line or 0)
    if len(unique) <= MOST_MISTAKES:
        return unique
    rest = len(unique) - MOST_MISTAKES
    more = _problem(
        "PLAN-009",
        name,
        f"has {rest} or more further mistakes that are not listed",
        wanted=f"at most {MOST_MISTAKES} at a time",
        attempt="mend these first",
    )
    return [*unique[:MOST_MISTAKES], more]


def _too_large(name: str) -> ReadResult:
    megabytes = LARGEST_FILE // 1_000_000
    return _refused("PLAN-003", name, f"is larger than {megabytes} MB", f"a plan of at most {megabytes} MB")


def _refused(code: str, name: str, text: str, wanted: str, attempt: str = "") -> ReadResult:
    finding = _problem(code, name, text, wanted=wanted, attempt=attempt)
    return ReadResult(plan=None, findings=(finding,), text="", positions=None)


def _problem(
    code: str,
    subject: str,
    text: str,
    *,
    line: int | None = None,
    found: str = "",
    wanted: str = "",
    attempt: str = "",
) -> Finding:
    return Finding(
        code=code,
        severity=Severity.PROBLEM,
        subject=subject,
        text=text,
        line=line,
        found=found,
        wanted=wanted,
        attempt=attempt,
    )
