"""Mistakes that belong to no plan, printed without loading the systems."""

from __future__ import annotations

from collections.abc import Iterable

import click

from tankwright.display import render_mistake
from tankwright.finding import Finding


def print_plain_findings(findings: Iterable[Finding]) -> None:
    """On standard error, one after the other."""
    for finding in findings:
        click.echo(render_mistake(finding, ""), err=True)
