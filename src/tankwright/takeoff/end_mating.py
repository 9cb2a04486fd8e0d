"""What goes on what, how the joint is made, and what only seems to fit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from tankwright.catalogue.threads import find_thread
from tankwright.takeoff.end_model import PLASTICS, End, families
from tankwright.units import Metre, convert

Way = Literal["solvent weld", "thread", "barb", "push-fit", "compression", "saddle", ""]
Verdict = Literal["fits", "care", "never"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Mating:
    """Two ends put together. `how` is how the joint is made, `takes` what it uses up ("solvent cement", "thread tape",
    "flat washer", "hose clip"); `warn` what to look out for, `never` why it does not go."""

    kind: Verdict
    joint: Way = ""
    how: str = ""
    takes: tuple[str, ...] = ()
    warn: str = ""
    never: str = ""

    @property
    def ok(self) -> bool:
        """True where the two go together."""
        return self.kind != "never"


BORE_MATCH: Final = 0.03
"""A barb and a hose whose bores are within this share are one size: 13 mm and 1/2 in are. Common practice."""

_TAPER_IN_PLASTIC: Final = (
    "a tapered male thread can split a plastic female one: hand-tight and one or two turns (common practice)"
)
_WELD: Final = (
    "solvent cement made for both plastics, cleaned first, pushed home with a quarter turn (common practice)"
)
_COMPRESSION_TAKES: Final = {"UK waste": ("UK solvent", "UK push-fit")}


def mates(a: End, b: End) -> Mating:
    """Whether two ends go together; it does not matter which is named first.

    Source: sizes by the standards the two families name; thread rules from ISO 228-1 and ISO 7-1; working advice is
    common practice, no source.

    >>> from tankwright.takeoff.end_reading import read_end
    >>> mates(read_end("20 mm ISO pipe"), read_end("20 mm ISO socket")).joint
    'solvent weld'
    >>> mates(read_end("1/2 in BSP G male"), read_end("1/2 in NPT female")).ok
    False
    """
    if (a.form, a.words) > (b.form, b.words):
        a, b = b, a  # the rules below are written once, forms in alphabetical order
    if a.is_thread or b.is_thread:
        return _threads(a, b) if a.is_thread and b.is_thread else _never("a thread goes on a thread only")
    match (a.form, b.form):
        case ("barb", "hose" | "tube"):
            return _hose(a, b)
        case ("barb", "plain end"):
            return _soft_pipe(a, b)
        case ("plain end", "socket"):
            return _weld(a, b)
        case ("plain end", "push-fit socket"):
            return _ringed(a, b, "push-fit", "pushed in past the ring, its edge bevelled")
        case ("compression socket", "plain end"):
            return _ringed(
                b, a, "compression", "the nut is tightened by hand, then a quarter turn (common practice)"
            )
        case ("push-fit socket", "tube"):
            return _tube(b, a)
        case ("saddle", "wall"):
            if (a.system, a.size) == (b.system, b.size):
                return Mating(
                    kind="fits",
                    joint="saddle",
                    how="the wall is drilled, the saddle clamped or cemented over it",
                )
            return _never(f"a saddle for {a.size} {a.system} does not sit on {b.size} {b.system}")
    return _never(_no_pair(a, b))


def _never(why: str) -> Mating:
    return Mating(kind="never", never=why)


# --- pipes and hoses ----------------------------------------------------------------------------------


def _weld(plain: End, socket: End) -> Mating:
    soft = [end for end in (plain, socket) if end.material in ("PE", "PP")]
    if soft:
        return _never(
            f"solvent cement does not hold on {soft[0].material}: use a barb, push-fit or compression fitting"
        )
    if (plain.system, plain.size) != (socket.system, socket.size):
        return _never(_other_size(plain, socket))
    return Mating(kind="fits", joint="solvent weld", how=_WELD, takes=("solvent cement",))


def _ringed(plain: End, socket: End, joint: Way, how: str) -> Mating:
    accepted = _COMPRESSION_TAKES.get(socket.system, (socket.system,))
    if plain.system not in accepted or plain.size != socket.size:
        return _never(_other_size(plain, socket))
    return Mating(kind="fits", joint=joint, how=how)


def _hose(barb: End, hose: End) -> Mating:
    if barb.system != "hose" or barb.inner is None or hose.inner is None:
        return _never(f"{hose.words} is not what {barb.words} is made for")
    if abs(barb.inner - hose.inner) > BORE_MATCH * max(barb.inner, hose.inner):
        return _never(f"a {barb.words} does not hold a {hose.words}: the bores differ")
    clip = hose.inner >= convert(9.0, "mm", "m")
    return Mating(
        kind="fits",
        joint="barb",
        how="pushed on warm over every ridge" + (", with a clip" if clip else ""),
        takes=("hose clip",) if clip else (),
    )


def _soft_pipe(barb: End, plain: End) -> Mating:
    if (barb.system, barb.size) != (plain.system, plain.size):
        return _never(_other_size(plain, barb))
    return Mating(
        kind="fits", joint="barb", how="pushed in warm over every ridge, with a clip", takes=("hose clip",)
    )


def _tube(tube: End, socket: End) -> Mating:
    if tube.outer is None or socket.outer is None:
        return _never("a push-fit socket goes by the outside of a tube, and that is not said")
    if abs(tube.outer - socket.outer) > convert(0.1, "mm", "m"):
        return _never(f"a {socket.words} does not seal on a {tube.words}")
    return Mating(kind="fits", joint="push-fit", how="cut square and pushed home")


def _other_size(plain: End, socket: End) -> str:
    said = f"{plain.words} does not go into {socket.words}"
    thick, wide = (end.outer or _listed(end) for end in (plain, socket))
    if plain.system == socket.system or not thick or not wide:
        return said
    if abs(thick - wide) < convert(0.5, "mm", "m"):
        return f"{said}: about as thick, but no source says the two standards join"
    first, second = (f"{convert(one, 'm', 'mm'):.1f} mm" for one in (thick, wide))
    return f"{said}: the one is {first} thick, the other is made for {second}"


def _listed(end: End) -> Metre:
    family = families().get(end.system)
    return family.sizes.get(end.size, 0.0) if family else 0.0


def _no_pair(a: End, b: End) -> str:
    if a.form == b.form:
        between = {"socket": "a stub of pipe", "plain end": "a coupling", "barb": "a piece of hose"}.get(
            a.form
        )
        return f"both are {a.form}s" + (f": {between} goes between" if between else "")
    forms = {a.form, b.form}
    if "saddle" in forms:
        return "a saddle sits on the drilled wall of a pipe, not on an end"
    if "wall" in forms:
        return "the wall of a pipe takes a saddle, a grommet or a take-off only"
    return f"a {a.words} and a {b.words} are no pair"


# --- threads ------------------------------------------------------------------------------------------


def _threads(female: End, male: End) -> Mating:
    if female.form == male.form:
        return _never(f"both threads are {female.form}")
    kinds = {"BSP" if end.system.startswith("BSP") else end.system for end in (female, male)}
    if kinds == {"BSP", "NPT"} and female.size == male.size:
        return _never(_bsp_npt(female.size))
    if len(kinds) > 1:
        return _never(f"{male.system} and {female.system} are different threads")
    if female.size != male.size:
        return _never(f"a {male.size} thread does not go into {female.size}")
    if kinds == {"GHT"}:
        return Mating(
            kind="fits",
            joint="thread",
            how="seals on its flat washer, not on the thread",
            takes=("flat washer",),
        )
    return _npt(female) if kinds == {"NPT"} else _bsp(female, male)


def _npt(female: End) -> Mating:
    return _tapered("seals on the thread, with tape or paste", female)


def _bsp(female: End, male: End) -> Mating:
    if "BSP" in (female.system, male.system):
        return Mating(
            kind="care", joint="thread", how="parallel seals on a washer, tapered on the thread with tape",
            takes=("thread tape",),
            warn="one of the two only says BSP: look whether it is parallel (G) or tapered (R)",
        )  # fmt: skip
    if male.system == "BSP G":
        if female.system == "BSP Rc":
            return Mating(
                kind="care", joint="thread", how="seals on its face with a washer or O-ring, not on the thread",
                takes=("flat washer",),
                warn="a parallel male thread seals in a tapered female one only where a face meets a washer",
            )  # fmt: skip
        return Mating(
            kind="fits", joint="thread", how="seals on its face with a washer or O-ring, not on the thread",
            takes=("flat washer",),
        )  # fmt: skip
    if female.system == "BSP G":
        intent = "a tapered R thread in a parallel G one is common, but not what ISO 228 is for: it may weep"
        return _tapered("seals on the thread, with tape", female, intent)
    return _tapered("seals on the thread, with tape", female)


def _tapered(how: str, female: End, warn: str = "") -> Mating:
    """A tapered male thread: what it does to a plastic female one is said unless that is known to be metal."""
    if female.material in ("", *PLASTICS):
        warn = "; ".join(filter(None, (warn, _TAPER_IN_PLASTIC)))
    return Mating(kind="care" if warn else "fits", joint="thread", how=how, takes=("thread tape",), warn=warn)


def _bsp_npt(size: str) -> str:
    bsp, npt = find_thread("BSP", size), find_thread("NPT", size)
    said = f"BSP and NPT never mate: at {size}"
    if bsp is None or npt is None:
        return "BSP and NPT never mate: other pitch, other angle"
    if bsp.threads_per_inch == npt.threads_per_inch:
        return f"{said} both have {bsp.threads_per_inch:g} threads an inch, so they screw together, and leak"
    turns = f"{bsp.threads_per_inch:g} and {npt.threads_per_inch:g} threads an inch"
    return f"{said} they jam after a few turns ({turns})"
