"""What a closed line loses a generation: by the recursion itself, beside the formula of the textbooks.

The formula, Ne = 4 Nm Nf / (Nm + Nf) and 1 / (2 Ne) a generation (Wright 1931, Genetics 16, 97-159), overstates the
loss of very small sets; so the recursion is reckoned with and the formula shown beside it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tankwright.husbandry.kinship import Expected

MOST_INBREEDING_A_GENERATION = 0.01
"""How much inbreeding may be added a generation when a line says nothing: one in a hundred, as the advice of the FAO to
fish breeders is told again by others (seen there, not in the original)."""

MOST_INBREEDING = 0.25
"""The inbreeding at which a line is said to be at its end when nobody says another: that of the young of brother and
sister. A choice, no source."""

MOST_GENERATIONS = 500
"""How far a line is followed. A choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LineState:
    """Where a line stands: the inbreeding of its fish and the kinship of two of them, 0 to 1."""

    inbreeding: float = 0.0
    kinship: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class EffectiveSize:
    """How many fish of an ideal group would lose as much: by the recursion, and by the formula.

    `loss` and `formula_loss` are shares a generation of what is left.
    """

    size: float
    loss: float
    formula_size: float
    formula_loss: float


def next_generation(state: LineState, males: int, females: int) -> LineState:
    """The state of the young of males and females out of a line, all having young alike, mated at random.

    Raises ValueError when there is not one of each.

    Source: docs/decisions/0031, the recursion over batches with one batch a generation.

    >>> next_generation(LineState(inbreeding=0.0, kinship=0.25), 1, 1)
    LineState(inbreeding=0.25, kinship=0.375)
    """
    if males < 1 or females < 1:
        raise ValueError(f"{males} males and {females} females have no young")
    itself, two = (1 + state.inbreeding) / 2, state.kinship
    fathers = itself / males + (1 - 1 / males) * two
    mothers = itself / females + (1 - 1 / females) * two
    return LineState(inbreeding=two, kinship=(fathers + mothers + 2 * two) / 4)


def closed_line(
    males: int, females: int, generations: int, *, start: LineState | None = None
) -> tuple[LineState, ...]:
    """The states of a closed line from the young of its founders (generation 0) on, `generations` further ones.

    `start` is the state of the founders; unrelated when none is given.

    >>> [round(one.inbreeding, 3) for one in closed_line(5, 5, 10)][5::5]
    [0.218, 0.387]
    """
    state = next_generation(start or LineState(), males, females)
    states = [state]
    for _ in range(generations):
        state = next_generation(state, males, females)
        states.append(state)
    return tuple(states)


def effective_size(males: int, females: int) -> EffectiveSize:
    """How many fish a line of so many males and females counts for in the long run.

    >>> found = effective_size(1, 4)
    >>> round(found.loss, 4), round(found.formula_loss, 4), round(found.size, 2), found.formula_size
    (0.1324, 0.1562, 3.78, 3.2)
    """
    if males < 1 or females < 1:
        raise ValueError(f"{males} males and {females} females have no young")
    # what is left, 1 - F and 1 - W, goes from one generation to the next by a table of two by two
    two = (1 / males + 1 / females) / 8
    step = np.array([[0.0, 1.0], [two, 1 - 2 * two]])
    loss = 1 - float(np.abs(np.linalg.eigvals(step)).max())
    size = 4 * males * females / (males + females)
    return EffectiveSize(size=1 / (2 * loss), loss=loss, formula_size=size, formula_loss=1 / (2 * size))


def generations_left(
    state: LineState, males: int, females: int, *, limit: float = MOST_INBREEDING
) -> int | None:
    """How many further generations can be bred by so many of each sex before inbreeding is over the limit.

    0 when the very next one is; None when that takes more than 500.

    >>> generations_left(LineState(inbreeding=0.0, kinship=0.0), 2, 4), generations_left(LineState(kinship=0.5), 2, 4)
    (4, 0)
    """
    for count in range(MOST_GENERATIONS):
        state = next_generation(state, males, females)
        if state.inbreeding > limit + 1e-12:
            return count
    return None


def least_breeders(most_loss: float = MOST_INBREEDING_A_GENERATION) -> int:
    """How many males, with as many females, lose no more than a share a generation in the long run.

    Raises ValueError for a share that is not above 0 and below 1.

    >>> least_breeders(0.01)
    25
    """
    if not 0 < most_loss < 1:
        raise ValueError(f"a share a generation lies between 0 and 1, not {most_loss}")
    low, high = 1, 1
    while effective_size(high, high).loss > most_loss:
        low, high = high, high * 2
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if effective_size(middle, middle).loss <= most_loss else (middle + 1, high)
    return high


def rotation(lines: int, generations: int, *, males: int = 1, females: int = 1) -> tuple[LineState, ...]:
    """The states of lines side by side when each generation the males of each go on to the next line, and those of the
    last to the first. From unrelated founders; the first state is that of the young of the second crossing.

    Raises ValueError for less than one line, or sets without one of each sex.

    >>> [round(one.inbreeding, 4) for one in rotation(4, 4)]
    [0.0, 0.0625, 0.0938, 0.125, 0.1562]
    """
    if lines < 1 or males < 1 or females < 1:
        raise ValueError(f"{lines} lines of {males} males and {females} females have no young")
    # every line is like every other: kinship is needed by how far apart two lines are on the ring
    inbred, kin = 0.0, np.zeros(lines)
    kin[0] = _within(0.0, 0.0, 0.0, males, females)
    states: list[LineState] = []
    for _ in range(generations + 1):
        fathers = np.roll(kin, 1)  # what the males that come in are to the fish `distance` lines on
        new = np.empty(lines)
        for distance in range(lines):
            back, ahead = kin[(distance - 1) % lines], kin[(distance + 1) % lines]
            new[distance] = (2 * kin[distance] + back + ahead) / 4
        new[0] = _within(inbred, kin[0], fathers[0], males, females)
        # a set has one male from the line before: his kinship with the females is that of neighbours
        inbred, kin = float(fathers[0]) if lines > 1 else float(kin[0]), new
        states.append(LineState(inbreeding=inbred, kinship=float(kin[0])))
    return tuple(states)


def _within(inbred: float, two: float, apart: float, males: int, females: int) -> float:
    """The kinship of two of the young of males of one line and females of another."""
    itself = (1 + inbred) / 2
    fathers = itself / males + (1 - 1 / males) * two
    mothers = itself / females + (1 - 1 / females) * two
    return (fathers + mothers + 2 * apart) / 4


def state_of(inbreeding: Expected | None, kinship: Expected | None) -> LineState | None:
    """The state of a line from a stock of it; None when it is not computed.

    >>> state_of(None, None) is None
    True
    """
    if inbreeding is None or kinship is None:
        return None
    return LineState(inbreeding=inbreeding.value, kinship=kinship.value)
