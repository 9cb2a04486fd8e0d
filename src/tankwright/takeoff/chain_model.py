"""What a chain of fittings is: what is used, in which order, and how each joint of it is made. Frozen, in SI units."""

from __future__ import annotations

from dataclasses import dataclass

from tankwright.finding import Finding
from tankwright.takeoff.end_mating import Mating
from tankwright.takeoff.end_model import End
from tankwright.takeoff.fittings import Fitting
from tankwright.units import Metre, convert


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What a chain may do: the least bore, how many fittings may turn it, how many joints it may have."""

    bore: Metre = 0.0
    turns: int = 0
    joints: int = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Used:
    """A fitting of a chain, entered by one of its ends and left by another."""

    fitting: Fitting
    enter: int
    leave: int

    @property
    def words(self) -> str:
        """The fitting as the list names it."""
        return self.fitting.key


@dataclass(frozen=True, slots=True, kw_only=True)
class Stub:
    """A short piece of pipe, hose or tube between two ends that both take one. `end` is its end, `length` the
    least that fills both."""

    end: End
    length: Metre

    @property
    def words(self) -> str:
        """The stub with its size and length."""
        of = self.end.words.replace(" plain end", " pipe")
        return f"a stub of {of}, {round(convert(self.length, 'm', 'mm'))} mm long"


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """One joint of a chain: what is pushed, screwed or welded together."""

    a: End
    b: End
    mating: Mating


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """One way from end to end. `steps` in order; `links` the joints in order; `bore` its narrowest known bore; `turns`
    the fittings that turn it; `price` where every fitting has one."""

    start: End
    goal: End
    steps: tuple[Used | Stub, ...]
    links: tuple[Link, ...]
    bore: Metre | None
    turns: int
    effort: float
    price: float | None = None

    @property
    def joints(self) -> int:
        """How many joints it has."""
        return len(self.links)

    @property
    def fittings(self) -> tuple[str, ...]:
        """The keys of its fittings, in order."""
        return tuple(step.fitting.key for step in self.steps if isinstance(step, Used))

    @property
    def stubs(self) -> tuple[Stub, ...]:
        """Its stubs, in order."""
        return tuple(step for step in self.steps if isinstance(step, Stub))

    @property
    def warnings(self) -> tuple[str, ...]:
        """What to look out for, each once."""
        return tuple(dict.fromkeys(link.mating.warn for link in self.links if link.mating.warn))

    @property
    def takes(self) -> tuple[str, ...]:
        """What its joints use up: cement, tape, washers, clips; one word for each joint that takes one."""
        return tuple(thing for link in self.links for thing in link.mating.takes)

    @property
    def words(self) -> str:
        """The chain in a line: "coupling 50 mm ISO, then reducing bush 50 x 40 mm ISO"."""
        return ", then ".join(step.words for step in self.steps) or "they go together as they are"


@dataclass(frozen=True, slots=True, kw_only=True)
class Chains:
    """What joins two ends: the best chain, others, or why there is none.

    `dead_end` is the end nothing that can be bought goes on. `findings` also say what was left out of the search.
    """

    start: End
    goal: End
    best: Chain | None = None
    alternatives: tuple[Chain, ...] = ()
    dead_end: End | None = None
    findings: tuple[Finding, ...] = ()

    @property
    def all(self) -> tuple[Chain, ...]:
        """Every chain found, best first."""
        return () if self.best is None else (self.best, *self.alternatives)
