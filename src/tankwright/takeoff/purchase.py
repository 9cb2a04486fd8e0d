"""From what a room takes to what is carried out of a shop: lengths and sheets cut, packs filled, stock on hand used.

Every piece of what is sold in lengths or sheets is cut from whole ones; everything else is counted, with its spares.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

from tankwright.finding import Finding, Severity
from tankwright.origin import Known
from tankwright.plan.models_build import Buy, Sold
from tankwright.room.assumed import assumed
from tankwright.room.model import Room
from tankwright.takeoff.cutting import cut
from tankwright.takeoff.cutting_model import Piece, Stock
from tankwright.takeoff.model import Article, Kind, Need, SoldBy, Spare, Takeoff
from tankwright.takeoff.offers import Form, Offer, key_of
from tankwright.takeoff.purchase_model import UNITS, CutArticle, Purchase, Row, SheetArticle
from tankwright.takeoff.sheet_model import SheetPiece, SheetStock
from tankwright.takeoff.sheets import cut_sheets
from tankwright.takeoff.usual_sheets import usual_sheet
from tankwright.units import Metre, convert

Progress = Callable[[int, int], None]
SOLD_ALIKE: Final = "PART-90"
NO_LENGTH_SAID: Final = "PART-91"
SOLD_FOR_NOTHING: Final = "PART-92"
_SECONDS: Final = 10.0
_WHOLE: Final = 1e-9
_NO_ROOM: Final = Room(title="", display="metric", spaces=(), racks=(), tanks=())


def purchase(
    takeoff: Takeoff,
    buy: Buy | None = None,
    *,
    room: Room = _NO_ROOM,
    offers: Sequence[Offer] = (),
    currency: str = "",
    seconds: float = _SECONDS,
    clock: Callable[[], float] | None = None,
    progress: Progress | None = None,
) -> Purchase:
    """What is bought for a takeoff. `room` holds the owner's own words for what is assumed; `offers` of shops say in
    which lengths and sheets an article is sold, else the plan does. `seconds` by `clock` is what the search for the
    best cuts may take, all of it; `progress` counts the articles that are cut and may raise to stop it.

    >>> purchase(Takeoff()).rows
    ()
    """
    said = buy or Buy()
    sold = {one.of.casefold(): one for one in reversed(said.sold)}  # of two rows the first
    needs: dict[str, list[Need]] = defaultdict(list)
    for need in takeoff.needs:
        if need.state == "to buy":
            needs[need.article].append(need)
    spares: dict[str, list[Spare]] = defaultdict(list)
    for spare in takeoff.spares:
        spares[spare.article].append(spare)
    work = _Work(
        said,
        room,
        offers,
        seconds,
        clock,
        progress,
        sum(one.sold_by in ("length", "sheet") for one in takeoff.articles),
    )
    rows: list[Row] = []
    for article in takeoff.articles:
        rows += work.rows(article, needs[article.key], spares[article.key], sold.get(article.key.casefold()))
    return Purchase(
        takeoff=takeoff,
        cuts=tuple(work.cuts),
        sheets=tuple(work.sheets),
        rows=tuple(rows),
        currency=said.currency or currency,
        findings=(*takeoff.findings, *work.findings, *_strangers(said.sold, takeoff)),
    )


class _Work:
    """The articles one after the other, and what has come of them."""

    def __init__(
        self,
        said: Buy,
        room: Room,
        offers: Sequence[Offer],
        seconds: float,
        clock: Callable[[], float] | None,
        progress: Progress | None,
        of: int,
    ) -> None:
        self.said, self.room = said, room
        self.offers: dict[str, list[Offer]] = defaultdict(list)
        for offer in offers:
            self.offers[_name(offer.article)].append(offer)
        self.clock, self.progress, self.of = clock, progress, of
        self.until = math.inf if clock is None else clock() + seconds
        self.seconds = seconds
        self.cuts: list[CutArticle] = []
        self.sheets: list[SheetArticle] = []
        self.findings: list[Finding] = []

    def rows(
        self, article: Article, needs: list[Need], spares: list[Spare], sold: Sold | None
    ) -> Iterator[Row]:
        if article.sold_by == "length" and any(need.length is not None for need in needs):
            yield from self._lengths(article, needs, sold)
        elif article.sold_by == "sheet" and any(need.size is not None for need in needs):
            yield from self._sheets(article, needs, sold)
        else:
            yield _counted(article, needs, spares, sold)

    def _left(self) -> float:
        return self.seconds if self.clock is None else max(self.until - self.clock(), 0.5)

    def _tell(self) -> None:
        if self.progress is not None:
            self.progress(len(self.cuts) + len(self.sheets), self.of)

    def _lengths(self, article: Article, needs: list[Need], sold: Sold | None) -> Iterator[Row]:
        self._tell()
        pieces = tuple(
            Piece(length=need.length, count=need.count, label=need.mark or need.where, line=need.line)
            for need in needs
            if need.length is not None
        )
        stocks = self._sticks(article, sold)
        offered = bool(stocks)
        if not offered:
            stick = assumed(self.room, "buy.stick")
            stocks = [Stock(length=stick.value)]
            self._assumed(article, "lengths", stick)
        stocks += [
            Stock(length=one.value, count=1, offcut=True)
            for one in (sold.offcuts if sold is not None else ())
        ]
        plan = cut(
            pieces, stocks, kerf=self._said(self.said.kerf, "buy.kerf"), trim=self._said(self.said.trim, "buy.trim"),
            seconds=self._left(), clock=self.clock,
        )  # fmt: skip
        self.cuts.append(CutArticle(article=article.key, plan=plan, assumed=not offered))
        self.findings += _of_article(article, plan.findings)
        bought: dict[Stock, int] = defaultdict(int)
        for pattern in plan.patterns:
            bought[pattern.stock] += pattern.times
        have = sold.have or 0 if sold is not None else 0
        for stock, count in bought.items():
            if stock.offcut:
                continue
            held = min(have, count)
            have -= held
            yield Row(
                article=article.key, kind=article.kind, unit="lengths", needed=count, spare=0, on_hand=held, pack=1,
                buy=count - held, price=stock.price, length=stock.length,
            )  # fmt: skip

    def _sheets(self, article: Article, needs: list[Need], sold: Sold | None) -> Iterator[Row]:
        self._tell()
        pieces = tuple(
            SheetPiece(
                width=need.size[0], height=need.size[1], count=need.count, label=need.mark or need.where
            )
            for need in needs
            if need.size is not None
        )
        stocks = self._boards(article, sold)
        offered = bool(stocks)
        if not offered:
            stocks = [self._usual_sheet(article.kind, pieces)]
            self._assumed(article, "sheets", *usual_sheet(self.room, foam=article.kind == "sheet"))
        stocks += [
            SheetStock(width=one[0].value, height=one[1].value, count=1, offcut=True)
            for one in (sold.sheet_offcuts if sold is not None else ())
        ]
        plan = cut_sheets(
            pieces,
            stocks,
            kerf=0.0 if article.kind == "glass" else self._said(self.said.kerf, "buy.kerf"),
            trim=0.0,  # [buy] trim is for the ends of lengths; the edges of a new sheet are square
        )
        self.sheets.append(SheetArticle(article=article.key, plan=plan, assumed=not offered))
        self.findings += _of_article(article, plan.findings)
        have = sold.have or 0 if sold is not None else 0
        for stock, count in plan.counts:
            if stock.offcut:
                continue
            held = min(have, count)
            have -= held
            yield Row(
                article=article.key, kind=article.kind, unit="sheets", needed=count, spare=0, on_hand=held, pack=1,
                buy=count - held, price=stock.price, size=(stock.width, stock.height),
            )  # fmt: skip

    def _sticks(self, article: Article, sold: Sold | None) -> list[Stock]:
        """The lengths an article is sold in, each at its least price: by the lists, else by the plan."""
        least: dict[Metre, float] = {}
        for offer in self.offers[_name(article.key)]:
            if offer.form.length is not None:
                price = float(offer.price) / offer.pack
                least[offer.form.length] = min(price, least.get(offer.form.length, math.inf))
        if least:
            return [
                Stock(length=length, price=price) for length, price in sorted(least.items(), reverse=True)
            ]
        return [
            Stock(length=one.length.value, price=sold.price if one.price is None else one.price)
            for one in (sold.lengths if sold is not None else ())
            if sold is not None
        ]

    def _boards(self, article: Article, sold: Sold | None) -> list[SheetStock]:
        least: dict[tuple[Metre, Metre], float] = {}
        for offer in self.offers[_name(article.key)]:
            if offer.form.size is not None:
                price = float(offer.price) / offer.pack
                least[offer.form.size] = min(price, least.get(offer.form.size, math.inf))
        if least:
            return [
                SheetStock(width=size[0], height=size[1], price=price)
                for size, price in sorted(least.items())
            ]
        return [
            SheetStock(
                width=one.size[0].value, height=one.size[1].value,
                price=sold.price if one.price is None else one.price,
            )
            for one in (sold.sheets if sold is not None else ())
            if sold is not None
        ]  # fmt: skip

    def _usual_sheet(self, kind: Kind, pieces: Sequence[SheetPiece]) -> SheetStock:
        """A sheet of a usual size; larger where a piece was counted as a whole one of another make."""
        width, length = usual_sheet(self.room, foam=kind == "sheet")
        usual = (length.value, width.value)
        sides = [sorted((piece.width, piece.height)) for piece in pieces]
        return SheetStock(
            width=max(*usual, *(long for _, long in sides)),
            height=max(min(usual), *(short for short, _ in sides)),
        )

    def _said(self, given: Known | None, key: str) -> Metre:
        return (given or assumed(self.room, key)).value

    def _assumed(self, article: Article, what: str, *usual: Known) -> None:
        self.findings.append(
            Finding(
                code=NO_LENGTH_SAID,
                severity=Severity.NOTE,
                subject=article.key,
                text=f"is cut from {what} of a usual size, for the plan does not say in which {what} it is sold",
                reason="another size gives other cuts and another number to buy",
                remedy=f'add [[buy.sold]] with of = "{article.key}" and the {what} your shop has',
                rests_on=tuple(one.key for one in usual if one.is_assumed),
            )
        )


def _counted(article: Article, needs: list[Need], spares: list[Spare], sold: Sold | None) -> Row:
    unit = UNITS.get(article.sold_by, "pieces")
    needed = math.fsum(_amount(need, article.sold_by) for need in needs)
    spare = math.fsum(_amount(one, article.sold_by) for one in spares)
    have = float(sold.have or 0) if sold is not None else 0.0
    pack = float(sold.pack or 1) if sold is not None else 1.0
    missing = max(needed + spare - have, 0.0)
    return Row(
        article=article.key,
        kind=article.kind,
        unit=unit,
        needed=needed,
        spare=spare,
        on_hand=min(have, needed + spare),
        pack=pack,
        buy=math.ceil(missing / pack - _WHOLE),
        price=sold.price if sold is not None else None,
    )


def _amount(one: Need | Spare, sold_by: SoldBy) -> float:
    """How much of an article one need or spare is, in the unit its article is counted in; litres for volumes."""
    each: float | None = 1.0
    if sold_by in ("metre", "length"):
        each = one.length
    elif sold_by == "area":
        each = one.area
    elif sold_by == "volume":
        each = None if one.volume is None else convert(one.volume, "m3", "L")
    return one.count * (1.0 if each is None else each)


def _of_article(article: Article, findings: tuple[Finding, ...]) -> Iterator[Finding]:
    """What is said of a whole job of cuts, under the name of what is cut."""
    for one in findings:
        yield replace(one, subject=article.key) if one.subject in ("cuts", "the sheets") else one


def _name(article: str) -> str:
    return key_of(article, Form())[0]


def _strangers(sold: tuple[Sold, ...], takeoff: Takeoff) -> Iterator[Finding]:
    """What the plan says is sold and nothing of the room is made of."""
    known: Mapping[str, str] = {one.key.casefold(): one.key for one in takeoff.articles}
    seen: set[str] = set()
    for one in sold:
        name = one.of.casefold()
        if name in seen:
            yield Finding(
                code=SOLD_ALIKE, severity=Severity.PROBLEM, subject=one.of, line=one.line,
                text="stands twice among what is sold", reason="the second is not looked at",
                remedy="make one of the two",
            )  # fmt: skip
        elif name not in known:
            yield Finding(
                code=SOLD_FOR_NOTHING, severity=Severity.NOTE, subject=one.of, line=one.line,
                text="is nothing this room takes", reason="its lengths and prices are not used",
                remedy="name it as the parts list does: tankwright parts shows the names",
            )  # fmt: skip
        seen.add(name)
