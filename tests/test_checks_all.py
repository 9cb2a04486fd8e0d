"""Every code of a finding is one thing's alone, is explained, and is judged worst first."""

from __future__ import annotations

import ast
import importlib.util
import re
from collections import defaultdict
from pathlib import Path

import pytest

from tankwright.checks.all import every_system_is_in_the_plan, judge, worst_first
from tankwright.display import render_finding
from tankwright.finding import Finding, Severity
from tankwright.room.model import Room
from tankwright.study import work_out
from tankwright.workspace.opened import open_plan

ROOT = Path(__file__).parents[1]
SOURCE = ROOT / "src" / "tankwright"
EXAMPLES = sorted((ROOT / "examples").glob("*.toml"))
CODE = re.compile(r"[A-Z]+-\d{2,3}")
_spec = importlib.util.spec_from_file_location("docs_generate_findings", ROOT / "docs" / "generate.py")
assert _spec is not None
assert _spec.loader is not None
generate = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(generate)


def codes(file: Path) -> list[str]:
    """Every code that stands as a text in a source file."""
    return [
        node.value
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8")))
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and CODE.fullmatch(node.value)
    ]


def documented() -> list[str]:
    page = (ROOT / "docs/reference/findings.md").read_text(encoding="utf-8")
    return re.findall(r"^\| ([A-Z]+-\d{2,3}) \|", page, flags=re.MULTILINE)


def test_every_code_of_the_program_is_explained_once_and_no_other() -> None:
    used = {
        code
        for file in SOURCE.rglob("*.py")
        if file.parent.name != "plan" and file.name not in ("units.py", "units_text.py")
        for code in codes(file)
    }
    assert len(documented()) == len(set(documented()))
    assert {code for code in used if not code.startswith("PLAN-")} == set(documented())


def test_every_code_has_a_sentence() -> None:
    explained = {**generate.judged(), **generate.laid_out(), **generate.ELSEWHERE}
    for code, sentence in explained.items():
        assert len(sentence) >= len("No room."), code
        assert sentence.endswith("."), (code, sentence)


def test_a_code_of_a_check_belongs_to_one_file_named_like_its_system() -> None:
    homes: dict[str, set[str]] = defaultdict(set)
    for file in (SOURCE / "checks").glob("*.py"):
        for code in codes(file):
            homes[code].add(file.stem)
    for code, files in homes.items():
        assert len(files) == 1, (code, files)
        system = code.split("-")[0].lower()
        assert next(iter(files)).split("_")[0] == ("all" if system == "study" else system)


def test_the_laying_out_gives_each_code_to_one_kind_of_mistake() -> None:
    found = codes(SOURCE / "room" / "mistakes.py")
    assert len(found) == len(set(found))
    assert all(int(code.split("-")[1]) >= 100 for code in found)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_finding_of_an_example_is_whole(path: Path) -> None:
    opened = open_plan(path)
    assert opened.room is not None
    for finding in opened.findings:
        assert finding.code in documented()
        assert finding.subject
        if finding.severity in (Severity.PROBLEM, Severity.WARNING):
            assert finding.reason, finding.code
            assert finding.remedy, finding.code
        for display in ("metric", "US"):
            shown = render_finding(finding, path.name, display)
            assert "{" not in shown, shown
            assert not re.search(r"\bnan\b|\binf\b|None", shown), shown


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_no_finding_is_said_twice(path: Path) -> None:
    said = [(item.code, item.subject, item.text, item.numbers) for item in open_plan(path).findings]
    assert len(said) == len(set(said))


def test_findings_are_sorted_by_severity_and_else_left_in_their_order() -> None:
    made = tuple(
        Finding(code=f"A-0{number}", severity=severity, subject="x", text="")
        for number, severity in enumerate(
            (Severity.NOTE, Severity.NOT_COMPUTED, Severity.PROBLEM, Severity.WARNING, Severity.PROBLEM)
        )
    )
    assert [item.code for item in worst_first(made)] == ["A-02", "A-04", "A-03", "A-00", "A-01"]


def test_a_system_that_was_not_run_is_not_judged() -> None:
    room = open_plan(EXAMPLES[0]).room
    assert room is not None
    found = judge(work_out(room, frozenset({"air"})))
    assert found
    assert {item.code.split("-")[0] for item in found} == {"AIR"}


def test_a_room_with_tanks_and_no_air_feed_or_drain_says_so() -> None:
    room = open_plan(EXAMPLES[0]).room
    assert room is not None
    bare = Room(title="", display="metric", spaces=room.spaces, racks=room.racks, tanks=room.tanks)
    said = list(every_system_is_in_the_plan(work_out(bare)))
    assert [(item.subject, item.severity) for item in said] == [
        (system, Severity.NOT_COMPUTED) for system in ("air", "feed", "drain")
    ]
    assert list(every_system_is_in_the_plan(work_out(room))) == []
    assert list(every_system_is_in_the_plan(work_out(bare, frozenset({"load"})))) == []


def test_found_wanted_and_try_are_shown_when_there_are_any() -> None:
    finding = Finding(
        code="LAYOUT-118", severity=Severity.PROBLEM, subject="drain", text="names a pipe that is not in the table",
        found='"50 m"', wanted="a size and a standard", attempt='"50 mm EN 1329"',
    )  # fmt: skip
    shown = render_finding(finding, "cellar.toml")
    for part in ('found     "50 m"', "wanted    a size and a standard", 'try       "50 mm EN 1329"'):
        assert part in shown
