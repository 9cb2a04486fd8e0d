"""What was drawn and worked for the newest states of the plan, kept so that ten open pages cost one."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping
from threading import Lock
from typing import Final, TypeVar

from tankwright.drawing.layers import draw_results
from tankwright.drawing.results import DrawnResults, Layer
from tankwright.explain.all import workings
from tankwright.explain.model import Working
from tankwright.workspace.live import Snapshot
from tankwright.workspace.opened import Opened

_KEPT: Final = 96

Made = TypeVar("Made")


class MadeOnce:
    """A small store of results by plan state; safe for many threads."""

    def __init__(self) -> None:
        self._made: OrderedDict[Hashable, tuple[Opened, object]] = OrderedDict()
        self._lock = Lock()

    def keep(self, snapshot: Snapshot, name: Hashable, make: Callable[[Opened], Made]) -> Made | None:
        """What `make` gives for the last good plan of a snapshot: made once, then remembered."""
        good = snapshot.good
        if good is None:
            return None
        key = (id(good), name)
        with self._lock:
            found = self._made.get(key)
            if found is not None and found[0] is good:
                self._made.move_to_end(key)
                return found[1]  # type: ignore[return-value] # the name stands for one kind of thing
        made = make(good)
        with self._lock:
            self._made[key] = (good, made)
            while len(self._made) > _KEPT:
                self._made.popitem(last=False)
        return made

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

    def stands_on(self, snapshot: Snapshot, name: str) -> frozenset[str]:
        """Keys of the assumptions a working rests on, through the workings it names."""
        known = self.workings(snapshot)
        found = self.keep(snapshot, "stands on", lambda _: dict[str, frozenset[str]]())
        if found is None:
            return frozenset()
        if name not in found:
            found[name] = _assumed(known, name, frozenset())
        return found[name]


def _assumed(known: Mapping[str, Working], name: str, seen: frozenset[str]) -> frozenset[str]:
    working = known.get(name)
    if working is None or name in seen:
        return frozenset()
    keys: set[str] = set()
    for given in working.inputs:
        if given.known is not None and given.known.is_assumed:
            keys.add(given.known.key or given.name)
        elif given.see:
            keys |= _assumed(known, given.see, seen | {name})
    return frozenset(keys)
