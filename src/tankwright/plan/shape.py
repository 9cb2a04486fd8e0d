"""What the models say about a place in the plan: its table, the keys it takes, what its owner calls it."""

from __future__ import annotations

import types
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Annotated, Any, Final, Literal, Union, get_args, get_origin

from pydantic import AliasChoices
from pydantic.fields import FieldInfo

from tankwright.plan.placed import PlacedTable
from tankwright.plan.quantities import PlanTable, QuantityOf
from tankwright.plan.values import Path
from tankwright.units import DIMENSIONS, clip

_ONE_OF: Final = {
    "racks": "rack", "doors": "door", "windows": "window", "obstacles": "obstacle", "beams": "beam",
    "boards": "board", "loads": "load", "filters": "filter", "dump": "dump event", "branches": "branch",
    "adapters": "adapter", "circuits": "circuit", "layers": "layer",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Place:
    """A place as the owner calls it ("rack A, shelf 2", key "kind"), and what the models expect there."""

    subject: str
    key: str
    expected: Any
    field: FieldInfo | None


def place_of(path: Path, root: type[PlanTable], data: PlacedTable) -> Place:
    """Follow a path through the models and the values at once."""
    expected: Any = root
    value: Any = data
    things: list[str] = []
    keys: list[str] = []
    field: FieldInfo | None = None
    for step in path:
        expected = bare_type(expected)
        value = _inside(value, step)
        if isinstance(step, str) and _is_table(expected):
            field = fields_by_key(expected).get(step)
            expected = field.annotation if field else None
            if field and _holds_tables(expected):
                things.append(_ONE_OF.get(step, step.replace("_", " ")))
                keys.clear()
            else:
                keys.append(step)
        elif isinstance(step, str):
            expected = _item_type(expected)
            if things and not keys:
                things[-1] += f" {clip(step, 24)}"
            else:
                keys.append(clip(step))
        else:
            expected = _item_type(expected, step)
            if things and not keys:
                things[-1] = _named(things[-1], value, step)
    subject = ", ".join(things) or "the plan"
    return Place(subject, ".".join(keys), expected, field)


def _named(thing: str, value: Any, step: int) -> str:
    if isinstance(value, Mapping):
        for key in ("id", "name", "ids", "tanks", "material"):
            name = value.get(key)
            if isinstance(name, str) and name:
                return (
                    f"{thing}, tanks {clip(name, 24)}"
                    if key in ("ids", "tanks")
                    else f"{thing} {clip(name, 24)}"
                )
    return f"{thing} number {step + 1}" if not thing[-1:].isdigit() else f"{thing}, place {step + 1}"


def _inside(value: Any, step: str | int) -> Any:
    if isinstance(step, str):
        return value.get(step) if isinstance(value, Mapping) else None
    return value[step] if isinstance(value, list) and 0 <= step < len(value) else None


@lru_cache(maxsize=256)
def fields_by_key(table: type[PlanTable]) -> dict[str, FieldInfo]:
    """The keys a table takes, as the plan writes them, with their fields."""
    keys: dict[str, FieldInfo] = {}
    for name, field in table.model_fields.items():
        alias = field.validation_alias
        if isinstance(alias, AliasChoices):
            keys.update({str(one): field for one in alias.choices})
        else:
            keys[str(alias or name)] = field
    return keys


def written_keys(table: type[PlanTable]) -> tuple[str, ...]:
    """The keys a message proposes: of several spellings of one field the first."""
    seen: dict[int, str] = {}
    for key, field in fields_by_key(table).items():
        seen.setdefault(id(field), key)
    return tuple(seen.values())


def bare_type(expected: Any) -> Any:
    """A type without `Annotated` and without `| None`."""
    while True:
        origin = get_origin(expected)
        if origin is Annotated:
            expected = get_args(expected)[0]
        elif origin in (Union, types.UnionType):
            choices = [one for one in get_args(expected) if one is not type(None)]
            expected = choices[0] if choices else None
        else:
            return expected


def _is_table(expected: Any) -> bool:
    return isinstance(expected, type) and issubclass(expected, PlanTable)


def _item_type(expected: Any, step: str | int = "") -> Any:
    expected = bare_type(expected)
    origin, arguments = get_origin(expected), get_args(expected)
    if origin is dict:
        return arguments[1]
    if origin is tuple and arguments:
        if len(arguments) == 2 and arguments[1] is Ellipsis:
            return arguments[0]
        return arguments[step] if isinstance(step, int) and step < len(arguments) else None
    return None


def _holds_tables(expected: Any) -> bool:
    """True for a field whose items are tables with names of their own."""
    inner = bare_type(_item_type(expected))
    return _is_table(inner) or (inner is not None and _is_table(bare_type(_item_type(inner))))


def example_of(expected: Any, field: FieldInfo | None = None) -> str:
    """A good value for a place, written as TOML; "" when there is none to show."""
    if field and field.examples:
        return str(field.examples[0])
    for mark in [*marks_of(expected), *(field.metadata if field else ())]:
        if isinstance(mark, QuantityOf):
            return f'"{DIMENSIONS[mark.dimension].examples[0]}"'
    bare = bare_type(expected)
    if get_origin(bare) is Literal:
        return f'"{get_args(bare)[0]}"'
    if get_origin(bare) is tuple:
        arguments = [one for one in get_args(bare) if one is not Ellipsis]
        items = [example_of(one) for one in arguments]
        return f"[{', '.join(items)}]" if all(items) else ""
    if _is_table(bare):
        needed = [(key, one) for key, one in fields_by_key(bare).items() if one.is_required()]
        inner = [f"{key} = {example_of(one.annotation, one)}" for key, one in needed]
        return f"{{ {', '.join(inner)} }}" if inner and not any(one.endswith("= ") for one in inner) else ""
    return (
        {str: '"..."', int: "1", float: "1.0", bool: "true"}.get(bare, "") if isinstance(bare, type) else ""
    )


def marks_of(expected: Any) -> list[Any]:
    """What `Annotated` says beside a type, also within `| None`."""
    marks: list[Any] = []
    while True:
        if get_origin(expected) is Annotated:
            marks.extend(get_args(expected)[1:])
            expected = get_args(expected)[0]
        elif get_origin(expected) in (Union, types.UnionType):
            expected = next((one for one in get_args(expected) if one is not type(None)), None)
        else:
            return marks
