"""Writing a set of files into a folder: whole files only, and a clear word when the folder will not take them."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from pathlib import Path

import click


def write_files(folder: Path, files: Mapping[str, str]) -> None:
    """Write each text under its name; leaves with exit code 2 when the folder cannot be written."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, text in files.items():
            unfinished = folder / f".{name}.unfinished"
            unfinished.write_text(text, encoding="utf-8")
            unfinished.replace(folder / name)
    except OSError as error:
        click.echo(f"{folder} could not be written: {error.strerror or error}", err=True)
        sys.exit(2)
