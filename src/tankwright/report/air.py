"""The air in short, and all of it for machines."""

from __future__ import annotations

from tankwright.finding import Number
from tankwright.report.model import SummaryLine
from tankwright.report.network import flow_l_per_min, network_json, pressure_kpa
from tankwright.room.model import Room
from tankwright.systems.air_model import AirResult, AirRunResult, Scenario, SettledTaps, TapAir
from tankwright.units import convert


def summary_air(room: Room, result: AirResult) -> tuple[SummaryLine, ...]:
    """What a keeper wants to know of the air first.

    >>> summary_air(Room(title="", display="metric", spaces=(), racks=(), tanks=()), AirResult())
    (SummaryLine(text='no air is planned', numbers=()),)
    """
    if not room.airs:
        return (SummaryLine("no air is planned"),)
    lines = [SummaryLine(f"{subject} was not computed") for subject, _ in result.not_computed]
    for run in result.runs:
        lines += _run_lines(run)
    return tuple(lines)


def _run_lines(run: AirRunResult) -> list[SummaryLine]:
    fed = [tap for tap in run.taps if tap.tank is not None]
    works = "; ".join(f"pump {work.pump} works at {{p{i}}} and {{q{i}}}" for i, work in enumerate(run.pumps))
    numbers = [
        pair
        for i, work in enumerate(run.pumps)
        for pair in ((f"p{i}", Number(work.pressure, "pressure")), (f"q{i}", Number(work.flow, "air_flow")))
    ]
    guess = " (beyond its curve)" if any(work.extrapolated for work in run.pumps) else ""
    lines = [SummaryLine(f"{run.run}: {works}{guess}", tuple(numbers))]
    if fed:
        least = min(fed, key=lambda tap: tap.share or 0.0)
        turned = sum(tap.stands_open < 1.0 for tap in fed)
        stand = "{turned} of them turned back, the rest fully open" if turned else "fully open"
        lines.append(
            SummaryLine(
                f"{run.run}: {{count}} tanks' taps, {stand}; least at {least.tank}, {{flow}} of "
                f"{{wanted}} "
                "wanted; taps open to the room take {spare}",
                (
                    ("count", Number(len(fed), "number")),
                    ("flow", Number(least.flow, "air_flow")),
                    ("wanted", Number(least.wanted or 0.0, "air_flow")),
                    ("spare", Number(run.spare_flow, "air_flow")),
                    *([("turned", Number(turned, "number"))] if turned else []),
                ),
            )
        )
    if run.settled is not None and run.more_taps is not None:
        lines.append(
            SummaryLine(
                f"{run.run}: with spare taps shut and each tap set to its target the pump works at {{p}}; "
                "{bleed} to be let off; {more} more average taps can be carried",
                (
                    ("p", Number(run.settled.pump_pressure, "pressure")),
                    ("bleed", Number(run.settled.bleed, "air_flow")),
                    ("more", Number(run.more_taps, "number")),
                ),
            )
        )
    back = [one for one in run.run_back if one.certain]
    if back:
        lines.append(
            SummaryLine(
                f"{run.run}: when the air stops {{volume}} can run back through {{count}} tubes",
                (
                    ("volume", Number(sum(one.volume for one in back), "volume")),
                    ("count", Number(len(back), "number")),
                ),
            )
        )
    return lines


def json_air(room: Room, result: AirResult) -> dict[str, object]:
    """Every number of the air, units in the key names, with the networks as solved."""
    return {
        "runs": [_run_json(room, run) for run in result.runs],
        "tanks": {
            tank.tank: {
                "flow_l_per_min": flow_l_per_min(tank.flow),
                "wanted_l_per_min": flow_l_per_min(tank.wanted),
                "share_of_wanted": tank.share,
                "taps": tank.taps,
            }
            for tank in result.tanks
        },
        "tanks_without_air": list(result.without_air),
        "not_computed": [{"subject": subject, "reason": reason} for subject, reason in result.not_computed],
        "rooms": [space.id for space in room.spaces],
    }


def _run_json(room: Room, run: AirRunResult) -> dict[str, object]:
    return {
        "id": run.run,
        "total_flow_l_per_min": flow_l_per_min(run.total_flow),
        "spare_flow_l_per_min": flow_l_per_min(run.spare_flow),
        "relief_flow_l_per_min": flow_l_per_min(run.relief_flow),
        "bleed_needed_l_per_min": flow_l_per_min(run.bleed),
        "limit_pressure_kpa": pressure_kpa(run.limit_pressure),
        "lead_loss_kpa": pressure_kpa(run.losses.lead),
        "header_loss_kpa": pressure_kpa(run.losses.header),
        "outlet_loss_kpa": pressure_kpa(run.losses.outlet),
        "fastest_m_per_s": run.losses.fastest,
        "fastest_pipe": run.losses.fastest_pipe,
        "more_taps": run.more_taps,
        "more_taps_as_open_as_now": run.more_taps_unset,
        "pumps": [
            {
                "id": work.pump,
                "pressure_kpa": pressure_kpa(work.pressure),
                "flow_l_per_min": flow_l_per_min(work.flow),
                "extrapolated": work.extrapolated,
                "lowest_allowed_kpa": pressure_kpa(work.lowest),
                "highest_allowed_kpa": pressure_kpa(work.highest),
            }
            for work in run.pumps
        ],
        "taps": [_tap_json(tap) for tap in run.taps],
        "shut_taps": [
            {"id": tap.id, "tank": tap.tank}
            for laid in room.airs
            if laid.id == run.run
            for tap in laid.taps
            if tap.tank is not None and not tap.open
        ],
        "set_taps": _settled_json(run.settled),
        "scenarios": [_scenario_json(case) for case in run.scenarios],
        "run_back": [
            {
                "tap": one.tap,
                "tank": one.tank,
                "certain": one.certain,
                "tap_below_water_m": one.head,
                "climb_m": one.climb,
                "flow_l_per_min": flow_l_per_min(one.flow),
                "stops_at_height_m": one.stops_at,
                "volume_l": convert(one.volume, "m**3", "L"),
                "time_min": None if one.time is None else convert(one.time, "s", "min"),
            }
            for one in run.run_back
        ],
        "network": network_json(run.network, run.solution),
    }


def _tap_json(tap: TapAir) -> dict[str, object]:
    return {
        "id": tap.tap,
        "node": tap.node,
        "tank": tap.tank,
        "reached": tap.reached,
        "flow_l_per_min": flow_l_per_min(tap.flow),
        "wanted_l_per_min": flow_l_per_min(tap.wanted),
        "share_of_wanted": tap.share,
        "ring_pressure_kpa": pressure_kpa(tap.ring_pressure),
        "water_over_diffuser_kpa": pressure_kpa(tap.depth_pressure),
        "needed_ring_pressure_kpa": pressure_kpa(tap.needed_pressure),
        "tap_loss_kpa": pressure_kpa(tap.tap_loss),
        "tube_loss_kpa": pressure_kpa(tap.tube_loss),
        "check_valve_loss_kpa": pressure_kpa(tap.valve_loss),
        "diffuser_loss_kpa": pressure_kpa(tap.diffuser_loss),
        "stands_open_share": tap.stands_open,
        "setting_open_share": tap.opening,
        "flow_when_set_l_per_min": flow_l_per_min(tap.set_flow),
    }


def _settled_json(settled: SettledTaps | None) -> dict[str, object] | None:
    if settled is None:
        return None
    return {
        "pump_pressure_kpa": pressure_kpa(settled.pump_pressure),
        "total_flow_l_per_min": flow_l_per_min(settled.total_flow),
        "bleed_l_per_min": flow_l_per_min(settled.bleed),
        "dead_end_pressure_kpa": pressure_kpa(settled.dead_end_pressure),
        "network": network_json(settled.network, settled.solution),
    }


def _scenario_json(case: Scenario) -> dict[str, object]:
    return {
        "name": case.name,
        "pump_pressure_kpa": pressure_kpa(case.pump_pressure),
        "total_flow_l_per_min": flow_l_per_min(case.total_flow),
        "least_share_of_wanted": case.least_share,
        "least_tank": case.least_tank,
        "tanks_below_half": list(case.below_half),
        "tanks_without_air": list(case.starved),
    }
