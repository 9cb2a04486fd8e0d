"""A coroutine run to its end in a thread of its own: a browser of the same test run keeps a loop going in this one."""

from __future__ import annotations

import asyncio
from collections.abc import Coroutine
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

Answer = TypeVar("Answer")


def apart(answer: Coroutine[None, None, Answer]) -> Answer:
    """What the coroutine gives."""
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(asyncio.run, answer).result()
