"""Why no chain was found: the end nothing goes on, the limit in the way, or where two sets come nearest."""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from tankwright.catalogue.threads import find_thread
from tankwright.finding import Finding, Number, Severity
from tankwright.takeoff.chain_model import Limits
from tankwright.takeoff.chain_steps import Board, join
from tankwright.takeoff.end_mating import mates
from tankwright.takeoff.end_model import End
from tankwright.takeoff.fittings import BETWEEN, Fitting
from tankwright.units import Metre

_REMEDY: Final = (
    "write what your shop has into a table of your own (tankwright chain --fittings SHOP.csv), "
    "or choose another end"
)
_SHOWN: Final = 3


def why_none(
    fittings: tuple[Fitting, ...], start: End, goal: End, limits: Limits
) -> tuple[End | None, Finding]:
    """The dead end, if there is one, and the finding that says why nothing joins the two ends."""
    between = tuple(one for one in fittings if one.kind in BETWEEN)
    board = Board(between)
    for end in (start, goal):
        if not board.goes_on(end):
            return end, _dead_end(end, start, goal, mates(start, goal).never)
    from_start, from_goal = _reach(board, start), _reach(board, goal)
    if _meet(from_start, goal):
        return None, _limited(between, start, goal, limits)
    return None, _apart(start, goal, from_start, from_goal)


def left_out(
    fittings: tuple[Fitting, ...], limits: Limits, prices: Mapping[str, float] | None
) -> tuple[Finding, ...]:
    """Notes on fittings the search did not use because something about them is not known."""
    found = []
    bare = [one.key for one in fittings if one.kind in BETWEEN and one.bore is None]
    if limits.bore and bare:
        found.append(
            _note(
                "FIT-08",
                f"{_some(bare)} left out of the search: no bore is given",
                "add bore_mm to the table",
            )
        )
    if prices is not None:
        dear = [one.key for one in fittings if one.kind in BETWEEN and one.key not in prices]
        if dear:
            found.append(
                _note(
                    "FIT-09", f"{_some(dear)} left out of the search: no price is given", "add their prices"
                )
            )
    return tuple(found)


def _reach(board: Board, start: End) -> set[End]:
    """Every end that can be opened from one, with any number of joints."""
    seen = {start}
    queue = deque([start])
    while queue:
        for step in board.steps(queue.popleft()):
            if step.opens not in seen:
                seen.add(step.opens)
                queue.append(step.opens)
    return seen


def _meet(reached: set[End], goal: End) -> bool:
    return any(join(end, 0.0, goal, 0.0) is not None for end in reached)


def _dead_end(end: End, start: End, goal: End, never: str) -> Finding:
    return Finding(
        code="FIT-05",
        severity=Severity.PROBLEM,
        subject=f"{start.words} to {goal.words}",
        text=f"no chain: nothing in the table goes on {end.words}",
        reason=f"{never[:1].upper()}{never[1:]}." if never else "",
        remedy=_REMEDY,
        found=end.words,
    )


def _limited(between: tuple[Fitting, ...], start: End, goal: End, limits: Limits) -> Finding:
    """Which limit, left off alone, would let a chain through."""
    numbers: tuple[tuple[str, Number], ...] = ()
    widest = _widest(between, start, goal, limits)
    tries = []
    if limits.bore and widest is not None:
        tries.append("the widest that can be had lets through {widest}, of {bore} asked for")
        numbers = (("widest", Number(widest, "length")), ("bore", Number(limits.bore, "length")))
    if _within(between, start, goal, limits):
        tries.append("more joints would do (--joints)")
    elif not limits.turns and _within(between, start, goal, replace(limits, turns=1)):
        tries.append("one elbow would do (--turns 1)")
    return Finding(
        code="FIT-07",
        severity=Severity.PROBLEM,
        subject=f"{start.words} to {goal.words}",
        text="no chain within the limits" + (": " + "; ".join(tries) if tries else ""),
        numbers=numbers,
        reason="what can be bought joins the two ends, but not as narrow, straight or short as is asked",
        remedy="loosen a limit, or change one of the two ends",
    )


def _within(between: tuple[Fitting, ...], start: End, goal: End, limits: Limits) -> bool:
    """Whether any chain joins the two within a bore and turns, however many joints it takes."""
    wide = tuple(one for one in between if not limits.bore or (one.bore or 0.0) >= limits.bore)
    straight = Board(tuple(one for one in wide if not one.turn))
    reached = _reach(straight, start)
    if _meet(reached, goal):
        return True
    if not limits.turns:
        return False
    turning = Board(tuple(one for one in wide if one.turn))
    for _ in range(limits.turns):
        turned = {step.opens for end in reached for step in turning.steps(end)}
        reached = set().union(*(_reach(straight, end) for end in turned)) if turned else set()
        if _meet(reached, goal):
            return True
    return False


def _widest(between: tuple[Fitting, ...], start: End, goal: End, limits: Limits) -> Metre | None:
    """The widest bore that leaves a chain, turns as they are limited and joints free."""
    bores = sorted({one.bore for one in between if one.bore is not None and one.bore < limits.bore})
    low, high, best = 0, len(bores) - 1, None
    while low <= high:
        middle = (low + high) // 2
        if _within(between, start, goal, replace(limits, bore=bores[middle])):
            best, low = bores[middle], middle + 1
        else:
            high = middle - 1
    return best


def _apart(start: End, goal: End, from_start: set[End], from_goal: set[End]) -> Finding:
    """Where what can be reached from the two ends comes nearest."""
    near, far = min(
        ((a, b) for a in from_start for b in from_goal),
        key=lambda pair: (_distance(*pair), pair[0].words, pair[1].words),
    )
    return Finding(
        code="FIT-06",
        severity=Severity.PROBLEM,
        subject=f"{start.words} to {goal.words}",
        text=f"no chain: from the one you get as far as {near.words}, from the other as far as {far.words}",
        reason=mates(near, far).never,
        remedy=_REMEDY,
    )


def _distance(a: End, b: End) -> tuple[int, float, int]:
    """How unlike two ends are: another family, by how much thicker, and whether both are of one form."""
    return (int(a.system != b.system), abs(_thick(a) - _thick(b)), int(a.form == b.form))


def _thick(end: End) -> Metre:
    thread = find_thread("BSP" if end.system.startswith("BSP") else end.system, end.size)
    return thread.outer if thread else end.outer or end.inner or 0.0


def _some(keys: list[str]) -> str:
    named = ", ".join(keys[:_SHOWN])
    return named if len(keys) <= _SHOWN else f"{named} and {len(keys) - _SHOWN} more"


def _note(code: str, text: str, remedy: str) -> Finding:
    return Finding(code=code, severity=Severity.NOTE, subject="fittings", text=text, remedy=remedy)
