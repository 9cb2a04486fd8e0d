"""A pipe from one fitting to the next, written into the list of its run: its pieces, the couplings where a stick
ends, its clips."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tankwright.room.model import Room
from tankwright.takeoff.couplings import Coupling, in_sticks
from tankwright.takeoff.joints import Joiner, Made, PipeKind, unknown
from tankwright.takeoff.putting import clip, put_made
from tankwright.takeoff.sticks import Sticks
from tankwright.takeoff.tally import Tally
from tankwright.units import Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """Lays the pipes of one run."""

    room: Room
    tally: Tally
    joiner: Joiner
    sticks: Sticks

    def write(self, pipe: PipeKind) -> None:
        """The pipe as an article, and how it is sold."""
        self.tally.article(
            pipe.article, "pipe", self.sticks.sold_by(pipe), source=pipe.source, rests_on=pipe.rests_on
        )
        self.tally.pipes.setdefault(pipe.words, pipe.article)

    def lay(
        self,
        pipe: PipeKind,
        asked: Metre,
        least: Metre,
        between: tuple[str, str],
        *,
        way: Metre,
        taps: Sequence[Metre] = (),
        beside: Metre = 0.0,
    ) -> None:
        """What lies between two fittings, named by their nodes, whose middles are `way` apart. `taps` are what is
        drilled or clamped on the pipe, from where it begins, each `beside` to either side of its middle."""
        first, last = (self.tally.called(node) for node in between)
        pieces, names, takes = self._cut(pipe, asked, (first, last), taps, beside)
        self.tally.taken_up += takes
        stops = (first, *names, last)
        for number, length in enumerate(pieces):
            rests_on = self.sticks.rests(pipe) if names else ()
            shortest = 0.0 if names else least
            self.tally.piece(
                pipe.article, length, shortest, stops[number : number + 2], way=way, rests_on=rests_on
            )
        clip(self.room, self.tally, pipe, max(asked, least), f"between {first} and {last}")

    def stand(self, pipe: PipeKind, length: Metre, where: str, mark: str, rests_on: tuple[str, ...]) -> None:
        """A pipe that is no part of the way of its run, as a vent is none."""
        pieces, names, _ = self._cut(pipe, length, (where, "its end"), (), 0.0)
        for number, piece in enumerate(pieces, start=1):
            own = f"{mark} {number}" if names else mark
            self.tally.need(pipe.article, where, length=piece, mark=own, rests_on=rests_on)
        clip(self.room, self.tally, pipe, length, where)

    def _cut(
        self, pipe: PipeKind, length: Metre, between: tuple[str, str], taps: Sequence[Metre], beside: Metre
    ) -> tuple[tuple[Metre, ...], tuple[str, ...], Metre]:
        """The pieces of a pipe, the names of the couplings between them, and what these take of its way."""
        made = unknown(pipe) if pipe.end is None else self.joiner.between(pipe.end, pipe.end)
        coupling = self._measured(made, pipe, beside)
        cuts = in_sticks(length, self.sticks.longest(pipe), coupling, taps)
        names = tuple(self._couple(pipe, made, between) for _ in cuts.couplings)
        if cuts.met:
            self.tally.crowded += [f"{name} between {between[0]} and {between[1]}" for name in names]
        return cuts.pieces, names, coupling.takes * len(names)

    def _measured(self, made: Made, pipe: PipeKind, beside: Metre) -> Coupling:
        parts = [self.joiner.by_key[key] for key in made.keys]
        takes = sum(sum(part.take_ups) for part in parts) + sum(stub.length for stub in made.stubs)
        deep = max(
            (depth for part in parts for depth in part.depths), default=self.joiner.measures(pipe).socket
        )
        return Coupling(takes=takes, half=takes / 2.0 + deep + beside)

    def _couple(self, pipe: PipeKind, made: Made, between: tuple[str, str]) -> str:
        """One coupling as a joint of its own; its name."""
        tally = self.tally
        node, name = tally.coupling()
        where = f"{tally.subject}, {name}, between {between[0]} and {between[1]}"
        keys, why = put_made(tally, self.joiner, made, node, where)
        tally.joint(node, (pipe.words,) * 2, keys, why)
        return name
