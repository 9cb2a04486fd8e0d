"""The properties of the logbook under random lives, on the real store."""

from __future__ import annotations

import pytest

from .life import lives


@pytest.mark.parametrize("names", [("P1", "P2", "P3", "P4", "P5", "P6"), ("P7", "P8", "P9", "P11", "P12")])
def test_lives_keep_the_properties(names: tuple[str, ...]) -> None:
    lives(*names, examples=14)
