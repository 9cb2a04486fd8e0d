"""The shelf: every public physics function by name, with its inputs, ranges and source, ready to evaluate.

What the shelf shows of a function is what the function says of itself (`formula_docs`).
"""

from __future__ import annotations

import importlib
import inspect
import math
import pkgutil
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache
from types import ModuleType

from tankwright import physics
from tankwright.finding import Finding, Severity
from tankwright.formula_docs import Formula, FormulaInput, formula_of
from tankwright.physics.ranges import OutsideValidRange
from tankwright.units import QuantityError, clip, convert, parse_in_unit, parse_quantity

_TOOL_MODULES = frozenset(
    {
        "beam_solver",
        "heat_arrays",
        "layers",
        "levy_series",
        "nitrifier_growth",
        "numerics",
        "oxygen_course",
        "plates_levy",
        "pool_arrays",
        "ranges",
        "water_arrays",
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class FormulaResult:
    """What an evaluation gives: the number in the unit asked for, the same in SI, and the inputs in SI."""

    name: str
    value: float
    unit: str
    si_value: float
    si_unit: str
    inputs: tuple[tuple[str, float], ...]
    source: str
    caution: str


@lru_cache(maxsize=1)
def shelf() -> tuple[Formula, ...]:
    """Every public physics function, sorted by name.

    >>> "air-density" in [formula.name for formula in shelf()]
    True
    """
    found = [
        formula_of(module, name, function)
        for module in physics_modules()
        for name, function in vars(module).items()
        if inspect.isfunction(function) and function.__module__ == module.__name__ and name[0] != "_"
    ]
    return tuple(sorted(found, key=lambda formula: formula.name))


def physics_modules() -> tuple[ModuleType, ...]:
    """The modules of the physics that hold formulas.

    >>> "weirs" in [module.__name__.rpartition(".")[2] for module in physics_modules()]
    True
    """
    names = sorted(info.name for info in pkgutil.iter_modules(physics.__path__))
    return tuple(
        importlib.import_module(f"{physics.__name__}.{name}") for name in names if name not in _TOOL_MODULES
    )


def find(name: str) -> Formula | None:
    """The formula of that name, or None; underscores are as good as hyphens.

    >>> find("lip-overflow").unit, find("lip_overflow").unit, find("lip-overfall")
    ('m**3/s', 'm**3/s', None)
    """
    wanted = _spelling(name)
    return next((formula for formula in shelf() if formula.name == wanted), None)


def nearest_names(name: str, *, count: int = 3) -> tuple[str, ...]:
    """The names on the shelf most like a misspelt one, best first; empty when none is near.

    >>> nearest_names("lip-overfall", count=1)
    ('lip-overflow',)
    """
    known = [formula.name for formula in shelf()]
    return tuple(get_close_matches(_spelling(name)[:80], known, n=count, cutoff=0.5))


def not_found(name: str) -> Finding:
    """The finding for a name that is on no shelf, with the nearest ones.

    >>> not_found("lip-overfall").attempt.partition(" ")[0]
    'lip-overflow'
    """
    return Finding(
        code="FORMULA-01",
        severity=Severity.PROBLEM,
        subject="formula",
        text="no formula has this name",
        found=clip(name),
        wanted="a name from the list of formulas",
        attempt=" or ".join(nearest_names(name)),
    )


def evaluate(
    formula: Formula, texts: Mapping[str, str], unit: str | None = None
) -> FormulaResult | tuple[Finding, ...]:
    """The result of a formula for inputs as a person writes them, or everything that is wrong with them.

    `unit` is the unit of the answer, SI when None. Never raises for what was typed.

    >>> half_full = {"inner_diameter": "52mm", "slope": "1%", "manning_n": "0.009", "depth_share": "0.5"}
    >>> result = evaluate(find("part-full-flow"), half_full, "L/min")
    >>> round(result.value, 1), result.unit
    (39.1, 'L/min')
    """
    values, findings = _read(formula, texts)
    factor_ok = unit is None or _can_show(formula.unit, unit)
    if not factor_ok:
        findings.append(
            _mistake(
                "FORMULA-06",
                formula,
                "the answer cannot be given in this unit",
                found=clip(unit or ""),
                wanted=f"a unit of the same kind as {shown_unit(formula.unit)}",
            )
        )
    if findings:
        return tuple(findings)
    try:
        si_value = float(formula.function(**values))
        value = si_value if unit is None else convert(si_value, formula.unit, unit)
    except OutsideValidRange as outside:
        return (_outside_together(formula, outside),)
    except ArithmeticError:
        return (_no_number(formula),)
    if not math.isfinite(value):
        return (_no_number(formula, never=value == math.inf and formula.unit == "s"),)
    complete = {item.name: item.default for item in formula.inputs if item.default is not None} | values
    return FormulaResult(
        name=formula.name,
        value=value,
        unit=unit or formula.unit,
        si_value=si_value,
        si_unit=formula.unit,
        inputs=tuple((item.name, complete[item.name]) for item in formula.inputs),
        source=formula.source,
        caution=formula.caution,
    )


def _read(formula: Formula, texts: Mapping[str, str]) -> tuple[dict[str, float], list[Finding]]:
    known = {item.name: item for item in formula.inputs}
    values: dict[str, float] = {}
    findings: list[Finding] = []
    meant: set[str] = set()
    for written, text in texts.items():
        name = _meant(written.strip().replace("-", "_").lower(), known)
        if name not in known:
            near = get_close_matches(name[:80], known, n=1, cutoff=0.5)
            meant.update(near)
            findings.append(
                _mistake(
                    "FORMULA-02",
                    formula,
                    "has no input of this name",
                    found=clip(written),
                    wanted="one of " + ", ".join(known),
                    attempt=f"{near[0]}={clip(text)}" if near else "",
                )
            )
            continue
        meant.add(name)
        item = known[name]
        try:
            value = _number(text, item)
        except QuantityError as error:
            findings.append(
                _mistake(
                    "FORMULA-04",
                    formula,
                    f"{name} {_reason(error, text)}",
                    found=f"{name}={clip(text)}",
                    wanted=f"{error.wanted} ({_range_text(item.low, item.high, item.unit)})",
                    attempt=_attempt(item, error),
                )
            )
            continue
        if not item.low <= value <= item.high:
            findings.append(
                _mistake(
                    "FORMULA-05",
                    formula,
                    f"{name} lies outside the range in which the formula holds",
                    found=f"{name}={clip(text)}",
                    wanted=_range_text(item.low, item.high, item.unit),
                )
            )
            continue
        values[name] = value
    for item in formula.inputs:
        if item.default is None and item.name not in meant:
            findings.append(
                _mistake(
                    "FORMULA-03",
                    formula,
                    f"{item.name} is missing",
                    wanted=f"{item.name}: {item.meaning} ({_range_text(item.low, item.high, item.unit)})",
                )
            )
    return values, findings


def _meant(name: str, known: Mapping[str, FormulaInput]) -> str:
    """The input that a part of its name leaves no doubt about: "temperature" where only one is asked for."""
    words = set(name.split("_"))
    fitting = [one for one in known if words <= set(one.split("_"))]
    return fitting[0] if name not in known and len(fitting) == 1 else name


def _number(text: str, item: FormulaInput) -> float:
    if item.unit == "kg/m**3" and not {"hardness", "alkalinity"}.isdisjoint(item.name.split("_")):
        return parse_quantity(text, "hardness").value  # degrees of hardness have a meaning there alone
    return parse_in_unit(text, item.unit)


def _outside_together(formula: Formula, outside: OutsideValidRange) -> Finding:
    return Finding(
        code="FORMULA-07",
        severity=Severity.NOT_COMPUTED,
        subject=f"formula {formula.name}",
        text="these inputs together lie outside the range in which the formula holds",
        found=f"{outside.quantity} = {outside.value:g}{_after_number(outside.unit)}",
        wanted=_range_text(outside.low, outside.high, outside.unit),
        source=formula.source,
    )


def _no_number(formula: Formula, *, never: bool = False) -> Finding:
    return Finding(
        code="FORMULA-08",
        severity=Severity.NOT_COMPUTED,
        subject=f"formula {formula.name}",
        text="with these inputs it never comes to that"
        if never
        else "these inputs together give no finite number",
        source=formula.source,
    )


def _mistake(
    code: str, formula: Formula, text: str, *, found: str = "", wanted: str = "", attempt: str = ""
) -> Finding:
    return Finding(
        code=code,
        severity=Severity.PROBLEM,
        subject=f"formula {formula.name}",
        text=text,
        found=found,
        wanted=wanted,
        attempt=attempt,
    )


def _can_show(si_unit: str, unit: str) -> bool:
    try:
        convert(1.0, si_unit, unit)
    except ValueError:
        return False
    return True


def _reason(error: QuantityError, text: str) -> str:
    """Why a text cannot be read, without the text itself: what a user typed never enters a template."""
    told = error.text.removeprefix(f'"{clip(text)}" ').replace("{", "(").replace("}", ")")
    return told.replace("is no number of 1", "has a unit, but is a plain number")


def _attempt(item: FormulaInput, error: QuantityError) -> str:
    """What the reader of units proposes, unless the formula would refuse that too."""
    proposed = error.attempt.strip('"')
    candidates = [proposed, proposed.removesuffix(" m") + " mm"] if item.unit == "m" else [proposed]
    for text in candidates:
        try:
            inside = item.low <= parse_in_unit(text, item.unit) <= item.high
        except QuantityError:
            continue
        if inside:
            return f'{item.name}="{text}"'
    return ""


def _range_text(low: float, high: float, unit: str) -> str:
    return f"{low:g} to {high:g}{_after_number(unit)}"


def _after_number(unit: str) -> str:
    return "" if unit == "1" else " " + shown_unit(unit)


def shown_unit(symbol: str) -> str:
    """A unit as the shelf shows it.

    >>> shown_unit("m**3/s"), shown_unit("1")
    ('m3/s', 'a plain number')
    """
    return "a plain number" if symbol == "1" else symbol.replace("**", "").replace("*", " ")


def _spelling(name: str) -> str:
    return name.strip().lower().replace("_", "-").replace(" ", "-")
