"""The reference files of a whole room: one EPANET file an air or feed network, one SWMM file a drain and case."""

from __future__ import annotations

import re
from dataclasses import dataclass

from tankwright.finding import Finding
from tankwright.networks.model import Network
from tankwright.networks.solution import Solution
from tankwright.room.model import DrainRun
from tankwright.study import Study
from tankwright.systems.drain_model import DrainCase
from tankwright.verify.epanet import epanet_file
from tankwright.verify.run_epanet import Comparison, compare_with_epanet
from tankwright.verify.run_swmm import DrainComparison, compare_with_swmm
from tankwright.verify.swmm import swmm_file


@dataclass(frozen=True, slots=True, kw_only=True)
class ReferenceFile:
    """One input file for a reference solver: its name, text, and what it cannot hold, in sentences."""

    name: str
    program: str
    text: str
    left_out: tuple[str, ...]
    network: Network | None = None
    solution: Solution | None = None
    run: DrainRun | None = None
    case: DrainCase | None = None

    def compare(self) -> Comparison | DrainComparison | Finding:
        """Run the reference solver on this file and take the differences; a finding when it cannot run."""
        if self.network is not None and self.solution is not None:
            return compare_with_epanet(self.network, self.solution)
        if self.run is None or self.case is None:
            raise ValueError("a reference file is a network or a drain")
        return compare_with_swmm(self.run, self.case)


def file_name(*parts: str) -> str:
    """A file name any system takes.

    >>> file_name("drain", "hose left in B6")
    'drain_hose_left_in_B6'
    """
    return "_".join(re.sub(r"[^A-Za-z0-9.-]+", "_", part).strip("_") or "x" for part in parts)[:100]


def reference_files(study: Study) -> tuple[ReferenceFile, ...]:
    """Every network of the room as an input file."""
    files: list[ReferenceFile] = []
    networks: list[tuple[str, Network, Solution]] = []
    if study.air is not None:
        networks += [(f"air {run.run}", run.network, run.solution) for run in study.air.runs]
    if study.feed is not None:
        networks += [
            (f"feed {run.run}", run.network, run.solution)
            for run in study.feed.runs
            if run.network is not None and run.solution is not None
        ]
    for title, network, solution in networks:
        written = epanet_file(network, title)
        files.append(
            ReferenceFile(
                name=file_name(*title.split(" ", 1)) + ".inp",
                program="EPANET",
                text=written.text,
                left_out=written.left_out,
                network=network,
                solution=solution,
            )
        )
    places = {run.id: run for run in study.room.drains}
    for result in study.drain.runs if study.drain is not None else ():
        for case in result.cases:
            drain = swmm_file(places[result.run], case)
            files.append(
                ReferenceFile(
                    name=file_name("drain", result.run, case.name) + ".inp",
                    program="SWMM",
                    text=drain.text,
                    left_out=drain.left_out,
                    run=places[result.run],
                    case=case,
                )
            )
    return tuple(files)
