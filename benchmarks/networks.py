"""How fast the flow solver is, beside EPANET's raw toolkit on the same networks in the same run.

Run: python -m benchmarks.networks. Needs the `bench` extra (EPANET 2.2, double precision handles). Both solve
from a cold start with everything parsed and ordered beforehand; EPANET stops at its default accuracy of
1e-5, ours at 1e-10. One thread. Every time is the best of several rounds, which is what the machine can do when left
alone.
"""

from __future__ import annotations

import ctypes
import importlib.util
import platform
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from benchmarks.rings import rings
from tankwright.networks import engine
from tankwright.networks.solver import CompiledNetwork, compile_network, resolve, solve, solve_many
from tankwright.verify.epanet import EPANET_FLOW_UNIT, EpanetFile, epanet_file

SIZES = (50, 500, 5000)
LARGEST_SHARE_OF_TIME = 0.2
LARGEST_DIFFERENCE = 1e-6
LARGEST_IMBALANCE = 1e-7
SCENARIO_LIMIT = 0.050


def raw_library() -> Path | None:
    """The EPANET 2.2 library for this machine, found without importing its package (which logs)."""
    package = importlib.util.find_spec("entoolkit")
    if package is None or package.origin is None:
        return None
    machine = "arm64" if platform.machine().lower() in {"arm64", "aarch64"} else "x64"
    folder = Path(package.origin).parent / "epanet" / f"{platform.system().lower()}-{machine}"
    return next(iter([*folder.glob("libepanet*"), *folder.glob("epanet*.dll")]), None)


class Epanet22:
    """The raw library of EPANET 2.2 through its own handles, nothing between."""

    def __init__(self, file: EpanetFile) -> None:
        self.library = ctypes.CDLL(str(raw_library()))
        self.handle = ctypes.c_void_p()
        self.folder = tempfile.TemporaryDirectory()
        text = Path(self.folder.name) / "network.inp"
        text.write_text(file.text)
        names = [str(text), str(text.with_suffix(".rpt")), ""]
        self.check(self.library.EN_createproject(ctypes.byref(self.handle)))
        self.check(self.library.EN_open(self.handle, *(name.encode() for name in names)))
        self.check(self.library.EN_openH(self.handle))
        self.clock = ctypes.c_long()

    @staticmethod
    def check(code: int) -> None:
        if code > 100:  # below are warnings
            raise RuntimeError(f"EPANET error {code}")

    def solve(self) -> None:
        """A cold solve: flows set back, then run."""
        self.library.EN_initH(self.handle, 10)
        self.library.EN_runH(self.handle, ctypes.byref(self.clock))

    def tighten(self) -> None:
        """Ask for a smaller last change of flow (its option 9) than the accuracy option allows."""
        self.check(self.library.EN_setoption(self.handle, 9, ctypes.c_double(1e-7)))

    def flow(self, link: str) -> float:
        index, value = ctypes.c_int(), ctypes.c_double()
        self.check(self.library.EN_getlinkindex(self.handle, link.encode(), ctypes.byref(index)))
        self.check(self.library.EN_getlinkvalue(self.handle, index, 8, ctypes.byref(value)))
        return value.value * EPANET_FLOW_UNIT


def best(job: Callable[[], object], seconds: float = 0.4) -> float:
    """Shortest time of one call, s, over rounds of enough calls to be measured."""
    job()
    start = time.perf_counter()
    job()
    once = max(time.perf_counter() - start, 1e-7)
    calls = max(1, int(0.02 / once))
    shortest = 1e9
    end = time.perf_counter() + seconds
    while time.perf_counter() < end:
        start = time.perf_counter()
        for _ in range(calls):
            job()
        shortest = min(shortest, (time.perf_counter() - start) / calls)
    return shortest


def raw_run(compiled: CompiledNetwork) -> engine.Run:
    """The arguments of one cold run of the inner loop."""
    ones = np.ones(len(compiled.outlets))
    return engine.Run.of(compiled, ones, compiled.start_potential, compiled.start_flow, 1e-10, 100)


def fresh_process() -> float:
    """Seconds from starting Python to the first answer of a 50-outlet ring, imports and all."""
    here = Path(__file__).parent.parent
    code = (
        f"import sys; sys.path.insert(0, {str(here)!r});"
        "from benchmarks.rings import rings; from tankwright.networks.solver import solve;"
        "assert solve(rings(50)).converged"
    )
    times = []
    for _ in range(5):
        start = time.perf_counter()
        subprocess.run([sys.executable, "-c", code], check=True)
        times.append(time.perf_counter() - start)
    return min(times)


def run() -> int:
    """Print the comparison; 1 if a goal was missed, else 0."""
    if raw_library() is None:
        print('networks: EPANET 2.2 is not installed; pip install ".[bench]"')
        return 1
    misses = 0
    loop = engine.compiled_loop()
    print("networks: one solve, ms            ours     EPANET 2.2  ratio   (at most 0.2)")
    for size in SIZES:
        network = rings(size)
        compiled = compile_network(network)
        run = raw_run(compiled)
        ours = best(lambda run=run: loop(*run.arguments))
        file = epanet_file(network, f"{size} outlets", name_backflow=False)
        other = Epanet22(file)
        theirs = best(other.solve)
        other.tighten()
        other.solve()
        solution = resolve(compiled)
        largest = max(abs(flow) for flow in solution.pipe_flows.values())
        difference = max(
            abs(solution.pipe_flows[name] - other.flow(link)) for name, link in file.pipe_links.items()
        )
        whole = best(lambda network=network: solve(network))
        again = best(lambda compiled=compiled: resolve(compiled))
        imbalance = solution.imbalance * 60_000
        print(
            f"  {size:>5} outlets                "
            f"{ours * 1e3:>10.4f} {theirs * 1e3:>12.4f} {ours / theirs:>7.3f}\n"
            f"        {solution.iterations} iterations; differs by {difference / largest:.1e} of the largest "
            f"flow; worst node off by {imbalance:.1e} L/min\n"
            f"        with results by name {again * 1e3:.2f} ms; ordering and all {whole * 1e3:.2f} ms"
        )
        misses += ours / theirs > LARGEST_SHARE_OF_TIME
        misses += difference / largest > LARGEST_DIFFERENCE
        misses += imbalance > LARGEST_IMBALANCE
    compiled = compile_network(rings(50))
    scales = np.random.default_rng(1).uniform(0.0, 1.0, (1000, 50))
    scenarios = best(lambda: solve_many(compiled, scales))
    print(
        f"networks: 1,000 scenarios of 50 outlets {scenarios * 1e3:.1f} ms "
        f"(at most {SCENARIO_LIMIT * 1e3:.0f})"
    )
    misses += scenarios > SCENARIO_LIMIT
    print(f"networks: fresh process to the first answer of a 50-outlet ring {fresh_process() * 1e3:.0f} ms")
    print("networks: all goals met" if not misses else f"networks: {misses} goals missed")
    return 1 if misses else 0


if __name__ == "__main__":
    sys.exit(run())
