"""A shopping list over several shops: the split this program finds, beside what people do by hand.

Run: python -m benchmarks.basket. Prices are made up (seeded): every shop has every article, singles within 15 % of a
base price, packs of 10 and 25 some 7 % under it, freight of 4 to 15 that falls away from a sum on. By hand: everything
from the cheapest single shop; or each article from the one offer whose packs cost the least, whatever the freight is.
"""

from __future__ import annotations

import math
import random
import time
from collections import defaultdict
from decimal import Decimal

from tankwright.takeoff.basket import fill_basket
from tankwright.takeoff.offers import Freight, Offer, Wanted

GOALS = {(30, 3): 1.0, (120, 4): 2.0, (600, 5): 5.0}
"""Articles and shops: seconds the split may take, each shop alone included."""

Job = tuple[list[Wanted], list[Offer], list[Freight]]


def made_up(articles: int, shops: int, seed: int = 1) -> Job:
    """A list and its offers."""
    chance = random.Random(seed)
    demand = [Wanted(article=f"article {n}", count=chance.randint(1, 30)) for n in range(articles)]
    freights = [
        Freight(
            shop=f"shop {s}", price=Decimal(chance.randint(400, 1500)) / 100,
            free_from=Decimal(chance.choice((50, 150, 400)) * max(1, articles // 30)),
        )
        for s in range(shops)
    ]  # fmt: skip
    offers = []
    for one in demand:
        base = chance.uniform(0.3, 12.0)
        for s in range(shops):
            for pack in (1, 10, 25):
                if pack == 1 or chance.random() < 0.5:
                    cents = round(
                        100 * base * pack * (1.0 if pack == 1 else 0.93) * chance.uniform(0.85, 1.15)
                    )
                    offers.append(
                        Offer(
                            article=one.article,
                            shop=f"shop {s}",
                            price=Decimal(cents) / 100,
                            pack=float(pack),
                        )
                    )
    return demand, offers, freights


def by_hand(job: Job) -> Decimal:
    """Each article from one offer, the one whose packs for it cost the least; then the freights of all shops used."""
    demand, offers, freights = job
    known = {one.shop: one for one in freights}
    lines: dict[str, list[Offer]] = defaultdict(list)
    for offer in offers:
        lines[offer.article].append(offer)
    goods: dict[str, Decimal] = defaultdict(Decimal)
    for one in demand:
        cost, shop = min(
            (offer.price * math.ceil(one.count / offer.pack), offer.shop) for offer in lines[one.article]
        )
        goods[shop] += cost
    freight = sum(
        (known[shop].price for shop, cost in goods.items() if cost < (known[shop].free_from or math.inf)),
        Decimal(0),
    )
    return sum(goods.values(), Decimal(0)) + freight


def run() -> None:
    """Print the table."""
    print(
        "a list over several shops, made-up prices; all from the cheapest shop and by hand cost so much more"
    )
    print("articles shops offers    total   proved   one shop   by hand   seconds   goal")
    for (articles, shops), goal in GOALS.items():
        job = made_up(articles, shops)
        fill_basket(*job)  # the solver is loaded once
        start = time.perf_counter()
        basket = fill_basket(*job, seconds=goal)
        took = time.perf_counter() - start
        one = min(shop.total for shop in basket.one_shop if shop.total is not None)
        shares = [float(other / basket.total - 1) * 100 for other in (one, by_hand(job))]
        proved = "yes" if basket.proved_optimal else f"{basket.gap:.2%}"
        print(
            f"{articles:8d} {shops:5d} {len(job[1]):6d} {basket.total:9.2f} {proved:>7} "
            f"{shares[0]:8.1f} % {shares[1]:7.1f} % {took:9.2f} {goal:6.1f}"
        )


if __name__ == "__main__":
    run()
