"""The whole answer as plain data for JSON: units stand in the key names, nothing is rounded."""

from __future__ import annotations

from dataclasses import asdict
from typing import Final

from tankwright.finding import Finding
from tankwright.origin import Known
from tankwright.report.air import json_air
from tankwright.report.drain import json_drain
from tankwright.report.feed import json_feed
from tankwright.report.finding import json_finding
from tankwright.report.glass import json_glass
from tankwright.report.heat import json_heat
from tankwright.report.layout import json_layout
from tankwright.report.load import json_load
from tankwright.report.oxygen import json_oxygen
from tankwright.report.power import json_power
from tankwright.report.racks import json_racks
from tankwright.report.water import json_water
from tankwright.room.model import Room, Tank
from tankwright.sensitivity import Consequence
from tankwright.study import Study
from tankwright.units import DIMENSIONS

FORMAT: Final = 1
"""Version of the shape of the JSON; it grows by one when a key changes its meaning or goes."""


def json_whole(
    room: Room | None,
    study: Study | None,
    findings: tuple[Finding, ...],
    consequences: tuple[Consequence, ...],
    faults: list[dict[str, object]] | None = None,
) -> dict[str, object]:
    """Room, systems, findings, assumptions and faults (None: not tried) as nested plain data."""
    whole: dict[str, object] = {
        "format": FORMAT,
        "title": room.title if room else None,
        "findings": [json_finding(finding) for finding in findings],
        "assumptions": [json_consequence(item) for item in consequences],
        "faults": faults,
    }
    if room is not None:
        whole["tanks"] = [json_tank(tank) for tank in room.tanks]
    if study is not None:
        whole["systems"] = _systems(study)
    return whole


def _systems(study: Study) -> dict[str, object]:
    room = study.room
    return {
        "layout": json_layout(room, study.layout) if study.layout else None,
        "load": json_load(room, study.load) if study.load else None,
        "glass": json_glass(room, study.glass) if study.glass else None,
        "racks": json_racks(room, study.racks) if study.racks else None,
        "air": json_air(room, study.air) if study.air else None,
        "feed": json_feed(room, study.feed) if study.feed else None,
        "drain": json_drain(room, study.drain) if study.drain else None,
        "power": json_power(room, study.power) if study.power else None,
        "water": json_water(room, study.water) if study.water else None,
        "oxygen": json_oxygen(room, study.oxygen) if study.oxygen else None,
        "heat": json_heat(room, study.heat) if study.heat else None,
    }


def json_known(known: Known) -> dict[str, object]:
    """A value and how it is known."""
    shown = asdict(known)
    shown["origin"] = known.origin.value
    shown["measured_on"] = known.measured_on.isoformat() if known.measured_on else None
    shown["band"] = list(known.band) if known.band else None
    return shown


def json_consequence(item: Consequence) -> dict[str, object]:
    """One assumption and what it does to the verdicts."""
    row = item.assumption
    return {
        "key": row.key,
        "what": row.what,
        "value": item.known.value,
        "low": row.low,
        "high": row.high,
        "unit": DIMENSIONS[row.dimension].si_unit if row.dimension in DIMENSIONS else "1",
        "reason": row.reason,
        "source": row.source,
        "measure": row.measure,
        "tried": item.tried,
        "weight": item.weight,
        "largest_shift_share": item.shift,
        "verdicts_that_change": [
            {
                "code": change.code,
                "severity": change.severity.value,
                "comes": list(change.comes),
                "goes": list(change.goes),
            }
            for change in item.verdicts
        ],
    }


def json_tank(tank: Tank) -> dict[str, object]:
    """One tank where it stands."""
    return {
        "id": tank.id,
        "kind": tank.kind,
        "room": tank.room,
        "rack": tank.rack,
        "shelf": tank.shelf,
        "zone": tank.zone,
        "line": tank.line,
        "corner_m": [tank.box.x0, tank.box.y0, tank.box.z0],
        "opposite_corner_m": [tank.box.x1, tank.box.y1, tank.box.z1],
        "rim_m": tank.rim,
        "level_m": tank.level,
        "level": json_known(tank.level_known),
        "water_m3": tank.water_volume,
        "freeboard_m": tank.freeboard,
        "freeboard_m3": tank.freeboard_volume,
        "hole_m": list(tank.hole.centre) if tank.hole else None,
        "drain_node": f"{tank.hose.drain}/{tank.hose.node}" if tank.hose else None,
    }
