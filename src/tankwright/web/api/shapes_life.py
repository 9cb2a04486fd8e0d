"""The shapes of the room's life as it comes out and goes in: what lives where, what happened, a deed."""

from __future__ import annotations

from datetime import date, datetime
from typing import Annotated, Literal

from pydantic import AwareDatetime, BeforeValidator, Field, model_validator

from tankwright.web.api.shapes import Moment, _Told
from tankwright.web.api.wanted import Name, _moment, _only_text, _Shape

DeedName = Literal[
    "arrived", "born", "counted", "guessed", "died", "culled", "sold", "given", "used", "escaped", "moved", "split",
    "merged", "set", "parted", "spawned", "measured", "noted", "incident", "struck", "corrected", "called", "place",
    "gone", "line", "known",
]  # fmt: skip


class LivesHere(_Told):
    """So many of a stock in a place."""

    tank: str = Field(description="the place's label")
    stock: str = Field(description="the stock's label")
    stock_id: str = Field(description="its id, which stays")
    line: str = Field(description='its line; "" for none')
    species: str = Field(description='its species; "" when it is of no line')
    fish: int = Field(description="how many, as is known best")
    low: int = Field(description="at least so many; the same when they were counted")
    high: int = Field(description="at most so many")
    since: Moment | None = Field(description="since when there are any, UTC")


class Census(_Told):
    """What lives where."""

    at: Moment | None = Field(description="the moment it is of; null for now")
    fish: list[LivesHere] = Field(description="in walking order")


class StockTold(_Told):
    """Fish that are counted together."""

    id: str = Field(description="its id, which stays")
    label: str = Field(description="what its keeper calls it")
    kind: str = Field(description="individual, pair, group or brood")
    line: str = Field(description='the name of its line; "" for none')
    sex: str = Field(description='male, female or ""')
    born: date | None = Field(description="the day it was hatched or dropped")
    came_from: str = Field(description="from whom it came")
    opened: Moment = Field(description="since when it is in the book, UTC")
    closed: Moment | None = Field(description="since when it is at its end")


class Stocks(_Told):
    """All stocks by label."""

    stocks: list[StockTold] = Field(description="those asked for")


class FlowTold(_Told):
    """So many fish into an account, or out of it below nothing."""

    stock: str = Field(description="the stock's label")
    account: str = Field(description="where to: held, dead, sold ...")
    quantity: int = Field(description="how many")
    tank: str = Field(description='the place of what is held; "" elsewhere')


class ReadTold(_Told):
    """One value that was read or counted."""

    quantity: str = Field(description="what was read")
    value: float | None = Field(description="the number")
    low: float | None = Field(description="at least")
    high: float | None = Field(description="at most")
    unit: str = Field(description="its unit")
    method: str = Field(description="by what")


class EventTold(_Told):
    """One event of the logbook."""

    id: str = Field(description="its id")
    number: int = Field(description="its number among all that was recorded")
    kind: str = Field(description="what")
    says: str = Field(description="the same in words")
    happened: Moment = Field(description="when it happened, UTC")
    recorded: Moment = Field(description="when it was recorded, UTC")
    who: str = Field(description="who recorded it")
    tank: str = Field(description="the place's label")
    stock: str = Field(description="the stock's label")
    note: str = Field(description="words")
    flows: list[FlowTold] = Field(description="what it moved; adds up to nothing")
    read: list[ReadTold] = Field(description="what was read or counted")
    voided: str | None = Field(description="the reason it was voided for; null while it holds")


class Events(_Told):
    """What happened, the newest first."""

    events: list[EventTold] = Field(description="those asked for")
    next_skip: int | None = Field(description="ask with skip= this for the next ones; null at the end")


class DeedDone(_Told):
    """A deed that stands in the book."""

    events: list[EventTold] = Field(description="what was recorded, all together")
    repeated: bool = Field(description="true when the key had come before and nothing was done again")
    said: str = Field(description='what its sender should know, such as that its clock is ahead; mostly ""')


_Words = Annotated[str, Field(max_length=200)]
_Count = Annotated[int, Field(ge=0, le=1_000_000)]


class DeedWanted(_Shape):
    """What was done with fish: which fields a deed takes hangs on what it is, as on the command line."""

    kind: DeedName = Field(description="which deed", examples=["arrived"])
    tank: Name = Field(
        examples=["A1"], description="where; of line, known, struck and corrected it says nothing"
    )
    value: _Count | None = Field(default=None, description="how many fish", examples=[12])
    low: _Count | None = Field(default=None, description="at least so many, of a guess")
    high: _Count | None = Field(default=None, description="at most so many")
    males: _Count | None = Field(default=None, description="of a breeding set")
    females: _Count | None = Field(default=None, description="of a breeding set")
    stock: _Words = Field(default="", description="which fish, when several stocks live there")
    label: _Words = Field(default="", description="what a new stock or set is called", examples=["Tetras"])
    line: _Words = Field(default="", description="the line of fish that come, or of a line that is opened")
    species: _Words = Field(default="", description="opens a line that is not known yet")
    whom: _Words = Field(default="", description="from whom they came, to whom they went")
    to: _Words = Field(default="", description="the tank they go to, or what the tank is called now")
    parents: _Words = Field(default="", description="the breeding set of a spawn or of young")
    cause: _Words = Field(default="", description="of what they died")
    what: _Words = Field(default="", description="what went wrong, of an incident")
    sort: _Words = Field(
        default="", description="of a place: tank, vat, rack or outside; of fish: group, pair ..."
    )
    sex: _Words = Field(default="", description="male or female, of a stock that is known otherwise")
    event: _Words = Field(
        default="", description="the id or number of the event that is struck out or corrected"
    )
    reason: _Words = Field(default="", description="why it is")
    knowing: bool = Field(default=False, description="lines that are kept apart are mixed on purpose")
    note: str = Field(default="", max_length=2000, description="a few words")
    happened: Annotated[AwareDatetime, BeforeValidator(_only_text), Field(strict=False)] | None = Field(
        default=None, description="when, with its time zone; now when it is left out"
    )

    @model_validator(mode="after")
    def _in_time(self) -> DeedWanted:
        if self.happened is not None:
            _moment(self.happened)
        return self

    def fields(self) -> dict[str, str]:
        """The same as the fields of a form."""
        said = {
            key: str(value) for key, value in self.model_dump(exclude_none=True, exclude={"happened"}).items()
        }
        said["knowing"] = "1" if self.knowing else ""
        happened: datetime | None = self.happened
        return said | ({"happened": happened.isoformat()} if happened is not None else {})
