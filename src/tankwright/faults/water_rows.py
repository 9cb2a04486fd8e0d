"""The moments at which a course of water is written down: every edge of time, every event, and enough between."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from typing import Final

import numpy as np

from tankwright.faults.model import Array
from tankwright.units import Second

HOUR: Final[Second] = 3600.0
SOON: Final = (2.0, 10.0, 60.0, 300.0, 900.0, 1800.0)
MOST_EVENT_ROWS: Final = 200
"""More events than this are not given a row each; they stand in the list of events all the same."""

CLOSE: Final[Second] = 1e-6


def rows_of(edges: Array, events: Iterable[Second], fine: bool = False) -> Array:
    """Rows between the first edge and the last. `fine` writes more, where water runs from tank to tank."""
    times = [edges]
    for begin, end in pairwise(edges.tolist()):
        long = end - begin
        hours = np.concatenate([np.arange(1.0, 6.5), np.arange(8.0, max(9.0, long / HOUR), 2.0)]) * HOUR
        offsets = [np.array(SOON), hours]
        if fine:
            offsets += [np.geomspace(1.0, max(long, 2.0), 80), np.linspace(0.0, long, 80)]
        inside = np.concatenate(offsets)
        times.append(begin + inside[inside < long - 1.0])
    happened = np.array(sorted(set(events)))
    if len(happened) > MOST_EVENT_ROWS:
        happened = happened[np.linspace(0, len(happened) - 1, MOST_EVENT_ROWS).astype(int)]
    times.append(happened[(happened > edges[0]) & (happened < edges[-1])])
    found = np.unique(np.concatenate(times))
    own = np.isin(found, edges)
    apart = np.concatenate([[True], np.diff(found) > CLOSE])
    kept = own | apart
    crowded = kept & ~own & np.isin(np.arange(len(found)) + 1, np.flatnonzero(own & ~apart))
    return np.asarray(found[kept & ~crowded])
