"""Texts and tables out of the plain values of a plan, each with its path; and a name as a key."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from tankwright.plan.values import Path
from tankwright.units import clip


def texts(value: Any, path: Path) -> Iterator[tuple[Path, str]]:
    """A text, or the texts of a list, with their paths."""
    if isinstance(value, str):
        yield path, value
    elif isinstance(value, list):
        yield from (((*path, place), one) for place, one in enumerate(value) if isinstance(one, str))


def as_key(name: str) -> str:
    """A name as TOML takes it for a key: in quotes when it is more than letters, digits, dash and underscore."""
    bare = name.replace("-", "").replace("_", "").isalnum() and name.isascii()
    return name if bare else '"' + clip(name).replace("\\", "").replace('"', "") + '"'


def tables(value: Any, path: Path) -> Iterator[tuple[Path, Mapping[str, Any]]]:
    """The tables of a list, with their paths."""
    if isinstance(value, list):
        yield from (((*path, place), one) for place, one in enumerate(value) if isinstance(one, Mapping))
