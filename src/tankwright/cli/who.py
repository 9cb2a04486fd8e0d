"""Who sits at the terminal, by the name this machine has for them."""

from __future__ import annotations

import getpass


def user_name() -> str:
    """The user's name; "command line" on a machine that has none."""
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):
        return "command line"
