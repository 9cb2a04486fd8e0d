"""What stands between a feed's source and its pipe counted: bulkhead, filters, valves, and adapters to their ends."""

from __future__ import annotations

from tankwright.finding import Finding, Severity
from tankwright.plan.models import Plan
from tankwright.room.model import FeedRun, Room
from tankwright.takeoff.ends import read_end
from tankwright.takeoff.joints import Joiner, PipeKind
from tankwright.takeoff.model import Kind
from tankwright.takeoff.putting import in_words, joined
from tankwright.takeoff.tally import Tally, listed

PORT = "3/4 in BSP G female"
PORT_US = "3/4 in NPT female"
"""What filters, valves and pumps are taken to have at both ends. Common practice, no source."""

TAP = "3/4 in BSP G male"
TAP_US = "3/4 in GHT male"
"""What a water point is taken to have. Common practice, no source."""


class Lines:
    """The lines of all feeds, one by one, and the ends that were taken because nobody said them."""

    def __init__(self, plan: Plan, room: Room, joiner: Joiner) -> None:
        self.plan, self.room, self.joiner = plan, room, joiner
        self.port, self.tap = (PORT_US, TAP_US) if room.display == "US" else (PORT, TAP)
        self._taken: dict[tuple[str, str], list[str]] = {}
        self._keys: dict[str, None] = {}
        self._feeds: list[str] = []

    def count(self, run: FeedRun, tally: Tally, pipe: PipeKind) -> None:
        """From the tap, vat or tank through everything that stands in the line to the first piece of pipe."""
        begin, words = self._source(run, tally)
        self._thread(tally, begin, pipe, run.inlet, f"from {words} to the pipe")
        for name, kind, said in self._units(run):
            end = said or self._take(
                run, self.port, name, f"in filters, valve or [feed.{run.id}] itself", "both ends of "
            )
            node = f"{run.id}.{name}"
            tally.words[node] = f"the {name}"
            key = tally.article(
                name, kind, note=f"with {end} at both ends, {'as said' if said else 'a guess'}"
            )
            tally.need(key, f"in the line of {tally.subject}, behind {words}", joint=node)
            tally.joint(node, (), (key,))
            for side in ("into", "out of"):
                self._thread(tally, end, pipe, node, f"{side} {name} of {tally.subject}")

    def said(self) -> tuple[Finding, ...]:
        """The ends that are a guess, all in one, and where the plan would say them."""
        if not self._taken:
            return ()
        ends = "; ".join(f"{end} at {side}{listed(things)}" for (end, side), things in self._taken.items())
        return (
            Finding(
                code="PART-06",
                severity=Severity.NOTE,
                subject="feeds",
                text=f"are counted with ends that nobody said: {ends}",
                reason="adapters are bought for ends",
                remedy=f'look at each, and write what it has as fitting = "{next(iter(self._taken))[0]}" '
                f"{listed(self._keys)}; what stands in the line also takes up a piece of pipe",
                places=tuple(dict.fromkeys(self._feeds)),
            ),
        )

    def _source(self, run: FeedRun, tally: Tally) -> tuple[str, str]:
        """The end that a feed begins at, and at what."""
        plan, name = self.plan, run.source
        words = f"{run.source_kind} {name}"
        if run.source_kind == "water point":
            said = plan.water_point[name].fitting if name in plan.water_point else None
            return said or self._take(run, self.tap, words, f"in [water_point.{name}]"), words
        if run.pump is not None:
            words = f"pump {run.pump}"
            said = plan.pump[run.pump].fitting if run.pump in plan.pump else None
            return said or self._take(run, self.port, words, f"in [pump.{run.pump}]"), words
        said = plan.vat[name].fitting if name in plan.vat else plan.feed[run.id].fitting
        table = f"in [vat.{name}]" if name in plan.vat else f"in [feed.{run.id}]"
        end = said or self._take(run, self.port, f"the bulkhead of {words}", table)
        key = tally.article(f"bulkhead {end}", "bulkhead", note="measure its body before drilling")
        tally.need(key, f"in the wall of {words}", joint=run.inlet)
        return end, words

    def _take(self, run: FeedRun, end: str, at: str, key: str, side: str = "") -> str:
        """An end that nobody said."""
        things = self._taken.setdefault((end, side), [])
        if at not in things:
            things.append(at)
        self._keys[key] = None
        self._feeds.append(run.id)
        return end

    def _thread(self, tally: Tally, text: str, pipe: PipeKind, node: str, where: str) -> None:
        end = read_end(text)
        if isinstance(end, Finding):
            why = f'"{text}" {end.text}'
            tally.unjoined(why, 'write the end as the parts list does, "3/4 in BSP G female"', node)
            tally.joint(node, (text, pipe.words), (), why)
            return
        keys, why = joined(tally, self.joiner, end, pipe.end, node, where)
        tally.joint(node, (text, pipe.words), keys, why)

    def _units(self, run: FeedRun) -> list[tuple[str, Kind, str | None]]:
        """What stands in the line, in the order the water passes, and what it has at its ends where that is said."""
        display, feed = self.room.display, self.plan.feed[run.id]
        own = {one.name: one.fitting for one in (*feed.filters, feed.valve) if one is not None}
        units: list[tuple[str, Kind, str | None]] = []
        if run.check_valve:
            units.append(("check valve", "valve", feed.fitting))
        for one in run.filters:
            is_valve = "valve" in one.name
            name = one.name if is_valve or "filter" in one.name else f"{one.name} filter"
            units.append((name, "valve" if is_valve else "filter", own.get(one.name) or feed.fitting))
        if run.regulated_to is not None:
            to = in_words(run.regulated_to.value, "Pa", ("kPa", "psi"), display)
            units.append((f"pressure regulator to {to}", "valve", feed.fitting))
        if run.limit is not None:
            most = in_words(run.limit.value, "m3/s", ("L/min", "US gal/min"), display)
            units.append((f"flow limiter {most}", "valve", feed.fitting))
        if run.shuts_after is not None or run.shuts_after_volume is not None:
            units.append(("valve that shuts by itself", "valve", feed.fitting))
        return units
