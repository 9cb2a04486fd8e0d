"""What is bought where: the cheapest split over several shops with packs and freight, and how far from proved.

A whole number of packs of each offer, the freight of each shop that is bought from (nothing for goods from a sum on),
stock on hand first. Solved as a mixed-integer program by HiGHS; what it proves and what it does not is told. The same
question for each shop alone says what the split saves.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final, NamedTuple

from tankwright.finding import Finding, Number, Severity
from tankwright.takeoff.basket_program import Answer, Choice, cheapest
from tankwright.takeoff.offers import Form, Freight, Key, Offer, Wanted, same_currency
from tankwright.takeoff.prices import MIXED
from tankwright.units import clip

NOT_OFFERED: Final = "BASKET-09"
NOT_PROVED: Final = "BASKET-10"
BAD_WANT: Final = "BASKET-11"
_WHOLE: Final = 1e-9
_COIN: Final = Decimal("0.005")  # half the smallest coin


@dataclass(frozen=True, slots=True, kw_only=True)
class BasketLine:
    """So many packs of one offer for one article, as the room calls it."""

    article: str
    offer: Offer
    packs: int

    @property
    def cost(self) -> Decimal:
        """Of all its packs."""
        return self.offer.price * self.packs


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopOrder:
    """What one shop gets."""

    shop: str
    goods: Decimal
    freight: Decimal

    @property
    def total(self) -> Decimal:
        """Goods and freight."""
        return self.goods + self.freight


@dataclass(frozen=True, slots=True, kw_only=True)
class OneShop:
    """What all would cost from one shop; None when it `lacks` articles."""

    shop: str
    total: Decimal | None
    lacks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """So much of an article."""

    article: str
    form: Form
    count: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Basket:
    """What is bought where.

    `total` is of all lines with their freights; no split costs less than `lower_bound`, and `gap` is how far apart
    the two are as a share of the total. `one_shop` has every shop, the cheapest whole one first. `saving` is beside
    that one, None when no shop has all. `surplus` comes because packs hold more than is needed. `unoffered` is on
    nobody's list and not in the total. `oldest` and `newest` are the dates of the prices taken, `undated` how many of
    them have none.
    """

    currency: str
    lines: tuple[BasketLine, ...] = ()
    shops: tuple[ShopOrder, ...] = ()
    total: Decimal = Decimal(0)
    lower_bound: Decimal = Decimal(0)
    gap: float = 0.0
    proved_optimal: bool = True
    one_shop: tuple[OneShop, ...] = ()
    saving: Decimal | None = None
    on_hand: tuple[Amount, ...] = ()
    surplus: tuple[Amount, ...] = ()
    unoffered: tuple[Amount, ...] = ()
    oldest: str = ""
    newest: str = ""
    undated: int = 0
    findings: tuple[Finding, ...] = ()


class _Job(NamedTuple):
    wanted: Mapping[Key, Wanted]
    offers: Mapping[Key, Sequence[Offer]]
    freights: Mapping[str, Freight]


def fill_basket(
    demand: Sequence[Wanted],
    offers: Sequence[Offer],
    freights: Sequence[Freight] = (),
    *,
    currency: str = "",
    seconds: float = 10.0,
    no_shop: str = "",
) -> Basket:
    """The cheapest way to buy what is wanted. The same article twice is added up. `seconds` bounds the
    search, and once more that of all shops alone together; two currencies are refused. Offers of `no_shop` are prices
    known of no shop: they go with each of the others, and are not looked at as one.

    >>> offers = [Offer(article="elbow", shop="Near", price=Decimal("1.00")),
    ...           Offer(article="elbow", shop="Far", price=Decimal("3.00"), pack=10.0)]
    >>> basket = fill_basket([Wanted(article="elbow", count=4)], offers, [Freight(shop="Far", price=Decimal(2))])
    >>> basket.total, basket.shops[0].shop, basket.proved_optimal, basket.surplus
    (Decimal('4.00'), 'Near', True, ())
    """
    mixed = _mixed((*offers, *freights), currency)
    if mixed is not None:
        return Basket(currency=currency, proved_optimal=False, findings=(mixed,))
    wrong = [_bad_want(one) for one in demand if not _can_be(one)]
    wanted, used = _net([one for one in demand if _can_be(one)])
    by_key: dict[Key, list[Offer]] = defaultdict(list)
    for offer in offers:
        if offer.key in wanted:
            by_key[offer.key].append(offer)
    unoffered = tuple(one for key, one in wanted.items() if key not in by_key)
    job = _Job(
        {key: one for key, one in wanted.items() if key in by_key}, by_key,
        {one.shop.casefold(): one for one in freights},
    )  # fmt: skip
    names = {offer.shop.casefold(): offer.shop for offer in reversed(offers)}
    basket = _filled(job, tuple(names), seconds)
    basket = replace(basket, currency=currency, on_hand=used, unoffered=tuple(map(_amount, unoffered)))
    one_shop = _one_shop_each(job, names, seconds / max(len(names), 1), unoffered, no_shop.casefold())
    whole = [one.total for one in one_shop if one.total is not None]
    findings = [*wrong, *(_not_offered(one, offers) for one in unoffered)]
    if not basket.proved_optimal:
        findings.append(_not_proved(basket))
    return replace(
        basket, one_shop=one_shop, findings=tuple(findings),
        saving=max(min(whole) - basket.total, Decimal(0)) if whole and basket.lines else None,
    )  # fmt: skip


def _mixed(lines: Sequence[Offer | Freight], currency: str) -> Finding | None:
    """Prices are added up, so they are in one currency; nothing here knows a rate."""
    named = [*([currency] if currency else []), *(one.currency for one in lines if one.currency)]
    other = next((one for one in named if not same_currency(one, named[0])), None)
    if other is None:
        return None
    return Finding(
        code=MIXED, severity=Severity.PROBLEM, subject="the prices", text=f"are in {named[0]} and in {other}",
        wanted="one currency",
    )  # fmt: skip


def _can_be(one: Wanted) -> bool:
    counts = (one.count, one.on_hand)
    whole = one.form.unit != "" or all(count == int(count) for count in counts if math.isfinite(count))
    return all(math.isfinite(count) and 0 <= count <= 1e6 for count in counts) and whole


def _net(demand: Sequence[Wanted]) -> tuple[dict[Key, Wanted], tuple[Amount, ...]]:
    """What is left to buy when what is on hand is used, and what is used of it. It costs nothing, so it goes first."""
    summed: dict[Key, Wanted] = {}
    for one in demand:
        before = summed.get(one.key)
        summed[one.key] = one if before is None else replace(
            before, count=before.count + one.count, on_hand=before.on_hand + one.on_hand
        )  # fmt: skip
    used = tuple(
        Amount(article=one.article, form=one.form, count=min(one.count, one.on_hand))
        for one in summed.values()
        if min(one.count, one.on_hand) > 0
    )
    left = {
        key: replace(one, count=one.count - one.on_hand, on_hand=0.0)
        for key, one in summed.items()
        if one.count - one.on_hand > _WHOLE
    }
    return left, used


def _filled(job: _Job, shops: Sequence[str], seconds: float) -> Basket:
    """The cheapest basket from these shops; of each article there must be an offer among them."""
    offers = [
        (key, offer) for key in job.wanted for offer in job.offers[key] if offer.shop.casefold() in shops
    ]
    if not offers:
        return Basket(currency="")
    rows = {key: number for number, key in enumerate(job.wanted)}
    columns = {shop: number for number, shop in enumerate(shops)}
    choices = [
        Choice(rows[key], columns[offer.shop.casefold()], float(offer.price), offer.pack,
               _packs(job.wanted[key].count, offer.pack))
        for key, offer in offers
    ]  # fmt: skip
    freights = [job.freights.get(shop) for shop in shops]
    answer = cheapest(
        [one.count for one in job.wanted.values()], choices,
        [(float(one.price), None if one.free_from is None else float(one.free_from)) if one else (0.0, None)
         for one in freights],
        seconds,
    )  # fmt: skip
    return _told(job, offers, answer)


def _packs(count: float, pack: float) -> int:
    return math.ceil(count / pack - _WHOLE)


def _told(job: _Job, offers: Sequence[tuple[Key, Offer]], answer: Answer) -> Basket:
    lines = tuple(
        BasketLine(article=job.wanted[key].article, offer=offer, packs=packs)
        for (key, offer), packs in zip(offers, answer.packs, strict=True)
        if packs
    )
    goods: dict[str, Decimal] = {}
    for line in lines:
        goods[line.offer.shop.casefold()] = goods.get(line.offer.shop.casefold(), Decimal(0)) + line.cost
    names = {line.offer.shop.casefold(): line.offer.shop for line in lines}
    shops = tuple(
        ShopOrder(shop=names[shop], goods=cost, freight=_freight(job.freights.get(shop), cost))
        for shop, cost in goods.items()
    )
    total = sum((one.total for one in shops), Decimal(0))
    bound = min(Decimal(repr(max(answer.bound, 0.0))), total)
    proved = total - bound < _COIN
    dates = sorted(line.offer.date for line in lines if line.offer.date)
    return Basket(
        currency="", lines=lines, shops=shops, total=total, lower_bound=total if proved else bound,
        gap=0.0 if proved else float((total - bound) / total), proved_optimal=proved, surplus=_surplus(job, lines),
        oldest=dates[0] if dates else "", newest=dates[-1] if dates else "", undated=len(lines) - len(dates),
    )  # fmt: skip


def _freight(of: Freight | None, goods: Decimal) -> Decimal:
    if of is None or (of.free_from is not None and goods >= of.free_from):
        return Decimal(0)
    return of.price


def _surplus(job: _Job, lines: Sequence[BasketLine]) -> tuple[Amount, ...]:
    bought: dict[Key, float] = defaultdict(float)
    for line in lines:
        bought[line.offer.key] += line.packs * line.offer.pack
    over = ((one, bought[key] - one.count) for key, one in job.wanted.items())
    return tuple(
        Amount(article=one.article, form=one.form, count=float(f"{more:.9g}"))
        for one, more in over
        if more > _WHOLE
    )


def _one_shop_each(
    job: _Job, names: Mapping[str, str], seconds: float, unoffered: Sequence[Wanted], no_shop: str
) -> tuple[OneShop, ...]:
    """Each shop alone, with what `no_shop` has. Articles that nobody has are left out of all of them alike."""
    found = []
    for shop, name in names.items():
        if shop == no_shop:
            continue
        there = (shop, no_shop) if no_shop in names else (shop,)
        lacks = tuple(
            _named(one)
            for key, one in job.wanted.items()
            if not any(offer.shop.casefold() in there for offer in job.offers[key])
        )
        if lacks:
            found.append(OneShop(shop=name, total=None, lacks=(*lacks, *map(_named, unoffered))))
        elif job.wanted:
            found.append(OneShop(shop=name, total=_filled(job, there, seconds).total))
    return tuple(
        sorted(
            found, key=lambda one: (one.total is None, one.total or 0, len(one.lacks), one.shop.casefold())
        )
    )


def _amount(one: Wanted) -> Amount:
    return Amount(article=one.article, form=one.form, count=one.count)


def _named(one: Wanted | Amount) -> str:
    return f"{clip(one.article)} {one.form.words()}".strip()


def _bad_want(one: Wanted) -> Finding:
    return Finding(
        code=BAD_WANT, severity=Severity.PROBLEM, subject=_named(one), text="cannot be wanted in that number",
        found=f"{one.count:g}, on hand {one.on_hand:g}", wanted="a number from 0 up, whole for pieces",
    )  # fmt: skip


def _not_offered(one: Wanted, offers: Sequence[Offer]) -> Finding:
    other = sorted({offer.form.words() or "pieces" for offer in offers if offer.key[0] == one.key[0]})
    instead = f", only as {', '.join(other)}" if other else ""
    return Finding(
        code=NOT_OFFERED, severity=Severity.PROBLEM, subject=_named(one),
        text=f"is on no shop's list{instead}; {{count}} of it wanted, and not in the total",
        numbers=(("count", Number(one.count, "number")),),
        remedy="add a line with its price, or write it on a list as the parts list calls it",
    )  # fmt: skip


def _not_proved(basket: Basket) -> Finding:
    return Finding(
        code=NOT_PROVED, severity=Severity.NOTE, subject="the basket",
        text="is not proved the cheapest in the time it had; at most {gap} could be saved",
        numbers=(("gap", Number(basket.gap, "share")),), remedy="give it more time, or take a shop out",
    )  # fmt: skip
