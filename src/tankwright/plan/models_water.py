"""What the plan says of waters and of what lives in them: waters one has, what zones want, stock, own species."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field, model_validator

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


def _low_first(pair: tuple[Known, Known]) -> tuple[Known, Known]:
    if pair[0].value > pair[1].value:
        raise mistake(
            "PLAN-024",
            "has its higher end first",
            found="the two ends the wrong way round",
            wanted="[lowest, highest]",
        )
    return pair


LowFirst = AfterValidator(_low_first)
PhRange = Annotated[tuple[Ph, Ph], LowFirst]
HardnessRange = Annotated[tuple[Hardness, Hardness], LowFirst]
TemperatureRange = Annotated[tuple[WaterTemperature, WaterTemperature], LowFirst]
ConductivityRange = Annotated[tuple[Conductivity, Conductivity], LowFirst]


class Water(PlanTable):
    """A water one has, as measured, or a mix of others."""

    comes_from: tuple[Name, ...] = about(
        "the water points and vats that give it; one of its own name when not said", ()
    )
    mix: dict[str, Share] = about("for a water mixed of others: the share of each", {})
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

    @model_validator(mode="after")
    def _shares_make_a_whole(self) -> Water:
        total = sum(share.value for share in self.mix.values())
        if self.mix and abs(total - 1.0) > 0.005:
            raise mistake(
                "PLAN-024",
                f"has a mix whose shares make {100 * total:.4g} %, not 100 %",
                found=", ".join(f"{name} {100 * share.value:.4g} %" for name, share in self.mix.items()),
                wanted="shares that make 100 %",
            )
        return self


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


class OwnSpecies(PlanTable):
    """Your own facts about a species; they stand before the table's."""

    ph: PhRange | None = about("pH it keeps in")
    hardness: HardnessRange | None = about("GH it keeps in")
    temperature: TemperatureRange | None = about("water temperature it keeps in")
    length: Size0 | None = about("of a grown fish")
    source: str | None = about("where you have it from")
