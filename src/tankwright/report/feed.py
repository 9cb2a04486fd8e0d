"""The feed in short, and all of it for machines."""

from __future__ import annotations

from tankwright.finding import Number
from tankwright.report.model import SummaryLine
from tankwright.report.network import flow_l_per_min, network_json, pressure_kpa
from tankwright.room.model import Room
from tankwright.systems.feed_model import FeedResult, FeedRunResult, TankFeed
from tankwright.units import convert

NO_PRESSURE = 100.0
"""Pa, a centimetre of water: a manifold that begins with less is fed by gravity, level with its source."""


def summary_feed(room: Room, result: FeedResult) -> tuple[SummaryLine, ...]:
    """What a keeper wants to know of the feed first.

    >>> summary_feed(Room(title="", display="metric", spaces=(), racks=(), tanks=()), FeedResult())
    (SummaryLine(text='no feed is planned', numbers=()),)
    """
    if not room.feeds:
        return (SummaryLine("no feed is planned"),)
    lines = [SummaryLine(f"{subject} was not computed") for subject, _ in result.not_computed]
    for run in result.runs:
        held = "held by its regulator" if run.regulated else "with no regulator at work"
        where = f"at {{pressure}} in the manifold, {held}"
        heads = [outlet.pressure for outlet in run.outlets if outlet.pressure is not None]
        if abs(run.inlet_pressure) < NO_PRESSURE and heads:
            where = "by gravity, at {least} to {most} before the outlets"
        even = "; emission uniformity {even}" if run.uniformity is not None else ""
        lines.append(
            SummaryLine(
                f"{run.run}: {{count}} outlets take {{flow}} {where}{even}",
                (
                    ("count", Number(len(run.outlets), "number")),
                    ("flow", Number(run.total_flow, "flow")),
                    ("pressure", Number(run.inlet_pressure, "pressure")),
                    ("least", Number(min(heads, default=0.0), "pressure")),
                    ("most", Number(max(heads, default=0.0), "pressure")),
                    ("even", Number(run.uniformity or 0.0, "share")),
                ),
            )
        )
        if run.seconds_a_week > 0.0:
            lines.append(
                SummaryLine(
                    f"{run.run}: runs {{time}} a day, {{daily}} a day for all its tanks together",
                    (
                        ("time", Number(run.seconds_a_week / 7.0, "duration")),
                        ("daily", Number(run.volume_a_day, "volume")),
                    ),
                )
            )
    told = [tank for tank in result.tanks if tank.replaced_a_week]
    if told:
        least = min(told, key=lambda tank: tank.replaced_a_week or 0.0)
        most = max(told, key=lambda tank: tank.replaced_a_week or 0.0)
        lines.append(
            SummaryLine(
                f"water truly new after a week: {{least}} in {least.tank} to {{most}} in {most.tank}",
                (
                    ("least", Number(least.replaced_a_week or 0.0, "share")),
                    ("most", Number(most.replaced_a_week or 0.0, "share")),
                ),
            )
        )
    return tuple(lines)


def json_feed(room: Room, result: FeedResult) -> dict[str, object]:
    """Every number of the feed, units in the key names, with the networks as solved."""
    return {
        "runs": [_run_json(run) for run in result.runs],
        "tanks": {tank.tank: _tank_json(tank) for tank in result.tanks},
        "sources": [
            {
                "id": peak.source,
                "peak_flow_l_per_min": flow_l_per_min(peak.flow),
                "most_flow_l_per_min": flow_l_per_min(peak.most),
                "volume_a_day_l": _litres(peak.volume_a_day),
                "volume_a_week_l": _litres(peak.volume_a_week),
                "stored_l": _litres(peak.stored),
            }
            for peak in result.peaks
        ],
        "tanks_without_feed": list(result.without_feed),
        "not_computed": [{"subject": subject, "reason": reason} for subject, reason in result.not_computed],
        "rooms": [space.id for space in room.spaces],
    }


def _run_json(run: FeedRunResult) -> dict[str, object]:
    return {
        "id": run.run,
        "source": run.source,
        "total_flow_l_per_min": flow_l_per_min(run.total_flow),
        "source_pressure_kpa": pressure_kpa(run.source_pressure),
        "filter_loss_kpa": pressure_kpa(run.filter_loss),
        "before_regulator_kpa": pressure_kpa(run.upstream_pressure),
        "manifold_inlet_kpa": pressure_kpa(run.inlet_pressure),
        "regulated": run.regulated,
        "extrapolated": run.extrapolated,
        "emission_uniformity_share": run.uniformity,
        "statistical_uniformity_share": run.statistical,
        "minutes_a_week": convert(run.seconds_a_week, "s", "min"),
        "volume_a_run_l": _litres(run.volume_a_run),
        "volume_a_day_l": _litres(run.volume_a_day),
        "volume_a_week_l": _litres(run.volume_a_week),
        "outlets": [
            {
                "id": outlet.outlet,
                "tank": outlet.tank,
                "kind": outlet.kind,
                "reached": outlet.reached,
                "flow_l_per_h": convert(outlet.flow, "m**3/s", "L/h"),
                "rate_l_per_h": None
                if outlet.kind == "small tube"
                else convert(outlet.rate, "m**3/s", "L/h"),
                "pressure_kpa": pressure_kpa(outlet.pressure),
                "needed_pressure_kpa": pressure_kpa(outlet.needed_pressure),
                "air_gap_mm": convert(outlet.gap, "m", "mm"),
                "needed_air_gap_mm": convert(outlet.needed_gap, "m", "mm"),
            }
            for outlet in run.outlets
        ],
        "siphons_back": [
            {
                "outlet": one.outlet,
                "tank": one.tank,
                "leaves_by": one.exit,
                "leaves_into_tank": one.exit_tank,
                "head_m": one.head,
                "stops_at_height_m": one.stops_at,
                "volume_l": _litres(one.volume),
                "flow_l_per_min": flow_l_per_min(one.flow),
            }
            for one in run.siphons
        ],
        "network": network_json(run.network, run.solution),
    }


def _tank_json(tank: TankFeed) -> dict[str, object]:
    return {
        "inflow_l_per_h": convert(tank.inflow, "m**3/s", "L/h"),
        "minutes_a_day": convert(tank.seconds_a_day, "s", "min"),
        "volume_a_day_l": _litres(tank.volume_a_day),
        "volume_a_week_l": _litres(tank.volume_a_week),
        "replaced_a_day_share": tank.replaced_a_day,
        "replaced_a_week_share": tank.replaced_a_week,
        "litres_over_litres_a_week": tank.naive_a_week,
        "between_looks_l": _litres(tank.between_looks),
        "in_longest_absence_l": _litres(tank.in_absence),
        "overflows": tank.overflows,
    }


def _litres(value: float | None) -> float | None:
    return None if value is None else convert(value, "m**3", "L")
