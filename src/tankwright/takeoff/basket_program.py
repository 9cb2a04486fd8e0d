"""The program behind a basket: whole packs of offers, freight of shops, the least sum. Numbers only."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple


class Choice(NamedTuple):
    """One offer: which article it serves, which shop it is of, price and contents of a pack, the most packs of it
    that can be of use."""

    article: int
    shop: int
    price: float
    pack: float
    most: int


class Answer(NamedTuple):
    """Packs of each choice, and the sum no answer goes under."""

    packs: tuple[int, ...]
    bound: float


def cheapest(
    counts: Sequence[float],
    choices: Sequence[Choice],
    freights: Sequence[tuple[float, float | None]],
    seconds: float,
) -> Answer:
    """The cheapest packs that hold `counts` of each article. A freight is what a shop asks, and from what goods on
    it asks nothing; every article must have a choice.

    >>> cheapest([4.0], [Choice(0, 0, 1.0, 1.0, 4), Choice(0, 1, 3.0, 10.0, 1)], [(0.0, None), (2.0, None)], 1.0)
    Answer(packs=(4, 0), bound=4.0)
    """
    import numpy as np  # noqa: PLC0415 - only who fills a basket waits for it
    from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415 - as above
    from scipy.sparse import coo_array  # noqa: PLC0415 - as above

    packs, shops = len(choices), len(freights)
    paid, free = packs, packs + shops  # where the two kinds of delivery of each shop begin among the columns
    rows = [(one.article, number, one.pack) for number, one in enumerate(choices)]
    lower = [count * (1 - 1e-12) for count in counts]
    for number, one in enumerate(choices):  # nothing from a shop that delivers nothing
        if freights[one.shop][0] > 0:
            rows += [(len(lower), number, -1.0), (len(lower), paid + one.shop, float(one.most))]
            if freights[one.shop][1] is not None:
                rows.append((len(lower), free + one.shop, float(one.most)))
            lower.append(0.0)
    for shop, (price, free_from) in enumerate(freights):  # for nothing only from its sum on
        if price > 0 and free_from is not None:
            rows += [(len(lower), n, one.price) for n, one in enumerate(choices) if one.shop == shop]
            rows.append((len(lower), free + shop, -free_from))
            lower.append(0.0)
    at, of, value = zip(*rows, strict=True)
    width = packs + 2 * shops
    cost = np.array([*(one.price for one in choices), *(price for price, _ in freights), *([0.0] * shops)])
    most = np.array([*(float(one.most) for one in choices), *([1.0] * (2 * shops))])
    for shop, (_, free_from) in enumerate(freights):
        if free_from is None:
            most[free + shop] = 0.0
    answer = milp(
        cost,
        constraints=LinearConstraint(
            coo_array((value, (at, of)), shape=(len(lower), width)).tocsr(), lb=lower
        ),
        bounds=Bounds(0.0, most),
        integrality=np.ones(width),
        options={"time_limit": seconds, "mip_rel_gap": 0.0},
    )
    bound = answer.mip_dual_bound
    if answer.x is None:
        return _each_cheapest(counts, choices)
    known = float(bound) if bound is not None and math.isfinite(bound) else 0.0
    return Answer(tuple(round(one) for one in answer.x[:packs]), known)


def _each_cheapest(counts: Sequence[float], choices: Sequence[Choice]) -> Answer:
    """Without an answer in time: of each article the offer that is cheapest by itself, and nothing proved."""
    taken = [0] * len(choices)
    for article in range(len(counts)):
        offers = [n for n, one in enumerate(choices) if one.article == article]
        best = min(offers, key=lambda n: (choices[n].price * choices[n].most, n))
        taken[best] = choices[best].most
    return Answer(tuple(taken), 0.0)
