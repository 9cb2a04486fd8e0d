"""What the plan says of alarms: what each watches, when it goes off, and whom it reaches how soon."""

from __future__ import annotations

from typing import Annotated, Final, Literal

from pydantic import model_validator

from tankwright.plan.fields import Name, Size0, about, needed
from tankwright.plan.quantities import Duration, PlanTable, Positive, Pressure, WaterTemperature, mistake

Watches = Literal["floor water", "level", "temperature", "air pressure", "power"]

_WHEN: Final[dict[str, tuple[str, ...]]] = {
    "floor water": ("depth",),
    "level": ("too_high", "too_low"),
    "temperature": ("too_cold", "too_warm"),
    "air pressure": ("pressure_under",),
    "power": (),
}
"""Which keys say when an alarm goes off, by what it watches."""


class Alarm(PlanTable):
    """Something that calls when nobody looks."""

    id: Name = needed("its name")
    watches: Watches = needed("what it watches")
    where: Name | None = about(
        'a room, tanks "A1..A4", a rack, a vat, an air ring, a board or a circuit; all of them when not said'
    )
    depth: Size0 | None = about("floor water: as deep as it must stand at the sensor")
    too_high: Size0 | None = about("level: so far above still water")
    too_low: Size0 | None = about("level: so far below still water")
    too_cold: WaterTemperature | None = about("temperature: below this")
    too_warm: WaterTemperature | None = about("temperature: above this")
    pressure_under: Annotated[Pressure, Positive] | None = about("air pressure: less than this")
    reaches: Name = needed("who hears of it, wherever they are")
    within: Annotated[Duration, Positive] | None = about("until somebody is there and does something")
    battery_backed: bool = about("calls also in a power cut, its telephone or network too", False)
    board: Name | None = about("the board it hangs on; any power cut silences it when not said")

    @model_validator(mode="after")
    def _goes_off_at_what_it_watches(self) -> Alarm:
        own = _WHEN[self.watches]
        every = [key for keys in _WHEN.values() for key in keys]
        other = next((key for key in every if key not in own and getattr(self, key) is not None), None)
        if other is not None:
            wanted = next(kind for kind, keys in _WHEN.items() if other in keys)
            raise mistake(
                "PLAN-024",
                f"watches {self.watches}, which {other} says nothing of",
                keys=("watches", other),
                wanted=" or ".join(own) if own else "no threshold",
                attempt=f'watches = "{wanted}"',
            )
        return self
