"""SI numbers in the reader's units, and the words for findings: the only place that rounds.

A view hands over a `Number` and gets a phrase ("61 cm", "2 ft", "1.5 L/min", "1:60"). At most three figures
are shown, fewer where three would claim more than anyone can measure. Units are converted by `units.convert`.
"""

from __future__ import annotations

import math
import re
import textwrap
from collections.abc import Iterable
from typing import Final

from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.explain.model import Working
from tankwright.finding import Finding, Number, Severity
from tankwright.origin import Known
from tankwright.report.model import SummaryLine
from tankwright.units import DIMENSIONS, convert

SEVERITY_WORDS: Final[dict[Severity, str]] = {severity: severity.value for severity in Severity}
SEVERITY_SIGNS: Final[dict[Severity, str]] = {
    Severity.PROBLEM: "⊠",
    Severity.WARNING: "▲",
    Severity.NOTE: "•",
    Severity.NOT_COMPUTED: "○",
}
_ANSI: Final[dict[Severity, str]] = {
    Severity.PROBLEM: "31",
    Severity.WARNING: "33",
    Severity.NOTE: "36",
    Severity.NOT_COMPUTED: "90",
}
_WIDTH: Final = 100

# For each dimension and display: (below this SI size, unit to convert to, unit as shown), smallest first.
_Step = tuple[float, str, str]
_INF: Final = math.inf
_STEPS: Final[dict[tuple[str, str], tuple[_Step, ...]]] = {
    ("length", "metric"): ((0.1, "mm", "mm"), (2.0, "cm", "cm"), (_INF, "m", "m")),
    ("area", "metric"): ((0.1, "cm2", "cm²"), (_INF, "m2", "m²")),
    ("area", "US"): ((0.0929, "sq in", "sq in"), (_INF, "sq ft", "sq ft")),
    ("volume", "metric"): ((0.000999, "ml", "ml"), (9.99, "L", "L"), (_INF, "m3", "m³")),
    ("volume", "US"): ((0.00094, "US fl oz", "US fl oz"), (_INF, "US gal", "US gal")),
    ("flow", "metric"): ((0.3 / 6e4, "L/h", "L/h"), (_INF, "L/min", "L/min")),
    ("flow", "US"): ((6e-6, "US gal/h", "US gal/h"), (_INF, "US gal/min", "US gal/min")),
    ("air_flow", "*"): ((_INF, "L/min", "L/min"),),  # the trade's unit for air everywhere, the US included
    ("floor_load", "metric"): ((_INF, "kPa", "kPa"),), ("floor_load", "US"): ((_INF, "psf", "lb/sq ft"),),
    ("speed", "metric"): ((0.0999, "cm/s", "cm/s"), (_INF, "m/s", "m/s")),
    ("speed", "US"): ((_INF, "ft/s", "ft/s"),),
    ("pressure", "metric"): ((999.5, "Pa", "Pa"), (99950.0, "kPa", "kPa"), (_INF, "bar", "bar")),
    ("pressure", "US"): ((13789.0, "inH2O", "in of water"), (_INF, "psi", "psi")),
    ("mass", "metric"): ((0.9995, "g", "g"), (9995.0, "kg", "kg"), (_INF, "t", "t")),
    ("mass_per_time", "metric"): ((0.1e-3 / 86400, "mg/day", "mg/day"), (_INF, "g/day", "g/day")),
    ("mass_per_time", "US"): ((0.0283 / 86400, "g/day", "g/day"), (_INF, "oz/day", "oz/day")),
    ("mass", "US"): ((0.0283, "g", "g"), (0.4535, "oz", "oz"), (_INF, "lb", "lb")),
    ("power", "*"): ((999.5, "W", "W"), (_INF, "kW", "kW")),
    ("energy", "*"): ((3.6e6 * 0.9995, "Wh", "Wh"), (_INF, "kWh", "kWh")),
    ("current", "*"): ((0.09995, "mA", "mA"), (_INF, "A", "A")),
    ("voltage", "*"): ((_INF, "V", "V"),), ("charge", "*"): ((_INF, "Ah", "Ah"),),
    ("angle", "*"): ((_INF, "°", "°"),), ("ph", "*"): ((_INF, "1", ""),),
    ("density", "metric"): ((_INF, "kg/m3", "kg/m³"),), ("density", "US"): ((_INF, "lb/cu ft", "lb/cu ft"),),
    ("thermal_transmittance", "metric"): ((_INF, "W/(m2 K)", "W/(m² K)"),),
    ("thermal_transmittance", "US"): ((_INF, "BTU/(h ft2 °F)", "BTU/(h ft² °F)"),),
    ("heat_flux", "metric"): ((_INF, "W/m2", "W/m²"),), ("heat_flux", "US"): ((_INF, "BTU/(h ft2)", "BTU/(h ft²)"),),
    ("hardness", "US"): ((_INF, "ppm", "ppm"),), ("air_change", "*"): ((_INF, "1/h", "an hour"),),
    ("force", "metric"): ((999.5, "N", "N"), (_INF, "kN", "kN")),
    ("stress", "metric"): ((9.995e8, "MPa", "MPa"), (_INF, "GPa", "GPa")),
    ("bending_moment", "metric"): ((999.5, "N*m", "N m"), (_INF, "kN*m", "kN m")),
    ("bending_moment", "US"): ((_INF, "lbf*ft", "lbf ft"),),
    ("line_load", "metric"): ((999.5, "N/m", "N/m"), (_INF, "kN/m", "kN/m")),
    ("second_moment", "metric"): ((_INF, "cm4", "cm⁴"),), ("second_moment", "US"): ((_INF, "in4", "in⁴"),),
    ("section_modulus", "metric"): ((_INF, "cm3", "cm³"),), ("section_modulus", "US"): ((_INF, "in3", "in³"),),
}  # fmt: skip
# Below these SI sizes a number is what is left over from arithmetic: no keeper's instrument comes near, so it
# is shown as nothing. Common practice, no source; each at least a hundred times finer than such instruments.
_FLOORS: Final = {
    "length": 1e-6, "area": 1e-10, "volume": 1e-9, "flow": 1e-11, "air_flow": 1e-11, "floor_load": 0.05,
    "speed": 1e-7, "pressure": 0.05,
    "mass": 1e-6, "power": 1e-4, "energy": 1.0, "current": 1e-6, "voltage": 1e-5, "angle": 1e-7,
    "density": 1e-6, "force": 1e-6, "duration": 1e-4, "slope": 1e-7, "share": 1e-7,
    "temperature_difference": 1e-5, "concentration": 1e-8, "stress": 1.0, "bending_moment": 1e-6, "line_load": 1e-6,
}  # fmt: skip
_TOLD_APART: Final = {"share", "slope", "duration", "clock", "temperature", "temperature_difference"}
_ZERO_UNIT: Final = {
    "flow": "L/min", "air_flow": "L/min", "volume": "L", "mass": "kg", "current": "A", "pressure": "Pa",
}  # fmt: skip


def words(number: Number, display: str = "metric") -> str:
    """A number in the reader's units, rounded to what it is worth.

    `display` is "metric" or "US"; anything else reads as metric. A number that is not finite is said so,
    and a dimension that is not known is shown as a plain number. What is far below anything one can measure
    is shown as 0, without a sign. Raises nothing.

    >>> words(Number(0.61, "length")), words(Number(0.61, "length"), "US"), words(Number(1 / 60, "slope"))
    ('61 cm', '2 ft', '1:60')
    >>> words(Number(1.5 / 6e4, "flow")), words(Number(4 / 3.6e6, "flow")), words(Number(0.8734, "share"))
    ('1.5 L/min', '4 L/h', '87 %')
    >>> words(Number(7.25, "ph")), words(Number(0.5 / 3600, "air_change")), words(Number(9000.0, "clock"))
    ('7.25', '0.5 an hour', '02:30')
    """
    value, dimension = number.value, number.dimension
    if math.isnan(value):
        return "not known"
    if abs(value) > 1e15:  # nothing in a room; such a number only says that a limit is absent
        return "without limit" if value > 0 else "below any limit"
    if abs(value) < _FLOORS.get(dimension, 1e-15):
        value = 0.0
    if dimension == "share":
        return f"{_percent(value)} %"
    if dimension == "slope":
        return _slope(value, display)
    if dimension == "duration":
        return _duration(value)
    if dimension == "clock":
        return f"{int(value // 3600) % 24:02d}:{int(value % 3600 // 60):02d}"
    if dimension == "temperature":
        unit = "°F" if display == "US" else "°C"
        return f"{_decimals(convert(value, 'K', unit), 1)} {unit}"
    if dimension == "temperature_difference":
        unit = "°F" if display == "US" else "K"
        return f"{_significant(convert(value, 'K', unit, difference=True))} {unit}"
    if dimension == "length" and display == "US":
        return _feet_and_inches(value)
    return _stepped(value, dimension, display)


def words_in_column(number: Number, largest: float, display: str = "metric") -> str:
    """A number as it stands in a column whose largest is `largest`: in that one's unit, with its decimals.

    Feet and inches, times and slopes stay as `words` has them. Raises nothing.

    >>> [words_in_column(Number(metres, "length"), 8.45) for metres in (0.076, 2.3, 8.45, 0.0)]
    ['0.08 m', '2.30 m', '8.45 m', '0 m']
    """
    steps = unit_steps(number.dimension, display)
    told_apart = number.dimension in _TOLD_APART
    value = number.value
    if not steps or told_apart or (number.dimension == "length" and display == "US") or not (
        math.isfinite(value) and math.isfinite(largest) and 0 < abs(largest) < 1e15
    ):  # fmt: skip
        return words(number, display)
    _, unit, label = next((step for step in steps if abs(largest) < step[0]), steps[-1])
    si_unit = DIMENSIONS[number.dimension].si_unit
    top = abs(convert(largest, si_unit, unit))
    places = min(max(2 - math.floor(math.log10(top)), 0), 4)
    shown = convert(value, si_unit, unit)
    text = f"{shown:.{places}f}" if shown else "0"
    return f"{text.replace('-', '−')} {label}".rstrip()


def figures(value: float, most: int = 3) -> str:
    """A plain number with at most so many figures, no trailing zeros, no exponent; whole counts stay whole.

    >>> figures(1234.0, 3), figures(0.016666), figures(12.0), figures(-0.0)
    ('1234', '0.0167', '12', '0')
    """
    if not math.isfinite(value):
        return "not known"
    if value == int(value) and abs(value) < 1e15:
        return str(int(value)).replace("-", "−")
    return _significant(value, most)


def unit_steps(dimension: str, display: str = "metric") -> tuple[tuple[float, str, str], ...]:
    """The units a dimension is told in, smallest first: (below this SI size, unit, as written); none when unknown.

    >>> unit_steps("power"), unit_steps("number")
    (((999.5, 'W', 'W'), (inf, 'kW', 'kW')), ())
    """
    kind = DIMENSIONS.get(dimension)
    if kind is None:
        return ()
    for reader in (display, "*") if display == "US" else (display, "*", "metric"):
        if (dimension, reader) in _STEPS:
            return _STEPS[dimension, reader]
    unit = kind.us[-1] if display == "US" else kind.metric[-1]
    return ((_INF, unit, unit),)


def sentence(text: str, numbers: Iterable[tuple[str, Number]], display: str = "metric") -> str:
    """A text with each `{name}` of `numbers` in words. Other braces, such as a user's own, stay as they are.

    >>> sentence("runs {depth} full at {x}", (("depth", Number(0.8, "share")),))
    'runs 80 % full at {x}'
    """
    known = dict(numbers)

    def fill(match: re.Match[str]) -> str:
        number = known.get(match[1])
        return match[0] if number is None else words(number, display)

    return re.sub(r"\{(\w+)\}", fill, text)


def render_mistake(finding: Finding, file_name: str) -> str:
    """A mistake in the text of a plan: where and what, then found, wanted and try, a line each.

    >>> from tankwright.finding import Finding, Severity
    >>> slip = Finding(code="PLAN-012", severity=Severity.PROBLEM, subject="tank A3", line=42,
    ...     text='volume "54" has no unit', found='volume = "54"', wanted="a volume",
    ...     attempt='volume = "54 L"')
    >>> print(render_mistake(slip, "cellar.toml"))
    cellar.toml:42: tank A3: volume "54" has no unit  [PLAN-012]
        found   volume = "54"
        wanted  a volume
        try     volume = "54 L"
    """
    said = sentence(finding.text, finding.numbers)
    subject = (
        "" if finding.subject == file_name else finding.subject
    )  # a file that is itself the trouble: said once
    first = ": ".join(part for part in (place_of(finding, file_name), subject, said) if part)
    lines = [f"{first}  [{finding.code}]"]
    for word, value in (("found", finding.found), ("wanted", finding.wanted), ("try", finding.attempt)):
        if value:
            lines.append(f"    {word:<8}{value}")
    return "\n".join(printable(line) for line in lines)


def place_of(finding: Finding, file_name: str) -> str:
    """File and line of a finding, or the file alone."""
    return file_name if finding.line is None else f"{file_name}:{finding.line}"


def render_finding(finding: Finding, file_name: str, display: str = "metric", color: bool = False) -> str:
    """A finding for the terminal: sign and word of its severity, code, subject, sentence; then why, what to
    do, source, the line of the plan, and the assumptions it rests on, each with its label.

    >>> from tankwright.finding import Finding, Severity
    >>> heavy = Finding(code="LOAD-02", severity=Severity.WARNING, subject="rack A", line=7,
    ...     text="weighs {m}", numbers=(("m", Number(480.2, "mass")),), remedy="ask a builder")
    >>> print(render_finding(heavy, "cellar.toml"))
    ▲ warning  LOAD-02  rack A: weighs 480 kg
        do        ask a builder
        at        cellar.toml:7
    """
    sign = f"{SEVERITY_SIGNS[finding.severity]} {SEVERITY_WORDS[finding.severity]}"
    said = ": ".join(p for p in (finding.subject, sentence(finding.text, finding.numbers, display)) if p)
    head = _wrapped(f"{sign}  {finding.code}  {said}", "")
    if color:
        head = head.replace(sign, f"\033[{_ANSI[finding.severity]}m{sign}\033[0m", 1)
    lines = [head]
    details = (
        ("found", finding.found),
        ("wanted", finding.wanted),
        ("try", finding.attempt),
        ("why", sentence(finding.reason, finding.numbers, display)),
        ("do", sentence(finding.remedy, finding.numbers, display)),
        ("source", finding.source),
        ("at", place_of(finding, file_name) if finding.line is not None else ""),
        ("rests on", "; ".join(assumption_words(key) for key in finding.rests_on)),
    )
    for word, value in details:
        if value:
            detail = _wrapped(f"    {word:<10}{' '.join(printable(value).split())}", " " * 14)
            lines.append(f"\033[2m{detail}\033[0m" if color and word in ("source", "at") else detail)
    return "\n".join(lines)


def assumption_words(key: str) -> str:
    """An assumption as a reader knows it: what it is, and its key in square brackets.

    >>> assumption_words("drain.fall")
    'assumed fall of the drain [drain.fall]'
    """
    known = ASSUMPTIONS.get(key)
    return f"assumed {known.what} [{key}]" if known else f"assumed [{key}]"


def render_summary(title: str, lines: Iterable[SummaryLine], display: str = "metric") -> str:
    """A system's summary: its name, then its lines, indented.

    >>> print(render_summary("air", [SummaryLine("works at {p}", (("p", Number(6000.0, "pressure")),))]))
    air
        works at 6 kPa
    """
    said = (printable(sentence(line.text, line.numbers, display)) for line in lines)
    return "\n".join([title, *(_wrapped(f"    {line}", " " * 6) for line in said)])


def origin_words(known: Known, dimension: str = "number", display: str = "metric") -> str:
    """How a value is known, with the band of an assumed one and the date of a measured one.

    >>> from tankwright.origin import Known, Origin
    >>> origin_words(Known(0.006, Origin.ASSUMED, key="glass.sides", band=(0.004, 0.008)), "length")
    'assumed, between 4 mm and 8 mm [glass.sides]'
    """
    told = known.origin.value
    if known.band is not None:
        low, high = (words(Number(value, dimension), display) for value in known.band)
        told += f", between {low} and {high}"
    if known.measured_on is not None:
        told += f" on {known.measured_on.isoformat()}"
    if known.key:
        told += f" [{known.key}]"
    elif known.reason:
        told += f", {known.reason}"
    return told + (f", line {known.line}" if known.line is not None else "")


def render_working(working: Working, display: str = "metric") -> str:
    """A working for the terminal: the number, the formula, each input and how it is known, the source."""
    lines = [
        f"{working.title}: {words(working.number, display)}",
        _wrapped(f"    formula   {working.formula}", " " * 14),
    ]
    for given in working.inputs:
        if given.known is not None:
            told = origin_words(given.known, given.number.dimension, display)
        else:
            told = f"computed, see {given.see}" if given.see else "computed"
        lines.append(_wrapped(f"    {given.name} = {words(given.number, display)}  ({told})", " " * 8))
    lines.append(_wrapped(f"    source    {working.source}", " " * 14))
    if working.note:
        lines.append(_wrapped(f"    note      {working.note}", " " * 14))
    return "\n".join(lines)


def printable(text: str) -> str:
    """A text without control characters, so that a name in a plan cannot steer the terminal.

    >>> printable("A\\x1b[31m3")
    'A?[31m3'
    """
    return "".join(letter if letter.isprintable() or letter in "\n\t" else "?" for letter in text)


# --- the pieces ---------------------------------------------------------------------------------------


def _wrapped(text: str, indent: str) -> str:
    return textwrap.fill(
        printable(text), _WIDTH, subsequent_indent=indent or " " * 4, break_long_words=False,
        break_on_hyphens=False, drop_whitespace=True,
    )  # fmt: skip


def _significant(value: float, most: int = 3) -> str:
    """At most so many significant figures, plain notation, a true minus sign."""
    if value == 0:
        return "0"
    places = most - 1 - math.floor(math.log10(abs(value)))
    rounded = round(value, places)
    return _plain(f"{rounded:.{max(places, 0)}f}")


def _decimals(value: float, places: int) -> str:
    return _plain(f"{value:.{places}f}")


def _plain(text: str) -> str:
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text.replace("-", "−")


def _percent(value: float) -> str:
    """Whole per cent from 10 up, but never rounded onto or across 100, where a verdict turns."""
    percent = convert(value, "1", "%")
    if abs(percent) >= 10 and round(percent) == 100 and abs(percent - 100) > 1e-6:
        kept = math.floor(percent * 10) / 10 if percent < 100 else math.ceil(percent * 10) / 10
        return _decimals(kept, 1)
    if abs(percent) < 10:
        return _significant(percent, 2)
    return _significant(round(percent), 3)


def _slope(value: float, display: str) -> str:
    if value == 0:
        return "level"
    if value < 0 or value > 0.25:
        return f"{_significant(convert(value, '1', '%'), 2)} %"
    if display == "US":
        return f"{_significant(value * 12, 2)} in per ft"
    run = 1 / value
    return f"1:{_significant(run, 2 if run < 10 else 3) if run < 10 or run >= 100 else round(run)}"


def _duration(value: float) -> str:
    if value < 0:
        return "−" + _duration(-value)
    minutes = round(value / 60)
    if value < 59.5:
        return f"{_significant(value, 2)} s"
    if value < 600 and abs(value / 60 - minutes) > 0.05:
        return f"{_significant(value / 60, 2)} min"
    if minutes < 120:
        return f"{minutes} min"
    hours, rest = divmod(minutes, 60)
    if hours < 10:
        return f"{hours} h {rest} min" if rest else f"{hours} h"
    if value < 72.5 * 3600:
        return f"{round(value / 3600)} h"
    return f"{_significant(value / 86400, 2 if value < 100 * 86400 else 3)} days"


def _feet_and_inches(value: float) -> str:
    """Inches to the eighth below a foot, then feet and inches to the eighth; whole inches from 10 ft."""
    sign = "−" if value < 0 else ""
    inches = convert(abs(value), "m", "in")
    if inches == 0:
        return "0 in"
    if inches < 0.5:
        return f"{sign}{_significant(inches, 2)} in"
    parts = 1 if inches >= 120 else 8
    eighths = round(inches * parts) * (8 // parts)
    feet, left = divmod(eighths, 96)
    whole, part = divmod(left, 8)
    fraction = f"{part // math.gcd(part, 8)}/{8 // math.gcd(part, 8)}" if part else ""
    small = " ".join(piece for piece in (str(whole) if whole else "", fraction) if piece)
    pieces = [f"{feet} ft" if feet else "", f"{small} in" if small else ""]
    return sign + " ".join(piece for piece in pieces if piece)


def _stepped(value: float, dimension: str, display: str) -> str:
    steps = unit_steps(dimension, display)
    if not steps:
        return figures(value)
    _, unit, label = next((step for step in steps if abs(value) < step[0]), steps[-1])
    if value == 0:
        unit = _ZERO_UNIT.get(dimension, unit) if display != "US" else steps[-1][1]
        label = next((step[2] for step in steps if step[1] == unit), label)
        return f"0 {label}".rstrip()
    shown = convert(value, DIMENSIONS[dimension].si_unit, unit)
    text = _significant(shown)
    return f"{text}{'' if label in ('°', '') else ' '}{label}"
