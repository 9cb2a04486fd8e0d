"""The shelf: every public physics function is complete, guarded, found by name and evaluated as written."""

from __future__ import annotations

import importlib
import inspect
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.finding import Finding, Severity
from tankwright.formulas import (
    Formula,
    FormulaResult,
    evaluate,
    find,
    nearest_names,
    not_found,
    physics_modules,
    shelf,
)
from tankwright.physics.ranges import OutsideValidRange
from tankwright.units import convert

HOSE = {"inner_diameter": "13 mm", "length": "1.5 m"}
AIR = {"temperature": "20 °C"}
TANK = {
    "length": "60 cm", "depth": "30 cm", "height": "30 cm", "side_thickness": "5 mm",
    "base_thickness": "6 mm",
}  # fmt: skip
STILL_TANK = {
    "tank_volume": "60 L", "transfer_velocity": "0.6 m/d", "surface_area": "0.18 m2",
    "saturation_level": "8.114 mg/L",
}  # fmt: skip
POOL = {"water_temperature": "26 °C", "air_temperature": "25 °C", "relative_humidity": "60 %"}
DISCHARGE = {"rated_time": "20 h", "current": "10 A", "peukert_exponent": "1.2"}
BEAM = {"stiffness": "11 GPa", "second_moment": "321.5 cm4"}
BEARER = {"breadth": "45 mm", "depth": "95 mm"}
POST = {"side": "45 mm", "other_side": "95 mm", "free_length": "1.2 m"}
C24_PUSHED = {"strength": "21 MPa", "stiffness_low": "7.4 GPa"}
SECTION = {"inner_diameter": "52 mm", "depth_share": "0.5"}
PANE = {"length": "60 cm", "height": "38 cm", "thickness": "6 mm", "head": "35 cm"}

# One plain use of every formula, as a person writes it. A new formula without one fails the first test.
USES: dict[str, dict[str, str]] = {
    "activity-coefficient": {"temperature": "25 °C", "ionic_strength": "5 mmol/L"},
    "artemia-cysts": {"water_volume": "2 L"},
    "artemia-hatch": {"cysts": "2 g", "water_volume": "1 L", "water_temperature": "26 °C", "salinity": "25"},
    "beam-moment": {"span": "1.2 m", "load": "1 kN/m"},
    "beam-shear": {"span": "1.2 m", "load": "1 kN/m"},
    "beam-deflection": {"span": "1.2 m", "load": "1 kN/m", **BEAM},
    "beam-shear-deflection": {"span": "1.2 m", "load": "1 kN/m", "shear_modulus": "690 MPa", "area": "42.75 cm2"},
    "bearing-stress": {"force": "600 N", "width": "45 mm", "length": "45 mm"},
    "bending-stress": {"moment": "300 N*m", "section_modulus": "67.7 cm3"},
    "shear-stress": {"shear": "600 N", "area": "42.75 cm2"},
    "two-span-deflection": {"span": "1.2 m", "load": "1 kN/m", **BEAM},
    "two-span-middle-force": {"span": "1.2 m", "load": "1 kN/m"},
    "two-span-moment": {"span": "1.2 m", "load": "1 kN/m"},
    "beam-constant-as": {"stiffness": "10 GPa", "strength": "17 MPa"},
    "beam-slenderness-as": {"free_length": "1.2 m", **BEARER},
    "beam-stability-nds": {"free_length": "1.2 m", "strength": "8.14 MPa", "stiffness_low": "510000 psi", **BEARER},
    "buckling-factor-steel-en": {"slenderness": "78", "yield_strength": "235 MPa"},
    "buckling-factor-timber-en": {"slenderness": "147", **C24_PUSHED},
    "column-constant-as": {"stiffness": "10 GPa", "strength": "18 MPa"},
    "column-stability-nds": {"slenderness": "31.5", "strength": "8.2 MPa", "stiffness_low": "510000 psi"},
    "euler-load": {"free_length": "2 m", **BEAM},
    "radius-of-gyration": {"second_moment": "321.5 cm4", "area": "42.75 cm2"},
    "size-factor-en": {"depth": "95 mm"},
    "stability-factor-as": {"slenderness": "30", "material_constant": "0.96"},
    "steel-post-en": {"area": "2.94 cm2", "second_moment": "6.94 cm4", "free_length": "1.2 m",
                      "yield_strength": "235 MPa"},
    "tilting-factor-en": {"free_length": "1.2 m", "strength": "24 MPa", "stiffness_low": "7.4 GPa", **BEARER},
    "timber-post-as": {"strength": "18 MPa", "stiffness": "10 GPa", "capacity_factor": "0.7", **POST},
    "timber-post-en": {**C24_PUSHED, **POST},
    "timber-post-nds": {"reference": "1150 psi", "stiffness_low": "510000 psi", **POST},
    "working-stress-as": {"strength": "17 MPa", "capacity_factor": "0.7"},
    "working-stress-en": {"strength": "24 MPa"},
    "working-stress-nds": {"reference": "875 psi", "other_factors": "1.5"},
    "floor-pressure": {"force": "1.9 kN", "area": "0.4 m2"},
    "joist-moment": {"pressure": "1.5 kPa", "spacing": "40 cm", "span": "4 m"},
    "load-on-nearest": {"force": "1 kN", "distance": "10 cm", "spacing": "40 cm"},
    "slenderness-of-rack": {"top_height": "1.54 m", "depth": "45 cm"},
    "sway-push": {"weight": "8 kN"},
    "tipping-pull": {"weight": "4 kN", "reach": "22.5 cm", "height": "1.8 m"},
    "tipping-share": {"pull": "250 N", "height": "1.8 m", "weight": "4 kN", "reach": "22.5 cm"},
    "battery-capacity": {"duration": "8 h", **DISCHARGE},
    "battery-time": {"capacity": "100 Ah", **DISCHARGE},
    "peukert-exponent": {"first_current": "9 A", "first_time": "20 h", "second_current": "25 A",
                         "second_time": "375 min"},
    "capacity-when-cold": {"temperature": "10 °C"},
    "capacity-left": {"capacity": "100 Ah", "aged_share": "80 %", "cold_share": "0.94"},
    "inverter-input": {"load": "71 W", "efficiency": "88 %", "idle": "6 W"},
    "generator-rating": {"running": "1.6 kW", "largest_motor": "71 W", "starting_factor": "3",
                         "loaded_share": "80 %"},
    "generator-fuel": {"load": "500 W", "rating": "1 kW", "efficiency": "20 %", "idle_share": "40 %"},
    "blend-share": {"target": "4", "first": "16", "second": "0.5"},
    "bubble-transfer": {"air_flow": "60 L/h", "depth": "30 cm", "water_temperature": "26 °C"},
    "calcite-saturation-index": {"ph": "8.2", "alkalinity": "200 mg/L", "calcium_hardness": "150 mg/L"},
    "co2-from-ph-and-alkalinity": {"ph": "7", "alkalinity": "71.4 mg/L"},
    "co2-in-equilibrium-with-air": {"temperature": "25 °C", "carbon_dioxide_share": "420 ppm"},
    "conductivity-from-ions": {"calcium": "1 mmol/L", "bicarbonate": "2 mmol/L"},
    "fish-oxygen-demand": {"fish_mass": "1 g", "total_mass": "80 g", "water_temperature": "25 °C"},
    "blockage-loss": {"open_share": "50 %"},
    "sloping-pipe-pool": {"height": "100 mm", "inner_diameter": "40 mm", "length": "3 m", "fall": "60 mm"},
    "puddle-depth": {"contact_angle": "60 °"},
    "water-surface-tension": AIR,
    "hatch-time": {"water_temperature": "26 °C"},
    "inorganic-carbon": {"ph": "7", "alkalinity": "71.4 mg/L"},
    "ionic-strength-from-conductivity": {"conductivity": "500 µS/cm"},
    "length-weight": {"length": "3.5 cm"},
    "log-aragonite-solubility": AIR,
    "log-bicarbonate-pairing": AIR,
    "log-calcite-solubility": AIR,
    "log-carbonate-pairing": AIR,
    "log-first-dissociation": AIR,
    "log-henry-constant": AIR,
    "log-second-dissociation": AIR,
    "log-vaterite-solubility": AIR,
    "log-water-dissociation": AIR,
    "mass-held-without-air": {"duration": "12 h", "respiration_rate": "500 mg/kg/h", "lowest_level": "2 mg/L",
                              **STILL_TANK},
    "oxygen-from-bubbles": {"air_flow": "60 L/h", "depth": "30 cm", "water_temperature": "26 °C",
                            "oxygen_level": "7 mg/L"},
    "oxygen-level-after": {"duration": "1 h", "respiration": "40 mg/h", "start_level": "8 mg/L", **STILL_TANK},
    "oxygen-level-steady": {"respiration": "20 mg/h", "transfer_velocity": "0.6 m/d",
                            "surface_area": "0.18 m2", "saturation_level": "8.114 mg/L"},
    "oxygen-saturation": {"water_temperature": "26 °C"},
    "ph-in-equilibrium-with-air": {"alkalinity": "71.4 mg/L", "carbon_dioxide_share": "800 ppm"},
    "ph-of-closed-water": {"alkalinity": "71.4 mg/L", "carbon": "1.75 mmol/L"},
    "air-density": AIR,
    "absolute-humidity": {"relative_humidity": "60 %", **AIR},
    "air-conditioner-capacity-ratio": {"indoor_wet_bulb": "20 °C", "outdoor_temperature": "30 °C"},
    "air-conditioner-efficiency-ratio": {"indoor_wet_bulb": "20 °C", "outdoor_temperature": "30 °C"},
    "bridged-wall-transmittance": {"layers_resistance": "0.43 m2 K/W", "insulation_resistance": "3.7 m2 K/W",
                                   "stud_resistance": "1.1 m2 K/W", "stud_share": "15 %"},
    "cooling-time-constant": {"heat_capacity": "250 kJ/K", "loss": "7 W/K"},
    "dehumidifier-capacity-ratio": {"air_temperature": "24 °C", "relative_humidity": "60 %"},
    "dehumidifier-efficiency-ratio": {"air_temperature": "24 °C", "relative_humidity": "60 %"},
    "dehumidifier-part-load-factor": {"running_share": "50 %"},
    "dew-point": {"relative_humidity": "60 %", **AIR},
    "heat-pump-capacity-ratio": {"indoor_temperature": "26 °C", "outdoor_temperature": "0 °C"},
    "heat-pump-efficiency-ratio": {"indoor_temperature": "26 °C", "outdoor_temperature": "0 °C"},
    "heater-size": {"water_temperature": "26 °C", "room_temperature": "18 °C", "loss": "7 W/K",
                    "heat_capacity": "250 kJ/K", "start_temperature": "22 °C", "warm_up_time": "1 d"},
    "humidity-ratio": {"relative_humidity": "60 %", **AIR},
    "inner-surface-temperature": {"inner_temperature": "26 °C", "outer_temperature": "0 °C",
                                  "transmittance": "0.3 W/(m2 K)"},
    "latent-heat": {"water_temperature": "26 °C"},
    "layer-resistance": {"thickness": "5 cm", "conductivity": "0.0355 W/(m K)"},
    "moist-air-density": {"humidity_ratio": "0.01", **AIR},
    "moist-air-enthalpy": {"humidity_ratio": "0.01", **AIR},
    "moist-air-specific-volume": {"humidity_ratio": "0.01", **AIR},
    "pane-convection": {"height": "35 cm", "surface_temperature": "26 °C", "air_temperature": "22 °C"},
    "pane-transmittance": {"height": "35 cm", "glass_thickness": "6 mm", "water_temperature": "26 °C",
                           "air_temperature": "22 °C"},
    "pool-evaporation-ashrae": POOL,
    "pool-evaporation-bower-saylor": {"width": "42 cm", **POOL},
    "pool-evaporation-engineering": POOL,
    "pool-evaporation-shah": POOL,
    "pool-evaporation-smith": POOL,
    "pressure-at-altitude": {"altitude": "1000 m"},
    "radiation-coefficient": {"surface_temperature": "26 °C", "surrounding_temperature": "22 °C"},
    "relative-humidity": {"humidity_ratio": "0.01", **AIR},
    "relative-humidity-from-wet-bulb": {"wet_bulb_temperature": "16 °C", **AIR},
    "saturation-vapour-pressure": AIR,
    "slab-transmittance": {"area": "21 m2", "exposed_perimeter": "19 m"},
    "basement-wall-transmittance": {"depth": "2 m", "wall_resistance": "0.15 m2*K/W", "floor_thickness": "0.6 m"},
    "surface-limit-temperature": {"air_temperature": "26 °C", "relative_humidity": "65 %"},
    "surface-relative-humidity": {"surface_temperature": "18 °C", "air_temperature": "26 °C",
                                  "relative_humidity": "60 %"},
    "tank-heat-loss": {"dry_loss": "7 W/K", "water_temperature": "26 °C", "room_temperature": "22 °C"},
    "temperature-after": {"start_temperature": "26 °C", "surrounding_temperature": "18 °C", "duration": "6 h",
                          "time_constant": "9.9 h"},
    "temperature-factor": {"transmittance": "0.8 W/(m2 K)"},
    "temperature-factor-needed": {"inner_temperature": "20 °C", "relative_humidity": "50 %",
                                  "outer_temperature": "-5 °C"},
    "time-to-cool": {"start_temperature": "26 °C", "end_temperature": "22 °C",
                     "surrounding_temperature": "0 °C", "time_constant": "87.8 h"},
    "vapour-pressure": {"relative_humidity": "60 %", **AIR},
    "vertical-plate-nusselt": {"rayleigh": "1.8e9"},
    "wall-transmittance": {"layers_resistance": "1.46 m2 K/W"},
    "water-surface-dry-loss": {"water_temperature": "32 °C", "air_temperature": "16 °C"},
    "wet-bulb": {"relative_humidity": "60 %", **AIR},
    "air-dynamic-viscosity": AIR,
    "air-kinematic-viscosity": AIR,
    "elbow-angle": {"hole_height": "30 cm", "reach": "34 mm", "bore": "16 mm", "level": "32.8 cm"},
    "elbow-level": {"hole_height": "30 cm", "reach": "34 mm", "bore": "16 mm", "angle": "20 deg"},
    "air-pipe-pressure-drop": {"flow": "60 L/min", "inner_diameter": "21 mm", "length": "24 m",
                               "inlet_gauge_pressure": "5 kPa"},
    "box-volume": {"length": "36 in", "depth": "18 in", "height": "16 in"},
    "alkalinity-for-nitrification": {"nitrogen": "0.4 g/d"},
    "ammonia-acute-criterion": {"ph": "7", "temperature": "20 °C"},
    "ammonia-chronic-criterion": {"ph": "7", "temperature": "20 °C"},
    "ammonia-from-chloramine": {"chloramine": "3 mg/L"},
    "ammonia-from-feed": {"feed": "10 g/d"},
    "ascorbate-dose": {"chlorine": "2 mg/L", "water_volume": "100 L"},
    "carbon-life": {"carbon_volume": "1 L", "capacity": "100 g/L", "chlorine": "1 mg/L"},
    "change-for-nitrate": {"load": "10 mg/d", "target_nitrate": "20 mg/L", "source_nitrate": "5 mg/L"},
    "chlorine-in-dripped-tank": {"inflow": "6 L/d", "tank_volume": "60 L", "source_chlorine": "2 mg/L",
                                 "time": "6 h"},
    "cold-fill-temperature": {"tank_temperature": "26 °C", "source_temperature": "15 °C",
                              "changed_share": "25 %"},
    "drip-efficiency": {"turnovers": "0.5"},
    "drip-over-batch": {"replaced_share": "50 %"},
    "drip-temperature-drop": {"tank_temperature": "26 °C", "source_temperature": "10 °C",
                              "room_temperature": "24 °C", "inflow": "4 L/h", "tank_volume": "54 L",
                              "time": "1 h", "heat_loss": "7 W/K"},
    "gas-supersaturation": {"cold_temperature": "10 °C", "warm_temperature": "25 °C"},
    "nitrate-after": {"start_nitrate": "10 mg/L", "load": "80 mg/d", "tank_volume": "54 L", "time": "3 wk",
                      "inflow": "5 L/d"},
    "nitrate-after-changes": {"rise": "10 mg/L", "changed_share": "25 %", "changes": "4"},
    "nitrate-before-change": {"rise": "10 mg/L", "changed_share": "25 %"},
    "nitrate-from-nitrogen": {"nitrogen": "10 mg/L"},
    "nitrification-capacity": {"media_volume": "1 L", "rate": "100 g/m3/d"},
    "nitrification-rate": {"capacity": "100 mg/d", "ammonia": "0.5 mg/L"},
    "oxygen-for-nitrification": {"nitrogen": "0.4 g/d"},
    "remaining-after-changes": {"changed_share": "25 %", "changes": "4"},
    "remaining-after-turnovers": {"turnovers": "1", "tanks_in_row": "3"},
    "steady-ammonia": {"load": "50 mg/d", "capacity": "150 mg/d"},
    "steady-drip-temperature": {"inflow": "4 L/h", "source_temperature": "10 °C", "room_temperature": "24 °C",
                                "heat_loss": "7 W/K"},
    "steady-nitrate": {"load": "80 mg/d", "inflow": "5 L/d"},
    "thiosulfate-dose": {"chlorine": "2 mg/L", "water_volume": "100 L"},
    "time-to-chlorine": {"inflow": "6 L/d", "tank_volume": "60 L", "source_chlorine": "2 mg/L"},
    "time-until-cycled": {"dose": "2 mg/L/d", "seed": "0.01 mg/L", "temperature": "26 °C"},
    "unionised-ammonia-fraction": {"ph": "8", "temperature": "25 °C"},
    "christiansen-factor": {"outlets": "10"},
    "continuous-share": {"continuous_current": "6 A", "other_current": "2 A", "rated_current": "10 A"},
    "critical-depth": {"flow": "0.5 L/s", "inner_diameter": "52 mm"},
    "current-from-power": {"power": "71 W", "voltage": "230 V"},
    "density-ratio": {"gauge_pressure": "50 mbar"},
    "emission-uniformity": {"coefficient_of_variation": "5 %", "minimum_flow": "3.9 L/h",
                            "mean_flow": "4 L/h"},
    "emitter-exponent": {"first_flow": "4 L/h", "first_pressure": "1 bar", "second_flow": "5.6 L/h",
                         "second_pressure": "2 bar"},
    "emitter-flow": {"pressure": "0.5 bar", "nominal_flow": "4 L/h", "nominal_pressure": "1 bar",
                     "exponent": "0.5"},
    "energy-used": {"power": "71 W", "running_share": "100 %", "duration": "1 d"},
    "free-air-flow": {"flow": "60 L/min", "gauge_pressure": "5 kPa"},
    "friction-factor": {"reynolds": "12000"},
    "friction-factor-colebrook": {"reynolds": "12000"},
    "full-bore-flow": {"inner_diameter": "52 mm", "slope": "1:60"},
    "glass-design-strength-duration": {"short_strength": "18.3 MPa", "probability": "0.1 %"},
    "glass-design-strength-en": {"edge_factor": "0.8", "load_factor": "1.35"},
    "glass-duration-factor-en": {"duration": "30 d"},
    "glass-weight": TANK,
    "greatest-hole-diameter": {"narrow_side": "38 cm"},
    "hole-edge-factor": {"clear": "12 mm", "diameter": "35 mm"},
    "hole-stress": {"first_stress": "5.3 MPa", "second_stress": "0.8 MPa", "factor": "1.84"},
    "hole-stress-factor": {"diameter": "35 mm", "thickness": "6 mm"},
    "least-hole-diameter": {"thickness": "6 mm"},
    "least-hole-to-corner": {"thickness": "6 mm"},
    "least-hole-to-edge": {"thickness": "6 mm"},
    "least-hole-to-hole": {"thickness": "6 mm"},
    "plate-deflection-four-edges": PANE,
    "plate-deflection-top-free": PANE,
    "plate-stress-four-edges": PANE,
    "plate-stress-top-free": PANE,
    "usual-hole-to-edge": {"diameter": "35 mm"},
    "hose-drain-flow": {"head": "60 cm", **HOSE},
    "inflow-for-replacement": {"replaced_share": "50 %", "tank_volume": "54 L"},
    "led-inrush-count": {"rated_current": "10 A", "peak_current": "15 A"},
    "lip-head": {"flow": "3 L/min", "diameter": "25 mm"},
    "lip-overflow": {"head": "8 mm", "diameter": "25 mm"},
    "open-channel-velocity": {"slope": "1 %", **SECTION},
    "orifice-expansibility": {"pressure_drop": "2 kPa"},
    "orifice-flow": {"pressure_drop": "1 bar", "diameter": "1 mm"},
    "outlet-froude-number": {"flow": "3 L/min", "diameter": "25 mm"},
    "pane-weight": {"width": "60 cm", "height": "30 cm", "thickness": "4 mm"},
    "part-full-area": SECTION,
    "part-full-depth": {"flow": "30 L/min", "inner_diameter": "52 mm", "slope": "1 %"},
    "part-full-flow": {"slope": "1 %", **SECTION},
    "part-full-flow-colebrook": {"slope": "1 %", **SECTION},
    "part-full-radius": SECTION,
    "part-full-width": SECTION,
    "pipe-pressure-drop": {"flow": "13 L/min", "inner_diameter": "13 mm", "length": "10 m"},
    "reaeration-coefficient": {"water_temperature": "26 °C"},
    "respiration-rate": {"fish_mass": "1 g", "water_temperature": "25 °C"},
    "respiration-when-warmed": {"respiration": "40 mg/h", "old_temperature": "25 °C", "new_temperature": "28 °C"},
    "reynolds-number": {"velocity": "0.5 m/s", "inner_diameter": "13 mm", "kinematic_viscosity": "1e-6 m2/s"},
    "running-cost": {"power": "71 W", "running_share": "0.5", "duration": "30 d", "price": "0.3 1/kWh"},
    "self-venting-flow": {"diameter": "25 mm"},
    "sideways-head": {"flow": "3 L/min", "diameter": "25 mm"},
    "sideways-overflow": {"head": "8 mm", "diameter": "25 mm"},
    "siphon-back-flow": {"head": "50 cm", "inner_diameter": "4 mm", "length": "2 m"},
    "surface-transfer": {"transfer_velocity": "0.6 m/d", "surface_area": "0.18 m2",
                         "saturation_level": "8.1 mg/L", "oxygen_level": "5 mg/L"},
    "tilted-head": {"flow": "3 L/min", "diameter": "25 mm", "angle": "45°"},
    "tilted-overflow": {"head": "8 mm", "diameter": "25 mm", "angle": "45°"},
    "tank-weight": {"water_height": "26 cm", **TANK},
    "time-to-drain": {"surface_area": "0.18 m2", "upper_head": "90 cm", "lower_head": "70 cm", **HOSE},
    "time-to-spill": {"freeboard_volume": "5.4 L", "inflow": "4 L/h"},
    "time-without-air": {"respiration": "40 mg/h", "start_level": "8 mg/L", "lowest_level": "2 mg/L", **STILL_TANK},
    "water-density": AIR,
    "water-dynamic-viscosity": AIR,
    "water-kinematic-viscosity": AIR,
    "water-pressure": {"depth": "30 cm"},
    "water-replaced": {"inflow_volume": "10 L", "tank_volume": "54 L"},
    "water-volume": {"length": "60 cm", "depth": "30 cm", "side_thickness": "5 mm", "water_height": "26 cm"},
}  # fmt: skip

REQUIRED = (
    "friction-factor", "pipe-pressure-drop", "air-pipe-pressure-drop", "lip-overflow", "sideways-overflow",
    "hose-drain-flow", "part-full-flow", "part-full-depth", "critical-depth", "emitter-flow",
    "emission-uniformity", "orifice-flow", "water-replaced", "time-to-spill", "tank-weight", "dew-point",
    "humidity-ratio", "wet-bulb", "moist-air-enthalpy", "wall-transmittance", "heater-size",
    "cooling-time-constant", "pool-evaporation-shah", "pool-evaporation-ashrae", "pool-evaporation-smith",
)  # fmt: skip


MAY_NEVER_COME = ("time-without-air",)  # a time that is infinite when the surface alone is enough

WITH_A_USE = tuple(formula for formula in shelf() if formula.name in USES)


def named(formula: Formula) -> str:
    return formula.name


def used(formula: Formula, **changes: str) -> FormulaResult | tuple[Finding, ...]:
    return evaluate(formula, USES[formula.name] | changes)


def test_every_public_physics_function_is_on_the_shelf_and_has_a_use() -> None:
    public = {
        name.replace("_", "-")
        for module in physics_modules()
        for name, function in vars(module).items()
        if inspect.isfunction(function) and function.__module__ == module.__name__ and name[0] != "_"
    }
    assert {formula.name for formula in shelf()} == public == set(USES)
    assert set(REQUIRED) <= public


@pytest.mark.parametrize("formula", shelf(), ids=named)
def test_every_formula_has_units_meanings_ranges_a_source_and_an_example(formula: Formula) -> None:
    assert formula.unit, "the result has no unit"
    assert formula.summary.endswith(".")
    assert formula.source, "no Source: line"
    assert ">>>" in (formula.function.__doc__ or ""), "no example"
    for item in formula.inputs:
        assert item.unit, f"{item.name} has no unit"
        assert item.meaning, f"{item.name} has no meaning and range in the Inputs: part"
        assert math.isfinite(item.low), item.name
        assert math.isfinite(item.high), item.name
        assert item.low < item.high, item.name
        if item.default is not None:
            assert item.low <= item.default <= item.high, item.name


@pytest.mark.parametrize("formula", WITH_A_USE, ids=named)
def test_every_stated_range_is_enforced_by_the_function_itself(formula: Formula) -> None:
    result = used(formula)
    assert isinstance(result, FormulaResult)
    good = dict(result.inputs)
    for item in formula.inputs:
        step = max(abs(item.low), 1e-12) * 1e-6
        for bad in (item.low - step, item.high * (1 + 1e-6), math.nan, math.inf, -math.inf):
            with pytest.raises(OutsideValidRange) as caught:
                formula.function(**(good | {item.name: bad}))
            assert caught.value.quantity == item.name


@pytest.mark.parametrize("formula", WITH_A_USE, ids=named)
def test_both_ends_of_every_range_are_computed_or_refused_never_worse(formula: Formula) -> None:
    result = used(formula)
    assert isinstance(result, FormulaResult)
    good = dict(result.inputs)
    for item in formula.inputs:
        for end in (item.low, item.high):
            try:
                value = formula.function(**(good | {item.name: end}))
            except OutsideValidRange:
                continue
            never = formula.name in MAY_NEVER_COME and value == math.inf
            assert math.isfinite(value) or never, (item.name, end)


@pytest.mark.parametrize("formula", WITH_A_USE, ids=named)
def test_every_use_gives_a_finite_number_and_shows_all_inputs(formula: Formula) -> None:
    result = used(formula)
    assert isinstance(result, FormulaResult)
    assert math.isfinite(result.value)
    assert result.value == result.si_value
    assert result.unit == formula.unit
    assert [name for name, _ in result.inputs] == [item.name for item in formula.inputs]


def test_the_example_of_the_handbook() -> None:
    formula = find("part-full-flow")
    assert formula is not None
    texts = {"inner_diameter": "52mm", "slope": "1%", "manning_n": "0.009", "depth_share": "0.5"}
    result = evaluate(formula, texts, "L/min")
    assert isinstance(result, FormulaResult)
    area, radius = math.pi / 8 * 0.052**2, 0.052 / 4
    by_hand = area * radius ** (2 / 3) * 0.1 / 0.009
    assert result.value == pytest.approx(by_hand * 60000, rel=1e-12)
    assert result.unit == "L/min"
    assert "Manning" in result.source


def test_circuits_and_weights_come_with_a_caution() -> None:
    for name in ("current-from-power", "continuous-share", "led-inrush-count", "tank-weight"):
        formula = find(name)
        assert formula is not None
        assert "icensed" in formula.caution
        result = used(formula)
        assert isinstance(result, FormulaResult)
        assert result.caution == formula.caution


def test_everything_wrong_is_said_in_one_pass() -> None:
    formula = find("part-full-flow")
    assert formula is not None
    findings = evaluate(formula, {"inner_diametr": "52mm", "slope": "3m", "manning_n": "0.9"}, "kg")
    assert isinstance(findings, tuple)
    by_code = {finding.code: finding for finding in findings}
    assert set(by_code) == {"FORMULA-02", "FORMULA-03", "FORMULA-04", "FORMULA-05", "FORMULA-06"}
    assert by_code["FORMULA-02"].attempt == "inner_diameter=52mm"
    assert "depth_share" in by_code["FORMULA-03"].text
    assert by_code["FORMULA-05"].wanted == "0.005 to 0.1"
    assert all(finding.severity is Severity.PROBLEM for finding in findings)


def test_a_bare_number_is_refused_where_a_unit_belongs_and_the_proposal_would_work() -> None:
    formula = find("part-full-area")
    assert formula is not None
    findings = evaluate(formula, {"inner_diameter": "52", "depth_share": "0.5"})
    assert isinstance(findings, tuple)
    (finding,) = findings
    assert finding.code == "FORMULA-04"
    name, _, text = finding.attempt.partition("=")
    mended = evaluate(formula, {name: text.strip('"'), "depth_share": "0.5"})
    assert isinstance(mended, FormulaResult)


def test_inputs_that_do_not_go_together_are_not_computed() -> None:
    formula = find("part-full-depth")
    assert formula is not None
    findings = evaluate(formula, {"flow": "2 L/s", "inner_diameter": "40 mm", "slope": "1 %"})
    assert isinstance(findings, tuple)
    (finding,) = findings
    assert (finding.code, finding.severity) == ("FORMULA-07", Severity.NOT_COMPUTED)
    assert finding.source


def test_what_never_happens_is_said_to_never_happen() -> None:
    formula = find("time-without-air")
    assert formula is not None
    findings = evaluate(formula, USES["time-without-air"] | {"respiration": "20 mg/h"})
    assert isinstance(findings, tuple)
    (finding,) = findings
    assert (finding.code, finding.severity) == ("FORMULA-08", Severity.NOT_COMPUTED)
    assert "never" in finding.text


def test_a_misspelt_name_is_answered_with_the_nearest() -> None:
    assert find("lip-overfall") is None
    assert nearest_names("lip overfall")[0] == "lip-overflow"
    assert nearest_names("qqqqqqqq") == ()
    finding = not_found("part-ful-flow")
    assert finding.code == "FORMULA-01"
    assert finding.attempt.startswith("part-full-flow")


@given(
    st.sampled_from(WITH_A_USE),
    st.dictionaries(st.text(max_size=12), st.text(max_size=30), max_size=4),
    st.one_of(st.none(), st.text(max_size=12)),
)
def test_nothing_typed_makes_it_raise(formula: Formula, extra: dict[str, str], unit: str | None) -> None:
    result = evaluate(formula, USES[formula.name] | extra, unit)
    assert isinstance(result, FormulaResult | tuple)


@given(st.sampled_from(shelf()), st.data())
def test_no_text_for_an_input_makes_it_raise(formula: Formula, data: st.DataObject) -> None:
    number = st.floats(allow_nan=True, allow_infinity=True).map(repr)
    unit = st.sampled_from(["", "mm", "m", "%", "L/h", "kPa", "°C", "W", "1/kWh", "{}", "m3/s", "m2/s"])
    texts = {
        item.name: data.draw(st.builds("{} {}".format, number, unit), label=item.name)
        for item in formula.inputs
    }
    result = evaluate(formula, texts)
    assert isinstance(result, FormulaResult | tuple)
    if isinstance(result, tuple):
        assert result
        assert all("{" not in finding.text for finding in result)


@given(st.floats(0.001, 0.05), st.floats(0.01, 0.05))
def test_the_unit_of_the_answer_only_scales_it(head: float, diameter: float) -> None:
    formula = find("lip-overflow")
    assert formula is not None
    texts = {"head": f"{head!r} m", "diameter": f"{diameter * 1000!r} mm"}
    plain, scaled = evaluate(formula, texts), evaluate(formula, texts, "L/h")
    assert isinstance(plain, FormulaResult)
    assert isinstance(scaled, FormulaResult)
    assert scaled.value == convert(plain.value, "m**3/s", "L/h")


def test_the_tools_of_the_physics_are_not_on_the_shelf() -> None:
    tools = importlib.import_module("tankwright.physics.numerics")
    assert tools not in physics_modules()
    assert find("root") is None


def test_an_input_may_be_named_by_the_part_of_its_name_that_leaves_no_doubt() -> None:
    formula = find("oxygen-saturation")
    short, whole = (
        evaluate(formula, {name: "25 °C"}, "mg/L") for name in ("temperature", "water_temperature")
    )
    assert short == whole
    (finding,) = evaluate(find("heater-size"), USES["heater-size"] | {"temperature": "20 °C"})
    assert (finding.code, finding.found) == ("FORMULA-02", "temperature")


def test_hardness_may_be_written_in_degrees_where_hardness_is_meant() -> None:
    uses = USES["co2-from-ph-and-alkalinity"]
    degrees = evaluate(find("co2-from-ph-and-alkalinity"), uses | {"alkalinity": "4 °dH"})
    milligrams = evaluate(find("co2-from-ph-and-alkalinity"), uses | {"alkalinity": "71.4 mg/L"})
    assert degrees.value == pytest.approx(milligrams.value, rel=1e-3)  # 1 °dH is 17.848 mg/L as CaCO3
