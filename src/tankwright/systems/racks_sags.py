"""What sagging bearers do to the water line of the tanks on them, and sags read off a rack beside those worked out."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Final

from tankwright.origin import Known
from tankwright.physics.constants import STANDARD_GRAVITY
from tankwright.room.boxes import along_span, depth_span
from tankwright.room.model import RackPlace, Tank
from tankwright.systems.racks_loads import Grid, Standing
from tankwright.systems.racks_model import BeamResult, SagCompared, TankTilt
from tankwright.units import Metre, Second

YEARS: Final[Second] = 10.0 * 365.25 * 86400.0
"""What "after years" means: longer than this a load is permanent. Source: EN 1995-1-1 table 2.1, from memory."""


def tilts_of(
    rack: RackPlace, grid: Grid, beams: Sequence[BeamResult], tanks: Sequence[Tank]
) -> tuple[TankTilt, ...]:
    """How far each tank's water line leaves its rim's: highest against lowest corner of its base.

    A tank is stiff beside the bearers, so its base stays a plane, and its corners lie where the bearers are under
    them. Where the uprights shorten is left out. Source: geometry.
    """
    found = []
    for tank in tanks:
        bearers = {
            (one.bay, one.index): one for one in beams if one.shelf == tank.shelf and one.part == "bearer"
        }
        if not bearers or any(one.sag_now is None for one in bearers.values()):
            continue
        ends = along_span(rack.box, rack.facing, tank.box)
        sides = depth_span(rack.box, rack.facing, tank.box)
        corners = [_sag_at(grid, bearers, x, y) for x in ends for y in sides]
        now = max(corners) - min(corners)
        creep = [
            one.sag_later / one.sag_now
            for one in bearers.values()
            if one.sag_now and one.sag_later is not None
        ]
        found.append(TankTilt(tank=tank.id, now=now, later=now * max(creep, default=1.0)))
    return tuple(found)


def _sag_at(grid: Grid, bearers: dict[tuple[int, int], BeamResult], along: Metre, deep: Metre) -> Metre:
    """Between two bearers on the straight line from one to the other, past the outermost on the same line."""
    bay = next(
        (
            number
            for number, (start, end) in enumerate(pairwise(grid.uprights), start=1)
            if start <= along <= end
        ),
        None,
    )
    if bay is None:
        return 0.0
    places = grid.bearers
    left = min(max(bisect_right(places, deep) - 1, 0), len(places) - 2)
    near, far = (
        _on_curve(bearers[bay, index].curve, along - grid.uprights[bay - 1]) for index in (left, left + 1)
    )
    return near + (far - near) * (deep - places[left]) / (places[left + 1] - places[left])


def _on_curve(curve: tuple[tuple[Metre, Metre], ...], x: Metre) -> Metre:
    for (before, low), (after, high) in pairwise(curve):
        if before <= x <= after:
            return low + (high - low) * (x - before) / (after - before)
    return 0.0


def readings_of(
    rack: RackPlace, beams: Sequence[BeamResult], shelves: dict[int, tuple[Standing, ...]], creep_power: Known
) -> Iterator[SagCompared]:
    """Each sag read off a rack beside the one worked out for what it carried and how long.

    What creeps after a time is the power of that time over years. Source: creep of timber by a power law, from memory.
    """
    count = rack.built.bearers_under if rack.built else 2
    for reading in rack.sag:
        index = {"front": 0, "middle": (count - 1) // 2, "back": count - 1}[reading.bearer]
        here = [
            one
            for one in beams
            if (one.shelf, one.index, one.part) == (reading.shelf, index, "bearer")
            and one.sag_now
            and one.sag_later
        ]
        if not here:
            continue
        beam = max(here, key=lambda one: one.sag_now or 0.0)
        now, later = beam.sag_now or 0.0, beam.sag_later or 0.0
        standing = shelves.get(reading.shelf, ())
        weight = sum(one.weight for one in standing)
        own = sum(one.weight for one in standing if not one.tank)
        share = 1.0
        if reading.carries is not None and weight > 0.0:
            share = (reading.carries * STANDARD_GRAVITY + own) / weight
        crept = 1.0
        if reading.days is not None:
            crept = min(reading.days / YEARS, 1.0) ** creep_power.value
        expected = share * (now + (later - now) * crept)
        if expected > 0.0:
            yield SagCompared(
                rack=rack.id,
                shelf=reading.shelf,
                bearer=reading.bearer,
                read=reading.sag,
                expected=expected,
                share=reading.sag.value / expected,
                aged=reading.days is not None,
            )
