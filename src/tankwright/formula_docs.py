"""What a physics function says of itself, read from its docstring, annotations and signature.

Units come from the annotations, meanings and ranges from the "Inputs:" part of the docstring, the source from its
"Source:" line, defaults from the signature. Nothing is written twice.
"""

from __future__ import annotations

import inspect
import math
import re
import typing
from collections.abc import Callable
from dataclasses import dataclass
from types import ModuleType

from tankwright.units import Unit

_INPUT = re.compile(
    r"(?P<name>\w+): (?P<meaning>.+?); (?P<low>[-+.\de]+) to (?P<high>[-+.\de]+)", re.ASCII | re.IGNORECASE
)


@dataclass(frozen=True, slots=True, kw_only=True)
class FormulaInput:
    """One input of a formula: its SI unit, what it means, where it is valid, its default if it has one."""

    name: str
    unit: str
    meaning: str
    low: float
    high: float
    default: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Formula:
    """One public physics function as the shelf shows it.

    `unit` is the SI unit of the result, `subject` the file of the physics it lives in, `caution` what
    a reader must be told whenever a number of it is shown ("" for most).
    """

    name: str
    subject: str
    summary: str
    help: str
    source: str
    caution: str
    inputs: tuple[FormulaInput, ...]
    unit: str
    function: Callable[..., float]


def formula_of(module: ModuleType, name: str, function: Callable[..., float]) -> Formula:
    """What a function says of itself: its docstring, its annotations and its signature."""
    paragraphs = (inspect.getdoc(function) or "").split("\n\n")
    plain = [" ".join(paragraph.split()) for paragraph in paragraphs]
    inputs_at = next((index for index, text in enumerate(plain) if text.startswith("Inputs:")), len(plain))
    source = next((text for text in plain if text.startswith("Source:")), "Source:")
    hints = typing.get_type_hints(function, include_extras=True)
    documented = _documented_inputs(paragraphs[inputs_at] if inputs_at < len(plain) else "")
    return Formula(
        name=name.replace("_", "-"),
        subject=module.__name__.rpartition(".")[2],
        summary=plain[0],
        help="\n\n".join(plain[1:inputs_at]),
        source=source.removeprefix("Source:").strip(),
        caution=getattr(module, "CAUTION", ""),
        inputs=tuple(
            _input(parameter, _unit(hints.get(parameter.name)), documented.get(parameter.name))
            for parameter in inspect.signature(function).parameters.values()
        ),
        unit=_unit(hints.get("return")),
        function=function,
    )


def _input(
    parameter: inspect.Parameter, unit: str, documented: tuple[str, float, float] | None
) -> FormulaInput:
    meaning, low, high = documented or ("", -math.inf, math.inf)
    has_default = parameter.default is not inspect.Parameter.empty
    return FormulaInput(
        name=parameter.name,
        unit=unit,
        meaning=meaning,
        low=low,
        high=high,
        default=float(parameter.default) if has_default else None,
    )


def _documented_inputs(paragraph: str) -> dict[str, tuple[str, float, float]]:
    """Meaning and range by name, from lines of "name: meaning; low to high"; long ones run on."""
    items: list[str] = []
    for line in paragraph.splitlines()[1:]:
        if re.match(r" {4}\w", line):
            items.append(line.strip())
        elif items:
            items[-1] += " " + line.strip()
    matches = (_INPUT.fullmatch(item) for item in items)
    return {
        match["name"]: (match["meaning"], float(match["low"]), float(match["high"]))
        for match in matches
        if match
    }


def _unit(hint: object) -> str:
    """The SI symbol of an annotation, "" when it carries none."""
    metadata = getattr(hint, "__metadata__", ())
    return next((extra.symbol for extra in metadata if isinstance(extra, Unit)), "")
