"""The tables of the systems' pages as they are printed: every cell in words, in the reader's units."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from typing import Final

from tankwright.display import SEVERITY_WORDS, sentence, words
from tankwright.drawing.results import Layer
from tankwright.drawing.table_sheet import Column, PrintTable
from tankwright.finding import Finding, Number
from tankwright.study import Study
from tankwright.systems.drain_model import DrainCase

MISSING: Final = "not computed"
_WIDE: Final = 90.0  # mm a sentence gets before it wraps


class _Words:
    """Numbers in the reader's units; what is not known is said."""

    def __init__(self, display: str) -> None:
        self.display = display

    def __call__(self, value: float | None, dimension: str, otherwise: str = MISSING) -> str:
        return otherwise if value is None else words(Number(value, dimension), self.display)


def tables_of(study: Study, layer: Layer) -> tuple[PrintTable, ...]:
    """The tables of one layer's system; none where it was not computed or holds nothing."""
    made = _TABLES[layer](study, _Words(study.room.display))
    return tuple(table for table in made if table.rows)


def findings_table(findings: tuple[Finding, ...], display: str) -> PrintTable:
    """What the room shows, worst first, with what to do about it."""
    return PrintTable(
        title="Findings",
        columns=(
            Column(name="sign"), Column(name="of what", wrap=34.0), Column(name="what", wrap=_WIDE),
            Column(name="do", wrap=_WIDE), Column(name="code"),
        ),
        rows=tuple(
            (
                SEVERITY_WORDS[one.severity], one.subject, sentence(one.text, one.numbers, display),
                sentence(one.remedy, one.numbers, display) if one.remedy else "–", one.code,
            )
            for one in findings
        ),
    )  # fmt: skip


def _columns(*names: str) -> tuple[Column, ...]:
    """Columns by their headings; one that begins with "#" holds numbers."""
    return tuple(Column(name=name.removeprefix("#"), number=name.startswith("#")) for name in names)


def _layout(study: Study, said: _Words) -> Iterator[PrintTable]:
    yield PrintTable(
        title="Tanks",
        columns=_columns("tank", "kind", "rack", "#shelf", "#long", "#deep", "#high", "#water", "#freeboard"),
        rows=tuple(
            (
                tank.id, tank.kind, tank.rack, str(tank.shelf), said(tank.length, "length"),
                said(tank.depth, "length"), said(tank.height, "length"), said(tank.water_volume, "volume"),
                said(tank.freeboard, "length"),
            )
            for tank in study.room.tanks
        ),
    )  # fmt: skip


def _air(study: Study, said: _Words) -> Iterator[PrintTable]:
    for run in study.air.runs if study.air else ():
        yield PrintTable(
            title=f"Air taps of {run.run}",
            columns=_columns(
                "tank", "tap", "#stands open", "#gives", "#wants", "#share", "#ring at", "#set to, all equal"
            ),
            rows=tuple(
                (
                    tap.tank or "spare", tap.tap, said(tap.stands_open, "share"),
                    said(tap.flow if tap.reached else None, "air_flow", "no way to it"),
                    said(tap.wanted, "air_flow", "–"), said(tap.share, "share", "–"),
                    said(tap.ring_pressure, "pressure"), said(tap.opening, "share", "–"),
                )
                for tap in run.taps
            ),
        )  # fmt: skip


def _feed(study: Study, said: _Words) -> Iterator[PrintTable]:
    yield PrintTable(
        title="Feed of each tank",
        columns=_columns("tank", "#while on", "#a day", "#new after a week", "#between two looks"),
        rows=tuple(
            (
                tank.tank, said(tank.inflow, "flow"), said(tank.volume_a_day, "volume"),
                said(tank.replaced_a_week, "share"), said(tank.between_looks, "volume"),
            )
            for tank in (study.feed.tanks if study.feed else ())
        ),
    )  # fmt: skip


def _drain(study: Study, said: _Words) -> Iterator[PrintTable]:
    drain = study.drain
    if drain is None:
        return
    for run in drain.runs:
        yield PrintTable(
            title=f"What drain {run.run} must take",
            columns=(
                Column(name="event", wrap=70.0), *_columns("#fullest", "#out of it", "#to the floor"),
                Column(name="runs over", wrap=70.0),
            ),
            rows=tuple(
                (
                    case.name, _fullness(case, said), said(case.outfall_flow, "flow"),
                    said(case.spilled, "flow"),
                    ", ".join(spill.tank for spill in case.spills) or ("nothing" if case.settled else MISSING),
                )
                for case in run.cases
            ),
        )  # fmt: skip
    yield PrintTable(
        title="Overflows",
        columns=_columns(
            "tank", "drain", "#freeboard", "#over the lip", "#passes before the rim", "#over after a blockage"
        ),
        rows=tuple(
            (
                tank.tank, tank.drain or "–", said(tank.freeboard, "length"), said(tank.head, "length"),
                said(tank.capacity, "flow"), said(tank.seconds_to_spill_by_program, "duration", "–"),
            )
            for tank in drain.tanks
        ),
    )  # fmt: skip


def _fullness(case: DrainCase, said: _Words) -> str:
    if not case.settled:
        return MISSING
    return "drowned" if case.surcharge > 0 else said(case.greatest_share, "share")


def _load(study: Study, said: _Words) -> Iterator[PrintTable]:
    yield PrintTable(
        title="Racks and what they press with (a screening: ask a structural engineer)",
        columns=_columns(
            "rack", "#with its tanks", "#brim-full", "#under its footprint", "#mean foot", "#heaviest foot"
        ),
        rows=tuple(
            (
                rack.rack, said(rack.total, "mass"), said(rack.brim, "mass"),
                said(rack.pressure, "floor_load"), said(rack.leg, "mass"), said(rack.worst_leg, "mass"),
            )
            for rack in (study.load.racks if study.load else ())
        ),
    )  # fmt: skip


def _glass(study: Study, said: _Words) -> Iterator[PrintTable]:
    yield PrintTable(
        title="Panes (a screening: the maker's rating, the local code and an engineer stand before it)",
        columns=_columns("kind", "pane", "#thick", "#plain", "#free edge", "#at its hole", "#of its strength",
                         "#to the rim", "#bows", "#needs"),
        rows=tuple(
            (
                one.case.kind, one.case.pane, said(one.case.thickness.value, "length"), said(one.plain, "stress"),
                said(one.edge if one.edge > 0.0 else None, "stress", "held"),
                said(max((hole.stress for hole in one.holes), default=None), "stress", "no hole"),
                said(one.use, "share"), said(one.brim_use, "share"), said(one.deflection, "length"),
                said(one.needed, "length"),
            )
            for one in (study.glass.panes if study.glass else ())
        ),
    )  # fmt: skip
    yield _missing(study.glass.not_computed if study.glass else ())


def _racks(study: Study, said: _Words) -> Iterator[PrintTable]:
    if study.racks is None:
        return
    yield PrintTable(
        title="Bearers (a screening for someone licensed to judge)",
        columns=_columns("rack", "#shelf", "#bay", "part", "#span", "governs", "#of what it may bear", "#sags now",
                         "#after years"),
        rows=tuple(
            (
                beam.rack, str(beam.shelf), str(beam.bay), f"{beam.part} {beam.index + 1}", said(beam.span, "length"),
                beam.worst.check if beam.worst else MISSING,
                said(beam.worst.share if beam.worst else None, "share"), said(beam.sag_now, "length"),
                said(beam.sag_later, "length"),
            )
            for rack in study.racks.racks
            for beam in rack.beams
        ),
    )  # fmt: skip
    yield PrintTable(
        title="Feet and what tips a rack",
        columns=_columns("rack", "#upright", "foot", "#comes down", "#of what it may bear", "#pull that tips it"),
        rows=tuple(
            (
                post.rack, str(post.upright + 1), post.side, said(post.force, "force"),
                said(post.worst.share if post.worst else None, "share"), said(rack.tip_worst, "force"),
            )
            for rack in study.racks.racks
            for post in rack.posts
        ),
    )  # fmt: skip
    yield PrintTable(
        title="Joists under racks (for an engineer to read: no verdict)",
        columns=_columns("room", "#joist", "#span", "#racks bring", "#bends it by", "#the design load would by",
                         "#sags by that alone"),
        rows=tuple(
            (
                one.space, str(one.index + 1), said(one.span, "length"),
                said(sum((patch.end - patch.start) * patch.load for patch in one.patches), "force"),
                said(one.moment, "bending_moment"), said(one.design_moment, "bending_moment"),
                said(one.sag_now, "length", "grade not known"),
            )
            for floor in study.racks.floors
            for one in floor.joists
        ),
    )  # fmt: skip
    yield _missing(study.racks.not_computed)


def _missing(rows: tuple[tuple[str, str, str], ...]) -> PrintTable:
    """What was not computed, why, and what to do about it."""
    return PrintTable(
        title="Not computed",
        columns=(
            Column(name="of what", wrap=50.0),
            Column(name="why", wrap=_WIDE),
            Column(name="do", wrap=_WIDE),
        ),
        rows=rows,
    )


def _power(study: Study, said: _Words) -> Iterator[PrintTable]:
    power = study.power
    if power is None or not power.described:
        return
    yield PrintTable(
        title="Boards (mains near water: for licensed people and your local code)",
        columns=_columns("board", "breaker", "device", "#plugs", "#power", "#current", "#of its rating"),
        rows=tuple(
            (
                one.board, one.circuit, one.device, str(one.plugs), said(one.draw.power, "power"),
                said(one.draw.current, "current"), said(one.draw.share, "share", "no rating said"),
            )
            for one in power.boards
        ),
    )  # fmt: skip
    yield PrintTable(
        title="What goes off together",
        columns=(*_columns("what trips", "name"), Column(name="stops", wrap=_WIDE)),
        rows=tuple(
            (stop.kind, stop.id, "; ".join(_stopped(*one) for one in stop.does) or "nothing described")
            for stop in power.stops
        ),
    )


def _water(study: Study, said: _Words) -> Iterator[PrintTable]:
    if study.water is None:
        return
    by_tank = {one.tank: one for one in study.water.life.nitrogen} if study.water.life else {}
    rows = []
    for one in study.water.tanks:
        made = by_tank.get(one.tank)
        waters = ", ".join(name for name, _ in one.parts) or "not said"
        rows.append((
            one.tank, f"{waters}, by hand" if one.by_hand else waters, said(7.0 * one.volume_a_day, "volume"),
            said(one.settled_ph.value if one.settled_ph else None, "ph"),
            _settled(made.nitrate.value if made and made.nitrate else None, "concentration", said),
            said(made.wanted_nitrate.value if made and made.wanted_nitrate else None, "concentration", "not said"),
            _settled(made.ammonia.value if made else None, "concentration", said),
            said(made.hardness.value if made and made.hardness else None, "hardness"),
        ))  # fmt: skip
    yield PrintTable(
        title="Water of every tank as it settles (a screening: measure)",
        columns=_columns("tank", "water", "#new a week", "#pH in air", "#nitrate", "#wanted at most",
                         "#ammonia, as N", "#KH left"),
        rows=tuple(rows),
    )  # fmt: skip


def _settled(value: float | None, dimension: str, said: Callable[[float | None, str], str]) -> str:
    return "no end" if value is not None and math.isinf(value) else said(value, dimension)


def _oxygen(study: Study, said: _Words) -> Iterator[PrintTable]:
    if study.oxygen is None or study.oxygen.laws is None:
        return
    gap = said(study.oxygen.gap, "duration")
    rows = []
    for one in study.oxygen.in_order:
        held, time = one.held("between looks"), one.trouble
        rows.append((
            one.tank, *(("no fish named",) * 3 if time is None else (
                endless(time.value, said), endless(time.low, said), endless(time.high, said))),
            said(one.steady.value if one.steady else None, "concentration"),
            said(one.demand.mass if one.demand else None, "mass"), said(held.value if held else None, "mass"),
            said(held.low if held else None, "mass"), said(held.high if held else None, "mass"),
        ))  # fmt: skip
    yield PrintTable(
        title=f"Oxygen, tanks to serve first in front (a screening; what a tank holds is for {gap} without air)",
        columns=_columns("tank", "#in trouble after", "#at the least", "#at the most", "#as it stands", "#fish",
                         "#could hold", "#at the least", "#at the most"),
        rows=tuple(rows),
    )  # fmt: skip


def _heat(study: Study, said: _Words) -> Iterator[PrintTable]:
    if study.heat is None or not study.heat.tanks:
        return
    yield PrintTable(
        title=f"Warmth of every tank (weather: {study.heat.weather}, not your town; a rarer winter is colder)",
        columns=_columns("tank", "room", "#coldest week", "#hottest week", "#needs", "#has", "#size to buy",
                         "#without power"),
        rows=tuple(
            (
                one.tank, one.space, said(one.coldest, "temperature"), said(one.hottest, "temperature"),
                said(one.need, "power"), said(one.has, "power", "none"), said(one.size, "power"),
                said(one.cut_time, "duration", "over 3 days"),
            )
            for one in study.heat.tanks
        ),
    )  # fmt: skip
    yield PrintTable(
        title="Cold faces, moistest first (a screening for damp, not a survey)",
        columns=_columns("face", "#U-value", "#face, design cold", "#dew point", "#humidity in its corners"),
        rows=tuple(
            (
                face.id, said(face.transmittance.value, "thermal_transmittance"), said(face.face, "temperature"),
                said(face.dew_point, "temperature"), said(face.moisture, "share"),
            )
            for space in study.heat.spaces
            for face in space.surfaces
        ),
    )  # fmt: skip


def endless(time: float, said: Callable[[float, str], str]) -> str:
    """A time that may never come, in words.

    >>> endless(float("inf"), lambda value, dimension: f"{value} of {dimension}")
    'never'
    """
    return "never" if math.isinf(time) else said(time, "duration")


def _stopped(what: str, tanks: tuple[str, ...]) -> str:
    if not tanks:
        return what
    few = ", ".join(tanks[:6]) + (f" and {len(tanks) - 6} more" if len(tanks) > 6 else "")
    return f"{what} of {few}"


_TABLES: Final[Mapping[Layer, Callable[[Study, _Words], Iterator[PrintTable]]]] = {
    "layout": _layout,
    "air": _air,
    "feed": _feed,
    "drain": _drain,
    "load": _load,
    "glass": _glass,
    "racks": _racks,
    "power": _power,
    "water": _water,
    "oxygen": _oxygen,
    "heat": _heat,
}
