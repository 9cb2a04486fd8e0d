"""Writes the reference pages that are made from the program itself; a test fails when one is out of date."""

from __future__ import annotations

import types
import typing
from pathlib import Path
from typing import Any, get_args, get_origin

from click.testing import CliRunner

from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.cli.draw import all_drawings, drawn
from tankwright.cli.main import COMMANDS, main
from tankwright.display import words
from tankwright.finding import Number
from tankwright.formulas import as_markdown as formulas_page
from tankwright.origin import Known
from tankwright.plan import models
from tankwright.plan.quantities import PlanTable
from tankwright.workspace import open_plan

HERE = Path(__file__).parent / "reference"
IMAGES = Path(__file__).parent / "images"
EXAMPLES = Path(__file__).parent.parent / "examples"


def _kind(annotation: Any) -> str:
    origin = get_origin(annotation)
    if annotation is Known:
        return "a text with a unit"
    if annotation is type(None):
        return ""
    if origin is typing.Annotated:
        return _kind(get_args(annotation)[0])
    if origin in (typing.Union, types.UnionType):
        return " or ".join(part for part in map(_kind, get_args(annotation)) if part)
    if origin is typing.Literal:
        return ", ".join(f"`{item}`" for item in get_args(annotation))
    if origin is tuple:
        inner = [_kind(item) for item in get_args(annotation) if item is not ...]
        return f"a list of {inner[0]}" if ... in get_args(annotation) else f"[{', '.join(inner)}]"
    if origin is dict:
        return f"tables by name: {_kind(get_args(annotation)[1])}"
    if isinstance(annotation, type) and issubclass(annotation, PlanTable):
        return f"[{annotation.__name__}](#{annotation.__name__.lower()})"
    return {str: "a text", int: "a whole number", float: "a number", bool: "true or false"}.get(
        annotation, str(annotation)
    )


def plan_page() -> str:
    """Every key of the plan, from the models."""
    tables = [
        item for item in vars(models).values() if isinstance(item, type) and issubclass(item, PlanTable)
    ]
    tables = [item for item in tables if item is not PlanTable]
    tables.sort(key=lambda item: item is not models.Plan)
    hints = {item: typing.get_type_hints(item, include_extras=True) for item in tables}
    lines = ["# The plan, key by key", "", "Made from the plan models; a star marks what must be given.", ""]
    for table in tables:
        lines += [f"## {table.__name__}", "", "| key | what it takes | what it is |", "|---|---|---|"]
        for name, field in table.model_fields.items():
            alias = field.validation_alias
            shown = alias.choices[0] if alias is not None and hasattr(alias, "choices") else name
            star = " *" if field.is_required() else ""
            lines.append(f"| `{shown}`{star} | {_kind(hints[table][name])} | {field.description or ''} |")
        lines.append("")
    return "\n".join(lines).rstrip() + "\n"


def assumptions_page() -> str:
    """Every default with its band."""
    lines = [
        "# Assumptions",
        "",
        "What the plan does not say is taken from this table. Replace one for the whole room under `[assume]`",
        'in the plan, for example `air.tap_bore = "1.5 mm"`, or for one thing by writing it in its table.',
        "",
        "| key | what | default | band | why | source | measure with |",
        "|---|---|---|---|---|---|---|",
    ]
    for row in ASSUMPTIONS.values():
        value, low, high = (words(Number(end, row.dimension)) for end in (row.value, row.low, row.high))
        lines.append(
            f"| `{row.key}` | {row.what} | {value} | {low} to {high} | {row.reason} | {row.source} | {row.measure} |"
        )
    return "\n".join(lines) + "\n"


def commands_page() -> str:
    """The help of every command, as printed."""
    runner = CliRunner()
    lines = ["# Commands", ""]
    for name in ("", *sorted(COMMANDS)):
        words_ = [name, "--help"] if name else ["--help"]
        shown = runner.invoke(main, words_, prog_name="tankwright", terminal_width=100)
        lines += [f"## tankwright {name}".rstrip(), "", "```", shown.output.rstrip(), "```", ""]
    return "\n".join(lines).rstrip() + "\n"


PAGES = {
    "plan.md": plan_page,
    "assumptions.md": assumptions_page,
    "commands.md": commands_page,
    "formulas.md": formulas_page,
}


def pictures() -> dict[str, str]:
    """The drawings the pages show, by file name."""
    cellar, mended = (open_plan(EXAMPLES / f"{name}.toml") for name in ("cellar", "cellar_mended"))
    sections = all_drawings(mended)
    return {
        "cellar_air.svg": drawn(cellar, "air"),
        "cellar_mended_drain_section.svg": sections["cellar_mended_section_main.svg"],
    }


if __name__ == "__main__":
    HERE.mkdir(exist_ok=True)
    for name, page in PAGES.items():
        (HERE / name).write_text(page(), encoding="utf-8")
    IMAGES.mkdir(exist_ok=True)
    for name, picture in pictures().items():
        (IMAGES / name).write_text(picture, encoding="utf-8")
