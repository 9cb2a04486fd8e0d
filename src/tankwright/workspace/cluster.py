"""A crew of other machines: the same sweep on a Dask cluster, for rooms too large for one machine.

Every machine needs this same program. A worker that dies takes nothing along: what it had is given to the others.
"""

from __future__ import annotations

import pickle
from collections.abc import Sequence
from typing import Any, Final

from tankwright.faults.model import Fault
from tankwright.faults.sweep import Crew, Failed, News, Row, RunOne, tried
from tankwright.study import Study
from tankwright.workspace.fault_store import program_mark

PATIENCE: Final = "10 s"
NO_DASK: Final = "a Dask cluster needs more than is installed: pip install 'tankwright[cluster]'"
OTHER_PROGRAM: Final = (
    "a machine of the cluster has another version of tankwright, which may find something else"
)


class ClusterError(Exception):
    """The cluster cannot be used; the text says why."""


def on_cluster(address: str) -> Crew:
    """A crew of the workers of the Dask scheduler at that address ("tcp://10.0.0.5:8786")."""

    def run(study: Study, faults: Sequence[Fault], run_one: RunOne) -> News:
        try:
            from dask.distributed import Client, as_completed  # noqa: PLC0415 - an extra, and slow to load
        except ImportError as error:
            raise ClusterError(NO_DASK) from error
        try:
            client = Client(address, timeout=PATIENCE, set_as_default=False)
        except (OSError, ValueError) as error:
            raise ClusterError(f"no scheduler answers at {address}") from error
        with client:
            # a task of its own, not data: when the machine that holds it dies, it is unpacked on another
            held = client.submit(pickle.loads, pickle.dumps((study, run_one)), pure=False)
            futures = client.map(_one, faults, held=held, mark=program_mark(), pure=False)
            left = {future.key: (index, future) for index, future in enumerate(futures)}
            del futures
            try:
                for future in as_completed([one for _, one in left.values()], loop=client.loop):
                    index, _ = left.pop(future.key)
                    row = _row(future, faults[index])
                    future.release()  # or it would be worked out again when the machine it lies on dies
                    yield index, row
            finally:
                client.cancel([held, *(future for _, future in left.values())])

    return run


def _one(fault: Fault, *, held: tuple[Study, RunOne], mark: str) -> Row:
    if program_mark() != mark:
        return Failed(fault=fault.name, reason=OTHER_PROGRAM)
    study, run_one = held
    return tried(study, fault, run_one)


def _row(future: Any, fault: Fault) -> Row:
    try:
        row: Row = future.result()
    except Exception as error:  # a fault that ends every worker it is given to
        return Failed(fault=fault.name, reason=f"{type(error).__name__}: {error}")
    return row
