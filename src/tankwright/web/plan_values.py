"""The fields of a system's page: which values of the plan may be changed there, and what is assumed where it says
nothing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tankwright.origin import Known
from tankwright.plan.models import Plan
from tankwright.plan.values import Path
from tankwright.room.model import AirRun, FeedRun, PumpPlace
from tankwright.room.model_water import WaterPlace
from tankwright.web.page import View
from tankwright.web.pointer import to_pointer
from tankwright.web.sheets import SheetField

YES_NO = ("true", "false")


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldGroup:
    """Fields under one heading."""

    title: str
    fields: tuple[SheetField, ...]


def plan_of(view: View) -> Plan | None:
    """The plan as its text is now, so that pointers meet what stands there; the last good one where it is broken."""
    snapshot = view.snapshot
    return snapshot.read.plan or (snapshot.good.plan if snapshot.good else None)


@dataclass(frozen=True, slots=True)
class _Table:
    """Makes the fields of one table of the plan."""

    view: View
    path: Path

    def field(
        self,
        *steps: str | int,
        label: str,
        help_: str = "",
        known: Known | None = None,
        dimension: str = "length",
        otherwise: str = "",
        default: str = "",
        choices: Sequence[str] = (),
    ) -> SheetField:
        assumed = otherwise
        if known is not None and known.is_assumed:
            assumed = self.view.words(abs(known.value), dimension)
        return SheetField(
            pointer=to_pointer((*self.path, *steps)), label=label, help=help_, assumed=assumed, choices=tuple(choices),
            default=default,
        )  # fmt: skip


def air_fields(view: View, run: AirRun) -> Iterator[FieldGroup]:
    """The values of an air ring."""
    table = _Table(view, ("air", run.id))
    tap = next((one for one in run.taps if one.tank is not None), None)
    bore = run.pipes[0].bore if run.pipes else None
    yield FieldGroup(title="Ring", fields=(
        table.field("pipe", label="Pipe", help_='size and standard, such as "25 mm ISO 1.0 MPa"', known=bore),
        table.field("height", label="Height of the ring", known=run.height),
        table.field("lead", label="Pipe between pump and ring", otherwise=_assumed(view, "air.lead")),
        table.field("tap_every", label="Spacing of the taps", otherwise="" if _says(view, run.id, "taps") else
                    _assumed(view, "air.tap_every")),
        table.field("taps", label="or number of taps"),
        table.field("open_spare_taps", label="Spare taps left open", default="0"),
        table.field("relief", label="Relief valve opens at", default="none"),
    ))  # fmt: skip
    yield FieldGroup(title="From tap to tank", fields=(
        table.field("tap", "bore", label="Bore of a fully open tap", help_="a bottle test of one tap tells",
                    known=tap.bore if tap else None),
        table.field("tube", "bore", label="Bore of the tube", known=tap.tube_bore if tap else None),
        table.field("check_valves", label="A check valve in every tube", default="false", choices=YES_NO),
        table.field("per_tank", label="Taps for each tank", default="1"),
        table.field("diffuser", "kind", label="Diffuser", default="sponge", choices=("sponge", "stone", "open tube")),
        table.field("diffuser", "flow_wanted", label="Air each needs", known=tap.flow_wanted if tap else None,
                    dimension="air_flow"),
        table.field("diffuser", "above_base", label="Its outlet above the base",
                    otherwise=_assumed(view, "air.diffuser_above_base")),
        table.field("diffuser", "loss", label="Pressure it takes beyond its depth", help_="at the flow it needs",
                    known=tap.diffuser_loss if tap else None, dimension="pressure"),
    ))  # fmt: skip


def pump_fields(view: View, pump: PumpPlace) -> FieldGroup:
    """The values of a pump but its curve."""
    table = _Table(view, ("pump", pump.id))
    return FieldGroup(title=f"Pump {pump.id}", fields=(
        table.field("allowed", "to", label="Highest pressure for long running", default="not said"),
        table.field("allowed", "from", label="Lowest pressure", default="not said"),
        table.field("power", label="Electrical power", default="not said"),
        table.field("height", label="Height it stands at", known=pump.height),
        table.field("reserve", label="Stands by, does not run", default="false", choices=YES_NO),
    ))  # fmt: skip


def feed_fields(view: View, run: FeedRun) -> Iterator[FieldGroup]:
    """The values of a feed but its programs and filters."""
    table = _Table(view, ("feed", run.id))
    outlet = run.outlets[0] if run.outlets else None
    bore = run.pipes[0].bore if run.pipes else None
    kind = outlet.kind if outlet else ""
    fields = [
        table.field("outlet", "kind", label="Over each tank",
                    choices=("compensating dripper", "dripper", "small tube", "tap")),
        table.field("outlet", "rate", label="Nominal flow", known=outlet.rate if outlet else None, dimension="flow",
                    default="by its bore and length" if kind == "small tube" else ""),
        table.field("outlet", "at_pressure", dimension="pressure", known=outlet.at_pressure if outlet else None,
                    label="From which pressure" if kind == "compensating dripper" else "Pressure that is for"),
        table.field("outlet", "variation", label="Spread of making", dimension="share",
                    help_="the maker's coefficient of variation", known=outlet.variation if outlet else None),
    ]  # fmt: skip
    if kind == "small tube" and outlet is not None:
        fields += [
            table.field("outlet", "bore", label="Bore of the tube", known=outlet.bore),
            table.field("outlet", "length", label="Length of the tube", known=outlet.length),
        ]
    fields += [
        table.field("ends", label="Ends", default="above rim", choices=("above rim", "below rim")),
        table.field("air_gap", label="Distance from the rim", known=outlet.gap if outlet else None),
    ]
    yield FieldGroup(title="Outlets", fields=tuple(fields))
    yield FieldGroup(title="From the source", fields=(
        table.field("from", label="Source", help_="a water point, a vat, or a tank that stands higher"),
        table.field("regulated_to", label="Regulator set to", default="none"),
        table.field("pipe", label="Pipe of the manifolds", help_='size and standard, such as "16 mm PE"', known=bore),
        table.field("height", label="Manifold above each shelf's rims",
                    otherwise=_assumed(view, "feed.manifold_above_rim")),
        table.field("check_valve", label="Check valve", default="false", choices=YES_NO),
    ))  # fmt: skip
    if run.source_kind == "water point":
        point = _Table(view, ("water_point", run.source))
        yield FieldGroup(title=f"Water point {run.source}", fields=(
            point.field("pressure", label="Pressure, nothing running", known=run.source_pressure,
                        dimension="pressure"),
            point.field("flow", label="Flow, fully open", default="not said"),
        ))  # fmt: skip
    elif run.source_kind == "vat":
        vat = _Table(view, ("vat", run.source))
        yield FieldGroup(title=f"Vat {run.source}", fields=(
            vat.field("volume", label="Water in it", default="not said"),
            vat.field("height", label="Height of its water", otherwise=_assumed(view, "vat.height")),
        ))  # fmt: skip


def water_fields(view: View, water: WaterPlace) -> FieldGroup:
    """The values of one water; a mix says only its price here, its values come from its parts."""
    table = _Table(view, ("water", water.id))
    price = table.field(
        "price", label="Price of a cubic metre", help_="in the plan's currency", default="not said"
    )
    if water.mix:
        return FieldGroup(title=f"Mix {water.id}", fields=(price,))
    return FieldGroup(title=f"Water {water.id}", fields=(
        table.field("winter", label="In the coldest month", known=water.winter, dimension="temperature"),
        table.field("summer", label="In the hottest month", known=water.summer, dimension="temperature"),
        table.field("ph", label="pH", known=water.ph, dimension="ph"),
        table.field("general_hardness", label="General hardness", known=water.general_hardness, dimension="hardness"),
        table.field("carbonate_hardness", label="Carbonate hardness", known=water.carbonate_hardness,
                    dimension="hardness"),
        table.field("conductivity", label="Conductivity", default="not said"),
        table.field("nitrate", label="Nitrate", known=water.nitrate, dimension="concentration"),
        table.field("chlorine", label="Total chlorine", known=water.chlorine, dimension="concentration"),
        table.field("disinfectant", label="The supplier adds", default="not known",
                    choices=("chlorine", "chloramine", "none", "not known")),
        table.field("ammonia", label="Ammonia, as N", default="not said"),
        price,
    ))  # fmt: skip


def _says(view: View, run: str, key: str) -> bool:
    return view.value("air", run, key) is not None


def _assumed(view: View, key: str) -> str:
    """The words of an assumption the room rests on; "" where it rests on none of that key."""
    known = next((one for one in (view.room.assumed if view.room else ()) if one.key == key), None)
    return "" if known is None else view.words(known.value, "length")
