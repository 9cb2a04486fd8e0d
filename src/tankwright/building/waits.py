"""How long nobody may touch what was glued or painted: solvent cement by size, warmth and damp, silicone by depth."""

from __future__ import annotations

from typing import Final, Literal

from tankwright.physics.ranges import require
from tankwright.units import Dimensionless, Kelvin, Metre, Second

CEMENT_SOURCE: Final = (
    "a pipe maker's plastics manual, p. 96, from a cement maker's laboratory; ASTM D2855 defers to the makers: "
    "what your tin says goes before it"
)
SILICONE_SOURCE: Final = (
    "common practice, no source: 2 to 3 mm deep a day; the label of your tube goes before it"
)

_HOUR: Final[Second] = 3600.0
_INCH: Final[Metre] = 0.0254
# Largest nominal size of each column, in, and the true outer diameter where it ends: halfway to the next size, so
# that metric pipes of the same thickness fall into the same column. Outer diameters of ASTM D1785, from memory.
_SIZES: Final = ((1.25, 0.0452), (3.0, 0.1016), (8.0, 0.2250))
# Lowest temperature of each row, K (60, 40 and 0 °F), the hours by size until it may be moved, and until it is tested.
_ROWS: Final = (
    (288.7056, (0.25, 0.5, 1.0), (1.0, 2.0, 6.0)),
    (277.5944, (1.0, 2.0, 4.0), (2.0, 4.0, 12.0)),
    (255.3722, (3.0, 6.0, 12.0), (8.0, 16.0, 48.0)),
)
_WARMEST: Final[Kelvin] = 310.9278  # 100 °F
_DAMP: Final = 0.60
_DAMP_TAKES: Final = 1.5


def cement_wait(
    *,
    outer_diameter: Metre,
    temperature: Kelvin,
    humidity: Dimensionless,
    until: Literal["moved", "filled"],
) -> Second:
    """Time until a solvent-cemented joint of PVC may be moved, or filled and tested (to 180 psi).

    Inputs:
        outer_diameter: of the pipe; 0.01 to 0.225
        temperature: of the air while it sets; 255.37 to 310.93
        humidity: relative humidity of the air; 0 to 1

    Over 60 % humidity it takes half as long again. Between two rows the colder, slower one is taken.

    Source: a pipe maker's plastics technical manual, p. 96, from a cement maker's laboratory; ASTM D2855 gives no
    table and defers to the makers.

    >>> cement_wait(outer_diameter=0.05, temperature=293.15, humidity=0.5, until="filled") / 3600
    2.0
    >>> cement_wait(outer_diameter=0.05, temperature=293.15, humidity=0.7, until="filled") / 3600
    3.0
    """
    require("outer_diameter", outer_diameter, 0.01, _SIZES[-1][1], "m")
    require("temperature", temperature, _ROWS[-1][0], _WARMEST, "K")
    require("humidity", humidity, 0.0, 1.0, "1")
    column = next(place for place, (_, most) in enumerate(_SIZES) if outer_diameter <= most)
    _, moved, filled = next(row for row in _ROWS if temperature >= row[0] - 1e-4)
    hours = (moved if until == "moved" else filled)[column]
    return hours * _HOUR * (_DAMP_TAKES if humidity > _DAMP else 1.0)


def silicone_wait(*, depth: Metre, millimetre_takes: Second, least: Second = 0.0) -> Second:
    """Time until a bead of silicone has cured through.

    Inputs:
        depth: from the air to the innermost of the bead; 0 to 0.05
        millimetre_takes: time for each millimetre of it; 3600 to 864000
        least: no less than this, whatever the depth; 0 to 1e7

    Source: common practice, no source: 2 to 3 mm a day; pages of the trade disagree between a day and three weeks.

    >>> silicone_wait(depth=0.006, millimetre_takes=34560.0) / 86400
    2.4
    """
    require("depth", depth, 0.0, 0.05, "m")
    require("millimetre_takes", millimetre_takes, 3600.0, 864_000.0, "s")
    require("least", least, 0.0, 1e7, "s")
    return max(least, depth * 1000.0 * millimetre_takes)
