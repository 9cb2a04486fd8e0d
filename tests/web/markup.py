"""A plan with markup in every text a keeper may write freely, to see that no page takes it for its own."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

import tomlkit

from tankwright.plan.reading import read_plan_text

from .rooms import EXAMPLE, EXAMPLES

Path = tuple[str | int, ...]

# What the example does not say of itself, so that each free text of a plan stands there at least once.
_MORE: Final = """
[tank.A1]
lid = "glass"
note = "a note"
"""
_MORE_OF_THE_ZONE: Final = '[zone.quarantine]\nnote = "a note"'
_NAMED: Final = re.compile(r"^\[(\w+)\.(\w+)\]", re.MULTILINE)
_RACK: Final = re.compile(r'^\[\[(rack)\]\]\nid = "(\w+)"', re.MULTILINE)
_SPOILING: Final = ("pipe", "room")  # with any text there that is none, nothing is worked out


@dataclass(frozen=True, slots=True, kw_only=True)
class Marked:
    """A plan whose free texts hold markup; `texts` says what was put where."""

    plan: str
    texts: dict[str, str]


def markup(number: int) -> str:
    """Markup that would leave a text, and an attribute in either kind of quote; and signs of a pattern."""
    return f"<b data-hit={number}>hit{number}</b>\"'><i data-hit>{{{{ 7 * 7 }}}} 5 %(n)s %"


def marked_plan(*, spoilt: bool = False) -> Marked:
    """The example with markup in every text and name the reader of plans does not refuse it in.

    `spoilt` also where it keeps the systems from being worked out.
    """
    text = (EXAMPLES / f"{EXAMPLE}.toml").read_text("utf-8").replace(
        "[zone.quarantine]", _MORE_OF_THE_ZONE
    ) + _MORE
    assert _is_plan(text)
    texts: dict[str, str] = {}
    for table, name in _NAMED.findall(text) + _RACK.findall(text):
        said = json.dumps(markup(len(texts)))
        headed = re.sub(rf"(?<=[\[.]){table}\.{name}(?=[\].])", lambda _: f"{table}.{said}", text)  # noqa: B023 - used at once
        renamed = headed.replace(f'"{name}"', said)
        if _is_plan(renamed):
            text = renamed
            texts[f"{table}.{name}"] = markup(len(texts))
    document: Any = tomlkit.parse(text)
    for path in _texts(tomllib.loads(text)):
        if path[-1] in _SPOILING and not spoilt:
            continue
        place: Any = document
        for step in path[:-1]:
            place = place[step]
        before = place[path[-1]]
        place[path[-1]] = markup(len(texts))
        if _is_plan(tomlkit.dumps(document)):
            texts["/".join(map(str, path))] = markup(len(texts))
        else:
            place[path[-1]] = before
    return Marked(plan=tomlkit.dumps(document), texts=texts)


def _is_plan(text: str) -> bool:
    return read_plan_text(text, "plan.toml").plan is not None


def _texts(data: dict[str, Any]) -> Iterator[Path]:
    """Every text of a document, one of each kind: what differs only by its name or its number in a row is alike."""
    seen: set[tuple[Any, ...]] = set()
    for path in _leaves(data, ()):
        alike = (path[0], len(path), path[-1] if isinstance(path[-1], str) else path[-2:])
        if alike not in seen:
            seen.add(alike)
            yield path


def _leaves(value: Any, path: Path) -> Iterator[Path]:
    if isinstance(value, str):
        yield path
    elif isinstance(value, dict):
        for key, one in value.items():
            yield from _leaves(one, (*path, key))
    elif isinstance(value, list):
        for number, one in enumerate(value):
            yield from _leaves(one, (*path, number))
