"""Air or a feed begun in a plan that has none: a commented section at its end, for its owner to fill in.

Only what nobody could leave out is written; the rest stands in remarks, so that what is not known stays assumed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

from tankwright.finding import Finding
from tankwright.plan.changes_core import read, read_again, refusal, rows
from tankwright.plan.editing import EditResult, quoted, refused_as_broken
from tankwright.plan.positions import Positions
from tankwright.plan.statements import dotted, line_break, value_at
from tankwright.plan.values import Path

NOTHING_TO_BEGIN_ON: Final = "PLAN-049"

_FREE_FLOW: Final = (
    2.0,
    10.0,
)  # L/min for each tank and beside: the example pump is no smaller than the room
_AT_TEN: Final = 0.65


@dataclass(frozen=True, slots=True)
class Begin:
    """The first section of a system that brings something into the tanks: "air" or "feed".

    >>> Begin("air").apply("").findings[0].text
    'describes no room yet, so there is nowhere to lay air'
    """

    system: Literal["air", "feed"]

    @property
    def path(self) -> Path:
        """The system's table."""
        return (self.system,)

    def says(self, before: str) -> str:  # noqa: ARG002 - the same whatever the plan holds
        """The change in words for the history."""
        return f"{self.system} begun"

    def apply(self, text: str) -> EditResult:
        """The plan with the section at its end, or the findings that say why nothing was changed."""
        positions = read(text)
        if positions.findings:
            return refused_as_broken(positions)
        if value_at(positions, (self.system,)):
            return EditResult(text=text)
        room = next(iter(_named(positions, "room")), None)
        if room is None:
            return EditResult(text=None, findings=(self._nowhere(positions),))
        lines = _air(positions, room) if self.system == "air" else _feed(positions, room)
        newline = line_break(positions.text)
        gap = newline if positions.text.endswith("\n") else newline * 2
        return read_again(text, positions.text + gap + newline.join(lines) + newline)

    def _nowhere(self, positions: Positions) -> Finding:
        what = "air" if self.system == "air" else "a feed"
        text = f"describes no room yet, so there is nowhere to lay {what}"
        told = {"found": "no [room....]", "wanted": "a room with its size"}
        return refusal(positions, (), NOTHING_TO_BEGIN_ON, text, subject="the plan", **told)


def _named(positions: Positions, table: str) -> tuple[str, ...]:
    """The names under a table of things by name."""
    found = value_at(positions, (table,))
    return tuple(found) if isinstance(found, Mapping) else ()


def _free_name(positions: Positions, table: str, name: str) -> str:
    taken, number, free = _named(positions, table), 2, name
    while free in taken:
        free, number = f"{name}_{number}", number + 1
    return free


def _air(positions: Positions, room: str) -> list[str]:
    tanks = sum(len(ids) for _, ids in rows(positions))
    free = _FREE_FLOW[0] * tanks + _FREE_FLOW[1]
    pump = _free_name(positions, "pump", "air_pump")
    return [
        "# Air. What you leave out is assumed; take the # away and put in your own.",
        "[air.ring]",
        f"pump = {quoted(pump)}",
        f"around = {quoted(room)}",
        '# pipe = "25 mm ISO 1.0 MPa"          # size and standard',
        '# height = "2.05 m"                   # over the highest water, so that none runs back',
        f'# taps = {max(8, round(tanks * 1.5))}                           # or tap_every = "10 cm"',
        '# tap = { bore = "2 mm" }             # of a fully open tap; a bottle test of one tells',
        '# diffuser = { kind = "sponge", flow_wanted = "1 L/min" }',
        "",
        "# An example, not your pump: copy pressure and flow from your data sheet.",
        f"[pump.{dotted((pump,))}]",
        f'curve = [["0 kPa", "{free:.0f} L/min"], ["10 kPa", "{_AT_TEN * free:.0f} L/min"], '
        f'["20 kPa", "{0.15 * free:.0f} L/min"]]',
        '# allowed = { to = "20 kPa" }         # what its maker allows for long running',
        '# power = "40 W"',
        '# height = "2 m"                      # over the water, or with check valves',
    ]


def _feed(positions: Positions, room: str) -> list[str]:
    lines = ["# Feed. What you leave out is assumed; take the # away and put in your own."]
    source = next(iter((*_named(positions, "water_point"), *_named(positions, "vat"))), None)
    if source is None:
        source = "tap"
        lines += [
            "[water_point.tap]",
            f"room = {quoted(room)}",
            '# at = ["10 cm", "10 cm"]             # from the south-west corner of its room',
            '# pressure = "3 bar"                  # put a gauge on it',
            '# flow = "12 L/min"                   # fully open, with a bucket and a clock',
            "",
        ]
    return [
        *lines,
        "[feed.drip]",
        f"from = {quoted(source)}",
        '# pipe = "16 mm PE"                   # the manifold over each shelf',
        '# regulated_to = "1.5 bar"',
        '# filters = [{ name = "carbon", loss = "0.2 bar", at_flow = "5 L/min", carbon = true }]',
        'outlet = { kind = "compensating dripper" }   # rate = "4 L/h", at_pressure = "0.8 bar": its data sheet',
        'ends = "above rim"                    # so that no tank water can run back into the pipe',
        'program = [{ start = "02:00", minutes = 60, days = "daily" }]',
    ]
