"""What was drawn and worked for the newest states of the plan, kept so that ten open pages cost one."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping
from threading import Lock
from typing import Final, TypeVar

from tankwright.drawing.layers import draw_results
from tankwright.drawing.results import DrawnResults, Layer
from tankwright.explain.all import workings, workings_by_system
from tankwright.explain.model import Working
from tankwright.workspace.live import Snapshot
from tankwright.workspace.opened import Opened

_STATES: Final = 6
_THINGS: Final = 64

Made = TypeVar("Made")


class _Made:
    """What was made of one state. It holds the state, so that no other one can come to stand at its id."""

    def __init__(self, good: Opened) -> None:
        self.good = good
        self.things: OrderedDict[Hashable, object] = OrderedDict()


class MadeOnce:
    """A small store of results by plan state, a few states and some dozens of things of each; safe for many threads."""

    def __init__(self) -> None:
        self._states: OrderedDict[int, _Made] = OrderedDict()
        self._lock = Lock()

    def keep(self, snapshot: Snapshot, name: Hashable, make: Callable[[Opened], Made]) -> Made | None:
        """What `make` gives for the last good plan of a snapshot: made once, then remembered. Of two threads that
        make it at the same time the first counts for both."""
        good = snapshot.good
        if good is None:
            return None
        with self._lock:
            known = self._of(good).things
            if name in known:
                known.move_to_end(name)
                return known[name]  # type: ignore[return-value] # the name stands for one kind of thing
        made = make(good)
        with self._lock:
            known = self._of(good).things
            first = known.setdefault(name, made)
            while len(known) > _THINGS:
                known.popitem(last=False)
        return first  # type: ignore[return-value] # likewise

    def _of(self, good: Opened) -> _Made:
        state = self._states.setdefault(id(good), _Made(good))
        self._states.move_to_end(id(good))
        while len(self._states) > _STATES:
            self._states.popitem(last=False)
        return state

    def results(self, snapshot: Snapshot, layer: Layer) -> DrawnResults:
        """What the drawing shows of one layer."""

        def make(good: Opened) -> DrawnResults:
            return (
                DrawnResults(layer=layer)
                if good.study is None
                else draw_results(good.study, good.findings, layer)
            )

        return self.keep(snapshot, ("results", layer), make) or DrawnResults(layer=layer)

    def workings(self, snapshot: Snapshot) -> Mapping[str, Working]:
        """The working behind every number, by name."""
        return self.keep(snapshot, "workings", lambda good: workings(good.study) if good.study else {}) or {}

    def system_of(self, snapshot: Snapshot) -> Mapping[str, str]:
        """The system each working belongs to, by its name."""

        def make(good: Opened) -> Mapping[str, str]:
            found = workings_by_system(good.study) if good.study else {}
            return {working.name: system for system, those in found.items() for working in those}

        return self.keep(snapshot, "systems of workings", make) or {}

    def stands_on(self, snapshot: Snapshot, name: str) -> frozenset[str]:
        """Keys of the assumptions a working rests on, through the workings it names."""
        known = self.workings(snapshot)
        found = self.keep(snapshot, "stands on", lambda _: dict[str, frozenset[str]]())
        if found is None:
            return frozenset()
        if name not in found:
            found[name] = assumed_under(known, name)
        return found[name]


def assumed_under(
    known: Mapping[str, Working], name: str, seen: frozenset[str] = frozenset()
) -> frozenset[str]:
    """Keys of the assumptions a working rests on, itself or through those it names."""
    working = known.get(name)
    if working is None or name in seen:
        return frozenset()
    keys: set[str] = set()
    for given in working.inputs:
        if given.known is not None and given.known.is_assumed:
            keys.add(given.known.key or given.name)
        elif given.see:
            keys |= assumed_under(known, given.see, seen | {name})
    return frozenset(keys)
