"""One run of the water: feeds by the clock, tanks followed in the order in which they run into each other, and the
account of it all."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from tankwright.faults.floor import floor_takes
from tankwright.faults.model import Array, Event, Setting, WaterCourse
from tankwright.faults.water_drains import groups_of
from tankwright.faults.water_follow import Followed, Follower, Inflow, siphons_begun
from tankwright.faults.water_group import Group
from tankwright.faults.water_laws import Law
from tankwright.faults.water_ledger import HAND, Ledger, columns_of
from tankwright.faults.water_routine import healthy_vessels, levels_at
from tankwright.faults.water_rows import rows_of
from tankwright.faults.water_supply import Supplies, Supply, supplies_of, with_gravity
from tankwright.faults.water_usual import as_usual
from tankwright.faults.water_ways import Vessel, Vessels
from tankwright.room.assumed import assumed
from tankwright.room.model import Room
from tankwright.study import Study
from tankwright.units import CubicMetre, Second

GIVES: Final = ("tank", "feed")
"""Where water goes that comes into another tank."""

WET_FLOOR: Final[CubicMetre] = 1e-3
"""Water on a floor at which a leak sensor on it shuts a feed: a litre."""


@dataclass(slots=True, kw_only=True)
class WaterRun:
    """Everything one run works with. `room` is the study's, with what is broken named beside it; `wet` is when a leak
    sensor finds water on the floor."""

    study: Study
    room: Room
    setting: Setting
    start: WaterCourse | None = None
    wet: Second = math.inf
    missing: list[tuple[str, str]] = field(default_factory=list)
    events: list[Event] = field(default_factory=list)
    groups: list[Group] = field(default_factory=list)
    _followed: dict[int, Followed] = field(default_factory=dict)

    def course(self) -> WaterCourse:
        """Follow it to the end; where a leak sensor finds the floor wet, again with the feeds shut from then on."""
        found = self._course()
        if math.isinf(self.wet) and any(run.shuts_on_floor_water for run in self.room.feeds):
            wet = when_wet(found)
            if wet is not None and wet < self.setting.horizon:
                again = WaterRun(
                    study=self.study, room=self.room, setting=self.setting, start=self.start, wet=wet
                )
                again.events.append(Event(time=wet, what="leak sensor shuts the feed", where=""))
                return again._course()
        return found

    def _course(self) -> WaterCourse:
        supplies = supplies_of(self.study, self.room, self.setting, self.start, self.wet)
        self.missing += supplies.missing
        self.events += [Event(time=one.time, what="vat empty", where=one.vat) for one in supplies.emptied]
        healthy, missing = healthy_vessels(self.study)
        self.missing += missing
        made = Vessels(study=self.study, room=self.room, missing=self.missing).all(healthy)
        vessels = with_gravity(made, supplies)
        followers = [
            Follower(vessel=one, level=level)
            for one, level in zip(vessels, self._levels(vessels), strict=True)
        ]
        self.events += siphons_begun(followers)
        inflows = self._inflows(vessels, supplies)
        followers = as_usual(self.study, self.setting, followers, inflows)
        rows = self._follow(followers, inflows, supplies)
        return self._account(followers, supplies, rows)

    def _levels(self, vessels: Sequence[Vessel]) -> list[float]:
        if self.start is not None:
            return [float(one) for one in self.start.level[-1]]
        healthy = levels_at(self.study, self.setting.clock)
        return [
            min(max(level, one.bottom), one.tank.rim) for one, level in zip(vessels, healthy, strict=True)
        ]

    def _inflows(self, vessels: Sequence[Vessel], supplies: Supplies) -> list[Inflow]:
        edges = supplies.edges
        fed = supplies.fed()
        hand = self._hand()
        return [
            Inflow(
                edges=edges,
                fed=fed[:, index],
                other=np.full(len(edges) - 1, hand[index]),
                shut=_shut(vessel, supplies),
            )
            for index, vessel in enumerate(vessels)
        ]

    def _hand(self) -> Array:
        """What a hose left in a tank brings: what is said of it, else what such a hose gives, no more than the most a
        water point here says it has."""
        flows = np.zeros(len(self.room.tanks))
        order = {tank.id: index for index, tank in enumerate(self.room.tanks)}
        known = [one.source_flow.value for one in self.room.feeds if one.source_flow is not None]
        usual = min(assumed(self.room, "water.hand_hose").value, max(known, default=math.inf))
        for one in self.room.broken:
            if one.kind == "hand hose" and one.what in order:
                flows[order[one.what]] += one.flow if one.flow is not None else usual
        return flows

    # --- following --------------------------------------------------------------------------------------------------

    def _follow(self, followers: Sequence[Follower], inflows: Sequence[Inflow], supplies: Supplies) -> Array:
        """Those first that nothing runs into out of another tank, then the others, on rows fixed by then."""
        later = _receivers(followers, supplies)
        self.groups = groups_of(self.room, followers, inflows, self.start, self.missing)
        together = {index: group for group in self.groups for index in group.indices}
        first = [one for one in self.groups if later.isdisjoint(one.indices)]
        givers = _givers([one for one in self.groups if one not in first], followers)
        if givers:
            return self._follow(self._cut(followers, givers), inflows, supplies)
        for index, follower in enumerate(followers):
            if index not in later and index not in together:
                follower.follow(inflows[index])
        for group in first:
            group.follow([inflows[index] for index in group.indices])
        for follower in followers:
            self.events += follower.events
        for group in first:
            self.events += group.events
        happened = [event.time for event in self.events if event.what != "overflow begins"]
        rows = rows_of(supplies.edges, happened, fine=bool(later))
        handed = np.zeros((len(rows) - 1, len(followers)))

        def count(found: Mapping[int, Followed]) -> None:
            self._followed.update(found)
            for index, one in found.items():
                _hand_on(one, followers[index].vessel, handed, supplies)

        count(
            {i: one.counted(rows) for i, one in enumerate(followers) if i not in later and i not in together}
        )
        for group in first:
            count(dict(zip(group.indices, group.counted(rows), strict=True)))
        for index in self._in_order(later - set(together), followers, supplies):
            followers[index].follow(_on_rows(inflows[index], rows, handed[:, index]))
            count({index: followers[index].counted(rows)})
            self.events += followers[index].events
        for group in self.groups:
            if group not in first:
                group.follow([_on_rows(inflows[index], rows, handed[:, index]) for index in group.indices])
                count(dict(zip(group.indices, group.counted(rows), strict=True)))
                self.events += group.events
        return rows

    def _cut(self, followers: Sequence[Follower], givers: set[int]) -> list[Follower]:
        """Tanks on a full drain that feed tanks on it: what runs by that way is left out, and that is said."""
        cut = list(followers)
        for index in givers:
            vessel, name = followers[index].vessel, followers[index].vessel.tank.id
            nothing = Law(heights=np.array([vessel.bottom, vessel.tank.rim]), flows=np.zeros(2))
            sinks = tuple(replace(sink, law=nothing) if sink.to in GIVES else sink for sink in vessel.sinks)
            cut[index] = Follower(vessel=replace(vessel, sinks=sinks), level=followers[index].level)
            why = "its drain stands full, and it runs into tanks whose drain does too; that way is left out"
            self.missing.append((f"tank {name}", why))
        return cut

    def _in_order(self, later: set[int], followers: Sequence[Follower], supplies: Supplies) -> list[int]:
        """Who gives before who takes; where they run in a ring, it is cut somewhere and that is said."""
        givers = {
            index: {
                other
                for other in later
                if other != index and index in _takers(followers[other].vessel, supplies)
            }
            for index in later
        }
        order: list[int] = []
        while givers:
            free = sorted(index for index, before in givers.items() if not before - set(order))
            if not free:
                free = [min(givers)]
                name = followers[free[0]].vessel.tank.id
                self.missing.append(
                    (f"tank {name}", "tanks run into each other in a ring; one way is left out")
                )
            order += free
            for index in free:
                del givers[index]
        return order

    # --- the account ------------------------------------------------------------------------------------------------

    def _account(self, followers: Sequence[Follower], supplies: Supplies, rows: Array) -> WaterCourse:
        book = Ledger(columns_of(self.room), rows, [run.id for run in self.room.feeds])
        at = np.clip(np.searchsorted(supplies.edges, rows[:-1], side="right") - 1, 0, len(supplies.edges) - 2)
        rates = {one.run.id: one.tanks[None, :] * one.on[at][:, None] for one in supplies.feeds}
        whole = sum(rates.values(), start=np.zeros((len(at), len(followers))))
        hand = self._hand()
        for index, follower in enumerate(followers):
            found, tank = self._followed[index], follower.vessel.tank
            book.level[:, index] = found.level
            let_in = found.fed / np.where(whole[:, index] > 0.0, whole[:, index], 1.0)
            for feed, rate in rates.items():
                book.by_feed[feed][:, index] += rate[:, index] * let_in
            book.hand[:, index] = hand[index] * book.gaps
            book.spilled[:, index] += found.spilled
            book.to_floor(tank.room, found.spilled)
            self._enter_sinks(book, index, follower.vessel, found)
        for one in supplies.feeds:
            self._enter_feed(book, one, one.on[at])
        book.drawn(HAND, book.hand.sum(1))
        self._enter_gravity(book, followers, supplies)
        self._enter_drains(book)
        return book.course(
            [one.vessel for one in followers],
            supplies.stored,
            self._floor_drains(),
            self.start,
            self.events,
            self.missing,
        )

    def _floor_drains(self) -> dict[str, tuple[float, str]]:
        """What a floor drain takes back in each space, and the outfall it is."""
        found = {}
        for space, flow in floor_takes(self.room).items():
            ends = [one.id for one in self.room.outfalls if one.room == space]
            if flow > 0.0 and ends:
                found[space] = (flow, ends[0])
        return found

    def _enter_sinks(self, book: Ledger, index: int, vessel: Vessel, found: Followed) -> None:
        outfalls = {run.id: run.outfall for run in self.room.drains}
        for sink, volume in zip(vessel.sinks, found.sinks, strict=True):
            if sink.to == "drain":
                book.out_of(outfalls.get(sink.where, ""), volume)
            elif sink.to == "outfall":
                book.out_of(sink.where, volume)
            elif sink.to == "source":
                book.given_back(sink.where, volume)
            elif sink.to == "floor":
                book.spilled[:, index] += volume
                book.to_floor(sink.where, volume)

    def _enter_drains(self, book: Ledger) -> None:
        """What drains that are followed with their tanks hold, and what came out of them."""
        if self.start is not None:
            book.stored[:] = self.start.drains[-1]
        outfalls = {run.id: run.outfall for run in self.room.drains}
        for group in self.groups:
            standing, onto_floor = group.standing(book.rows), group.onto_floor(book.rows)
            book.stored[:, book.columns.drains.index(group.flows.run)] = standing
            book.to_floor(group.flows.space, onto_floor)
            book.out_of(outfalls[group.flows.run], -np.diff(standing) - onto_floor)

    def _enter_feed(self, book: Ledger, one: Supply, on: Array) -> None:
        """What a feed drew: what its tanks let in and what ran to the floor."""
        if one.gravity is not None:
            return
        to_floor = one.floor[None, :] * (on * book.gaps)[:, None]
        book.floor += to_floor
        book.drawn(one.run.source, book.by_feed[one.run.id].sum(1) + to_floor.sum(1))

    def _enter_gravity(self, book: Ledger, followers: Sequence[Follower], supplies: Supplies) -> None:
        for index, follower in enumerate(followers):
            for sink, volume in zip(follower.vessel.sinks, self._followed[index].sinks, strict=True):
                if sink.to == "feed":
                    tanks, floor = supplies.feed(sink.where).shared(self._followed[index].level, volume)
                    book.by_feed[sink.where] += tanks
                    book.floor += floor


def when_wet(course: WaterCourse) -> Second | None:
    """When a floor first has as much water as a sensor on it finds."""
    times = []
    for water in course.floor.T:
        above = np.flatnonzero(water >= WET_FLOOR)
        if len(above):
            k = int(above[0])
            if k == 0:
                return 0.0
            times.append(float(np.interp(WET_FLOOR, water[k - 1 : k + 1], course.times[k - 1 : k + 1])))
    return min(times, default=None)


def _givers(groups: Sequence[Group], followers: Sequence[Follower]) -> set[int]:
    """Tanks of groups that something runs into, out of which something runs into another tank."""
    return {
        index
        for group in groups
        for index in group.indices
        if any(sink.to in GIVES and sink.law.flows.any() for sink in followers[index].vessel.sinks)
    }


def _takers(vessel: Vessel, supplies: Supplies) -> set[int]:
    """Tanks that something out of this one runs into."""
    found: set[int] = set()
    for sink in vessel.sinks:
        if sink.to == "tank":
            found.add(supplies.order[sink.where])
        elif sink.to == "feed":
            found |= set(np.flatnonzero(supplies.feed(sink.where).reaches).tolist())
    return found


def _receivers(followers: Sequence[Follower], supplies: Supplies) -> set[int]:
    return {index for one in followers for index in _takers(one.vessel, supplies)}


def _hand_on(found: Followed, vessel: Vessel, handed: Array, supplies: Supplies) -> None:
    for sink, volume in zip(vessel.sinks, found.sinks, strict=True):
        if sink.to == "tank":
            handed[:, supplies.order[sink.where]] += volume
        elif sink.to == "feed":
            handed += supplies.feed(sink.where).shared(found.level, volume)[0]


def _on_rows(inflow: Inflow, rows: Array, handed: Array) -> Inflow:
    """The same inflow, row by row, and what comes out of other tanks meanwhile."""
    at = np.clip(np.searchsorted(inflow.edges, rows[:-1], side="right") - 1, 0, len(inflow.edges) - 2)
    return Inflow(
        edges=rows,
        fed=inflow.fed[at],
        other=inflow.other[at] + handed / np.diff(rows),
        shut=tuple(inflow.shut[k] for k in at) if inflow.shut else (),
    )


def _shut(vessel: Vessel, supplies: Supplies) -> tuple[frozenset[int], ...]:
    """In which stretch which feed out of a tank does not run."""
    out = {i: supplies.feed(sink.where).on for i, sink in enumerate(vessel.sinks) if sink.to == "feed"}
    if not out:
        return ()
    return tuple(frozenset(i for i, on in out.items() if not on[k]) for k in range(len(supplies.edges) - 1))
