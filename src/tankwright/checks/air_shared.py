"""What the checks on the air have in common."""

from __future__ import annotations

from tankwright.origin import Known
from tankwright.room.model import AirRun
from tankwright.systems.air_model import AirRunResult, TapAir

SHORT = 0.9
"""A tank is short of air below this share of what it wants. Common practice, no source."""

SMALL = 0.05
"""A ring and lead that lose less than this share of the pump's pressure have no roughness worth naming: over
its whole band the friction of a plastic pipe moves by less than a tenth. Worked out, turbulent friction."""

SOLVED = "pipe network on the pump's curve, Darcy-Weisbach, by Newton's method"


def fed_taps(solved: AirRunResult) -> tuple[TapAir, ...]:
    """The open taps that have a tank."""
    return tuple(tap for tap in solved.taps if tap.tank is not None)


def rests_on(run: AirRun, solved: AirRunResult) -> tuple[str, ...]:
    """Keys of the assumptions an air verdict stands on."""
    known: list[Known | None] = [run.height, *(pipe.bore for pipe in run.pipes)]
    losses, pressure = solved.losses, max((work.pressure for work in solved.pumps), default=0.0)
    if losses.header + losses.lead > SMALL * pressure:
        known.insert(0, run.roughness)
    for tap in run.taps:
        if tap.open:
            known += [tap.bore, tap.tube_bore, tap.tube_length, tap.diffuser_loss, tap.flow_wanted]
    keys = [one.key for one in known if one is not None and one.is_assumed and one.key]
    if any(tap.valve_loss > 0.0 for tap in solved.taps):
        keys.append("air.check_valve_loss")
    return tuple(dict.fromkeys(keys))
