"""Interpreted and compiled are one text, and the compiled one works wherever it may keep its code."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import tankwright
from tankwright.networks import engine
from tankwright.networks.solver import solve

from .shapes import drawn_by_lot, even_ring


@pytest.mark.parametrize("seed", range(25))
def test_interpreted_and_compiled_give_the_same(seed: int) -> None:
    network = drawn_by_lot(seed)
    slow, fast = (solve(network, compiled_loop=choice) for choice in (False, True))
    assert slow.status == fast.status
    assert slow.iterations == fast.iterations
    total = sum(map(abs, slow.outlet_flows.values())) + 1e-12
    # the compiler may contract a multiplication and an addition, so the last digits differ
    assert fast.outlet_flows == pytest.approx(slow.outlet_flows, rel=1e-9, abs=1e-12 * total)
    assert fast.pipe_flows == pytest.approx(slow.pipe_flows, rel=1e-9, abs=1e-12 * total)


def test_a_small_job_never_loads_the_compiler() -> None:
    code = (
        "import sys; from tankwright.networks.model import *; from tankwright.networks.solver import solve;"
        "n = Network(fluid=WATER_20, nodes=(Node(id='a'),), outlets=(Outlet(id='o', node='a', coefficient=1e-6),),"
        "sources=(Source(id='s', node='a', fixed_pressure=100.0),));"
        "assert solve(n).converged; assert 'numba' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


def test_a_large_job_is_worth_the_compiler() -> None:
    assert engine.compiled_is_worth_it(engine.INTERPRETED_LINKS, 1000)


RUN_COMPILED = """
import sys
sys.path.insert(0, sys.argv[1])
import tankwright
assert tankwright.__file__.startswith(sys.argv[1])
from tankwright.networks.model import *
from tankwright.networks.solver import solve
n = Network(fluid=WATER_20, nodes=(Node(id="a"),), outlets=(Outlet(id="o", node="a", coefficient=1e-6),),
            sources=(Source(id="s", node="a", fixed_pressure=100.0),))
assert abs(solve(n, compiled_loop=True).outlet_flows["o"] / 1e-5 - 1) < 1e-9
"""


def test_the_compiled_loop_works_where_its_folder_cannot_be_written(tmp_path: Path) -> None:
    """The package's own cache folder is taken by a file, so the code goes to the user's cache, or nowhere."""
    package = tmp_path / "place" / "tankwright"
    shutil.copytree(Path(tankwright.__file__).parent, package, ignore=shutil.ignore_patterns("__pycache__"))
    (package / "networks" / "__pycache__").write_text("in the way")
    user = tmp_path / "cache"
    (tmp_path / "blocked").write_text("in the way too")
    for cache in (user, tmp_path / "blocked" / "cache"):
        places = {"XDG_CACHE_HOME": str(cache), "HOME": str(cache), "PYTHONDONTWRITEBYTECODE": "1"}
        environment = {k: v for k, v in os.environ.items() if k != "NUMBA_CACHE_DIR"} | places
        script = [sys.executable, "-c", RUN_COMPILED, str(package.parent)]
        subprocess.run(script, check=True, env=environment, cwd=tmp_path)
    assert list(user.rglob("*.nbi"))


def test_a_ring_is_solved_the_same_a_second_time() -> None:
    assert solve(even_ring(9)) == solve(even_ring(9))
