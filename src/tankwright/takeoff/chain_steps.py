"""The steps a chain can take: what goes on an open end, with a stub between where both ends take one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from tankwright.takeoff.chain_model import Link, Stub, Used
from tankwright.takeoff.end_mating import mates
from tankwright.takeoff.end_model import End, families
from tankwright.takeoff.fittings import Fitting
from tankwright.units import Metre

TAKES_A_STUB: Final = frozenset({"socket", "push-fit socket", "compression socket", "barb"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Join:
    """Two ends brought together: a joint, or a stub with a joint at each end."""

    links: tuple[Link, ...]
    stub: Stub | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One fitting put on an open end, and the end that is open after it."""

    join: Join
    used: Used
    opens: End


class Board:
    """The fittings of one search, found by what their ends go on."""

    def __init__(self, fittings: tuple[Fitting, ...]) -> None:
        self._by_group: dict[tuple[str, str], dict[End, list[tuple[Fitting, int]]]] = {}
        for fitting in fittings:
            for number, end in enumerate(fitting.ends[:2]):
                alike = self._by_group.setdefault(_group(end), {})
                alike.setdefault(end, []).append((fitting, number))
        self._known: dict[End, tuple[Step, ...]] = {}

    def steps(self, end: End) -> tuple[Step, ...]:
        """Everything that goes on an end and leads on. The stubs have no length yet: that comes with the fittings."""
        if end not in self._known:
            self._known[end] = tuple(self._steps(end))
        return self._known[end]

    def goes_on(self, end: End) -> bool:
        """True where anything at all that can be bought goes on this end."""
        return any(join(end, 0.0, other, 0.0) for other in self._by_group.get(_group(end), ()))

    def _steps(self, end: End) -> Iterator[Step]:
        for other, members in self._by_group.get(_group(end), {}).items():
            made = join(end, 0.0, other, 0.0)
            if made is None:
                continue
            for fitting, number in members:
                if len(fitting.ends) == 2:
                    used = Used(fitting=fitting, enter=number, leave=1 - number)
                    yield Step(join=made, used=used, opens=fitting.ends[1 - number])


def join(a: End, depth_a: Metre, b: End, depth_b: Metre) -> Join | None:
    """How two ends come together, directly or by a stub that fills both; None where they do not.

    >>> from tankwright.takeoff.end_reading import read_end
    >>> socket = read_end("25 mm ISO socket")
    >>> join(socket, 0.0185, socket, 0.0185).stub.words
    'a stub of 25 mm ISO pipe, 37 mm long'
    """
    mating = mates(a, b)
    if mating.ok:
        return Join(links=(Link(a=a, b=b, mating=mating),))
    if a.form not in TAKES_A_STUB or b.form not in TAKES_A_STUB:
        return None
    for middle in _stubs(a):
        into_a, into_b = mates(a, middle), mates(middle, b)
        if into_a.ok and into_b.ok:
            links = (Link(a=a, b=middle, mating=into_a), Link(a=middle, b=b, mating=into_b))
            return Join(links=links, stub=Stub(end=middle, length=depth_a + depth_b))
    return None


def _group(end: End) -> tuple[str, str]:
    """Ends of different groups never meet: threads by size, pipes by size, hoses and tubes among themselves."""
    if end.is_thread:
        return ("thread", end.size)
    return ("hose", "") if end.system in ("hose", "tube") else ("pipe", end.size)


def _stubs(end: End) -> Iterator[End]:
    """The pipes, hoses or tubes an end takes."""
    if end.system == "hose":
        yield End("hose", end.size, "hose", inner=end.inner)
    elif end.system == "tube":
        yield End("tube", end.size, "tube", end.outer, end.inner)
    else:
        known = families()
        for system in ("UK solvent", "UK push-fit") if end.system == "UK waste" else (end.system,):
            yield End(
                system, end.size, "plain end", known[system].sizes[end.size], None, known[system].material
            )
