"""Every way water can leave a tank, as a law over its level and the place it goes to."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Final, Literal

from tankwright.faults.electric import dead_pumps
from tankwright.faults.water_laws import (
    LEAST_SHARE,
    STEP,
    Law,
    mouth_law,
    overflow_law,
    root_law,
    siphon_law,
    tube_law,
)
from tankwright.physics.constants import STANDARD_GRAVITY, WATER_DENSITY
from tankwright.physics.hydrostatics import SMALL_TUBE_MINOR_LOSS
from tankwright.physics.ranges import OutsideValidRange
from tankwright.room.model import FeedRun, Pane, Room, Tank
from tankwright.room.model_broken import Broken
from tankwright.study import Study
from tankwright.systems.air_network import tap_laws
from tankwright.systems.drain_tanks import Way, hose_end, way_out
from tankwright.systems.feed_model import SiphonBack
from tankwright.units import Metre, Second, SquareMetre

PANE_SECONDS: Final[Second] = 5.0
"""Time in which what stands above the lowest edge of a broken pane is on the floor. A choice: it is a matter of
seconds, and nobody is quicker."""

FILM: Final[Metre] = 1e-3
"""A siphon that runs down to its own far end is over when this much head is left; the rest takes for ever."""

To = Literal["drain", "outfall", "floor", "tank", "source", "feed"]
_Missing = list[tuple[str, str]]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sink:
    """One way out: to a drain, outfall, floor of a space, tank, source or feed of a name.

    `ends` is the level at which it stops for good and does not begin again (a siphon that has drawn air), None for one
    that always works. `over` is what it runs through, `back` whether it runs the wrong way because what feeds the
    tank has stopped."""

    to: To
    where: str
    law: Law
    ends: Metre | None = None
    over: str = ""
    back: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Vessel:
    """A tank as water sees it. `ways` are the hoses into drains that are followed as a whole, by drain."""

    tank: Tank
    bottom: Metre
    sinks: tuple[Sink, ...]
    way: Way | None = None

    @property
    def area(self) -> SquareMetre:
        """Of its surface."""
        return self.tank.inside_area


@dataclass(slots=True)
class Vessels:
    """Makes the vessels of a study's room, with what is broken written beside it (`Room.broken`) and nowhere else."""

    study: Study
    room: Room
    missing: _Missing = field(default_factory=list)

    def all(self, healthy: Sequence[Vessel] = ()) -> tuple[Vessel, ...]:
        """One for every tank, in the order of the room. A tank nothing is broken on is the very one of `healthy`."""
        crowns = {
            (run.id, node.id): node.place[2] + run.bore.value
            for run in self.room.drains
            for node in run.nodes
        }
        outfall = {run.id: run.outfall for run in self.room.drains}
        siphons = self._siphons()
        touched = {one.what for one in self.room.broken} | set(siphons)
        return tuple(
            healthy[index]
            if healthy and tank.id not in touched
            else self._vessel(tank, hose_end(tank, crowns), outfall, siphons.get(tank.id, []))
            for index, tank in enumerate(self.room.tanks)
        )

    def _vessel(self, tank: Tank, end: Metre | None, outfall: dict[str, str], siphons: list[Sink]) -> Vessel:
        bottom = tank.level - tank.water_volume / tank.inside_area
        bottom = min(max(bottom, tank.floor_inside), tank.rim - 1e-3)
        here = [one for one in self.room.broken if one.what == tank.id]
        sinks: list[Sink] = []
        way: Way | None = None
        try:
            way = self._way(tank, end, here)
            if way is not None and any(one.kind == "hose" for one in here):
                law = mouth_law(way.bore, way.angle, way.open_share).raised(way.lip)
                sinks.append(Sink(to="floor", where=tank.room, law=law, over="hose off its barb"))
                way = None
            if way is not None:
                sinks.append(Sink(to="drain", where=way.drain, law=overflow_law(way)))
            sinks += self._second(tank, end, outfall, here)
        except OutsideValidRange as outside:
            self.missing.append((f"tank {tank.id}", f"its overflow, taken as shut: {outside}"))
            way = None
        sinks += siphons
        sinks += [self._pane(tank, bottom, one.at) for one in here if one.kind == "pane"]
        return Vessel(tank=tank, bottom=bottom, sinks=tuple(sinks), way=way)

    def _way(self, tank: Tank, end: Metre | None, here: Sequence[Broken]) -> Way | None:
        overflow = tank.overflow
        if overflow is None:
            return None
        share = overflow.open_share.value
        for one in here:
            if one.kind == "overflow":
                share *= one.left
        if share < LEAST_SHARE or overflow.lip >= tank.rim:
            return None
        known = replace(overflow.open_share, value=share)
        return way_out(replace(tank, overflow=replace(overflow, open_share=known)), end)

    def _second(
        self, tank: Tank, end: Metre | None, outfall: dict[str, str], here: Sequence[Broken]
    ) -> Iterator[Sink]:
        second = tank.second_overflow
        if second is None:
            return
        share = 1.0
        for one in here:
            if one.kind == "second overflow":
                share *= one.left
        if share < LEAST_SHARE:
            return
        law = mouth_law(second.bore.value, 0.0, share).raised(second.lip)
        drain = tank.hose.drain if tank.hose else ""
        if second.to == "floor":
            yield Sink(to="floor", where=tank.room, law=law, over="second overflow")
        elif second.to == "own hose" or drain not in outfall:
            yield Sink(to="outfall", where=outfall.get(drain, ""), law=law)
        elif end is not None:
            yield Sink(to="drain", where=drain, law=law)

    def _pane(self, tank: Tank, bottom: Metre, pane: Pane | str) -> Sink:
        """Any pane but the base reaches down to the base, so everything runs out."""
        head = tank.rim - bottom
        flow = 2.0 * tank.inside_area * head / PANE_SECONDS
        law = root_law(flow, tank.rim, bottom, tank.rim)
        return Sink(
            to="floor", where=tank.room, law=law, over=f"{pane} pane broken" if pane else "pane broken"
        )

    # --- water that runs back -----------------------------------------------------------------------------------

    def _siphons(self) -> dict[str, list[Sink]]:
        found: dict[str, list[Sink]] = {}
        dead = dead_pumps(self.room)
        for tank, sink in (*self._out_of_feeds(dead), *self._out_of_rings(dead)):
            found.setdefault(tank, []).append(sink)
        return found

    def _out_of_feeds(self, dead: frozenset[str]) -> Iterator[tuple[str, Sink]]:
        runs = {run.id: run for run in self.room.feeds}
        for result in self.study.feed.runs if self.study.feed else ():
            run = runs.get(result.run)
            if run is None or not self._supply_stopped(run, dead):
                continue
            for siphon in result.siphons:
                try:
                    law = self._feed_tube(run, siphon)
                except OutsideValidRange as outside:
                    self.missing.append((f"outlet {siphon.outlet}", f"what runs back through it: {outside}"))
                    continue
                to: To = "tank" if siphon.exit_tank is not None else "source"
                where = siphon.exit_tank if siphon.exit_tank is not None else run.source
                ends = self._ends(law, siphon)
                yield (
                    siphon.tank,
                    Sink(to=to, where=where, law=law, ends=ends, over=siphon.outlet, back=True),
                )

    def _supply_stopped(self, run: FeedRun, dead: frozenset[str]) -> bool:
        if run.source_kind == "water point":
            return any(one.kind == "mains off" and one.what in (run.source, "") for one in self.room.broken)
        return run.pump is not None and run.pump in dead

    def _feed_tube(self, run: FeedRun, siphon: SiphonBack) -> Law:
        place = next(one for one in run.outlets if one.id == siphon.outlet)
        level = self.room.tank(siphon.tank).level
        leaves = level - siphon.head
        if siphon.flow is not None and place.bore is not None and place.length is not None:
            tube = tube_law(place.bore.value, place.length.value, SMALL_TUBE_MINOR_LOSS)
            return siphon_law(tube, leaves, siphon.stops_at)
        pressure = WATER_DENSITY * STANDARD_GRAVITY * siphon.head
        flow = place.rate.value * (pressure / max(place.at_pressure.value, 1.0)) ** 0.5
        heads = root_law(flow, siphon.head, 0.0, 10.0)
        return siphon_law(heads, leaves, siphon.stops_at)

    def _ends(self, law: Law, siphon: SiphonBack) -> Metre:
        leaves = self.room.tank(siphon.tank).level - siphon.head
        return max(siphon.stops_at + STEP, leaves + FILM, float(law.heights[0]) + STEP)

    def _out_of_rings(self, dead: frozenset[str]) -> Iterator[tuple[str, Sink]]:
        runs = {run.id: run for run in self.room.airs}
        for result in self.study.air.runs if self.study.air else ():
            run = runs.get(result.run)
            if run is None:
                continue
            still = all(pump in dead for pump in run.pumps) or any(
                one.kind == "ring pipe" and one.what == run.id for one in self.room.broken
            )
            fallen = {one.at for one in self.room.broken if one.kind == "air tap" and one.what == run.id}
            laws = {law.tap.id: law for law in tap_laws(run, 0.0, 1e-9)}
            for back in result.run_back:
                if not back.certain or back.stops_at is None or not (still or back.tap in fallen):
                    continue
                tap = laws[back.tap]
                ring = self.room.tank(back.tank).level - back.head
                try:
                    tube = tube_law(tap.tube_bore, tap.tube_length, SMALL_TUBE_MINOR_LOSS + tap.full_loss)
                except OutsideValidRange as outside:
                    self.missing.append((f"tap {back.tap}", f"what runs back through it: {outside}"))
                    continue
                law = siphon_law(tube, ring, back.stops_at)
                ends = max(back.stops_at, ring) + STEP if back.stops_at > ring + STEP else None
                yield (
                    back.tank,
                    Sink(
                        to="floor",
                        where=self._pump_space(run.pumps, back.tank),
                        law=law,
                        ends=ends,
                        over=back.tap,
                        back=True,
                    ),
                )

    def _pump_space(self, pumps: Sequence[str], tank: str) -> str:
        """Where water in a ring comes out: at the pump, at the lowest open end; else by the tank itself."""
        for pump in self.room.pumps:
            if pump.id in pumps and pump.place is not None:
                x, y, _ = pump.place
                for space in self.room.spaces:
                    box = space.box
                    if box.x0 <= x <= box.x1 and box.y0 <= y <= box.y1:
                        return space.id
        return self.room.tank(tank).room
