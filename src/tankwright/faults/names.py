"""How what breaks is called: in the owner's own names, short, one name for one fault; and the way back from a name."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from difflib import get_close_matches
from itertools import pairwise
from typing import Final

from tankwright.faults.model import Fault

NEAR: Final = 5
"""Names offered when nothing bears the one asked for."""

_NUMBERED: Final = re.compile(r"(.*?)(\d+)$")


def tanks_named(ids: Sequence[str]) -> str:
    """Tanks that stand together, shortly: a run of numbers by its ends, others one by one.

    >>> tanks_named(["A1", "A2", "A3"]), tanks_named(["D3", "D6"]), tanks_named(["A1"])
    ('A1..A3', 'D3 and D6', 'A1')
    """
    if len(ids) > 1 and _in_a_row(ids):
        return f"{ids[0]}..{ids[-1]}"
    if len(ids) <= 1:
        return "".join(ids)
    return f"{', '.join(ids[:-1])} and {ids[-1]}"


def _in_a_row(ids: Sequence[str]) -> bool:
    return all(follows(here, there) for here, there in pairwise(ids))


def follows(here: str, there: str) -> bool:
    """Whether a name is the next number after another.

    >>> follows("A9", "A10"), follows("A9", "B10")
    (True, False)
    """
    first, second = _NUMBERED.match(here), _NUMBERED.match(there)
    if first is None or second is None:
        return False
    return first.group(1) == second.group(1) and int(second.group(2)) == int(first.group(2)) + 1


def find_fault(faults: Iterable[Fault], name: str) -> Fault | tuple[str, ...]:
    """The fault of that name, or the nearest names. Case, spaces and hyphens do not matter, and a part of a name will
    do where only one fault has it.

    >>> one = Fault(name="overflow of A3 blocked", group="overflow blocked", broken=())
    >>> find_fault((one,), "Overflow of a3  blocked") is one, find_fault((one,), "A3") is one
    (True, True)
    >>> find_fault((one,), "overflow of A2 blocked")
    ('overflow of A3 blocked',)
    """
    asked = _fold(name)
    by_fold = {_fold(fault.name): fault for fault in faults}
    if asked in by_fold:
        return by_fold[asked]
    having = [fault for fold, fault in by_fold.items() if asked and f" {asked} " in f" {fold} "]
    if len(having) == 1:
        return having[0]
    near = get_close_matches(asked[:120], list(by_fold), n=NEAR, cutoff=0.4)
    offered = [by_fold[fold].name for fold in near]
    wordy = sorted(having, key=lambda fault: len(fault.name))
    return tuple(dict.fromkeys((*(fault.name for fault in wordy[:NEAR]), *offered)))[:NEAR]


def _fold(name: str) -> str:
    return " ".join(name.casefold().replace("-", " ").replace("_", " ").split())
