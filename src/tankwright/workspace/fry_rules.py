"""The keeper's own rules of fry space, kept beside the plan in `fry.json`: density, tanks, limits."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from tankwright.finding import Finding
from tankwright.husbandry.fry_findings import NOT_KEPT, NOT_READ
from tankwright.husbandry.fry_model import Apart, DensityBand, FryRules
from tankwright.units import QuantityError, clip, parse_in_unit, parse_quantity
from tankwright.workspace.disk import BusyError, held, why, write_json
from tankwright.workspace.outcomes import trouble

NAME: Final = "fry.json"
MOST_BANDS: Final = 6
_LARGEST: Final = 200_000
_DAYS: Final = (7.0, 730.0)
_LEAD: Final = (0.0, 120.0)
_PER_LITRE: Final = (0.001, 200.0)
_LONGEST: Final = 1.0  # m: no fish of a fish room is longer


@dataclass(frozen=True, slots=True, kw_only=True)
class FryKept:
    """The rules as they are kept. `tanks` are the labels of those that may hold fry, None for all that are free;
    `left_out` the ids of breeding sets whose spawns are not raised."""

    rules: FryRules = field(default_factory=FryRules)
    tanks: tuple[str, ...] | None = None
    left_out: tuple[str, ...] = ()


def read_rules(folder: Path) -> tuple[FryKept, Finding | None]:
    """The rules in that folder; the usual ones, and what is wrong, where the file cannot be read."""
    try:
        with (folder / NAME).open("rb") as file:
            return _kept(json.loads(file.read(_LARGEST))), None
    except FileNotFoundError:
        return FryKept(), None
    except (OSError, ValueError, RecursionError, KeyError, TypeError, AttributeError) as error:
        told = why(error) if isinstance(error, OSError) else str(error)
        return FryKept(), trouble(
            NOT_READ, NAME, f"cannot be read, so the usual rules are taken: {clip(told, 80)}",
            wanted="the rules as they were written",
        )  # fmt: skip


def write_rules(folder: Path, kept: FryKept) -> Finding | None:
    """Keep the rules; what went wrong, None when they are kept. A file that could not be read is written over: it
    holds what its keeper sees and has just typed anew."""
    try:
        folder.mkdir(exist_ok=True)
        with ExitStack() as stack:
            stack.enter_context(held(folder))
            write_json(folder / NAME, _written(kept))
    except OSError as error:
        said = (
            "is held by another program"
            if isinstance(error, BusyError)
            else f"cannot be written: {clip(why(error))}"
        )
        return trouble(NOT_KEPT, folder.name, said, wanted="a folder you may write")
    return None


def typed_rules(
    fields: Mapping[str, str], tanks: Sequence[str] | None, sets: Sequence[str]
) -> FryKept | tuple[Finding, ...]:
    """The rules out of a form: `up_to_0`, `per_litre_0` and so on, `gone_days`, `lead_days`, `limit`, `apart`, with the
    labels of tanks that were marked (None: all that are free) and the ids of sets that are left out; or all that is
    wrong with them, `subject` being the field.

    >>> typed_rules({"up_to_0": "8 mm", "per_litre_0": "10", "per_litre_1": "2"}, ["A1"], []).rules.density[1].up_to
    >>> [one.subject for one in typed_rules({"up_to_0": "8 apples", "limit": "20"}, [], [])]
    ['up_to_0', 'per_litre_0', 'limit']
    """
    faults: list[Finding] = []
    usual = FryRules()
    bands = _bands(fields, faults)
    gone = _number(fields, "gone_days", "", usual.gone_days, _DAYS, faults)
    lead = _number(fields, "lead_days", "", usual.lead_days, _LEAD, faults)
    limit = _number(fields, "limit", " in ten", 1.0, (0.0, 10.0), faults) / 10.0
    apart: Apart = "line" if fields.get("apart") == "line" else "brood"
    if faults:
        return tuple(faults)
    rules = FryRules(density=bands, gone_days=gone, lead_days=lead, limit=limit, apart=apart)
    return FryKept(
        rules=rules,
        tanks=None if tanks is None else tuple(dict.fromkeys(tanks)),
        left_out=tuple(dict.fromkeys(sets)),
    )


def _bands(fields: Mapping[str, str], faults: list[Finding]) -> tuple[DensityBand, ...]:
    """Bands from the shortest fish up; the last has no end. Rows that are empty are passed over."""
    rows = [
        (number, fields.get(f"up_to_{number}", "").strip(), fields.get(f"per_litre_{number}", "").strip())
        for number in range(MOST_BANDS)
    ]
    rows = [row for row in rows if row[1] or row[2]]
    made: list[DensityBand] = []
    before = 0.0
    for place, (number, up_to, per_litre) in enumerate(rows):
        end: float | None = None
        last = place == len(rows) - 1
        if up_to:
            end = _length(f"up_to_{number}", up_to, faults)
            if end is not None and end <= before:
                faults.append(
                    _wrong(
                        f"up_to_{number}",
                        "is no longer than the one before",
                        up_to,
                        "a longer one, row by row",
                    )
                )
            before = end or before
        elif not last:
            faults.append(
                _wrong(
                    f"up_to_{number}", "is missing", "", "a length such as 8 mm; only the last row has none"
                )
            )
        many = _number({"": per_litre or "?"}, "", "", 0.0, _PER_LITRE, [])
        if not many:
            low, high = _PER_LITRE
            faults.append(
                _wrong(
                    f"per_litre_{number}", "is no number of fish a litre", per_litre, f"{low:g} to {high:g}"
                )
            )
        made.append(DensityBand(up_to=end, per_litre=many or 1.0))
    if made and made[-1].up_to is not None:
        made[-1] = DensityBand(up_to=None, per_litre=made[-1].per_litre)
    return tuple(made)


def _length(name: str, typed: str, faults: list[Finding]) -> float | None:
    try:
        value = parse_quantity(typed, "length").value
    except QuantityError as error:
        faults.append(_wrong(name, error.text, typed, "a length such as 8 mm", error.attempt))
        return None
    if not 0.0 < value <= _LONGEST:
        faults.append(_wrong(name, "is no length of fry", typed, "a length such as 8 mm"))
        return None
    return value


def _number(
    fields: Mapping[str, str],
    name: str,
    of: str,
    usual: float,
    ends: tuple[float, float],
    faults: list[Finding],
) -> float:
    typed = fields.get(name, "").strip()
    if not typed:
        return usual
    low, high = ends
    try:
        value = parse_in_unit(typed, "1")
    except QuantityError:
        value = float("nan")
    if not low <= value <= high:
        faults.append(_wrong(name, "is no such number", typed, f"{low:g} to {high:g}{of}"))
        return 0.0
    return value


def _wrong(name: str, text: str, found: str, wanted: str, attempt: str = "") -> Finding:
    return trouble(NOT_READ, name, text, found=clip(found), wanted=wanted, attempt=attempt)


def _written(kept: FryKept) -> dict[str, Any]:
    rules = kept.rules
    return {
        "density": [{"up_to_m": one.up_to, "per_litre": one.per_litre} for one in rules.density],
        "gone_days": rules.gone_days, "lead_days": rules.lead_days, "limit": rules.limit, "apart": rules.apart,
        "tanks": None if kept.tanks is None else list(kept.tanks), "left_out": list(kept.left_out),
    }  # fmt: skip


def _kept(value: Any) -> FryKept:
    if not isinstance(value, dict):
        raise TypeError("it is no table")
    usual = FryRules()
    bands = tuple(
        DensityBand(
            up_to=None if one["up_to_m"] is None else float(one["up_to_m"]), per_litre=float(one["per_litre"])
        )
        for one in value.get("density", [])
    )
    if any(not _PER_LITRE[0] <= one.per_litre <= _PER_LITRE[1] for one in bands):
        raise ValueError("a density is out of reason")
    tanks = value.get("tanks")
    return FryKept(
        rules=FryRules(
            density=bands, gone_days=_within(value.get("gone_days", usual.gone_days), _DAYS),
            lead_days=_within(value.get("lead_days", usual.lead_days), _LEAD),
            limit=_within(value.get("limit", usual.limit), (0.0, 1.0)),
            apart="line" if value.get("apart") == "line" else "brood",
        ),
        tanks=None if tanks is None else tuple(str(one) for one in tanks),
        left_out=tuple(str(one) for one in value.get("left_out", [])),
    )  # fmt: skip


def _within(value: Any, ends: tuple[float, float]) -> float:
    number = float(value)
    if not ends[0] <= number <= ends[1]:
        raise ValueError(f"{number:g} is out of reason")
    return number
