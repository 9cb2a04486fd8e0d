"""Names of values in forms and in the API: JSON Pointers into the plan. Source: RFC 6901."""

from __future__ import annotations

from tankwright.plan.values import Path


def to_pointer(path: Path) -> str:
    """The pointer of a path.

    >>> to_pointer(("rack", 0, "from_west")), to_pointer(("assume", "air.tap_bore"))
    ('/rack/0/from_west', '/assume/air.tap_bore')
    """
    return "".join("/" + str(step).replace("~", "~0").replace("/", "~1") for step in path)


def from_pointer(pointer: str) -> Path:
    """The path of a pointer; steps of digits only are places in a list.

    >>> from_pointer("/rack/0/from_west")
    ('rack', 0, 'from_west')
    """
    steps = (step.replace("~1", "/").replace("~0", "~") for step in pointer.split("/")[1:])
    return tuple(int(step) if step.isascii() and step.isdigit() and len(step) < 7 else step for step in steps)
