"""What the plan says of waters and of what lives in them: waters one has, what zones want, stock, own species."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import (
    AfterValidator,
    Field,
    ValidatorFunctionWrapHandler,
    WrapValidator,
    model_validator,
)

from tankwright.origin import Known
from tankwright.plan.fields import Name, Size0, about, needed
from tankwright.plan.quantities import (
    Concentration,
    Conductivity,
    Hardness,
    Mass,
    MassPerTime,
    NotNegative,
    Ph,
    PlanTable,
    Positive,
    Share,
    WaterTemperature,
    mistake,
)
from tankwright.plan.statements import key_text
from tankwright.units import clip


def _two_ends(example: str) -> WrapValidator:
    """Two values, the lower first; `example` is such a pair."""
    wanted = f"the lowest and the highest: {example}"

    def read(raw: Any, handler: ValidatorFunctionWrapHandler) -> Any:
        if not isinstance(raw, (list, tuple)):
            raise mistake("PLAN-022", "is one value, not two", wanted=wanted, attempt=example)
        if len(raw) != 2:
            count = "1 value" if len(raw) == 1 else f"{len(raw)} values"
            raise mistake("PLAN-022", f"has {count}, not 2", wanted=wanted, attempt=example)
        pair = handler(raw)
        if pair[0].value > pair[1].value:
            swapped = [_as_toml(end) for end in reversed(raw)]
            attempt = f"[{', '.join(swapped)}]" if all(swapped) else ""
            raise mistake("PLAN-024", "has its higher end first", wanted=wanted, attempt=attempt)
        return pair

    return WrapValidator(read)


def _as_toml(value: Any) -> str:
    """A text or a number as it is written; "" for a table."""
    if isinstance(value, str):
        return f'"{clip(value)}"'
    return f"{value:g}" if isinstance(value, (int, float)) else ""


PhRange = Annotated[tuple[Ph, Ph], _two_ends("[6.5, 7.2]")]
HardnessRange = Annotated[tuple[Hardness, Hardness], _two_ends('["4 °dH", "12 °dH"]')]
TemperatureRange = Annotated[tuple[WaterTemperature, WaterTemperature], _two_ends('["23 °C", "26 °C"]')]
ConductivityRange = Annotated[tuple[Conductivity, Conductivity], _two_ends('["200 µS/cm", "500 µS/cm"]')]


def _whole(mix: dict[str, Known]) -> dict[str, Known]:
    total = sum(share.value for share in mix.values())
    if mix and abs(total - 1.0) > 0.005:
        last = next(reversed(mix))
        rest = 1.0 - (total - mix[last].value)
        shares = {**{name: share.value for name, share in mix.items()}, last: rest}
        told = ", ".join(f'{key_text(name)} = "{100 * share:.4g} %"' for name, share in shares.items())
        raise mistake(
            "PLAN-024",
            f"has shares that make {100 * total:.4g} %, not 100 %",
            wanted="shares that make 100 %",
            attempt=f"{{ {told} }}" if rest > 0 else "",
        )
    return mix


class Water(PlanTable):
    """A water one has, as measured, or a mix of others."""

    comes_from: tuple[Name, ...] = about(
        "the water points and vats that give it; one of its own name when not said", ()
    )
    mix: Annotated[dict[str, Share], AfterValidator(_whole)] = about(
        "for a water mixed of others: the share of each", {}
    )
    winter: WaterTemperature | None = about("its temperature in the coldest month")
    summer: WaterTemperature | None = about("its temperature in the hottest month")
    ph: Ph | None = about("pH")
    general_hardness: Annotated[Hardness, NotNegative] | None = about("GH: calcium and magnesium")
    carbonate_hardness: Annotated[Hardness, NotNegative] | None = about("KH: alkalinity")
    conductivity: Annotated[Conductivity, NotNegative] | None = about("at 25 °C")
    chlorine: Annotated[Concentration, NotNegative] | None = about("total chlorine")
    disinfectant: Literal["chlorine", "chloramine", "none", "not known"] = about(
        "what the supplier adds", "not known"
    )
    nitrate: Annotated[Concentration, NotNegative] | None = about("as nitrate, NO3")
    ammonia: Annotated[Concentration, NotNegative] | None = about("ammonia and ammonium together, as N")
    price: float | None = Field(
        default=None, ge=0, le=10000, description="for a cubic metre, in the plan's currency"
    )


class Wants(PlanTable):
    """The water a zone is meant to have."""

    temperature: TemperatureRange | None = about("of the water, lowest and highest")
    ph: PhRange | None = about("pH, lowest and highest")
    general_hardness: HardnessRange | None = about("GH, lowest and highest")
    carbonate_hardness: HardnessRange | None = about("KH, lowest and highest")
    conductivity: ConductivityRange | None = about("lowest and highest")
    nitrate: Annotated[Concentration, Positive] | None = about("the most, as nitrate")


class Stock(PlanTable):
    """What some tanks are meant to hold: so much in each of them."""

    tanks: Name = needed('the tanks, "A1..A4"')
    species: Name | None = about("its scientific name")
    count: int | None = Field(default=None, ge=0, le=100_000, description="fish in each tank")
    each: Annotated[Mass, Positive] | None = about("mass of one fish")
    length: Size0 | None = about("length of one fish, for its mass when that is not known")
    mass: Annotated[Mass, NotNegative] | None = about("of all fish in a tank, instead of count and each")
    feed: Annotated[MassPerTime, NotNegative] | None = about("dry feed a day for each tank")
    protein: Annotated[Share, Positive] | None = about("protein in the feed")

    @model_validator(mode="after")
    def _one_way_to_say_the_mass(self) -> Stock:
        other = next((key for key in ("count", "each", "length") if getattr(self, key) is not None), None)
        if self.mass is not None and other is not None:
            raise mistake(
                "PLAN-024",
                f"says mass and {other}: the mass of all its fish is said twice",
                keys=(other, "mass"),
                wanted="count and each (or length), or mass alone",
                attempt=self._by_count(),
            )
        return self

    def _by_count(self) -> str:
        """The same fish said by count and the mass of each; "" where that is said already or cannot be."""
        if not self.count or self.mass is None or self.each is not None or self.length is not None:
            return ""
        return f'count = {self.count} with each = "{1000 * self.mass.value / self.count:.3g} g"'


class OwnSpecies(PlanTable):
    """Your own facts about a species; they stand before the table's."""

    ph: PhRange | None = about("pH it keeps in")
    hardness: HardnessRange | None = about("GH it keeps in")
    temperature: TemperatureRange | None = about("water temperature it keeps in")
    length: Size0 | None = about("of a grown fish")
    source: str | None = about("where you have it from")
