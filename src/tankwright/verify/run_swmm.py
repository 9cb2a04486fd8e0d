"""SWMM run on a drain of ours, and the differences. Needs the `verify` extra."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from tankwright.finding import Finding, Severity
from tankwright.room.model import DrainRun
from tankwright.systems.drain import DrainCase
from tankwright.units import CubicMetrePerSecond, Metre
from tankwright.verify.swmm import MINUTES, swmm_file

OUR_CODE = "VERIFY-02"


@dataclass(frozen=True, slots=True, kw_only=True)
class SwmmRun:
    """What SWMM came to at the end of its run, by the names in the file."""

    link_flow: Mapping[str, CubicMetrePerSecond]
    link_depth: Mapping[str, Metre]
    node_level: Mapping[str, Metre]
    version: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DrainComparison:
    """Ours beside SWMM's: the largest differences over all segments and nodes.

    A depth is the mean of a segment's two ends, as SWMM has it, no more than the bore.
    """

    run: str
    case: str
    segments: int
    flow_difference: CubicMetrePerSecond
    depth_difference: Metre
    depth_at: str
    level_difference: Metre
    level_at: str
    version: str


def run_swmm(text: str, folder: Path | None = None) -> SwmmRun | Finding:
    """Run SWMM on the text of an input file; files go to `folder`, or to one that is removed afterwards.

    A finding instead when SWMM is not installed or refuses the file.
    """
    try:
        from swmm.toolkit import shared_enum, solver  # noqa: PLC0415 - an optional extra
    except ImportError as error:
        return _missing(f"SWMM is not installed here ({error.name or error})")
    if folder is None:
        with tempfile.TemporaryDirectory() as made:
            return run_swmm(text, Path(made))
    source = folder / "drain.inp"
    source.write_text(text, encoding="ascii")
    try:
        solver.swmm_open(str(source), str(folder / "drain.rpt"), str(folder / "drain.out"))
        try:
            solver.swmm_start(False)
            for _ in range(MINUTES - 1):
                solver.swmm_stride(60)
            links = range(solver.project_get_count(shared_enum.ObjectType.LINK.value))
            nodes = range(solver.project_get_count(shared_enum.ObjectType.NODE.value))
            link_names = [solver.project_get_id(shared_enum.ObjectType.LINK.value, i) for i in links]
            node_names = [solver.project_get_id(shared_enum.ObjectType.NODE.value, i) for i in nodes]
            flow, depth = shared_enum.LinkResult.FLOW.value, shared_enum.LinkResult.DEPTH.value
            head = shared_enum.NodeResult.HEAD.value
            found = SwmmRun(
                link_flow={link_names[i]: solver.link_get_result(i, flow) / 1e3 for i in links},
                link_depth={link_names[i]: solver.link_get_result(i, depth) for i in links},
                node_level={node_names[i]: solver.node_get_result(i, head) for i in nodes},
                version=str(solver.swmm_get_version()),
            )
            solver.swmm_end()
        finally:
            solver.swmm_close()
    except Exception as error:
        return _missing(f"SWMM refused the drain: {error}")
    return found


def compare_with_swmm(
    run: DrainRun, case: DrainCase, *, outfall_height: float | None = None
) -> DrainComparison | Finding:
    """Run SWMM on one run under one case and find the largest differences.

    Where a run is drowned ours stands some millimetres higher: it takes the end of a full pipe as drowned to
    the crown, SWMM as drawn down.
    """
    file = swmm_file(run, case, outfall_height=outfall_height)
    theirs = run_swmm(file.text)
    if isinstance(theirs, Finding):
        return theirs
    flow_difference, depth_worst, level_worst = 0.0, (0.0, ""), (0.0, "")
    for index, conduit in file.conduits:
        ours = case.segments[index]
        flow_difference = max(flow_difference, abs(ours.flow - theirs.link_flow[conduit]))
        ends = (ours.level_start - ours.invert_start, ours.level_end - ours.invert_end)
        mean = sum(min(max(end, 0.0), run.bore.value) for end in ends) / 2.0
        depth_worst = max(depth_worst, (abs(mean - theirs.link_depth[conduit]), ours.start))
    names = dict(file.nodes)
    for segment in case.segments:
        gap = abs(segment.level_start - theirs.node_level[names[segment.start]])
        level_worst = max(level_worst, (gap, segment.start))
    return DrainComparison(
        run=run.id,
        case=case.name,
        segments=len(file.conduits),
        flow_difference=flow_difference,
        depth_difference=depth_worst[0],
        depth_at=depth_worst[1],
        level_difference=level_worst[0],
        level_at=level_worst[1],
        version=theirs.version,
    )


def _missing(text: str) -> Finding:
    return Finding(
        code=OUR_CODE,
        severity=Severity.NOT_COMPUTED,
        subject="verify drain",
        text=text,
        reason="the comparison with SWMM was not made; nothing may be concluded from its absence",
        remedy="pip install swmm-toolkit, or open the written file in SWMM by hand",
    )
