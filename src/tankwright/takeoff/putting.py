"""Writes fittings, chains and clips of one joint into the list of a run."""

from __future__ import annotations

from math import ceil, pi
from typing import Final

from tankwright.room.assumed import assumed
from tankwright.room.model import AirRun, DrainRun, FeedRun, Room
from tankwright.takeoff.ends import End
from tankwright.takeoff.fittings import Fitting
from tankwright.takeoff.joints import BRING_A_TABLE, Joiner, Made, PipeKind, called, rests, unknown
from tankwright.takeoff.model import Kind
from tankwright.takeoff.shapes import Shape
from tankwright.takeoff.tally import Tally
from tankwright.units import Metre, convert

KINDS: Final[dict[str, Kind]] = {
    "valve": "valve", "bulkhead": "bulkhead", "air tap": "tap", "dripper": "dripper",
}  # fmt: skip
"""Kinds of fitting that the list sets apart from fittings."""

TAPE: Final = 0.35
"""m of thread tape on a joint: five turns of a half inch thread. Source: common practice, no source."""

CEMENT: Final = 1.5e-3
"""m, wet cement on the wall of a socket with all that stays on brush and rag: a pint does 200 sockets of one inch.
Source: from memory of a cement maker's table."""

CLIPPED: Final = 0.2
"""m below which a piece hangs in its fittings and gets no clip. Source: common practice, no source."""

Put = tuple[tuple[str, ...], str]
"""The articles of a joint, and why it cannot be made ("" when it can)."""


def in_words(value: float, unit: str, shown: tuple[str, str], display: str) -> str:
    """A rating as part of an article's name, in the first unit shown or, where the plan is read so, in the American.

    >>> in_words(1.5e5, "Pa", ("kPa", "psi"), "metric"), in_words(1.0515e-6, "m3/s", ("L/h", "US gal/h"), "US")
    ('150 kPa', '1 gal/h')
    """
    own = shown[1] if display == "US" else shown[0]
    return f"{convert(value, unit, own):.3g} {own.removeprefix('US ')}"


def tally_of(room: Room, system: str, run: DrainRun | AirRun | FeedRun) -> Tally:
    """The empty list of a run; where two runs share a name, their pieces are marked by the system too."""
    names = [one.id for one in room.drains] + [one.id for one in room.airs] + [one.id for one in room.feeds]
    alone = names.count(run.id) == 1
    return Tally(
        system=system, run=run.id, line=run.line, marked_as=run.id if alone else f"{system} {run.id}"
    )


def clip(room: Room, tally: Tally, pipe: PipeKind, length: Metre, where: str) -> None:
    """The clips of a piece."""
    every = assumed(room, "build.soft_pipe_clip" if pipe.soft else "build.pipe_clip")
    if length >= CLIPPED:
        key = tally.article(f"clip for {pipe.words}", "clip", rests_on=pipe.rests_on)
        tally.need(key, where, ceil(length / every.value), rests_on=rests(every))


def put(
    tally: Tally, joiner: Joiner, pipe: PipeKind, shape: Shape, at: str, tees: tuple[Fitting, ...] = ()
) -> Put:
    """The fittings of a spot, `tees` before those of the pipe's own size, and the shortest pieces between them."""
    if pipe.end is None and shape.fittings:
        tally.unjoined(pipe.why, unknown(pipe).remedy, at)
        return (), pipe.why
    keys: list[str] = []
    why = ""
    measures = joiner.measures(pipe)
    given = list(tees)
    for name in shape.fittings:
        part = given.pop() if given and name == "tee" else joiner.part(pipe, name)
        if part is None:
            why = f"no {name} for {pipe.words} is among the fittings"
            tally.unjoined(why, BRING_A_TABLE, at)
            continue
        keys.append(_fitting(tally, joiner, part.key))
        where = f"{tally.subject}, at {tally.called(at)}"
        tally.need(part.key, where, joint=at)
        for end in part.ends:
            for thing in called(end, pipe.end) if pipe.end else ():
                _use(tally, thing, at, where, ())
    for _ in range(shape.stubs):
        tally.stub(pipe.article, measures.stub, at)
    return tuple(keys), why


def joined(
    tally: Tally,
    joiner: Joiner,
    start: End | None,
    goal: End | None,
    at: str,
    where: str,
    places: tuple[str, ...] = (),
) -> Put:
    """What leads from one end to the other."""
    if start is None or goal is None:
        why = "the standard of one of its pipes is not known"
        tally.unjoined(why, "name each pipe by size and standard", at)
        return (), why
    return put_made(tally, joiner, joiner.between(start, goal), at, where, places)


def put_made(
    tally: Tally, joiner: Joiner, made: Made, at: str, where: str, places: tuple[str, ...] = ()
) -> Put:
    """The parts of a chain that was found, with its stubs and what its joints use up."""
    if not made.ok:
        tally.unjoined(made.why, made.remedy, at)
        return (), made.why
    for key in made.keys:
        _fitting(tally, joiner, key)
        tally.need(key, where, joint=at, places=places)
    for stub in made.stubs:
        words = stub.end.words.removesuffix(" plain end")
        soft = stub.end.system in ("hose", "tube")
        article = tally.article(
            words if soft else tally.pipes.get(words, f"pipe {words}"),
            "hose" if soft else "pipe",
            "metre" if soft else "length",
        )
        mark = "" if soft else tally.mark()
        tally.need(article, f"{where}: {stub.words}", length=stub.length, joint=at, places=places, mark=mark)
    for thing in made.takes:
        _use(tally, thing, at, where, places)
    return made.keys, ""


def _fitting(tally: Tally, joiner: Joiner, key: str) -> str:
    known = joiner.by_key[key]
    for end, depth in zip(known.ends, known.depths, strict=True):
        if end.form == "socket":
            tally.cement += pi * (end.outer or 0.0) * depth * CEMENT
    return tally.article(key, KINDS.get(known.kind, "fitting"), source=known.source)


def _use(tally: Tally, thing: str, at: str, where: str, places: tuple[str, ...]) -> None:
    if thing == "thread tape":
        tally.tape += TAPE
    elif thing != "solvent cement":  # that is reckoned by the sockets
        key = tally.article(thing, "clip" if thing.startswith("hose clip") else "other")
        tally.need(key, where, joint=at, places=places)
