"""Writing files: whole ones only, all of a set or none, and a clear word when the disk will not take them."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

import click

from tankwright.workspace.disk import why


def write_files(folder: Path, files: Mapping[str, str | bytes], *, named: Path | None = None) -> None:
    """Write each text or content under its name; leaves with exit code 2 when the folder cannot be written.

    What stood there stays as it was until every new file is on the disk. `named` is what a refusal calls it.
    """
    made: dict[Path, Path] = {}
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, content in files.items():
            place = folder / name
            place.parent.mkdir(parents=True, exist_ok=True)
            unfinished = place.with_name(f".{place.name}.unfinished")
            made[unfinished] = place
            unfinished.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8"))
        for unfinished, place in made.items():
            unfinished.replace(place)
    except OSError as error:
        for unfinished in made:
            with suppress(OSError):
                unfinished.unlink(missing_ok=True)
        click.echo(f"{named or folder} could not be written: {why(error)}", err=True)
        sys.exit(2)


def write_bytes(place: Path, content: bytes) -> None:
    """Put one file in its place; leaves with exit code 2 when that cannot be done, and what stood there stays."""
    write_files(place.parent, {place.name: content}, named=place)
