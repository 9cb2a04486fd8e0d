"""What joins the ends that meet in a node, out of the fittings that can be bought.

A run has few kinds of joint and many of each, so whatever is looked up is kept. What no fitting joins is written down
with the dead end, never left out in silence.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import degrees
from typing import Final

from tankwright.catalogue.pipes import bore_of
from tankwright.catalogue.size_names import size_name
from tankwright.finding import Finding
from tankwright.origin import Known
from tankwright.takeoff.chain_model import Stub
from tankwright.takeoff.chains import find_chains
from tankwright.takeoff.end_mating import BORE_MATCH
from tankwright.takeoff.end_model import THREADS
from tankwright.takeoff.ends import End, Mating, mates, pipe_end
from tankwright.takeoff.fittings import Fitting, all_fittings
from tankwright.takeoff.shapes import Measures
from tankwright.units import Metre

SOFT: Final = ("PE", "PE SDR")
"""Families of pipe that bends and sags."""

WALL_OF_UNKNOWN: Final = 0.002
"""m, the wall of a pipe of which only the bore is said. Source: common practice, no source."""

NOTHING_LISTED: Final[Mapping[str, Metre]] = {}

FEW: Final = 2
"""Parts from which on a tee may be shorter than what is clamped on the wall."""

NAME_THE_PIPE: Final = 'write pipe = "50 mm ISO PN6", the size and the standard printed on it'
BRING_A_TABLE: Final = "add what your shop has as a table of fittings under [buy], or choose another size"


@dataclass(frozen=True, slots=True, kw_only=True)
class PipeKind:
    """A pipe as it is bought. `end` is None, and `why` says it, where its standard is not known."""

    article: str
    words: str
    end: End | None
    outer: Metre
    soft: bool = False
    rests_on: tuple[str, ...] = ()
    source: str = ""
    why: str = ""

    @property
    def wall(self) -> End | None:
        """Its side, where it is drilled."""
        return replace(self.end, form="wall") if self.end else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """The articles that join two ends, in order; or why none do, and what to do."""

    keys: tuple[str, ...] = ()
    stubs: tuple[Stub, ...] = ()
    takes: tuple[str, ...] = ()
    why: str = ""
    remedy: str = ""

    @property
    def ok(self) -> bool:
        """Whether the joint can be made."""
        return not self.why


@dataclass(frozen=True, slots=True, kw_only=True)
class Offtake:
    """What leads from the side of a pipe: a saddle or tap on its drilled wall, or a `tee` for which it is cut."""

    made: Made
    tee: Fitting | None = None


class Joiner:
    """Looks up what joins what, each question once. `bought` are the fittings there are to choose from, `longest`
    the longest stick of each article on the lists of shops."""

    def __init__(
        self, bought: tuple[Fitting, ...] | None = None, longest: Mapping[str, Metre] = NOTHING_LISTED
    ) -> None:
        self.longest = longest
        self.bought = all_fittings() if bought is None else bought
        self.by_key = {one.key: one for one in self.bought}
        self._between: dict[tuple[End, End], Made] = {}
        self._parts: dict[tuple[str, str], Fitting | None] = {}
        self._offtakes: dict[tuple[str, End], Offtake] = {}

    def pipe(self, text: str, bore: Known) -> PipeKind:
        """The pipe a plan names, or one of which only the bore is known."""
        rests = (bore.key,) if bore.is_assumed and bore.key else ()
        if not text:
            words = f"pipe of {size_name(bore.value, 'metric')} bore"
            return PipeKind(
                article=words,
                words=words,
                end=None,
                outer=bore.value + 2.0 * WALL_OF_UNKNOWN,
                rests_on=rests,
                why="the plan names no pipe, only a bore, and fittings go by the pipe's standard",
            )
        size, end = bore_of(text), pipe_end(text)
        if size is None or isinstance(end, Finding):
            said = end.text if isinstance(end, Finding) else "is not in the table of pipes"
            return PipeKind(
                article=f"pipe {text}",
                words=text,
                end=None,
                outer=bore.value + 2.0 * WALL_OF_UNKNOWN,
                rests_on=rests,
                why=f'"{text}" {said}',
            )
        return PipeKind(
            article=f"pipe {size.name}",
            words=end.words.removesuffix(" plain end"),
            end=end,
            outer=size.outer_diameter,
            soft=end.system in SOFT,
            rests_on=rests,
            source=size.source,
        )

    def part(self, pipe: PipeKind, name: str) -> Fitting | None:
        """The fitting of that name ("elbow 90", "tee", "cap") all of whose ends take the pipe."""
        key = (pipe.article, name)
        if key not in self._parts:
            self._parts[key] = self._find_part(pipe, name)
        return self._parts[key]

    def measures(self, pipe: PipeKind) -> Measures:
        """What the fittings of a pipe take up; by rule of thumb where none is in the table."""
        half = pipe.outer / 2.0
        found = {name: self.part(pipe, name) for name in ("elbow 90", "elbow 45", "tee")}
        rule = {"elbow 90": half + 0.001, "elbow 45": 0.414 * half + 0.001, "tee": half + 0.001}
        reach = {name: max(one.take_ups) if one else rule[name] for name, one in found.items()}
        depths = [max(one.depths) for one in found.values() if one]
        return Measures(
            elbow_90=reach["elbow 90"],
            elbow_45=reach["elbow 45"],
            tee=reach["tee"],
            socket=max(depths) if depths else half + 0.006,
        )

    def between(self, start: End, goal: End) -> Made:
        """The best chain from one end to another."""
        key = (start, goal)
        if key not in self._between:
            self._between[key] = self._chain(start, goal)
        return self._between[key]

    def offtake(self, pipe: PipeKind, goal: End) -> Offtake:
        """What leads from the side of a pipe to an end, with the fewest parts."""
        key = (pipe.article, goal)
        if key not in self._offtakes:
            self._offtakes[key] = self._find_offtake(pipe, goal)
        return self._offtakes[key]

    def rodding(self, pipe: PipeKind) -> Made:
        """A cap that can be screwed off for a rod: a threaded adapter and its plug."""
        if pipe.end is None:
            return unknown(pipe)
        plugs = [one for one in self.bought if one.kind == "plug" and one.ends[0].is_thread]
        direct = [
            (adapter.bore or 0.0, Made(keys=(adapter.key, plug.key)))
            for adapter in self.bought
            if adapter.kind == "adapter" and mates(adapter.ends[0], pipe.end).ok
            for plug in plugs
            if mates(adapter.ends[1], plug.ends[0]).ok
        ]
        if direct:
            return max(direct, key=lambda one: one[0])[1]
        for plug in reversed(plugs):  # the widest thread a longer chain leads to
            made = self.between(pipe.end, plug.ends[0])
            if made.ok:
                return replace(made, keys=(*made.keys, plug.key))
        return Made(why=f"no screwed cap for {pipe.words} is among the fittings", remedy=BRING_A_TABLE)

    def _find_part(self, pipe: PipeKind, name: str) -> Fitting | None:
        if pipe.end is None:
            return None
        kinds = {"cap": ("cap", "plug"), "elbow 90": ("elbow",), "elbow 45": ("elbow",)}.get(name, (name,))
        angle = float(name.split()[1]) if name.startswith("elbow") else None
        fitting = [
            one
            for one in self.bought
            if one.kind in kinds
            and (angle is None or abs(degrees(one.turn) - angle) < 1.0)
            and all(mates(end, pipe.end).ok for end in one.ends)
        ]
        return min(fitting, key=lambda one: (one.effort, one.key), default=None)

    def _chain(self, start: End, goal: End) -> Made:
        if mates(start, goal).ok:
            return Made(takes=called(start, goal))
        near = self._near(start, goal)
        chains = find_chains(near, start, goal, alternatives=0)
        if chains.best is None:
            chains = find_chains(self.bought, start, goal, alternatives=0)
        if chains.best is None:
            why = chains.findings[0] if chains.findings else None
            said = f": {why.text}" if why else ""
            return Made(
                why=f"nothing leads from {start.words} to {goal.words}{said}",
                remedy=why.remedy if why and why.remedy else BRING_A_TABLE,
            )
        return Made(
            keys=chains.best.fittings,
            stubs=chains.best.stubs,
            takes=tuple(thing for link in chains.best.links for thing in called(link.a, link.b, link.mating)),
        )

    def _near(self, start: End, goal: End) -> tuple[Fitting, ...]:
        """The fittings of the families of both ends, their hoses and their threads: most chains need no other, and a
        search in a tenth of the table takes a tenth of the time."""
        inch = {start.system, goal.system} & {"ASTM", "NPT", "GHT"}
        threads = ("NPT", "GHT") if inch else tuple(name for name in THREADS if name.startswith("BSP"))
        families = {start.system, goal.system, "hose", *threads}
        return tuple(one for one in self.bought if all(end.system in families for end in one.ends))

    def _find_offtake(self, pipe: PipeKind, goal: End) -> Offtake:
        if pipe.end is None or pipe.wall is None:
            return Offtake(made=unknown(pipe))
        on_wall = self.between(pipe.wall, goal)
        choices = [Offtake(made=on_wall)] if on_wall.ok else []
        if not on_wall.ok or len(on_wall.keys) > FEW:
            for tee in self._tees(pipe, goal):
                branch = self.between(tee.ends[2], goal)
                if branch.ok:
                    choices.append(Offtake(made=branch, tee=tee))
        return min(choices, key=self._parts_of) if choices else Offtake(made=on_wall)

    def _tees(self, pipe: PipeKind, goal: End) -> tuple[Fitting, ...]:
        """The tee of a pipe with three ends alike, and the one with the smallest branch that is not too small."""
        assert pipe.end is not None
        wanted = goal.inner or 0.0
        through = [
            one
            for one in self.bought
            if one.kind in ("tee", "reducing tee")
            and all(mates(end, pipe.end).ok for end in one.ends[:2])
            and (one.bore or wanted) >= 0.8 * wanted
        ]
        through.sort(key=lambda one: (one.ends[2].outer or pipe.outer, one.effort))
        return (*through[:1], *through[1:][-1:])

    def tap(self, pipe: PipeKind, tube: End) -> Made:
        """A tap on the drilled wall of a pipe, with a barb for its tube."""
        if pipe.wall is None:
            return unknown(pipe)
        for one in self.bought:
            if one.kind == "air tap" and mates(one.ends[0], pipe.wall).ok and mates(one.ends[1], tube).ok:
                return Made(keys=(one.key,))
        return Made(
            why=f"no tap for {pipe.words} and {tube.words} is among the fittings", remedy=BRING_A_TABLE
        )

    def _parts_of(self, offtake: Offtake) -> tuple[int, float]:
        """Fewer parts first, a tee and its two glued joints counting two; then the commoner ones."""
        effort = sum(self.by_key[key].effort for key in offtake.made.keys if key in self.by_key)
        tee = offtake.tee
        return len(offtake.made.keys) + (2 if tee else 0), effort + (tee.effort if tee else 0.0)


def unknown(pipe: PipeKind) -> Made:
    """Why nothing is looked up for a pipe whose standard is not known."""
    return Made(why=pipe.why, remedy=NAME_THE_PIPE)


def rests(*known: Known | None) -> tuple[str, ...]:
    """The assumptions some values stand on."""
    return tuple(dict.fromkeys(one.key for one in known if one is not None and one.is_assumed and one.key))


def called(one: End, other: End, mating: Mating | None = None) -> tuple[str, ...]:
    """What a joint of two ends uses up; a clip is called by the hose it goes round."""
    round_it = (other if one.form == "barb" else one).words.removesuffix(" plain end")
    return tuple(
        f"hose clip for {round_it}" if thing == "hose clip" else thing
        for thing in (mating or mates(one, other)).takes
    )


def hose_of(bore: Metre, display: str, sold: Mapping[str, Metre]) -> End:
    """The hose of a bore, or the next wider that is sold: a bore may have been measured in its barb.

    >>> hose_of(0.011, "metric", {"10 mm": 0.010, "13 mm": 0.013}).words
    '13 mm hose'
    """
    fits = [(inner, size) for size, inner in sold.items() if inner >= bore * (1.0 - BORE_MATCH)]
    inner, size = min(fits, default=(bore, size_name(bore, display)))
    return End("hose", size, "hose", inner=inner)


def tube_of(bore: Metre) -> End:
    """The soft tube of a bore, half as thick again outside: 4 mm is sold 6 mm thick. Common practice, no source.

    >>> tube_of(0.004).words
    '4/6 mm tube'
    """
    outer = 1.5 * bore
    inner_name, outer_name = size_name(bore, "metric").split()[0], size_name(outer, "metric")
    return End("tube", f"{inner_name}/{outer_name}", "tube", outer=outer, inner=bore)
