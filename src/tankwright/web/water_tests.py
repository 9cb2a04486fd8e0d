"""The water tests of a test sheet: what each is called, where its numbers stand, and an entry in words."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from typing import Final

from tankwright.display import figures, words
from tankwright.finding import Number
from tankwright.units import parse_in_unit
from tankwright.workspace.entries import Entry, EntryKind

_CHIPS: Final = 8
_BEYOND: Final = 1  # the neighbours of the number have a button of their own


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterTest:
    """One kind of test. `ladder` are the numbers a keeper steps through, lowest first; `usual` is where a first
    entry begins. Both follow what kits and thermometers of the trade show: common practice, no source."""

    kind: EntryKind
    name: str
    says: str
    usual: float
    ladder: tuple[float, ...]
    unit: str = ""
    places: int = 0

    def words(self, value: float) -> str:
        """A number as it is read off a kit or a thermometer, without its unit: not rounded, and not bare of a
        decimal that is always read.

        >>> WATER_TESTS[0].words(7.0), WATER_TESTS[0].words(7.05), WATER_TESTS[1].words(8.0)
        ('7.0', '7.05', '8')
        """
        text = number_words(value)
        return text if "." in text or not self.places else f"{text}.{'0' * self.places}"

    def steps(self, value: float) -> tuple[float | None, float | None]:
        """The next number down and up; None at an end.

        >>> WATER_TESTS[0].steps(7.0), WATER_TESTS[3].steps(0.0)
        ((6.9, 7.1), (None, 0.05))
        """
        down, up = bisect_left(self.ladder, value - 1e-9) - 1, bisect_right(self.ladder, value + 1e-9)
        return (
            self.ladder[down] if down >= 0 else None,
            self.ladder[up] if up < len(self.ladder) else None,
        )

    def chips(self, value: float) -> tuple[float, ...]:
        """A few numbers near one, beyond its two neighbours: half of them lower, unless the ladder ends there.

        >>> WATER_TESTS[0].chips(7.0)
        (6.5, 6.6, 6.7, 6.8, 7.2, 7.3, 7.4, 7.5)
        """
        below = self.ladder[: max(bisect_left(self.ladder, value - 1e-9) - _BEYOND, 0)]
        above = self.ladder[bisect_right(self.ladder, value + 1e-9) + _BEYOND :]
        lower = max(_CHIPS // 2, _CHIPS - len(above))
        chosen = below[-lower:] if below else ()
        return (*chosen, *above[: _CHIPS - len(chosen)])

    def value_of(self, entry: Entry) -> float:
        """The number of an entry in this test's unit, as a keeper of that unit would read it off."""
        value = entry.value if entry.value is not None else self.usual
        if not self.unit or entry.unit == self.unit:
            return value
        told = words(
            Number(parse_in_unit(f"{value!r} {entry.unit}", "K"), "temperature"), _display(self.unit)
        )
        return float(told.partition(" ")[0].replace("−", "-"))


def _display(unit: str) -> str:
    return "US" if unit == "°F" else "metric"


def _ladder(low: float, high: float, step: float) -> tuple[float, ...]:
    return tuple(round(float(low + step * number), 2) for number in range(round((high - low) / step) + 1))


_NITRITE: Final = (0.0, 0.05, 0.1, 0.2, 0.3, 0.5, 0.8, 1.0, 2.0, 3.0, 5.0)
_NITRATE: Final = (0.0, 1.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 80.0, 100.0, 150.0, 200.0)
_AMMONIUM: Final = (0.0, 0.05, 0.1, 0.2, 0.3, 0.5, 1.0, 1.5, 2.0, 3.0, 5.0, 10.0)
WATER_TESTS: Final[tuple[WaterTest, ...]] = (
    WaterTest(kind="ph", name="pH", says="pH", usual=7.0, ladder=_ladder(3, 10, 0.1), places=1),
    WaterTest(
        kind="gh", name="GH", says="total hardness, GH", usual=8.0, ladder=_ladder(0, 40, 1), unit="°dH"
    ),
    WaterTest(
        kind="kh", name="KH", says="carbonate hardness, KH", usual=4.0, ladder=_ladder(0, 30, 1), unit="°dH"
    ),
    WaterTest(kind="no2", name="NO₂", says="nitrite, NO₂", usual=0.0, ladder=_NITRITE, unit="mg/L"),
    WaterTest(kind="no3", name="NO₃", says="nitrate, NO₃", usual=10.0, ladder=_NITRATE, unit="mg/L"),
    WaterTest(kind="nh4", name="NH₄", says="ammonium, NH₄", usual=0.0, ladder=_AMMONIUM, unit="mg/L"),
    WaterTest(
        kind="temperature",
        name="°C",
        says="temperature",
        usual=25.0,
        ladder=_ladder(5, 40, 0.5),
        unit="°C",
        places=1,
    ),
)
_WARMTH_US: Final = WaterTest(
    kind="temperature", name="°F", says="temperature", usual=77.0, ladder=_ladder(41, 104, 1), unit="°F"
)


def water_tests(display: str) -> tuple[WaterTest, ...]:
    """The tests of a sheet, in its order, in the reader's units.

    >>> [test.name for test in water_tests("US")]
    ['pH', 'GH', 'KH', 'NO₂', 'NO₃', 'NH₄', '°F']
    """
    return WATER_TESTS if display != "US" else (*WATER_TESTS[:-1], _WARMTH_US)


def number_words(value: float) -> str:
    """A number of a test as it is read off, without its unit.

    >>> number_words(7.0), number_words(0.05), number_words(76.4)
    ('7', '0.05', '76.4')
    """
    return figures(value, 4)


_DONE: Final[dict[str, str]] = {
    "fed": "Fed", "looked": "Looked, all well", "spawn": "Spawn", "dead": "Dead fish", "note": "Note"
}  # fmt: skip


def entry_words(entry: Entry, display: str) -> str:
    """What an entry says, short.

    >>> from tankwright.workspace.disk import utc_from_text
    >>> at = utc_from_text("2026-08-02T07:15:00Z")
    >>> entry = Entry(id=1, key="k", tank="A3", kind="temperature", value=24.5, unit="°C", note="", happened=at,
    ...               recorded=at, who="Ada")
    >>> entry_words(entry, "metric"), entry_words(entry, "US")
    ('24.5 °C', '76.1 °F')
    """
    test = next((one for one in water_tests(display) if one.kind == entry.kind), None)
    if test is not None and entry.value is not None:
        value = test.words(test.value_of(entry))
        return (
            f"{value} {test.unit}"
            if test.kind == "temperature"
            else f"{test.name} {value} {test.unit}".strip()
        )
    if entry.kind == "note":
        return entry.note
    said = _DONE.get(entry.kind, entry.kind)
    if entry.value is not None:
        said = f"{said}: {number_words(entry.value)}"
    return f"{said}. {entry.note}" if entry.note else said
