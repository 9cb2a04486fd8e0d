"""What ARCHITECTURE.md promises of the source as a whole, read off the source."""

from __future__ import annotations

import ast
import re
import tomllib
from pathlib import Path

import pytest

from tankwright.catalogue.assumptions import ASSUMPTIONS

ROOT = Path(__file__).parent.parent
PACKAGE = ROOT / "src" / "tankwright"
SOURCES = {path.relative_to(PACKAGE).as_posix(): path.read_text("utf-8") for path in PACKAGE.rglob("*.py")}
TREES = {name: ast.parse(text) for name, text in SOURCES.items()}

PURE = (
    "physics/",
    "networks/",
    "thermal/",
    "room/",
    "systems/",
    "checks/",
    "faults/",
    "takeoff/",
    "building/",
    "arranging/",
    "husbandry/",
    "study.py",
    "sensitivity.py",
    "year.py",
)
IMPURE_MODULES = frozenset({
    "datetime", "glob", "io", "logging", "os", "pathlib", "random", "secrets", "shutil", "socket", "subprocess",
    "sys", "tempfile", "time", "urllib", "uuid",
})  # fmt: skip
IMPURE_CALLS = frozenset({"open", "print", "input", "exec", "eval"})
# The compiled loop lives in a cache on the disk; docs/decisions/0004 says why.
# A sweep over faults spreads them over processes, and a stop must end those; docs/decisions/0017.
ALLOWED = {"networks/engine.py", "faults/sweep.py"}
# A calendar reckons with days; which one it is today is handed in, and a test looks that nobody asks the clock.
WITH_DAYS = ("building/", "husbandry/")
LONGEST = 430  # "about 400": what is longer has a second subject in it


def _imported(tree: ast.Module) -> set[str]:
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found |= {name.name.split(".")[0] for name in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module.split(".")[0])
    return found


def _called(tree: ast.Module) -> set[str]:
    return {
        node.func.id
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    }


@pytest.mark.parametrize("name", sorted(name for name in SOURCES if name.startswith(PURE)))
def test_what_computes_reads_no_file_clock_or_chance(name: str) -> None:
    if name not in ALLOWED:
        with_days = (
            {"datetime", "io", "urllib"} if name.startswith(WITH_DAYS) else set()
        )  # tables, quoted names
        assert not _imported(TREES[name]) & (IMPURE_MODULES - with_days)
    assert not _called(TREES[name]) & IMPURE_CALLS


@pytest.mark.parametrize("name", sorted(name for name in SOURCES if name.startswith(WITH_DAYS)))
def test_a_calendar_is_handed_today(name: str) -> None:
    asked = {
        node.func.attr
        for node in ast.walk(TREES[name])
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)
    }
    assert not asked & {"now", "today", "utcnow"}


@pytest.mark.parametrize("name", sorted(name for name in SOURCES if not name.startswith("cli/")))
def test_nothing_below_the_command_line_prints(name: str) -> None:
    assert "print" not in _called(TREES[name])


@pytest.mark.parametrize("key", sorted(ASSUMPTIONS))
def test_every_assumption_is_taken_somewhere(key: str) -> None:
    takers = [name for name, text in SOURCES.items() if f'"{key}"' in text]
    takers = [name for name in takers if not name.startswith("catalogue/assumptions")]
    assert takers, "a default nobody takes would be listed for nothing"


@pytest.mark.parametrize("name", sorted(SOURCES))
def test_a_file_has_one_subject(name: str) -> None:
    assert TREES[name].body == [] or ast.get_docstring(TREES[name]), "the first line says what it is about"
    assert SOURCES[name].count("\n") <= LONGEST


def _public(name: str) -> list[ast.FunctionDef]:
    return [
        node
        for node in TREES[name].body
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")
    ]


@pytest.mark.parametrize("name", sorted(name for name in SOURCES if not name.startswith("plan/models")))
def test_every_public_function_says_what_it_gives(name: str) -> None:
    assert [node.name for node in _public(name) if not ast.get_docstring(node)] == []


@pytest.mark.parametrize("name", sorted(name for name in SOURCES if name.startswith("physics/")))
def test_every_public_physics_function_names_its_source_and_shows_an_example(name: str) -> None:
    for node in _public(name):
        if node.name != "require":  # refuses, computes nothing
            written = ast.get_docstring(node) or ""
            assert "Source: " in written, node.name
            assert ">>>" in written, node.name


ENTRIES = [
    (name, node)
    for name in sorted(SOURCES)
    for node in _public(name)
    if name in {"networks/solver.py", "room/layout.py", "study.py"}
    or (node.name.startswith("solve_") and name == f"systems/{node.name[6:]}.py" and "network" not in name)
]


@pytest.mark.parametrize(("name", "node"), ENTRIES, ids=[f"{name}:{node.name}" for name, node in ENTRIES])
def test_an_entry_point_shows_how_it_is_called(name: str, node: ast.FunctionDef) -> None:
    assert ">>>" in (ast.get_docstring(node) or "") + (ast.get_docstring(TREES[name]) or "")


@pytest.mark.parametrize(
    "path", sorted((ROOT / "src").rglob("*.py")) + sorted((ROOT / "tests").rglob("*.py")), ids=str
)
def test_a_rule_is_set_aside_only_with_its_reason(path: Path) -> None:
    for number, line in enumerate(path.read_text("utf-8").splitlines(), 1):
        if re.search(r"#\s*noqa", line):
            assert re.search(r"#\s*noqa: [A-Z0-9, ]+ - \w", line), f"{path.name}:{number}"


SHARED = {
    "run_network",
    "feed_time",
    "blending",
}  # piping as the solver takes it, the programs' clock, waters poured together


@pytest.mark.parametrize("name", sorted(name for name in SOURCES if name.startswith("systems/")))
def test_a_file_of_one_system_imports_none_of_another(name: str) -> None:
    own = Path(name).stem.split("_")[0]
    others = {
        node.module.split(".")[2]
        for node in ast.walk(TREES[name])
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("tankwright.systems.")
    } - SHARED
    assert {other.split("_")[0] for other in others} <= {own}


def test_every_data_file_of_the_package_is_packed() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    patterns = project["tool"]["setuptools"]["package-data"]["tankwright"]
    packed = {path for pattern in patterns for path in PACKAGE.glob(pattern)}
    data = {
        path
        for path in PACKAGE.rglob("*")
        if path.is_file() and path.suffix not in {".py", ".pyc", ".nbi", ".nbc"}
    }
    assert data <= packed
    assert {path.parent.relative_to(PACKAGE).as_posix() for path in PACKAGE.rglob("*.py")} == {
        path.parent.relative_to(PACKAGE).as_posix() for path in PACKAGE.rglob("__init__.py")
    }


LOADED_FOR_OTHERS = {
    "psychrolib": "by physics/moist_air.py, as a copy of its own",
    "python-multipart": "by starlette, where a form comes in",
    "websockets": "by uvicorn, behind the socket",
}


@pytest.mark.parametrize(
    "name", tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]["dependencies"]
)
def test_what_is_installed_to_run_is_imported_to_run(name: str) -> None:
    name = re.split(r"[<>=!~\[]", name)[0]
    imported = {
        alias.split(".")[0]
        for tree in TREES.values()
        for node in ast.walk(tree)
        for alias in (
            [one.name for one in node.names] if isinstance(node, ast.Import)
            else [node.module or ""] if isinstance(node, ast.ImportFrom) and not node.level
            else []
        )
    }  # fmt: skip
    assert (name in imported) != (name in LOADED_FOR_OTHERS)
