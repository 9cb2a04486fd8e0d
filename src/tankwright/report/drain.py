"""The drain in short, and in full as data."""

from __future__ import annotations

from tankwright.finding import Number
from tankwright.report.model import SummaryLine
from tankwright.room.model import Room
from tankwright.systems.drain import (
    DrainCase,
    DrainResult,
    DrainRunResult,
    FirstSpill,
    SegmentState,
    TankDrain,
)
from tankwright.units import convert


def summary_drain(_room: Room, result: DrainResult) -> tuple[SummaryLine, ...]:
    """Three to six lines: what comes, how full the runs stand, the first spill, the blocked overflow."""
    lines: list[SummaryLine] = []
    connected = [one for one in result.tanks if one.drain is not None]
    feed = sum(one.inflow for one in connected)
    lines.append(
        SummaryLine(
            "{tanks} tanks overflow into {runs} drain runs, {flow} with the feed at full",
            (
                ("tanks", Number(float(len(connected)), "number")),
                ("runs", Number(float(len(result.runs)), "number")),
                ("flow", Number(feed, "flow")),
            ),
        )
    )
    fullest = sorted(result.runs, key=lambda run: -max(case.greatest_share for case in run.cases))
    lines += [_run_line(run) for run in fullest[:2]]
    spills = [(run.first_spill, run) for run in result.runs if run.first_spill is not None]
    if spills:
        spill, run = min(spills, key=lambda pair: pair[0].flow)
        lines.append(
            SummaryLine(
                f"the first tank to spill is {spill.spills} ({run.run}), at {{flow}} into {spill.dump_in}",
                (("flow", Number(spill.flow, "flow")),),
            )
        )
    timed = [one for one in connected if one.seconds_to_spill is not None]
    if timed:
        worst = min(timed, key=lambda one: one.seconds_to_spill or 0.0)
        lines.append(
            SummaryLine(
                f"with its overflow blocked, {worst.tank} runs over first: {{time}} of feed, {{volume}}",
                (
                    ("time", Number(worst.seconds_to_spill or 0.0, "duration")),
                    ("volume", Number(worst.freeboard_volume, "volume")),
                ),
            )
        )
    if result.not_computed:
        lines.append(
            SummaryLine(
                "{count} parts of the drain were not worked out",
                (("count", Number(float(len(result.not_computed)), "number")),),
            )
        )
    return tuple(lines)


def _run_line(run: DrainRunResult) -> SummaryLine:
    worst = max(run.cases, key=lambda case: (case.greatest_share, case.surcharge, case.outfall_flow))
    numbers = [
        ("feed", Number(run.cases[0].greatest_share, "share")),
        ("share", Number(worst.greatest_share, "share")),
    ]
    if worst is run.cases[0]:
        return SummaryLine(f"{run.run} stands {{feed}} full with the feed at full", (numbers[0],))
    return SummaryLine(
        f"{run.run} stands {{feed}} full with the feed at full, {{share}} at worst ({worst.name})",
        tuple(numbers),
    )


def json_drain(_room: Room, result: DrainResult) -> dict[str, object]:
    """Everything, units in the key names. Null means not computed or not applicable."""
    return {
        "tanks": {one.tank: _tank(one) for one in result.tanks},
        "runs": {run.run: _run(run) for run in result.runs},
        "outfalls": {
            one.outfall: {
                "feed_flow_l_per_min": _flow(one.feed_flow),
                "worst_flow_l_per_min": _flow(one.worst_flow),
                "worst_case": one.worst_case,
                "capacity_l_per_min": _flow(one.capacity),
            }
            for one in result.outfalls
        },
        "not_computed": [{"subject": subject, "reason": reason} for subject, reason in result.not_computed],
    }


def _flow(value: float | None) -> float | None:
    return None if value is None else convert(value, "m**3/s", "L/min")


def _mm(value: float | None) -> float | None:
    return None if value is None else convert(value, "m", "mm")


def _litres(value: float | None) -> float | None:
    return None if value is None else convert(value, "m**3", "L")


def _minutes(value: float | None) -> float | None:
    return None if value is None else convert(value, "s", "min")


def _tank(one: TankDrain) -> dict[str, object]:
    return {
        "drain": one.drain,
        "node": one.node,
        "inflow_l_per_min": _flow(one.inflow),
        "head_over_lip_mm": _mm(one.head),
        "freeboard_mm": _mm(one.freeboard),
        "freeboard_volume_l": _litres(one.freeboard_volume),
        "mouth_flow_l_per_min": _flow(one.mouth_flow),
        "hose_flow_l_per_min": _flow(one.hose_flow),
        "capacity_l_per_min": _flow(one.capacity),
        "self_venting_l_per_min": _flow(one.self_venting),
        "hose_froude": one.hose_froude,
        "lip_above_hose_end_mm": _mm(one.fall),
        "bulkhead_above_hose_end_mm": _mm(one.bulkhead_fall),
        "blocked_time_to_spill_min": _minutes(one.seconds_to_spill),
        "fill_between_looks_l": _litres(one.fill_between_looks),
        "fill_in_absence_l": _litres(one.fill_in_absence),
        "second_overflow_l_per_min": _flow(one.second_flow),
        "second_way_out_holds": one.second_holds,
        "spills_before_look": one.spills_before_look,
        "spills_in_absence": one.spills_in_absence,
        "spill_run": one.spill_run,
        "blocked_time_to_spill_by_program_min": _minutes(one.seconds_to_spill_by_program),
    }


def _run(run: DrainRunResult) -> dict[str, object]:
    return {
        "tanks": list(run.tanks),
        "length_m": run.length,
        "least_slope": run.least_slope,
        "half_full_flow_l_per_min": _flow(run.half_full_flow),
        "half_full_flow_colebrook_l_per_min": _flow(run.half_full_flow_colebrook),
        "full_flow_l_per_min": _flow(run.full_flow),
        "first_spill": _spill(run.first_spill),
        "first_spill_evenly": _spill(run.first_spill_evenly),
        "cases": [_case(case) for case in run.cases],
    }


def _spill(spill: FirstSpill | None) -> dict[str, object] | None:
    if spill is None:
        return None
    return {
        "dump_in": spill.dump_in or None,
        "flow_l_per_min": _flow(spill.flow),
        "spills": spill.spills,
        "by_drain": spill.by_drain,
    }


def _case(case: DrainCase) -> dict[str, object]:
    return {
        "name": case.name,
        "kind": case.kind,
        "outfall_flow_l_per_min": _flow(case.outfall_flow),
        "reaching_l_per_min": {tank: _flow(flow) for tank, flow in case.reaching},
        "spills_l_per_min": {spill.tank: _flow(spill.flow) for spill in case.spills},
        "emptying": {
            one.tank: {
                "peak_l_per_min": _flow(one.peak),
                "volume_l": _litres(one.volume),
                "time_min": _minutes(one.seconds),
            }
            for one in case.emptying
        },
        "surcharge_mm": _mm(case.surcharge),
        "surcharge_node": case.surcharge_node or None,
        "backed_up": list(case.backed_up),
        "settled": case.settled,
        "segments": [_segment(one) for one in case.segments],
    }


def _segment(one: SegmentState) -> dict[str, object]:
    return {
        "start": one.start,
        "end": one.end,
        "length_m": one.length,
        "slope": one.slope,
        "invert_start_m": one.invert_start,
        "invert_end_m": one.invert_end,
        "flow_l_per_min": _flow(one.flow),
        "full_flow_l_per_min": _flow(one.full_flow),
        "greatest_flow_l_per_min": _flow(one.greatest_flow),
        "even_depth_mm": _mm(one.even_depth),
        "even_depth_colebrook_mm": _mm(one.colebrook_depth),
        "critical_depth_mm": _mm(one.critical_depth),
        "depth_mm": _mm(one.depth),
        "depth_share": one.share,
        "velocity_m_per_s": one.velocity,
        "froude": one.froude,
        "level_start_m": one.level_start,
        "level_end_m": one.level_end,
        "surcharged": one.surcharged,
    }
