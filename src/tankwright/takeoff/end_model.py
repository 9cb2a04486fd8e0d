"""One end of a pipe, hose or fitting, and the families of dimensions an end can belong to.

A size means nothing without its family: 20 mm of ISO is 20 mm thick, of AS/NZS 1477 27 mm, and no socket takes both.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from typing import Final, Literal

from tankwright.catalogue.pipes import pipe_sizes
from tankwright.units import Metre, convert

Form = Literal[
    "plain end", "socket", "push-fit socket", "compression socket", "male", "female", "barb", "hose", "tube", "wall",
    "saddle",
]  # fmt: skip
"""What an end is. A plain end is a cut pipe or the spigot of a fitting; a socket is solvent welded; male and female
are threads; a barb goes into a hose, tube or soft pipe; a saddle sits on the drilled wall of a pipe."""

THREADS: Final = ("BSP", "BSP G", "BSP R", "BSP Rp", "BSP Rc", "NPT", "GHT")
"""Families of threads. "BSP" alone leaves open whether it is parallel (G, Rp) or tapered (R, Rc)."""

PLASTICS: Final = ("PVC", "ABS", "PP", "PE")


@dataclass(frozen=True, slots=True)
class End:
    """One end. `system` is its family of dimensions, `size` the size in that family, as `read_end` reads both.

    `outer` and `inner` are diameters where they are known; `material` is "" where nobody said. These three do not
    tell two ends apart: what is thicker inside still goes on the same fitting.

    >>> End("ISO", "50 mm", "socket").words
    '50 mm ISO socket'
    """

    system: str
    size: str
    form: Form
    outer: Metre | None = field(default=None, compare=False)
    inner: Metre | None = field(default=None, compare=False)
    material: str = field(default="", compare=False)

    @property
    def words(self) -> str:
        """The end as it is written and read."""
        if self.system == "hose":
            return f"{self.size} {self.form}"
        if self.system == "tube":
            return f"{self.size} tube" + (" push-fit socket" if self.form == "push-fit socket" else "")
        return f"{self.size} {self.system} {self.form}".replace("push-fit push-fit", "push-fit")

    @property
    def is_thread(self) -> bool:
        """True of a threaded end."""
        return self.system in THREADS


@dataclass(frozen=True, slots=True, kw_only=True)
class Family:
    """Pipes that go into each other's sockets. `weld` is True where solvent cement joins them. `sizes` are outer
    diameters by size; `others` are sizes of the same pipe under another standard ("20 mm" of AS/NZS 1477)."""

    name: str
    about: str
    material: str
    weld: bool
    sizes: dict[str, Metre]
    others: dict[tuple[str, str], str]
    source: str


_AUSTRALIAN_INCH: Final = {
    "15 mm": "1/2 in", "20 mm": "3/4 in", "25 mm": "1 in", "32 mm": "1 1/4 in", "40 mm": "1 1/2 in", "50 mm": "2 in",
}  # fmt: skip
# name, standards of catalogue.pipes it holds, what it is, material, whether solvent cement joins it, source
_ROWS: Final = (
    ("ISO", ("iso", "en1452"), "metric pressure pipe: ISO 161-1, IS 4985, EN ISO 1452, one outer diameter", "PVC",
     True, "IS 4985:2000 by two pipe makers' tables; EN ISO 1452 outer diameters from memory"),
    ("ASTM", ("sch", "as1477"), "inch pressure pipe: ASTM D1785, BS 3505 and, to 2 in, AS/NZS 1477 series 1", "PVC",
     True, "limits of outer diameter of ASTM D1785 and BS 3505 read in makers' charts; of AS/NZS 1477 from memory"),
    ("AS/NZS 1477", ("as1477",), "Australian pressure pipe above 2 in", "PVC", True, "AS/NZS 1477, from memory"),
    ("EN 1329", ("en1329",), "metric waste pipe", "PVC", True, "EN 1329-1, from memory"),
    ("EN 1401", ("en1401",), "buried drain pipe", "PVC", False, "EN 1401-1 by a pipe maker's page"),
    ("UK solvent", ("uk solvent",), "UK solvent-weld waste, 36, 43 and 56 mm thick", "ABS", True,
     "a merchant's size page; the UK foreword of EN 1329-1:2014 names 36, 43 and 56"),
    ("UK push-fit", ("uk push-fit",), "UK push-fit waste, 34, 41 and 54 mm thick", "PP", False,
     "a merchant's size page"),
    ("AS/NZS 1260", ("as1260",), "Australian waste pipe", "PVC", True, "AS/NZS 1260, from memory"),
    ("AS 1254", ("as1254",), "Australian stormwater pipe", "PVC", True, "AS 1254, from memory"),
    ("PE SDR", ("pe sdr",), "polyethylene pressure pipe", "PE", False,
     "AS/NZS 4130, ISO 11922 by a pipe maker's chart"),
    ("PE", ("pe irrigation",), "low-density polyethylene drip pipe", "PE", False, "common practice, from memory"),
)  # fmt: skip


@cache
def families() -> dict[str, Family]:
    """Every family of pipe by its name, its sizes from `catalogue.pipes`.

    >>> families()["ASTM"].others["AS/NZS 1477", "20 mm"]
    '3/4 in'
    """
    made = {}
    for name, standards, about, material, weld, source in _ROWS:
        sizes = {
            pipe.size: pipe.outer_diameter
            for pipe in pipe_sizes()
            if pipe.standard.startswith(standards)
            and family_of(pipe.standard, pipe.size) == (name, pipe.size)
        }
        others = (
            {("AS/NZS 1477", old): new for old, new in _AUSTRALIAN_INCH.items()} if name == "ASTM" else {}
        )
        made[name] = Family(
            name=name, about=about, material=material, weld=weld, sizes=sizes, others=others, source=source
        )
    return made


def family_of(standard: str, size: str) -> tuple[str, str]:
    """The family of a pipe of `catalogue.pipes`, and its size there.

    >>> family_of("as1477 12", "20 mm"), family_of("en1452 16", "20 mm")
    (('ASTM', '3/4 in'), ('ISO', '20 mm'))
    """
    if standard.startswith("as1477"):
        return ("ASTM", _AUSTRALIAN_INCH[size]) if size in _AUSTRALIAN_INCH else ("AS/NZS 1477", size)
    return next(name for name, standards, *_ in _ROWS if standard.startswith(standards)), size


def insertion_depth(end: End) -> Metre:
    """How deep the other end goes into this one (or this one into the other), where the fitting does not say.

    Inputs: end: any end.

    Source: sockets 0.5 d + 6 mm, from memory of ISO 727-1; inch sockets from memory of ASTM D2466; the rest a rule of
    thumb, no source. Measure yours before cutting to it.

    >>> round(insertion_depth(End("ISO", "50 mm", "socket")) * 1000, 1)
    31.1
    """
    if end.is_thread:
        return _THREAD_DEPTHS.get(end.size, convert(15.0, "mm", "m"))
    if end.system == "ASTM" and end.form == "socket":
        return convert(_D2466.get(end.size, 1.5), "in", "m")
    thick = end.outer or end.inner or _thick(end)
    six = convert(6.0, "mm", "m")
    if end.form in ("socket", "plain end"):
        return 0.5 * thick + six
    if end.form in ("wall", "saddle"):
        return 0.0
    if end.form in ("barb", "hose", "tube"):
        return 1.2 * thick + six
    return 0.6 * thick + 2.0 * six  # a rubber ring or a clamping ring stands in front of the seat


_D2466: Final = {
    "1/2 in": 0.688,
    "3/4 in": 0.719,
    "1 in": 0.875,
    "1 1/4 in": 0.938,
    "1 1/2 in": 1.094,
    "2 in": 1.156,
}
# Plastic pipe threads, screwed home: about the usable length of a short thread; a rule of thumb.
_THREAD_DEPTHS: Final = {
    f"{size} in": convert(depth, "mm", "m")
    for size, depth in (
        ("1/8", 7.0), ("1/4", 10.0), ("3/8", 10.5), ("1/2", 13.5), ("3/4", 15.0), ("1", 17.5), ("1 1/4", 20.0),
        ("1 1/2", 20.0), ("2", 24.0),
    )
}  # fmt: skip


def _thick(end: End) -> Metre:
    family = families().get(end.system)
    known = family.sizes.get(end.size) if family else None
    return known if known is not None else convert(20.0, "mm", "m")
