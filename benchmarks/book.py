"""The whole build book with all its files, from the plan's text on: a cellar and a hall of 600 tanks.

Run: python -m benchmarks.book. What takes how long is told beside the goals.
"""

from __future__ import annotations

import os
import time
from datetime import date
from pathlib import Path
from typing import Final

from tankwright.documents.book import data_files, whole_pdf
from tankwright.documents.entries import entries
from tankwright.documents.source import Asked, Book
from tankwright.workspace.opened import open_plan

EXAMPLES: Final = Path(__file__).parent.parent / "examples"
GOALS: Final = {"cellar_mended": 10.0, "garage": 10.0, "hall": 180.0}
"""Seconds a book may take."""

SHOWN: Final = 3
"""Sheets named as the slowest."""


def run() -> int:
    """Print the table; how many goals were missed."""
    print(f"build book (load of the machine {os.getloadavg()[0]:.1f})")
    print("plan             goal s    took s     typst s   files s      MB   slowest sheets")
    missed = 0
    for name, goal in GOALS.items():
        began = time.perf_counter()
        asked = Asked(today=date(2027, 2, 1), revision="plan 1", address="http://fishroom.local:9400")
        book = Book(open_plan(EXAMPLES / f"{name}.toml"), asked)
        sheets, slow = [], []
        for entry in entries(book.room):
            start = time.perf_counter()
            sheets += entry.make(book)
            slow.append((time.perf_counter() - start, entry.name))
        start = time.perf_counter()
        pdf = whole_pdf(book, sheets)
        typst = time.perf_counter() - start
        start = time.perf_counter()
        data_files(book, sheets)
        files = time.perf_counter() - start
        took = time.perf_counter() - began
        told = ", ".join(f"{one} {seconds:.2f}" for seconds, one in sorted(slow, reverse=True)[:SHOWN])
        print(f"{name:<16} {goal:6.0f} {took:9.2f} {typst:11.2f} {files:9.2f} {len(pdf) / 1e6:7.1f}   {told}")
        missed += took > goal
    print(f"{missed} of {len(GOALS)} goals missed")
    return missed


if __name__ == "__main__":
    run()
