"""Pipe threads: NPT (ASME B1.20.1), BSP (ISO 228-1 and ISO 7-1) and garden hose thread.

The table is `threads.csv`. BSP is one form of thread under four letters: G is parallel, R tapered outside, Rp parallel
inside, Rc tapered inside.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from tankwright.catalogue.tables import Cells, read_table
from tankwright.units import Metre, convert


@dataclass(frozen=True, slots=True, kw_only=True)
class Thread:
    """One thread. `outer` is the pipe (NPT) or the major diameter, `gauge_length` the hand-tight one of a tapered
    thread; `pitch_end` and `pitch_gauge` are NPT's pitch diameters at the small end and at the hand-tight plane."""

    system: str
    size: str
    threads_per_inch: float
    outer: Metre
    minor: Metre | None
    gauge_length: Metre | None
    pitch_end: Metre | None
    pitch_gauge: Metre | None
    source: str

    @property
    def from_memory(self) -> bool:
        """True when it could not be read in print."""
        return "from memory" in self.source


def all_threads() -> tuple[Thread, ...]:
    """Every thread of the table, in its order.

    >>> len(all_threads())
    19
    """
    return _threads()


def find_thread(system: str, size: str) -> Thread | None:
    """The thread of a system and size; None when it is not in the table.

    >>> find_thread("BSP", "1/2 in").threads_per_inch, find_thread("NPT", "7 in") is None
    (14.0, True)
    """
    return next((one for one in _threads() if (one.system, one.size) == (system, size)), None)


def thread_of(cells: Cells) -> Thread:
    """A line of the table as a thread; raises ValueError when a cell cannot be right."""

    def metres(name: str) -> Metre | None:
        return convert(float(cells[name]), cells["unit"], "m") if cells[name] else None

    outer = metres("outer")
    if outer is None or not float(cells["threads_per_inch"]) > 0 or not cells["source"]:
        raise ValueError("a thread without its diameter, its pitch or its source")
    return Thread(
        system=cells["system"],
        size=cells["size"],
        threads_per_inch=float(cells["threads_per_inch"]),
        outer=outer,
        minor=metres("minor"),
        gauge_length=metres("gauge_length"),
        pitch_end=metres("pitch_end"),
        pitch_gauge=metres("pitch_gauge"),
        source=cells["source"],
    )


@cache
def _threads() -> tuple[Thread, ...]:
    return read_table("threads.csv", thread_of)
