"""Nodes and pipes of one air run: pump, adapters, the ring with a node at every tap and corner, branches."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tankwright.origin import Known, derived
from tankwright.plan.models import Air
from tankwright.room.defaults import Defaults
from tankwright.room.model import PipeRun, Place
from tankwright.room.walls import Line
from tankwright.units import Metre

ELBOW_LOSS = 0.9
"""Loss coefficient of a 90 degree elbow. Source: Crane TP-410 gives 30 f_T for a standard elbow, some
0.75 in small pipe; 0.9 for a threaded or sharp one, from memory."""

TEE_LOSS = 1.5
"""Loss coefficient of a tee's branch. Source: Crane TP-410, 60 f_T, some 1.5 in small pipe, from memory."""

ADAPTER_LOSS = 0.5
"""Loss coefficient of a sudden step to a narrower bore. Source: Crane TP-410, sharp entrance, from memory."""

ADAPTER_LENGTH = 0.05
"""m of each adapter. Source: common practice, no source."""


@dataclass(slots=True)
class AirPipes:
    """Nodes and pipes of one air run while they are drawn."""

    name: str
    height: Metre
    nodes: dict[str, Place]
    pipes: list[PipeRun]
    names: dict[tuple[int, float], str]
    inlet: str
    lead_end: tuple[str, Known, Metre]

    def __init__(self, *, name: str, height: Metre) -> None:
        self.name, self.height = name, height
        self.nodes, self.pipes, self.names = {}, [], {}
        self.inlet = f"{name}.pump"
        self.lead_end = (self.inlet, derived(0.02), 1.0)

    def node_at(self, index: int, place: Metre) -> str:
        """The node of a place on a line."""
        return self.names[index, place]

    def pipe(
        self, start: str, end: str, path: tuple[Place, ...], length: Metre, bore: Known, loss: float
    ) -> None:
        """One more pipe."""
        number = len(self.pipes) + 1
        self.pipes.append(
            PipeRun(
                id=f"{self.name}.pipe {number}",
                start=start,
                end=end,
                path=path,
                length=length,
                bore=bore,
                minor_loss=loss,
            )
        )

    def lead(
        self, air: Air, start: Metre, ring: Line, place: Place | None, bore: Known, defaults: Defaults
    ) -> None:
        """Pump and adapters; the pipe to the ring is joined when the ring has its nodes."""
        x, y = ring.point(start)
        here = place or (x, y, self.height)
        self.nodes[self.inlet] = here
        node = self.inlet
        for number, adapter in enumerate(air.adapters, start=1):
            following = f"{self.name}.adapter {number}"
            self.nodes[following] = here
            self.pipe(node, following, (here, here), ADAPTER_LENGTH, adapter.bore, ADAPTER_LOSS)
            node = following
        if air.lead is not None:
            length = air.lead.value
        elif place is not None:
            length = max(abs(place[0] - x) + abs(place[1] - y) + abs(place[2] - self.height), 0.05)
        else:
            length = defaults.take("air.lead").value
        self.lead_end = (node, bore, length)

    def join_lead(self, end: str) -> None:
        """The pipe from the last adapter to the ring."""
        node, bore, length = self.lead_end
        loss = ELBOW_LOSS + TEE_LOSS
        self.pipe(node, end, (self.nodes[node], self.nodes[end]), length, bore, loss)

    def path(
        self, index: int, line: Line, bore: Known, places: Sequence[Metre], *, closed: bool, corners: bool
    ) -> dict[Metre, str]:
        """Nodes and pipes along a line: one at every place asked for and at every corner."""
        turns = line.along if corners else line.along[1:]
        if closed:
            turns = turns[:-1]
        stops = sorted(set(places) | set(turns))
        corner_set = set(turns if closed else line.along[1:-1])
        merged: list[tuple[Metre, list[Metre]]] = []
        for stop in stops:
            if merged and stop - merged[-1][0] < 1e-6:
                merged[-1][1].append(stop)
            else:
                merged.append((stop, [stop]))
        names: dict[Metre, str] = {}
        before: tuple[str, Metre] | None = None
        first: tuple[str, Metre] | None = None
        turned = False
        for number, (stop, same) in enumerate(merged):
            node = f"{self.name}.{index}.{number}" if index else f"{self.name}.{number}"
            x, y = line.point(stop)
            self.nodes[node] = (x, y, self.height)
            for one in same:
                names[one] = node
                self.names[index, one] = node
            if before is not None:
                self._piece(before, (node, stop), bore, turned=turned)
            first = first or (node, stop)
            before = (node, stop)
            turned = any(one in corner_set for one in same)
        if closed and before is not None and first is not None and before[0] != first[0]:
            self._piece(before, (first[0], line.length + first[1]), bore, turned=turned)
        return names

    def branch(self, index: int, line: Line, bore: Known, places: Sequence[Metre], root: str) -> None:
        """A dead-end arm that leaves the ring at a node."""
        marks = self.path(index, line, bore, [*places, line.length], closed=False, corners=False)
        nearest = min(marks)
        self.pipe(
            root,
            marks[nearest],
            (self.nodes[root], self.nodes[marks[nearest]]),
            max(nearest, 0.01),
            bore,
            TEE_LOSS,
        )

    def _piece(self, start: tuple[str, Metre], end: tuple[str, Metre], bore: Known, *, turned: bool) -> None:
        length = max(end[1] - start[1], 1e-4)
        path = (self.nodes[start[0]], self.nodes[end[0]])
        self.pipe(start[0], end[0], path, length, bore, ELBOW_LOSS if turned else 0.0)
