"""How each quantity of the wet test is measured: in which steps, with what, when, and what must be in force."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from tankwright.building.point import Kind


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """The way to measure one kind of quantity. `what` may name the {place}; `us` is the unit for US readers."""

    what: str
    how: tuple[str, ...]
    unit: str
    us: str
    when: str
    needs: str
    caution: str = ""
    source: str = ""


_WET: Final = "wet test, before any fish"
_FEED_ON: Final = "feed running at full, all its outlets open, for ten minutes or more"
_AIR_ON: Final = "pump warm, every tap as the plan leaves it, water in all tanks at its level"
_NEW: Final = "as soon as it is laid, before it is covered"

WAYS: Final[dict[Kind, Way]] = {
    "level": Way(
        what="water below the rim of tank {place}",
        how=("Hold a ruler upright at the elbow, its end on the rim",
             "read down to the water, not to the skin that climbs"),
        unit="mm", us="in", when=_WET, needs=_FEED_ON,
    ),
    "drip": Way(
        what="fresh water into tank {place}",
        how=("Hold a measuring jug under the outlet for one whole minute by a clock",
             "read the jug on a level table, in mL"),
        unit="mL/min", us="mL/min", when=_WET, needs=_FEED_ON,
    ),
    "air": Way(
        what="air into tank {place}",
        how=("Fill a bottle of known size with water and turn it over in the tank, mouth under water",
             "bring the air tube's end under its mouth, at the depth the diffuser hangs",
             "time until it is full of air, held so that the water inside and outside stands level",
             "divide its litres by the minutes"),
        unit="L/min", us="L/min", when=_WET, needs=_AIR_ON,
    ),
    "spare air": Way(
        what="air out of a spare tap of {place}",
        how=("Put a tube on the tap and a bottle full of water, turned over, on the tube's end just under the water",
             "time until it is full of air, and divide its litres by the minutes"),
        unit="L/min", us="L/min", when=_WET, needs=_AIR_ON,
    ),
    "pump pressure": Way(
        what="pressure at pump {place}",
        how=("Tee a clear tube with a U of water in it to the pump's own outlet",
             "read the height between the two columns with a ruler: 10 mm of water are 98 Pa"),
        unit="Pa", us="inH2O", when=_WET, needs=_AIR_ON,
    ),
    "ring pressure": Way(
        what="pressure of ring {place} at the tap where it is lowest",
        how=("Put a clear tube with a U of water in it on a spare tap beside it, that tap alone opened for it",
             "read the height between the two columns with a ruler: 10 mm of water are 98 Pa"),
        unit="Pa", us="inH2O", when=_WET, needs=_AIR_ON,
    ),
    "feed pressure": Way(
        what="pressure at the beginning of feed {place}",
        how=("Screw a gauge in behind filters and regulator", "read it while water runs"),
        unit="bar", us="psi", when=_WET, needs=_FEED_ON,
    ),
    "drain time": Way(
        what="time the overflow of tank {place} takes to clear",
        how=("Feed off, let the level come to rest, and mark a fifth and half of the way from it up to the rim",
             "pour with a bucket to above the upper mark", "start the clock as water passes the upper mark",
             "stop it at the lower one"),
        unit="s", us="s", when=_WET, needs="feed off, nothing else running into that drain",
    ),
    "depth": Way(
        what="water in drain {place} at its point",
        how=("Look in at an open end, a tee or a clear piece", "stand a thin ruler on the pipe's bottom and read"),
        unit="mm", us="in", when=_WET, needs=_FEED_ON,
    ),
    "fall": Way(
        what="fall of drain {place} from its top end to the outfall",
        how=("Fill a clear hose with water and hold its ends at both ends of the drain",
             "measure from each water level down to the pipe", "divide the difference by the length of the pipe"),
        unit="%", us="%", when=_NEW, needs="nothing",
    ),
    "rise": Way(
        what="how much warmer room {place} settles with its heater on than without",
        how=("Note the room's temperature in the evening with heating off, and what it is outside",
             "heater on without its thermostat, doors as they usually are",
             "read again each evening until it no longer changes, on a day as warm outside", "write the difference"),
        unit="K", us="°F", when=_WET, needs="lights and people as usual; somebody at home",
        caution="A heater without its thermostat is watched, never left alone, and nothing stands close to it. Stop "
        "before the room has 30 °C: where more would come, run a smaller heater, and write its rise times the full "
        "power over its own.",
        source="a steady room: power over loss, the same outside",
    ),
    "trip": Way(
        what="time the residual current device of circuit {place} takes to trip at its rated current",
        how=("Whoever may where you live does it with a tester, at the last socket of the circuit",
             "and writes down the time, and the current it tripped at"),
        unit="ms", us="ms", when="before anything wet is plugged in", needs="all loads of the circuit unplugged",
        caution="A screening figure. Mains near water: your local code and licensed people decide; the test button "
                "is no substitute.",
        source="IEC 61008-1, 300 ms at the rated residual current, from memory",
    ),
}  # fmt: skip
