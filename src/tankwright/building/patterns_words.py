"""What each pattern of readings is called, what it points to, and what to do next."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from tankwright.building.point import Kind


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """One pattern in words; `text` may name {share}, {number} and {expected}."""

    code: str
    text: str
    reason: str
    remedy: str


WHOLE: Final[dict[tuple[Kind, bool], Said]] = {
    ("air", True): Said(
        code="PROOF-21", text="all {count} taps read get less air than expected: {share} of it",
        reason="what all taps share is the pump and the ring: a tired pump, a clogged intake, a leak, a relief valve "
               "or spare tap left open",
        remedy="Listen along the ring with soapy water, shut spare taps and the relief valve, clean the pump's felt.",
    ),
    ("air", False): Said(
        code="PROOF-21", text="all {count} taps read get more air than expected: {share} of it",
        reason="what all taps share is the pump and the ring: a stronger pump than its curve, or less water over the "
               "diffusers",
        remedy="Check which pump runs, and that tanks are full to their levels.",
    ),
    ("drip", True): Said(
        code="PROOF-22", text="all {count} outlets read give less water than expected: {share} of it",
        reason="what all outlets share is the pressure: a filter that is used up, a regulator turned down, a valve "
               "half shut, another tap open in the house",
        remedy="Read the pressure before and behind the filters while it runs; change the filter that takes most.",
    ),
    ("drip", False): Said(
        code="PROOF-22", text="all {count} outlets read give more water than expected: {share} of it",
        reason="what all outlets share is the pressure, or they are of a larger rate than the plan says",
        remedy="Read what stands on an outlet's cap, and the regulator's gauge.",
    ),
}  # fmt: skip

ALONE: Final[dict[tuple[Kind, str], Said]] = {
    ("air", "low"): Said(
        code="PROOF-23", text="gets {number} of its expected air, the others of its ring do not",
        reason="alone in being low: its tap is turned down, its tube kinked, or its sponge or stone clogged",
        remedy="Take the tube off the diffuser: when it then bubbles well, clean the diffuser; else the tap.",
    ),
    ("air", "high"): Said(
        code="PROOF-25", text="gets {number} of its expected air, the others of its ring do not",
        reason="alone in being high: its tap is open wider than in the plan, or its diffuser hangs higher or fell off",
        remedy="Look for the diffuser at its depth, then turn the tap back.",
    ),
    ("air", "robs"): Said(
        code="PROOF-25", text="gets {number} of its expected air, and its neighbours less than theirs",
        reason="one outlet that lets air go easily takes it from those beside it: a tap wide open, a diffuser off",
        remedy="Turn its tap back to the setting of the plan and read the three again.",
    ),
    ("drip", "low"): Said(
        code="PROOF-23", text="gets {number} of its expected water, the others of its feed do not",
        reason="alone in being low: its dripper is clogged with scale or sand, or its tube is kinked",
        remedy="Change that dripper, or soak it in weak acid away from any fish.",
    ),
    ("drip", "high"): Said(
        code="PROOF-25", text="gets {number} of its expected water, the others of its feed do not",
        reason="alone in being high: another dripper than the plan says, cracked, or not pushed home",
        remedy="Compare what stands on it with its neighbours; change it.",
    ),
    ("drip", "robs"): Said(
        code="PROOF-25", text="gets {number} of its expected water, and its neighbours less than theirs",
        reason="one outlet that lets water go easily takes it from those beside it",
        remedy="Change it for one like its neighbours and read the three again.",
    ),
    ("level", "high"): Said(
        code="PROOF-26", text="stands {number} higher than the others would have it",
        reason="its elbow is turned up too far, its strainer clogged, or its hose kinked or full of air",
        remedy="Wipe the strainer and watch: when the level stays, turn the elbow down and look along the hose.",
    ),
    ("level", "low"): Said(
        code="PROOF-26", text="stands {number} lower than the others would have it",
        reason="its elbow is turned down too far, it leaks, or nothing runs into it",
        remedy="See that its drip runs and the bulkhead is dry, then turn the elbow up.",
    ),
}  # fmt: skip

_PRESSURE_LOW: Final = Said(
    code="PROOF-35", text="is {number} where {expected} is expected",
    reason="low pressure: what drives it is weak, or more gets out than the plan knows",
    remedy="Shut what should be shut and read again; then look for leaks.",
)  # fmt: skip
_PRESSURE_HIGH: Final = Said(
    code="PROOF-35", text="is {number} where {expected} is expected",
    reason="high pressure: less gets out than the plan has, by taps turned down, clogged outlets or a blocked pipe",
    remedy="Compare the flows: those that are low show where it is held up.",
)  # fmt: skip

SINGLE: Final[dict[Kind, tuple[Said, Said]]] = {
    "pump pressure": (_PRESSURE_HIGH, _PRESSURE_LOW),
    "ring pressure": (_PRESSURE_HIGH, _PRESSURE_LOW),
    "feed pressure": (_PRESSURE_HIGH, _PRESSURE_LOW),
    "fall": (
        Said(code="PROOF-36", text="is {number} where {expected} is expected",
             reason="steeper than drawn: somewhere else it may be flatter, and its upper end stands higher",
             remedy="Check every clip with a level, and the height of the hoses that run into its top end."),
        Said(code="PROOF-36", text="is {number} where {expected} is expected",
             reason="a flatter drain runs fuller and slower, and silts up",
             remedy="Set the clips again before it is glued; no piece may fall backwards."),
    ),
    "depth": (
        Said(code="PROOF-36", text="is {number} deep where {expected} is expected",
             reason="deeper water means a flatter or rougher pipe, a rim of cement in a joint, or water standing back",
             remedy="Look downstream for what holds it up, and measure the fall of that piece."),
        Said(code="PROOF-36", text="is {number} deep where {expected} is expected",
             reason="less water comes down than the plan has, or the pipe falls more",
             remedy="See that all of the feed runs, and that no overflow goes elsewhere."),
    ),
    "drain time": (
        Said(code="PROOF-37", text="clears in {number} where {expected} is expected",
             reason="a slow overflow: its strainer, its mouth or its hose lets less through than the plan says",
             remedy="Wipe the strainer, look through the elbow, lift the hose so that it falls all the way."),
        Said(code="PROOF-37", text="clears in {number} where {expected} is expected",
             reason="a fast overflow: no strainer, a wider mouth, or a hose that siphons",
             remedy="See that the strainer is on, and that no hose end lies under water."),
    ),
    "rise": (
        Said(code="PROOF-38", text="is {number} where {expected} is expected",
             reason="the room loses less than the plan has it, or something else warms it too",
             remedy="Read again with lights and people away; then say the shell as it is."),
        Said(code="PROOF-38", text="is {number} where {expected} is expected",
             reason="the room loses more than the plan has it: gaps, a thinner wall, a heater that gives less",
             remedy="Feel for draughts, and read the heater's power on a meter."),
    ),
    "trip": (
        Said(code="PROOF-39", text="took {number} to trip, more than the {expected} allowed",
             reason="a device that trips late does not protect; a screening figure, your local code decides",
             remedy="Nothing wet is used on that circuit until a licensed person has seen to it."),
    ) * 2,
}  # fmt: skip
