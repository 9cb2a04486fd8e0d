"""The shapes of what is sent: strict, nothing unknown taken, units at the end of the names."""

from __future__ import annotations

from datetime import date, datetime
from typing import Annotated, Final, Literal

from pydantic import AwareDatetime, BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from tankwright.plan.reading import LARGEST_FILE
from tankwright.web.api.shared import LARGEST_NUMBER
from tankwright.workspace.entries import EntryKind

_FAR: Final = 1000.0  # m; farther than any wall of a room
_EARLIEST, _LATEST = datetime.fromisoformat("1970-01-01T00:00Z"), datetime.fromisoformat("2200-01-01T00:00Z")


class _Shape(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, allow_inf_nan=False)


Pointer = Annotated[
    str,
    Field(
        min_length=2, max_length=400, pattern="^/",
        description="where a value stands, as a JSON Pointer (RFC 6901); a rack also by its id: /rack/id=A/from_west",
        examples=["/rack_kind/three_high/depth"],
    ),
]  # fmt: skip
Name = Annotated[str, Field(min_length=1, max_length=40, description="the id in the plan")]
Length = Annotated[float, Field(ge=0.0, le=_FAR)]


def _only_text(value: object) -> object:
    if not isinstance(value, str):
        raise ValueError("wanted a text")
    return value


Day = Annotated[date, BeforeValidator(_only_text), Field(strict=False, examples=["2026-09-12"])]


class TextWanted(_Shape):
    """A whole text."""

    text: str = Field(
        max_length=LARGEST_FILE, description="the plan, TOML; stored also when it has mistakes",
        examples=['title = "Cellar"\n'],
    )  # fmt: skip


class ValueWanted(_Shape):
    """One value: either `typed` as a person types it or `toml` as it is to be written; "" takes it out."""

    pointer: Pointer
    typed: str | None = Field(default=None, max_length=4000, examples=["46 cm"],
                              description='"54 L", "1,8 m", "12", "true", "1:60", "daily"')  # fmt: skip
    toml: str | None = Field(default=None, max_length=100_000, description="lists and tables, as TOML")
    measured: Day | None = Field(default=None, description="the day it was measured; only with `typed`")

    @model_validator(mode="after")
    def _one_of_two(self) -> ValueWanted:
        if (self.typed is None) == (self.toml is None):
            raise ValueError("wanted either typed or toml")
        if self.toml is not None and self.measured is not None:
            raise ValueError("measured goes with typed only")
        return self


class ValuesWanted(_Shape):
    """Values changed in one step: all of them or none."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [{"values": [{"pointer": "/rack_kind/three_high/depth", "typed": "46 cm"}]}]
        }
    )

    values: list[ValueWanted] = Field(min_length=1, max_length=200, description="in the order they are made")


class RowWanted(_Shape):
    """One more row of a list."""

    pointer: Pointer = Field(description="the list", examples=["/feed/drip/program"])
    toml: str = Field(min_length=1, max_length=20_000, description="the row, as TOML",
                      examples=['{ start = "02:00", minutes = 15, days = "daily" }'])  # fmt: skip


class RackMoved(_Shape):
    """Where a rack is to stand: along its wall and off it, or, of an island, the corner at x, y."""

    rack: Name = Field(examples=["A"])
    along_m: Length | None = Field(default=None, description="from the left end of its wall", examples=[0.15])
    off_m: Length | None = Field(default=None, description="from its wall")
    at_m: Annotated[list[Length], Field(min_length=2, max_length=2)] | None = Field(
        default=None, description="of an island: x and y of its south-west corner"
    )

    @model_validator(mode="after")
    def _somewhere(self) -> RackMoved:
        if self.along_m is None and self.off_m is None and self.at_m is None:
            raise ValueError("wanted along_m, off_m or at_m")
        if self.at_m is not None and (self.along_m is not None or self.off_m is not None):
            raise ValueError("at_m goes without along_m and off_m")
        return self


class TankMoved(_Shape):
    """Where a tank, and with it its row, is to stand on its shelf."""

    tank: Name = Field(examples=["A1"])
    from_left_m: Length = Field(description="its left side, from the left end of the rack", examples=[0.05])


class ElbowTurned(_Shape):
    """How the elbow of a tank's overflow is to stand."""

    tank: Name = Field(examples=["A1"])
    angle_deg: float = Field(ge=-180, le=180, description="from straight up, to half a degree", examples=[35])


class TapSet(_Shape):
    """How far the air tap of a tank is to be open."""

    tank: Name = Field(examples=["A1"])
    opening_share: float = Field(ge=0, le=1, description="of its open area", examples=[0.6])


class TapsSet(_Shape):
    """How far many air taps are to be open, in one step."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"taps": [{"tank": "A1", "opening_share": 0.6}]}]}
    )

    taps: list[TapSet] = Field(min_length=1, max_length=2000, description="the taps")
    shut_spare: list[Annotated[str, Field(min_length=1, max_length=40, pattern=r"^[^\r\n]+$")]] = Field(
        default=[], max_length=40, description="air rings whose spare taps are shut with it"
    )


class SystemBegun(_Shape):
    """The system a plan gets its first section of."""

    system: Literal["air", "feed"] = Field(description="which", examples=["air"])


class RestoreWanted(_Shape):
    """The revision to go back to."""

    number: int = Field(ge=1, le=LARGEST_NUMBER, description="its number", examples=[40])


def _moment(value: datetime) -> datetime:
    if not _EARLIEST <= value < _LATEST:
        raise ValueError("wanted a time between 1970 and 2200")
    return value


class EntryWanted(_Shape):
    """Something measured, seen or done at a tank."""

    tank: Name = Field(examples=["A1"])
    kind: EntryKind = Field(description="what", examples=["ph"])
    value: float | None = Field(
        default=None, description="the number read, for the kinds that have one", examples=[7.2]
    )
    unit: str = Field(
        default="", max_length=20, description='its unit, such as "°C" or "°F"; "" is the usual one'
    )
    note: str = Field(default="", max_length=2000, description="a few words")
    happened: Annotated[AwareDatetime, BeforeValidator(_only_text), Field(strict=False)] | None = Field(
        default=None,
        description="when, with its time zone; now when it is left out",
        examples=["2026-10-04T18:30:00Z"],
    )

    @model_validator(mode="after")
    def _in_time(self) -> EntryWanted:
        if self.happened is not None:
            _moment(self.happened)
        return self


class JobWanted(_Shape):
    """Slow work to start."""

    kind: Literal["assumptions", "year"] = Field(
        description="what: every assumption tried at both ends of its band, or a year with all its measures",
        examples=["assumptions"],
    )
    number: int | None = Field(default=None, ge=1, le=LARGEST_NUMBER,
                               description="the revision; the newest that could be laid out when left out")  # fmt: skip
