"""One text run two ways: a loop in plain Python, as machine code when that pays.

Loading the compiler costs a third of a second, so who uses this decides whether a job is large enough.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from types import CodeType, FunctionType, ModuleType
from typing import Any

MACHINE_TYPES = {"Whole": "i8[::1]", "Floats": "f8[::1]", "int": "i8", "float": "f8", "None": "void"}
"""What the annotations of a loop mean to the compiler."""


def compile_loop(
    loop: Callable[..., None], helpers: Sequence[Callable[..., Any]], modules: Sequence[ModuleType]
) -> Callable[..., None]:
    """A loop as machine code, read from the compiler's cache or made now and kept there.

    `helpers` are the functions it calls, in the order in which they call each other; `modules` are those
    whose constants they use.
    """
    import numba  # noqa: PLC0415 - costs a quarter of a second, so only when it pays
    from numba.extending import register_jitable  # noqa: PLC0415 - as above

    for helper in helpers:
        register_jitable(helper)
    types = [MACHINE_TYPES[text] for text in loop.__annotations__.values()]
    signature = f"{types[-1]}({','.join(types[:-1])})"
    text: Any = loop
    copy = FunctionType(text.__code__, text.__globals__)
    # the compiler looks for changes in one file only, so the name it keeps the code under tells of the rest
    copy.__qualname__ = f"{text.__name__}_{_fingerprint((*helpers, loop), modules)}"
    try:
        return numba.njit(signature, cache=True)(copy)
    except RuntimeError:  # no folder can be written, neither the package's nor the user's: compile every time
        return numba.njit(signature)(copy)


def _fingerprint(functions: Sequence[Any], modules: Sequence[ModuleType]) -> str:
    """A short mark of every function and constant that ends up in the compiled loop."""
    mark = hashlib.sha256()
    for function in functions:
        mark.update(function.__code__.co_code)
        mark.update(repr([c for c in function.__code__.co_consts if not isinstance(c, CodeType)]).encode())
    for module in modules:
        mark.update(
            repr(sorted((k, v) for k, v in vars(module).items() if isinstance(v, int | float))).encode()
        )
    return mark.hexdigest()[:12]
